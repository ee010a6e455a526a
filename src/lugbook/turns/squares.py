"""Hertz, hertz squared, and cents between them.

The square of a head's frequency is proportional to its tension and so linear in turns, y = f² in Hz². A
small pitch interval of c cents is there the share c · 2·ln2/1200 of y, because ln y = 2·ln f.
"""

import math

from lugbook.errors import BadValue

SHARE_PER_CENT = 2 * math.log(2) / 1200
"""d(ln f²) per cent: one cent raises f² by 0.1155 %."""

SLACK_HZ = 20.0
"""Below this a head has no tension to speak of and sounds no note."""

LOUDEST_NONSENSE_HZ = 20_000.0
"""No head sounds a note above what can be heard."""


def check_reading_hz(hz: float) -> float:
    """Return *hz* if it can be the pitch of a head.

    Raises:
        BadValue: it is not finite, or not from 20 to 20 000 Hz.
    """
    if not (math.isfinite(hz) and SLACK_HZ <= hz <= LOUDEST_NONSENSE_HZ):
        raise BadValue(
            f"{hz:g} Hz is no pitch of a drum head.", hint=f"Give {SLACK_HZ:g} to {LOUDEST_NONSENSE_HZ:g} Hz."
        )
    return hz


def hz_of(square: float) -> float | None:
    """Return the frequency in Hz of y = f² in Hz², or None for a slack head (below 20 Hz)."""
    return math.sqrt(square) if square >= SLACK_HZ**2 else None


def cents_of(spread: float, *, at: float) -> float:
    """Return a small difference of squares *spread* (Hz²) around *at* (Hz², above 0) in cents."""
    return spread / (at * SHARE_PER_CENT)


def spread_of(cents: float, *, at: float) -> float:
    """Return *cents* around *at* (Hz²) as a difference of squares in Hz²."""
    return at * SHARE_PER_CENT * cents
