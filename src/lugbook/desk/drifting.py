"""Whether a state that was heard before still has its pitch."""

from collections.abc import Mapping
from math import hypot

from lugbook.desk.desk import Desk
from lugbook.desk.wording import day_text
from lugbook.pitch import cents_between, in_cents
from lugbook.records import SIDES, Entry, HeadSide


def drift_cents(before: Entry, now: Entry) -> dict[HeadSide, tuple[float, float]]:
    """Return how far each head moved between two entries of one position, with its uncertainty, in cents.

    Readings that were not had in the same way say nothing of each other, and are left out.
    """
    found: dict[HeadSide, tuple[float, float]] = {}
    for side in SIDES:
        was, is_ = before.reading(side), now.reading(side)
        if was is None or is_ is None:
            continue
        if (was.by, was.struck, was.other_head) != (is_.by, is_.struck, is_.other_head):
            continue
        old, new = was.hz(a4_hz=before.a4), is_.hz(a4_hz=now.a4)
        if old is not None and new is not None:
            sd = hypot(was.uncertainty_cents, is_.uncertainty_cents)
            found[side] = cents_between(old, to_hz=new), sd
    return found


Tolerances = Mapping[bool, float]
"""Whether a head was read by ear → how far it may move, in cents."""


def tolerances(desk: Desk) -> Tolerances:
    """Return how far a head may move in one place before it is said to have drifted."""
    return {by_ear: desk.tolerance_cents(None, by_ear=by_ear) for by_ear in (False, True)}


def drifted(before: Entry, now: Entry, allowed: Tolerances) -> bool:
    """Tell whether a head moved further in one place than is *allowed*, and than its readings are unsure."""
    for side, (cents, sd) in drift_cents(before, now).items():
        reading = now.reading(side)
        if abs(cents) > max(allowed[reading is not None and reading.by == "ear"], sd):
            return True
    return False


def drift_words(before: Entry, now: Entry) -> str:
    """Say how far each head moved since, or that nobody can tell."""
    day = day_text(before.at.date())
    if not drift_cents(before, now):
        return f"Nothing was read in the same way as on {day}: nobody can tell whether the heads moved since."
    parts = [
        f"the {side} head reads {in_cents(abs(cents))} {'higher' if cents > 0 else 'lower'}"
        for side, (cents, _) in drift_cents(before, now).items()
        if round(cents)
    ]
    if not parts:
        return f"What was read is as on {day}."
    said = " and ".join(parts)
    return f"{said[:1].upper()}{said[1:]} than in the same place on {day}."
