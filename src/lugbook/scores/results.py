"""What the reading of a part gives.

Conventions: seconds from the first bar on, in the order in which the bars are played. A bar is named by its
printed number, a text.
"""

from dataclasses import dataclass
from typing import Literal

Where = Literal["before", "between", "after"]


@dataclass(frozen=True, slots=True)
class Tempo:
    """A tempo, from a bar on.

    Attributes:
        bar: its printed number.
        quarters: quarters a minute.
        assumed: whether the part gives no number for it.
    """

    bar: str
    quarters: float
    assumed: bool


@dataclass(frozen=True, slots=True)
class Dynamics:
    """The softest and the loudest dynamic, and the first bar of each."""

    softest: str
    softest_bar: str
    loudest: str
    loudest_bar: str


@dataclass(frozen=True, slots=True)
class Rolls:
    """The rolls.

    Attributes:
        bars: printed numbers of the bars with a roll, each once.
        share: of the time under notes, from 0 to 1.
    """

    bars: tuple[str, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Density:
    """Strokes a second, bar by bar; a roll counts as one stroke, grace notes as none.

    Attributes:
        median: of the bars with a stroke.
        highest: of any bar.
        highest_bar: the first bar that has it.
    """

    median: float
    highest: float
    highest_bar: str


@dataclass(frozen=True, slots=True)
class Rest:
    """A rest.

    Attributes:
        bar_from: the bar in which it begins.
        bar_to: the bar in which it ends.
        seconds: how long it is.
        where: before the first note, between two, or after the last.
        at_s: when it begins.
    """

    bar_from: str
    bar_to: str
    seconds: float
    where: Where
    at_s: float


@dataclass(frozen=True, slots=True)
class PartRead:
    """What was read of a part.

    Attributes:
        title: of the piece, or empty.
        composer: or empty.
        movement: its number and name, or empty.
        parts: the names of all parts in the file.
        part: the one that was read.
        bars: how many are printed.
        bars_played: how many are played, with repeats.
        seconds: how long it lasts.
        tempi: in printed order.
        dynamics: None where none is written.
        rolls: where, and how much of the playing.
        density: None where there is no stroke.
        rests: those that are long enough, in the order in which they come.
        remarks: what was assumed or left out.
    """

    title: str
    composer: str
    movement: str
    parts: tuple[str, ...]
    part: str
    bars: int
    bars_played: int
    seconds: float
    tempi: tuple[Tempo, ...]
    dynamics: Dynamics | None
    rolls: Rolls
    density: Density | None
    rests: tuple[Rest, ...]
    remarks: tuple[str, ...]
