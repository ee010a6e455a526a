"""What past returns by turns say of the hand and of the days."""

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.turns.returns import (
    Film,
    Return,
    Scatter,
    Visit,
    chance_within,
    corrected_sd_cents,
    error_cents,
    returns_among,
    scatter_of,
    turns_unheard,
)

FILM = Film(hz=200.0, cents_per_turn=320.0, diameter_in=14.0)
KEY = 1 / 64


def visit(
    day: float, position: tuple[float, float], top: float | None = None, *, kept: bool = False
) -> Visit:
    return Visit(day, position, (top, None), (3.0, 3.0), kept=kept)


def back_and_forth(*cents: float, days: float = 0.0) -> list[Visit]:
    """A head read at 0, turned a quarter up, back again and read so many cents away, again and again."""
    visits, day, hz = [visit(0.0, (0.0, 0.0), 200.0)], 0.0, 200.0
    for apart in cents:
        day += days
        hz *= 2 ** (apart / 1200)
        visits += [visit(day, (0.25, 0.0)), visit(day, (0.0, 0.0), hz)]
    return visits


def test_a_return_is_the_pitch_now_against_the_pitch_then() -> None:
    """Two turns by hand lie between, and both readings' variances add."""
    (only,) = returns_among(back_and_forth(6.0, days=7.0), 0)

    assert only.cents == pytest.approx(6.0)
    assert only.read_cents2 == pytest.approx(18.0)
    assert (only.turns, only.days) == (2, 7.0)


def test_reading_again_without_turning_is_no_return() -> None:
    visits = [visit(0, (0, 0), 200.0), visit(0, (0, 0), 201.0)]

    assert returns_among(visits, 0) == ()


def test_it_is_no_return_of_a_head_that_stayed() -> None:
    """The bottom was turned away and back, the top read twice: nothing is learned of its hand."""
    visits = [visit(0, (0, 0), 200.0), visit(0, (0, 0.25)), visit(0, (0, 0), 201.0)]

    assert returns_among(visits, 0) == ()


def test_the_other_head_must_stand_where_it_stood() -> None:
    visits = [visit(0, (0, 0), 200.0), visit(0, (0.25, 0)), visit(0, (0, 0.25), 201.0)]

    assert returns_among(visits, 0) == ()


def test_a_kept_preset_stands_for_a_visit_that_the_log_does_not_hold() -> None:
    visits = [
        visit(0, (0, 0), 200.0, kept=True),
        visit(1, (0.25, 0)),
        visit(1, (0, 0), 200.0 * 2 ** (5 / 1200)),
    ]
    (only,) = returns_among(visits, 0)

    assert only.cents == pytest.approx(5.0)


def test_turns_unheard_count_from_the_last_reading() -> None:
    """There, back, and there again, and back once more at the end: each is a turn by hand."""
    visits = [visit(3, (0, 0), 200.0), visit(4, (0.25, 0)), visit(5, (0, 0)), visit(6, (0.25, 0))]

    assert turns_unheard(visits, 0, to=0.25) == (3, 3)
    assert turns_unheard(visits, 0, to=0.0) == (4, 3)
    assert turns_unheard(visits, 1, to=0.0) == (0, None)


def test_the_hand_scatters_by_its_share_of_a_turn() -> None:
    """A 1/64 turn at 320 cents a turn is 5 cents; two such turns have a variance of 50."""
    assert FILM.hand_cents2(2, key_turns=KEY) == pytest.approx(50.0)


def test_the_days_scatter_by_weather_rest_and_creep() -> None:
    """After very long the weather is twice its variance: 650 Hz² at 200 Hz are 14.07 cents."""
    cents = 650 / (200**2 * 2 * math.log(2) / 1200)

    assert FILM.days_cents2(0.0) == 0.0
    assert FILM.days_cents2(1000.0) == pytest.approx(2 * cents**2 + 1000 + 12.5 * math.log1p(1000) ** 2)


