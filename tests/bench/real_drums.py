"""How well real drums are listened to, on recordings of Debian's packages.

    python tests/bench/real_drums.py

prints two tables in Markdown. The first: told the pitch to within 60 cents, how many strokes are read within
5 and 10 cents of what the drum settles on; beside it the strongest peak of a plain spectrum from 0.1 to
0.6 s, on the same strokes. The second: told nothing, of how many drums the strokes are told alike. What is
true of a drum, and which recordings these are, stands in `tests/recorded`. Packages that are not installed
are named. Snare drums stand by themselves: their wires sound with them.
"""

import importlib.util
import operator
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from lugbook.heads import listen

if TYPE_CHECKING:
    from tests import recorded
else:
    _FOLDER = Path(__file__).parents[1] / "recorded"
    _SPEC = importlib.util.spec_from_file_location("recorded_drums", _FOLDER / "__init__.py")
    recorded = importlib.util.module_from_spec(_SPEC)
    sys.modules[_SPEC.name] = recorded
    _SPEC.loader.exec_module(recorded)

Floats = npt.NDArray[np.float64]

ROWS = {
    "toms": ("tom",),
    "bass drums": ("bass",),
    "hand drums": ("hand",),
    "timpani": ("timpani",),
    "all but snares": ("tom", "tenor", "bass", "hand", "timpani"),
    "snare drums": ("snare",),
}
"""Rows of the tables, and the kinds of drums in each."""


@dataclass(frozen=True)
class Result:
    """What came of some drums.

    Attributes:
        known: the program, told about where the pitch lies.
        plain: the peak of a plain spectrum, told the same.
        repeated: the program, told nothing.
    """

    known: "recorded.Known"
    plain: "recorded.Known"
    repeated: "recorded.Repeated"

    def __add__(self, other: "Result") -> "Result":
        return Result(self.known + other.known, self.plain + other.plain, self.repeated + other.repeated)


def hear(samples: Floats, rate_hz: float, near_hz: float | None) -> "recorded.Heard | None":
    """Return what the program hears, or None where it refuses."""
    reading = listen(samples, rate_hz=rate_hz, near_hz=near_hz).reading
    return None if reading is None else recorded.Heard(reading.hz, reading.sd_cents)


def measured(packages: "Iterable[recorded.Package] | None" = None) -> dict[str, Result]:
    """Return a result for each row, from the drums of *packages*, or of all that are there."""
    names = {package.name for package in packages or recorded.PACKAGES.values()}
    there = [drum for drum in recorded.DRUMS if drum.package in names and drum.there]
    by_kind = {}
    for kind in {kind for kinds in ROWS.values() for kind in kinds}:
        drums = [drum for drum in there if drum.kind == kind]
        by_kind[kind] = Result(
            recorded.known_shares(drums, hear),
            recorded.known_shares(drums, recorded.late_peak),
            recorded.repeated_shares(drums, hear),
        )
    return {row: reduce(operator.add, (by_kind[kind] for kind in kinds)) for row, kinds in ROWS.items()}


def tables(results: dict[str, Result]) -> str:
    """Return the two tables in Markdown."""
    columns = ["strokes", "within 5 c", "within 10 c", "off > 50 c", "refused", "within 2 sd"]
    columns += ["a plain peak: within 5 c", "within 10 c"]
    lines = [f"| target known to 60 cents | {' | '.join(columns)} |", "| --- |" + " --- |" * len(columns)]
    for row, result in results.items():
        known, plain = result.known, result.plain
        if known.errors.size:
            shares = (known.within(5), known.within(10), known.gross, known.refused, known.covered)
            cells = (*shares, plain.within(5), plain.within(10))
            lines.append(f"| {row} | {known.errors.size} | {' | '.join(f'{cell:.0%}' for cell in cells)} |")
    lines += ["", "| no target | drums | all strokes within 10 cents of each other | four in five |"]
    lines.append("| --- |" + " --- |" * 3)
    for row, result in results.items():
        alike, mostly = result.repeated.alike, result.repeated.mostly
        if alike:
            lines.append(f"| {row} | {len(alike)} | {np.mean(alike):.0%} | {np.mean(mostly):.0%} |")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Print the tables, and what they rest on."""
    for package in recorded.PACKAGES.values():
        there = "read" if package.there else "not installed"
        sys.stderr.write(f"{package.name} ({package.makers}; {package.licence}): {there}\n")
    sys.stdout.write(tables(measured()))


if __name__ == "__main__":
    main()
