"""How much of a concert stands on one sheet: all that there is room for, and what is left out first."""

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.cards.card_pages import PAPERS, PaperName, card_page, left_out
from lugbook.cards.concert_details import Run, Shows, cuts_of, parts_of, shown_with
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_fit import Room, fitted
from lugbook.cards.concert_layout import Layout
from lugbook.cards.line_count import lines_of, width_em

from .card_samples import crowded_drum, drum_card, preset_card
from .concert_samples import LONG, concert, crowded, still, unserved
from .page_reading import of_class, words

A4, A6 = Room(191.0, 277.0, 6.0, 3.6), Room(95.5, 137.8, 3.2, 2.5)
PLENTY: dict[str, Any] = {
    "remarks": {"remarks": True},
    "some of what would have to give": {"giving": 24},
    "the order of the rods": {"rods": "once"},
    "snares and muffling after a change": {"last": True},
    "the pitches before the doors": {"pitches": True},
    "titles of items played as the one before": {"runs": False},
    "ends of long titles": {"cut": False},
}
"""What would stand on a page that had room for it."""


def lowest_mm(card: CardConcert, shows: Shows, room: Room) -> float:
    """Return how high a page is in the smallest letters, in one column or two."""
    em_mm = room.least_em_mm
    pages = (Layout(card, replace(shows, columns=one), em_mm, room.width_mm / em_mm) for one in (1, 2))
    return min(page.height_em * em_mm for page in pages)


@pytest.mark.parametrize("make", [concert, still, unserved, crowded])
def test_nothing_is_left_out_that_there_is_room_for(make: Callable[[int], CardConcert]) -> None:
    for items, room in product(range(1, 60, 5), (A4, A6)):
        page = fitted(make(items), room)
        for left in page.shows.left_out:
            assert lowest_mm(make(items), replace(page.shows, **PLENTY[left]), room) > room.height_mm
        assert page.height_em * page.em_mm <= room.height_mm


@pytest.mark.parametrize("room", ["a4", "a6"])
def test_the_running_order_is_cut_after_everything_but_the_changes(room: str) -> None:
    """Items go once all else is gone, and changes once all items are."""
    seen = set()
    cards = [concert(items, every=every) for items, every in product((3, 24, 80), (1, 4, 100))]
    for card in (*cards, still(30), still(80), still(200)):
        full, sheet = replace(card, remarks=(LONG,)), A4 if room == "a4" else A6
        page, barest = fitted(full, sheet), shown_with(cuts_of(full))
        items, changes = page.last_item, page.changes_left
        if items < len(card.items) and not changes:
            assert lowest_mm(full, replace(barest, items=items + 1), sheet) > sheet.height_mm
        if changes:
            assert items == 0
            assert lowest_mm(full, replace(barest, items=0), sheet) > sheet.height_mm
        seen.add((page.last_item < len(card.items), page.changes_left > 0))

    assert seen == {(False, False), (True, False), (True, True)}


@pytest.mark.parametrize(("items", "paper"), [(40, "a4"), (32, "a5"), (24, "a6"), (34, "letter")])
def test_a_long_concert_without_changes_has_all_its_items_on_the_card(items: int, paper: PaperName) -> None:
    text = words(card_page(still(items), paper=paper))

    assert left_out(still(items), paper=paper) == ()
    assert "Left out" not in text
    for one in still(items).items:
        (drum, preset), *_ = one.played
        assert f"{one.number} {one.name} {drum}: {preset}" in text


def test_what_is_left_out_is_told_of_every_card() -> None:
    assert left_out(concert(), paper="a4") == left_out(drum_card(), paper="a6") == ()
    assert left_out(preset_card(), paper="a6") == ()
    assert left_out(crowded_drum(), paper="a6") == ("57 more presets",)
    card = concert(40, every=1)
    told = left_out(card, paper="a5")
    more = re.search(r"(\d+) more changes not on this card", words(card_page(card, paper="a5")))
    assert more
    assert "titles" not in " ".join(told)
    assert told[-2:] == ("all items", f"{more[1]} more changes")
    assert f"Left out, for there is no room: {', '.join(told)}." in words(card_page(card, paper="a5"))


def test_items_that_are_left_out_are_named() -> None:
    page = fitted(still(200), A4)
    text = words(card_page(still(200), paper="a4"))

    assert 60 < page.last_item < 200
    assert page.left_out == ("the pitches before the doors", f"items {page.last_item + 1}–200")
    assert f" {page.last_item} Symphony no." in text
    assert f" {page.last_item + 1} Symphony no." not in text


def test_few_items_stand_in_larger_letters() -> None:
    pages = [fitted(concert(items), A4) for items in (1, 12, 40)]
    sizes = [page.em_mm * page.shows.letters for page in pages]

    assert sizes[0] == A4.most_em_mm
    assert sizes == sorted(sizes, reverse=True)
    assert min(page.em_mm for page in pages) >= A4.least_em_mm


@pytest.mark.parametrize(("items", "paper"), [*product((1, 12, 40, 500), PAPERS)])
def test_changes_that_are_left_out_are_counted(items: int, paper: PaperName) -> None:
    card = concert(items, every=1)
    page = card_page(card, paper=paper)
    more = re.search(r"(\d+) more changes? not on this card", words(page))

    assert len(of_class(page, "box")) + (int(more[1]) if more else 0) == len(card.changes)


@pytest.mark.parametrize("items", [60, 500])
def test_of_changes_as_many_stand_as_there_is_room_for(items: int) -> None:
    layout = fitted(concert(items, every=1), A4)
    shown = layout.shows.windows
    assert shown is not None
    more = replace(layout, shows=replace(layout.shows, windows=shown + 1))

    assert 0 < shown < items - 1
    assert layout.height_em * layout.em_mm <= A4.height_mm < more.height_em * more.em_mm


def test_forty_items_with_a_change_after_every_fifth_stand_on_a4_with_all_changes() -> None:
    text = words(card_page(concert(40, every=5), paper="a4"))

    assert left_out(concert(40, every=5), paper="a4") == ("the order of the rods",)
    for number in range(1, 41):
        assert f"{number} Overture no. {number} Concert snare: Dry étude" in text
    assert text.count("loosen ⅜, then tighten ⅛") == 7


def test_items_played_alike_stand_in_runs() -> None:
    rows = parts_of(concert(12, every=5), Shows(runs=True))

    assert [(one.numbers, one.title) for one in rows if isinstance(one, Run)] == [
        ("1–5", "Overture no. 1 and 4 more"),
        ("6–10", "Overture no. 6 and 4 more"),
        ("11–12", "Overture no. 11 and 1 more"),
    ]
    assert [one.where for one in rows if not isinstance(one, Run)] == ["After 5", "After 10"]
    assert len(parts_of(still(12), Shows(runs=True))) == 12


@given(st.text(alphabet="abcde WM軽", max_size=300), st.floats(4, 60), st.integers(2, 8))
def test_more_room_never_takes_more_lines(text: str, room: float, most: int) -> None:
    lines = lines_of(text, room, 1.0, most)

    assert 1 <= lines_of(text, room + 5, 1.0, most) <= lines <= most
    assert lines_of(text, room, 1.2, most) >= lines
    assert lines == most or width_em("".join(text.split())) <= lines * room
