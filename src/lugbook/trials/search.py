"""The search: ask for a state, tell what was said of it against the kept one, until none beside it is left.

The kept state is the best so far. A state that was heard was judged against a kept one, and each kept state
was better than the one before: so the judgment passes along the chain, and no heard state is asked for again.
The search is settled when all neighbours of the kept state are closed: known to be no better, or past a
limit. That is the stopping rule of pattern searches (Kolda, Lewis and Torczon, SIAM Review 45, 385, 2003;
Hooke and Jeeves, J. ACM 8, 212, 1961; both from memory): no better neighbour at this step. Then a finer step
may be taken.
"""

import math

from lugbook.errors import BadValue, NotPossible
from lugbook.trials.belief import Situation, Told
from lugbook.trials.grid import (
    APART,
    TOGETHER,
    Pair,
    Place,
    Scale,
    apart,
    checked_step,
    moved,
    neighbours,
    place_of,
    position_of,
)
from lugbook.trials.judgments import Judgment, Order, Verdict, contradictions
from lugbook.trials.proposals import Proposal, reason, turned_by
from lugbook.trials.weighing import Weighing
from lugbook.turns.amounts import GRAIN

Limits = tuple[tuple[float | None, float | None], tuple[float | None, float | None]]
"""((least, most) of the top, (least, most) of the bottom) in turns; None where there is none."""

_VERDICTS = ("better", "same", "worse")


