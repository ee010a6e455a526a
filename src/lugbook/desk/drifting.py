"""Whether a place that was heard before still has its pitch."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import hypot

from lugbook.desk.desk import Desk
from lugbook.desk.wording import day_text
from lugbook.pitch import cents_between, in_cents
from lugbook.records import SIDES, Entry, HeadSide, OtherHead, Struck
from lugbook.trials.grid import Pair

Tolerances = Mapping[bool, float]
"""Whether a head was read by ear → how far it may move, in cents."""

_How = tuple[Pair, HeadSide, Struck, OtherHead]
"""A place, a head, and what sounds there: rim and centre, or a free other head, sound other pitches."""


@dataclass(frozen=True, slots=True)
class Moved:
    """How far one head moved in one place since it was first read there."""

    side: HeadSide
    cents: float
    sd_cents: float
    """Standard uncertainty of that, of both readings together."""
    by_ear: bool
    since: date

    def past(self, allowed: Tolerances) -> bool:
        """Tell whether it moved further than is *allowed*, and than its readings are unsure."""
        return abs(self.cents) > max(allowed[self.by_ear], self.sd_cents)


class FirstReadings:
    """The first reading of each place, head, and way it was had, which drift is held against.

    Not the latest: creep of a few cents between each two would never be seen.
    """

    def __init__(self) -> None:
        self._first: dict[_How, Entry] = {}

    def knows(self, place: Pair, *, but: str = "") -> bool:
        """Tell whether a head was read in a place, in another entry than the one left out."""
        return any(how[0] == place and first.stands_for != but for how, first in self._first.items())

    def take(self, place: Pair, entry: Entry) -> None:
        """Take the readings of an *entry* in."""
        for how in _ways(place, entry):
            self._first.setdefault(how, entry)

    def forget(self, place: Pair) -> None:
        """Forget a place: a single rod was turned there, and it sounds otherwise since."""
        for how in [one for one in self._first if one[0] == place]:
            del self._first[how]

    def moved(self, place: Pair, entry: Entry) -> tuple[Moved, ...]:
        """Return how far the heads moved, as far as the readings of an *entry* can tell."""
        found = []
        for how in _ways(place, entry):
            first = self._first.get(how)
            if first is None or first.stands_for == entry.stands_for:
                continue
            if (moved := _between(how[1], first, entry)) is not None:
                found.append(moved)
        return tuple(found)


def tolerances(desk: Desk) -> Tolerances:
    """Return how far a head may move in one place before it is said to have drifted."""
    return {by_ear: desk.tolerance_cents(None, by_ear=by_ear) for by_ear in (False, True)}


def drift_words(moved: Iterable[Moved]) -> str:
    """Say how far each head moved since, or that nobody can tell."""
    heads = tuple(moved)
    if not heads:
        return "Struck so, nothing was read here before: nobody can tell whether the heads moved since."
    day = day_text(min(one.since for one in heads))
    parts = [
        f"the {one.side} head reads {in_cents(abs(one.cents))} {'higher' if one.cents > 0 else 'lower'}"
        for one in heads
        if round(one.cents)
    ]
    if not parts:
        return f"What was read is as on {day}."
    said = " and ".join(parts)
    return f"{said[:1].upper()}{said[1:]} than in the same place on {day}."


def _ways(place: Pair, entry: Entry) -> list[_How]:
    return [
        (place, side, reading.struck, reading.other_head)
        for side in SIDES
        if (reading := entry.reading(side)) is not None
    ]


def _between(side: HeadSide, before: Entry, now: Entry) -> Moved | None:
    was, is_ = before.reading(side), now.reading(side)
    if was is None or is_ is None:
        return None
    old, new = was.hz(a4_hz=before.a4), is_.hz(a4_hz=now.a4)
    if old is None or new is None:
        return None
    sd_cents = hypot(was.uncertainty_cents, is_.uncertainty_cents)
    by_ear = "ear" in (was.by, is_.by)
    return Moved(side, cents_between(old, to_hz=new), sd_cents, by_ear, before.at.date())
