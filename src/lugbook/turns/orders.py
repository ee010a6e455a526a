"""The order in which the rods of a head are turned.

Rods are numbered clockwise looking at that head, 1 being the first past the strainer. A star order follows
each rod with the one opposite, so that after every pair the head is pulled evenly.

Sources:
    8 and 10 rods: drummercafe.com, tuning page, given there as a recommendation. 6 and 12 rods: common
    practice, no source; several orders are in use.
"""

from lugbook.errors import BadValue

MOST_RODS = 24
"""More rods than any drum has on one side."""

_SIX = (1, 4, 2, 5, 3, 6)
"""Common practice goes to the neighbouring pair; the rule for odd halves would give 1 4 3 6 5 2."""


def star_order(rods: int) -> tuple[int, ...]:
    """Return the rod numbers 1 to *rods* in star order.

    With an even count each second rod is opposite the one before it. The pairs follow in two interleaved
    half circles where half the count is even (8 rods: pairs 1, 3, 2, 4), and by every second rod where it
    is odd (10 rods: pairs 1, 3, 5, 7, 9). With an odd count no rod has an opposite; each step then skips
    round by half the count, rounded down (5 rods: 1 3 5 2 4).

    Args:
        rods: number of rods, 0 to 24; a drum without rods has the empty order.

    Raises:
        BadValue: *rods* is below 0 or above 24.

    Example:
        >>> star_order(10)
        (1, 6, 3, 8, 5, 10, 7, 2, 9, 4)
    """
    if not 0 <= rods <= MOST_RODS:
        raise BadValue(f"{rods} rods is no count of a drum.", hint=f"Give 0 to {MOST_RODS}.")
    if rods == len(_SIX):
        return _SIX
    half = rods // 2
    if rods % 2:
        return tuple(step * max(half, 1) % rods + 1 for step in range(rods))
    if half % 2:
        firsts = [2 * pair for pair in range(half)]
    else:
        firsts = [pair // 2 + (half // 2) * (pair % 2) for pair in range(half)]
    return tuple(rod % rods + 1 for first in firsts for rod in (first, first + half))
