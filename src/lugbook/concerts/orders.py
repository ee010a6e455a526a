"""The search for the cheapest running order, from beginnings that grow need by need.

A beginning is what was chosen for the first needs, with the windows that its changes were put in. What it
costs already and the least that the rest must cost (`ways`) say how promising it is. The most promising of
each length are kept, ever more of them (beam search; Lowerre 1976, from memory) until none had to be dropped
that could lead to a better order than the best found: then that is proven to be the best. Of beginnings that
leave all drums alike, one that costs less and fills no window more makes the other needless.
"""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from math import inf
from typing import TypeAlias

from lugbook.concerts.terms import Option
from lugbook.concerts.ways import LEFT_OUT, RunningOrder, Ways, ways_of

_BREADTH = 40
"""So many beginnings of each length are kept for a first good order."""

_LEAST_BREADTH = 4
"""So many at the least, however little effort is to be made."""

_WIDER = 5.0
"""So many times as many are kept the next time, until none had to be dropped."""

_HAIR = 1e-6
"""Costs that differ by less are the same, in seconds."""

_States: TypeAlias = tuple[tuple[str, int, str], ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What meets one need."""

    option: Option | None
    """None where it is left out."""
    window: int | None = None
    """The window of the change before it; None where nothing is changed."""
    seconds: float = 0.0
    """Of that change."""


@dataclass(frozen=True, slots=True)
class Order:
    """What was chosen for the first needs, or for all."""

    cost: float
    states: _States
    """(drum, the last need that it met, preset) of each drum used, by drum."""
    loads: tuple[tuple[int, float], ...]
    """(window, seconds of the changes in it), by window."""
    chosen: tuple[Chosen, ...]
    """For each need."""
    changes: int


_BEGUN = Order(0.0, (), (), (), 0)


def _cost_of(order: Order | None) -> float:
    return inf if order is None else order.cost


class Search:
    """The search among some of the drums."""

    def __init__(
        self,
        order: RunningOrder,
        among: Collection[str],
        *,
        effort: int,
        drums_most: int | None = None,
        changes_most: int | None = None,
    ) -> None:
        """Find a first good order and a first bound.

        Args:
            order: the pieces.
            among: the drums that may be used.
            effort: so many beginnings are to be looked at; more where that is less than a glance takes.
            drums_most: so many drums may be used.
            changes_most: so many changes may be made.
        """
        self.order = order
        self.among = among
        self.effort = effort
        self.drums_most = len(among) if drums_most is None else drums_most
        self.changes_most = len(order.needs) if changes_most is None else changes_most
        self.made = 0
        """So many beginnings were looked at."""
        options = sum(len(need.options) for need in order.needs)
        self.breadth = min(_BREADTH, max(_LEAST_BREADTH, effort // (4 * options)))
        first, _ = self._grown(_cost_of, breadth=self.breadth, every_window=False)
        self.ways: Ways = ways_of(order, among=among, above=_cost_of(first))
        second, _ = self._grown(self._promise, breadth=self.breadth, every_window=False)
        self.good: Order | None = min(first, second, key=_cost_of)
        """A good order, the best where nothing better is found."""
        self.bound = min(self.ways.bound, _cost_of(self.good))
        """No order costs less; infinite where there is none."""

    def best(self, *, below: float = inf) -> Order | None:
        """Return the best order, or the best that was found.

        Afterwards `bound` says how good an order can be at the best; orders that cost *below* or more are not
        looked for.

        Args:
            below: what is already had.
        """
        below = min(below, _cost_of(self.good))
        # Where trying every window takes too long, the tightest alone may still lead to a better order.
        for every_window, share in ((True, self.effort // 3), (False, self.effort)):
            breadth, wider = self.breadth, 1.0
            while wider >= 1 and self.bound < below - _HAIR:
                before, breadth = self.made, int(breadth * wider)
                found, dropped = self._grown(
                    self._promise, breadth=breadth, below=below, every_window=every_window, effort=share
                )
                if found is not None and found.cost < below:
                    self.good, below = found, found.cost
                if every_window:
                    self.bound = max(self.bound, min(dropped, below))
                # So many times as broad takes about so many times as long.
                wider = min(_WIDER, (share - self.made) / max(1, self.made - before))
        return self.good

    def _grown(
        self,
        promise: Callable[[Order], float],
        *,
        breadth: int,
        below: float = inf,
        every_window: bool,
        effort: float = inf,
    ) -> tuple[Order | None, float]:
        """Return the best order that grows from the most promising beginnings of each length.

        With it comes the least that any order can cost that grows from one which was dropped on the way; the
        order is None where there is none, where all cost too much, or where it took too long.

        Args:
            promise: of a beginning, the least that an order from it can cost.
            breadth: so many of each length are kept.
            below: those that cost as much or more are not wanted.
            every_window: whether a change is tried in every window, or in the tightest alone.
            effort: once so many beginnings were looked at it is given up.
        """
        level, dropped = [_BEGUN], inf
        for _ in self.order.needs:
            if self.made >= effort:
                return None, -inf
            seen: dict[_States, list[Order]] = {}
            onward = [one for here in level for one in self._onward(here, every_window=every_window)]
            self.made += len(onward)
            hopeful = sorted(
                (hope, number) for number, one in enumerate(onward) if (hope := promise(one)) < below
            )
            level = []
            for hope, number in hopeful:
                if len(level) == breadth:
                    dropped = min(dropped, hope)
                    break
                if not self._is_needless(onward[number], seen):
                    level.append(onward[number])
        return min(level, key=_cost_of, default=None), dropped

    def _promise(self, here: Order) -> float:
        """Return the least that an order beginning so can cost."""
        since = len(here.chosen)
        least = here.cost + self.ways.left[since]
        for state in here.states:
            least += self.ways.onward[state][since] - self.ways.fresh[state[0]][since]
        return least

    def _onward(self, here: Order, *, every_window: bool = True) -> Iterator[Order]:
        number = len(here.chosen)
        needs = self.order.needs
        piece = needs[number].piece
        states = {drum: (last, preset) for drum, last, preset in here.states}
        for option in needs[number].options:
            state = states.get(option.drum)
            if option.drum not in self.among or (state is None and len(states) >= self.drums_most):
                continue
            if state is not None and needs[state[0]].piece == piece:
                continue  # it stands in the same piece already
            after = tuple(
                sorted(
                    (drum, *one) for drum, one in (states | {option.drum: (number, option.preset)}).items()
                )
            )
            cost = here.cost + option.cost + (self.order.drum_s if state is None else 0.0)
            if state is None or state[1] == option.preset:
                yield Order(cost, after, here.loads, (*here.chosen, Chosen(option)), here.changes)
                continue
            change = self.order.change(option.drum, state[1], option.preset)
            if change is None or here.changes >= self.changes_most:
                continue
            loads = dict(here.loads)
            windows = self.order.between(needs[state[0]].piece, piece)
            for window in windows if every_window else self._tightest(windows, loads, change.seconds):
                load = loads.get(window, 0.0)
                yield Order(
                    cost
                    + change.seconds
                    + change.risk
                    + self.order.beyond(change.seconds, window=window, load=load),
                    after,
                    tuple(sorted((loads | {window: load + change.seconds}).items())),
                    (*here.chosen, Chosen(option, window, change.seconds)),
                    here.changes + 1,
                )
        if not self.order.strict:
            left_out = Chosen(None)
            yield Order(here.cost + LEFT_OUT, here.states, here.loads, (*here.chosen, left_out), here.changes)

    def _tightest(self, windows: range, loads: dict[int, float], seconds: float) -> tuple[int]:
        """Return the one window that a change fits into most tightly, or which it goes beyond least."""

        def left(window: int) -> tuple[bool, float]:
            spare = self.order.windows[window][2] - loads.get(window, 0.0) - seconds
            return spare < 0, abs(spare)

        return (min(windows, key=left),)

    def _is_needless(self, one: Order, seen: dict[_States, list[Order]]) -> bool:
        """Tell whether another beginning makes *one* needless; take it in where none does."""
        others = seen.setdefault(one.states, [])
        needs, pause = self.order.needs, self.order.pause
        # Windows before the last use of every drum can hold nothing more; a fresh drum needs none.
        first = min((pause[needs[last].piece] for _, last, _ in one.states), default=0)
        mine = {window: load for window, load in one.loads if window >= first}
        for other in others:
            if other.cost <= one.cost + 1e-12 and other.changes <= one.changes:
                theirs = ((window, load) for window, load in other.loads if window >= first)
                if all(load <= mine.get(window, 0.0) for window, load in theirs):
                    return True
        others.append(one)
        return False
