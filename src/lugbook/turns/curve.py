"""How one head answers to turns, as a line with its band, and what it did by itself.

With y = f² and t turns from where the head stands today, the model says y(t) = y + b·t + q·t² (see `state`).
The band is the standard deviation of that at each t, from the covariance of y, b and q: what is not known of
the head, without the error of a hand that turns it.

A reading of an earlier day at another position is put beside the line as it was read, less what the turns of
the other head have done to it since: y − c·(other then − other now). How far it lies off the line is its
**drift**: creep, weather, and the error of the reading.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lugbook.turns.advice import SIDES, Side
from lugbook.turns.response import Response
from lugbook.turns.squares import SLACK_HZ, cents_of, check_reading_hz, spread_of
from lugbook.turns.state import SIZE, B, C, Pair, Q, State, Y

QUARTER = 0.25
"""The turn that players speak of."""

_STEPS = 40
"""Parts of the line."""

BAND_SD = 1.6449
"""Nine readings in ten lie inside so many standard deviations."""


@dataclass(frozen=True)
class Heard:
    """One reading of the head."""

    turns: float
    """Where the head stood, in turns from its reference."""
    other_turns: float
    """Where the other head stood."""
    hz: float
    sd_cents: float
    day: float


@dataclass(frozen=True)
class Point:
    """One reading beside the line."""

    turns: float
    hz: float
    square: float
    """f² with the other head where it stands today, in Hz²."""
    sd_square: float
    day: float
    drift_cents: float
    """How far it lay from where turns alone put it today, in cents; above is higher."""


@dataclass(frozen=True)
class LinePoint:
    """One place on the line."""

    turns: float
    square: float
    sd_square: float


@dataclass(frozen=True)
class Move:
    """What a turn does to a pitch, in cents."""

    cents: float
    sd_cents: float


@dataclass(frozen=True)
class Curve:
    """How one head answers, today."""

    side: Side
    turns: float
    """Where it stands, in turns from its reference."""
    hz: float | None
    """What it should sound there today; None where it is slack or was never read."""
    sd_cents: float | None
    square: float
    slope: float
    """Hz² per turn where it stands."""
    slope_sd: float
    up: Move | None
    """A quarter turn tighter from here; None where the head is slack."""
    down: Move | None
    """A quarter turn looser; None where it would be slack then."""
    of_other: Move | None
    """A quarter turn of the other head, tighter."""
    line: tuple[LinePoint, ...]
    """From a quarter turn below the lowest reading to one above the highest, as far as it is not slack."""
    points: tuple[Point, ...]
    fall_day_cents: float
    """How far it should creep down until tomorrow, in cents; 0 or more."""
    fall_week_cents: float


def curve(
    response: Response, side: Side, heard: Sequence[Heard], *, position: Sequence[float], day: float
) -> Curve:
    """Return how a head answers.

    Args:
        response: what is known of the drum.
        side: the head.
        heard: its readings in the running count, in any order.
        position: where top and bottom stand today, in turns.
        day: today.

    Raises:
        BadValue: a value out of range or not finite.
    """
    head = SIDES.index(side)
    where: Pair = (float(position[0]), float(position[1]))
    # Asked through the response, which checks both.
    there = response.predict(where, day=day)
    state = response.state.at(where, day)
    return Curve(
        side=side,
        turns=where[head],
        hz=there.hz[head] if response.heard[head] else None,
        sd_cents=there.sd_cents[head] if response.heard[head] else None,
        square=float(state.mean[Y[head]]),
        slope=float(state.mean[B[head]]),
        slope_sd=_sd(state, {B[head]: 1.0}),
        up=_move(state, head, QUARTER),
        down=_move(state, head, -QUARTER),
        of_other=_move_of_other(state, head),
        line=_line(state, head, heard, at=where[head]),
        points=tuple(_point(state, head, one, where) for one in heard),
        fall_day_cents=response.fall_cents(side, day=day, days=1.0),
        fall_week_cents=response.fall_cents(side, day=day, days=7.0),
    )


def _line(state: State, head: int, heard: Sequence[Heard], *, at: float) -> tuple[LinePoint, ...]:
    places = [at, *(one.turns for one in heard)]
    low, high = min(places) - QUARTER, max(places) + QUARTER
    line = []
    for turns in np.linspace(low, high, _STEPS + 1):
        t = float(turns) - at
        square = _value(state, head, t)
        if square >= SLACK_HZ**2:
            line.append(LinePoint(float(turns), square, _sd(state, _terms(head, t))))
    return tuple(line)


def _point(state: State, head: int, one: Heard, where: Pair) -> Point:
    raw = check_reading_hz(one.hz) ** 2
    square = raw - float(state.mean[C[head]]) * (one.other_turns - where[1 - head])
    by_turns = max(_value(state, head, one.turns - where[head]), SLACK_HZ**2)
    drift = 600 * math.log2(max(square, SLACK_HZ**2) / by_turns)
    return Point(one.turns, one.hz, square, spread_of(one.sd_cents, at=raw), one.day, drift)


def _value(state: State, head: int, t: float) -> float:
    """Return y(t) in Hz², with the bend no further than where the line would turn back."""
    y, b, q = (float(state.mean[index[head]]) for index in (Y, B, Q))
    if q and t and -b / (2 * q) / t > 0:
        furthest = -b / (2 * q)
        t = min(t, furthest) if t > 0 else max(t, furthest)
    return y + b * t + q * t**2


def _terms(head: int, t: float) -> dict[int, float]:
    return {Y[head]: 1.0, B[head]: t, Q[head]: t**2}


def _move(state: State, head: int, t: float) -> Move | None:
    here, there = float(state.mean[Y[head]]), _value(state, head, t)
    if min(here, there) < SLACK_HZ**2:
        return None
    sd = _sd(state, {B[head]: t, Q[head]: t**2})
    return Move(600 * math.log2(there / here), cents_of(sd, at=there))


def _move_of_other(state: State, head: int) -> Move | None:
    here = float(state.mean[Y[head]])
    there = here + QUARTER * float(state.mean[C[head]])
    if min(here, there) < SLACK_HZ**2:
        return None
    return Move(600 * math.log2(there / here), cents_of(QUARTER * _sd(state, {C[head]: 1.0}), at=there))


def _sd(state: State, terms: dict[int, float]) -> float:
    row = np.zeros(SIZE)
    row[list(terms)] = list(terms.values())
    return math.sqrt(max(float(row @ state.cov @ row), 0.0))
