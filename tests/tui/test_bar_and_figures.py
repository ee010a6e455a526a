"""The bar of the deviation, and how numbers and notes are written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.pitch import Note
from lugbook.tui.bar import bar
from lugbook.tui.figures import cents_in_words, hertz, note_name, pitch, tall_name


@given(
    off=st.floats(-2400, 2400),
    tolerance=st.floats(0.5, 600),
    width=st.integers(9, 200),
)
def test_the_bar_is_even_and_filled_on_one_side_only(off: float, tolerance: float, width: int) -> None:
    """Both rows have one odd width with the mark in the middle; nothing is filled on the other side."""
    drawn = bar(off, tolerance_cents=tolerance, width=width)
    half = (width - 1) // 2

    assert len(drawn.filled) == len(drawn.scale) == 2 * half + 1
    assert drawn.filled[half] == "┃"
    other = drawn.filled[half + 1 :] if off < 0 else drawn.filled[:half]
    assert not other.strip()


@given(one=st.floats(0, 50), other=st.floats(0, 50))
def test_a_larger_deviation_never_fills_less(one: float, other: float) -> None:
    """The filled length grows with the deviation."""
    small, large = sorted((one, other))
    lengths = [
        2 * filled.count("█") + filled.count("▌")
        for filled in (bar(off, tolerance_cents=10, width=81).filled for off in (small, large))
    ]

    assert lengths[0] <= lengths[1]


@pytest.mark.parametrize(("off", "sign"), [(-50.1, "◀"), (50.1, "▶")])
def test_what_lies_beyond_the_bar_ends_in_a_point(off: float, sign: str) -> None:
    """Further than the bar reaches is said by a sign."""
    filled = bar(off, tolerance_cents=10, width=41).filled

    assert filled.strip("█┃ ") == sign
    assert filled.count("█") == 19


def test_the_edges_of_the_tolerance_are_marked() -> None:
    """Ten of fifty cents are four of twenty columns to each side of the middle."""
    scale = bar(0, tolerance_cents=10, width=41).scale

    assert [scale.index("┣"), scale.index("╋"), scale.index("┫")] == [16, 20, 24]
    assert scale.startswith("flat ")
    assert scale.endswith(" sharp")


def test_a_deviation_in_words_counts_its_cents() -> None:
    """One cent is singular; within tolerance the number stands behind the words."""
    assert cents_in_words(-12.3, "flat") == "12 cents flat"
    assert cents_in_words(1.2, "sharp") == "1 cent sharp"
    assert cents_in_words(-3, "in tune") == "in tune (−3)"


def test_hertz_have_one_decimal() -> None:
    """A frequency that is not known is not written."""
    assert hertz(221.34) == "221.3 Hz"
    assert hertz(None) == ""


@pytest.mark.parametrize(
    ("note", "english", "german", "latin"),
    [
        (Note("B", -1, 3), "B♭3", "B3", "si♭3"),
        (Note("B", 0, 3), "B3", "H3", "si3"),
        (Note("F", 1, 4), "F♯4", "Fis4", "fa♯4"),
        (Note("E", -1, None), "E♭", "Es", "mi♭"),
    ],
)
def test_notes_are_written_in_the_players_language(note: Note, english: str, german: str, latin: str) -> None:
    """German and Latin names as they are taught; the octave stays."""
    assert note_name(note, language="english") == english
    assert note_name(note, language="german") == german
    assert note_name(note, language="latin") == latin


def test_every_note_of_every_language_can_be_drawn_tall() -> None:
    """All letters of all names have a tall sign of their own."""
    from lugbook.tui.tall import TALL, drawn

    for letter in "CDEFGAB":
        for alter in range(-2, 3):
            note = Note(letter, alter, 4)
            for language in ("english", "german", "latin"):
                name = tall_name(note, language=language)
                signs = sum(sign in TALL or sign.upper() in TALL for sign in name)

                assert signs == len(name)
                assert drawn(name, signs=TALL).width >= 4 * len(name)


def test_a_pitch_is_its_note_with_whole_cents() -> None:
    """Note and cents with a blank between."""
    assert pitch(Note("B", -1, 3), -12.2, language="english") == "B♭3 −12"
