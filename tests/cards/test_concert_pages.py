"""The card of a concert: every fact is on it, what is left out is said, and in which order."""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from itertools import product
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
import pytest
from html5lib.html5parser import HTMLParser
from hypothesis import given
from hypothesis import strategies as st

from lugbook.cards.card_pages import PAPERS, PaperName, card_page, left_out
from lugbook.cards.card_text import essentials, text_card
from lugbook.cards.concert_details import Run, Shows, parts_of
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_fit import Room, fitted
from lugbook.cards.concert_text import MOST_BYTES
from lugbook.cards.line_count import lines_of, width_em
from lugbook.cards.qr import code_of
from lugbook.cards.text_lines import WIDTH
from lugbook.plain import columns_of

from .card_samples import HOSTILE, crowded_drum, drum_card, preset_card
from .concert_samples import LONG, change, concert, crowded, still, unserved, window

HTML = "{http://www.w3.org/1999/xhtml}"
EVERY = [
    *(concert(items, every=every) for items in (1, 12, 40) for every in (1, 5)),
    *(crowded(), crowded(40), still(40), still(200), unserved(10), unserved(60)),
]
A4, A6 = Room(191.0, 277.0, 6.0, 3.6), Room(95.5, 137.8, 3.2, 2.5)
FACTS = (
    *("Spring concert", "12 December 2026, Town hall, A4 442 Hz", "Before the doors, measured"),
    *("Concert snare: Soft rolls", "top B♭3 −12 (232.4 Hz)", "bottom D4 (295.0 Hz)", "Field drum: March"),
    *("Overture no. 1", "Overture no. 3", "Concert snare: Dry étude", "After 2", "2:10 of 3:00"),
    *("Bottom head", "loosen ⅜, then tighten ⅛", "Top head", "tighten ½"),
    *("Set the strainer: just past free buzz.", "Caution: a head may split", "Card of 25 November 2026."),
)


def read(page: str) -> Any:  # noqa: ANN401 -- what html5lib makes has no type of its own
    """Return the tree of a page that keeps every rule of HTML."""
    return HTMLParser(tree=html5lib.getTreeBuilder("etree"), strict=True).parse(page)


def words(page: str) -> str:
    """Return the text of a page."""
    return " ".join(" ".join(read(page).find(f"{HTML}body").itertext()).split())


def of_class(page: str, name: str) -> list[Element]:
    """Return the elements of a class."""
    return [one for one in read(page).iter() if name in one.attrib.get("class", "").split()]


def hostile(value: Any) -> Any:  # noqa: ANN401 -- goes through values of every kind
    """Return a card in which every text is one that a page must not take for its own."""
    if isinstance(value, str):
        return f'{HOSTILE}"&\x1b[2J{{{{ 7 * 7 }}}}'
    if isinstance(value, tuple):
        return tuple(map(hostile, value))
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{one.name: hostile(getattr(value, one.name)) for one in fields(value)})
    return value


@pytest.mark.parametrize(("card", "paper"), [*product(EVERY, PAPERS)])
def test_every_page_keeps_the_rules_of_html_and_fetches_nothing(card: CardConcert, paper: PaperName) -> None:
    page = card_page(card, paper=paper, qr=paper == "a5")

    read(page)
    assert not re.search(r"\b(?:src|href|action|data)\s*=|url\(|@import|https?:", page)


def test_a_page_tells_all_that_is_to_be_done() -> None:
    text = words(card_page(concert(), paper="a4"))

    for fact in FACTS:
        assert fact in text, fact
    assert "DOES NOT FIT" not in text
    assert "Left out" not in text


def test_plain_text_tells_the_same() -> None:
    text = " ".join(" ".join(text_card(concert())).split())

    for fact in (*FACTS, "[ ] Concert snare: Soft rolls to Dry étude, for 3", "rods 1 6 3 8 5 10 7 2 9 4"):
        assert fact.replace("Bottom head", "Bottom head: loosen").removesuffix(": loosen") in text, fact


