"""Settings of the snares typed in one line: what is said is read back, and what cannot be is told."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk.adjusting import adjusted, parse_number, step_of
from lugbook.desk.snare_words import parse_setting
from lugbook.errors import BadValue
from lugbook.records import Adjustment, Drum, SnareSetting, Strainer, Wires

KNOB = Adjustment(name="knob", unit="clicks", zero="all the way out")
BUTT = Adjustment(name="butt", unit="turns", zero="flush")
PLAIN = Drum(name="Plain", diameter_in=14)
FITTED = Drum(
    name="Fitted",
    diameter_in=14,
    strainer=Strainer(adjustments=(KNOB, BUTT)),
    wires=(Wires(id="wires-1", off=None), Wires(id="upper-1", place="top")),
)

_WORDS = st.text("abcdefghijklmnopqrstuvwxyzäé .,-", max_size=30).map(lambda text: " ".join(text.split()))
_NAMES = st.text("abcdefghijklmnopqrstuvwxyz", min_size=1, max_size=8)
_FINITE = st.floats(allow_nan=False, allow_infinity=False)
_COUNTED = st.floats(-1e6, 1e6)


@st.composite
def settings_of_a_drum(draw: st.DrawFn) -> SnareSetting:
    """A setting as a player may have it: every adjustment has a value, limits, or both."""
    names = draw(st.lists(_NAMES, unique=True, max_size=4))
    values, free, choke = {}, {}, {}
    for name in names:
        low, high = sorted(draw(st.tuples(_COUNTED, _COUNTED)))
        which = draw(st.sampled_from(["value", "free", "choke", "both", "all"]))
        if which in ("value", "all"):
            values[name] = draw(_FINITE)
        if which in ("free", "both", "all"):
            free[name] = low
        if which in ("choke", "both", "all") and (low < high or which == "choke"):
            choke[name] = high
    buzzes = draw(st.lists(st.sampled_from(["horn Bb3", "clarinet D4", "viola a", "tuba"]), unique=True))
    return SnareSetting(
        words=draw(_WORDS.filter(lambda text: not text.startswith("buzzes"))),
        values=values,
        free=free,
        choke=choke,
        buzzes_with=tuple(buzzes),
    )


@given(settings_of_a_drum().filter(lambda setting: setting.text() != ""))
def test_what_is_said_is_read_back(setting: SnareSetting) -> None:
    """Every number to the last digit, and the order in which the adjustments stand."""
    read = parse_setting(PLAIN, setting.text())

    assert read == setting
    assert list(read.values) == list(setting.values)


@given(st.text("knobutfreachks wih(),;=.-+0123456789½/", max_size=40), st.sampled_from([PLAIN, FITTED]))
def test_whatever_is_taken_stays_as_it_is(text: str, drum: Drum) -> None:
    """Anything typed is refused in a sentence, or is said so that it reads the same again."""
    try:
        setting = parse_setting(drum, text)
    except BadValue:
        return

    assert parse_setting(drum, setting.text()) == setting


@pytest.mark.parametrize(
    ("text", "words", "values"),
    [
        ("just free; knob 3.5; butt 0.5", "just free", {"knob": 3.5, "butt": 0.5}),
        ("Knob = 3; just free", "just free", {"knob": 3}),
        ("knob=3,5;butt ½", "", {"knob": 3.5, "butt": 0.5}),
        ("butt 1 1/4", "", {"butt": 1.25}),
        ("knob 3 clicks", "", {"knob": 3}),
        ("butt −1½", "", {"butt": -1.5}),
        ("butt as before; as on 12 May 2026.", "butt as before; as on 12 May 2026.", {}),
    ],
)
def test_words_and_values(text: str, words: str, values: dict[str, float]) -> None:
    setting = parse_setting(FITTED, text)

    assert (setting.words, setting.values) == (words, values)
    assert setting.wires == "wires-1"


def test_limits_and_notes_of_others() -> None:
    setting = parse_setting(FITTED, "knob 3.5 (free at 2, chokes at 5); buzzes with horn Bb3, clarinet D4")

    assert (setting.values, setting.free, setting.choke) == ({"knob": 3.5}, {"knob": 2}, {"knob": 5})
    assert setting.buzzes_with == ("horn Bb3", "clarinet D4")


def test_any_name_is_taken_where_none_is_written_down() -> None:
    assert parse_setting(PLAIN, "gut 3 2.5; lever 2").values == {"gut 3": 2.5, "lever": 2}
    assert parse_setting(PLAIN, "gut 3 2.5").wires == ""


def test_a_number_alone_is_the_only_adjustment() -> None:
    one = PLAIN.model_copy(update={"strainer": Strainer(adjustments=(KNOB,))})

    assert parse_setting(one, "3.5").values == {"knob": 3.5}


@pytest.mark.parametrize(
    ("text", "sentence", "hint"),
    [
        ("nob 3", "The strainer has no adjustment 'nob'.", "Nearest: knob."),
        ("knob 3, butt 2", "no number", "between semicolons"),
        ("lever 3", "The strainer has no adjustment 'lever'.", "It has knob, butt."),
        ("as on 12 May 2026", "no adjustment 'as on 12 May'", "full stop"),
        ("knob nan", "'nan' is no number", "3 1/2"),
        ("knob 1/0", "'1/0' is no number", "3 1/2"),
        ("knob 1e999", "is no number", "3 1/2"),
        ("knob 3; Knob 4", "knob is set twice", "one value"),
        ("3", "'3' names no adjustment", "knob 3.5"),
        ("knob 3 (free at 5, chokes at 2)", "cannot choke at 2 where it is free at 5", "tightened"),
        ("", "No setting", "just free"),
        (" ; ", "No setting", "just free"),
        ("a\nb", "control character", ""),
        ("dry\x1b[2J", "control character", ""),
    ],
)
def test_what_cannot_be_is_told(text: str, sentence: str, hint: str) -> None:
    with pytest.raises(BadValue) as told:
        parse_setting(FITTED, text)

    assert sentence in str(told.value)
    assert hint in str(told.value)


@given(st.integers(-200, 200), st.integers(1, 64), st.integers(0, 63))
def test_fractions_are_what_arithmetic_says(whole: int, under: int, over: int) -> None:
    """Against Python's own division."""
    sign = "-" if whole < 0 else ""
    expected = abs(whole) + over / under

    assert parse_number(f"{sign}{abs(whole)} {over}/{under}", what="x") == math.copysign(expected, whole)


