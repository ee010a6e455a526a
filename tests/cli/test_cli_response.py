"""How a drum answers, in words, as JSON and as a picture, on a copy of the demo's library."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

Cli = Callable[..., tuple[int, str, str]]
DEMO = Path(__file__).parents[2] / "demo" / "library"


@pytest.fixture
def demo(cli: Cli, library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return cli


def test_it_says_cents_a_quarter_turn_and_draws_the_line(demo: Cli) -> None:
    code, stdout, _ = demo("response", "concert-snare")
    assert code == 0
    assert "a quarter turn" in stdout
    assert "16 logbook entries" in stdout
    assert stdout.count("◆") >= 4
    assert "top at 1, lowest read" in stdout
    assert "days ago" in stdout
    assert all(len(line) <= 130 for line in stdout.splitlines())


def test_its_json_is_finite_and_names_the_entries(demo: Cli) -> None:
    code, stdout, _ = demo("response", "concert-snare", "--json")
    found = json.loads(stdout)
    top = found["heads"]["top"]
    assert code == 0
    assert found["picture"] is None
    assert top["guess"] is False
    assert top["cents_per_quarter"] == pytest.approx(98, abs=10)
    assert top["down"]["cents"] < -top["cents_per_quarter"]
    assert len({point["entry"] for point in top["points"]}) == 16
    assert all(point["count"] and point["sd_cents"] >= 3 for point in top["points"])
    assert top["lowest"]["turns"] < top["position"] < top["highest"]["turns"]
    assert top["lowest"]["up"]["cents"] > top["cents_per_quarter"] > top["highest"]["up"]["cents"]
    assert top["drift"]["weather"]["sd_cents"] > 0
    assert set(top["limit"]) == {"turns", "hz"}
    assert top["drift"]["week_cents"] <= top["drift"]["day_cents"] <= 0


def test_the_picture_holds_the_numbers_of_the_answer(demo: Cli, tmp_path: Path) -> None:
    path = tmp_path / "response.svg"
    code, stdout, _ = demo("response", "concert-snare", "--picture", str(path), "--json")
    top = json.loads(stdout)["heads"]["top"]
    assert code == 0
    assert f">{top['cents_per_quarter']:.0f}</text>" in path.read_text(encoding="utf-8")


def test_rope_centre_strokes_and_strange_files(demo: Cli, tmp_path: Path) -> None:
    assert demo("response", "rope-drum")[0] == 1
    code, stdout, _ = demo("response", "concert-snare", "--struck", "centre", "--json")
    assert code == 0
    assert json.loads(stdout)["heads"]["top"]["guess"] is True
    assert demo("response", "concert-snare", "--picture", str(tmp_path / "x.png"))[0] == 2
    assert demo("response", "nobody")[0] == 2


def test_a_drum_of_which_nothing_is_known_has_its_guess(demo: Cli) -> None:
    assert demo("drum", "add", "Empty", "--diameter", "14")[0] == 0
    code, stdout, _ = demo("response", "empty", "--json")
    top = json.loads(stdout)["heads"]["top"]
    assert code == 0
    assert top["guess"] is True
    assert top["hz"] is None
    assert top["points"] == []
