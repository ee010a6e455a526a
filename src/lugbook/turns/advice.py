"""Answers of the model: what pitch to expect, and what turns lead to a target.

The turns t of both heads are solved together: with d the way to go in y and B the 2×2 slopes,

    B·t = d

As the law is slightly bent, B is that of the chord over t, found by repeating the sum a few times. B can
always be inverted, as own slopes stay above a floor and the other head's below half of the own.

Where slopes are still uncertain, the turn with the least expected squared error would be shorter, for one
head by 1/(1 + (sd_b/b)²). In simulated returns, read and turned until within 8 cents, that saves no rounds
(`tests/bench/test_turns_rounds.py` prints both), so the advice is the plain one: its forecast is the target.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lugbook.turns.amounts import MOST_TURNS
from lugbook.turns.kalman import Array
from lugbook.turns.squares import cents_of, hz_of
from lugbook.turns.state import SIZE, B, C, Pair, Q, State, Y

HeadPair = tuple[float | None, float | None]
"""A number for the top and the bottom head; None where there is none."""

Side = Literal["top", "bottom"]

SIDES: tuple[Side, Side] = ("top", "bottom")

_ROUNDS = 8
"""So often is the chord taken anew; each time the error shrinks to the bend's share of it, below a fifth."""

_AT_BOUND = 1.1
"""A slope this near to a bound, as a ratio, has been pushed against it."""

_WIDE = 0.2
"""A slope known no better than this share of itself is said to be a guess."""


@dataclass(frozen=True)
class Forecast:
    """The pitches to expect at a position."""

    hz: HeadPair
    """Pitch of top and bottom in Hz; None for a head that is slack there."""
    sd_cents: HeadPair
    """Standard deviation of each in cents, the error of the turn included; None with the pitch."""
    remarks: tuple[str, ...] = ()
    """What else must be said, in sentences."""


@dataclass(frozen=True)
class Advice:
    """The turns to make from a position towards a pair of pitches."""

    turns: HeadPair
    """Turns of top and bottom, unrounded, plus tightens; None for a head without a target."""
    sd_turns: HeadPair
    """How far the turns that would land exactly may lie from these (standard deviation)."""
    expect_hz: HeadPair
    """Pitches to expect after these turns, in Hz; None for a head that would be slack."""
    remarks: tuple[str, ...]
    """What else must be said, in sentences."""


@dataclass(frozen=True)
class Difference:
    """What became of each head's pitch since the last reading."""

    turns_cents: HeadPair
    """What the turns since then explain, in cents; None for a head that was not read or is slack."""
    drift_cents: HeadPair
    """What is left: weather, creep, and whatever else moved the head."""
    sd_cents: HeadPair
    """How uncertain the parting of the two is, by the slopes and the hand."""


def forecast(state: State) -> Forecast:
    """Return what *state* says of its own position and day."""
    hz = [hz_of(float(state.mean[y])) for y in Y]
    sd = [
        None if hz[head] is None else cents_of(float(state.cov[y, y]) ** 0.5, at=float(state.mean[y]))
        for head, y in enumerate(Y)
    ]
    remarks = tuple(
        f"{SIDES[head].capitalize()} head: slack at {state.position[head]:.3g} turns, without a pitch."
        for head in (0, 1)
        if hz[head] is None
    )
    return Forecast((hz[0], hz[1]), (sd[0], sd[1]), remarks)


def difference(before: State, turned: State, hz: HeadPair) -> Difference:
    """Return how much of *hz* against *before* lies in the turns to *turned*, and how much is drift."""
    turns: list[float | None] = [None, None]
    drift: list[float | None] = [None, None]
    doubt: list[float | None] = [None, None]
    there = forecast(turned)
    for head, (was, expected, now) in enumerate(zip(forecast(before).hz, there.hz, hz, strict=True)):
        if was is not None and expected is not None and now is not None:
            turns[head] = 1200 * math.log2(expected / was)
            drift[head] = 1200 * math.log2(now / expected)
            doubt[head] = there.sd_cents[head]
    return Difference((turns[0], turns[1]), (drift[0], drift[1]), (doubt[0], doubt[1]))


def towards(state: State, hz: HeadPair) -> Advice:
    """Return the turns from where *state* stands to the targets *hz* (Hz; None for a head without one)."""
    heads = [head for head in (0, 1) if hz[head] is not None]
    if not heads:
        there = forecast(state)
        return Advice((None, None), (None, None), there.hz, there.remarks)
    squares = np.array([float(hz[head] or 0.0) ** 2 for head in heads])
    turns, inverse = _solved(state, squares, heads)
    reached = _within_the_rods(turns, state.position)
    landed = state.at((state.position[0] + reached[0], state.position[1] + reached[1]), state.day)
    there = forecast(landed)
    sd_turns = _doubt_of_turns(state, reached, inverse, heads)
    remarks = _doubts(state, heads) + there.remarks
    if not np.allclose(reached, turns, rtol=0.0, atol=1e-9):
        remarks = (f"The target is more than {MOST_TURNS:g} turns away; no rod is that long.", *remarks)
    return Advice(_pair(reached, heads), _pair(sd_turns, heads), there.hz, remarks)


def _solved(state: State, squares: Array, heads: list[int]) -> tuple[Array, Array]:
    """Return the turns of both heads towards the *squares* of *heads*, and the inverse of the slopes used."""
    to_go = squares - state.mean[[Y[head] for head in heads]]
    turns, inverse = np.zeros(2), np.eye(len(heads))
    for _ in range(_ROUNDS):
        inverse[...] = np.linalg.inv(state.slopes((turns[0], turns[1]))[np.ix_(heads, heads)])
        turns[heads] = inverse @ to_go
    return turns, inverse


def _doubt_of_turns(state: State, turns: Array, inverse: Array, heads: list[int]) -> Array:
    """Return how uncertain the turns are that would land exactly; the hand's own error is no part of it."""
    look = np.zeros((len(heads), SIZE))
    for row, head in enumerate(heads):
        terms = [Y[head], B[head], C[head], Q[head]]
        look[row, terms] = 1.0, turns[head], turns[1 - head], turns[head] ** 2
    doubt = inverse @ look @ state.cov @ look.T @ inverse.T
    sd = np.zeros(2)
    sd[heads] = np.sqrt(np.maximum(np.diag(doubt), 0.0))
    return sd


def _within_the_rods(turns: Array, position: Pair) -> Array:
    where = np.array(position)
    return np.asarray(np.clip(where + turns, -MOST_TURNS, MOST_TURNS) - where, dtype=np.float64)


def _pair(values: Array, heads: list[int]) -> HeadPair:
    top, bottom = (float(values[head]) if head in heads else None for head in (0, 1))
    return top, bottom


def _doubts(state: State, heads: list[int]) -> tuple[str, ...]:
    said = []
    for head in heads:
        side, prior, b = SIDES[head].capitalize(), state.priors[head], float(state.mean[B[head]])
        if b > prior.slope_limit / _AT_BOUND:
            said.append(
                f"{side} head: the pitch moves more per turn than rods and film allow; recheck its turns."
            )
        elif b < prior.slope_floor * _AT_BOUND:
            said.append(f"{side} head: its turns hardly move the pitch, or the wrong way; recheck them.")
        elif float(state.cov[B[head], B[head]]) ** 0.5 > _WIDE * b:
            share = 100 * float(state.cov[B[head], B[head]]) ** 0.5 / b
            said.append(
                f"{side} head: too few turns are known; the amount is a guess, good to about {share:.0f} %."
            )
    return tuple(said)
