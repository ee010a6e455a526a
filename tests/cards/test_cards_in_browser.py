"""Cards in a real browser: one page each, nothing outside its place, no script, nothing fetched."""

import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from lugbook.cards.card_pages import PAPERS, PaperName, card_page
from lugbook.cards.facts import Card

from .card_browser import NEEDS_BROWSER, POINT_PX, dumped, look, pages_of, printed
from .card_samples import (
    HOSTILE,
    blank_card,
    crowded_blank,
    crowded_drum,
    crowded_preset,
    drum_card,
    preset_card,
    void_preset,
)

pytestmark = NEEDS_BROWSER

PLAIN: dict[str, Card] = {"preset": preset_card(), "drum": drum_card(), "blank": blank_card()}
CROWDED: dict[str, Card] = {
    "preset": crowded_preset(),
    "void preset": void_preset(),
    "drum": crowded_drum(),
    "drum of few presets": replace(crowded_drum(), presets=crowded_drum().presets[:2]),
    "blank": crowded_blank(),
}


@pytest.mark.parametrize("name", list(PLAIN))
def test_a_plain_card_lies_where_it_can_be_read(name: str, tmp_path: Path) -> None:
    seen = look(card_page(PLAIN[name]), tmp_path)

    assert (seen["wrong"], seen["fetched"]) == ([], [])


def test_the_wires_of_a_drum_stand_on_its_card_to_the_end(tmp_path: Path) -> None:
    card = replace(
        drum_card(),
        strainer=("side throw-off, gate", "knob, in clicks from all the way out", "lever, in notches"),
        wires="wires: gut, 12 strands, tied with cord, on since 12 October 2026",
        note="The audition drum; its case is the black one with the red strap, on the upper shelf at home.",
    )
    page = card_page(card)
    # Whatever is marked so must not be cut.
    whole = re.sub(r'<p class="clip (\w+)"><b>Snares', r'<p class="whole clip \1"><b>Snares', page)
    short = whole.replace('"whole clip four"', '"whole clip two"')

    assert page != whole != short
    assert look(whole, tmp_path)["wrong"] == []
    assert look(short, tmp_path)["wrong"]


@pytest.mark.parametrize(("name", "paper"), [*product(CROWDED, PAPERS)])
def test_a_card_as_full_as_can_be_lies_where_it_can_be_read(
    name: str, paper: PaperName, tmp_path: Path
) -> None:
    seen = look(card_page(CROWDED[name], paper=paper, qr=True), tmp_path)

    assert (seen["wrong"], seen["fetched"]) == ([], [])
    assert seen["letters"] >= 5 * POINT_PX


@pytest.mark.parametrize(("name", "paper"), [*product(("preset", "drum", "blank"), ("a6", "letter"))])
def test_it_prints_one_page_of_its_size(name: str, paper: PaperName, tmp_path: Path) -> None:
    pages = pages_of(printed(card_page(CROWDED[name], paper=paper), tmp_path))

    assert len(pages) == 1
    assert pages[0] == pytest.approx((PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.5)


def test_the_checks_see_what_they_look_for(tmp_path: Path) -> None:
    """A card that is too small for its words is told, and one that is too long takes two pages."""
    page = card_page(preset_card())
    small = page.replace("<h2>Top head</h2>", f"<h2>{'Top head ' * 200}</h2>")
    higher = page.replace("height: 147.5mm", "height: 200mm")

    assert look(small, tmp_path)["wrong"]
    assert small != page != higher
    assert len(pages_of(printed(higher, tmp_path))) == 2


def test_a_name_that_is_a_script_stays_a_name(tmp_path: Path) -> None:
    named = card_page(replace(preset_card(), name=HOSTILE))
    seen = look(named, tmp_path)

    assert seen["title"] == HOSTILE
    assert "&lt;script&gt;document.title" in dumped(named, tmp_path)


def test_the_page_itself_lets_no_script_run(tmp_path: Path) -> None:
    page = card_page(preset_card()).replace("</body>", "<script>document.title='ran'</script></body>")

    assert "<title>Dry étude</title>" in dumped(page, tmp_path)
