"""The state of a drum's two heads, and what days and turns do to it.

In the working range f² is linear in turns, for each head y = f² = a + b·own turns + c·other head's turns,
with a slight bend q·own². The state keeps, in place of a, the value of y at the last position and day, so
that its variance is that of the head as it stands:

    top y, b, c, q, k;  bottom y, b, c, q, k;  w, h        (`SIZE` = 12 numbers)

y in Hz²; b and c in Hz² per turn; q in Hz² per turn squared; k the rate of creep in Hz² (see `drift`); w the
part of y that is weather, in Hz², alike for both heads; h what a kelvin does to both, in Hz² (see `drift`). A
turn t of this head and u of the other make

    y' = y + b·t + c·u + q·t²,   b' = b + 2·q·t

which is linear in the state, so that a Kalman filter is exact.

Turns are counted by hand: each time a head is turned, the true turn differs from the counted one by about
`KEY_TURNS`. The error stays until the count ends, so it enters as process noise, (b·σ)² of this head and,
through c, of the other one with it, and not as noise of a reading.
"""

from dataclasses import dataclass, replace

import numpy as np

from lugbook.turns.drift import KELVIN_HZ2, WEATHER_HZ2, creep_span, renewed, weather_keeps
from lugbook.turns.kalman import Array, changed
from lugbook.turns.prior import USUAL_IN, HeadPrior
from lugbook.turns.squares import SLACK_HZ, spread_of

Pair = tuple[float, float]
"""One number for the top and one for the bottom head."""

SIZE = 12
Y, B, C, Q, K = (0, 5), (1, 6), (2, 7), (3, 8), (4, 9)
"""Indices of y, b, c, q and k of the top and the bottom head."""
W, H = 10, 11
"""Indices of the weather, and of what a kelvin does."""

KEY_TURNS = 1 / 64
"""Standard deviation of one turn of all rods made by hand, in turns."""

_KEY_SHARE = 0.5
"""A smaller turn (a touch-up of one rod, in turns over rods) is uncertain by so much of itself."""

MOST_CROSS = 0.5
"""The other head's turn never does more than this share of the own one."""


@dataclass(frozen=True, eq=False)
class State:
    """The two heads at one position on one day. Arrays are never changed in place."""

    mean: Array
    """Shape (12,)."""
    cov: Array
    """Shape (12, 12)."""
    position: Pair
    """Turns of top and bottom from their references."""
    day: float
    """Days from any fixed start."""
    since: Pair
    """The days that creep of each head counts from."""
    priors: tuple[HeadPrior, HeadPrior]
    """What the two heads are."""
    weather_hz2: float
    """Standard deviation of the weather in Hz²."""
    temperature_c: float | None = None
    """The air's on that day, in °C; None where nobody looked."""

    def at(self, position: Pair, day: float, temperature_c: float | None = None) -> "State":
        """Return the state on *day*, then turned to *position*; a day gone back counts as the same day.

        Where the air's temperature is known on both days, what it does to both heads is taken in.
        """
        there = _aged(self, max(day, self.day))
        if temperature_c is not None:
            there = _warmed(there, temperature_c)
        return _turned(there, position)

    def slopes(self, turns: Pair = (0.0, 0.0)) -> Array:
        """Return the slopes of the chords from here over *turns*, kept inside what rods and film allow.

        Returns:
            Shape (2, 2), Δ(top y, bottom y) per (top turns, bottom turns), in Hz² per turn.
        """
        slopes = np.empty((2, 2))
        for head, prior in enumerate(self.priors):
            own = self.mean[B[head]] + self.mean[Q[head]] * turns[head]
            own = min(max(own, prior.slope_floor), prior.slope_limit)
            slopes[head, head] = own
            slopes[head, 1 - head] = min(max(self.mean[C[head]], -MOST_CROSS * own), MOST_CROSS * own)
        return slopes


def first_state(priors: tuple[HeadPrior, HeadPrior], *, diameter_in: float, day: float) -> State:
    """Return the state of a drum of which nothing has been read; its count stands at nought."""
    weather = WEATHER_HZ2 * (USUAL_IN / diameter_in) ** 2
    cov = np.zeros((SIZE, SIZE))
    cov[W, W] = weather**2
    cov[H, H] = (KELVIN_HZ2 * (USUAL_IN / diameter_in) ** 2) ** 2
    return State(np.zeros(SIZE), cov, (0.0, 0.0), day, (day, day), priors, weather)


def _aged(state: State, day: float) -> State:
    days = day - state.day
    if days <= 0:
        return state
    keeps = weather_keeps(days)
    change, noise = np.eye(SIZE), np.zeros((SIZE, SIZE))
    shared = [*Y, W]
    # y holds today's weather within it, so what w loses, both heads lose.
    change[shared, W] += keeps - 1
    noise[np.ix_(shared, shared)] += state.weather_hz2**2 * (1 - keeps**2)
    for y, k, since, head in zip(Y, K, state.since, state.priors, strict=True):
        change[y, k] = -creep_span(since=since, day=state.day, until=day)
        noise[y, y] += spread_of(head.stuff.rest_cents, at=max(state.mean[y], SLACK_HZ**2)) ** 2 * days
    mean, cov = changed(state.mean, state.cov, change=change, noise=noise)
    return replace(state, mean=mean, cov=cov, day=day)


def _warmed(state: State, temperature_c: float) -> State:
    if state.temperature_c is None or state.temperature_c == temperature_c:
        return replace(state, temperature_c=temperature_c)
    change = np.eye(SIZE)
    change[list(Y), H] = temperature_c - state.temperature_c
    mean, cov = changed(state.mean, state.cov, change=change, noise=np.zeros((SIZE, SIZE)))
    return replace(state, mean=mean, cov=cov, temperature_c=temperature_c)


def _turned(state: State, position: Pair) -> State:
    turns = (position[0] - state.position[0], position[1] - state.position[1])
    if turns == (0.0, 0.0):
        return state
    change, noise = np.eye(SIZE), np.zeros((SIZE, SIZE))
    for head, turn in enumerate(turns):
        change[Y[head], [B[head], C[head], Q[head]]] = turn, turns[1 - head], turn**2
        change[B[head], Q[head]] = 2 * turn
    key = np.diag([min(KEY_TURNS, _KEY_SHARE * abs(turn)) ** 2 for turn in turns])
    slopes = state.slopes(turns)
    noise[np.ix_(Y, Y)] = slopes @ key @ slopes.T
    mean, cov = changed(state.mean, state.cov, change=change, noise=noise)
    top, bottom = (
        renewed(since=since, day=state.day, raised=turn)
        for since, turn in zip(state.since, turns, strict=True)
    )
    return replace(state, mean=mean, cov=cov, position=position, since=(top, bottom))
