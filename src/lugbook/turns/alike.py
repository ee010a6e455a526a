"""What two heads did alike by themselves: the part of their drift that looks like weather.

Weather moves both heads alike in f² (see `drift`), while errors of readings and rods do not. So the
covariance of the drift of both, in Hz², is the variance of what they share. Readings of one day share one
weather and count once; creep, which both have too, is taken out first. It is told only where the correlation
is beyond chance.
"""

import math
from collections.abc import Sequence

from lugbook.turns.curve import Curve, Point
from lugbook.turns.squares import spread_of

LEAST_DAYS = 6
"""On fewer days nothing can be told."""

_BEYOND_CHANCE = 3.0
"""Student's t of the correlation, r·√((n − 2)/(1 − r²)); from six days on, which leave four degrees of
freedom or more, chance exceeds it in one case of fifty or fewer."""

Pairs = Sequence[tuple[Point, Point]]


def alike_hz2(top: Curve, bottom: Curve, pairs: Pairs) -> float | None:
    """Return the standard deviation of what both heads did alike, in Hz²; None where it cannot be told.

    Args:
        top: how the top head answers.
        bottom: how the bottom head answers.
        pairs: (top, bottom) points of readings that were made together, in any order.
    """
    days: dict[int, list[tuple[float, float]]] = {}
    for above, below in pairs:
        days.setdefault(math.floor(above.day), []).append((_odd(top, above), _odd(bottom, below)))
    if len(days) < LEAST_DAYS:
        return None
    means = [[sum(one) / len(one) for one in zip(*those, strict=True)] for those in days.values()]
    count = len(means)
    middle = [sum(one) / count for one in zip(*means, strict=True)]
    off = [(above - middle[0], below - middle[1]) for above, below in means]
    both = sum(above * below for above, below in off)
    each = math.sqrt(sum(above**2 for above, _ in off) * sum(below**2 for _, below in off))
    if both <= 0 or each <= 0:
        return None
    rest = max(1 - (both / each) ** 2, 1e-12)
    if both / each * math.sqrt((count - 2) / rest) < _BEYOND_CHANCE:
        return None
    return math.sqrt(both / (count - 1))


def _odd(curve: Curve, point: Point) -> float:
    """Return the drift of *point* that creep does not explain, in Hz²."""
    creep = min(curve.creep, key=lambda one: abs(one.day - point.day)).cents if curve.creep else 0.0
    return spread_of(point.drift_cents - creep, at=point.square)
