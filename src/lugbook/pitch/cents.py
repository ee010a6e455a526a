"""Cents as a player reads them: whole numbers, signed or as a size with their unit."""

import math

MINUS = "−"
"""The minus sign U+2212, as wide as a plus sign."""


def whole(cents: float) -> int:
    """Return *cents* as a whole number; exactly half goes away from nought.

    Example:
        >>> whole(2.5), whole(-2.5), whole(0.4)
        (3, -3, 0)
    """
    return int(math.copysign(math.floor(abs(cents) + 0.5), cents))


def signed(cents: float) -> str:
    """Return *cents* as a whole number with its sign; nought has none.

    Example:
        >>> signed(4.2), signed(-12.0), signed(-0.3)
        ('+4', '−12', '0')
    """
    number = whole(cents)
    return "0" if number == 0 else f"{'+' if number > 0 else MINUS}{abs(number)}"


def in_cents(cents: float) -> str:
    """Return a size in whole cents; what is under one cent is said as one.

    Example:
        >>> in_cents(-12.3), in_cents(1.2), in_cents(0.0)
        ('12 cents', '1 cent', '1 cent')
    """
    number = max(1, abs(whole(cents)))
    return f"{number} cent{'' if number == 1 else 's'}"
