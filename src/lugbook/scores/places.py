"""Where in its bar each element of MusicXML stands, which the text says only by what comes before it.

Conventions: places in quarters from the start of the bar; the text counts in parts of a quarter, `divisions`.

Sources: W3C, MusicXML 4.0 (2021), for note, backup, forward and offset.
"""

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element


def number_of(text: str | None) -> float | None:
    """Return the number that *text* is, or None where it is none or not finite."""
    try:
        value = float(text or "")
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def advance(bar: Element, divisions: float) -> Iterator[tuple[Element, float, float]]:
    """Yield each element of *bar* with its place in quarters, and the parts of a quarter in force there."""
    at = 0.0
    for one in bar:
        found = one.find("divisions") if one.tag == "attributes" else None
        if found is not None:
            divisions = number_of(found.text) or divisions
        yield one, at, divisions
        at = max(at + _step(one) / divisions, 0.0)


def with_offsets_inside(bar: Element, divisions: float) -> float:
    """Bring the directions that are set off past an end of *bar* back to that end, in place.

    A direction past the end would make the bar longer, and so make a rest that is none.

    Args:
        bar: its elements.
        divisions: the parts of a quarter in force before it.

    Returns:
        The parts of a quarter in force after it.
    """
    placed = list(advance(bar, divisions))
    end = max((at + max(_step(one), 0.0) / parts for one, at, parts in placed), default=0.0)
    for one, at, parts in placed:
        for offset in one.iter("offset") if one.tag in ("direction", "sound") else ():
            value = number_of(offset.text) or 0.0
            # In a bar without notes nobody knows its end.
            least, most = -at * parts, (end - at) * parts if end else value
            inside = min(max(value, least), max(most, least))
            if inside != value:
                offset.text = repr(inside)
    return placed[-1][2] if placed else divisions


def _step(one: Element) -> float:
    """Return how far an element moves the place on, in parts of a quarter."""
    if one.tag not in ("note", "forward", "backup"):
        return 0.0
    if one.tag == "note" and (one.find("chord") is not None or one.find("grace") is not None):
        return 0.0
    length = number_of(one.findtext("duration")) or 0.0
    return -length if one.tag == "backup" else length
