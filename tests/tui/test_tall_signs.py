"""The tall signs: each can be told from every other, and lines of them are even."""

import itertools

import pytest

from lugbook.tui import tall
from lugbook.tui.tall import LOW, TALL, amount, drawn, fitting
from lugbook.turns.amounts import show_turns

NEEDED = "0123456789ABCDEFGH+−♯♭"


@pytest.mark.parametrize(("signs", "rows"), [(TALL, 5), (LOW, 3)])
def test_every_sign_is_even(signs: dict[str, tuple[str, ...]], rows: int) -> None:
    """All rows of a sign have one width, and all signs of a set one height."""
    assert {len(glyph) for glyph in signs.values()} == {rows}
    assert all(len({len(row) for row in glyph}) == 1 for glyph in signs.values())


@pytest.mark.parametrize("signs", [TALL, LOW])
def test_signs_that_stand_beside_each_other_differ(signs: dict[str, tuple[str, ...]]) -> None:
    """No two of the signs that notes and numbers need look the same."""
    for one, other in itertools.combinations(NEEDED, 2):
        # A letter stands first and a digit never does, so 0 and O, 5 and S, 8 and B may be close, not equal.
        assert signs[one] != signs[other], (one, other)


@pytest.mark.parametrize("signs", [TALL, LOW])
def test_only_blocks_and_blanks_are_used(signs: dict[str, tuple[str, ...]]) -> None:
    """Every terminal font has the signs that these are built from."""
    assert {sign for glyph in signs.values() for row in glyph for sign in row} <= set(" █▀▄")


def test_words_of_the_screens_can_be_drawn_low() -> None:
    """Heads, ways and verdicts have all their letters."""
    for word in ("TOP", "BOTTOM", "TIGHTEN", "LOOSEN", "FLAT", "SHARP", "IN TUNE", "CANNOT TELL", "A HAIR"):
        line = drawn(word, signs=LOW)
        letters = len(word.replace(" ", ""))

        assert letters * 3 <= line.width <= 80


def test_an_ascii_hyphen_is_drawn_as_a_minus() -> None:
    """Both minus signs look the same."""
    assert drawn("-8", signs=TALL) == drawn("−8", signs=TALL)


def test_an_unknown_sign_is_left_out() -> None:
    """A sign that is not drawn takes no room."""
    assert drawn("A§3", signs=TALL) == drawn("A3", signs=TALL)
    assert drawn("", signs=TALL).width == 0


def test_the_tallest_line_that_fits_is_taken() -> None:
    """Five rows where there is room, then three, then none."""
    rows = [len(line.rows) if (line := fitting("B♭3 −38", width=width)) else 0 for width in (42, 40, 30, 8)]

    assert rows == [5, 3, 3, 0]


def test_a_fraction_stands_upright_with_its_whole_number_in_the_middle() -> None:
    """A plus, a one and three quarters: the plus and the one lie around the bar."""
    rows = amount("+1¾").rows

    assert len(rows) == tall.FRACTION_ROWS
    assert "━" in rows[3]
    assert rows[3].startswith("██████ ")
    assert not rows[0][:11].strip()


@pytest.mark.parametrize("sixteenths", range(1, 33))
def test_every_amount_that_turns_are_shown_in_can_be_drawn(sixteenths: int) -> None:
    """No two of the amounts up to two turns look the same, and all fit the narrow window."""
    shown = show_turns(sixteenths / 16, sign="always")
    others = {amount(show_turns(other / 16, sign="always")) for other in range(1, 33) if other != sixteenths}

    assert 0 < amount(shown).width <= 30
    assert amount(shown) not in others


def test_words_in_an_amount_are_left_to_the_caller() -> None:
    """Only number signs are drawn."""
    assert amount("a hair").width == 0
