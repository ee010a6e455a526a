"""The card of a concert in a real browser: one page, whatever its length, nothing cut that must be whole."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from lugbook.cards.card_pages import PAPERS, PaperName, card_page, left_out
from lugbook.cards.concert_facts import CardConcert

from .card_browser import NEEDS_BROWSER, POINT_PX, dumped, look, pages_of, printed
from .card_samples import HOSTILE
from .concert_samples import concert, crowded, item, still, unserved

pytestmark = NEEDS_BROWSER

CARDS: dict[str, CardConcert] = {
    **{f"{items} items": concert(items) for items in (1, 12, 40)},
    **{f"{items} items, all changed": concert(items, every=1) for items in (12, 40)},
    **{f"{items} items, nothing changed": still(items) for items in (24, 40, 120)},
    **{f"{items} items, not served": unserved(items) for items in (10, 40)},
    "no items": replace(concert(0), before_doors=(), windows=()),
    **{f"{items} crowded items": crowded(items) for items in (1, 2, 12, 40)},
}
MOST_BLANK = 1 / 6
"""So much of the height of a page may stay blank where something was left out: about a change, on A6."""


@pytest.mark.parametrize(("name", "paper"), [*product(CARDS, PAPERS)])
def test_it_lies_where_it_can_be_read(name: str, paper: PaperName, tmp_path: Path) -> None:
    seen = look(card_page(CARDS[name], paper=paper, qr="crowded" in name), tmp_path)

    assert (seen["wrong"], seen["fetched"]) == ([], [])
    assert seen["letters"] >= 5 * POINT_PX
    if left_out(CARDS[name], paper=paper, qr="crowded" in name):
        assert seen["free"] <= MOST_BLANK * seen["height"]


@pytest.mark.parametrize(("name", "paper"), [*product(CARDS, PAPERS)])
def test_it_prints_one_page_of_its_size(name: str, paper: PaperName, tmp_path: Path) -> None:
    pages = pages_of(printed(card_page(CARDS[name], paper=paper), tmp_path))

    assert len(pages) == 1
    assert pages[0] == pytest.approx((PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.5)


def test_the_check_sees_an_amount_that_is_cut(tmp_path: Path) -> None:
    page = card_page(concert(), paper="a4")
    cut = page.replace("loosen ⅜, then tighten ⅛", "loosen ⅜, then tighten ⅛ " * 9, 1)

    assert look(cut, tmp_path)["wrong"]


def test_names_that_are_scripts_stay_names(tmp_path: Path) -> None:
    named = replace(item(1), name=HOSTILE, played=((HOSTILE, HOSTILE),))
    page = card_page(replace(concert(), name=HOSTILE, items=(named,)), paper="a4")

    assert look(page, tmp_path)["title"] == HOSTILE
    assert "&lt;script&gt;document.title" in dumped(page, tmp_path)