def test_no_returns_leave_the_model_as_it_is() -> None:
    scatter = scatter_of((), FILM, key_turns=KEY)

    assert scatter == Scatter(1.0, 1.0, 0)
    assert corrected_sd_cents(9.0, scatter, hand_cents2=25.0, counted_cents2=25.0, days_cents2=40.0) == 9.0


def test_one_return_moves_the_hand_by_one_step_of_scoring() -> None:
    """By hand: r = 18, H = 50, v = 68, d² = 400, ν = 3: h = (3 + 50·382/68²)/(3 + (50/68)²)."""
    scatter = scatter_of(returns_among(back_and_forth(20.0), 0), FILM, key_turns=KEY)

    assert scatter.hand == pytest.approx((3 + 50 * 382 / 68**2) / (3 + (50 / 68) ** 2))
    assert scatter.days == 1.0
    assert scatter.returns == 1


def test_a_return_after_weeks_tells_of_the_days_more_than_of_the_hand() -> None:
    scatter = scatter_of(returns_among(back_and_forth(60.0, days=30.0), 0), FILM, key_turns=KEY)

    assert scatter.days > scatter.hand > 1.0


def test_an_octave_slip_tells_nothing() -> None:
    """A pitch read an octave off is no scatter of a hand."""
    assert scatter_of(returns_among(back_and_forth(1200.0), 0), FILM, key_turns=KEY).returns == 0


def test_a_turn_that_the_model_has_not_counted_widens_it() -> None:
    """Three turns unheard, of which the model counts one: 81 + 2·25 = 131."""
    sd = corrected_sd_cents(9.0, Scatter(), hand_cents2=75.0, counted_cents2=25.0, days_cents2=0.0)

    assert sd == pytest.approx(math.sqrt(131))


@pytest.mark.parametrize(
    ("bias", "sd", "tolerance", "chance"),
    [
        # Central areas of the normal distribution (Abramowitz & Stegun 1964, table 26.1, from memory).
        (0.0, 10.0, 10.0, 0.6827),
        (0.0, 5.0, 10.0, 0.9545),
        (10.0, 10.0, 10.0, 0.4772),
        (0.0, 0.0, 10.0, 1.0),
        (11.0, 0.0, 10.0, 0.0),
    ],
)
def test_the_chance_is_that_of_a_normal_error(
    bias: float, sd: float, tolerance: float, chance: float
) -> None:
    assert chance_within(bias, sd, tolerance_cents=tolerance) == pytest.approx(chance, abs=5e-5)


@given(
    cents=st.lists(st.floats(-80, 80), max_size=12),
    days=st.floats(0, 400),
    bias=st.floats(-50, 50),
    sd=st.floats(0.1, 100),
)
def test_whatever_came_the_error_is_finite_and_never_below_the_bias(
    cents: list[float], days: float, bias: float, sd: float
) -> None:
    """No history makes a forecast absurd: half to some five times what the model says, plus the hand."""
    scatter = scatter_of(returns_among(back_and_forth(*cents, days=days), 0), FILM, key_turns=KEY)
    wide = corrected_sd_cents(sd, scatter, hand_cents2=25.0, counted_cents2=25.0, days_cents2=sd**2)

    assert sd / 2 <= wide <= 5 * math.hypot(sd, 5.0)
    assert math.isfinite(error_cents(bias, wide))
    assert error_cents(bias, wide) >= abs(bias)


@given(st.lists(st.floats(-40, 40), min_size=1, max_size=8))
def test_returns_further_apart_never_make_the_hand_surer(cents: list[float]) -> None:
    near = scatter_of([Return(one, 18.0, 2, 0.0) for one in cents], FILM, key_turns=KEY)
    far = scatter_of([Return(2 * one, 18.0, 2, 0.0) for one in cents], FILM, key_turns=KEY)

    assert far.hand >= near.hand


def test_the_sum_needs_no_numpy() -> None:
    """Loading it costs nothing at the start of a command."""
    program = "import sys, lugbook.turns.returns; sys.exit('numpy' in sys.modules)"

    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
