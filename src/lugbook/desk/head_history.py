"""Which head was on when: at the beginning of a drum's logbook, and from each of its counts on."""

from datetime import date

from lugbook.desk.recounting import NEW_HEAD
from lugbook.records import Count, Drum, Head, HeadSide, Material

_USUAL_MIL: dict[HeadSide, float] = {"top": 10.0, "bottom": 3.0}
"""Thickness of a head that is not recorded, in mil (common practice, no source)."""


def head_of_count(drum: Drum, side: HeadSide, count: Count) -> Head | None:
    """Return the head that a count began with; None where it began for another reason.

    Which head that was is written in the count. Where it is not, a head and its count begin on one day, those
    of one day in one order.
    """
    if count.head:
        return next((one for one in drum.heads if one.id == count.head and one.side == side), None)
    day = count.since.date()
    heads = [one for one in drum.heads if one.side == side and one.on == day]
    counts = [one for one in drum.counts if one.side in (side, "both") and one.since.date() == day]
    counts = [one for one in counts if one.why.startswith(NEW_HEAD)] or counts
    return next((head for head, one in zip(heads, counts, strict=False) if one == count), None)


def first_head(drum: Drum, side: HeadSide, *, day: float) -> Head | None:
    """Return the head that was on when the logbook began on *day*; None where it is not written down."""
    head = next((one for one in drum.heads if one.side == side), None)
    if head is None:
        return None
    counts = [one.head for one in drum.counts if one.side in (side, "both")]
    if head.id in counts:
        return head if counts[0] == head.id else None
    return head if (head.on - date(1970, 1, 1)).days <= day else None


def material_of(head: Head | None) -> Material:
    """Return what a head is made of; film where it is not written down."""
    return head.material if head is not None else "film"


def mil_of(head: Head | None, side: HeadSide) -> float:
    """Return how thick a head is in mil, or how thick such a head usually is."""
    return head.film_mil if head is not None and head.film_mil is not None else _USUAL_MIL[side]