@pytest.mark.parametrize("card", EVERY)
def test_plain_text_is_42_columns_wide_and_leaves_out_no_change(card: CardConcert) -> None:
    lines = text_card(card)

    assert WIDTH == 42
    assert max(map(columns_of, lines)) <= WIDTH
    assert sum(line.startswith("[ ]") for line in lines) == len(card.changes)


def test_changes_stand_between_the_items_they_lie_between() -> None:
    rest = replace(window(2), where="In 2, bars 12-40")
    text = words(card_page(replace(concert(4), windows=(window(1), rest, window(2))), paper="a4"))
    places = [text.index(mark) for mark in ("no. 1", "After 1", "no. 2", "In 2", "After 2", "no. 3")]

    assert places == sorted(places)


def test_each_change_has_a_box_and_its_rods_in_order() -> None:
    page = card_page(concert(7), paper="a4")
    rows = [[item.text for item in row.iter(f"{HTML}li")] for row in read(page).iter(f"{HTML}ol")]

    assert len(of_class(page, "box")) == len(concert(7).changes) == 3
    assert rows == [["1", "6", "3", "8", "5", "10", "7", "2", "9", "4"]] * 3


def test_what_does_not_fit_is_said_on_both() -> None:
    late = replace(window(2), seconds=100.0, missing_s=30.0, time="2:10 of 1:40", missing="0:30 too short")
    card = replace(
        concert(), windows=(late,), fits=False, short=("The pause after 2 would have to be 2:10.",)
    )
    for text in (words(card_page(card, paper="a4")), " ".join(" ".join(text_card(card)).split())):
        assert "DOES NOT FIT" in text
        assert "0:30 TOO SHORT" in text
        assert "The pause after 2 would have to be 2:10." in text


def test_an_item_without_a_preset_and_a_tacet_are_not_the_same() -> None:
    first, second, third = concert().items
    card = replace(
        concert(), items=(replace(first, played=()), replace(second, played=(), tacet=True), third)
    )
    for text in (words(card_page(card, paper="a4")), " ".join(text_card(card))):
        assert text.count("NO PRESET") == text.count("tacet") == 1


def test_what_is_not_trusted_and_past_a_limit_is_said_however_little_room_there_is() -> None:
    said = replace(change(3), doubts=("A guess.",), cautions=("top head: past its limit of 2½ turns",))
    for items, paper in ((3, "a4"), (40, "a6")):
        card = concert(items, every=1)
        windows = (replace(card.windows[0], changes=(said,)), *card.windows[1:])
        page = words(card_page(replace(card, windows=windows), paper="a4" if paper == "a4" else "a6"))
        assert "Not trusted. Top head: past its limit of 2½ turns." in page
        assert ("A guess." in page) == (items == 3)


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


@pytest.mark.parametrize("make", [concert, still, unserved, crowded])
def test_nothing_is_left_out_that_there_is_room_for(make: Callable[[int], CardConcert]) -> None:
    for items, room in product(range(1, 60, 3), (A4, A6)):
        page = fitted(make(items), room)
        for left in page.shows.left_out if page.last_item == items else ():
            for columns in (1, 2):
                fuller = replace(page.shows, **PLENTY[left], columns=columns)
                more = replace(
                    page, shows=fuller, em_mm=room.least_em_mm, width_em=room.width_mm / room.least_em_mm
                )
                assert more.height_em * more.em_mm > room.height_mm, (items, left)
        assert page.height_em * page.em_mm <= room.height_mm


