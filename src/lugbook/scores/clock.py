"""Seconds of quarters: which tempo is in force where, in the order in which the bars are played.

Conventions: tempi in quarters a minute, seconds from the first bar on.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from lugbook.scores.music import LEAST_TEMPO, MOST_TEMPO, Mark, Music, tell
from lugbook.scores.results import Tempo

ASSUMED_TEMPO = 120.0
"""Quarters a minute where the part says none, as MIDI and music21 have it."""


@dataclass(frozen=True, slots=True)
class _Pace:
    """The tempo in force.

    Attributes:
        quarters: quarters a minute.
        assumed: whether the part gives no number for it.
        steady: what "a tempo" goes back to, and whether that is assumed; or None.
        wavers: whether slowing down or hurrying has begun.
    """

    quarters: float
    assumed: bool
    steady: tuple[float, bool] | None = None
    wavers: bool = False


def _after(pace: _Pace, mark: Mark, *, first: _Pace | None, beginning: _Pace) -> _Pace:
    """Return the tempo after a mark, or *pace* itself where it tells none that can be.

    What a rit. slows down to may have numbers, step by step; "a tempo" goes back to what was before all of
    them (common practice, no source).
    """
    here = pace.quarters, pace.assumed
    if mark.wavers:
        return replace(pace, steady=here, wavers=True)
    if mark.back:
        return _Pace(*(pace.steady or here))
    if mark.first:
        return _Pace((first or beginning).quarters, (first or beginning).assumed)
    quarters, assumed = mark.quarters, mark.guessed
    if mark.times is not None:
        quarters, assumed = pace.quarters * mark.times, pace.assumed
    if quarters is None or not LEAST_TEMPO <= quarters <= MOST_TEMPO:
        return pace
    before = here if first else None
    return _Pace(quarters, assumed, pace.steady if pace.wavers else before, pace.wavers)


class Clock:
    """Makes seconds of quarters, counted from the first bar in the order of playing.

    Who goes back to a bar takes the tempo in which it was begun the first time (common practice, no source).

    Attributes:
        starts: where each bar begins, in quarters, and where the last one ends.
        seconds: how long all of it lasts.
        tempi: in printed order.
        remarks: what was taken for granted.
    """

    def __init__(self, music: Music, tempo: float | None) -> None:
        self.starts = [0.0, *accumulate(music.bars[bar].length for bar in music.order)]
        self._quarters = [0.0]
        self._seconds = [0.0]
        self._tempi = [ASSUMED_TEMPO if tempo is None else tempo]
        self.remarks: list[str] = []
        found: dict[tuple[int, float], Tempo] = {}
        first: _Pace | None = None
        pace = beginning = _Pace(self._tempi[0], assumed=True)
        begun: dict[int, _Pace] = {}
        before = -1
        for start, bar in zip(self.starts, music.order, strict=False):
            if bar != before + 1 and bar in begun:
                if begun[bar].quarters != pace.quarters:
                    self._turn(start, begun[bar].quarters)
                pace = begun[bar]
            begun.setdefault(bar, pace)
            before = bar
            for written in music.bars[bar].marks:
                asked = written.guessed and tempo is not None
                mark = replace(written, quarters=tempo) if asked else written
                old, pace = pace, _after(pace, mark, first=first, beginning=beginning)
                if pace is old or mark.wavers or (mark.back and pace.quarters == old.quarters):
                    continue
                first = first or pace
                label = music.bars[bar].label
                found.setdefault((bar, mark.at), Tempo(label, pace.quarters, pace.assumed))
                self._turn(start + mark.at, pace.quarters)
                if mark.back:
                    taken = f"{pace.quarters:g} quarters a minute, the tempo before"
                    tell(self.remarks, f'"A tempo" in bar {label} is taken for {taken}.')
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
