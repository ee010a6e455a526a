"""What may have happened to a drum since it was last read, each as a distribution of the two pitches now.

Let d be the shift of y = f² (Hz², top and bottom) from where the last readings and the turns since put the
two heads, had nothing moved them by itself. Each explanation is a mixture of normal distributions of d; all
hold the covariance S of that forecast and of the readings now:

    nothing      d = 0
    crept        d = −k·span of each head, span = ln(1 + v) − ln(1 + u) by its ages (see `drift`); k as
                 learned, and also up to eight times that, because young heads differ
    weather      one shift of either sign, alike for both heads; of one head alone nobody can tell
    slipped      one rod of n let go by a turns: −b·a/n of that head, −c·a/n of the other
    miscounted   a head stands e turns from its count: b·e, and c·e of the other. A turn made since the last
                 reading may not have been made, or twice, or the wrong way; else e is some eighths. In single
                 tension a slip and a miscount move both heads by b and c
    undamped     the other head rang: y of the lower head falls by s, that of the upper one rises by s (see
                 `coupled`), while both were read or only one of them
    changed      one head or both are others: their pitch has nothing to do with the turns
    other        anything else

Creep and weather that move no head by `_LEAST_CENTS` are nothing. What happens to a drum happens to one that
also drifts a little: all but the first three are weighed with S alone, and with ordinary creep and weather
added.

Sources: two masses and three springs, Rossing et al. 1992 (see `coupled`). Sizes are judgement where nothing
else is said.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lugbook.errors import BadValue
from lugbook.turns.advice import SIDES, HeadPair, Side
from lugbook.turns.coupled import pair
from lugbook.turns.drift import creep_span, weather_keeps
from lugbook.turns.kalman import Array
from lugbook.turns.response import Response
from lugbook.turns.squares import SLACK_HZ, spread_of
from lugbook.turns.state import B, K, Pair, Y

Cause = Literal["nothing", "crept", "weather", "slipped", "miscounted", "undamped", "changed", "other"]
"""What may have happened."""

_STILL = 0.6
"""How often a drum to which something happened had not drifted besides."""

_CREEPS = ((0.4, 1.0), (0.3, 2.0), (0.2, 4.0), (0.05, 8.0))
"""Weight and size of creep, against what was learned."""

_SPELLS = ((0.4, 0.8), (0.3, 1.6), (0.2, 3.0), (0.1, 5.0))
"""Weight and size of a spell of weather, up or down, against its everyday standard deviation."""

_SIZE_SPREAD = 0.35
"""Creep and weather are of the sizes above give or take this share."""

_LEAST_CENTS = 5.0
"""A drift that moves neither head so far is nothing: no reading shows it."""

_SLIPS = (1 / 8, 3 / 16, 1 / 4, 3 / 8, 1 / 2)
"""Turns that one rod may let go."""

_SLIP_SHARE = 0.3
"""One rod moves its head by its share of the turn, give or take this much of it."""

_EIGHTHS = (1 / 8, -1 / 8, 1 / 4, -1 / 4, 3 / 8, -3 / 8, 1 / 2, -1 / 2)
_OF_THE_TURN = ((0.45, -1.0), (0.3, 1.0), (0.25, -2.0))
"""Errors of a count: any eighths; or, by weight and share of the turn just made, that it was not made, was
made twice, or the wrong way."""

_UNWRITTEN = 0.2
"""How often a head that was not turned by the logbook was turned all the same, against one that was."""

_COUPLINGS_HZ = (80.0, 110.0, 140.0, 165.0, 190.0, 215.0)
_STRETCH = 0.12
"""Coupling k of two heads, and how far the grid of it and the model may be out, as a share of the shift."""

_CHANGED_CENTS, _OTHER_CENTS = 300.0, 60.0
"""Standard deviation of another head's pitch about the old one's, and of what nobody thought of."""


@dataclass(frozen=True)
class Seen:
    """What is seen of a drum today."""

    position: Pair
    """Where (top, bottom) stand by the count, in turns."""
    hz: HeadPair
    """What they read, in Hz; None for a head that was not read."""
    sd_cents: Pair
    day: float
    rods: tuple[int, int]
    turned: Pair
    """What each head was turned since it was last read, in turns."""
    single: bool = False
    """Whether one rod pulls both heads."""
    uneven: tuple[bool | None, bool | None] = (None, None)
    """Whether two pitches close together were heard in each; None where nobody can tell."""
    rang: tuple[bool | None, bool | None] = (None, None)
    """Whether the other head was heard to ring while each was read."""


@dataclass(frozen=True)
class Part:
    """One normal distribution of a mixture."""

    weight: float
    mean: Array
    """Shape (2,), Hz²."""
    cov: Array
    """Shape (2, 2)."""
    side: Side | None = None
    """Which head it is about."""
    size: float = 0.0
    """Turns of the slip or the miscount."""


class Explanations:
    """The explanations for one drum on one day.

    Args:
        response: what was learned up to the last readings.
        seen: what is seen today.

    Attributes:
        shift: d, shape (2,); 0 for a head that was not read.
        read: indices of the heads that were read.
    """

    def __init__(self, response: Response, seen: Seen) -> None:
        self._seen = seen
        self._then = response.state
        here = response.state.at(seen.position, response.state.day)
        self._here, self._days = here, max(seen.day - response.state.day, 0.0)
        self.read = [head for head in (0, 1) if seen.hz[head] is not None]
        squares = np.array([float(hz or 0.0) ** 2 for hz in seen.hz])
        self.foretold = np.maximum(here.mean[list(Y)], SLACK_HZ**2)
        self.shift = np.where([hz is not None for hz in seen.hz], squares - self.foretold, 0.0)
        noise = [
            spread_of(sd, at=max(y, SLACK_HZ**2)) ** 2 for sd, y in zip(seen.sd_cents, squares, strict=True)
        ]
        self._still = here.cov[np.ix_(Y, Y)] + np.diag(noise) + self._rest()

    def of(self, cause: Cause) -> Iterator[Part]:
        """Yield the mixture of one explanation; what is too small to see is left out of its weights of 1."""
        if cause == "nothing":
            yield Part(1.0, np.zeros(2), self._still)
        elif cause == "crept":
            yield from self._crept()
        elif cause == "weather":
            yield from self._weather()
        else:
            event = {
                "slipped": self._slipped,
                "miscounted": self._miscounted,
                "undamped": self._undamped,
                "changed": self._changed,
                "other": self._other,
            }[cause]
            for part in event():
                yield Part(_STILL * part.weight, part.mean, part.cov + self._still, part.side, part.size)
                drifted = self._still + self._drift_cov
                mean = part.mean + self._drift_mean
                yield Part((1 - _STILL) * part.weight, mean, part.cov + drifted, part.side, part.size)

    def _rest(self) -> Array:
        wander = [
            spread_of(head.stuff.rest_cents, at=float(y)) ** 2 * self._days
            for head, y in zip(self._here.priors, self.foretold, strict=True)
        ]
        return np.diag(wander)

    @property
    def _spans(self) -> Array:
        now = self._then.day + self._days
        return np.array([creep_span(since=s, day=self._then.day, until=now) for s in self._here.since])

    @property
    def _weather_sd(self) -> float:
        keeps = weather_keeps(self._days)
        return float(self._here.weather_hz2 * (1 - keeps**2) ** 0.5)

    @property
    def _drift_mean(self) -> Array:
        return np.asarray(-np.maximum(self._here.mean[list(K)], 0.0) * self._spans)

    @property
    def _drift_cov(self) -> Array:
        creep = np.diag([float(self._here.cov[k, k]) * s**2 for k, s in zip(K, self._spans, strict=True)])
        return creep + self._weather_sd**2 * np.ones((2, 2))

    def _crept(self) -> Iterator[Part]:
        sd = np.array([float(self._here.cov[k, k]) ** 0.5 for k in K])
        rate = np.maximum(self._here.mean[list(K)], sd / 2)
        for weight, times in _CREEPS:
            fall = times * rate * self._spans
            if self._visible(fall):
                yield Part(weight, -fall, self._still + np.diag((_SIZE_SPREAD * fall) ** 2))

    def _weather(self) -> Iterator[Part]:
        if len(self.read) < len(SIDES):
            # Whether both moved alike is not known of one.
            return
        for weight, times in _SPELLS:
            for sign in (-1, 1):
                move = sign * times * self._weather_sd * np.ones(2)
                if self._visible(move):
                    yield Part(weight / 2, move, self._still + _SIZE_SPREAD**2 * np.outer(move, move))

    def _visible(self, move: Array) -> bool:
        """Tell whether a shift moves one head far enough to be heard of."""
        least = [spread_of(_LEAST_CENTS, at=float(y)) for y in self.foretold]
        return bool((np.abs(move) >= least)[self.read].any())

    def _moved(self, head: int, turns: float) -> Array:
        """Return what *turns* of one head do to both, in Hz²; in single tension both are turned."""
        moved = np.zeros(2)
        own = self._here.slopes()
        if self._seen.single:
            return np.asarray(own.sum(axis=1) * turns)
        moved[head], moved[1 - head] = own[head, head] * turns, own[1 - head, head] * turns
        return moved

    def _slipped(self) -> Iterator[Part]:
        for head in self._turnable:
            for turns in _SLIPS:
                mean = self._moved(head, -turns / max(self._seen.rods[head], 1))
                spread = _SLIP_SHARE**2 * np.outer(mean, mean)
                weight = 1 / len(self._turnable) / len(_SLIPS)
                yield Part(weight, mean, spread, self._side(head), turns)

    def _miscounted(self) -> Iterator[Part]:
        moved = [head for head in self._turnable if self._seen.turned[head]]
        errors = [
            (0.7 / len(moved) * weight, head, share * self._seen.turned[head])
            for head in moved
            for weight, share in _OF_THE_TURN
        ]
        rest = 0.3 if moved else _UNWRITTEN
        each = rest / len(self._turnable) / len(_EIGHTHS)
        errors += [(each, head, e) for head in self._turnable for e in _EIGHTHS]
        for weight, head, turns in errors:
            slope_sd = float(self._here.cov[B[head], B[head]]) ** 0.5 * abs(turns)
            spread = np.zeros((2, 2))
            spread[head, head] = slope_sd**2
            yield Part(weight, self._moved(head, turns), spread, self._side(head), turns)

    @property
    def _turnable(self) -> tuple[int, ...]:
        """Heads whose rods can be turned for themselves: in single tension the top's stand for both."""
        return (0,) if self._seen.single else (0, 1)

    def _side(self, head: int) -> Side | None:
        return None if self._seen.single else SIDES[head]

    def _undamped(self) -> Iterator[Part]:
        own = np.sqrt(self.foretold)
        low = int(own[1] < own[0])
        for k in _COUPLINGS_HZ:
            try:
                lower, upper = pair(float(own[low]), float(own[1 - low]), k_hz=k)
            except BadValue:
                continue
            mean = np.zeros(2)
            mean[low], mean[1 - low] = lower**2 - own[low] ** 2, upper**2 - own[1 - low] ** 2
            for heads in ((0, 1), (0,), (1,)):
                part = np.where(np.isin([0, 1], heads), mean, 0.0)
                weight = (0.8 if len(heads) == 2 else 0.1) / len(_COUPLINGS_HZ)
                yield Part(weight, part, np.diag((_STRETCH * part) ** 2))

    def _changed(self) -> Iterator[Part]:
        wide = np.array([spread_of(_CHANGED_CENTS, at=float(y)) ** 2 for y in self.foretold])
        for weight, heads in ((0.4, (0,)), (0.4, (1,)), (0.2, (0, 1))):
            side = SIDES[heads[0]] if len(heads) == 1 else None
            yield Part(weight, np.zeros(2), np.diag(np.where(np.isin([0, 1], heads), wide, 0.0)), side)

    def _other(self) -> Iterator[Part]:
        wide = [spread_of(_OTHER_CENTS, at=float(y)) ** 2 for y in self.foretold]
        yield Part(1.0, np.zeros(2), np.diag(wide))
