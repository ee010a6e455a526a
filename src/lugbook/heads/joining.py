"""Several taps joined into one reading.

Problem: a player taps several times, and one tap may have gone astray (a rim shot, a finger in the way, the
other line). The centre is the median weighted by certainty; a tap far from it is named and left out; the
spread of the rest and the taps' own uncertainties make the stated one.

Conventions: cents relative to the first guess; standard deviations, not ranges.

Sources: median and its absolute deviation, 1.4826 MAD = standard deviation of a normal spread.
"""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

STRAY_CENTS = 40.0
"""A tap is not stray within this, however well the others agree: rods differ by as much."""

_STRAY_SPREADS = 4.0


def join(hz: Floats, sd_cents: Floats) -> tuple[float, float, npt.NDArray[np.bool_]]:
    """Return the joint pitch in Hz, its standard deviation in cents, and which taps are used.

    Args:
        hz: pitches of the taps, shape (n,), n at least 1.
        sd_cents: their standard deviations, shape (n,).
    """
    if hz.size == 1:
        return float(hz[0]), float(sd_cents[0]), np.ones(1, dtype=bool)
    cents = 1200 * np.log2(hz / hz[0])
    centre = float(np.median(cents))
    off = np.abs(cents - centre)
    spread = 1.4826 * float(np.median(off))
    used = off <= max(STRAY_CENTS, _STRAY_SPREADS * spread)
    if np.count_nonzero(used) * 2 <= hz.size:
        used[:] = True
    kept, own = cents[used], sd_cents[used]
    centre = float(np.median(kept))
    scatter = 1.4826 * float(np.median(np.abs(kept - centre))) if kept.size > 2 else float(np.ptp(kept)) / 2
    # What the taps differ by beyond their own uncertainty belongs to each of them.
    each = np.sqrt(own**2 + scatter**2)
    weight = 1.0 / np.maximum(each, 1e-6) ** 2
    mean = float(weight @ kept / weight.sum())
    return float(hz[0] * 2 ** (mean / 1200)), float(np.sqrt(1.0 / weight.sum())), used
