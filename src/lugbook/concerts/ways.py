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

from lugbook.concerts.terms import ChangeS, Option, Piece, Work
from lugbook.errors import BadValue

TOO_LONG = 1e5
"""What a second beyond a window costs where windows may be too short: more than a concert's work."""

LEFT_OUT = 1e9
"""What a need that is not met costs where needs may be left out: as much as 10,000 s beyond windows."""

_HAIR_S = 1e-6
"""A change that goes beyond its window by no more fits into it."""

_UNKNOWN = 300.0
"""So far above the bound an order is taken to be while none is known, in seconds."""

_ROUNDS = 80
"""So often the λ are improved at the most."""

_WIDEST = 1e4
"""No λ moves further at once; costs of what does not fit would throw it far away."""


@dataclass(frozen=True, slots=True)
class Need:
    """One drum that a piece needs."""

    piece: int
    options: tuple[Option, ...]


@dataclass(frozen=True)
class RunningOrder:
    """What the pieces need, their windows, and what the changes take."""

    pieces: tuple[Piece, ...]
    change_s: ChangeS
    drum_s: float = 0.0
    """What each drum costs that is used at all."""
    strict: bool = True
    """Whether every need is met and every change fits; otherwise both may give, at a price."""

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
    def _changes(self) -> dict[tuple[str, str, str], Work | None]:
        return {}

    def change(self, drum: str, begun: str, reached: str) -> Work | None:
        """Return what a change takes; None where there is none.

        Raises:
            BadValue: it takes no time that can be reckoned with.
        """
        if begun == reached:
            return Work(0.0)
        key = (drum, begun, reached)
        if key not in self._changes:
            found = self.change_s(drum, begun, reached)
            work = Work(float(found)) if isinstance(found, int | float) else found
            if work is not None:
                name = f"the change of {drum} from {begun} to {reached}"
                seconds_checked(f"seconds of {name}", work.seconds)
                seconds_checked(f"risk of {name}", work.risk)
            self._changes[key] = work
        return self._changes[key]

    def beyond(self, seconds: float, *, window: int, load: float = 0.0) -> float:
        """Return what it costs that a change goes beyond a window, which holds *load* seconds already."""
        room = self.windows[window][2]
        return self._price(max(0.0, load + seconds - room) - max(0.0, load - room))

    def _price(self, too_long: float) -> float:
        if too_long <= _HAIR_S:
            return 0.0
        return inf if self.strict else TOO_LONG * too_long

    def leap(self, drum: str, one: tuple[int, str], other: tuple[int, str]) -> float:
        """Return the least that it costs a drum to be used so in one piece and next so in a later one."""
        change = self.change(drum, one[1], other[1])
        if change is None:
            return inf
        return change.seconds + change.risk + self._price(change.seconds - self.longest[one[0], other[0]])


def seconds_checked(name: str, seconds: float) -> None:
    """Raise where *seconds* are no time.

    Raises:
        BadValue: they are below 0, or no number.
    """
    if not 0 <= seconds < inf:
        raise BadValue(
            f"The {name} must be a number from 0, not {seconds:g}.", hint="Give seconds, such as 90."
        )


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


def ways_of(order: RunningOrder, *, among: Collection[str], above: float, rounds: int = _ROUNDS) -> Ways:
    """Return the best bound found, and what it rests on.

    Args:
        order: the pieces.
        among: the drums that may be used.
        above: what some plan costs; infinite where none is known.
        rounds: so often the λ are improved at the most.
    """
    by_drum = _uses_by_drum(order, among)
    worth = [
        min((one.cost for one in need.options if one.drum in among), default=LEFT_OUT) for need in order.needs
    ]
    best = _priced(order, by_drum, worth)
    now, pace, stale = best, 1.0, 0
    for _ in range(rounds):
        met = _met(by_drum, now, drum_s=order.drum_s)
        slope = [1 - met.get(number, 0) for number in range(len(worth))]
        norm = sum(one * one for one in slope)
        if not norm or above - best.bound < 1e-6:
            break
        far = above - now.bound if above < inf else _UNKNOWN
        step = min(pace * max(far, 0.01 * max(abs(now.bound), 1.0)) / norm, _WIDEST)
        worth = [min(was + step * way, LEFT_OUT) for was, way in zip(now.worth, slope, strict=True)]
        now = _priced(order, by_drum, worth)
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


def _uses_by_drum(order: RunningOrder, among: Collection[str]) -> dict[str, _Uses]:
    found: dict[str, list[tuple[int, Option]]] = defaultdict(list)
    for number, need in enumerate(order.needs):
        for option in need.options:
            if option.drum in among:
                found[option.drum].append((number, option))
    return {drum: _Uses(tuple(uses), _leaps(order, drum, uses)) for drum, uses in found.items()}


def _leaps(
    order: RunningOrder, drum: str, uses: Sequence[tuple[int, Option]]
) -> tuple[tuple[float, ...], ...]:
    places = [(order.needs[number].piece, option.preset) for number, option in uses]
    return tuple(
        tuple(order.leap(drum, one, other) if other[0] > one[0] else inf for other in places)
        for one in places
    )


def _priced(order: RunningOrder, by_drum: dict[str, _Uses], worth: Sequence[float]) -> Ways:
    size = len(order.needs)
    onward: dict[tuple[str, int, str], tuple[float, ...]] = {}
    fresh: dict[str, tuple[float, ...]] = {}
    for drum, uses in by_drum.items():
        gain = [0.0] * len(uses.options)
        for use in range(len(gain) - 1, -1, -1):
            number, option = uses.options[use]
            least = _least(uses, uses.leaps[use], gain, since=use + 1, size=size)
            onward[drum, number, option.preset] = least
            gain[use] = option.cost - worth[number] + least[number + 1]
        begun = [order.drum_s] * len(gain)
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
