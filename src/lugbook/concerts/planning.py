"""The plan itself: the cheapest running order, found by looking at the most promising beginnings first.

A beginning is what was chosen for the first pieces, with the windows that its changes were put in. What it
costs already and the least that the rest must cost (`ways`) say how promising it is; where one whole order is
the most promising, it is the best (A*; Hart, Nilsson and Raphael, IEEE Trans. SSC 4, 100, 1968, from memory).
Of beginnings that leave all drums alike, one that costs less and fills no window more makes the other
needless. Past a stated effort the best order found is returned with the bound.
"""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from math import inf

from lugbook.concerts.programme import ChangeS, Option, Piece, Plan, Short, Step
from lugbook.concerts.ways import TOO_LONG, Programme, Ways, ways_of

_EFFORT = 60_000
"""So many beginnings are made before the best order found is returned with its bound."""

_BREADTH = 40
"""So many beginnings of each length are kept for a first good order."""


@dataclass(frozen=True, slots=True)
class _Beginning:
    """What was chosen for the first pieces."""

    length: int
    """How many of the served pieces."""
    cost: float
    states: tuple[tuple[str, int, str], ...]
    """(drum, the piece it was last used in, preset) of each drum used, by drum."""
    loads: tuple[tuple[int, float], ...]
    """(window, seconds of the changes in it), by window."""
    steps: tuple[tuple[Option, int | None, float], ...]
    """For each piece its state, the window of the change before it, and the seconds of that."""
    changes: int


def plan(
    pieces: Sequence[Piece],
    *,
    change_s: ChangeS,
    drums_most: int | None = None,
    changes_most: int | None = None,
    effort: int = _EFFORT,
) -> Plan:
    """Return the running order with the least work and risk.

    Each piece has one state of one drum. A drum that is needed in another state is changed whole, in one
    window between its last use and its next; the changes in a window take no longer than it lasts. What a drum
    is set to before the first piece costs nothing.

    Args:
        pieces: in order.
        change_s: what a change takes.
        drums_most: so many drums fit on the stage, if that is limited.
        changes_most: so many changes are allowed, if that is limited; 0 finds states for a whole list.
        effort: so many beginnings are looked at; past it the plan is the best that was found.
    """
    programme = Programme(tuple(pieces), change_s)
    search = _Planner(programme, drums_most=drums_most, changes_most=changes_most)
    found, bound = search.best(effort)
    return _told(programme, found, bound)


