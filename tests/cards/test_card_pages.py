"""Cards as pages: every fact is on them, whatever stands in a record stays text, and nothing is fetched."""

import re
import sys
from dataclasses import replace
from html import unescape
from itertools import product
from pathlib import Path
from typing import get_args

import html5lib
import numpy as np
import pytest
import zxingcpp

from lugbook.cards import card_pages
from lugbook.cards.blank_chart import TURNED, VERDICT, BlankHead, blank_chart
from lugbook.cards.card_pages import PAPERS, PaperName, card_page
from lugbook.cards.card_text import essentials
from lugbook.cards.facts import Card
from lugbook.cards.qr import QUIET, code_of
from lugbook.errors import BadValue

from .card_samples import (
    HOSTILE,
    blank_card,
    crowded_blank,
    crowded_drum,
    crowded_preset,
    drum_card,
    hostile,
    preset_card,
    void_preset,
)
from .page_reading import HTML, read, words

PLAIN = [preset_card(), drum_card(), blank_card()]
EVERY = [*PLAIN, crowded_preset(), void_preset(), crowded_drum(), crowded_blank()]


@pytest.mark.parametrize(("card", "paper"), [*product(EVERY, PAPERS)])
def test_every_page_keeps_the_rules_of_html(card: Card, paper: PaperName) -> None:
    read(card_page(card, paper=paper, qr=paper == "a5"))


def test_the_check_of_html_sees_a_fault() -> None:
    with pytest.raises(html5lib.html5parser.ParseError):
        read(card_page(preset_card()).replace("</section>", "</div>", 1))


@pytest.mark.parametrize("card", PLAIN)
def test_what_stands_in_a_record_stays_text(card: Card) -> None:
    page = card_page(hostile(card), qr=True)
    tree = read(page)

    assert not [one for one in tree.iter() if str(one.tag).removeprefix(HTML) in ("script", "img", "iframe")]
    assert HOSTILE in words(page)
    assert "{{ 7 * 7 }}" in words(page)
    assert "49" not in words(page)
    assert "\x1b" not in page
    assert "␛[2J" in page
    handlers = [name for one in tree.iter() for name in one.attrib if name.startswith("on")]
    assert not handlers


@pytest.mark.parametrize("card", EVERY)
def test_a_page_fetches_nothing_and_forbids_it(card: Card) -> None:
    page = card_page(card, qr=True)

    assert not re.search(r"\b(?:src|href|action|data)\s*=|url\(|@import|https?:", page)
    assert "content=\"default-src 'none'; style-src 'unsafe-inline'\"" in page


def test_no_template_lets_text_through_unescaped() -> None:
    templates = sorted((Path(card_pages.__file__).parent / "pages").glob("*.html"))

    assert {one.name for one in templates} >= {"preset.html", "drum.html", "blank.html"}
    for template in templates:
        assert not re.search(r"\|\s*safe|autoescape|Markup", template.read_text(encoding="utf-8"))


def test_a_preset_tells_all_that_brings_it_back() -> None:
    page = words(card_page(preset_card()))

    for fact in (
        *("Dry étude", "Concert snare, 14 × 6.5 in", "for dry étude, audition", "B♭3", "−12", "232.4 Hz"),
        *("recorded, ± 4 cents", "A4 442 Hz.", "major third, +412 cents", "1½", "from: finger tight"),
        *("VOID was 2¼", "a new count began 3 May 2026: new head", "knob 3.5 clicks from all the way out"),
        *("just past free buzz", "side throw-off", "Muffling: none", "Sound: crisp at the edge"),
        *("● kept", "− worse", "○1", "●2", "stop when a rod binds", "at most 400.5 Hz"),
        *("Found 4 May 2026.", "Card of 25 November 2026.", "top: film, 10 mil, on since 3 May 2026"),
    ):
        assert fact in page, fact


def test_the_rods_stand_in_a_row_in_their_order() -> None:
    lists = [
        [item.text for item in one.iter(f"{HTML}li")]
        for one in read(card_page(preset_card())).iter(f"{HTML}ol")
    ]

    assert lists == [["1", "6", "3", "8", "5", "10", "7", "2", "9", "4"]] * 2


def test_a_drum_tells_its_heads_and_how_many_presets_are_left_out() -> None:
    card = drum_card()
    page = words(card_page(card))
    crowd = words(card_page(crowded_drum(), paper="a5"))

    for fact in ("Concert snare", "shell: brass", "at 1½ turns", "from: finger tight", "at most 2 turns"):
        assert fact in page, fact
    assert "Mind the lid. Heavy." in words(card_page(replace(card, note="Mind the lid.\nHeavy.")))
    for fact in ("B♭3 −12", "D4", "442", "1½ / void", "cable, 12 strands", "The audition drum.", "Both"):
        assert fact in page, fact
    assert "not on this card" not in page
    # Its remarks take the room of one.
    assert f"{60 - PAPERS['a5'].presets + 1} more presets not on this card." in crowd


@pytest.mark.parametrize("paper", list(PAPERS))
def test_a_chart_has_its_lines(paper: PaperName) -> None:
    rows = list(read(card_page(blank_card(), paper=paper)).iter(f"{HTML}tr"))
    without = list(read(card_page(replace(blank_card(), turns=False), paper=paper)).iter(f"{HTML}tr"))

    assert len(rows) == 1 + PAPERS[paper].states
    assert {len(list(row)) for row in rows} == {10}
    assert {len(list(row)) for row in without} == {7}


def test_a_page_and_a_text_of_a_chart_explain_their_columns_alike() -> None:
    card = blank_card()
    page = unescape(card_page(card))
    text = " ".join(blank_chart(card.name, [BlankHead(one.head, one.order, "") for one in card.rods]))

    for said in (VERDICT, TURNED):
        assert said in page
        assert said in " ".join(text.split())
    assert TURNED not in unescape(card_page(replace(card, turns=False)))


def test_the_sheets_are_those_of_the_standards() -> None:
    """ISO 216: each sheet is the one before halved, to whole millimetres; letter is 8½ by 11 inches."""
    assert set(PAPERS) == set(get_args(PaperName))
    a4, a5, a6 = (PAPERS[name] for name in ("a4", "a5", "a6"))
    assert (a4.width_mm, a4.height_mm) == (210, 297)
    assert (a5.width_mm, a5.height_mm) == (a4.height_mm // 2, a4.width_mm)
    assert (a6.width_mm, a6.height_mm) == (a5.height_mm // 2, a5.width_mm)
    letter = PAPERS["letter"]
    assert (letter.width_mm, letter.height_mm) == pytest.approx((8.5 * 25.4, 11 * 25.4))


@pytest.mark.parametrize("card", EVERY)
def test_another_program_reads_the_code(card: Card) -> None:
    code = code_of(essentials(card))
    picture = np.full((code.side, code.side), 255, dtype=np.uint8)
    for column, line in re.findall(r"M(\d+) (\d+)h1v1h-1z", code.path):
        picture[int(line), int(column)] = 0

    found = zxingcpp.read_barcodes(np.kron(picture, np.ones((6, 6), dtype=np.uint8)))

    assert [one.text for one in found] == [essentials(card)]
    assert (picture[:QUIET] == 255).all()
    assert f'd="{code.path}"' in card_page(card, qr=True)
    assert "<svg" not in card_page(card)


def test_without_the_package_a_code_is_refused_with_what_would_help(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "segno", None)

    with pytest.raises(BadValue, match="segno is not installed") as refused:
        card_page(preset_card(), qr=True)

    assert "lugbook[qr]" in refused.value.hint
    assert card_page(preset_card())
