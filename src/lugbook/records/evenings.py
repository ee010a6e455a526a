"""How far a concert has come: what is on now, since when, and what is ticked off; never in the library."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from lugbook.records.base import Line, Moment, Record
from lugbook.records.entries import EntryId
from lugbook.records.pieces import PresetId, Seconds

MOST_STEPS = 5_000
"""The most steps and ticks of an evening: far beyond what the longest concert and all its undoing come to."""

Number = Annotated[int, Field(ge=0, le=MOST_STEPS)]
"""The number of an item, or the index of a rest or a step."""


class Reached(Record):
    """A step of the evening that was reached."""

    step: Number
    """Which step, 0 being the time before the doors open."""

    since: Moment
    """When it began."""


class Ticked(Record):
    """Something that was ticked off, or one head of it."""

    what: Line
    """What it was, such as ``change 3``."""

    at: Moment
    """When."""

    entries: tuple[EntryId, ...] = ()
    """The entries of the drum's logbook that were written for it."""

    whole: bool = True
    """Whether all of it is done by that; else a head is left, or is held by another of these."""

    here: bool = True
    """Whether the player ticked it off; else the logbook told that it was turned, at the bench for one."""


class CourseItem(Record):
    """One item of the concert, as it was planned."""

    name: Line
    """What it is called."""

    presets: tuple[PresetId, ...] = ()
    """What it is played with; empty where it is tacet or nothing serves it."""

    tacet: bool = False
    """Whether the player rests in it."""

    seconds: Seconds | None = None
    """How long it lasts; missing where nobody said."""

    remarks: tuple[Line, ...] = ()
    """What is to be known of its presets, in sentences."""


class CourseDrum(Record):
    """A drum that is brought to its first preset before the doors open."""

    drum: Line
    """Its slug."""

    preset: Line
    """The preset's slug."""

    before: Number
    """The number of the first item that needs it."""


class CourseChange(Record):
    """One change, as it was planned."""

    drum: Line
    """The drum's slug."""

    begun: Line
    """The slug of the preset before."""

    reached: Line
    """The slug of the preset after."""

    after: Number
    """The number of the item after which it is made, or in which, where `rest` is given."""

    rest: Number | None = None
    """The index of the rest inside that item; missing in the pause after it."""

    seconds: Seconds
    """How long that time is."""

    bars: Line = ""
    """The bars of the rest."""

    before: Number
    """The number of the item that needs it."""


class Course(Record):
    """The plan that an evening goes by, as far as it takes to go on by it."""

    items: tuple[CourseItem, ...] = ()
    """What is played."""

    drums: tuple[CourseDrum, ...] = ()
    """What is set before the doors open."""

    changes: tuple[CourseChange, ...] = ()
    """What is changed."""

    short: tuple[Line, ...] = ()
    """Why it does not fit, in sentences; empty where it fits."""

    remarks: tuple[Line, ...] = ()
    """What else was said of it, in sentences."""

    asked: Line = ""
    """A fingerprint of the items, presets and limits that it was planned from; empty where nobody knows."""


class Evening(Record):
    """One evening of one concert."""

    library: Line
    """The folder of the library that the concert lies in."""

    concert: Line
    """Its slug."""

    on: date
    """The day that it was begun on."""

    course: Course = Course()
    """The plan that it goes by."""

    begun: Moment
    """When it was begun."""

    trail: Annotated[tuple[Reached, ...], Field(max_length=MOST_STEPS)] = ()
    """The steps that were reached, the present one last; going back takes one away."""

    ticked: Annotated[tuple[Ticked, ...], Field(max_length=MOST_STEPS)] = ()
    """What was ticked off, in order."""


class Evenings(Record):
    """``evenings.toml`` in the user's own folder: the latest evening of each concert."""

    format: Literal[1] = 1
    """Version of this file's form."""

    evenings: tuple[Evening, ...] = ()
    """One a concert, the latest last."""
