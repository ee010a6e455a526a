"""Amounts of turns: kept, read, shown and rounded."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.turns import GRID, check_turns, coarsen, parse_turns, round_step, show_turns

grains = st.integers(-64 * 64, 64 * 64)


@pytest.mark.parametrize(
    ("text", "turns"),
    [
        ("1/4", 0.25),
        ("+1/4", 0.25),
        ("-1/4", -0.25),
        ("1.25", 1.25),
        ("1,25", 1.25),
        (".5", 0.5),
        ("1 3/4", 1.75),
        ("¼", 0.25),
        ("−⅛", -0.125),
        ("1¾", 1.75),
        ("+ 1 ½", 1.5),
        ("3/16", 0.1875),
        ("1 1⁄16", 1.0625),
        ("0", 0.0),
        ("-0", 0.0),
        ("a hair", 1 / 32),
        ("-half a hair", -1 / 64),
        ("⅛ and a hair", 5 / 32),
        ("1 1/16 and a hair and a half", 1 + 7 / 64),
    ],
)
def test_turns_are_read_from_text(text: str, turns: float) -> None:
    assert turns == parse_turns(text)


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "+", "1/0", "1/3", "abc", "1e5", "1 2", "--1", "1//4", "1/4/4", "nan", "inf", "½½", "٣"),
        *("1and", "and a hair", "1 and", "1 and ⅛", "65", "-99", "x and a hair", "9" * 5000),
    ],
)
def test_what_is_no_amount_is_refused_in_words(text: str) -> None:
    with pytest.raises(BadValue) as refused:
        parse_turns(text)
    assert refused.value.hint


def test_seven_quarter_turns_are_one_and_three_quarters() -> None:
    """Players count in quarters (common practice, no source)."""
    turns = sum(parse_turns("1/4") for _ in range(7))
    assert turns == 1.75
    assert show_turns(turns) == "1¾"


@pytest.mark.parametrize(
    ("turns", "shown"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (0.001, "0"),
        (0.25, "¼"),
        (-0.125, "−⅛"),
        (1.0, "1"),
        (1.75, "1¾"),
        (3 / 16, "3/16"),
        (-(1 + 1 / 16), "−1 1/16"),
        (1 / 32, "a hair"),
        (1 / 64, "half a hair"),
        (0.125 + 3 / 64, "⅛ and a hair and a half"),
    ],
)
def test_turns_are_shown_as_a_player_reads_them(turns: float, shown: str) -> None:
    assert shown == show_turns(turns)


def test_a_sign_is_shown_where_asked_for() -> None:
    assert show_turns(0.25, sign="always") == "+¼"
    assert show_turns(-0.25, sign="always") == "−¼"
    assert show_turns(0.0, sign="always") == "0"


@given(grains, st.sampled_from(["always", "needed"]))
def test_what_is_shown_reads_back_to_the_same_amount(count: int, sign: str) -> None:
    turns = count / 64
    assert turns == parse_turns(show_turns(turns, sign="always" if sign == "always" else "needed"))


@given(grains)
def test_nothing_finer_than_a_sixteenth_is_shown_by_number(count: int) -> None:
    shown = show_turns(count / 64)
    assert "/32" not in shown
    assert "/64" not in shown


@given(grains)
def test_multiples_of_a_sixty_fourth_may_be_kept(count: int) -> None:
    assert count / 64 == check_turns(count / 64)


@pytest.mark.parametrize("turns", [float("nan"), float("inf"), -float("inf"), 64.5, -1e300, 1 / 3, 1 / 128])
def test_other_numbers_may_not_be_kept(turns: float) -> None:
    with pytest.raises(BadValue) as refused:
        check_turns(turns)
    assert refused.value.hint


def test_the_refusal_names_the_nearest_amount() -> None:
    with pytest.raises(BadValue, match=r"no multiple of 1/64.*0\.328125"):
        check_turns(1 / 3)


@given(st.floats(-64, 64), st.sampled_from(GRID))
def test_rounding_moves_by_at_most_half_a_step(turns: float, step: float) -> None:
    rounded = coarsen(turns, step=step)
    assert (rounded / step).is_integer()
    assert abs(Fraction(rounded) - Fraction(turns)) <= Fraction(step) / 2


def test_half_a_step_goes_to_the_smaller_turn() -> None:
    assert coarsen(0.1875, step=1 / 8) == 0.125
    assert coarsen(-0.1875, step=1 / 8) == -0.125
    assert coarsen(0.0625, step=1 / 8) == 0.0


@pytest.mark.parametrize(
    ("cents_per_turn", "tolerance", "step"),
    [
        (80, 10, 1 / 8),
        (81, 10, 1 / 16),
        (160, 10, 1 / 16),
        (161, 10, 1 / 32),
        (4000, 10, 1 / 32),
        (-80, 10, 1 / 8),
    ],
)
def test_the_step_is_the_coarsest_that_stays_inside_half_the_tolerance(
    cents_per_turn: float, tolerance: float, step: float
) -> None:
    """Half a step of 1/8 turn is 5 cents where a turn is 80: half of 10. By hand."""
    assert step == round_step(cents_per_turn=cents_per_turn, tolerance_cents=tolerance)
