"""In which order the bars of a part are played.

music21 follows repeats, endings and jumps, but copies every bar for every repeat. So it is given empty bars
that hold nothing but their signs, and where nothing jumps back, one repeat after the other.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import pairwise

from music21 import bar, repeat, spanner, stream

_MOST_BARS = 20_000
"""Bars with all repeats."""

_MOST_WORK, _MOST_AT_ONCE = 200_000, 10_000
"""Repeats times bars: what is tried at all, and what is tried in one go, which takes some ten seconds."""


def order_of(score: stream.Score, measures: Sequence[stream.Measure], remarks: list[str]) -> tuple[int, ...]:
    """Return the places of the bars as they are played.

    Args:
        score: has the brackets of endings.
        measures: the bars, in printed order.
        remarks: is told what could not be followed.
    """
    plain = tuple(range(len(measures)))
    empty = [_empty(measure, place) for place, measure in enumerate(measures)]
    known = {id(measure): place for place, measure in enumerate(measures)}
    brackets = [
        ([known[id(one)] for one in bracket.getSpannedElements() if id(one) in known], bracket.number)
        for bracket in score.spannerBundle.getByClass(spanner.RepeatBracket)
    ]
    times = [_times_again(one) for one in empty]
    if not sum(times):
        return plain
    order = None
    if sum(times) * len(measures) <= _MOST_WORK:
        jumps = any(one.getElementsByClass(repeat.RepeatExpressionCommand) for one in empty)
        if not jumps:
            order = _piece_by_piece(empty, brackets)
        if order is None and sum(times) * len(measures) <= _MOST_AT_ONCE:
            order = _played(empty, brackets)
    if order is None or len(order) > _MOST_BARS:
        remarks.append("The repeats could not be followed: the part is counted once through.")
        return plain
    return order


_Brackets = Sequence[tuple[list[int], str]]


def _piece_by_piece(empty: Sequence[stream.Measure], brackets: _Brackets) -> tuple[int, ...] | None:
    """Follow the repeats between one opening sign and the next; None where they are within each other."""
    opening = [place for place, one in enumerate(empty) if place and _is(one.leftBarline, "start")]
    order: list[int] = []
    for start, end in pairwise([0, *opening, len(empty)]):
        inside = [(places, number) for places, number in brackets if set(places) & set(range(start, end))]
        if any(not start <= place < end for places, _ in inside for place in places):
            return None
        moved = [([place - start for place in places], number) for places, number in inside]
        played = _played(empty[start:end], moved)
        if played is None:
            return None
        order += (place + start for place in played)
    return tuple(order)


def _played(empty: Sequence[stream.Measure], brackets: _Brackets) -> tuple[int, ...] | None:
    """Return the places of the bars as music21 has them played, or None where it cannot."""
    if not any(map(_times_again, empty)) and not any(_is(one.leftBarline, "start") for one in empty):
        return tuple(range(len(empty)))
    part: stream.Part = stream.Part()  # type: ignore[no-untyped-call]  # music21 types it in part
    fresh = [_empty(one, place) for place, one in enumerate(empty)]
    for one in fresh:
        part.append(one)  # type: ignore[no-untyped-call]  # as said above
    for places, number in brackets:
        if places:
            part.insert(0, spanner.RepeatBracket([fresh[place] for place in places], number=number))
    # Whatever music21 makes of bad signs, the part can still be read once through.
    with suppress(Exception):
        played = list(repeat.Expander(part).process().getElementsByClass(stream.Measure))
        if not any(_is(line) for one in played for line in (one.leftBarline, one.rightBarline)):
            return tuple(int(one.groups[0]) for one in played)
    return None


def _is(line: object, direction: str | None = None) -> bool:
    return isinstance(line, bar.Repeat) and direction in (None, line.direction)


def _empty(measure: stream.Measure, place: int) -> stream.Measure:
    """Return a bar with the repeat signs of *measure*, which knows its *place*."""
    empty = stream.Measure(number=place + 1)
    empty.groups.append(str(place))
    for side in ("leftBarline", "rightBarline"):
        line = getattr(measure, side)
        if isinstance(line, bar.Repeat):
            setattr(empty, side, bar.Repeat(direction=line.direction, times=line.times))
    for one in measure.recurse().getElementsByClass(repeat.RepeatExpression):
        empty.insert(0, type(one)())
    return empty


def _times_again(empty: stream.Measure) -> int:
    """Return how many times more at most something is played for the signs in a bar."""
    return sum(_again(empty))


def _again(empty: stream.Measure) -> Iterator[int]:
    for line in (empty.leftBarline, empty.rightBarline):
        if isinstance(line, bar.Repeat) and line.direction == "end":
            yield (line.times or 2) - 1
    yield len(empty.getElementsByClass(repeat.RepeatExpressionCommand))
