"""An entry of the logbook: one thing that was done or heard at the drum, with the state after it.

Each entry holds the absolute position after it and the counts it belongs to, so that the current state is
the last entry's. Entries are only ever appended: a mistake is mended by a later entry that `corrects` it.
"""

import re
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from lugbook.errors import BadValue
from lugbook.records.base import A4Hz, Celsius, Humidity, Line, Moment, Name, Record, Rod, TurnAmount
from lugbook.records.drums import HeadSide
from lugbook.records.readings import Reading
from lugbook.records.snares import SnareSetting

ENTRY_ID = re.compile(
    r"[0-9]{4}(?:0[1-9]|1[0-2])(?:0[1-9]|[12][0-9]|3[01])T(?:[01][0-9]|2[0-3])(?:[0-5][0-9]){2}Z-[a-z]{6}-[a-z]{4}"
)
"""``<UTC time>-<writer>-<4 letters>``, such as ``20261125T181204Z-kqmzpt-abcd``."""

_ROD = re.compile(r"[1-9]|1[0-9]|2[0-4]")


def _entry_id(text: str) -> str:
    if not ENTRY_ID.fullmatch(text):
        raise BadValue(
            f"{text[:60]!r} is no id of an entry", hint="an id such as 20261125T181204Z-kqmzpt-abcd"
        )
    return text


def _rods(text: str) -> str:
    for word in text.split():
        if not _ROD.fullmatch(word):
            raise BadValue(f"{word[:60]!r} is no rod", hint="numbers from 1 to 24, such as 1 6 3")
    return text


EntryId = Annotated[str, AfterValidator(_entry_id)]
"""The id of an entry."""

Verdict = Literal["better", "same", "worse"]
"""What was said of a state against the kept one."""

Mark = Literal["+", "0", "-"]
"""What was said of one test passage: it speaks well, so-so, or badly."""

HeardAt = Literal["at the drum", "in the hall", ""]
"""Where something was heard."""


class PerHead(Record):
    """Turns of each head; a side that is missing did not move or is not known."""

    top: TurnAmount | None = None
    """Of the top head."""

    bottom: TurnAmount | None = None
    """Of the bottom head."""

    def of(self, side: HeadSide) -> float | None:
        """Return the turns of the *side*."""
        return self.top if side == "top" else self.bottom


class CountPerHead(Record):
    """The id of the count that each head's position belongs to."""

    top: Line | None = None
    """Of the top head."""

    bottom: Line | None = None
    """Of the bottom head."""

    def of(self, side: HeadSide) -> str | None:
        """Return the count of the *side*."""
        return self.top if side == "top" else self.bottom


class Round(Record):
    """A round of the rods that was stopped part-way: finish it or take it back."""

    head: HeadSide
    """Which head is being turned."""

    amount: TurnAmount
    """How far every rod is to be turned."""

    rods_done: Annotated[Line, AfterValidator(_rods)] = ""
    """The rods that have been turned, in the order they were, such as ``1 6 3``."""

    rods_back: Annotated[Line, AfterValidator(_rods)] = ""
    """Those of them that have been turned back since, in order; empty unless the round is taken back."""

    def done(self) -> tuple[int, ...]:
        """Return the rods that have been turned, in order."""
        return tuple(int(rod) for rod in self.rods_done.split())

    def back(self) -> tuple[int, ...]:
        """Return the rods that have been turned back, in order."""
        return tuple(int(rod) for rod in self.rods_back.split())


class TouchUp(Record):
    """A touch-up of one single rod, kept beside the position."""

    head: HeadSide
    """Which head."""

    rod: Rod
    """Which rod."""

    amount: TurnAmount
    """How far it was turned; plus tightens."""


class Entry(Record):
    """One entry of a drum's logbook."""

    at: Moment
    """When it was made, with its offset from UTC."""

    kind: Literal["turn", "reading", "round", "touch-up", "count", "remark"]
    """What happened: all rods turned, pitches read, a round stopped part-way, one rod turned, a new count."""

    turn: PerHead = PerHead()
    """The turn just made, all rods of a head."""

    position: PerHead = PerHead()
    """The absolute position after this entry, in turns from each count's reference."""

    count: CountPerHead = CountPerHead()
    """The counts that the position belongs to."""

    round: Round | None = None
    """A round stopped part-way; the position is the one before it."""

    touch_up: TouchUp | None = None
    """A single rod that was turned."""

    a4: A4Hz = 440.0
    """The concert pitch that note names of this entry are meant at, in Hz."""

    top: Reading | None = None
    """Pitch of the top head, the position being the one after this entry."""

    bottom: Reading | None = None
    """Pitch of the bottom head."""

    snares: SnareSetting | None = None
    """How the snares were set."""

    words: Line = ""
    """How the drum speaks, in the player's words."""

    bounce: Line = ""
    """How the stick comes back, in the player's words."""

    passages: dict[Name, Mark] = Field(default_factory=dict)
    """Test passage → what was said of it."""

    verdict: Verdict | None = None
    """Against the kept state."""

    against: EntryId | None = None
    """The entry of the kept state that the verdict holds it against; missing where none was written down."""

    search: Line = ""
    """The search it belongs to."""

    step: Annotated[TurnAmount, Field(gt=0, le=1)] | None = None
    """The step of that search from this entry on, in turns; ¼ where none was ever named."""

    settled: bool = False
    """Whether the player ends that search here; an entry of it that follows goes on with it."""

    context: Line = ""
    """The music it was tried for."""

    preset: Line = ""
    """The preset it was made on the way to."""

    muffling: Line = ""
    """Muffling on the heads."""

    sticks: Line = ""
    """Sticks used."""

    playing_spot: Line = ""
    """Where the stick fell."""

    player: Line = ""
    """Who played."""

    heard: HeardAt = ""
    """Where it was heard."""

    temperature_c: Celsius | None = None
    """Air temperature in °C."""

    humidity_pct: Humidity | None = None
    """Relative humidity in per cent."""

    note: Line = ""
    """Remarks."""

    corrects: EntryId | None = None
    """The entry that this one replaces whole."""

    void: bool = False
    """Together with `corrects`: strikes that entry out."""

    id: EntryId
    """Its identity; last in the file, so that a torn entry is known by its absence."""

    @model_validator(mode="after")
    def _void_needs_an_entry(self) -> Self:
        if self.void and self.corrects is None:
            raise BadValue(
                "void names no entry to strike out", hint="corrects = the id of that entry beside it"
            )
        return self

    @property
    def writer(self) -> str:
        """The six letters of the machine that wrote it."""
        return self.id.split("-")[1]

    @property
    def stands_for(self) -> str:
        """The id that it is known by: that of the entry it corrects, else its own."""
        return self.corrects or self.id

    def reading(self, side: HeadSide) -> Reading | None:
        """Return the pitch of the *side* in this entry."""
        return self.top if side == "top" else self.bottom
