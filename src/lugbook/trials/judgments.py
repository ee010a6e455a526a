"""Judgments of one state against another, and the contradictions among them.

"Better" and "worse" say which of two states speaks better, "same" that they speak alike. A judgment passes
along a chain: A over B over C is A over C. Where a chain leads back to its beginning, something in it is
wrong; nobody can say what, so all of it is shown.
"""

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from lugbook.trials.grid import Place

Verdict = Literal["better", "same", "worse"]
"""What is said of a state against the kept one."""


@dataclass(frozen=True, slots=True)
class Judgment:
    """One state held against another."""

    heard: Place
    """The state that was heard, in 64ths of a turn."""
    against: Place
    """The state that it was judged against."""
    verdict: Verdict
    """What was said of the one that was heard."""

    @property
    def order(self) -> tuple[Place, Place] | None:
        """The better and the worse state; None where they speak alike."""
        if self.verdict == "same":
            return None
        return (self.heard, self.against) if self.verdict == "better" else (self.against, self.heard)


class Order:
    """What judgments tell of which state is at least as good as which; a judgment passes along a chain."""

    def __init__(self) -> None:
        self._at_least: dict[Place, set[Place]] = defaultdict(set)

    def take(self, judgment: Judgment) -> None:
        """Take a judgment in."""
        heard, against = judgment.heard, judgment.against
        if judgment.verdict != "worse":
            self._at_least[heard].add(against)
        if judgment.verdict != "better":
            self._at_least[against].add(heard)

    def below(self, place: Place) -> set[Place]:
        """Return *place* and every state that is known to be no better."""
        found, left = {place}, [place]
        while left:
            new = self._at_least.get(left.pop(), set()) - found
            found |= new
            left += new
        return found

    def reaches(self, better: Place, other: Place) -> bool:
        """Tell whether *other* is known to be no better than *better*."""
        return other in self.below(better)


def contradictions(judgments: Iterable[Judgment]) -> tuple[tuple[Judgment, ...], ...]:
    """Return the sets of judgments that cannot all be true, each in the order they were made.

    They are the strongly connected parts of "at least as good as" in which some state is better than another.
    """
    kept = tuple(judgments)
    at_least: dict[Place, set[Place]] = defaultdict(set)
    for one in kept:
        if one.order is None:
            at_least[one.heard].add(one.against)
            at_least[one.against].add(one.heard)
        else:
            at_least[one.order[0]].add(one.order[1])
    groups = _strongly_connected(at_least)
    found: dict[int, list[Judgment]] = defaultdict(list)
    for one in kept:
        if groups[one.heard] == groups[one.against]:
            found[groups[one.heard]].append(one)
    return tuple(tuple(those) for those in found.values() if any(one.order is not None for one in those))


def circular_triads(judgments: Iterable[Judgment]) -> int:
    """Return how many threes of states go round in a circle: A over B, B over C, C over A.

    Where every state was held against every other one it is n(n − 1)(2n − 1)/12 − ½Σw², with w the number of
    states that each is better than (Kendall and Babington Smith, Biometrika 31, 324, 1940, from memory).
    """
    over: dict[Place, set[Place]] = defaultdict(set)
    for one in judgments:
        if one.order is not None:
            over[one.order[0]].add(one.order[1])
    rounds = sum(
        first in over.get(third, ())
        for first in tuple(over)
        for second in over[first]
        for third in over.get(second, ())
    )
    return rounds // 3


def _strongly_connected(edges: Mapping[Place, Iterable[Place]]) -> dict[Place, int]:
    """Return the number of the strongly connected part that each place lies in.

    By Kosaraju's two walks (Sharir, Comput. Math. Appl. 7, 67, 1981, from memory): places in the order in
    which a walk leaves them, last first, each with all that leads to it.
    """
    back: dict[Place, list[Place]] = defaultdict(list)
    for one, others in edges.items():
        for other in others:
            back[other].append(one)
    left: dict[Place, None] = {}
    for root in [*edges, *back]:
        for place in _walk(root, edges, left):
            left[place] = None
    group: dict[Place, int] = {}
    for number, root in enumerate(reversed(left)):
        for place in _walk(root, back, group):
            group[place] = number
    return group


def _walk(root: Place, edges: Mapping[Place, Iterable[Place]], done: Container[Place]) -> list[Place]:
    """Return the places that *root* leads to and that are not *done*, as a deep walk leaves them."""
    if root in done:
        return []
    seen, found = {root}, []
    work = [(root, iter(edges.get(root, ())))]
    while work:
        place, rest = work[-1]
        after = next((one for one in rest if one not in seen and one not in done), None)
        if after is None:
            work.pop()
            found.append(place)
        else:
            seen.add(after)
            work.append((after, iter(edges.get(after, ()))))
    return found
