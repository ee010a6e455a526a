"""The line of one head: where it runs, how wide its band is, and what lies off it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.turns import Response
from lugbook.turns.curve import QUARTER, Curve, Heard, curve
from lugbook.turns.squares import SLACK_HZ

MANY = 25
Drum = tuple[Response, list[Heard]]


def heard_on_a_line(*, at_nought: float, slope: float, sd_cents: float = 1.0) -> Drum:
    """A drum whose top head is f² = at_nought + slope·turns, read at nine places in one day."""
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    heard = []
    for step in range(-4, 5):
        hz = math.sqrt(at_nought + slope * step / 8)
        heard.append(Heard(step / 8, 0.0, hz, sd_cents, 0.0))
        for _ in range(MANY):
            response = response.observe((step / 8, 0.0), hz=(hz, None), sd_cents=sd_cents, day=0.0)
    return response, heard


def top(drum: Drum, *, at: float = 0.0, day: float = 0.0) -> Curve:
    """The curve of the top head, standing at so many turns."""
    return curve(drum[0], "top", drum[1], position=(at, 0.0), day=day)


def test_the_line_is_that_of_a_general_library() -> None:
    """A polynomial fit of numpy over the same readings gives the slope where the head stands."""
    drum = heard_on_a_line(at_nought=48_400.0, slope=36_000.0)
    found = top(drum, at=0.5)
    fitted = np.polyfit([one.turns for one in drum[1]], [one.hz**2 for one in drum[1]], 1)

    assert found.slope == pytest.approx(fitted[0], rel=0.03)
    assert abs(found.slope - fitted[0]) < 3 * found.slope_sd
    middle = min(found.line, key=lambda one: abs(one.turns))
    assert middle.square == pytest.approx(np.polyval(fitted, middle.turns), rel=0.01)
    assert all(abs(point.drift_cents) < 10 for point in found.points)


def test_a_quarter_turn_down_moves_further_than_one_up() -> None:
    """200 Hz and 9000 Hz² a quarter turn: one down is 176.07 Hz, −220.6 cents, computed from f² ∝ turns."""
    found = top(heard_on_a_line(at_nought=40_000.0, slope=36_000.0))
    assert found.up is not None
    assert found.down is not None
    assert found.down.cents == pytest.approx(-220.6, abs=12)
    assert found.up.cents == pytest.approx(1200 * math.log2(math.sqrt(49_000) / 200), abs=8)
    assert -found.down.cents > found.up.cents


def test_the_line_reaches_a_quarter_turn_beyond_the_readings() -> None:
    found = top(heard_on_a_line(at_nought=48_400.0, slope=36_000.0))
    assert found.line[0].turns == -0.5 - QUARTER
    assert found.line[-1].turns == 0.5 + QUARTER


def test_a_slack_head_has_no_line_there() -> None:
    """Where f² would be under 20 Hz squared the head sounds no note: the line ends there."""
    found = top(heard_on_a_line(at_nought=12_000.0, slope=20_000.0), at=-0.5)
    assert found.down is None
    assert all(point.square >= SLACK_HZ**2 for point in found.line)
    assert found.line[0].turns > -0.75


def test_what_the_other_head_did_is_taken_out() -> None:
    """A reading made when the other head stood elsewhere is moved by what its turns did since."""
    response, heard = heard_on_a_line(at_nought=48_400.0, slope=36_000.0)
    cross = float(response.state.mean[2])
    moved = [Heard(0.0, 1.0, math.sqrt(48_400.0 + cross), 1.0, 0.0)]
    found = curve(response, "top", [*heard, *moved], position=(0.0, 0.0), day=0.0)
    assert found.points[-1].square == pytest.approx(found.points[4].square, rel=0.001)


def test_of_a_head_never_read_no_pitch_is_known() -> None:
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    found = curve(response, "bottom", [], position=(0.0, 0.0), day=0.0)
    assert found.hz is None
    assert found.points == ()
    assert found.up is not None
    assert found.up.sd_cents > 15


def test_creep_goes_on_ever_slower() -> None:
    """Of a new head seven days fall further than one, but less than seven times as far."""
    drum = heard_on_a_line(at_nought=48_400.0, slope=36_000.0)
    now, later = top(drum), top(drum, day=30.0)
    assert 0 < now.fall_day_cents < now.fall_week_cents < 7 * now.fall_day_cents
    assert later.fall_day_cents < now.fall_day_cents / 5


@given(
    st.lists(
        st.tuples(st.floats(-3, 3), st.floats(-3, 3), st.floats(30, 900), st.floats(0, 400)), max_size=12
    ),
    st.floats(-4, 4),
)
def test_whatever_was_read_it_is_finite_or_said_to_be_slack(
    readings: list[tuple[float, float, float, float]], at: float
) -> None:
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    heard = []
    for own, other, hz, day in sorted(readings, key=lambda one: one[3]):
        response = response.observe((own, other), hz=(hz, None), sd_cents=3.0, day=day)
        heard.append(Heard(own, other, hz, 3.0, day))
    found = curve(response, "top", heard, position=(at, 0.0), day=500.0)
    numbers = [found.square, found.slope, found.slope_sd, found.fall_day_cents, found.fall_week_cents]
    numbers += [number for one in found.line for number in (one.turns, one.square, one.sd_square)]
    numbers += [number for one in found.points for number in (one.square, one.drift_cents)]
    numbers += [n for move in (found.up, found.down) if move is not None for n in (move.cents, move.sd_cents)]
    assert all(math.isfinite(number) for number in numbers)
    assert all(one.square >= SLACK_HZ**2 and one.sd_square >= 0 for one in found.line)
