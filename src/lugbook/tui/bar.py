"""The bar of the deviation: a straight line around a middle mark, flat to the left, sharp to the right."""

from dataclasses import dataclass

REACH_CENTS = 50.0
"""The bar reaches this far to each side; what lies further fills that side and ends in a point."""

_FULL, _LEFT_HALF, _RIGHT_HALF = "█", "▌", "▐"


@dataclass(frozen=True, slots=True)
class Bar:
    """The two rows of the bar, of equal width."""

    filled: str
    """The deviation, filled from the middle."""
    scale: str
    """The line with its middle mark and the edges of the tolerance."""


def bar(off_cents: float, *, tolerance_cents: float, width: int) -> Bar:
    """Draw the bar of a deviation.

    Args:
        off_cents: measured minus target, in cents.
        tolerance_cents: where the edges of what counts as within are marked.
        width: columns to use; an even width loses one, so that there is a middle.
    """
    half = max((width - 1) // 2, 1)
    return Bar(filled=_filled(off_cents, half), scale=_scale(tolerance_cents, half))


def _filled(off_cents: float, half: int) -> str:
    halves = min(round(abs(off_cents) / REACH_CENTS * half * 2), half * 2)
    full, rest = divmod(halves, 2)
    beyond = abs(off_cents) > REACH_CENTS
    if off_cents < 0:
        side = ("◀" + _FULL * (half - 1)) if beyond else _RIGHT_HALF * rest + _FULL * full
        return f"{side:>{half}}┃{'':{half}}"
    side = (_FULL * (half - 1) + "▶") if beyond else _FULL * full + _LEFT_HALF * rest
    return f"{'':{half}}┃{side:<{half}}"


def _scale(tolerance_cents: float, half: int) -> str:
    line = ["─"] * (2 * half + 1)
    edge = round(tolerance_cents / REACH_CENTS * half)
    for column in range(max(half - edge, 0), min(half + edge, 2 * half) + 1):
        line[column] = "━"
    if 0 < edge <= half:
        line[half - edge], line[half + edge] = "┣", "┫"
    line[half] = "╋" if edge else "┼"
    for end, name in ((0, "flat "), (len(line) - 6, " sharp")):
        if edge + len(name) < half:
            line[end : end + len(name)] = name
    return "".join(line)
