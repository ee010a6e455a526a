"""The lines of several taps, gathered into one list, and the words for them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.heads.gathering import foremost, lines_of
from lugbook.heads.hearing import Alternative, Hearing, Partial, Reading, Tap
from lugbook.heads.wording import facts, mode_words, struck_words, taps_words


def tap(*lines: Partial, used: bool = True, glide_cents: float | None = 2.0) -> Tap:
    return Tap(0.5, 220.0, 1.0, "A3", 0.0, glide_cents, used, None if used else "it is mostly noise", lines)


def reading(hz: float = 220.0, *others: Alternative, split_cents: float | None = None) -> Reading:
    return Reading(hz, 1.0, "A3", 0.0, "1,1", True, 2, split_cents, "damped", others)


def line(hz: float, level_db: float = 0.0, mode: str | None = None, t60_s: float = 0.4) -> Partial:
    return Partial(hz, level_db, t60_s, mode)


def test_lines_near_each_other_in_several_taps_are_one() -> None:
    """The medians of frequency, level and decay, the name most taps give, and in how many taps it is."""
    taps = (
        tap(line(219.0, -3, "1,1", 0.5), line(330.0, 0, "2,1")),
        tap(line(220.0, -1, "1,1", 0.4)),
        tap(line(222.0, -8, "0,1", 0.1)),
    )
    low, high = lines_of(Hearing(taps, reading(), (), None))

    assert (low.hz, low.level_db, low.t60_s, low.mode, low.taps, low.role) == (
        220.0,
        -3,
        0.4,
        "1,1",
        3,
        "reading",
    )
    assert low.spread_cents == pytest.approx(1200 * math.log2(222 / 219))
    assert (high.hz, high.mode, high.taps, high.spread_cents, high.role) == (330.0, "2,1", 1, None, "")


def test_a_split_pair_in_one_tap_is_one_line_weighted_by_energy() -> None:
    """Two lines 8 Hz apart of equal level lie in the middle; 20 dB weaker one weighs a hundredth."""
    equal = lines_of(Hearing((tap(line(400.0), line(408.0)),), None, (), "No drum."))
    weak = lines_of(Hearing((tap(line(400.0), line(408.0, -20)),), None, (), "No drum."))

    assert [one.hz for one in equal] == [pytest.approx(404.0)]
    assert [one.hz for one in weak] == [pytest.approx((400 + 408 / 100) / 1.01)]


def test_taps_left_out_add_no_line() -> None:
    """Only the taps that were used count; where none was, all do, and no line has a name."""
    left = tap(line(500.0, 0, "2,1"), used=False)
    used = lines_of(Hearing((tap(line(220.0, 0, "1,1")), left), reading(), (), None))
    refused = lines_of(Hearing((left,), None, (), "No drum."))

    assert [one.hz for one in used] == [220.0]
    assert [(one.hz, one.mode) for one in refused] == [(500.0, None)]


def test_reading_and_alternatives_are_always_there() -> None:
    """Where a line is near it is marked and has their frequency; else they are added without numbers."""
    others = (Alternative(180.0, "what a stroke at the centre sounds"), Alternative(331.0, "another"))
    found = lines_of(Hearing((tap(line(220.3), line(330.0)),), reading(220.0, *others), (), None))

    assert [(one.hz, one.role, one.taps) for one in found] == [
        (180.0, "alternative", 0),
        (220.0, "reading", 1),
        (331.0, "alternative", 1),
    ]
    assert (found[0].level_db, found[0].t60_s) == (None, None)
    assert found[0].why == "what a stroke at the centre sounds"
    assert found[1].mode == "1,1"


def test_the_foremost_lines_are_kept() -> None:
    """Reading and alternatives first, then lines with a name, then the strongest."""
    lines = lines_of(
        Hearing(
            (
                tap(
                    line(100.0, -1),
                    line(220.0, -50),
                    line(300.0, -40),
                    line(400.0, -30, "2,1"),
                    line(500.0, -2),
                ),
            ),
            reading(220.0, Alternative(300.0, "another")),
            (),
            None,
        )
    )

    assert [one.hz for one in foremost(lines, most=1)] == [220.0]
    assert [one.hz for one in foremost(lines, most=3)] == [220.0, 300.0, 400.0]
    assert [one.hz for one in foremost(lines, most=4)] == [100.0, 220.0, 300.0, 400.0]
    assert foremost(lines, most=9) == lines


def test_a_line_in_few_taps_comes_after_one_in_most() -> None:
    """A strong line of one tap in three tells less than a weak one of all three."""
    taps = (tap(line(300.0, -30), line(500.0, 0)), tap(line(300.0, -30)), tap(line(300.0, -30)))
    lines = lines_of(Hearing(taps, None, (), "No drum."))

    assert [one.hz for one in foremost(lines, most=1)] == [300.0]


@given(
    st.lists(st.lists(st.builds(line, st.floats(1e-300, 1e300), st.floats(-200, 0)), max_size=12), max_size=8)
)
def test_lines_are_in_order_and_none_is_lost(taps: list[list[Partial]]) -> None:
    """Every line of a tap lies within a quarter tone of one that was gathered."""
    found = lines_of(Hearing(tuple(tap(*lines) for lines in taps), None, (), "No drum."))

    assert [one.hz for one in found] == sorted(one.hz for one in found)
    for lines in taps:
        for one in lines:
            assert min(abs(1200 * (math.log2(one.hz) - math.log2(near.hz))) for near in found) < 50


def test_what_is_no_number_is_no_line() -> None:
    """A frequency that is not finite, or not above nought, is passed over."""
    found = lines_of(Hearing((tap(line(math.nan), line(math.inf), line(0.0), line(220.0)),), None, (), "No."))

    assert [one.hz for one in found] == [220.0]


def test_modes_are_told_in_a_players_words() -> None:
    """Near the hoop, centre, higher; without a name nothing."""
    assert [mode_words(mode) for mode in ("1,1", "0,1", "3,1", None)] == [
        "near the hoop",
        "centre",
        "higher",
        "",
    ]
    assert (struck_words("rim"), struck_words("centre")) == ("struck near the hoop", "struck at the centre")


def test_facts_are_told_in_a_players_words() -> None:
    """Glide, split, other head and sureness, each with its heading."""
    falls = Hearing((tap(glide_cents=5.6),), reading(split_cents=9.4), (), None)
    rises = Hearing((tap(glide_cents=-0.8),), reading(split_cents=0.2), (), None)
    holds = Hearing((tap(glide_cents=0.1), tap(glide_cents=90.0, used=False)), reading(), (), None)
    unknown = Hearing((tap(glide_cents=None),), reading(), (), None)

    assert dict(facts(falls)) == {
        "after the stroke": "falls by 6 cents",
        "evenness": "two pitches 9 cents apart",
        "other head": "damped",
        "this line": "sure",
    }
    assert dict(facts(rises))["after the stroke"] == "rises by 1 cent"
    assert dict(facts(rises))["evenness"] == "one pitch"
    assert dict(facts(holds))["after the stroke"] == "holds its pitch"
    assert dict(facts(unknown))["after the stroke"] == "cannot be told"
    assert facts(Hearing((), None, (), "Silent.")) == ()


def test_taps_are_counted_in_words() -> None:
    """One is one."""
    one = Hearing((tap(),), Reading(220, 1, "A3", 0, "1,1", True, 1, None, "damped", ()), (), None)
    assert taps_words(one) == "from 1 tap"
    assert taps_words(Hearing((tap(), tap(), tap()), reading(), (), None)) == "from 2 of 3 taps"
    assert taps_words(Hearing((tap(),), None, (), "No.")) == "from 0 of 1 taps"
