"""Cards in plain text: 42 columns, whatever stands in them, and all of it."""

import unicodedata
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.cards.card_map import grid_of
from lugbook.cards.card_text import essentials, text_card
from lugbook.cards.facts import Card
from lugbook.cards.text_lines import WIDTH
from lugbook.trials import Search
from lugbook.trials.mapping import map_of

from .card_samples import (
    blank_card,
    crowded_blank,
    crowded_drum,
    crowded_preset,
    drum_card,
    preset_card,
    searched,
    void_preset,
    wide_map,
)

EVERY = [
    *(preset_card(), drum_card(), blank_card(), replace(preset_card(), map=searched(together=True))),
    *(crowded_preset(), void_preset(), crowded_drum(), crowded_blank()),
]


def columns(line: str) -> int:
    """Return the columns of a terminal that a line takes (Unicode Standard Annex 11)."""
    return sum(
        0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1
        for sign in line
    )


@pytest.mark.parametrize("card", EVERY)
def test_no_line_is_wider_than_the_card(card: Card) -> None:
    assert WIDTH == 42
    assert max(columns(line) for line in text_card(card)) <= WIDTH


@given(st.text(max_size=200), st.text(max_size=200), st.text(max_size=60))
def test_any_text_is_broken_and_shown(words: str, name: str, heading: str) -> None:
    card = replace(preset_card(), words=words, name=name, others=((heading, words),))
    lines = text_card(card)

    assert all(columns(line) <= WIDTH and line.isprintable() for line in lines)
    assert all(line.isprintable() for line in essentials(card).split("\n"))


def test_a_preset_tells_all_that_brings_it_back() -> None:
    text = " ".join(" ".join(text_card(preset_card())).split())

    for fact in (
        *(
            "Dry étude",
            "dry étude, audition",
            "Top B♭3 −12 (232.4 Hz); recorded, ± 4 cents",
            "Bottom D4 (295.0",
        ),
        *("A4 442 Hz", "Interval major third, +412 cents", "Top head: 1½; from: finger tight"),
        *("Bottom head: void (a new count began 3 May 2026: new head), was 2¼", "Sound crisp at the edge"),
        *("Top head: 1 6 3 8 5 10 7 2 9 4", "beside the snare beds: 1 5 6 10", "knob 3.5 (clicks from"),
        *("dry étude; this card is its entry 2", "Caution: a head may split", "Card of 25 November 2026."),
    ):
        assert fact in text, fact


def test_a_drum_without_strainer_and_wires_has_no_line_for_its_snares() -> None:
    assert any(line.startswith("Snares") for line in text_card(drum_card()))
    without = replace(drum_card(), strainer=(), wires="")
    assert not any(line.startswith("Snares") for line in text_card(without))


def test_the_map_has_its_signs_where_their_turns_are() -> None:
    lines = text_card(preset_card())
    head = next(line for line in lines if line.startswith("bottom \\ top"))
    row = lines[lines.index(head) + 2]

    assert row.startswith("0 ")
    for turns, sign in (("0", "○1"), ("¼", "●2"), ("½", "−3")):
        assert row.index(sign) == head.index(f" {turns}") + 1


def test_the_code_holds_english_names_and_says_what_is_void() -> None:
    assert essentials(preset_card()).split("\n") == [
        *("Dry étude", "Concert snare, 14 × 6.5 in", "Top head: Bb3-12 (232.4 Hz)"),
        *("Bottom head: D4 (295.0 Hz)", "A4 442 Hz; major third, +412 cents", "Top head: turns 1½"),
        *("Bottom head: turns void", "Snares: knob 3.5 (clicks from all the way out); just past free buzz"),
    ]
    assert "rods 1 6 3 8 5 10 7 2 9 4" in essentials(drum_card())


def test_a_long_search_shows_what_lies_around_the_kept_state() -> None:
    search = Search()
    for number in range(1, 30):
        search.tell("better", position=(number / 4, 0.0))
    grid = grid_of(map_of(search), across=5, up=3)

    assert len(grid.tops) == 5
    assert "7¼" in grid.tops
    assert grid.more > 20
    assert any("●" in cells for _, row in grid.rows for cells in row)
    assert not grid_of(searched().map, across=9, up=9).more


def test_in_single_tension_the_map_is_one_row() -> None:
    grid = grid_of(searched(together=True).map, across=9, up=9)

    assert grid.rows[0][1][grid.tops.index("¼")] == "●2"
    assert len(grid.rows) == 1


def test_turns_of_many_words_are_listed_one_by_one() -> None:
    card = replace(preset_card(), map=wide_map())
    text = " ".join(" ".join(text_card(card)).split())

    assert "bottom \\ top" not in text
    assert "●89 top 1⅝ and a hair and a half, bottom 2⅛ and a hair =90" in text
