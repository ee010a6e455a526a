"""What each drum could do in a running order, and the least that any plan must cost.

Each need of a piece is met by one drum. Let go of that, and pay a drum λ for each need that it meets: then
every drum goes its own cheapest way, and the λ less what the ways earn is no more than any plan costs
(Lagrangian relaxation; Fisher, Management Science 27, 1, 1981, from memory). The λ are raised for needs that
no drum meets and lowered for those that several do.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

from lugbook.concerts.programme import Change, ChangeS, Option, Piece

TOO_LONG = 1e5
"""What a second beyond a window costs: more than any work, so that it comes only where nothing fits."""

LEFT_OUT = 1e9
"""What a need that is not met costs: more than any time beyond windows."""

_ROUNDS = 80
"""So often the λ are improved."""

_WIDEST = 1e4
"""No λ moves further at once; costs of what does not fit would throw it far away."""


@dataclass(frozen=True, slots=True)
class Need:
    """One drum that a piece needs."""

    piece: int
    options: tuple[Option, ...]


@dataclass(frozen=True)
class Programme:
    """What the pieces need, their windows, and what the changes take."""

    pieces: tuple[Piece, ...]
    change_s: ChangeS
    drum_s: float = 0.0
    """What each drum costs that is used at all."""

    @cached_property
    def needs(self) -> tuple[Need, ...]:
        """What is needed, in order; without those that no drum can meet."""
        return tuple(
            Need(index, options)
            for index, piece in enumerate(self.pieces)
            for options in piece.needs
            if options
        )

    @cached_property
    def drums(self) -> tuple[str, ...]:
        """The drums that could be used."""
        return tuple(sorted({option.drum for need in self.needs for option in need.options}))

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
                first = self.pause[other - 2] + 1 if other - 2 >= one else self.pause[one]
                new = range(first, self.pause[other - 1] + 1)
                most = max([most, *(self.windows[window][2] for window in new)])
                found[one, other] = most
        return found

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
            self._changes[key] = Change(float(found)) if isinstance(found, int | float) else found
        return self._changes[key]

    def leap(self, drum: str, one: tuple[int, str], other: tuple[int, str]) -> float:
        """Return the least that it costs a drum to be used so in one piece and next so in a later one."""
        change = self.change(drum, one[1], other[1])
        if change is None:
            return inf
        too_long = max(0.0, change.seconds - self.longest[one[0], other[0]])
        return change.seconds + change.risk + TOO_LONG * too_long


@dataclass(frozen=True)
class Ways:
    """The least that a plan costs from any point on."""

    worth: tuple[float, ...]
    """λ of each need."""
    onward: dict[tuple[str, int, str], tuple[float, ...]]
    """(drum, last need, preset) → the least that it costs the drum from each need on, paid for by λ."""
    fresh: dict[str, tuple[float, ...]]
    """The same of a drum that was not used yet."""
    left: tuple[float, ...]
    """The least that a plan costs from each need on, where no drum was used yet."""

    @property
    def bound(self) -> float:
        """No plan costs less."""
        return self.left[0]


def ways_of(programme: Programme, *, among: Collection[str], above: float) -> Ways:
    """Return the best bound found, and what it rests on.

    Args:
        programme: the pieces.
        among: the drums that may be used.
        above: what some plan costs.
    """
    by_drum = _uses_by_drum(programme, among)
    worth = [
        min((one.cost for one in need.options if one.drum in among), default=LEFT_OUT)
        for need in programme.needs
    ]
    best = _priced(programme, by_drum, worth)
    now, pace, stale = best, 1.0, 0
    for _ in range(_ROUNDS):
        met = _met(by_drum, now, drum_s=programme.drum_s)
        slope = [1 - met.get(number, 0) for number in range(len(worth))]
        norm = sum(one * one for one in slope)
        if not norm or above - best.bound < 1e-6:
            break
        step = min(pace * max(above - now.bound, 0.01 * max(abs(above), 1.0)) / norm, _WIDEST)
        worth = [min(was + step * way, LEFT_OUT) for was, way in zip(now.worth, slope, strict=True)]
        now = _priced(programme, by_drum, worth)
        if now.bound > best.bound + 1e-9:
            best, stale = now, 0
        else:
            stale += 1
            if stale == 5:
                pace, stale, now = pace / 2, 0, best
    return best


@dataclass(frozen=True)
class _Uses:
    """Every way to use one drum, and the least that it costs to go from one to another."""

    options: tuple[tuple[int, Option], ...]
    """(need, state), in order of the needs."""
    leaps: tuple[tuple[float, ...], ...]
    """Use → the leap to each use; ∞ to those of the same piece or an earlier one."""


def _uses_by_drum(programme: Programme, among: Collection[str]) -> dict[str, _Uses]:
    found: dict[str, list[tuple[int, Option]]] = defaultdict(list)
    for number, need in enumerate(programme.needs):
        for option in need.options:
            if option.drum in among:
                found[option.drum].append((number, option))
    return {drum: _Uses(tuple(uses), _leaps(programme, drum, uses)) for drum, uses in found.items()}


def _leaps(
    programme: Programme, drum: str, uses: Sequence[tuple[int, Option]]
) -> tuple[tuple[float, ...], ...]:
    places = [(programme.needs[number].piece, option.preset) for number, option in uses]
    return tuple(
        tuple(programme.leap(drum, one, other) if other[0] > one[0] else inf for other in places)
        for one in places
    )


def _priced(programme: Programme, by_drum: dict[str, _Uses], worth: Sequence[float]) -> Ways:
    size = len(programme.needs)
    onward: dict[tuple[str, int, str], tuple[float, ...]] = {}
    fresh: dict[str, tuple[float, ...]] = {}
    for drum, uses in by_drum.items():
        gain = [0.0] * len(uses.options)
        for use in range(len(gain) - 1, -1, -1):
            number, option = uses.options[use]
            least = _least(uses, uses.leaps[use], gain, since=use + 1, size=size)
            onward[drum, number, option.preset] = least
            gain[use] = option.cost - worth[number] + least[number + 1]
        begun = [programme.drum_s] * len(gain)
        fresh[drum] = _least(uses, begun, gain, since=0, size=size)
    left = tuple(sum(worth[one:]) + sum(least[one] for least in fresh.values()) for one in range(size + 1))
    return Ways(tuple(worth), onward, fresh, left)


def _least(
    uses: _Uses, leaps: Sequence[float], gain: list[float], *, since: int, size: int
) -> tuple[float, ...]:
    """Return for each need the least that a drum costs if it is next used in it or later, or never."""
    at = [0.0] * (size + 1)
    for use in range(since, len(gain)):
        number = uses.options[use][0]
        at[number] = min(at[number], leaps[use] + gain[use])
    for number in range(size - 1, -1, -1):
        at[number] = min(at[number], at[number + 1])
    return tuple(at)


def _met(by_drum: dict[str, _Uses], ways: Ways, *, drum_s: float) -> dict[int, int]:
    """Return how many drums meet each need when each goes its own cheapest way."""
    count: dict[int, int] = defaultdict(int)
    for drum, uses in by_drum.items():
        leaps: Sequence[float] = [drum_s] * len(uses.options)
        least, start = ways.fresh[drum], 0
        while least[start] < -1e-12:
            costs = {
                use: leaps[use]
                + one.cost
                - ways.worth[number]
                + ways.onward[drum, number, one.preset][number + 1]
                for use, (number, one) in enumerate(uses.options)
                if number >= start
            }
            use = min(costs, key=lambda one: costs[one])
            number, option = uses.options[use]
            count[number] += 1
            leaps, least, start = uses.leaps[use], ways.onward[drum, number, option.preset], number + 1
    return count
