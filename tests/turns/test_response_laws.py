"""Laws that hold for whatever is read, tried with hypothesis."""

import math
from dataclasses import dataclass
from itertools import permutations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lugbook.turns import Response

USUAL = Response.prior(diameter_in=14, thread_mm=25.4 / 24)

positions = st.tuples(st.floats(-64, 64), st.floats(-64, 64))
pitches = st.floats(20, 20_000)
maybe = st.one_of(st.none(), pitches)
sds = st.one_of(st.floats(0, 1200), st.tuples(st.floats(0, 1200), st.floats(0, 1200)))
days = st.floats(-1e6, 1e6)
drum_hz = st.tuples(st.floats(150, 350), st.floats(200, 450))


@dataclass(frozen=True)
class Read:
    position: tuple[float, float]
    hz: tuple[float | None, float | None]
    sd_cents: float | tuple[float, float]
    day: float


anything = st.builds(Read, positions, st.tuples(maybe, maybe), sds, days)


def after(drum: Response, reads: list[Read]) -> Response:
    for one in reads:
        drum = drum.observe(one.position, hz=one.hz, sd_cents=one.sd_cents, day=one.day)
    return drum


def finite(*numbers: float | None) -> bool:
    return all(number is None or math.isfinite(number) for number in numbers)


@given(
    st.floats(6, 40),
    st.floats(0.2, 3),
    st.sampled_from(["film", "aramid", "calf"]),
    st.lists(anything, max_size=8),
    positions,
    st.tuples(maybe, maybe),
    days,
)
@settings(max_examples=300, deadline=None)
def test_no_input_makes_a_number_that_is_none(
    diameter_in: float,
    thread_mm: float,
    stuff: str,
    reads: list[Read],
    position: tuple[float, float],
    target: tuple[float | None, float | None],
    day: float,
) -> None:
    drum = Response.prior(diameter_in=diameter_in, thread_mm=thread_mm, material=(stuff, "film"))  # type: ignore[arg-type] # sampled from the three materials
    drum = after(drum, reads)
    there = drum.predict(position, day=day)
    assert finite(*there.hz, *there.sd_cents)
    assert all(hz is None or hz > 0 for hz in there.hz)
    assert all((hz is None) == (sd is None) for hz, sd in zip(there.hz, there.sd_cents, strict=True))
    assert all(sd is None or sd >= 0 for sd in there.sd_cents)
    assert (None in there.hz) == any("slack" in remark for remark in there.remarks)
    advice = drum.turns_to(target, position=position, day=day)
    assert finite(*advice.turns, *advice.sd_turns, *advice.expect_hz)
    assert [hz is None for hz in target] == [turns is None for turns in advice.turns]


@given(st.sampled_from([(None, None)]), days)
def test_no_reading_tells_nothing(hz: tuple[None, None], day: float) -> None:
    drum = USUAL.observe((0, 0), hz=hz, sd_cents=3, day=0)
    assert drum.predict((0.5, 0.5), day=day) == USUAL.predict((0.5, 0.5), day=day)


@given(drum_hz, st.floats(0.5, 20), st.floats(1, 4), st.integers(1, 6))
@settings(deadline=None)
def test_more_noise_never_narrows(hz: tuple[float, float], sd: float, factor: float, count: int) -> None:
    """Of the same readings, those with the larger uncertainty never leave a narrower forecast."""
    quiet, loud = (after(USUAL, [Read((0.0, 0.0), hz, noise, 0.0)] * count) for noise in (sd, sd * factor))
    for position, day in (((0.0, 0.0), 0.0), ((0.25, 0.0), 0.0), ((0.0, -0.25), 20.0)):
        near, far = quiet.predict(position, day=day), loud.predict(position, day=day)
        for small, large in zip(near.sd_cents, far.sd_cents, strict=True):
            assert (large or 0) >= (small or 0) * (1 - 1e-3)


