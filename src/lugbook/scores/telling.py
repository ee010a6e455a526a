"""What a part tells: its seconds, tempi, dynamics, rolls, density, and the rests long enough for a change.

Problem: bars and quarters say little of the time there is. The tempi make seconds of them, in the order in
which the bars are played; what the part does not say is assumed, and said to be.

Conventions: results as in `lugbook.scores.results`. Dynamics, softest to loudest: n, pppppp to p, mp, mf, f
to ffffff; accents (sf, sfz, fz, rf) are no dynamics, and fp is both.
"""

import statistics
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lugbook.errors import BadValue
from lugbook.scores.clock import Clock
from lugbook.scores.music import Music, Sounding
from lugbook.scores.results import Density, Dynamics, PartRead, Rest, Rolls, Where

FAST_S = 0.091
"""Strokes that follow each other sooner than this (11 a second) are a roll written out (judgement)."""

FEWEST_FAST = 8
"""So many of them make a roll (judgement)."""

LEAST_BAR_S = 1.0
"""In a shorter bar, strokes are counted as if it lasted this long: two quick notes are no dense bar."""

MOST_S = 6 * 3600.0
"""No part is longer."""

_SAME_S = 1e-6
"""Seconds are sums: what differs by less is the same moment."""

_LEVELS = ["n", *("p" * n for n in range(6, 0, -1)), "mp", "mf", *("f" * n for n in range(1, 7))]
_BOTH = {"fp": ("f", "p"), "pf": ("p", "f"), "ffp": ("ff", "p"), "sfp": ("p",), "sfpp": ("pp",)}


@dataclass(frozen=True, slots=True)
class _Played:
    """A note in seconds, and the place of its bar among those played."""

    start: float
    end: float
    place: int
    note: Sounding


def told_of(music: Music, *, tempo: float | None, least_rest_s: float) -> PartRead:
    """Return what *music* tells.

    Args:
        music: the part as it was read.
        tempo: quarters a minute where the part gives none; None takes 120.
        least_rest_s: shorter rests are left out.

    Raises:
        BadValue: it lasts longer than six hours.
    """
    clock = Clock(music, tempo)
    if clock.seconds > MOST_S:
        raise BadValue(
            f"The part would last {clock.seconds / 3600:.0f} hours; at most {MOST_S / 3600:.0f} are read.",
            hint="Look at its tempi and repeats in a notation program.",
        )
    played = [
        _Played(clock.at(start + note.at), clock.at(start + note.at + note.length), place, note)
        for place, (start, bar) in enumerate(zip(clock.starts, music.order, strict=False))
        for note in music.bars[bar].notes
    ]
    runs = list(_runs(played))
    remarks = [*music.remarks, *clock.remarks]
    if any(one.assumed for one in clock.tempi):
        taken = ", ".join(f"{one.quarters:g} from bar {one.bar}" for one in clock.tempi if one.assumed)
        remarks.append(f"Where the part gives no tempo in numbers, quarters a minute are assumed: {taken}.")
    if not played:
        remarks.append("The part holds no note.")
    return PartRead(
        music.title,
        music.composer,
        music.movement,
        music.parts,
        music.part,
        len(music.bars),
        len(music.order),
        clock.seconds,
        tuple(clock.tempi),
        _dynamics(music),
        _rolls(music, played, runs),
        _density(music, clock, played, runs),
        tuple(rest for rest in _rests(music, clock, played) if rest.seconds >= least_rest_s),
        tuple(remarks),
    )


def _dynamics(music: Music) -> Dynamics | None:
    levels = [
        (_LEVELS.index(one), bar.label)
        for bar in music.bars
        for written in bar.dynamics
        for one in _BOTH.get(written, (written,))
        if one in _LEVELS
    ]
    if not levels:
        return None
    softest, loudest = min(levels, key=lambda one: one[0]), max(levels, key=lambda one: one[0])
    return Dynamics(_LEVELS[softest[0]], softest[1], _LEVELS[loudest[0]], loudest[1])


def _rolls(music: Music, played: Sequence[_Played], runs: Sequence[Sequence[_Played]]) -> Rolls:
    rolled = [(one.start, one.end) for one in played if one.note.roll]
    rolled += [(run[0].start, _end_of(run[-1])) for run in runs]
    places = {one.place for one in played if one.note.roll} | {one.place for run in runs for one in run}
    under = _length_of([*rolled, *((one.start, one.end) for one in played)])
    bars = sorted({music.order[place] for place in places})
    labels = tuple(dict.fromkeys(music.bars[bar].label for bar in bars))
    return Rolls(labels, _length_of(rolled) / under if under else 0.0)


def _runs(played: Sequence[_Played]) -> Iterator[list[_Played]]:
    """Yield the strokes of each roll that is written out."""
    run: list[_Played] = []
    for one in played:
        if one.note.roll or not one.note.strokes or (run and one.start - run[-1].start > FAST_S):
            if len(run) >= FEWEST_FAST:
                yield run
            run = []
        if not one.note.roll and one.note.strokes:
            # Strokes through a stem stand for many in one note.
            run += [one] * one.note.strokes if _is_fast(one) else [one]
    if len(run) >= FEWEST_FAST:
        yield run


def _is_fast(one: _Played) -> bool:
    return one.end - one.start <= FAST_S * one.note.strokes


def _end_of(last: _Played) -> float:
    """Return where a roll written out ends: where its last stroke falls, if that is a longer note."""
    return last.end if _is_fast(last) else last.start


def _length_of(spans: Sequence[tuple[float, float]]) -> float:
    """Return how long the time is that the *spans* cover together."""
    total = reached = 0.0
    for start, end in sorted(spans):
        total += max(end - max(start, reached), 0.0)
        reached = max(reached, end)
    return total


def _density(
    music: Music, clock: Clock, played: Sequence[_Played], runs: Sequence[Sequence[_Played]]
) -> Density | None:
    strokes: dict[int, int] = {}
    for one in played:
        strokes[one.place] = strokes.get(one.place, 0) + one.note.strokes
    for run in runs:
        for one in dict.fromkeys(run):
            strokes[one.place] -= one.note.strokes
        # The roll, and the stroke that ends it, if that is a longer note.
        strokes[run[0].place] += 1
        strokes[run[-1].place] += not _is_fast(run[-1])
    rates = {
        place: count / max(clock.at(clock.starts[place + 1]) - clock.at(clock.starts[place]), LEAST_BAR_S)
        for place, count in strokes.items()
        if count
    }
    if not rates:
        return None
    highest = max(rates, key=lambda place: (rates[place], -place))
    label = music.bars[music.order[highest]].label
    return Density(statistics.median(rates.values()), rates[highest], label)


def _rests(music: Music, clock: Clock, played: Sequence[_Played]) -> Iterator[Rest]:
    """Yield every time without a note."""
    ends = [clock.at(start) for start in clock.starts]

    def label(place: int) -> str:
        return music.bars[music.order[min(max(place, 0), len(music.order) - 1)]].label

    reached = 0.0
    for start, end in [*sorted((one.start, one.end) for one in played), (clock.seconds, clock.seconds)]:
        if start - reached > _SAME_S:
            where: Where = "after" if start >= clock.seconds and played else "between"
            if reached == 0.0 and not any(one.start <= reached for one in played[:1]):
                where = "before"
            first = bisect_right(ends, reached + _SAME_S) - 1
            last = bisect_right(ends, start - _SAME_S) - 1
            yield Rest(label(first), label(last), start - reached, where, reached)
        reached = max(reached, end)