@pytest.mark.parametrize(
    ("unit", "step", "expected"),
    [
        ("clicks", None, 1),
        ("turns", None, 0.25),
        ("", None, 0.25),
        ("notches", 2, 2),
        ("turns", 0.125, 0.125),
    ],
)
def test_the_step_of_an_adjustment(unit: str, step: float | None, expected: float) -> None:
    assert step_of(Adjustment(name="x", unit=unit, step=step)) == expected


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("knob=clicks from all the way out", {"name": "knob", "unit": "clicks", "zero": "all the way out"}),
        (
            "gut 3=turns from flush, step 1/8",
            {"name": "gut 3", "unit": "turns", "zero": "flush", "step": 0.125},
        ),
        ("lever=steps", {"name": "lever", "unit": "steps", "zero": ""}),
        ("lever=from the first step", {"name": "lever", "unit": "", "zero": "the first step"}),
    ],
)
def test_adjustments_are_typed_in_one_line(typed: str, kept: dict[str, object]) -> None:
    assert adjusted(Strainer(), [typed]) == (kept,)


def test_an_adjustment_is_changed_and_taken_away() -> None:
    strainer = Strainer(adjustments=(KNOB, BUTT))

    assert [one["name"] for one in adjusted(strainer, ["Knob=none"])] == ["butt"]
    changed = adjusted(strainer, ["butt=turns from all the way in", "lever=steps"])
    assert [one["zero"] for one in changed] == ["all the way out", "all the way in", ""]
    for wrong in ("knop=none", "knob", "=clicks", "knob=", "a;b=clicks"):
        with pytest.raises(BadValue):
            adjusted(strainer, [wrong])
