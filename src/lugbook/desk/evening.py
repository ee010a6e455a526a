"""Evening a head: from a round of taps to the rods to turn, which way, about how far and in which order.

What can be told of the taps is decided in `heads`; here the moves become turns that a hand can make, in star
order, with what to tap again.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lugbook.desk.rod_rounds import HeadAnswer
from lugbook.desk.steps import BACKLASH_TURNS
from lugbook.heads.rod_numbers import EVEN_CENTS, opposite, rods_text
from lugbook.turns.amounts import coarsen, round_step, show_turns
from lugbook.turns.orders import star_order

if TYPE_CHECKING:
    from lugbook.heads import Rod, RodAnswer, RodRound

MOST_OF_ONE_ROD = 1 / 4
"""No single rod is turned further than this in one round, in turns: the others have to follow."""


@dataclass(frozen=True, slots=True)
class Evening:
    """One round of the rods with what to do about it."""

    round: "RodRound"
    """What was heard, with the turns to make."""
    order: tuple[int, ...]
    """The rods in tightening order, as they are shown."""
    to_turn: tuple[int, ...] = ()
    """The rods to turn, in that order."""
    again: tuple[int, ...] = ()
    """The rods whose taps will tell whether it helped, and those that were not heard, by number."""
    steps: tuple[str, ...] = ()
    """What to do, in sentences."""
    remarks: tuple[str, ...] = ()
    """What else is to be said."""
    basis: str = ""
    """What the amounts rest on."""

    @property
    def in_order(self) -> tuple["Rod", ...]:
        """The rods in tightening order; none where the round was refused."""
        return tuple(self.round.rod(number) for number in self.order) if self.round.rods else ()


def refused(rods: int, heard: "RodRound") -> Evening:
    """Return what is to be done about a round that says nothing: its own sentence tells."""
    return Evening(heard, star_order(rods))


def advise(
    heard: "RodRound",
    *,
    head: HeadAnswer,
    answer: "RodAnswer",
    not_these: Collection[int] = (),
    remarks: tuple[str, ...] = (),
) -> Evening:
    """Return the turns that make a head more even.

    Args:
        heard: the round, not refused.
        head: how far a turn of all rods moves it, and what that rests on.
        answer: how far a turn of one rod moves the pitch heard near it.
        not_these: rods that bind or slip and are not to be turned further.
        remarks: what is to be said first.
    """
    order = star_order(len(heard.rods))
    step = round_step(cents_per_turn=answer.cents_per_turn, tolerance_cents=EVEN_CENTS)
    exact = {rod.rod: answer.turn_for(rod.move_cents) for rod in heard.rods if rod.move_cents is not None}
    turns = {
        rod: turn
        for rod, one in exact.items()
        if rod not in not_these
        and (turn := coarsen(min(max(one, -MOST_OF_ONE_ROD), MOST_OF_ONE_ROD), step=step))
    }
    rods = tuple(_with_turn(rod, turns) for rod in heard.rods)
    told = replace(heard, rods=rods)
    to_turn = tuple(rod for rod in order if rod in turns)
    too_fine = [rod for rod in exact if rod not in turns and rod not in not_these]
    said = [*remarks, *heard.remarks]
    if too_fine:
        said.append(f"{rods_text(too_fine)}: nearer already than the smallest turn can bring.")
    if to_turn:
        said.append(
            f"How far is a guess from {head.basis}: a turn of one rod moves the pitch near it by about "
            f"{answer.cents_per_turn:.0f} cents, give or take {answer.sd:.0f}."
        )
    return Evening(
        round=told,
        order=order,
        to_turn=to_turn,
        again=_again(rods, turns, pairs_only=heard.pairs_only),
        steps=_steps(told, to_turn, exact),
        remarks=tuple(said),
        basis=head.basis,
    )


def _with_turn(rod: "Rod", turns: Mapping[int, float]) -> "Rod":
    turn = turns.get(rod.rod)
    both = rod.pair is not None and rod.pair in turns
    return replace(rod, turn=turn, pair=rod.pair if turn is not None and both else None)


def _again(rods: tuple["Rod", ...], turns: Mapping[int, float], *, pairs_only: bool) -> tuple[int, ...]:
    """Return the rods turned, those beside them and those not heard; where pairs are heard, opposite ones."""
    count = len(rods)
    wanted = {rod.rod for rod in rods if rod.hz is None}
    for rod in turns:
        wanted |= {(rod - 2) % count + 1, rod, rod % count + 1}
        if pairs_only and (other := opposite(rod, rods=count)) is not None:
            wanted.add(other)
    return tuple(sorted(wanted))


def _steps(heard: "RodRound", to_turn: tuple[int, ...], exact: Mapping[int, float]) -> tuple[str, ...]:
    steps: list[str] = []
    done: set[int] = set()
    for number in to_turn:
        if number in done:
            continue
        rod = heard.rod(number)
        pair = [number] if rod.pair is None else [number, rod.pair]
        done |= set(pair)
        turn = rod.turn or 0.0
        way = "tighten" if turn > 0 else "loosen"
        step = f"{rods_text(pair)}: {way} {'each ' if len(pair) > 1 else ''}about {show_turns(abs(turn))}."
        if abs(exact[number]) > MOST_OF_ONE_ROD:
            step += " That is all for one round, though it is further off."
        steps.append(step)
    if any((heard.rod(number).turn or 0.0) < 0 for number in to_turn):
        steps.append(
            f"Where you loosen, go {show_turns(BACKLASH_TURNS)} further and come back up: threads stick."
        )
    if steps:
        steps.append("Then tap the whole round again.")
    return tuple(steps)
