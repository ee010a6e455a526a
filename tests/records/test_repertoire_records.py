"""Records of pieces and concerts: what they refuse, and how they call things."""

from datetime import date

import pytest
from pydantic import ValidationError

from lugbook.records import Concert, Item, Passage, Performance, Piece, Rest


@pytest.mark.parametrize(
    ("composer", "movement", "called"),
    [
        ("", "", "Boléro"),
        ("", "II", "Boléro, II"),
        ("Ravel", "", "Ravel: Boléro"),
        ("Ravel", "II", "Ravel: Boléro, II"),
    ],
)
def test_a_piece_is_called_as_in_a_programme(composer: str, movement: str, called: str) -> None:
    assert Piece(title="Boléro", composer=composer, movement=movement).called == called


def test_what_a_piece_was_played_with_served_too_and_counts_once() -> None:
    played = tuple(
        Performance(on=date(2026, 5, day), preset=one) for day, one in ((1, "b/two"), (2, "a/one"))
    )

    assert Piece(title="X", presets=("a/one",), performances=played).served == ("a/one", "b/two")


@pytest.mark.parametrize(
    ("values", "bars"),
    [
        ({}, ""),
        ({"bar_from": 0}, "0"),
        ({"bar_from": 12, "bar_to": 20}, "12-20"),
        ({"bar_from": 3, "bar_to": 3}, "3"),
    ],
)
def test_bars_are_written_as_one_writes_them(values: dict[str, int], bars: str) -> None:
    assert Passage.model_validate(values).bars == bars


@pytest.mark.parametrize(
    "values", [{"bar_from": 20, "bar_to": 12}, {"bar_to": 12}, {"bar_from": -1}, {"bar_from": 10_000}]
)
def test_bars_that_cannot_be_are_refused(values: dict[str, int]) -> None:
    with pytest.raises(ValidationError, match="bar"):
        Rest.model_validate({"seconds": 5, **values})


@pytest.mark.parametrize("name", ["dry", "snare/", "/dry", "a/b/c", ""])
def test_a_preset_has_its_drum_before_it(name: str) -> None:
    with pytest.raises(ValidationError, match="presets"):
        Piece(title="X", presets=(name,))


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({}, "neither a piece nor a title"),
        ({"title": "X", "presets": ["a/one", "b/one", "a/two"]}, 'the drum "a" would have to stand in two'),
        ({"title": "X", "tacet": True, "contexts": ["march"]}, "tacet"),
        ({"title": "X", "after_s": -1}, "after_s"),
        ({"title": "X", "after_s": float("nan")}, "after_s"),
    ],
)
def test_an_item_that_makes_no_sense_is_refused(values: dict[str, object], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        Item.model_validate(values)


def test_an_item_that_follows_at_once_is_none_of_which_nobody_said_when() -> None:
    assert Item(title="X", after_s=0).after_s == 0
    assert Item(title="X").after_s is None


@pytest.mark.parametrize(
    "values", [{"stage_drums": 0}, {"pace": 0.1}, {"a4": 500}, {"items": [{"title": "X"}] * 501}]
)
def test_a_concert_that_cannot_be_is_refused(values: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match=next(iter(values))):
        Concert.model_validate({"name": "X", **values})
