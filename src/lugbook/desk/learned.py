"""What is known of how a drum answers to turns, and where it stands, as its logbook taught it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken
from lugbook.pitch import cents_between
from lugbook.records import SIDES, Entry, HeadSide

if TYPE_CHECKING:
    from lugbook.turns import Response
    from lugbook.turns.kinship import Kin

    KinPair = tuple[Kin, Kin]

_SMALL_TURN = 1 / 16
"""Half the turn over which a slope is taken."""

_SLACK_CENTS_PER_TURN = 600.0
"""Taken for the slope of a head too slack to have one: large, so that the smallest step is advised."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """Entries of an older count, whose turns are void: they still say how far a turn moves the pitch."""

    entries: int = 0
    same_head: bool = True
    """Whether the head that is on now was turned then; else it was the one before it."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A drum's response, what it rests on, and where the drum stands today."""

    response: "Response"
    entries: dict[HeadSide, tuple[Entry, ...]]
    """The entries that taught it, for each head, in the count that is running."""
    places: dict[HeadSide, tuple[tuple[float, float], ...]]
    """Where (top, bottom) stood at each of those entries, touch-ups included."""
    earlier: dict[HeadSide, "Earlier"]
    """What its slope rests on besides: an older count of this head, or the head before it."""
    counted: tuple[float, float]
    """Where (top, bottom) stand by their present counts alone, in turns from the references."""
    touched: tuple[float, float]
    """What single rods moved each by since, in turns of all rods."""
    day: float
    """Today, in days since 1970."""
    kin: "KinPair"
    """What the library's other drums tell of its top and bottom head."""

    def with_reading(self, taken: Mapping[HeadSide, Taken]) -> "Learned":
        """Return what is known once readings that stand in no logbook are heard too."""
        heard = [taken.get(side) for side in SIDES]
        hz = (heard[0].hz if heard[0] else None, heard[1].hz if heard[1] else None)
        sd = (_sd_cents(heard[0]), _sd_cents(heard[1]))
        return replace(self, response=self.response.observe(self.here, hz=hz, sd_cents=sd, day=self.day))

    @property
    def here(self) -> tuple[float, float]:
        """Where (top, bottom) stand, single rods included, in turns from the references of their counts."""
        return self.counted[0] + self.touched[0], self.counted[1] + self.touched[1]

    def turned(self, side: HeadSide) -> float:
        """Return what one head was turned since its last reading, single rods included; it was read."""
        head = SIDES.index(side)
        return self.here[head] - self.places[side][-1][head]

    def counted_since(self, side: HeadSide) -> float:
        """Return how far one head was turned since its last reading by the count alone; it was read."""
        before = self.entries[side][-1].position.of(side)
        return self.counted[SIDES.index(side)] - (before or 0.0)

    def cents_per_turn(self, side: HeadSide) -> float:
        """Return how far a turn of one head moves its own pitch from where the drum stands, in cents."""
        top, bottom = self.here
        pitches = []
        for step in (-_SMALL_TURN, _SMALL_TURN):
            near = (top + step, bottom) if side == "top" else (top, bottom + step)
            pitches.append(self.response.predict(near, day=self.day).hz[SIDES.index(side)])
        low, high = pitches
        if low is None or high is None:
            return _SLACK_CENTS_PER_TURN
        return cents_between(low, to_hz=high) / (2 * _SMALL_TURN)


def _sd_cents(taken: Taken | None) -> float:
    return taken.reading.uncertainty_cents if taken is not None else 0.0
