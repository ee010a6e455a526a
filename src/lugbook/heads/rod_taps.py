"""Which tap of a round belongs to which rod.

Problem: a player taps once near each rod, in an order that was said before, and the recording holds strokes
in time. Where there are as many strokes as rods, each belongs to its rod. Where one is missing, a pause twice
as long as the others tells where, if the rest come regularly; a rod that was passed over in time leaves no
trace, and then no tap can be told from its neighbours. Twice as many are two taps a rod, in a row or twice
round. Whatever cannot be known is asked for again.

Conventions: times in seconds from the start; pitches in Hz, None where a stroke has none that can be used;
rods by their numbers from 1. Strokes are named by their place in the recording, from 0.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

_REGULAR = 0.4
"""A pause goes on by k rods when it is within this of k usual ones: hands vary by a quarter (judgement)."""

_TWICE_HIT = 0.4
"""Two strokes within this share of the usual pause fell on one rod."""

_ROUND_AGAIN = 4.0
"""Taps that fit so much better twice round than in a row (in squared cents) were made twice round."""


@dataclass(frozen=True, slots=True)
class Sorted:
    """The strokes of a round, each with its rod.

    Attributes:
        strokes: rod → the places of its strokes, usable ones alone; empty where the rod was not heard.
        remarks: sentences about what was taken for what.
        refused: why strokes and rods cannot be matched, as a sentence; None where they are.
    """

    strokes: dict[int, tuple[int, ...]]
    remarks: tuple[str, ...] = ()
    refused: str | None = None


def sort_taps(at_s: Sequence[float], hz: Sequence[float | None], *, order: Sequence[int]) -> Sorted:
    """Return which strokes belong to which rod.

    Args:
        at_s: when each stroke came, ascending.
        hz: its pitch, None where it has none that can be used; as many as *at_s*.
        order: the rods in the order they were tapped, each once, 2 at least.
    """
    strokes, rods = len(at_s), len(order)
    if strokes < 2:
        return _again(f"{_taps(strokes)} for {rods} rods")
    pauses = np.diff(np.asarray(at_s, dtype=np.float64))
    if strokes % rods == 0 and strokes > rods:
        return _several(list(hz), order)
    places = list(range(strokes))
    twice = _hit_twice(pauses)
    if strokes == rods:
        if twice and np.any(pauses > (2 - _REGULAR) * np.median(pauses)):
            return _again("One rod may have been hit twice and another left out")
        return Sorted(_usable([[place] for place in places], hz, order))
    usable = [place for place in places if hz[place] is not None]
    if strokes > rods and len(usable) == rods and _even(np.asarray(at_s, dtype=np.float64)[usable]):
        found = Sorted(_usable([[place] for place in usable], hz, order))
        extra = [place for place in places if place not in usable]
        return Sorted(found.strokes, (_extra([at_s[place] for place in extra]),))
    groups = _joined(places, twice)
    if len(groups) > rods:
        return _again(f"{_taps(strokes)} for {rods} rods")
    remarks: tuple[str, ...] = ()
    if len(groups) < rods:
        firsts = np.array([at_s[group[0]] for group in groups])
        steps = _steps(np.diff(firsts)) if len(groups) > 2 else None
        if steps is None or sum(steps) != rods - 1:
            return _again(f"{_taps(strokes)} for {rods} rods, and no pause tells which was left out")
        groups = _with_pauses(groups, steps)
        left_out = _listed([order[place] for place, group in enumerate(groups) if not group])
        remarks = (f"By the pauses, {left_out} had no tap.",)
    doubled = [order[place] for place, group in enumerate(groups) if len(group) > 1]
    if doubled:
        remarks = (*remarks, f"{_capital(_listed(doubled))} had more than one tap; they are joined.")
    return Sorted(_usable(groups, hz, order), remarks)


def _several(hz: list[float | None], order: Sequence[int]) -> Sorted:
    """Return strokes that are several for each rod: in a row at each, or several times round."""
    rods = len(order)
    times = len(hz) // rods
    row = [list(range(place * times, (place + 1) * times)) for place in range(rods)]
    rounds = [list(range(place, len(hz), rods)) for place in range(rods)]
    if _scatter(row, hz) > _ROUND_AGAIN * _scatter(rounds, hz):
        return Sorted(_usable(rounds, hz, order), (f"Taken as {times} times round.",))
    return Sorted(_usable(row, hz, order), (f"Taken as {times} taps a rod in a row.",))


def _scatter(groups: list[list[int]], hz: list[float | None]) -> float:
    """Return the squared cents by which the taps of one rod differ, with a cent for each that they may."""
    total = float(len(hz))
    for group in groups:
        heard = [one for place in group if (one := hz[place]) is not None]
        if len(heard) > 1:
            cents = 1200 * np.log2(np.array(heard))
            total += float(np.sum((cents - cents.mean()) ** 2))
    return total


def _hit_twice(pauses: Floats) -> list[int]:
    """Return the places of strokes that follow the one before them at once."""
    usual = float(np.median(pauses))
    return [place + 1 for place, pause in enumerate(pauses) if pause < _TWICE_HIT * usual]


def _joined(places: list[int], twice: list[int]) -> list[list[int]]:
    groups: list[list[int]] = []
    for place in places:
        if place in twice:
            groups[-1].append(place)
        else:
            groups.append([place])
    return groups


def _even(at_s: Floats) -> bool:
    """Return whether strokes come so regularly that none is missing and none too many."""
    steps = _steps(np.diff(at_s))
    return steps is not None and all(step == 1 for step in steps)


def _steps(pauses: Floats) -> list[int] | None:
    """Return how many rods each pause goes on by; None where they are not regular enough to tell."""
    usual = float(np.median(pauses))
    if usual <= 0:
        return None
    # Where many are missing the median is no single pause; then the sum does not come out either.
    singles = pauses[pauses < 1.5 * usual]
    usual = float(np.median(singles)) if singles.size else 0.0
    if usual <= 0:
        return None
    steps = np.maximum(np.rint(pauses / usual), 1.0)
    if np.any(np.abs(pauses / usual - steps) > _REGULAR):
        return None
    longest = float(np.max(pauses[steps == 1]))
    doubles = pauses[steps == 2]
    # A pause for two must stand clear of the longest pause for one.
    if doubles.size and float(np.min(doubles)) < 1.25 * longest:
        return None
    return [int(step) for step in steps]


def _with_pauses(groups: list[list[int]], steps: list[int]) -> list[list[int]]:
    full = [groups[0]]
    for group, step in zip(groups[1:], steps, strict=True):
        full += [[] for _ in range(step - 1)] + [group]
    return full


def _usable(
    groups: list[list[int]], hz: Sequence[float | None], order: Sequence[int]
) -> dict[int, tuple[int, ...]]:
    return {
        rod: tuple(place for place in group if hz[place] is not None)
        for rod, group in zip(order, groups, strict=True)
    }


def _again(why: str) -> Sorted:
    return Sorted({}, (), f"{why}: tap the whole round again, once near each rod and evenly in time.")


def _extra(at_s: list[float]) -> str:
    times = ", ".join(f"{one:.2f} s" for one in at_s)
    return f"More strokes than rods: what was heard at {times} is no tap of this round and was passed over."


def _taps(count: int) -> str:
    return "1 tap" if count == 1 else f"{count} taps"


def _listed(rods: list[int]) -> str:
    return f"rod{'s' if len(rods) > 1 else ''} {' '.join(str(rod) for rod in sorted(rods))}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
