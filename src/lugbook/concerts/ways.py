"""What each drum could do in a running order, and the least that any plan must cost.

Each piece is served by one drum. Let go of that, and pay a drum λ for each piece that it serves: then every
drum goes its own cheapest way, and the λ less what the ways cost is no more than any plan costs (Lagrangian
relaxation; Fisher, Management Science 27, 1, 1981, from memory). The λ are raised for pieces that no drum
serves and lowered for those that several do.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

from lugbook.concerts.programme import Change, ChangeS, Option, Piece

TOO_LONG = 1e5
"""What a second beyond a window costs: more than any work, so that it comes only where nothing fits."""

_ROUNDS = 80
"""So often the λ are improved."""


@dataclass(frozen=True)
class Programme:
    """The pieces that can be served, their windows, and what the changes take."""

    pieces: tuple[Piece, ...]
    change_s: ChangeS

    @cached_property
    def served(self) -> tuple[int, ...]:
        """The indices of the pieces that some drum can serve."""
        return tuple(index for index, piece in enumerate(self.pieces) if piece.options)

    @cached_property
    def windows(self) -> tuple[tuple[int, int | None, float], ...]:
        """Each window in time: the piece after which it lies, or in which with its rest, and its seconds."""
        found: list[tuple[int, int | None, float]] = []
        for index, piece in enumerate(self.pieces):
            found += [(index, rest, seconds) for rest, seconds in enumerate(piece.rests_s)]
            found.append((index, None, piece.after_s))
        return tuple(found)

    @cached_property
    def pause(self) -> dict[int, int]:
        """Piece → the window after it."""
        return {piece: number for number, (piece, rest, _) in enumerate(self.windows) if rest is None}

    def between(self, one: int, other: int) -> range:
        """Return the windows between a drum's use in one piece and its next in another."""
        return range(self.pause[one], self.pause[other - 1] + 1)

    @cached_property
    def longest(self) -> dict[tuple[int, int], float]:
        """Two pieces → the seconds of the longest window between them."""
        found = {}
        for one in range(len(self.pieces)):
            most = 0.0
            for other in range(one + 1, len(self.pieces)):
                most = max([most, *(self.windows[w][2] for w in self._new(one, other))])
                found[one, other] = most
        return found

    def _new(self, one: int, other: int) -> range:
        return range(
            self.pause[other - 2] + 1 if other - 2 >= one else self.pause[one], self.pause[other - 1] + 1
        )

    @cached_property
    def _changes(self) -> dict[tuple[str, str, str], Change | None]:
        return {}

    def change(self, drum: str, begun: str, reached: str) -> Change | None:
        """Return what a change takes; None where there is none."""
        if begun == reached:
            return Change(0.0)
        key = (drum, begun, reached)
        if key not in self._changes:
            found = self.change_s(drum, begun, reached)
            self._changes[key] = Change(float(found)) if isinstance(found, (int, float)) else found
        return self._changes[key]

    def leap(self, drum: str, one: tuple[int, str], other: tuple[int, str]) -> float:
        """Return the least that it costs a drum to be used so in one piece and next so in another."""
        change = self.change(drum, one[1], other[1])
        if change is None:
            return inf
        too_long = max(0.0, change.seconds - self.longest[one[0], other[0]])
        return change.seconds + change.risk + TOO_LONG * too_long


@dataclass(frozen=True)
class Ways:
    """The least that a plan costs from any point on."""

    worth: dict[int, float]
    """Piece → λ."""
    onward: dict[tuple[str, int, str], tuple[float, ...]]
    """(drum, last piece, preset) → the least that it costs the drum from each piece on, paid for by λ."""
    fresh: dict[str, tuple[float, ...]]
    """The same of a drum that was not used yet."""
    bound: float
    """No plan costs less."""


