"""What is read of a part, before anything is reckoned: bars with their strokes, tempi and dynamics.

Conventions: times in quarters from the start of the bar. Bars stand in printed order; the order in which they
are played is a list of their places.
"""

import re
from dataclasses import dataclass

from lugbook.plain import shown

LEAST_TEMPO, MOST_TEMPO = 10.0, 600.0
"""Quarters a minute: slower or faster than this is a slip or a trick (judgement)."""

MOST_BARS = 5000
MOST_NOTES = 100_000
MOST_PARTS = 300
MOST_PLAYED = 400_000
"""Notes with all repeats."""

MOST_REMARKS = 30

_MOST_LETTERS = 200


@dataclass(frozen=True, slots=True)
class Sounding:
    """A note, or notes at once.

    Attributes:
        at: when it begins.
        length: how long it is.
        strokes: how many strokes it stands for; 0 where it is tied to the one before.
        roll: whether it is rolled.
    """

    at: float
    length: float
    strokes: int = 1
    roll: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A change of tempo.

    Attributes:
        at: from when on.
        quarters: quarters a minute, or None where *times* says.
        times: the tempo before times this.
        first: whether it is the tempo of the beginning again.
        back: whether it is the tempo before the last change, or before slowing down, again.
        wavers: whether only slowing down or hurrying begins.
        guessed: whether a word only was given.
    """

    at: float
    quarters: float | None = None
    times: float | None = None
    first: bool = False
    back: bool = False
    wavers: bool = False
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """A printed bar.

    Attributes:
        label: its number as printed.
        length: in quarters.
        notes: what is played in it.
        marks: its changes of tempo.
        dynamics: its dynamics, as written.
    """

    label: str
    length: float
    notes: tuple[Sounding, ...] = ()
    marks: tuple[Mark, ...] = ()
    dynamics: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Music:
    """A part as it was read.

    Attributes:
        title: of the piece, or empty.
        composer: or empty.
        movement: its number or name, or empty.
        parts: the names of all parts in the file.
        part: the one that was read.
        bars: as printed.
        order: the places of the bars as they are played.
        remarks: what is to be said of it.
    """

    title: str
    composer: str
    movement: str
    parts: tuple[str, ...]
    part: str
    bars: tuple[Bar, ...]
    order: tuple[int, ...]
    remarks: tuple[str, ...]


def tell(remarks: list[str], sentence: str) -> None:
    """Keep what is to be told in *remarks*, once, unless there is too much already."""
    if len(remarks) < MOST_REMARKS and sentence not in remarks:
        remarks.append(sentence)


def one_line(text: str | None) -> str:
    """Return *text* from a file as one short line that may be kept and shown."""
    line = re.sub(r"\s+", " ", text or "").strip()
    return shown(line if len(line) <= _MOST_LETTERS else line[: _MOST_LETTERS - 1] + "…")
