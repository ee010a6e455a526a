"""A round of the rods of one head: one pass when tightening, two when loosening.

A head that is loosened goes an eighth below and comes back up, because threads and washers stick; both passes
belong to one round, and one entry of the logbook keeps how far it has come.
"""

from dataclasses import dataclass, replace

from lugbook.desk.steps import passes, round_steps
from lugbook.errors import BadValue
from lugbook.records import Drum, Entry, HeadSide, Round
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order


@dataclass(frozen=True, slots=True)
class OpenRound:
    """A round of the rods that is being made, or was stopped part-way."""

    side: HeadSide
    amount: float
    """Turns for every rod once the whole round is made; plus tightens."""
    order: tuple[int, ...]
    """The rods in the order to turn them."""
    steps: tuple[str, ...]
    """How to make it, in sentences."""
    done: tuple[int, ...] = ()
    """The rods that were turned, of every pass, in order."""
    entry_id: str | None = None
    """The entry that keeps it; None until the first rod is done."""

    @property
    def pass_index(self) -> int:
        """Which pass over the rods is being made, from 0."""
        return min(len(self.done) // len(self.order), len(passes(self.amount)) - 1)

    @property
    def pass_amount(self) -> float:
        """Turns for every rod in this pass; plus tightens."""
        return passes(self.amount)[self.pass_index]

    @property
    def shown(self) -> str:
        """The turns of this pass as a player reads them, without their sign."""
        return show_turns(abs(self.pass_amount))

    @property
    def done_in_pass(self) -> tuple[int, ...]:
        """The rods that were turned in this pass."""
        return self.done[self.pass_index * len(self.order) :]

    @property
    def next_rod(self) -> int | None:
        """The rod to turn next; None when all are done."""
        left = self.order[len(self.done_in_pass) :]
        return left[0] if left else None

    @property
    def complete(self) -> bool:
        """Whether every rod of every pass was turned."""
        return len(self.done) >= len(self.order) * len(passes(self.amount))

    def with_next(self) -> "OpenRound":
        """Return the round after the next rod was turned."""
        return self if self.next_rod is None else replace(self, done=(*self.done, self.next_rod))

    def with_pass(self) -> "OpenRound":
        """Return the round after every rod of this pass was turned."""
        return replace(self, done=self._earlier() + self.order)

    def stopped_after(self, rod: int) -> "OpenRound":
        """Return the round stopped after *rod*: it and all before it in the order are turned in this pass.

        Raises:
            BadValue: the head has no such rod.
        """
        if rod not in self.order:
            rods = " ".join(str(one) for one in self.order)
            raise BadValue(f"The {self.side} head has no rod {rod}.", hint=f"Its rods are {rods}.")
        return replace(self, done=self._earlier() + self.order[: self.order.index(rod) + 1])

    def kept(self) -> Round:
        """Return the record of it."""
        return Round(head=self.side, amount=self.amount, rods_done=" ".join(str(rod) for rod in self.done))

    def unfinished(self) -> str:
        """Say how far it has come."""
        way = "tightened" if self.amount > 0 else "loosened"
        rods = " ".join(str(rod) for rod in self.done_in_pass) or "none"
        back = ", now coming back up" if self.pass_index else ""
        return (
            f"A round was stopped part-way: {self.side} head, to be {way} by {show_turns(abs(self.amount))}"
            f"{back}, rods done: {rods}. Finish it or take it back."
        )

    def way_back(self) -> str:
        """Say how to undo it: which rods, which way, how far; empty where none was turned."""
        parts = []
        first = passes(self.amount)[0]
        for rods, turned in (
            (self.done_in_pass, first + self.pass_amount if self.pass_index else first),
            (self.order[len(self.done_in_pass) :] if self.pass_index else (), first),
        ):
            if rods:
                way = "loosen" if turned > 0 else "tighten"
                listed = " ".join(str(rod) for rod in reversed(rods))
                parts.append(f"{way} rods {listed} of the {self.side} head by {show_turns(abs(turned))}")
        sentence = " and ".join(parts)
        return f"{sentence[:1].upper()}{sentence[1:]}." if sentence else ""

    def _earlier(self) -> tuple[int, ...]:
        return self.order * self.pass_index


def new_round(drum: Drum, side: HeadSide, amount: float) -> OpenRound:
    """Return the round that turns all rods of one head by *amount*."""
    return OpenRound(side, amount, star_order(drum.side(side).rods), round_steps(drum, side, amount))


def taken_up(drum: Drum, entry: Entry) -> OpenRound | None:
    """Return the round that *entry* keeps; None where it keeps none."""
    if entry.round is None:
        return None
    begun = new_round(drum, entry.round.head, entry.round.amount)
    return replace(begun, done=entry.round.done(), entry_id=entry.corrects or entry.id)
