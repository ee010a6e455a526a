"""How long a command takes to start, against what it cannot do without; informational, never a timed test.

    python tests/bench/startup.py [RUNS]

`lugbook --help` is measured against a bare argparse program, limit 2.5 times; `presets --json` and `check`
with typed readings against a program that defines one pydantic model, limit 1.7 times. Times on a shared
machine wander, so both of a pair run in turns, and the ratio is that of their medians. Byte code is kept in a
folder of its own, as it is where the program is installed.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

RUNS = 15

ARGPARSE = """
import argparse
parser = argparse.ArgumentParser(prog="bare", description="A bare program.")
commands = parser.add_subparsers()
for name in ("one", "two", "three", "four", "five", "six", "seven"):
    commands.add_parser(name, help=name).add_argument("--json", action="store_true")
parser.parse_args(["--help"])
"""

PYDANTIC = """
from pydantic import BaseModel
class Bare(BaseModel):
    number: int
Bare(number=1)
"""

LUGBOOK = ("-m", "lugbook")


def main() -> None:
    """Print the ratios and whether they are inside their limits."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            **os.environ,
            "LUGBOOK_LIBRARY": f"{folder}/library",
            "LUGBOOK_CONFIG": f"{folder}/user",
        }
        _fill(environment, Path(folder))
        rows = [
            ("lugbook --help", [*LUGBOOK, "--help"], "bare argparse", ["-c", ARGPARSE], 2.5),
            (
                "lugbook presets --json",
                [*LUGBOOK, "presets", "--json"],
                "bare pydantic",
                ["-c", PYDANTIC],
                1.7,
            ),
            (
                "lugbook check, typed",
                [*LUGBOOK, "check", "concert-snare/dry-etude", "--top", "A3", "--bottom", "D4"],
                "bare pydantic",
                ["-c", PYDANTIC],
                1.7,
            ),
        ]
        for name, command, yardstick, bare, limit in rows:
            ours, theirs = _medians(command, bare, environment=environment, runs=runs)
            ratio = ours / theirs
            print(  # noqa: T201 -- a program for the eye
                f"{name:<24} {ours * 1000:6.0f} ms   {yardstick:<14} {theirs * 1000:6.0f} ms   "
                f"ratio {ratio:.2f}, limit {limit} {'' if ratio <= limit else ' PAST THE LIMIT'}"
            )


def _fill(environment: Mapping[str, str], folder: Path) -> None:
    """Make a library of one drum with a few presets."""
    _seconds([*LUGBOOK, "drum", "add", "Concert snare", "--diameter", "14"], environment)
    for name in ("Dry étude", "Big tutti", "Soft rolls"):
        words = ["preset", "add", "concert-snare", name, "--top", "A3", "--bottom", "D4"]
        _seconds([*LUGBOOK, *words], environment)
    if len(list(folder.glob("library/drums/*/presets/*.toml"))) != 3:
        raise SystemExit("The library to measure on could not be made.")


def _medians(
    ours: Sequence[str], theirs: Sequence[str], *, environment: Mapping[str, str], runs: int
) -> tuple[float, float]:
    """Return the median seconds of both, run in turns."""
    pairs = [(_seconds(ours, environment), _seconds(theirs, environment)) for _ in range(runs + 1)][1:]
    return statistics.median(one for one, _ in pairs), statistics.median(two for _, two in pairs)


def _seconds(arguments: Sequence[str], environment: Mapping[str, str]) -> float:
    begin = time.perf_counter()
    subprocess.run(
        [sys.executable, *arguments], env=dict(environment), check=False, capture_output=True, timeout=60
    )
    return time.perf_counter() - begin


if __name__ == "__main__":
    main()
