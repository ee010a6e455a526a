"""What is learned of the demo's drums holds what they really are, and the picture of it is today's."""

import io
import json
import math
from datetime import datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from demo_drums import DRUMS
from hidden_drum import HIDDEN, HiddenHead
from lugbook.cli.main import main
from lugbook.desk.answering import answer as drum_answer
from lugbook.desk.answering import keep_answer
from lugbook.desk.desk import open_desk


def answer(demo: Path, tmp_path: Path, drum: str, *more: str) -> dict[str, dict[str, object]]:
    """Return the heads of what `lugbook response` says as JSON."""
    stdout = io.StringIO()
    words = ["--library", str(demo / "library"), "response", drum, "--json", *more]
    code = main(words, stdout=stdout, stderr=io.StringIO(), environment={"LUGBOOK_CONFIG": str(tmp_path)})
    assert code == 0
    heads: dict[str, dict[str, object]] = json.loads(stdout.getvalue())["heads"]
    return heads


@pytest.mark.parametrize("drum", list(HIDDEN))
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_the_hidden_slope_lies_inside_the_learned_interval(
    demo: Path, tmp_path: Path, drum: str, side: str
) -> None:
    """Two standard deviations hold what the script gave the head; three where it is said to be a guess."""
    head = answer(demo, tmp_path, drum)[side]
    hidden: HiddenHead = getattr(HIDDEN[drum], side)
    line, turns = head["line"], head["position"]
    assert isinstance(line, dict)
    assert isinstance(turns, float)
    true = hidden.own + 2 * hidden.bend * turns
    assert abs(line["hz2_per_turn"] - true) < (3 if head["guess"] else 2) * line["sd_hz2_per_turn"]
    assert drum in DRUMS


@pytest.mark.parametrize("drum", list(HIDDEN))
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_what_the_other_head_really_does_lies_inside_the_learned_interval(
    demo: Path, tmp_path: Path, drum: str, side: str
) -> None:
    """A quarter turn of the other head, by the script's own law, within two standard deviations."""
    head = answer(demo, tmp_path, drum)[side]
    line, cents, sd = head["line"], head["of_other_cents"], head["of_other_sd_cents"]
    assert isinstance(line, dict)
    assert isinstance(cents, float)
    assert isinstance(sd, float)
    hidden: HiddenHead = getattr(HIDDEN[drum], side)
    true = 600 * math.log2(1 + hidden.other / 4 / line["hz2_at_position"])
    assert abs(cents - true) < 2 * sd


def test_the_picture_in_the_readme_shows_what_is_learned_now(demo: Path, tmp_path: Path) -> None:
    """`lugbook --library demo/library response concert-snare --picture demo/response.svg` makes it anew.

    Its words are those of a picture that is drawn at noon of the day that stands in it.
    """

    def words(path: Path) -> list[str]:
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 -- a file of this repository
        return [element.text or "" for element in root.iter() if element.tag.endswith("text")]

    kept = words(demo / "response.svg")
    noon = datetime.strptime(f"{kept[0]} 12 +0000", "%d %B %Y %H %z")
    environment = {"LUGBOOK_CONFIG": str(tmp_path)}
    desk = open_desk(library=str(demo / "library"), environment=environment, clock=lambda: noon)
    drawn = tmp_path / "response.svg"
    keep_answer(drum_answer(desk, "concert-snare"), drawn)
    assert kept == words(drawn)
    assert len(kept) > 30
