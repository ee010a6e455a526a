"""How far a concert has come: what is on now, since when, and what is ticked off; never in the library."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from lugbook.records.base import Line, Moment, Record
from lugbook.records.entries import EntryId

MOST_STEPS = 5_000
"""The most steps and ticks of an evening: far beyond what the longest concert and all its undoing come to."""


class Reached(Record):
    """A step of the evening that was reached."""

    step: Annotated[int, Field(ge=0, le=MOST_STEPS)]
    """Which step, 0 being the time before the doors open."""

    since: Moment
    """When it began."""


class Ticked(Record):
    """Something that was ticked off."""

    what: Line
    """What it was, such as ``change 3``."""

    at: Moment
    """When."""

    entries: tuple[EntryId, ...] = ()
    """The entries of the drum's logbook that were written for it."""


class Evening(Record):
    """One evening of one concert."""

    library: Line
    """The folder of the library that the concert lies in."""

    concert: Line
    """Its slug."""

    on: date
    """The day that it was begun on."""

    plan: Line
    """The fingerprint of the plan that it goes by."""

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