def ways_of(programme: Programme, *, above: float) -> Ways:
    """Return the best bound found, and what it rests on.

    Args:
        programme: the pieces.
        above: what some plan costs.
    """
    by_drum = {drum: _Uses.of(programme, drum, uses) for drum, uses in _options_by_drum(programme).items()}
    worth = {
        index: min(option.cost for option in programme.pieces[index].options) for index in programme.served
    }
    best = _priced(programme, by_drum, worth)
    now, pace, stale = best, 1.0, 0
    for _ in range(_ROUNDS):
        served = _served(by_drum, now)
        slope = {index: 1 - served.get(index, 0) for index in programme.served}
        norm = sum(one * one for one in slope.values())
        if not norm or above - best.bound < 1e-9:
            break
        step = pace * max(above - now.bound, 0.01 * max(abs(above), 1.0)) / norm
        step = min(step, 1e4)
        worth = {index: now.worth[index] + step * slope[index] for index in programme.served}
        now = _priced(programme, by_drum, worth)
        if now.bound > best.bound + 1e-9:
            best, stale = now, 0
        else:
            stale += 1
            if stale == 5:
                pace, stale, now = pace / 2, 0, best
    return best


def _options_by_drum(programme: Programme) -> dict[str, list[tuple[int, Option]]]:
    found: dict[str, list[tuple[int, Option]]] = defaultdict(list)
    for index in programme.served:
        for option in programme.pieces[index].options:
            found[option.drum].append((index, option))
    return found


@dataclass(frozen=True)
class _Uses:
    """Every way to use one drum, and the least that it costs to go from one to another."""

    options: tuple[tuple[int, Option], ...]
    leaps: tuple[tuple[float, ...], ...]
    """Use → the leap to each use of a later piece, those of the last pieces at the end; ∞ where there is none."""

    @classmethod
    def of(cls, programme: Programme, drum: str, uses: Sequence[tuple[int, Option]]) -> "_Uses":
        leaps = tuple(
            tuple(
                programme.leap(drum, (one, state.preset), (other, after.preset)) if other > one else inf
                for other, after in uses
            )
            for one, state in uses
        )
        return cls(tuple(uses), leaps)


def _priced(programme: Programme, by_drum: dict[str, _Uses], worth: dict[int, float]) -> Ways:
    size = len(programme.pieces)
    onward: dict[tuple[str, int, str], tuple[float, ...]] = {}
    fresh: dict[str, tuple[float, ...]] = {}
    bound = sum(worth.values())
    for drum, uses in by_drum.items():
        gain = [0.0] * len(uses.options)
        for number in range(len(gain) - 1, -1, -1):
            index, option = uses.options[number]
            least = _suffix(uses, number, gain, size)
            onward[drum, index, option.preset] = least
            gain[number] = option.cost - worth[index] + least[index + 1]
        fresh[drum] = _suffix(uses, None, gain, size)
        bound += fresh[drum][0]
    return Ways(worth, onward, fresh, bound)


def _suffix(uses: _Uses, here: int | None, gain: list[float], size: int) -> tuple[float, ...]:
    """Return for each piece the least that a drum costs if it is next used in it or later, or never."""
    at = [0.0] * (size + 1)
    first = 0 if here is None else here + 1
    for number in range(first, len(gain)):
        index = uses.options[number][0]
        cost = gain[number] if here is None else uses.leaps[here][number] + gain[number]
        if cost < at[index]:
            at[index] = cost
    for index in range(size - 1, -1, -1):
        at[index] = min(at[index], at[index + 1])
    return tuple(at)


def _served(by_drum: dict[str, _Uses], ways: Ways) -> dict[int, int]:
    """Return how many drums serve each piece when each goes its own cheapest way."""
    count: dict[int, int] = defaultdict(int)
    for drum, uses in by_drum.items():
        here: int | None = None
        least, start = ways.fresh[drum], 0
        while least[start] < -1e-12:
            costs = {
                number: (0.0 if here is None else uses.leaps[here][number])
                + option.cost
                - ways.worth[index]
                + ways.onward[drum, index, option.preset][index + 1]
                for number, (index, option) in enumerate(uses.options)
                if index >= start
            }
            here = min(costs, key=lambda number: costs[number])
            index, option = uses.options[here]
            count[index] += 1
            least, start = ways.onward[drum, index, option.preset], index + 1
    return count
