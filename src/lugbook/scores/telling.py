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
from itertools import accumulate, pairwise

from lugbook.errors import BadValue
from lugbook.scores.music import LEAST_TEMPO, MOST_TEMPO, Music, Sounding
from lugbook.scores.results import Density, Dynamics, PartRead, Rest, Rolls, Tempo, Where

ASSUMED_TEMPO = 120.0
"""Quarters a minute where the part says none, as MIDI and music21 have it."""

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
    clock = _Clock(music, tempo)
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
    remarks = [*music.remarks]
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
        _rolls(music, played),
        _density(music, clock, played),
        tuple(rest for rest in _rests(music, clock, played) if rest.seconds >= least_rest_s),
        tuple(remarks),
    )


class _Clock:
    """Makes seconds of quarters, counted from the first bar in the order of playing.

    Who goes back to a bar takes the tempo in which it was begun the first time (common practice, no source).

    Attributes:
        starts: where each bar begins, in quarters, and where the last one ends.
        seconds: how long all of it lasts.
        tempi: in printed order.
    """

    def __init__(self, music: Music, tempo: float | None) -> None:
        self.starts = [0.0, *accumulate(music.bars[bar].length for bar in music.order)]
        self._quarters = [0.0]
        self._seconds = [0.0]
        self._tempi = [ASSUMED_TEMPO if tempo is None else tempo]
        found: dict[tuple[int, float], Tempo] = {}
        first: float | None = None
        begun: dict[int, float] = {}
        before = -1
        for start, bar in zip(self.starts, music.order, strict=False):
            if bar != before + 1 and begun.get(bar, self._tempi[-1]) != self._tempi[-1]:
                self._turn(start, begun[bar])
            begun.setdefault(bar, self._tempi[-1])
            before = bar
            for mark in music.bars[bar].marks:
                quarters = mark.quarters
                if mark.times is not None:
                    quarters = self._tempi[-1] * mark.times
                elif mark.first or (mark.guessed and tempo is not None):
                    quarters = first if first is not None and mark.first else self._tempi[0]
                if quarters is None or not LEAST_TEMPO <= quarters <= MOST_TEMPO:
                    continue
                first = quarters if first is None else first
                assumed = mark.guessed or (mark.times is not None and not found)
                found.setdefault((bar, mark.at), Tempo(music.bars[bar].label, quarters, assumed))
                self._turn(start + mark.at, quarters)
        if music.bars and not any(bar == music.order[0] and at <= 0 for bar, at in found):
            label = music.bars[music.order[0]].label
            found[-1, 0.0] = Tempo(label, self._tempi[0], assumed=True)
        self.seconds = self.at(self.starts[-1])
        self.tempi = [found[key] for key in sorted(found)]
        self.tempi = self.tempi[:1] + [b for a, b in pairwise(self.tempi) if a.quarters != b.quarters]

    def _turn(self, quarter: float, tempo: float) -> None:
        self._seconds.append(self.at(quarter))
        self._quarters.append(quarter)
        self._tempi.append(tempo)

    def at(self, quarter: float) -> float:
        """Return the seconds at *quarter*."""
        place = bisect_right(self._quarters, quarter) - 1
        return self._seconds[place] + (quarter - self._quarters[place]) * 60 / self._tempi[place]


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


def _rolls(music: Music, played: Sequence[_Played]) -> Rolls:
    runs = list(_runs(played))
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


def _density(music: Music, clock: _Clock, played: Sequence[_Played]) -> Density | None:
    strokes: dict[int, int] = {}
    for one in played:
        strokes[one.place] = strokes.get(one.place, 0) + one.note.strokes
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


def _rests(music: Music, clock: _Clock, played: Sequence[_Played]) -> Iterator[Rest]:
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
