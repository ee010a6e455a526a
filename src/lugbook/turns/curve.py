"""How one head answers to turns, as a line with its band, and what it did by itself.

With y = f² and t turns from where the head stands today, the model says y(t) = y + b·t + q·t² (see `state`).
The band is the standard deviation of that at each t, from the covariance of y, b and q: what is not known of
the head, without the error of a hand that turns it.

A reading of an earlier day at another position is put beside the line as it was read, less what the turns of
the other head have done to it since: y − c·(other then − other now). How far it lies off the line is its
**drift**: creep, weather, and the error of the reading. Beside it stands what the model makes of creep alone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lugbook.turns.advice import SIDES, Side
from lugbook.turns.response import Response
from lugbook.turns.squares import SLACK_HZ, cents_of, check_reading_hz, spread_of
from lugbook.turns.state import SIZE, B, C, Pair, Q, State, W, Y

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
    sd_cents: float
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
class Place:
    """What a quarter turn does at one place on the line."""

    turns: float
    up: Move | None
    """A quarter turn tighter from there; None where the head is slack."""
    down: Move | None
    """A quarter turn looser; None where it would be slack then."""


@dataclass(frozen=True)
class Creep:
    """How far above today's pitch a head stood on a day by creep alone."""

    day: float
    cents: float


@dataclass(frozen=True)
class Curve:
    """How one head answers, today."""

    side: Side
    turns: float
    """Where it stands, in turns from its reference."""
    hz: float | None
    """What it should sound there today; None where it is slack or was not read in the running count."""
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
    lowest: Place | None
    """The lowest place that was read; None where nothing was."""
    highest: Place | None
    """The highest place that was read."""
    line: tuple[LinePoint, ...]
    """From a quarter turn below the lowest reading to one above the highest, as far as it is not slack."""
    slack_below: float | None
    """The turns under which the head would be slack, where the line ends there; else None."""
    points: tuple[Point, ...]
    creep: tuple[Creep, ...]
    """From the first reading until today, in the order of the days; level before the head was last raised."""
    weather: Move | None
    """The part of today's pitch that both heads share in f²; None where the head is slack."""
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
    line, cut = _line(state, head, heard, at=where[head])
    places = [one.turns for one in heard]
    return Curve(
        side=side,
        turns=where[head],
        hz=there.hz[head] if heard else None,
        sd_cents=there.sd_cents[head] if heard else None,
        square=float(state.mean[Y[head]]),
        slope=float(state.mean[B[head]]),
        slope_sd=_sd(state, {B[head]: 1.0}),
        up=_move(state, head, QUARTER),
        down=_move(state, head, -QUARTER),
        of_other=_move_of_other(state, head),
        lowest=_place(state, head, min(places), at=where[head]) if places else None,
        highest=_place(state, head, max(places), at=where[head]) if places else None,
        line=line,
        slack_below=line[0].turns if cut and line else None,
        points=tuple(_point(state, head, one, where) for one in heard),
        creep=_creep(response, side, heard, day),
        weather=_shift(state, head, float(state.mean[W]), _sd(state, {W: 1.0})),
        fall_day_cents=response.fall_cents(side, day=day, days=1.0),
        fall_week_cents=response.fall_cents(side, day=day, days=7.0),
    )


def _line(
    state: State, head: int, heard: Sequence[Heard], *, at: float
) -> tuple[tuple[LinePoint, ...], bool]:
    """Return the line, and whether it ends where the head would be slack."""
    places = [at, *(one.turns for one in heard)]
    low, high = min(places) - QUARTER, max(places) + QUARTER
    line = []
    for turns in np.linspace(low, high, _STEPS + 1):
        t = float(turns) - at
        square = _value(state, head, t)
        if square >= SLACK_HZ**2:
            line.append(LinePoint(float(turns), square, _sd(state, _terms(head, t))))
    return tuple(line), len(line) <= _STEPS


def _place(state: State, head: int, turns: float, *, at: float) -> Place:
    start = turns - at
    return Place(turns, _move(state, head, QUARTER, start=start), _move(state, head, -QUARTER, start=start))


def _creep(response: Response, side: Side, heard: Sequence[Heard], day: float) -> tuple[Creep, ...]:
    if not heard:
        return ()
    first = min(day, *(one.day for one in heard))
    days = [float(one) for one in np.linspace(first, day, _STEPS + 1)]
    return tuple(Creep(one, response.fall_cents(side, day=one, days=day - one)) for one in days)


def _point(state: State, head: int, one: Heard, where: Pair) -> Point:
    raw = check_reading_hz(one.hz) ** 2
    square = raw - float(state.mean[C[head]]) * (one.other_turns - where[1 - head])
    by_turns = max(_value(state, head, one.turns - where[head]), SLACK_HZ**2)
    drift = 600 * math.log2(max(square, SLACK_HZ**2) / by_turns)
    return Point(one.turns, one.hz, square, spread_of(one.sd_cents, at=raw), one.sd_cents, one.day, drift)


def _value(state: State, head: int, t: float) -> float:
    """Return y(t) in Hz², with the bend no further than where the line would turn back."""
    y, b, q = (float(state.mean[index[head]]) for index in (Y, B, Q))
    if q and t and -b / (2 * q) / t > 0:
        furthest = -b / (2 * q)
        t = min(t, furthest) if t > 0 else max(t, furthest)
    return y + b * t + q * t**2


def _terms(head: int, t: float) -> dict[int, float]:
    return {Y[head]: 1.0, B[head]: t, Q[head]: t**2}


def _move(state: State, head: int, by: float, *, start: float = 0.0) -> Move | None:
    """Return what a turn does that begins *start* turns from where the head stands."""
    end = start + by
    here, there = _value(state, head, start), _value(state, head, end)
    if min(here, there) < SLACK_HZ**2:
        return None
    sd = _sd(state, {B[head]: by, Q[head]: end**2 - start**2})
    return Move(600 * math.log2(there / here), cents_of(sd, at=there))


def _move_of_other(state: State, head: int) -> Move | None:
    cross = C[head]
    return _shift(state, head, QUARTER * float(state.mean[cross]), _sd(state, {cross: QUARTER}))


def _shift(state: State, head: int, squares: float, sd: float) -> Move | None:
    """Return what a change of so many Hz² does to the pitch where the head stands."""
    here = float(state.mean[Y[head]])
    if min(here, here + squares) < SLACK_HZ**2:
        return None
    return Move(600 * math.log2((here + squares) / here), cents_of(sd, at=here + squares))


def _sd(state: State, terms: dict[int, float]) -> float:
    row = np.zeros(SIZE)
    row[list(terms)] = list(terms.values())
    return math.sqrt(max(float(row @ state.cov @ row), 0.0))
