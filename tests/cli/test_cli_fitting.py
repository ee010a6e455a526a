"""A new head, a lost count and a loan drum from the shell, on a copy of the demo's library."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

DRY = "concert-snare/dry-etude"
DEMO = Path(__file__).parents[2] / "demo" / "library"


class Said(NamedTuple):
    """What a command returned and said."""

    code: int
    stdout: str
    stderr: str


Cli = Callable[..., Said]


@pytest.fixture
def demo(cli: Callable[..., tuple[int, str, str]], library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return lambda *words: Said(*cli(*words))


def test_a_new_head_says_what_is_void_and_how_to_begin(demo: Cli) -> None:
    ran = demo("head", "fit", "concert-snare", "top", "--mil", "10", "--json")
    assert ran.code == 0
    fitted = json.loads(ran.stdout)
    assert (fitted["head"], fitted["count"], fitted["side"]) == ("top-3", "top-3", "top")
    assert DRY in fitted["void"]
    row = next(row for row in fitted["presets"] if row["id"] == DRY)
    assert row["target_hz"] == pytest.approx(247.4, abs=0.1)
    assert row["first_turns"]["amount"] == 1.5 - 0.25
    assert fitted["reminders"]
    shown = {row["id"]: row for row in json.loads(demo("presets", "--json").stdout)["presets"]}
    assert shown[DRY]["turns"]["top"]["valid"] is False
    assert shown[DRY]["turns"]["bottom"]["valid"] is True
    assert shown[DRY]["top_hz"] == row["target_hz"]


def test_a_lost_count_and_the_way_back(demo: Cli) -> None:
    ran = demo("head", "recount", "concert-snare", "bottom", "--reference", "finger tight, then one turn")
    assert ran.code == 0
    assert (
        "bottom-3: the count of the bottom head begins at 0, from: finger tight, then one turn" in ran.stdout
    )
    assert DRY in ran.stdout
    assert demo("verify").code == 0
    assert demo("retune", DRY, "--top", "245", "--bottom", "345").code == 0

    undone = json.loads(demo("head", "recount", "concert-snare", "bottom", "--undo", "--json").stdout)
    assert undone["counts"][0]["id"] == "bottom-2"
    assert DRY in undone["valid"]
    assert demo("verify").code == 0


def test_a_count_that_began_with_a_head_is_not_undone(demo: Cli) -> None:
    ran = demo("head", "recount", "concert-snare", "top", "--undo")
    assert ran.code == 1
    assert "new head" in ran.stderr
    assert demo("head", "recount", "rope-drum").code == 1
    assert demo("head", "recount", "nobody").code == 2
    assert demo("head", "recount", "concert-snare", "middle").code == 2
    assert demo("head", "recount", "concert-snare", "top", "--undo", "--why", "x").code == 2


def test_a_loan_drum_in_three_lines(demo: Cli) -> None:
    """The drum, the preset carried over, the turns: all that is known of the loan drum is its size."""
    assert demo("drum", "add", "House drum", "--diameter", "13", "--rods", "8", "--loan", "yes").code == 0
    carried = demo("preset", "add", "house-drum", "--like", DRY)
    assert carried.code == 0
    assert "no turns of this drum are kept" in carried.stderr
    assert "13 in" in carried.stderr
    kept = json.loads(demo("preset", "show", "house-drum/dry-etude", "--json").stdout)
    own = json.loads(demo("preset", "show", DRY, "--json").stdout)
    assert kept["top"] == own["top"]
    assert kept["a4"] == own["a4"]
    assert kept["turns"] == {"top": None, "bottom": None}
    assert kept["snares"]["words"].startswith("there: ")
    assert kept["snares"]["values"] == {}

    for ask in (("house-drum/dry-etude",), (DRY, "--on", "house-drum")):
        ran = demo("retune", *ask, "--top", "235", "--bottom", "335", "--json")
        assert ran.code == 0
        advice = json.loads(ran.stdout)
        assert advice["turns"]["top"]["amount"] > 0
        assert advice["orders"]["top"] == [1, 5, 3, 7, 2, 6, 4, 8]


def test_a_pitch_past_the_loan_drums_limit_is_said(demo: Cli) -> None:
    assert demo("drum", "add", "Low drum", "--diameter", "14", "--limit-hz", "top=200").code == 0
    assert "above the top head's limit of 200 Hz" in demo("preset", "add", "low-drum", "--like", DRY).stderr


def test_a_preset_begins_in_one_way(demo: Cli) -> None:
    ran = demo("preset", "add", "concert-snare", "--like", DRY, "--start", "dry-etude")
    assert ran.code == 2
    assert "not with both" in ran.stderr
    assert demo("preset", "add", "concert-snare", "--like", "concert-snare/nothing").code == 2
