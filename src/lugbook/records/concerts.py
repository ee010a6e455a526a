"""A concert: what is played in which order, with how much time between, and which drums are there."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from lugbook.errors import BadValue
from lugbook.records.base import A4Hz, Line, Name, Note, Record
from lugbook.records.pieces import PresetId, Rest, Seconds

MOST_ITEMS = 500
"""The most items of a concert: beyond it a file is a slip."""


class Item(Record):
    """One item of a concert: a piece of the library, or a plain title."""

    piece: Line = ""
    """The slug of the piece; empty for a plain title."""

    title: Line = ""
    """The title where the library has no such piece."""

    presets: tuple[PresetId, ...] = ()
    """The presets it is played with, ``drum/preset``, all of them at once; any that fit where empty."""

    contexts: tuple[Name, ...] = ()
    """The kinds of music it is; those of its piece where empty."""

    tacet: bool = False
    """Whether the player has nothing to play in it: a speech, or a piece without the drum."""

    seconds: Seconds | None = None
    """How long it lasts; as long as its piece where missing."""

    after_s: Seconds | None = None
    """The time after it until the next item begins, in seconds; 0 where it follows at once."""

    rests: tuple[Rest, ...] = ()
    """Where the player rests inside it; those of its piece where empty."""

    note: Note = ""
    """Remarks."""

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        if not self.piece and not self.title:
            raise BadValue("the item names neither a piece nor a title", hint="one of the two")
        if self.tacet and (self.presets or self.contexts):
            raise BadValue("the item is tacet and says what it is played with", hint="one of the two")
        drums = [preset.partition("/")[0] for preset in self.presets]
        twice = next((drum for place, drum in enumerate(drums) if drum in drums[:place]), None)
        if twice is not None:
            raise BadValue(
                f'the drum "{twice}" would have to stand in two presets at once',
                hint="one preset a drum, or two items",
            )
        return self


class Concert(Record):
    """One concert, rehearsal or audition."""

    format: Literal[1] = 1
    """Version of this file's form."""

    name: Name
    """What the player calls it."""

    on: date | None = None
    """The day."""

    hall: Line = ""
    """Where."""

    a4: A4Hz = 440.0
    """The concert pitch there, in Hz."""

    items: Annotated[tuple[Item, ...], Field(max_length=MOST_ITEMS)] = ()
    """What is played, in order."""

    drums: tuple[Name, ...] = ()
    """The slugs of the drums that travel; every drum of the library where empty."""

    stage_drums: Annotated[int, Field(ge=1, le=50)] | None = None
    """How many drums fit on the stage; all that travel where missing."""

    pace: Annotated[float, Field(ge=0.2, le=60)] | None = None
    """Seconds for one rod there; the player's own pace where missing."""

    note: Note = ""
    """Remarks."""
