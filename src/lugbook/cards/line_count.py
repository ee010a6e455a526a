"""How many lines a text takes on paper, before it is printed: rather more than fewer."""

from functools import lru_cache
from math import ceil

from lugbook.cards.drawing import text_width

_WIDEST = 1.2
"""No letter is wider: what a line inside a long word may lack."""


def lines_of(text: str, room: float, size: float, most: int, *, bold: bool = False) -> int:
    """Return how many lines *text* takes where each takes as many words as it can.

    Args:
        text: the text.
        room: width of a line, in em.
        size: of the letters, in em.
        most: lines; more are not counted.
        bold: whether it is printed so.
    """
    room = max(room / size, 2 * _WIDEST)
    lines, used, space = 1, 0.0, width_em(" ", bold=bold)
    for word in text.split():
        wide = width_em(word, bold=bold)
        if used and used + space + wide <= room:
            used += space + wide
            continue
        if used:
            lines, used = lines + 1, 0.0
        # A word that no line holds breaks between any two letters.
        if wide > room:
            more = ceil(wide / (room - _WIDEST)) - 1
            lines, wide = lines + more, room
        used = wide
        if lines >= most:
            return most
    return lines


@lru_cache(maxsize=4096)
def width_em(text: str, *, bold: bool = False) -> float:
    """Return about how wide *text* is, rather too wide; the same words are asked for in every size."""
    return text_width(text, size=1.0, bold="bold" if bold else "")
