"""What every record shares: it is frozen, it keeps keys it does not know, and it checks its texts.

Unknown keys survive a round trip, so that a file written by a newer version loses nothing here. A record
says in its validation errors what would be right, because those sentences are what `lugbook verify` prints.
"""

from datetime import datetime
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from lugbook.errors import BadValue
from lugbook.pitch import check_a4, parse_pitch
from lugbook.turns.amounts import check_turns

LONGEST_LINE = 2_000
"""The longest single-line text of a record, in characters: a page of words about one sound."""

LONGEST_NAME = 120
"""The longest name of a record, in characters."""


class Record(BaseModel):
    """The base of everything that is kept in a file."""

    # A record's check is built when the first of its kind is made: no command needs them all at its start.
    model_config = ConfigDict(
        frozen=True, extra="allow", validate_default=False, allow_inf_nan=False, defer_build=True
    )

    def unknown_keys(self) -> tuple[str, ...]:
        """Return the keys of this record that this version does not know, in file order."""
        return tuple(self.model_extra or ())


def _one_line(text: str) -> str:
    if "\n" in text or "\r" in text:
        raise BadValue("the text has a line break", hint="a single line; longer remarks go into note")
    return text


def _with_offset(moment: datetime) -> datetime:
    if moment.utcoffset() is None:
        raise BadValue("the time has no offset from UTC", hint="a time such as 2026-11-25T19:12:04+01:00")
    return moment


def _pitch_text(text: str) -> str:
    parse_pitch(text)
    return text


Line = Annotated[str, Field(max_length=LONGEST_LINE), AfterValidator(_one_line)]
"""A single line of text, at most `LONGEST_LINE` characters."""

Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME), AfterValidator(_one_line)]
"""A name a player gave: one line, 1 to `LONGEST_NAME` characters."""

Note = Annotated[str, Field(max_length=100_000)]
"""Free remarks, any number of lines."""

Moment = Annotated[datetime, AfterValidator(_with_offset)]
"""A time with its offset from UTC."""

Rod = Annotated[int, Field(ge=1, le=24)]
"""The number of a rod, clockwise looking at its head, 1 being the first past the strainer."""

PitchText = Annotated[str, AfterValidator(_pitch_text)]
"""A pitch as text: ``A3+4`` (note, octave, cents), ``A`` (any octave) or ``221.3 Hz``."""

A4Hz = Annotated[float, AfterValidator(check_a4)]
"""The concert pitch that note names are meant at, in Hz, 392 to 470."""

TurnAmount = Annotated[float, AfterValidator(check_turns)]
"""Turns of the key on all rods of a head; plus tightens; an exact multiple of 1/64."""

Celsius = Annotated[float, Field(ge=-30, le=60)]
"""Air temperature in degrees Celsius."""

Humidity = Annotated[float, Field(ge=0, le=100)]
"""Relative humidity in per cent."""
