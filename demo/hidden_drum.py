"""The demo's drums as they really are, which Lugbook is not told: it has to learn them from the logbook.

The square of each head's frequency follows the turns of its own rods, a little those of the other head (both
pull at one shell), and falls while the film creeps:

    f² = at_reference + own·x + other·y + bend·x² - creep·ln(1 + days/2)

with x the turns of that head, y the turns of the other one, both from their references, and *days* the time
since the head went on. All values are invented; they lie where players find snare drums (a quarter turn of
all rods moves a head by some tens of cents to a good semitone: common practice, no source).
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime

READING_SD_CENTS = 3.0
"""How far the demo player's readings scatter about the truth: standard deviation, in cents."""

_CREEP_DAYS = 2.0
"""The time after which creep visibly slows, in days."""


@dataclass(frozen=True)
class HiddenHead:
    """One head, with its other head damped.

    Attributes:
        at_reference: f² at the reference of both counts on the day the head went on, in Hz².
        own: Hz² per turn of all its own rods.
        other: Hz² per turn of all rods of the other head.
        bend: Hz² per turn², negative where the head stiffens less and less.
        creep: Hz² that are lost while ``1 + days/2`` grows by the factor e.
        on: when it went on.
    """

    at_reference: float
    own: float
    other: float
    bend: float
    creep: float
    on: datetime

    def hz(self, own_turns: float, *, other_turns: float, at: datetime) -> float:
        """Return the frequency in Hz at these turns from the references, at that moment."""
        days = (at - self.on).total_seconds() / 86_400
        squared = (
            self.at_reference
            + self.own * own_turns
            + self.other * other_turns
            + self.bend * own_turns**2
            - self.creep * math.log1p(days / _CREEP_DAYS)
        )
        return math.sqrt(squared)


@dataclass(frozen=True)
class HiddenDrum:
    """Both heads of one drum."""

    top: HiddenHead
    bottom: HiddenHead

    def hz(self, position: tuple[float, float], *, at: datetime) -> tuple[float, float]:
        """Return the frequencies (top, bottom) in Hz at a *position* (top, bottom) in turns."""
        top, bottom = position
        return (
            self.top.hz(top, other_turns=bottom, at=at),
            self.bottom.hz(bottom, other_turns=top, at=at),
        )


HIDDEN = {
    "concert-snare": HiddenDrum(
        top=HiddenHead(15_900.0, 30_000.0, 900.0, -300.0, 760.0, datetime(2026, 10, 12, 10, tzinfo=UTC)),
        bottom=HiddenHead(
            43_700.0, 36_000.0, 1_300.0, -250.0, 1_950.0, datetime(2026, 10, 12, 10, tzinfo=UTC)
        ),
    ),
    "deep-maple": HiddenDrum(
        top=HiddenHead(12_900.0, 26_000.0, 800.0, -250.0, 190.0, datetime(2026, 2, 3, 9, tzinfo=UTC)),
        bottom=HiddenHead(22_900.0, 33_000.0, 1_100.0, -200.0, 420.0, datetime(2026, 8, 24, 9, tzinfo=UTC)),
    ),
    "piccolo-snare": HiddenDrum(
        top=HiddenHead(22_300.0, 37_000.0, 1_000.0, -350.0, 300.0, datetime(2026, 1, 15, 9, tzinfo=UTC)),
        bottom=HiddenHead(51_600.0, 45_000.0, 1_500.0, -300.0, 700.0, datetime(2026, 1, 15, 9, tzinfo=UTC)),
    ),
    "field-drum": HiddenDrum(
        top=HiddenHead(9_700.0, 21_000.0, 500.0, -200.0, 110.0, datetime(2026, 5, 11, 9, tzinfo=UTC)),
        bottom=HiddenHead(21_800.0, 27_000.0, 700.0, -200.0, 240.0, datetime(2026, 5, 11, 9, tzinfo=UTC)),
    ),
}
"""Slug of a drum → what it really is. The rope-tension drum has no rods, and so no such law."""
