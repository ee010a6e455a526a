"""What both heads did alike: told when it is there, and hardly ever when it is not."""

import math
from dataclasses import replace

import numpy as np
import pytest

from lugbook.turns import Response
from lugbook.turns.alike import LEAST_DAYS, alike_hz2
from lugbook.turns.curve import Curve, Heard, Point, curve
from lugbook.turns.squares import cents_of


def flat(square: float) -> Curve:
    """The curve of a head that sounds √square Hz at nought and never creeps."""
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    response = response.observe((0.0, 0.0), hz=(math.sqrt(square), None), sd_cents=3.0, day=0.0)
    found = curve(
        response, "top", [Heard(0.0, 0.0, math.sqrt(square), 3.0, 0.0)], position=(0.0, 0.0), day=0.0
    )
    return replace(found, creep=())


TOP, BOTTOM = flat(48_400.0), flat(86_000.0)


def pairs_of(drifts: list[tuple[float, float]], *, a_day: int = 1) -> list[tuple[Point, Point]]:
    """Points that drifted by so many Hz², *a_day* of them on each day."""
    return [
        (
            replace(
                TOP.points[0], day=float(k // a_day), drift_cents=cents_of(above, at=TOP.points[0].square)
            ),
            replace(
                BOTTOM.points[0],
                day=float(k // a_day),
                drift_cents=cents_of(below, at=BOTTOM.points[0].square),
            ),
        )
        for k, (above, below) in enumerate(drifts)
    ]


def test_the_size_of_what_is_shared_is_that_which_was_put_in() -> None:
    """The covariance by numpy of the same numbers, plus noise of each head, gives 800 Hz²."""
    rng = np.random.default_rng(5)
    shared, noise = rng.normal(0, 800, 400), rng.normal(0, 200, (400, 2))
    drifts = [(float(w + a), float(w + b)) for w, (a, b) in zip(shared, noise, strict=True)]
    found = alike_hz2(TOP, BOTTOM, pairs_of(drifts))
    assert found == pytest.approx(math.sqrt(np.cov(np.array(drifts).T)[0, 1]), rel=1e-6)
    assert found == pytest.approx(800, rel=0.1)


@pytest.mark.parametrize("days", [LEAST_DAYS, 10, 30])
def test_chance_is_hardly_ever_taken_for_weather(days: int) -> None:
    """Of a thousand pairs of heads that have nothing in common, at most three in a hundred are said to."""
    rng = np.random.default_rng(days)
    found = [
        alike_hz2(TOP, BOTTOM, pairs_of([(float(a), float(b)) for a, b in rng.normal(0, 300, (days, 2))]))
        for _ in range(1_000)
    ]
    assert sum(one is not None for one in found) <= 30


def test_many_readings_of_few_days_tell_nothing() -> None:
    drifts = [(float(k), float(k)) for k in range(40)]
    assert alike_hz2(TOP, BOTTOM, pairs_of(drifts, a_day=10)) is None
    assert alike_hz2(TOP, BOTTOM, pairs_of(drifts, a_day=4)) is not None


def test_heads_that_stand_still_or_move_against_each_other_share_nothing() -> None:
    assert alike_hz2(TOP, BOTTOM, []) is None
    assert alike_hz2(TOP, BOTTOM, pairs_of([(0.0, 0.0)] * 10)) is None
    assert alike_hz2(TOP, BOTTOM, pairs_of([(k * 100.0, -k * 100.0) for k in range(10)])) is None
