"""The scales of a graph of f² over turns, and which labels find room on them.

f² is what turns move evenly, so the graph is drawn in f²; but nobody hears f², so its scale is labelled with
notes and hertz.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from lugbook.cards.pitches import hertz, note
from lugbook.pitch import check_a4, hz_of_midi
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.turns.curve import Curve

_PAD = 0.06
"""Free room above and below, as a share of the span."""

DRIFT_CENTS = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 600.0, 1200.0)
"""Cents to either side that a graph of drift may show."""

_TICKS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
"""Turns from one label to the next."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Values to places, evenly; what lies outside stands at the end."""

    low: float
    high: float
    start: float
    stop: float

    def at(self, value: float) -> float:
        """Return the place of *value*."""
        span = self.high - self.low
        share = (value - self.low) / span if span > 0 else 0.5
        return self.start + min(max(share, 0.0), 1.0) * (self.stop - self.start)


@dataclass(frozen=True, slots=True)
class Label:
    """A place on a scale and what stands there."""

    value: float
    words: str


def turns_scale(curve: "Curve", *, start: float, stop: float) -> Scale:
    """Return the scale across: all that the line reaches."""
    return Scale(curve.line[0].turns, curve.line[-1].turns, start, stop)


def squares_scale(curve: "Curve", *, start: float, stop: float) -> Scale:
    """Return the scale upwards: the line and every reading, with a little room."""
    squares = [point.square for point in curve.line] + [point.square for point in curve.points]
    low, high = min(squares), max(squares)
    pad = max((high - low) * _PAD, high * 0.002)
    return Scale(max(low - pad, 1.0), high + pad, start, stop)


def turn_labels(scale: Scale, *, room: float) -> list[Label]:
    """Return labels of turns with at least *room* from one to the next."""
    each = abs(scale.stop - scale.start) / max(scale.high - scale.low, 1e-9)
    step = next((tick for tick in _TICKS if tick * each >= room), _TICKS[-1])
    first, last = math.ceil(scale.low / step - 1e-9), math.floor(scale.high / step + 1e-9)
    return [Label(k * step, show_turns(k * step)) for k in range(first, last + 1)]


def pitch_labels(scale: Scale, *, room: float, a4_hz: float) -> list[Label]:
    """Return notes with their hertz, at least *room* from one to the next; where none fits, two hertz."""
    check_a4(a4_hz)
    labels: list[Label] = []
    low, high = math.sqrt(scale.low), math.sqrt(scale.high)
    for midi in range(128):
        hz = hz_of_midi(midi, a4_hz=a4_hz)
        if not low <= hz <= high:
            continue
        place = scale.at(hz**2)
        if not labels or abs(place - scale.at(labels[-1].value)) >= room:
            labels.append(Label(hz**2, f"{note(hz, a4_hz=a4_hz)}  {hertz(hz)} Hz"))
    if len(labels) < 2:
        return [Label(hz**2, f"{hertz(hz)} Hz") for hz in (low, high)]
    return labels


def square_at(curve: "Curve", turns: float) -> float:
    """Return f² of the line at *turns* inside its reach, straight between its points, in Hz²."""
    before, after = curve.line[0], curve.line[-1]
    for one, other in pairwise(curve.line):
        if one.turns <= turns <= other.turns:
            before, after = one, other
            break
    span = after.turns - before.turns
    share = (turns - before.turns) / span if span > 0 else 0.0
    return before.square + min(max(share, 0.0), 1.0) * (after.square - before.square)


def reach_of(values: Sequence[float], steps: Sequence[float]) -> float:
    """Return the least of *steps* that holds all *values*, or the largest."""
    most = max((abs(value) for value in values), default=0.0)
    return next((step for step in steps if step >= most), steps[-1])


def days_ago(days: float) -> str:
    """Return so many days before today in words."""
    whole = max(round(days), 0)
    return "today" if whole == 0 else f"{whole} day{'' if whole == 1 else 's'} ago"
