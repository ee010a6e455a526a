"""In which order the bars of a part are played.

Problem: repeats, endings and jumps make of the printed bars another row of bars. It is walked through here,
bar by bar, as a player does, and given up where it does not end.

Conventions: bars by their places, from 0. A repeat that nothing opens goes back to the end of the repeat
before it, or to the beginning; one may stand within another. After a jump no repeat is played again, and the
last ending is taken. All of that is common practice, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lugbook.scores.music import tell
from lugbook.scores.signs import Ending, Jump, Signs

_MOST_BARS = 20_000
"""Bars with all repeats."""


@dataclass(slots=True)
class _Round:
    """A repeat that is being played.

    Attributes:
        start: where it goes back to.
        turn: which time it is played, from 1.
    """

    start: int
    turn: int = 1


@dataclass(frozen=True, slots=True)
class _Group:
    """Endings one after the other.

    Attributes:
        endings: in their order.
        turns: how often what stands before them is played.
    """

    endings: tuple[Ending, ...]
    turns: int

    @property
    def after(self) -> int:
        """The place after all of them."""
        return self.endings[-1].last + 1


class _Lost(Exception):
    """The signs cannot be followed."""


def order_of(signs: Signs, labels: Sequence[str], remarks: list[str]) -> tuple[int, ...]:
    """Return the places of the bars as they are played.

    Args:
        signs: of the bars.
        labels: the printed number of each bar.
        remarks: is told what could not be followed.
    """
    walk = _Walk(signs, len(labels))
    try:
        order = walk.order()
    except _Lost:
        remarks.append("The repeats could not be followed: the part is counted once through.")
        return tuple(range(len(labels)))
    for place in sorted(walk.ajar):
        tell(remarks, f"No sign ends the repeat that begins in bar {labels[place]}: it is played once.")
    for place in walk.meaningless:
        sentence = f"The ending in bar {labels[place]} belongs to no repeat: it is played as it stands."
        tell(remarks, sentence)
    return order


class _Walk:
    """A walk through the bars.

    Attributes:
        ajar: where repeats begin that nothing ends.
        meaningless: where endings begin that belong to no repeat.
    """

    def __init__(self, signs: Signs, count: int) -> None:
        self.ajar: set[int] = set()
        self.meaningless: list[int] = []
        self._signs = signs
        self._count = count
        self._begins: dict[int, tuple[_Group, Ending]] = {}
        self._within: dict[int, tuple[_Group, Ending]] = {}
        for group in _groups(signs.endings):
            if not self._leads_on(group):
                self.meaningless.append(group.endings[0].first)
                continue
            for ending in group.endings:
                self._begins[ending.first] = group, ending
                for place in range(ending.first, ending.last + 1):
                    self._within[place] = group, ending
        self._rounds = [_Round(0)]
        self._jump: Jump | None = None
        self._repeats = True

    def order(self) -> tuple[int, ...]:
        """Return the places in the order of playing.

        Raises:
            _Lost: the signs contradict each other, or there are too many bars.
        """
        order: list[int] = []
        jumped: set[int] = set()
        place = 0
        while place < self._count:
            here = self._entered(place)
            if here != place:
                place = here
                continue
            order.append(place)
            if len(order) > _MOST_BARS:
                raise _Lost
            following, back = self._left(place)
            if back:
                place = following
            elif self._ends(place):
                self._jump = None
                break
            elif self._jump and self._wants_coda(self._jump) and place in self._signs.to_codas:
                place = self._begin_at(_only({one for one in self._signs.codas if one > place}), None)
            elif place in self._signs.jumps and place not in jumped:
                jumped.add(place)
                place = self._jumped(self._signs.jumps[place], place)
            else:
                place = following
        if self._unmet() or len(jumped) < len(self._signs.jumps):
            raise _Lost
        self._look_for_ajar()
        return tuple(order)

    def _leads_on(self, group: _Group) -> bool:
        """Return whether each ending but the last of several leads back."""
        first, *_ = group.endings
        back = group.endings[:-1] or group.endings
        return 1 in first.times and all(
            one.last in self._signs.closes or one.last in self._signs.jumps for one in back
        )

    def _entered(self, place: int) -> int:
        """Begin a repeat where one opens, and return where an ending that is not this time's leads."""
        if place in self._signs.opens and self._rounds[-1].start != place:
            self._rounds.append(_Round(place))
        if place not in self._begins:
            return place
        group, ending = self._begins[place]
        if self._turn_of(group) in ending.times:
            return place
        if ending is group.endings[-1]:
            self._close(group.after)
        return ending.last + 1

    def _turn_of(self, group: _Group) -> int:
        return self._rounds[-1].turn if self._repeats else group.turns

    def _left(self, place: int) -> tuple[int, bool]:
        """Return which bar comes after that at *place*, and whether a repeat leads back to it."""
        now = self._rounds[-1]
        group, ending = self._within.get(place, (None, None))
        if group and ending and (now.start >= ending.first or place != ending.last):
            # A repeat within the ending.
            group = None
        if self._repeats and place in self._signs.closes:
            if now.turn < (group.turns if group else self._signs.closes[place]):
                now.turn += 1
                return now.start, True
        elif not group or self._turn_of(group) < group.turns:
            return place + 1, False
        following = group.after if group else place + 1
        self._close(following)
        return following, False

    def _close(self, following: int) -> None:
        """End the repeat that is being played."""
        self._rounds.pop()
        if len(self._rounds) == 1 and self._rounds[0].start not in self._signs.opens:
            # Nothing opens the one around it.
            self._rounds.pop()
        if not self._rounds:
            self._rounds.append(_Round(following))

    def _begin_at(self, place: int, jump: Jump | None) -> int:
        self._look_for_ajar()
        self._jump = jump
        self._repeats = jump is None or self._signs.after_jump
        self._rounds = [_Round(place)]
        return place

    def _jumped(self, jump: Jump, place: int) -> int:
        if self._unmet():
            raise _Lost
        target = _only({one for one in self._signs.signs if one <= place}) if jump.to_sign else 0
        return self._begin_at(target, jump)

    def _unmet(self) -> bool:
        """Return whether the last jump still waits for its coda or its end."""
        return self._jump is not None and (self._wants_coda(self._jump) or self._wants_end(self._jump))

    def _wants_end(self, jump: Jump) -> bool:
        """Return whether "fine" ends the playing; a plain "D.C." heeds what stands there."""
        return jump.until == "fine" or (jump.until == "end" and bool(self._signs.fines))

    def _wants_coda(self, jump: Jump) -> bool:
        plain = jump.until == "end" and not self._signs.fines and bool(self._signs.codas)
        return jump.until == "coda" or (plain and bool(self._signs.to_codas))

    def _ends(self, place: int) -> bool:
        return self._jump is not None and self._wants_end(self._jump) and place in self._signs.fines

    def _look_for_ajar(self) -> None:
        if self._repeats:
            # One that opens after the last bar repeats nothing.
            self.ajar |= {one.start for one in self._rounds if one.start < self._count} & self._signs.opens


def _only(places: set[int]) -> int:
    """Return the only one of the *places*."""
    if len(places) != 1:
        raise _Lost
    return min(places)


def _groups(endings: Sequence[Ending]) -> Iterator[_Group]:
    """Yield the endings that belong together: side by side, with numbers of their own."""
    group: list[Ending] = []
    for one in endings:
        if group and (one.first != group[-1].last + 1 or any(one.times & other.times for other in group)):
            yield _grouped(group)
            group = []
        group.append(one)
    if group:
        yield _grouped(group)


def _grouped(endings: Sequence[Ending]) -> _Group:
    turns = max(max(one.times) for one in endings)
    # After one ending alone the last time goes on without.
    return _Group(tuple(endings), turns + (len(endings) == 1))
