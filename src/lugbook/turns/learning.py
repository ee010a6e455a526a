"""What one reading of one head does to the state.

The first reading of a head sets the scale of everything believed of it, because slopes are believed in cents
per turn (see `prior`) unless an earlier head or other drums tell them: y ~ f², and b, c, q and k in
proportion. As long as the head has neither been turned nor aged since, further readings only sharpen that
first pitch; their order does not matter. From then on a reading is one Kalman step with
r = (f²·2·ln2/1200·sd)².
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from lugbook.turns.drift import CREEP_CENTS, CREEP_CENTS_SD
from lugbook.turns.kalman import Array, informed
from lugbook.turns.prior import CROSS_SHARE, CROSS_SHARE_SD, PITCH_SD_CENTS, HeadPrior
from lugbook.turns.squares import SLACK_HZ, cents_of, spread_of
from lugbook.turns.state import MOST_CROSS, SIZE, B, C, K, Q, State, W, Y

_SURPRISE = 6.0
"""A reading this many standard deviations away says that something else happened than what was written."""

_ODD = 2.5
"""So many standard deviations away from what the days are thought to do, an unturned head is believed: else
it would be believed by halves, and the turns from there fall short."""

_OVERNIGHT = 0.3
"""What so many days do is more than one may think; within one sitting a reading so far off is a bad one."""

_WIDER = 3.0
"""A surprise makes a slope at the most this many times more uncertain (judgement)."""

_BEND_SD, _MOST_BEND = 0.1, 0.25
"""The bend q of the law, as a share of b per turn: belief 0 ± 0.1, and never beyond 0.25 (judgement)."""


@dataclass(frozen=True)
class FirstPitch:
    """The pitch of a head that has not been turned or aged since it was first read."""

    cents: float
    """From the guess of the prior, in cents."""
    sd_cents: float
    """Its standard deviation."""

    def contradicts(self, cents: float, sd_cents: float) -> bool:
        """Tell whether another reading of the head as it stood cannot be true together with this one."""
        return abs(cents - self.cents) > _SURPRISE * math.hypot(sd_cents, self.sd_cents)

    def sharpened(self, cents: float, sd_cents: float) -> "FirstPitch":
        """Return the pitch after another reading: the mean weighted by 1/sd²."""
        here, there = self.sd_cents**-2, sd_cents**-2
        return FirstPitch((self.cents * here + cents * there) / (here + there), (here + there) ** -0.5)


UNHEARD = FirstPitch(0.0, PITCH_SD_CENTS)
"""The pitch of a head before its first reading."""


def begun(state: State, head: int, pitch: FirstPitch) -> State:
    """Return the state with *head* (0 top, 1 bottom) as believed when nothing but its *pitch* is known."""
    prior = state.priors[head]
    square = (prior.hz * 2 ** (pitch.cents / 1200)) ** 2
    b, b_sd = prior.slope_at(square)
    creep = prior.stuff.creep
    own = [Y[head], B[head], C[head], Q[head], K[head]]
    mean, cov = state.mean.copy(), state.cov.copy()
    mean[own] = square, b, CROSS_SHARE * b, 0.0, spread_of(CREEP_CENTS * creep, at=square)
    cov[own, :] = cov[:, own] = 0.0
    cov[own, own] = (
        spread_of(pitch.sd_cents, at=square) ** 2,
        b_sd**2,
        (CROSS_SHARE * b_sd) ** 2 + CROSS_SHARE_SD**2 * (b**2 + b_sd**2),
        (_BEND_SD * b) ** 2,
        spread_of(CREEP_CENTS_SD * creep, at=square) ** 2,
    )
    cov[B[head], C[head]] = cov[C[head], B[head]] = CROSS_SHARE * b_sd**2
    return replace(state, mean=mean, cov=cov)


def cents_from_guess(prior: HeadPrior, hz: float) -> float:
    """Return *hz* in cents from the guess of the *prior*."""
    return 1200 * math.log2(hz / prior.hz)


def learned(
    state: State, head: int, *, hz: float, sd_cents: float, turned: float
) -> tuple[State, float | None]:
    """Return the state after a reading of *head*, which was *turned* since the reading before.

    A surprising reading (`_SURPRISE`) moves the pitch and not the slopes, as long as they are well known:
    the rods slipped, a turn was not written down, or another mode was heard.

    Returns:
        The state, and None or the difference from the expected pitch in cents.
    """
    square = hz**2
    variance = spread_of(sd_cents, at=square) ** 2
    row = np.zeros(SIZE)
    row[Y[head]] = 1.0
    off = square - state.mean[Y[head]]
    expected = state.cov[Y[head], Y[head]] + variance
    surprise = off**2 > _SURPRISE**2 * expected
    cov = _doubted(state.cov, head, unexplained=off**2 - expected, turned=turned) if surprise else state.cov
    mean, cov = informed(state.mean, cov, row=row, value=square, variance=variance)
    return _bounded(replace(state, mean=mean, cov=cov), head), cents_of(off, at=square) if surprise else None


def after_rough_days(state: State, readings: Iterable[tuple[int, float, float]], *, days: float) -> State:
    """Return the state before *readings* of heads that stood for *days*, rougher ones where those are odd.

    Pitches and weather are held to have moved by more than was thought, both heads alike, as far as the
    oddest reading asks for.

    Args:
        state: as it is expected now.
        readings: head (0 top, 1 bottom), Hz and standard deviation in cents of each.
        days: since the readings before.
    """
    rougher = 1.0
    for head, hz, sd_cents in readings if days > _OVERNIGHT else ():
        known, variance = state.cov[Y[head], Y[head]], spread_of(sd_cents, at=hz**2) ** 2
        off = hz**2 - state.mean[Y[head]]
        if off**2 > _ODD**2 * (known + variance):
            rougher = max(rougher, (off**2 - variance) / known)
    if rougher == 1.0:
        return state
    drift = np.ix_((*Y, W), (*Y, W))
    cov = state.cov.copy()
    cov[drift] *= rougher
    return replace(state, cov=cov)


def _doubted(cov: Array, head: int, *, unexplained: float, turned: float) -> Array:
    """Return the covariance widened by a variance of y that is *unexplained*.

    Half of it is laid to the slope, Δy = b·turned, but no more than `_WIDER` times what the slope is already
    uncertain by; the rest to the pitch itself. A well-known slope so outlives one slip, and gives way when
    surprises come again and again.
    """
    y, b = Y[head], B[head]
    slope = _WIDER**2 * cov[b, b]
    if slope * turned**2 > unexplained / 2:
        slope = unexplained / 2 / turned**2
    wider = cov.copy()
    wider[y, y] += unexplained
    wider[b, b] += slope
    wider[y, b] += slope * turned
    wider[b, y] += slope * turned
    return wider


def _bounded(state: State, head: int) -> State:
    """Return the state with slopes inside what rods and film allow, and a pitch for the *head* just read.

    A slope outside is moved to the bound, and the rest of the state with it along the covariance (the nearest
    state on the bound in the filter's own measure). So the turns of both heads can always be solved for.
    """
    mean = state.mean.copy()
    for side, prior in enumerate(state.priors):
        b, c = B[side], C[side]
        _move_inside(mean, state.cov, b, prior.slope_floor, prior.slope_limit)
        _move_inside(mean, state.cov, c, -MOST_CROSS * mean[b], MOST_CROSS * mean[b])
    for side, prior in enumerate(state.priors):
        # One head's move may push the other's slope a little; the bounds have the last word.
        mean[B[side]] = min(max(mean[B[side]], prior.slope_floor), prior.slope_limit)
        most = MOST_CROSS * mean[B[side]]
        mean[C[side]] = min(max(mean[C[side]], -most), most)
        most = _MOST_BEND * mean[B[side]]
        mean[Q[side]] = min(max(mean[Q[side]], -most), most)
    mean[Y[head]] = max(mean[Y[head]], SLACK_HZ**2)
    return replace(state, mean=mean)


def _move_inside(mean: Array, cov: Array, index: int, least: float, most: float) -> None:
    inside = min(max(mean[index], least), most)
    if inside != mean[index] and cov[index, index] > 0:
        mean += cov[:, index] / cov[index, index] * (inside - mean[index])
