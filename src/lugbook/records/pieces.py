"""A piece of music with a drum in it: what it asks of the drum, and what served it so far."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from lugbook.errors import BadValue
from lugbook.records.base import Line, Name, Note, Record

MOST_BAR = 9_999
"""The highest number of a bar."""

Bar = Annotated[int, Field(ge=0, le=MOST_BAR)]
"""The number of a bar, 0 being an upbeat."""

Bars = Annotated[int, Field(ge=1, le=MOST_BAR)]
"""How many bars a part has."""

Seconds = Annotated[float, Field(ge=0, le=36_000)]
"""A time in seconds, up to ten hours."""


def _preset_id(text: str) -> str:
    drum, stroke, preset = text.partition("/")
    if not drum or not stroke or not preset or "/" in preset:
        raise BadValue(f'"{text[:60]}" names no preset', hint="drum/preset, such as concert-snare/dry-etude")
    return text


PresetId = Annotated[str, Field(max_length=100), AfterValidator(_preset_id)]
"""The id of a preset, ``drum/preset``; it may have gone since."""


def bars_text(first: int, last: int | None) -> str:
    """Return bars as one writes them, such as ``12-20``; the first alone where it is the last too."""
    return f"{first}" if last in (None, first) else f"{first}-{last}"


class _Bars(Record):
    """Some bars of a piece."""

    bar_from: Bar | None = None
    """Its first bar."""

    bar_to: Bar | None = None
    """Its last bar; the first one where missing."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.bar_to is not None and self.bar_from is None:
            raise BadValue("the last bar stands without the first", hint="both, or the first alone")
        if self.bar_to is not None and self.bar_from is not None and self.bar_to < self.bar_from:
            raise BadValue(
                f"bar {self.bar_to} comes before bar {self.bar_from}", hint="the earlier bar first"
            )
        return self

    @property
    def bars(self) -> str:
        """The bars as one writes them, such as ``12-20``; empty where nobody said."""
        return "" if self.bar_from is None else bars_text(self.bar_from, self.bar_to)


class Passage(_Bars):
    """A place in a piece that asks something of the drum."""

    words: Line = ""
    """What it asks, in the player's words."""


class Rest(_Bars):
    """A time inside a piece in which the player has nothing to play."""

    seconds: Seconds
    """How long it lasts, in seconds."""

    read: bool = False
    """Whether it was read from the part; otherwise the player wrote it."""


class Part(Record):
    """What the part tells: how long it is, and where the player rests."""

    name: Line = ""
    """Which part it is, such as ``Snare drum``."""

    file: Line = ""
    """The file that it was read from."""

    seconds: Seconds | None = None
    """How long the piece lasts, in seconds."""

    bars: Bars | None = None
    """How many bars it has."""

    read_seconds: Seconds | None = None
    """How long the part was read to last; the player set `seconds` where they are another time."""

    read_bars: Bars | None = None
    """How many bars were read; the player set `bars` where they are another number."""

    rests: tuple[Rest, ...] = ()
    """Where the player rests, in order."""


class Performance(Record):
    """One time that the piece was played."""

    on: date | None = None
    """The day."""

    hall: Line = ""
    """Where."""

    preset: PresetId | None = None
    """The ``drum/preset`` it was played with."""

    note: Note = ""
    """How it went."""


class Piece(Record):
    """One piece, or one movement of it."""

    format: Literal[1] = 1
    """Version of this file's form."""

    title: Name
    """What it is called."""

    composer: Line = ""
    """Who wrote it."""

    movement: Line = ""
    """Which movement or number of it."""

    contexts: tuple[Name, ...] = ()
    """The kinds of music it is, as presets name them."""

    dynamics: Line = ""
    """From how soft to how loud, such as ``pp to ff``."""

    passages: tuple[Passage, ...] = ()
    """Places that ask something of the drum."""

    presets: tuple[PresetId, ...] = ()
    """The presets that served in it, ``drum/preset``."""

    performances: tuple[Performance, ...] = ()
    """When and with what it was played."""

    part: Part | None = None
    """What the part tells."""

    note: Note = ""
    """Remarks."""

    @property
    def name(self) -> str:
        """Its title, with the movement."""
        return f"{self.title}, {self.movement}" if self.movement else self.title

    @property
    def called(self) -> str:
        """Composer, title and movement, as a programme has them."""
        return f"{self.composer}: {self.name}" if self.composer else self.name

    @property
    def served(self) -> tuple[str, ...]:
        """The presets that served in it or were played with, each once."""
        played = (one.preset for one in self.performances if one.preset is not None)
        return tuple(dict.fromkeys((*self.presets, *played)))
