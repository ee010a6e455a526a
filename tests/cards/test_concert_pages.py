"""The card of a concert: every fact is on it, what is left out is said, and in which order."""

import re
from dataclasses import replace
from itertools import product

import pytest

from lugbook.cards.card_pages import PAPERS, PaperName, card_page, left_out
from lugbook.cards.card_text import essentials, text_card
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_text import MOST_BYTES
from lugbook.cards.qr import code_of
from lugbook.cards.text_lines import WIDTH
from lugbook.plain import columns_of

from .card_samples import HOSTILE, hostile
from .concert_samples import change, concert, crowded, still, unserved, window
from .page_reading import HTML, of_class, read, words

EVERY = [
    *(concert(items, every=every) for items in (1, 12, 40) for every in (1, 5)),
    *(crowded(), crowded(40), still(40), still(200), unserved(10), unserved(60)),
]
FACTS = (
    *("Spring concert", "12 December 2026, Town hall, A4 442 Hz", "Before the doors, measured"),
    *("Concert snare: Soft rolls", "top B♭3 −12 (232.4 Hz)", "bottom D4 (295.0 Hz)", "Field drum: March"),
    *("Overture no. 1", "Overture no. 3", "Concert snare: Dry étude", "After 2", "2:10 of 3:00"),
    *("Bottom head", "loosen ⅜, then tighten ⅛", "Top head", "tighten ½"),
    *("Set the strainer: just past free buzz.", "Caution: a head may split", "Card of 25 November 2026."),
)


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
