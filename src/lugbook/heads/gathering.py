"""The lines of several taps gathered: which of them the head has, how strong, how long, in how many taps.

Problem: each tap has its own list of lines, the strong ones near the same frequencies every time, weak ones
here and there. A player wants one list to compare with what the ear says: a line for each pitch of the drum,
the one that was read and the alternatives marked.

Conventions: as in `lugbook.heads.hearing`. Lines nearer than `_ONE_LINE_CENTS` count as one, as a split pair
does in the reading. Nothing here is estimated anew: frequencies are weighted means of those in the taps.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import median, median_high, median_low
from typing import Literal

from lugbook.heads.hearing import Hearing, Partial

Role = Literal["reading", "alternative", ""]
"""What a line is to the reading."""

_ONE_LINE_CENTS = 45.0
"""Lines of one or several taps within this are one pitch of the drum."""

_SAME_CENTS = 50.0
"""A line this near to the reading or to an alternative is that one."""


@dataclass(frozen=True, slots=True)
class Line:
    """One pitch of the drum, as the taps have it.

    Attributes:
        hz: its frequency in Hz.
        level_db: level below the strongest line of a tap, the median over the taps; None where unknown.
        t60_s: decay time in seconds for 60 dB, the median over the taps; None where unknown.
        mode: its name among the drum's modes, such as ``"1,1"``; None where it has none.
        taps: in how many of the taps it was found.
        spread_cents: how far the taps differ: largest minus smallest, in cents; None with one tap.
        role: whether it is the reading, an alternative, or neither.
        why: what an alternative would be, as a phrase; else empty.
    """

    hz: float
    level_db: float | None
    t60_s: float | None
    mode: str | None
    taps: int
    spread_cents: float | None
    role: Role = ""
    why: str = ""


def lines_of(hearing: Hearing) -> tuple[Line, ...]:
    """Return the lines of the taps that were used, lowest first; of all taps where none was.

    The reading and each alternative are always among them, with the frequency that they have there. Without a
    reading nothing says that this is a drum, and no line has a name.
    """
    used = [tap for tap in hearing.taps if tap.used] or list(hearing.taps)
    lines = _gathered([tap.partials for tap in used])
    if hearing.reading is None:
        lines = [replace(line, mode=None) for line in lines]
    else:
        for other in reversed(hearing.reading.alternatives):
            lines = _marked(lines, other.hz, "alternative", why=other.why)
        lines = _marked(lines, hearing.reading.hz, "reading", mode=hearing.reading.mode)
    return tuple(sorted(lines, key=lambda line: line.hz))


def foremost(lines: Sequence[Line], *, most: int) -> tuple[Line, ...]:
    """Return the lines that tell most, *most* of them at the most, lowest first.

    The reading comes first, then the alternatives, then lines with a name, then the others; of each kind the
    ones that are in more taps before those in fewer than half, and the strong before the weak.
    """
    of_taps = max((line.taps for line in lines), default=0)

    def order(line: Line) -> tuple[int, bool, float, float]:
        kind = _RANK[line.role] if line.role else 2 if line.mode else 3
        loud = line.level_db if line.level_db is not None else -math.inf
        return kind, 2 * line.taps < of_taps, -loud, line.hz

    return tuple(sorted(sorted(lines, key=order)[:most], key=lambda line: line.hz))


_RANK: dict[Role, int] = {"reading": 0, "alternative": 1}


def _gathered(taps: Iterable[Sequence[Partial]]) -> list[Line]:
    found = [
        (one, number)
        for number, partials in enumerate(taps)
        for one in partials
        if math.isfinite(one.hz) and one.hz > 0
    ]
    found.sort(key=lambda pair: pair[0].hz)
    lines: list[Line] = []
    group: list[tuple[Partial, int]] = []
    for pair in found:
        if group and _apart(group[0][0].hz, pair[0].hz) > _ONE_LINE_CENTS:
            lines.append(_line(group))
            group = []
        group.append(pair)
    if group:
        lines.append(_line(group))
    return lines


def _line(group: Sequence[tuple[Partial, int]]) -> Line:
    """Return the line that a group of neighbours is."""
    by_tap: dict[int, list[Partial]] = {}
    for partial, number in group:
        by_tap.setdefault(number, []).append(partial)
    strongest = [max(partials, key=lambda one: one.level_db) for partials in by_tap.values()]
    pitches = [_weighted_hz(partials) for partials in by_tap.values()]
    modes = Counter(partial.mode for partial, _ in group if partial.mode is not None).most_common(1)
    return Line(
        hz=_middle(pitches),
        level_db=median(one.level_db for one in strongest),
        t60_s=median(one.t60_s for one in strongest),
        mode=modes[0][0] if modes else None,
        taps=len(by_tap),
        spread_cents=_apart(min(pitches), max(pitches)) if len(pitches) > 1 else None,
    )


def _weighted_hz(partials: Sequence[Partial]) -> float:
    """Return the mean frequency of the lines of one tap, weighted by their energy."""
    top = max(one.level_db for one in partials)
    weights = [10 ** (max(one.level_db - top, -120.0) / 10) for one in partials]
    first = partials[0].hz
    away = sum(weight * (one.hz / first - 1) for weight, one in zip(weights, partials, strict=True))
    return first * (1 + away / sum(weights))


def _middle(values: Sequence[float]) -> float:
    """Return the median; of two in the middle the mean, which may be too large to be added up first."""
    low, high = median_low(values), median_high(values)
    return low + (high - low) / 2


def _marked(
    lines: list[Line], hz: float, role: Role, *, why: str = "", mode: str | None = None
) -> list[Line]:
    """Return *lines* with the one at *hz* marked; it is added where none is near."""
    near = min(lines, key=lambda line: _apart(line.hz, hz), default=None)
    if near is None or _apart(near.hz, hz) > _SAME_CENTS:
        return [*lines, Line(hz, None, None, mode, 0, None, role, why)]
    marked = replace(near, hz=hz, role=role, why=why, mode=mode or near.mode)
    return [marked if line is near else line for line in lines]


def _apart(low_hz: float, high_hz: float) -> float:
    return abs(1200 * (math.log2(high_hz) - math.log2(low_hz)))
