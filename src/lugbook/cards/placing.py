"""Where things go: labels that do not overlap, and round numbers for a scale."""

import math
from collections.abc import Sequence


def spread(wanted: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Return places at least *gap* apart and from *low* to *high*, as near as can be to those *wanted*.

    The sum of the squared shifts is the least there is: less *gap* a place, the wanted ones must not fall,
    which is what pooling neighbours that do gives (isotonic regression by pooling adjacent violators).

    Args:
        wanted: places in rising order.
        gap: least distance; made smaller where they do not all fit.
        low: the least place.
        high: the largest place.
    """
    if not wanted:
        return []
    step = min(gap, (high - low) / max(len(wanted) - 1, 1))
    pools: list[tuple[float, int]] = []
    for index, place in enumerate(wanted):
        mean, count = place - index * step, 1
        while pools and pools[-1][0] > mean:
            before, size = pools.pop()
            mean, count = (before * size + mean * count) / (size + count), size + count
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    most = high - (len(wanted) - 1) * step
    return [min(max(mean, low), max(most, low)) + index * step for index, mean in enumerate(flat)]


def round_step(span: float, *, most: int) -> float:
    """Return the least of … 0.5, 1, 2, 5, 10 … that divides *span* into *most* parts or fewer."""
    if not (math.isfinite(span) and span > 0):
        return 1.0
    least = span / most
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))


class Shelf:
    """A row of labels, in which each takes its room until it is full."""

    def __init__(self, *, gap: float) -> None:
        self._gap = gap
        self._taken: list[tuple[float, float]] = []

    def take(self, left: float, right: float) -> bool:
        """Take the room from *left* to *right*, and tell whether it was free."""
        free = all(right + self._gap <= start or stop + self._gap <= left for start, stop in self._taken)
        if free:
            self._taken.append((left, right))
        return free