@given(drum_hz, st.lists(st.floats(-1.5, 1.5), min_size=2, max_size=4), st.floats(1, 20), st.booleans())
@settings(deadline=None)
def test_the_order_of_readings_at_one_place_and_day_is_irrelevant(
    hz: tuple[float, float], offs: list[float], sd: float, turned: bool
) -> None:
    """Readings that differ by a few of their standard deviations; a surprise would count when it comes."""
    drum = USUAL
    if turned:
        drum = after(drum, [Read((-0.25, 0.0), (hz[0] * 0.96, hz[1]), 3.0, 0.0)])
    reads = [Read((0.0, 0.0), (hz[0] * 2 ** (off * sd / 1200), None), sd, 2.0) for off in offs]
    reads.append(Read((0.0, 0.0), (None, hz[1]), sd, 2.0))
    said = []
    for order in permutations(reads):
        there = after(drum, list(order)).predict((0.25, 0.25), day=5)
        said.append([*there.hz, *there.sd_cents])
    for other in said[1:]:
        assert other == pytest.approx(said[0], rel=1e-9)


@given(
    drum_hz,
    st.lists(
        st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(-1, 1), st.floats(-1, 1)), max_size=6
    ),
    st.tuples(st.floats(-200, 200), st.floats(-200, 200)),
)
@settings(deadline=None)
def test_the_forecast_after_the_advised_turn_is_the_target(
    hz: tuple[float, float], tries: list[tuple[float, float, float, float]], off: tuple[float, float]
) -> None:
    """Whatever was learned: a drum of 75 cents a quarter turn, heard with errors of up to 20 cents."""
    reads = [Read((0.0, 0.0), hz, 3.0, 0.0)]
    for top, bottom, wrong_top, wrong_bottom in tries:
        cents = (300 * top + 20 * wrong_top, 300 * bottom + 20 * wrong_bottom)
        reads.append(
            Read((top, bottom), (hz[0] * 2 ** (cents[0] / 1200), hz[1] * 2 ** (cents[1] / 1200)), 3.0, 1.0)
        )
    drum = after(USUAL, reads)
    target = (hz[0] * 2 ** (off[0] / 1200), hz[1] * 2 ** (off[1] / 1200))
    position = reads[-1].position
    advice = drum.turns_to(target, position=position, day=2)
    assume(not any("recheck" in remark for remark in advice.remarks))
    there = drum.predict((position[0] + (advice.turns[0] or 0), position[1] + (advice.turns[1] or 0)), day=2)
    assert advice.expect_hz == pytest.approx(there.hz, rel=1e-9)
    assert advice.expect_hz == pytest.approx(target, rel=1e-4)


@given(
    drum_hz,
    st.tuples(st.floats(35, 120), st.floats(35, 120)),
    st.tuples(st.floats(0, 0.12), st.floats(0, 0.12)),
    st.tuples(st.floats(-150, 150), st.floats(-150, 150)),
)
@settings(deadline=None)
def test_with_turns_known_the_advice_is_the_exact_solution(
    hz: tuple[float, float],
    quarter: tuple[float, float],
    cross: tuple[float, float],
    off: tuple[float, float],
) -> None:
    """Of exact readings the slopes are learned; what the hand may have erred is all that is left of doubt."""
    square = [one**2 for one in hz]
    own = [square[i] * (2 ** (2 * quarter[i] / 1200) - 1) * 4 for i in (0, 1)]
    reads = []
    for position in [(0.0, 0.0), (0.25, 0.0), (0.25, 0.25), (0.0, 0.25)] * 4 + [(0.0, 0.0)]:
        y = [square[i] + own[i] * (position[i] + cross[i] * position[1 - i]) for i in (0, 1)]
        reads.append(Read(position, (y[0] ** 0.5, y[1] ** 0.5), 0.5, 0.0))
    drum = after(USUAL, reads)
    target = (hz[0] * 2 ** (off[0] / 1200), hz[1] * 2 ** (off[1] / 1200))
    advice = drum.turns_to(target, position=(0, 0), day=0)
    slopes = [[own[0], own[0] * cross[0]], [own[1] * cross[1], own[1]]]
    exact = np.linalg.solve(slopes, [target[i] ** 2 - square[i] for i in (0, 1)])
    assume(all(abs(turns) < 0.75 for turns in exact))
    for got, wanted in zip(advice.turns, exact, strict=True):
        assert got == pytest.approx(wanted, abs=0.02 + 0.06 * abs(wanted))
