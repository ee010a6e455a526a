"""Readings of a search that look like a slip beside those before; the player is asked, and may insist."""

from lugbook.desk.asking import Taken
from lugbook.desk.replaying import place_of_entry
from lugbook.desk.searches import SearchNow
from lugbook.desk.slips import slip_beside
from lugbook.pitch import cents_between, in_cents
from lugbook.records import HeadSide

FAR_CENTS = 100.0
"""A head that is read again where it was, and is off by more than this, is asked about (judgement)."""


def doubt_of(now: SearchNow, side: HeadSide, taken: Taken, *, returned: bool) -> str:
    """Return why a reading looks like a slip beside the last of that head that counts; else an empty text.

    Args:
        now: the search.
        side: which head.
        taken: its reading.
        returned: whether the drum came back to a place that is known.
    """
    for row in reversed(now.rows):
        before = row.entry.reading(side)
        if before is None or row.void:
            continue
        if doubt := slip_beside(side, taken, before, a4_hz=row.entry.a4):
            return doubt
        was = before.hz(a4_hz=row.entry.a4)
        if not returned or was is None or taken.hz is None or place_of_entry(row.entry) != now.place:
            return ""
        off = cents_between(was, to_hz=taken.hz)
        if abs(off) <= FAR_CENTS:
            return ""
        way = "above" if off > 0 else "below"
        return f"{side.capitalize()} head: this is {in_cents(off)} {way} what it read here. Is it?"
    return ""
