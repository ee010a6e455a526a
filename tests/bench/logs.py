"""How long a logbook takes to open, against reading its bytes as TOML; informational, never a timed test.

    python tests/bench/logs.py [ENTRIES]

One drum with 5000 full entries of two writers over many months is made and read: for the first time, again,
and again after an entry was appended. Times on a shared machine wander, so each is put against the standard
library's TOML reader over the same bytes, run in turns, and the ratio is that of their medians.
"""

import statistics
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

from lugbook.library import Library
from lugbook.library.encoding import LOG_HEAD, entry_bytes
from lugbook.records import Drum, Entry, LibrarySettings

ENTRIES = 5000
RUNS = 7
DRUM = "concert-snare"
START = datetime(2026, 1, 3, 10, tzinfo=timezone(timedelta(hours=1)))
WRITERS = ("kqmzpt", "abcdef")

_Row = tuple[str, Callable[[], object], Callable[[int], None], float]
"""What is measured, the deed, what is done before each run, and the limit of its ratio."""


def main() -> None:
    """Print the ratios and whether they are inside their limits."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else ENTRIES
    with tempfile.TemporaryDirectory() as folder:
        library = _opened(Path(folder))
        library.create(LibrarySettings())
        library.add_drum(Drum(name="Concert snare", diameter_in=14))
        files = _fill(library.root / "drums" / DRUM / "log", entries)
        if len(_opened(Path(folder)).log(DRUM).entries) != entries:
            raise SystemExit("The logbook to measure on could not be made.")
        rows: list[_Row] = [
            ("first time", lambda: _opened(Path(folder)).log(DRUM), _nothing, 1.0),
            ("again", lambda: library.log(DRUM), _nothing, 0.02),
            ("after an append", lambda: library.log(DRUM), lambda run: _append(library, entries + run), 0.1),
        ]
        for name, deed, before, limit in rows:
            pairs = []
            deed()
            for run in range(RUNS):
                before(run)
                pairs.append((_seconds(deed), _seconds(lambda: _as_toml(files))))
            ours, theirs = (statistics.median(times) for times in zip(*pairs, strict=True))
            ratio = ours / theirs
            print(  # noqa: T201 -- a program for the eye
                f"{name:<16} {ours * 1000:7.1f} ms   tomllib {theirs * 1000:6.0f} ms   "
                f"ratio {ratio:.4f}, limit {limit} {'' if ratio <= limit else ' PAST THE LIMIT'}"
            )


def _opened(folder: Path) -> Library:
    return Library(folder / "library", now=lambda: START, lock_folder=folder / "locks", writer=WRITERS[0])


def _fill(folder: Path, entries: int) -> list[Path]:
    """Write a log of so many entries, as the program writes it; return its files."""
    blocks: dict[Path, list[bytes]] = {}
    for number in range(entries):
        entry = _entry(number, WRITERS[number % 7 == 0])
        blocks.setdefault(folder / f"{entry.at.astimezone(UTC):%Y-%m}-{entry.writer}.toml", []).append(
            entry_bytes(entry)
        )
    folder.mkdir()
    for path, parts in blocks.items():
        path.write_bytes(LOG_HEAD + b"".join(parts))
    return list(blocks)


def _entry(number: int, writer: str) -> Entry:
    at = START + timedelta(minutes=90 * number)
    letters = "".join(chr(ord("a") + number // 26**place % 26) for place in range(4))
    return Entry.model_validate(
        {
            "at": at,
            "kind": "turn",
            "turn": {"top": 0.25},
            "position": {"top": number % 64 / 64, "bottom": -0.25},
            "count": {"top": "top-1", "bottom": "bottom-1"},
            "top": {"pitch": f"A3+{number % 40}", "by": "recording", "sd_cents": 4.2, "file": "take.wav"},
            "bottom": {"pitch": f"{240 + number / 1000:.3f} Hz", "by": "typed", "other_head": "damped"},
            "snares": {"words": "medium", "values": {"clicks": 7.0, "front screw": 1.5}},
            "words": "dry and warm, a little ring",
            "passages": {"soft roll": "+", "drags": "0"},
            "verdict": "better",
            "search": "dry étude",
            "player": "Ada",
            "id": f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}-{writer}-{letters}",
        }
    )


def _append(library: Library, number: int) -> None:
    library.append(DRUM, _entry(number, WRITERS[0]), unchanged=library.log(DRUM))


def _nothing(_: int) -> None:
    """Leave the log as it is."""


def _as_toml(files: list[Path]) -> None:
    for path in files:
        tomllib.loads(path.read_bytes().decode())


def _seconds(deed: Callable[[], object]) -> float:
    begin = time.perf_counter()
    deed()
    return time.perf_counter() - begin


if __name__ == "__main__":
    main()
