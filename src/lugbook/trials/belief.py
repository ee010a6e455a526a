"""Where better may lie, as far as the judgments tell, and which side to try so that the key turns least.

An ear is taken to like a drum the less the further it lies from one best state (x, y), by

    u = −√(c·Δx² + Δy²/c + 2·r·Δx·Δy)

with Δ in steps: c says how much more one head matters, r whether both matter together. What is believed of
(x, y, c, r) is a set of samples (particles) that is resampled and moved (Metropolis steps) after each
judgment; a judgment of two states with u apart by d is "better" with the probability 1/(1 + e^(−d/τ)).

Each side that is left is then tried in thought: on a number of the samples the search is played to its end,
going on by what has helped and what has not, and the turns of the key are summed. The side with the fewest
turns is proposed. This is rollout with a base policy (Bertsekas, Tsitsiklis and Wu, J. Heuristics 3, 245,
1997, from memory). The belief only orders the sides: a search ends when all four were heard and none was
better, whatever was believed.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeAlias

from lugbook.trials.grid import APART, Place

Ear: TypeAlias = tuple[float, float, float, float]
"""Best top and bottom in steps from the start, logarithm of c, and r."""

Told: TypeAlias = tuple[Place, Place, str]
"""A state that was heard, the one it was judged against, both in steps, and the verdict."""

_EARS, _TRIED = 256, 128
"""How many ears are believed in, and on how many of them each side is tried."""

_FAR, _UNEVEN_SD, _MOST_SKEW = 6.0, 0.5, 0.8
"""Standard deviation of the best state from the start, in steps, and of ln c; the most of r (judgement)."""

_DOUBT = 0.15
"""τ: by so much of a step states must differ before an ear is sure (judgement)."""

_MOVES = 2
"""Metropolis steps of each ear after a judgment."""

LATEST, _FORGOTTEN = 30, 10
"""At most so many of the latest judgments are weighed; so many of the oldest are left out at once."""

_TURNED_OVER = 0.25
"""To turn the drum over for the bottom head is as much work as so many steps (judgement)."""

_MOST_STEPS = 30
"""A search played in thought ends here at the latest."""

_FADES = 0.9
"""What helped so many trials ago counts by this power."""

_HURTS = 0.7
"""A side that was worse speaks this much against itself, against one that was better."""


@dataclass(frozen=True, slots=True)
class Situation:
    """Where a search stands, in steps from its start."""

    kept: Place
    here: Place
    """Where the drum stands."""
    heard: frozenset[Place]
    told: tuple[Told, ...]
    least: tuple[float, float]
    """The lowest place inside the limits on each head, in steps; −∞ where there is none."""
    most: tuple[float, float]
    """The highest."""
    directions: tuple[Place, ...] = APART
    """From a state to its neighbours."""


class Belief:
    """What is believed of the player's ear; it is taught by `learn`."""

    learned: int
    """How many judgments it was taught."""

    def __init__(self) -> None:
        # The same judgments lead to the same proposals, also after the program was closed in between.
        self._random = Random(1)  # noqa: S311 -- nothing secret hangs on it
        self.learned = 0
        self._ears: list[Ear] = [self._guess() for _ in range(_EARS)]

    def learn(self, told: Sequence[Told]) -> None:
        """Believe what all judgments so far tell; *told* is what was learned before and one more."""
        self.learned = len(told)
        new = [_log_likely(ear, told[-1:]) for ear in self._ears]
        most = max(new)
        picked = self._random.choices(self._ears, [math.exp(log - most) for log in new], k=_EARS)
        self._ears = [self._moved(ear, told) for ear in picked]

    def chances(self, told: Iterable[Told]) -> list[float]:
        """Return how likely each verdict is by what is believed, from 0 to 1."""
        return [sum(math.exp(_log_likely(ear, [one])) for ear in self._ears) / _EARS for one in told]

    def cheapest(self, sides: Sequence[Place], situation: Situation) -> Place:
        """Return the one of *sides* from which a search costs the fewest turns of the key to its end."""
        if len(sides) == 1:
            return sides[0]
        # Asking changes nothing of what is believed.
        ears = self._ears[:: _EARS // _TRIED][:_TRIED]
        gone = [(_way(against, place), verdict == "better") for place, against, verdict in situation.told]
        promises = {way: promise(way, gone) for way in situation.directions}
        cost = {side: sum(_played(side, ear, situation, promises) for ear in ears) for side in sides}
        return min(sides, key=lambda side: cost[side])

    def _guess(self) -> Ear:
        gauss = self._random.gauss
        return (
            gauss(0, _FAR),
            gauss(0, _FAR),
            gauss(0, _UNEVEN_SD),
            self._random.uniform(-_MOST_SKEW, _MOST_SKEW),
        )

    def _moved(self, ear: Ear, told: Sequence[Told]) -> Ear:
        gauss, log = self._random.gauss, _log_likely(ear, told)
        for _ in range(_MOVES):
            other = (
                ear[0] + gauss(0, 1),
                ear[1] + gauss(0, 1),
                ear[2] + gauss(0, 0.2),
                max(-_MOST_SKEW, min(_MOST_SKEW, ear[3] + gauss(0, 0.25))),
            )
            other_log = _log_likely(other, told)
            gain = other_log + _log_prior(other) - log - _log_prior(ear)
            if gain >= 0 or self._random.random() < math.exp(gain):
                ear, log = other, other_log
        return ear


def first_weighed(told: int) -> int:
    """Return which of so many judgments is the first that is weighed.

    It moves on many at a time: each time it moves, all that is left has to be learned anew.
    """
    return max(0, -(-(told - LATEST) // _FORGOTTEN) * _FORGOTTEN)


def _badness(ear: Ear, place: Place) -> float:
    """Return the square of how little an ear likes a state; the less, the better it likes it."""
    best_x, best_y, log_ratio, skew = ear
    x, y, ratio = place[0] - best_x, place[1] - best_y, math.exp(log_ratio)
    return ratio * x * x + y * y / ratio + 2 * skew * x * y


def _log_prior(ear: Ear) -> float:
    return -(ear[0] ** 2 + ear[1] ** 2) / (2 * _FAR**2) - ear[2] ** 2 / (2 * _UNEVEN_SD**2)


def _log_likely(ear: Ear, told: Iterable[Told]) -> float:
    best_x, best_y, log_ratio, skew = ear
    ratio, log = math.exp(log_ratio), 0.0
    for (heard_x, heard_y), (kept_x, kept_y), verdict in told:
        x, y = heard_x - best_x, heard_y - best_y
        off = math.sqrt(max(ratio * x * x + y * y / ratio + 2 * skew * x * y, 0.0))
        x, y = kept_x - best_x, kept_y - best_y
        apart = (math.sqrt(max(ratio * x * x + y * y / ratio + 2 * skew * x * y, 0.0)) - off) / _DOUBT
        if verdict == "same":
            log -= min(apart * apart, 50.0)
            continue
        wrong = -apart if verdict == "better" else apart
        # One verdict in many is a slip of the ear: none is held to be impossible.
        log -= min(wrong if wrong > 30 else math.log1p(math.exp(wrong)), 6.0)
    return log


def _played(first: Place, ear: Ear, situation: Situation, promises: Mapping[Place, float]) -> float:
    """Return the turns of the key, in steps, until one ear has its proven best and the drum stands there.

    Where the bottom head is turned, the drum is turned over besides.

    Args:
        first: the state that is heard first.
        ear: the ear.
        situation: where the search stands.
        promises: how much speaks for going each way by now (`promise`).
    """
    heard, kept, here = set(situation.heard), situation.kept, situation.here
    after, cost, speaks = first, 0.0, dict(promises)
    (least_x, least_y), (most_x, most_y) = situation.least, situation.most
    kept_off = _badness(ear, kept)
    for _ in range(_MOST_STEPS):
        bottom = abs(after[1] - here[1])
        cost += abs(after[0] - here[0]) + bottom + (_TURNED_OVER if bottom else 0.0)
        here = after
        heard.add(after)
        off = _badness(ear, after)
        gone = (after[0] - kept[0], after[1] - kept[1])
        worth = 1.0 if off < kept_off else -_HURTS
        for way in speaks:
            speaks[way] *= _FADES
        if gone in speaks:
            speaks[gone] += worth
            speaks[-gone[0], -gone[1]] -= worth
        if worth > 0:
            kept, kept_off = after, off
        best = -math.inf
        for way in situation.directions:
            if speaks[way] <= best:
                continue
            x, y = side = (kept[0] + way[0], kept[1] + way[1])
            if side not in heard and least_x <= x <= most_x and least_y <= y <= most_y:
                best, after = speaks[way], side
        if best == -math.inf:
            break
    return cost + abs(kept[0] - here[0]) + abs(kept[1] - here[1])


def promise(way: Place, helped: Iterable[tuple[Place, bool]]) -> float:
    """Return how much speaks for going a *way*: for what helped, against its opposite, the latest most.

    Args:
        way: the direction in steps.
        helped: ways that were gone, with whether each led to a better state, in order.
    """
    total = 0.0
    for gone, better in helped:
        worth = 1.0 if better else -_HURTS
        total *= _FADES
        if gone == way:
            total += worth
        elif gone == (-way[0], -way[1]):
            total -= worth
    return total


def _way(one: Place, other: Place) -> Place:
    return other[0] - one[0], other[1] - one[1]
