"""A round of the rods of one head: one pass when tightening, two when loosening; and the way back from it.

A head that is loosened goes an eighth below and comes back up, because threads and washers stick; both passes
belong to one round, and one entry of the logbook keeps how far it has come. A round that was stopped part-way
can be taken back: the rods that were turned are turned back one by one, the last one first.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lugbook.desk.cautions import Caution
from lugbook.desk.steps import head_steps, passes
from lugbook.desk.wording import turned_part
from lugbook.errors import BadValue, NotPossible
from lugbook.records import Drum, Entry, HeadSide, Round, Tension
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order

BY_TURNS_ALONE = "By turns alone, unheard."
"""Note of an entry that belongs to a silent change."""


@dataclass(frozen=True, slots=True)
class OpenRound:
    """A round of the rods that is being made, was stopped part-way, or is being taken back."""

    side: HeadSide
    amount: float
    """Turns for every rod once the whole round is made; plus tightens."""
    order: tuple[int, ...]
    """The rods in the order to turn them."""
    steps: tuple[str, ...]
    """How to make it, in sentences."""
    done: tuple[int, ...] = ()
    """The rods that were turned, of every pass, in order."""
    back: tuple[int, ...] | None = None
    """The rods that have been turned back, in order; None unless the round is being taken back."""
    entry_id: str | None = None
    """The entry that keeps it; None until the first rod is done."""
    tension: Tension = "separate"
    """How the drum is tensioned: in single tension the rods pull both heads."""
    preset: str = ""
    """The ``drum/preset`` that it was begun on the way to."""
    search: str = ""
    """The search that it belongs to; empty where it is none's."""
    cautions: tuple[Caution, ...] = ()
    """What to be careful of while making it."""
    tapped: bool = True
    """Whether the head is tapped afterwards; not in a silent change."""

    @property
    def part(self) -> str:
        """What is turned: ``bottom head``, or ``rods`` where one rod pulls both heads."""
        return turned_part(self.tension, self.side)

    @property
    def taking_back(self) -> bool:
        """Whether the rods are being turned back."""
        return self.back is not None

    @property
    def pass_index(self) -> int:
        """Which pass over the rods is being made, or was being made when it was stopped, from 0."""
        return min(len(self.done) // len(self.order), len(passes(self.amount)) - 1)

    @property
    def moves(self) -> tuple[tuple[int, float], ...]:
        """Each rod of this pass, or of the way back, with its turns, in the order to make them."""
        turned = passes(self.amount)
        if self.back is None:
            return tuple((rod, turned[self.pass_index]) for rod in self.order)
        in_pass = self._done_in_pass
        earlier = self.order[len(in_pass) :] if self.pass_index else ()
        return (
            *((rod, -sum(turned[: self.pass_index + 1])) for rod in reversed(in_pass)),
            *((rod, -turned[0]) for rod in reversed(earlier)),
        )

    @property
    def turned(self) -> tuple[int, ...]:
        """The rods that were turned in this pass, or on the way back."""
        return self._done_in_pass if self.back is None else self.back

    @property
    def next_rod(self) -> int | None:
        """The rod to turn next; None when all are done."""
        left = self.moves[len(self.turned) :]
        return left[0][0] if left else None

    @property
    def amount_now(self) -> float:
        """Turns for the next rod; plus tightens."""
        return self.moves[min(len(self.turned), len(self.moves) - 1)][1]

    @property
    def shown(self) -> str:
        """The turns for the next rod as a player reads them, without their sign."""
        return show_turns(abs(self.amount_now))

    @property
    def complete(self) -> bool:
        """Whether every rod of every pass was turned, or every rod was turned back."""
        if self.back is not None:
            return len(self.back) >= len(self.moves)
        return len(self.done) >= len(self.order) * len(passes(self.amount))

    def with_next(self) -> "OpenRound":
        """Return the round after the next rod was turned."""
        return self if self.next_rod is None else self._with_turned((*self.turned, self.next_rod))

    def with_pass(self) -> "OpenRound":
        """Return the round after every rod of this pass, or of the way back, was turned."""
        return self._with_turned(tuple(rod for rod, _ in self.moves))

    def stopped_after(self, rod: int) -> "OpenRound":
        """Return the round stopped after *rod*: it and all before it in the order are turned in this pass.

        Raises:
            BadValue: the head has no such rod, or it is not to be turned back.
        """
        rods = tuple(one for one, _ in self.moves)
        if rod not in rods:
            listed = " ".join(str(one) for one in rods)
            if self.taking_back:
                raise BadValue(f"Rod {rod} is not to be turned back.", hint=f"These are: {listed}.")
            raise BadValue(f"The {self.side} head has no rod {rod}.", hint=f"Its rods are {listed}.")
        return self._with_turned(rods[: rods.index(rod) + 1])

    def the_other_way(self) -> "OpenRound":
        """Return the round about to be taken back, or about to be gone on with after all.

        Raises:
            NotPossible: rods have been turned back already.
        """
        if self.back:
            raise NotPossible("Rods have been turned back already.", hint="Turn back the others too.")
        return replace(self, back=() if self.back is None else None)

    def kept(self) -> Round:
        """Return the record of it."""
        return Round(
            head=self.side,
            amount=self.amount,
            rods_done=_listed(self.done),
            rods_back=_listed(self.back or ()),
        )

    def unfinished(self) -> str:
        """Say how far it has come."""
        way = "tightened" if self.amount > 0 else "loosened"
        whole = f"{self.part}, to be {way} by {show_turns(abs(self.amount))}"
        if self.back is not None:
            left = _listed(rod for rod, _ in self.moves[len(self.back) :])
            return f"A round was being taken back: {whole}. Rods still to turn back: {left}."
        up = ", now coming back up" if self.pass_index else ""
        rods = _listed(self.turned) or "none"
        return f"A round was stopped part-way: {whole}{up}, rods done: {rods}. Finish it or take it back."

    def progress(self) -> str:
        """Say how many rods are done, such as ``3 of 8 rods done``."""
        word = "done" if self.back is None else "back"
        return f"{len(self.turned)} of {len(self.moves)} rods {word}"

    def way_back(self) -> tuple[str, ...]:
        """Return how to undo it, in sentences: which rods, which way, how far; none where none was turned."""
        by_amount: dict[float, list[int]] = {}
        for rod, amount in replace(self, back=()).moves:
            by_amount.setdefault(amount, []).append(rod)
        sentences = [
            f"{'Tighten' if amount > 0 else 'Loosen'} {'rods' if len(rods) > 1 else 'rod'} {_listed(rods)} "
            f"by {show_turns(abs(amount))}, to take the round back."
            for amount, rods in by_amount.items()
        ]
        if any(amount < 0 for amount in by_amount):
            sentences.append("Go an eighth below with each of them, and come back up.")
        return tuple(sentences)

    @property
    def _done_in_pass(self) -> tuple[int, ...]:
        return self.done[self.pass_index * len(self.order) :]

    def _with_turned(self, rods: tuple[int, ...]) -> "OpenRound":
        if self.back is not None:
            return replace(self, back=rods)
        return replace(self, done=self.order * self.pass_index + rods)


def new_round(
    drum: Drum,
    side: HeadSide,
    amount: float,
    *,
    preset: str,
    search: str = "",
    cautions: Iterable[Caution] = (),
    tapped: bool = True,
) -> OpenRound:
    """Return the round that turns all rods of one head by *amount*.

    Args:
        drum: the drum.
        side: which head.
        amount: turns for every rod; plus tightens.
        preset: the ``drum/preset`` it is on the way to.
        search: the search it belongs to.
        cautions: what to be careful of.
        tapped: whether the head is tapped afterwards; not in a silent change.
    """
    return OpenRound(
        side,
        amount,
        star_order(drum.side(side).rods),
        head_steps(drum, side, amount, tapped=tapped),
        tension=drum.tension,
        preset=preset,
        search=search,
        cautions=tuple(cautions),
        tapped=tapped,
    )


def taken_up(drum: Drum, entry: Entry) -> OpenRound | None:
    """Return the round that *entry* keeps; None where it keeps none."""
    kept = entry.round
    if kept is None:
        return None
    tapped = entry.note != BY_TURNS_ALONE
    begun = new_round(drum, kept.head, kept.amount, preset=entry.preset, search=entry.search, tapped=tapped)
    return replace(begun, done=kept.done(), back=kept.back() or None, entry_id=entry.stands_for)


def _listed(rods: Iterable[int]) -> str:
    return " ".join(str(rod) for rod in rods)
