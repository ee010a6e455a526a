"""Wires, adjustments of the strainer and the sweep of the snares from the shell."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DRUM = "concert-snare"
KNOB = ("--adjustment", "knob=clicks from all the way out")


def test_wires_go_round(shelf: Cli, ask: Ask) -> None:
    """A set is put on, shown, corrected, tied anew, removed and restored."""
    options = ("--kind", "gut", "--strands", "8", "--tied", "cord", "--since", "2026-05-03")
    assert shelf("wires", "list", DRUM) == (0, "", "No wires are written down.\n")
    assert shelf("wires", "add", DRUM, *options)[:2] == (0, "wires-1\n")
    assert ask("wires", "show", DRUM, "wires-1") == (
        0,
        {
            "id": "wires-1",
            "place": "bottom",
            "kind": "gut",
            "strands": 8,
            "tied": "cord",
            "since": "2026-05-03",
            "off": None,
        },
    )
    assert shelf("wires", "edit", DRUM, "wires-1", "--tied", "clamps") == (
        0,
        "wires-1\n",
        "Changed; settings found with it stay.\n",
    )
    assert shelf("wires", "add", DRUM, "--same-set", "--tied", "strip")[1] == "wires-2\n"
    today = date.today().isoformat()  # noqa: DTZ011 -- the command itself goes by the day of this machine
    assert ask("wires", "list", DRUM) == (
        0,
        {
            "drum": DRUM,
            "wires": [
                {
                    "id": "wires-1",
                    "place": "bottom",
                    "what": "gut, 8 strands, tied: clamps",
                    "since": "2026-05-03",
                    "off": today,
                },
                {
                    "id": "wires-2",
                    "place": "bottom",
                    "what": "gut, 8 strands, tied: strip",
                    "since": today,
                    "off": None,
                },
            ],
        },
    )
    _, out, err = shelf("wires", "remove", DRUM, "wires-2")
    assert out == "wires-2\n"
    assert "wires-1 is on again" in err
    assert f"lugbook wires restore {DRUM} wires-2" in err
    assert shelf("wires", "restore", DRUM, "wires-2")[:2] == (0, "wires-2\n")
    _, out, _ = shelf("wires", "list", DRUM)
    assert out.splitlines()[2].split() == [
        *("wires-2", "bottom", "head", "gut,", "8", "strands,", "tied:", "strip"),
        *(today, "–"),
    ]
    assert shelf("verify")[0] == 0


def test_new_wires_name_the_presets_whose_setting_is_void(shelf: Cli) -> None:
    shelf("wires", "add", DRUM)
    shelf("preset", "add", DRUM, "Crisp", "--snare", "knob=3")
    _, out, err = shelf("wires", "add", DRUM, "--kind", "cable")

    assert out == "wires-2\n"
    assert "only where to begin: concert-snare/crisp." in err


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("wires", "add", DRUM, "--kind", "silk"), 2, "--kind cannot be 'silk'"),
        (("wires", "add", DRUM, "--place", "middle"), 2, "--place cannot be 'middle'"),
        (("wires", "add", DRUM, "--strands", "2.5"), 2, "no whole number"),
        (("wires", "add", DRUM, "--since", "2999-01-01"), 2, "still to come"),
        (("wires", "add", DRUM, "--same-set"), 1, "no wires under its bottom head"),
        (("wires", "show", DRUM, "wires-1"), 2, "no wires written down"),
        (("wires", "add", "nobody"), 2, "nobody"),
        (("sweep", "nobody"), 2, "nobody"),
        (("sweep", DRUM, "--free", "x"), 2, "--free: 'x' is no number"),
        (("sweep", DRUM, "--free", "nan"), 2, "--free: 'nan' is no number"),
        (("sweep", DRUM, "--free", "5", "--choke", "2"), 2, "cannot choke at 2"),
        (("sweep", DRUM, "--free", "2", "--choke", "5", "--set", "6"), 2, "does not lie between"),
        (("sweep", DRUM, "--buzzes", ","), 2, "names no note"),
        (("sweep", DRUM, "--buzzes", "horn Bb3"), 1, "No setting of the snares"),
        (("sweep", DRUM, "--set", "3", "--search", "nothing"), 2, "No search"),
        (("drum", "edit", DRUM, "--adjustment", "knob"), 2, "names no adjustment"),
        (("drum", "edit", DRUM, "--adjustment", "knob=none"), 2, "no adjustment 'knob'"),
    ],
)
def test_what_cannot_be_is_told(shelf: Cli, words: tuple[str, ...], code: int, said: str) -> None:
    found, out, err = shelf(*words)

    assert (found, out) == (code, "")
    assert said.lower() in err.lower()


def test_adjustments_of_the_strainer(shelf: Cli, ask: Ask) -> None:
    """They are shown with the drum, changed by name, and taken away."""
    assert shelf("drum", "edit", DRUM, *KNOB, "--adjustment", "butt=turns from flush, step 1/8")[0] == 0
    shelf("drum", "edit", DRUM, "--strainer", "side lever")
    _, drum = ask("drum", "show", DRUM)
    assert drum["strainer"] == {
        "name": "side lever",
        "adjustments": [
            {"name": "knob", "unit": "clicks", "zero": "all the way out", "step": None},
            {"name": "butt", "unit": "turns", "zero": "flush", "step": 0.125},
        ],
    }
    assert "all the way out" in shelf("drum", "show", DRUM)[1]
    shelf("drum", "edit", DRUM, "--adjustment", "knob=none", "--adjustment", "butt=turns from all the way in")
    _, drum = ask("drum", "show", DRUM)
    assert [(one["name"], one["zero"]) for one in drum["strainer"]["adjustments"]] == [
        ("butt", "all the way in")
    ]
    assert shelf("drum", "add", "New", "--diameter", "14", *KNOB)[0] == 0
    assert ask("drum", "show", "new")[1]["strainer"]["adjustments"][0]["unit"] == "clicks"


def test_a_preset_with_an_unknown_adjustment_is_refused(shelf: Cli) -> None:
    shelf("drum", "edit", DRUM, *KNOB)
    code, _, err = shelf("preset", "edit", f"{DRUM}/dry-etude", "--snare", "nob=3")

    assert code == 2
    assert "Nearest: knob" in err
    assert shelf("preset", "edit", f"{DRUM}/dry-etude", "--snare", "knob=3")[0] == 0


def test_a_sweep_from_the_first_step_to_the_setting(shelf: Cli, ask: Ask) -> None:
    shelf("drum", "edit", DRUM, *KNOB)
    shelf("wires", "add", DRUM)
    code, out, _ = shelf("sweep", DRUM)
    assert code == 0
    assert out.startswith("1. Play pp near the edge and loosen knob")
    assert shelf("sweep", DRUM, "--free", "4")[1].startswith("free at 4\nPlay ff and tighten knob")

    code, found = ask("sweep", DRUM, "--free", "4", "--choke", "10")
    assert code == 0
    assert found["adjustment"] == {"name": "knob", "unit": "clicks", "zero": "all the way out", "step": 1}
    assert (found["suggested"], found["entry"], found["start"]) == (7, None, None)
    assert "Half-way" in found["why"]

    code, found = ask("sweep", DRUM, "--free", "4", "--choke", "10", "--set", "8", "--buzzes", "horn Bb3")
    assert code == 0
    assert found["snares"] == "knob 8 (free at 4, chokes at 10); buzzes with horn Bb3"
    assert found["entry"]
    _, again = ask("sweep", DRUM, "--free", "5", "--choke", "11")
    assert again["start"]["values"] == {"knob": 8}
    assert again["start"]["from"] == found["entry"]
    assert again["suggested"] == 9
    assert "67 % of the way" in again["why"]
    assert "knob 8 (free at 4" in shelf("sweep", DRUM, "--buzzes", "clarinet D4, horn Bb3")[1]
    _, last = ask("sweep", DRUM)
    assert last["start"]["snares"].endswith("buzzes with horn Bb3, clarinet D4")
    assert shelf("verify")[0] == 0


def test_another_adjustment_is_swept_by_name(shelf: Cli, ask: Ask) -> None:
    shelf("drum", "edit", DRUM, *KNOB, "--adjustment", "butt=turns from flush")
    _, found = ask("sweep", DRUM, "--adjustment", "butt", "--free", "1/2", "--choke", "1,5")

    assert (found["adjustment"]["name"], found["free"], found["choke"]) == ("butt", 0.5, 1.5)
    assert found["suggested"] == 1
    assert shelf("sweep", DRUM, "--adjustment", "but")[0] == 2