class Search:
    """A search for the best state of both heads.

    Args:
        step: of the grid, in turns.
        start: where it begins, in turns; it counts as heard and kept.
        limits: ((top least, top most), (bottom least, bottom most)) in turns, None where there is none.
        together: whether one rod pulls both heads, so that a state has two neighbours and not four.

    Raises:
        BadValue: a value that cannot be used, or a start past its own limits.

    Example:
        >>> search = Search()
        >>> while (position := search.ask()) is not None:
        ...     _ = search.tell("better" if position == (0.25, 0.0) else "worse")
        >>> search.kept, search.settled, search.untried
        ((0.25, 0.0), True, ())
    """

    def __init__(
        self,
        *,
        step: float = 0.25,
        start: Pair = (0.0, 0.0),
        limits: Limits | None = None,
        together: bool = False,
    ) -> None:
        self._step = checked_step(step)
        self._start = place_of(start)
        self._limits = limits or ((None, None), (None, None))
        self._directions = TOGETHER if together else APART
        for least, most in self._limits:
            if least is not None and most is not None and least > most:
                raise BadValue(f"Limits of {least:g} to {most:g} turns leave nothing between them.")
        if not self._allowed(self._start):
            raise BadValue(f"The start {_shown(self._start)} lies past the limits.")
        self._judgments: list[Judgment] = []
        self._kept: Place
        self._here: Place
        self._origin: Place
        self._weighing = Weighing()
        self._asked: Proposal | None = None
        self._begin()

    @property
    def step(self) -> float:
        """The step of the grid in turns."""
        return self._step / GRAIN

    @property
    def kept(self) -> Pair:
        """The best state so far, in turns."""
        return position_of(self._kept)

    @property
    def here(self) -> Pair:
        """Where the drum stands: the state that was judged last, in turns."""
        return position_of(self._here)

    @property
    def heard(self) -> tuple[Pair, ...]:
        """Every state that was heard, the start first, in turns."""
        return tuple(position_of(place) for place in self._heard)

    @property
    def untried(self) -> tuple[Pair, ...]:
        """The neighbours of the kept state that are not closed yet, in turns."""
        return tuple(position_of(place) for place in self._untried())

    @property
    def past_limits(self) -> tuple[Pair, ...]:
        """The neighbours of the kept state that lie past a limit, in turns."""
        return tuple(position_of(place) for place in self._beside() if not self._allowed(place))

    @property
    def settled(self) -> bool:
        """Whether every neighbour of the kept state is closed."""
        return not self._untried()

    @property
    def alike(self) -> tuple[Pair, ...]:
        """The neighbours of the kept state that were said to be the same, in turns."""
        beside = set(self._beside())
        return tuple(
            position_of(one.heard)
            for one in self._judgments
            if one.verdict == "same" and one.against == self._kept and one.heard in beside
        )

    @property
    def together(self) -> bool:
        """Whether one rod pulls both heads."""
        return self._directions == TOGETHER

    @property
    def judgments(self) -> tuple[Judgment, ...]:
        """What was said, in order."""
        return tuple(self._judgments)

    @property
    def contradictions(self) -> tuple[tuple[Judgment, ...], ...]:
        """Judgments that cannot all be true (see `judgments.contradictions`)."""
        return contradictions(self._judgments)

    @property
    def doubted(self) -> tuple[Judgment, ...]:
        """Judgments that go ill together with all the others, as far as they are weighed.

        They contradict no other one: with a likely best state, which the others tell of, they would have been
        said otherwise. To hear such a state again is worth its turns.
        """
        scale = Scale(self._origin, self._step)
        kept = [one for one in self._judgments if scale.steps(one.heard) != scale.steps(one.against)]
        return tuple(kept[number] for number in self._weighing.doubted(self._told(scale)))

    def ask(self) -> Pair | None:
        """Return the state to try next, in turns; None when the search is settled."""
        proposal = self.propose()
        return None if proposal is None else proposal.position

    def propose(self, *, here: Pair | None = None) -> Proposal | None:
        """Return the state to try next with the reason; None when the search is settled.

        Args:
            here: where the drum stands, in turns, where that is not the state that was judged last.
        """
        if here is not None and place_of(here) != self._here:
            self._here, self._asked = place_of(here), None
        if self._asked is None:
            self._asked = self._cheapest()
        return self._asked

    def tell(
        self, verdict: Verdict, *, position: Pair | None = None, against: Pair | None = None
    ) -> Judgment:
        """Take in what was said of a state against the kept one, and return it.

        Args:
            verdict: of the state.
            position: the state, in turns, where it is not the one that was asked for: a move of the player's
                own, on the grid or off it.
            against: the state that it was held against, in turns, where that is not the kept one.

        Raises:
            BadValue: no such verdict, or a position that cannot be used.
            NotPossible: there is nothing to judge: nothing was asked for, or a state was held against itself.
        """
        if verdict not in _VERDICTS:
            raise BadValue(f"{verdict!r} is no verdict.", hint=f"Say one of: {', '.join(_VERDICTS)}.")
        if position is None:
            if self._asked is None:
                raise NotPossible("Nothing was asked for that could be judged.", hint="Ask first.")
            position = self._asked.position
        place = place_of(position)
        other = self._kept if against is None else place_of(against)
        if place == other:
            what = "the kept state itself" if place == self._kept else "held against itself"
            raise NotPossible(f"{_shown(place)} is {what}.", hint="Judge another one against it.")
        judgment = Judgment(place, other, verdict)
        self._take(judgment)
        self._asked = None
        return judgment

    def undo(self) -> Judgment:
        """Take the last judgment back, and return it.

        Raises:
            NotPossible: nothing was judged yet.
        """
        if not self._judgments:
            raise NotPossible("Nothing was judged yet that could be taken back.")
        *kept, last = self._judgments
        origin, self._judgments = self._origin, []
        self._begin()
        self._origin = origin  # of the present step, which stays
        for one in kept:
            self._take(one)
        return last

    def refine(self, step: float | None = None) -> None:
        """Go on by a finer step from the kept state; what was heard stays heard.

        Args:
            step: in turns; half of the present one where None.

        Raises:
            BadValue: the step is not finer, or finer than 1/64 turn.
        """
        finer = checked_step(self._step / 2 / GRAIN if step is None else step)
        if finer >= self._step:
            raise BadValue(f"{finer / GRAIN:g} turns is no finer step than {self.step:g}.")
        self._step, self._origin = finer, self._kept
        self._weighing = Weighing()
        self._asked = None

    def _begin(self) -> None:
        self._kept = self._here = self._origin = self._start
        self._heard: dict[Place, None] = {self._start: None}
        self._order = Order()
        self._weighing = Weighing()
        self._asked = None

    def _take(self, judgment: Judgment) -> None:
        self._judgments.append(judgment)
        self._order.take(judgment)
        self._heard |= {judgment.against: None, judgment.heard: None}
        self._here = judgment.heard
        if judgment.order is None:
            return
        better, worse = judgment.order
        # Kept is left for what is better than it, not for what is only no worse.
        if worse == self._kept or (
            judgment.verdict == "better" and better != self._kept and self._order.reaches(better, self._kept)
        ):
            self._kept = better

    def _allowed(self, place: Place) -> bool:
        return all(
            (least is None or least <= turns) and (most is None or turns <= most)
            for turns, (least, most) in zip(position_of(place), self._limits, strict=True)
        )

    def _beside(self) -> tuple[Place, ...]:
        return neighbours(self._kept, self._step, self._directions)

    def _untried(self) -> tuple[Place, ...]:
        no_better = self._order.below(self._kept)
        return tuple(place for place in self._beside() if place not in no_better and self._allowed(place))

    def _told(self, scale: Scale) -> tuple[Told, ...]:
        return tuple(
            (heard, against, one.verdict)
            for one in self._judgments
            if (heard := scale.steps(one.heard)) != (against := scale.steps(one.against))
        )

    def _cheapest(self) -> Proposal | None:
        untried = self._untried()
        if not untried:
            return None
        scale = Scale(self._origin, self._step)
        least, most = zip(*self._limits, strict=True)
        told = self._told(scale)
        # To hear the state that the drum stands in costs no turn.
        near = (self._here,) if self._here in untried else untried
        sides = {scale.steps(place): place for place in near}
        situation = Situation(
            kept=scale.steps(self._kept),
            here=scale.steps(self._here),
            heard=frozenset(map(scale.steps, self._heard)),
            told=told,
            least=scale.ends(least, none=-math.inf),
            most=scale.ends(most, none=math.inf),
            directions=self._directions,
        )
        cheapest = self._weighing.after(told).cheapest(tuple(sides), situation)
        place = sides[cheapest]
        way = moved(self._kept, place)
        far = [apart(self._here, one) for one in untried]
        others = [one for one in self._heard if one not in (self._kept, place)]
        nearest = min(others, key=lambda one: apart(one, place)) if others else None
        return Proposal(
            position=position_of(place),
            side=turned_by(way),
            turn=(way[0] or way[1]) / GRAIN,
            why=reason(
                moved(situation.kept, cheapest),
                told=told,
                left=len(untried),
                heard=place in self._heard,
                near=apart(self._here, place) == min(far) < max(far),
            ),
            nearest=None if nearest is None else position_of(nearest),
        )


def _shown(place: Place) -> str:
    return f"({place[0] / GRAIN:g}, {place[1] / GRAIN:g})"