class _Planner:
    def __init__(self, programme: Programme, *, drums_most: int | None, changes_most: int | None) -> None:
        self.programme = programme
        self.drums_most, self.changes_most = drums_most, changes_most
        self.begun = _Beginning(0, 0.0, (), (), (), 0)
        self.ways: Ways | None = None

    def best(self, effort: int) -> tuple[_Beginning | None, float]:
        """Return the best order and the bound; no order where the limits allow none."""
        first = self._good(self.begun)
        above = first.cost if first is not None else 1e7
        self.ways = ways_of(self.programme, above=above)
        better = self._good(self.begun)
        if better is not None and (first is None or better.cost < first.cost):
            first = better
        bound = self.ways.bound
        order = count()
        waiting = [(self._least(self.begun), 0, next(order), self.begun)]
        seen: dict[tuple[int, tuple[tuple[str, int, str], ...]], list[_Beginning]] = {}
        made = 0
        while made < effort:
            if not waiting:
                return first, first.cost if first is not None else inf
            least, _, _, here = heapq.heappop(waiting)
            bound = max(bound, least)
            if first is not None and least >= first.cost - 1e-9:
                return first, first.cost
            if here.length == len(self.programme.served):
                return here, here.cost
            for one in self._onward(here):
                made += 1
                promise = self._least(one)
                hopeful = promise < inf and (first is None or promise < first.cost - 1e-9)
                if hopeful and not self._needless(one, seen):
                    heapq.heappush(waiting, (promise, -one.length, next(order), one))
        return first, min(bound, first.cost if first is not None else bound)

    def _good(self, begun: _Beginning) -> _Beginning | None:
        """Return a good order, found by going on with the most promising beginnings of each length."""
        level = [begun]
        for _ in self.programme.served:
            seen: dict[tuple[int, tuple[tuple[str, int, str], ...]], list[_Beginning]] = {}
            onward = sorted(
                (one for here in level for one in self._onward(here, every_window=False)), key=self._least
            )
            level = []
            for one in onward:
                if len(level) == _BREADTH:
                    break
                if not self._needless(one, seen):
                    level.append(one)
        return level[0] if level and level[0].cost < inf else None

    def _least(self, here: _Beginning) -> float:
        """Return the least that an order beginning so can cost."""
        if self.ways is None:
            return here.cost
        left = self.programme.served[here.length :]
        if not left:
            return here.cost
        used = {drum: (last, preset) for drum, last, preset in here.states}
        rest = sum(self.ways.worth[index] for index in left)
        for drum, fresh in self.ways.fresh.items():
            state = used.get(drum)
            rest += fresh[left[0]] if state is None else self.ways.onward[drum, *state][left[0]]
        return here.cost + rest

    def _onward(self, here: _Beginning, *, every_window: bool = True) -> Iterator[_Beginning]:
        piece = self.programme.served[here.length]
        states = {drum: (last, preset) for drum, last, preset in here.states}
        for option in self.programme.pieces[piece].options:
            state = states.get(option.drum)
            if state is None and self.drums_most is not None and len(states) >= self.drums_most:
                continue
            after = tuple(
                sorted(
                    (
                        *(one for one in here.states if one[0] != option.drum),
                        (option.drum, piece, option.preset),
                    )
                )
            )
            cost = here.cost + option.cost
            if state is None or state[1] == option.preset:
                yield _Beginning(
                    here.length + 1, cost, after, here.loads, (*here.steps, (option, None, 0.0)), here.changes
                )
                continue
            if self.changes_most is not None and here.changes >= self.changes_most:
                continue
            change = self.programme.change(option.drum, state[1], option.preset)
            if change is None:
                continue
            loads = dict(here.loads)
            windows = self.programme.between(state[0], piece)
            if not every_window:
                windows = self._fullest(windows, loads, change.seconds)
            for window in windows:
                room = self.programme.windows[window][2]
                load = loads.get(window, 0.0)
                too_long = max(0.0, load + change.seconds - room) - max(0.0, load - room)
                yield _Beginning(
                    here.length + 1,
                    cost + change.seconds + change.risk + TOO_LONG * too_long,
                    after,
                    tuple(sorted((loads | {window: load + change.seconds}).items())),
                    (*here.steps, (option, window, change.seconds)),
                    here.changes + 1,
                )

    def _fullest(self, windows: range, loads: dict[int, float], seconds: float) -> range:
        """Return the one window that a change fits into most tightly, or which it goes beyond least."""

        def left(window: int) -> tuple[bool, float]:
            spare = self.programme.windows[window][2] - loads.get(window, 0.0) - seconds
            return spare < 0, abs(spare)

        best = min(windows, key=left)
        return range(best, best + 1)

    def _needless(
        self, one: _Beginning, seen: dict[tuple[int, tuple[tuple[str, int, str], ...]], list[_Beginning]]
    ) -> bool:
        """Tell whether another beginning makes *one* needless; take it in where none does."""
        others = seen.setdefault((one.length, one.states), [])
        first = min((self.programme.pause[last] for _, last, _ in one.states), default=0)
        loads = [(window, load) for window, load in one.loads if window >= first]
        for other in others:
            if other.cost <= one.cost + 1e-12 and (self.changes_most is None or other.changes <= one.changes):
                theirs = [(window, load) for window, load in other.loads if window >= first]
                mine = dict(loads)
                if all(load <= mine.get(window, 0.0) for window, load in theirs):
                    return True
        others.append(one)
        return False


def _told(programme: Programme, found: _Beginning | None, bound: float) -> Plan:
    pieces, windows = programme.pieces, programme.windows
    unserved = tuple(index for index in range(len(pieces)) if index not in programme.served)
    if found is None:
        nothing = tuple(None for _ in pieces)
        return Plan(nothing, (), False, 0.0, inf, bound, False, (), unserved)
    chosen: list[Option | None] = [None] * len(pieces)
    steps: list[Step] = []
    before: dict[str, str] = {}
    for piece, (option, window, seconds) in zip(programme.served, found.steps, strict=True):
        chosen[piece] = option
        if window is not None:
            after, rest, room = windows[window]
            begun = before[option.drum]
            steps.append(Step(option.drum, begun, option.preset, seconds, after, rest, piece, room))
        before[option.drum] = option.preset
    short = tuple(
        Short(windows[window][0], windows[window][1], load - windows[window][2])
        for window, load in found.loads
        if load > windows[window][2] + 1e-9
    )
    order = {(after, rest): number for number, (after, rest, _) in enumerate(windows)}
    return Plan(
        chosen=tuple(chosen),
        steps=tuple(sorted(steps, key=lambda step: (order[step.after, step.rest], step.before))),
        fits=not short and not unserved,
        work_s=sum(step.seconds for step in steps),
        cost=found.cost,
        bound=bound,
        exact=found.cost <= bound + 1e-6,
        short=short,
        unserved=unserved,
    )
