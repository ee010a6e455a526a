"""A drum with its two heads, its wires and its counts of turns, each with its history.

*Top* is the batter side, *bottom* the snare side. A head record is one head on one side from a date on; a
count is one unbroken count of turns of one head from its reference. When a head is taken off or let down, or
a count is lost, a new count begins: turns of older counts are void for that head, pitches stay.
"""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from lugbook.errors import BadValue
from lugbook.records.base import Line, Moment, Name, Note, Record, Rod, TurnAmount
from lugbook.records.snares import Adjustment

HeadSide = Literal["top", "bottom"]
"""Which head."""

SIDES: tuple[HeadSide, HeadSide] = ("top", "bottom")

Tension = Literal["separate", "single", "rope"]
"""Each head its own rods; one rod pulls both heads (one count); or no rods at all."""

Material = Literal["film", "aramid", "calf"]
"""What a head is made of."""

CountSide = Literal["top", "bottom", "both"]
"""Which head a count of turns belongs to; ``both`` on a drum of single tension."""


class Side(Record):
    """What one side of the drum is built like, whichever head is on it."""

    rods: Annotated[int, Field(ge=0, le=24)] = 10
    """Number of rods, numbered clockwise looking at that head, 1 being the first past the strainer."""

    turns_max: TurnAmount | None = None
    """Do not go past this many turns from the reference (maker's or player's limit)."""

    turns_min: TurnAmount | None = None
    """Do not go below this many turns from the reference."""

    hz_max: Annotated[float, Field(gt=0)] | None = None
    """Do not go above this pitch, in Hz."""

    snare_bed_rods: tuple[Rod, ...] = ()
    """Rods beside the snare beds, which read differently and are judged apart."""

    reached_on_stand: bool = True
    """Whether a key reaches these rods while the drum is on its stand."""


class Head(Record):
    """One head on one side, from a date on."""

    id: Name
    """Unique within the drum, such as ``top-2``."""

    side: HeadSide
    """Where it is."""

    on: date
    """The day it was put on."""

    off: date | None = None
    """The day it was taken off; missing while it is on."""

    material: Material = "film"
    """What it is made of."""

    plies: Annotated[int, Field(ge=1, le=4)] = 1
    """Number of layers."""

    film_mil: Annotated[float, Field(gt=0, le=60)] | None = None
    """Whole thickness in mil (1 mil = 25.4 µm)."""

    name: Line = ""
    """What is printed on it."""

    note: Note = ""
    """Remarks."""


class Count(Record):
    """One unbroken count of turns of one head from its reference."""

    id: Name
    """Unique within the drum, such as ``top-1``."""

    side: CountSide
    """Which head; ``both`` where one rod pulls both."""

    since: Moment
    """When it began, with its offset from UTC."""

    reference: Line = "finger tight"
    """The state it starts from, in words."""

    why: Line = ""
    """Why a new count began: new head, let down, lost count, another key."""

    head: Line = ""
    """The id of the head that it began with; empty where it began for another reason."""


class Wires(Record):
    """One set of snares."""

    id: Name
    """Unique within the drum, such as ``wires-1``."""

    place: HeadSide = "bottom"
    """Under which head it lies."""

    kind: Literal["coil", "cable", "gut", "mixed"] = "coil"
    """What the strands are."""

    strands: Annotated[int, Field(ge=1, le=60)] | None = None
    """How many strands."""

    tied: Line = ""
    """How it is tied: cord, strip, clamps."""

    since: date | None = None
    """The day it was put on."""

    off: date | None = None
    """The day it was taken off; missing while it is on."""


class Strainer(Record):
    """The strainer and butt, and what can be set on them."""

    name: Line = ""
    """What kind it is."""

    adjustments: tuple[Adjustment, ...] = ()
    """What can be set, each in the player's own unit and zero."""


class Drum(Record):
    """One drum."""

    format: Literal[1] = 1
    """Version of this file's form."""

    name: Name
    """What the player calls it."""

    maker: Line = ""
    """Who made it."""

    diameter_in: Annotated[float, Field(ge=6, le=40)]
    """Diameter of the heads in inches."""

    depth_in: Annotated[float, Field(ge=1, le=40)] | None = None
    """Depth of the shell in inches."""

    shell: Line = ""
    """What the shell is made of."""

    tension: Tension = "separate"
    """How the heads are pulled."""

    thread_mm: Annotated[float, Field(gt=0.2, lt=3)] = 25.4 / 24
    """Travel of a rod per turn in mm; 12-24 rods have 24 threads to the inch."""

    top: Side = Side()
    """The top side."""

    bottom: Side = Side()
    """The bottom side."""

    heads: tuple[Head, ...] = ()
    """All heads that were ever on, oldest first."""

    counts: tuple[Count, ...] = ()
    """All counts of turns, oldest first."""

    wires: tuple[Wires, ...] = ()
    """All sets of wires, oldest first."""

    strainer: Strainer = Strainer()
    """The strainer."""

    loan: bool = False
    """Whether it belongs to somebody else."""

    note: Note = ""
    """Remarks."""

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Self:
        for what, ids in (
            ("heads", [head.id for head in self.heads]),
            ("counts", [count.id for count in self.counts]),
            ("wires", [wires.id for wires in self.wires]),
        ):
            twice = sorted({one for one in ids if ids.count(one) > 1})
            if twice:
                raise BadValue(
                    f"the id {twice[0]!r} stands twice among {what}", hint="an id of its own for each"
                )
        return self

    @model_validator(mode="after")
    def _rods_fit_the_tension(self) -> Self:
        if self.tension != "rope" and not (self.top.rods and self.bottom.rods):
            raise BadValue(
                f"a drum of {self.tension} tension has no side without rods", hint="rods from 1 to 24"
            )
        return self

    @model_validator(mode="after")
    def _counts_fit_the_tension(self) -> Self:
        for count in self.counts:
            if (count.side == "both") != (self.tension == "single"):
                right = '"both"' if self.tension == "single" else '"top" or "bottom"'
                raise BadValue(
                    f"the count {count.id!r} has side {count.side!r} on a drum of {self.tension} tension",
                    hint=f"side {right}",
                )
        return self

    def side(self, side: HeadSide) -> Side:
        """Return what the *side* is built like."""
        return self.top if side == "top" else self.bottom

    def head_on(self, side: HeadSide) -> Head | None:
        """Return the head that is on the *side* now, or None where none was ever recorded."""
        on = [head for head in self.heads if head.side == side and head.off is None]
        return on[-1] if on else None

    def wires_on(self, place: HeadSide = "bottom") -> Wires | None:
        """Return the set of wires that lies under a head now, or None where none does."""
        on = [one for one in self.wires if one.place == place and one.off is None]
        return on[-1] if on else None

    def count_of(self, side: HeadSide) -> Count | None:
        """Return the count that turns of the *side* are in now, or None where none has begun."""
        counts = [count for count in self.counts if count.side in (side, "both")]
        return counts[-1] if counts else None

    @property
    def turns_offered(self) -> bool:
        """Whether this drum has rods to turn."""
        return self.tension != "rope"
