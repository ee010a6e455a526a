"""Sizes, heads and days in a few words, and text made comparable."""

import unicodedata
from datetime import date

from lugbook.records import Drum, Head

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def size_text(drum: Drum) -> str:
    """Return a drum's size such as ``14 × 6.5 in``."""
    depth = f" × {drum.depth_in:g}" if drum.depth_in is not None else ""
    return f"{drum.diameter_in:g}{depth} in"


def head_text(head: Head) -> str:
    """Return a head in a phrase such as ``film, 10 mil``."""
    parts: list[str] = [head.material]
    if head.film_mil is not None:
        parts.append(f"{head.film_mil:g} mil")
    if head.plies > 1:
        parts.append(f"{head.plies} plies")
    if head.name:
        parts.append(head.name)
    return ", ".join(parts)


def day_text(day: date) -> str:
    """Return a day such as ``3 May 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def folded(text: str) -> str:
    """Return *text* for comparing: without case, accents or doubled spaces."""
    plain = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).casefold().split())