@pytest.mark.parametrize("room", ["a4", "a6"])
def test_the_running_order_is_cut_after_everything_but_the_changes(room: str) -> None:
    """Items go once all else is gone, and changes once all items are."""
    seen = set()
    cards = [concert(items, every=every) for items, every in product((3, 24, 80), (1, 4, 100))]
    for card in (*cards, still(30), still(80), still(200)):
        page = fitted(replace(card, remarks=(LONG,)), A4 if room == "a4" else A6)
        shows = page.shows
        if page.last_item < len(card.items):
            assert (shows.remarks, shows.letters < 1, shows.pitches, shows.cut) == (False, True, False, True)
            assert not card.changes or (shows.rods, shows.last) == ("none", False)
        if page.changes_left:
            assert page.last_item == 0
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
    assert left_out(crowded_drum(), paper="a6") == ("56 more presets",)
    card = concert(40, every=1)
    told = left_out(card, paper="a5")
    more = re.search(r"(\d+) more changes not on this card", words(card_page(card, paper="a5")))
    assert more
    assert told[-2:] == ("all items", f"{more[1]} more changes")
    assert f"Left out, for there is no room: {', '.join(told)}." in words(card_page(card, paper="a5"))


def test_items_that_are_left_out_are_named() -> None:
    page = fitted(still(200), A4)
    text = words(card_page(still(200), paper="a4"))

    assert 60 < page.last_item < 200
    assert page.left_out[-1] == f"items {page.last_item + 1}–200"
    assert f" {page.last_item} Symphony no." in text
    assert f" {page.last_item + 1} Symphony no." not in text


def test_all_that_would_have_to_give_stands_where_there_is_room_and_no_command() -> None:
    card = unserved(10, after=" Its count ended. `lugbook retune a/b --top R` brings it there.")
    text = words(card_page(card, paper="a4"))

    for number in range(1, 10):
        assert f"Item {number}, Name: no preset serves it." in text
    assert "Item 10, Name: it cannot be. Its count ended. Before the doors" in text
    assert "`lugbook" not in text
    assert "some of what would have to give" in left_out(unserved(40), paper="a6")


def test_doubts_and_remarks_stand_without_commands() -> None:
    said = ("It is a guess. Read it with `lugbook tune a/b`.",)
    first, *others = concert().items
    doubtful = replace(window(2), changes=(replace(change(3), doubts=said),))
    card = replace(
        concert(), items=(replace(first, remarks=said), *others), windows=(doubtful,), remarks=said
    )
    text = words(card_page(card, paper="a4"))

    assert text.count("It is a guess.") == 3
    assert "lugbook" not in text


def test_a_concert_without_items_says_so() -> None:
    card = replace(concert(0), before_doors=(), windows=())
    for text in (words(card_page(card, paper="a4")), " ".join(text_card(card))):
        assert "There are no items yet." in text
        assert "no drum" not in text
    tacet = replace(concert(1), before_doors=(), items=(replace(concert(1).items[0], played=(), tacet=True),))
    assert "no drum" in words(card_page(tacet, paper="a4"))


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


def test_what_stands_in_a_record_stays_text() -> None:
    card = replace(hostile(concert()), fits=False)
    page = card_page(card, paper="a4", qr=True)
    tree = read(page)

    assert not [one for one in tree.iter() if str(one.tag).removeprefix(HTML) in ("script", "img", "iframe")]
    assert words(page).count(HOSTILE) > 20
    assert "49" not in words(page)
    assert "{{ 7 * 7 }}" in words(page)
    assert "\x1b" not in page
    assert all(line.isprintable() for line in text_card(card))


@pytest.mark.parametrize("card", EVERY)
def test_the_code_holds_what_fits_and_says_how_much_is_left(card: CardConcert) -> None:
    held = essentials(card)

    assert len(held.encode()) <= MOST_BYTES + len("\n… 100 more lines".encode())
    assert code_of(held).side
    lines = 2 + len(card.before_doors) + len(card.changes)
    kept = held.split("\n")
    more = re.fullmatch(r"… (\d+) more lines", kept[-1])
    assert len(kept) - bool(more) + (int(more[1]) if more else 0) == lines
