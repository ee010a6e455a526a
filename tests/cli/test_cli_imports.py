"""What a command loads: start-up time is kept short by loading only what it needs."""

import json
import subprocess
from collections.abc import Callable

import pytest

Cli = Callable[..., tuple[int, str, str]]
Python = Callable[..., subprocess.CompletedProcess[str]]

PROGRAM = """
import io, json, os, sys
from lugbook.cli.main import main
code = main(json.loads(sys.argv[1]), stdout=io.StringIO(), stderr=sys.stderr, environment=os.environ)
print(json.dumps([code, sorted(name for name in json.loads(sys.argv[2]) if name in sys.modules)]))
"""
HEAVY = ["numpy", "music21", "textual", "soundfile", "jinja2", "segno"]
CHECK = ["check", "concert-snare/dry-etude", "--top", "A3+4", "--bottom", "Eb4"]


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    ("words", "kept_out"),
    [
        (["--help"], [*HEAVY, "pydantic", "dataclasses", "argparse", "inspect"]),
        (["--version"], [*HEAVY, "pydantic", "dataclasses", "argparse", "inspect"]),
        (["drum", "--help"], [*HEAVY, "pydantic", "argparse"]),
        (["check", "--help"], [*HEAVY, "pydantic"]),
        (["presets"], HEAVY),
        (["presets", "--json"], HEAVY),
        (["presets", "--start"], HEAVY),
        (CHECK, HEAVY),
        ([*CHECK, "--json"], HEAVY),
        (["note", "A3"], HEAVY),
        (["drums"], HEAVY),
        (["try", "concert-snare", "--turn", "top=1/4", "--top", "A3+4", "--words", "dry"], HEAVY),
        (["log", "concert-snare", "--json"], HEAVY),
        (["log", "concert-snare", "--csv"], HEAVY),
        (["find", "A3"], HEAVY),
        (["search", "list", "concert-snare", "--json"], HEAVY),
        (["passages", "--json"], HEAVY),
        (["try", "--help"], [*HEAVY, "pydantic"]),
        (["card", "preset", "concert-snare/dry-etude", "--text"], HEAVY),
        (["card", "drum", "concert-snare", "--json"], HEAVY),
        (["card", "--help"], [*HEAVY, "pydantic"]),
        (["card", "blank", "--help"], [*HEAVY, "pydantic"]),
        (["piece", "read", "--help"], [*HEAVY, "pydantic"]),
    ],
)
def test_a_command_loads_no_more_than_it_needs(python: Python, words: list[str], kept_out: list[str]) -> None:
    """In a fresh interpreter none of the costly packages is loaded."""
    ran = python("-c", PROGRAM, json.dumps(words), json.dumps(kept_out))

    assert ran.stderr == ""
    assert json.loads(ran.stdout) == [0, []]


@pytest.mark.usefixtures("shelf")
def test_the_check_sees_what_is_loaded(python: Python) -> None:
    """Where turns are reckoned numpy is loaded, so that the others could fail; also to say why it is off."""
    ran = python("-c", PROGRAM, json.dumps(["retune", *CHECK[1:]]), json.dumps(HEAVY))
    off = python("-c", PROGRAM, json.dumps(["check", CHECK[1], "--top", "A3-40"]), json.dumps(HEAVY))

    page = python("-c", PROGRAM, json.dumps(["card", "drum", "concert-snare"]), json.dumps(HEAVY))

    assert json.loads(page.stdout) == [0, ["jinja2"]]
    assert json.loads(ran.stdout) == [0, ["numpy"]]
    assert json.loads(off.stdout) == [1, ["numpy"]]
