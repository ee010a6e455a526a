"""A preset: one drum's tuning target for one kind of music; and the starting points shipped with the program.

The two pitches are the target. The turns from a named reference lead back faster, but only as long as their
count lasts; the snare setting is where to begin.
"""

from typing import Annotated, Literal

from pydantic import Field

from lugbook.pitch import pitch_hz
from lugbook.records.base import A4Hz, Celsius, Humidity, Line, Moment, Name, Note, Record, TurnAmount
from lugbook.records.drums import HeadSide
from lugbook.records.entries import EntryId
from lugbook.records.readings import Reading
from lugbook.records.snares import SnareSetting

ToleranceCents = Annotated[float, Field(gt=0, le=600)]
"""How far off still counts as within, in cents."""


class Position(Record):
    """Turns of one head from its reference, and the count they belong to."""

    amount: TurnAmount
    """Turns of all rods from the reference."""

    count: Line
    """The id of the count; once a newer count has begun the amount is void."""


class Positions(Record):
    """The turns of both heads in a preset."""

    top: Position | None = None
    """Of the top head."""

    bottom: Position | None = None
    """Of the bottom head."""


class Preset(Record):
    """One drum's tuning target for one kind of music."""

    format: Literal[1] = 1
    """Version of this file's form."""

    name: Name
    """What the player calls it."""

    contexts: tuple[Name, ...] = ()
    """The kinds of music it is for."""

    a4: A4Hz = 440.0
    """The concert pitch that note names of this preset are meant at, in Hz."""

    top: Reading | None = None
    """Target of the top head."""

    bottom: Reading | None = None
    """Target of the bottom head."""

    tolerance_cents: ToleranceCents | None = None
    """How far off each head may be; the library's where missing."""

    interval_decides: bool = False
    """Whether the interval between the heads must be within tolerance too."""

    turns: Positions = Positions()
    """Where the heads stood, in turns from their references."""

    snares: SnareSetting = SnareSetting()
    """How the snares were set."""

    words: Line = ""
    """How the drum speaks in it."""

    muffling: Line = ""
    """Muffling on the heads."""

    sticks: Line = ""
    """Sticks it is for."""

    playing_spot: Line = ""
    """Where the stick falls."""

    player: Line = ""
    """Who found it."""

    heard: Literal["at the drum", "in the hall", ""] = ""
    """Where it was judged."""

    temperature_c: Celsius | None = None
    """Air temperature in °C when it was found."""

    humidity_pct: Humidity | None = None
    """Relative humidity in per cent when it was found."""

    made: Moment | None = None
    """When it was found, with its offset from UTC."""

    entry: EntryId | None = None
    """The logbook entry it was made from."""

    note: Note = ""
    """Remarks."""

    def target(self, side: HeadSide) -> Reading | None:
        """Return the target of the *side*."""
        return self.top if side == "top" else self.bottom

    def target_hz(self, side: HeadSide) -> float | None:
        """Return the target of the *side* in Hz; None where there is none or it names no octave."""
        target = self.target(side)
        return None if target is None else pitch_hz(target.pitch, a4_hz=self.a4)

    def position(self, side: HeadSide) -> Position | None:
        """Return the turns of the *side*."""
        return self.turns.top if side == "top" else self.turns.bottom


class StartingPoint(Record):
    """A place to begin from, shipped with the program: common practice, never a drum's own target."""

    format: Literal[1] = 1
    """Version of this file's form."""

    name: Name
    """What it is for."""

    contexts: tuple[Name, ...]
    """The kinds of music it is for."""

    diameter_in: tuple[float, float]
    """Smallest and largest drum it is meant for, in inches."""

    top_from: Line
    """Lowest top pitch, a note with octave."""

    top_to: Line
    """Highest top pitch, a note with octave."""

    bottom_from: Line
    """Lowest bottom pitch, a note with octave."""

    bottom_to: Line
    """Highest bottom pitch, a note with octave."""

    interval: Line
    """The interval from top to bottom that players name, such as ``a fourth, bottom higher``."""

    snares: Line
    """How players begin to set the snares."""

    muffling: Line = ""
    """Muffling players begin with."""

    sticks: Line = ""
    """Sticks players begin with."""

    words: Line = ""
    """What players listen for."""

    basis: Line
    """Where it comes from: ``common practice, no source``."""

    note: Note = ""
    """Remarks, such as what other players do instead."""
