"""Finding entries and presets by words, music and pitch."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk
from lugbook.desk.finding import Found, find
from lugbook.desk.pieces import add_piece
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.errors import BadValue, NotFound
from lugbook.records import SnareSetting

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def filled(desk: Desk, clock: Clock, with_drum: Put) -> Desk:
    """A preset of A3 and D4, and three entries a minute apart."""
    with_drum(made=clock.moment.isoformat(), words="Très sèche")
    states = (
        State(top="A3+40", bottom="E4", values={"words": "dull and dry", "context": "dry étude"}),
        State(top="221.3", values={"words": "open", "snares": SnareSetting(words="just free")}),
        State(top="Bb", values={"words": "a bit tubby", "context": "big orchestral tutti", "note": "rain"}),
    )
    for state in states:
        clock.forward(minutes=1)
        try_state(desk, DRUM, state)
    return desk


def words_of(found: Found) -> list[str]:
    return [one.entry.words for one in found.entries]


@pytest.mark.parametrize(
    ("words", "entries", "presets"),
    [
        (["dull"], ["dull and dry"], 0),
        (["DRY", "dull"], ["dull and dry"], 0),
        (["dry dull"], ["dull and dry"], 0),
        (["dry"], ["open", "dull and dry"], 1),
        (["tub"], ["a bit tubby"], 0),
        (["seche"], [], 1),
        (["orchestral", "rain"], ["a bit tubby"], 0),
        (["free"], ["open"], 0),
        (["concert-snare", "open"], ["open"], 0),
        (["nowhere"], [], 0),
        (["dull", "nowhere"], [], 0),
    ],
)
def test_all_words_are_found_in_any_text(
    filled: Desk, words: list[str], entries: list[str], presets: int
) -> None:
    found = find(filled, words)

    assert words_of(found) == entries
    assert len(found.presets) == presets
    assert found.nothing == (not entries and not presets)


@pytest.mark.parametrize(
    ("pitch", "entries", "presets"),
    [
        ("A3", ["open", "dull and dry"], 1),
        ("a", ["open", "dull and dry"], 1),
        ("A4", [], 0),
        ("A#3", ["a bit tubby"], 0),
        ("Bb", ["a bit tubby"], 0),
        ("D", [], 1),
        ("E4", ["dull and dry"], 0),
        ("220", ["open"], 1),
        ("221.3Hz", ["open"], 1),
        ("226", ["dull and dry"], 0),
        ("A3+40", ["dull and dry"], 0),
        ("A3+20", ["open", "dull and dry"], 1),
        ("A+40", ["dull and dry"], 0),
        ("1000", [], 0),
    ],
)
def test_a_pitch_is_found_by_its_nearest_note_or_within_25_cents(
    filled: Desk, pitch: str, entries: list[str], presets: int
) -> None:
    """221.3 Hz is A3+10.2, and 226 Hz A3+46.6 (1200·log2(f/220), worked out by hand)."""
    found = find(filled, [pitch])

    assert words_of(found) == entries
    assert len(found.presets) == presets


def test_words_and_pitch_go_together(filled: Desk) -> None:
    assert words_of(find(filled, ["dull", "A3"])) == ["dull and dry"]
    assert words_of(find(filled, ["dull", "D4"])) == []


def test_music_is_asked_for_as_the_shelf_does(filled: Desk) -> None:
    assert words_of(find(filled, [], contexts=["tutti"])) == ["a bit tubby"]
    assert words_of(find(filled, [], contexts=["tutti", "dry"])) == []
    assert len(find(filled, [], contexts=["Dry Etude"]).presets) == 1
    assert words_of(find(filled, ["dull"], contexts=["tutti"])) == []


def test_where_nothing_is_found_the_nearest_music_is_named(filled: Desk) -> None:
    assert find(filled, ["x"], contexts=["dry etudes"]).contexts == ("dry étude",)
    assert find(filled, ["zzzz"]).contexts == ("big orchestral tutti", "dry étude")
    assert find(filled, ["dull"]).contexts == ()
    add_piece(filled, {"title": "Serenade", "contexts": ["lullaby"]})
    assert find(filled, [], contexts=["lulaby"]).contexts == ("lullaby",)


def test_a_drum_can_be_named(filled: Desk) -> None:
    assert len(find(filled, ["dry"], drum=DRUM).entries) == 2
    with pytest.raises(NotFound, match="nobody"):
        find(filled, ["dry"], drum="nobody")
    with pytest.raises(BadValue, match="Nothing to find"):
        find(filled, ["  "])
