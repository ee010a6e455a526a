"""Two heads of one drum that both sound: the air between them couples them, and each pitch moves.

With the other head damped a head sounds its own pitch; with both free the drum sounds a pair, the heads
moving together in the lower and against each other in the upper one. In the two-mass three-spring model the
squares of the pair are the eigenvalues of

    [[f_top²,  −k²  ],
     [−k²,     f_bottom²]]

with k in Hz. Their sum is that of the heads' own squares, so the lower pitch is always below the lower head's
own, the upper one above the higher head's own.

Sources:
    T. D. Rossing, I. Bork, H. Zhao, D. O. Fystrom, J. Acoust. Soc. Am. 92, 84 (1992): the model, and a 14 in
    drum of 227 and 299 Hz that sounds 182 and 330 Hz (figures from memory), which is k = 178 Hz.
"""

import math

from lugbook.errors import BadValue
from lugbook.turns.squares import check_reading_hz


def pair(top_hz: float, bottom_hz: float, *, k_hz: float) -> tuple[float, float]:
    """Return the two pitches in Hz, lower first, of a drum whose heads both ring.

    Args:
        top_hz: pitch of the top head with the other damped, in Hz.
        bottom_hz: pitch of the bottom head with the other damped, in Hz.
        k_hz: coupling in Hz, 0 or more and below √(top_hz · bottom_hz), where the drum would be unstable.

    Raises:
        BadValue: a value out of range or not finite.

    Example:
        >>> [round(hz, 1) for hz in pair(227, 299, k_hz=178)]
        [183.2, 327.7]
    """
    top, bottom = check_reading_hz(top_hz) ** 2, check_reading_hz(bottom_hz) ** 2
    most = math.sqrt(top_hz * bottom_hz)
    if not 0 <= k_hz < most:
        raise BadValue(f"Two heads cannot be coupled by {k_hz:g} Hz.", hint=f"Give 0 to under {most:g} Hz.")
    middle, half = (top + bottom) / 2, math.hypot((top - bottom) / 2, k_hz**2)
    return math.sqrt(middle - half), math.sqrt(middle + half)
