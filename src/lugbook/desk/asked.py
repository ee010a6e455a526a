"""A concert as a running order: its items as pieces, its silent changes as work, what speaks against them."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from lugbook.concerts import Option, Piece, Plan, Work, plan
from lugbook.concerts.planning import EFFORT
from lugbook.desk.changes import Change
from lugbook.desk.changing import planned_change
from lugbook.desk.desk import Desk
from lugbook.desk.plans import Between, between
from lugbook.desk.programmes import ItemRow, Programme
from lugbook.desk.responses import Memory

RISK_S = 60.0
"""A change that surely lands outside the tolerance counts as so much more work (judgement)."""

LATER_S = 5.0
"""Each place further down among the presets that fit counts as so much more work (judgement)."""

NEAREST_S = 120.0
"""A preset that is for only a part of the music counts as so much more work (judgement)."""

HAVING_S = 10.0
"""A further drum, to be set up and measured before the doors open, counts as so much work (judgement)."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a plan may take; None where that is not limited."""

    drums: int | None
    changes: int | None


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a concert has come that is planned from there on."""

    number: int
    """Of the item that is on, or was over last, from 1."""
    stands: tuple[str, ...]
    """The ``drum/preset`` that each drum on the stage stands in; there are no others."""
    on: tuple[str, ...] | None = None
    """The presets that the item is on with, which its drums stand in; None where it is over."""
    rests_over: int = 0
    """So many of its rests are over."""


@dataclass(frozen=True)
class Asked:
    """A concert about which a planner can be asked; each silent change and each plan is worked out once."""

    desk: Desk
    music: Programme
    pieces: tuple[Piece, ...]
    sofar: SoFar | None = None
    """Where it is planned from; None from the beginning."""
    known: dict[tuple[str, str, str], Change] = field(default_factory=dict)
    plans: dict[tuple[Limits, int], Plan] = field(default_factory=dict)
    memory: Memory = field(default_factory=Memory)

    @classmethod
    def of(cls, desk: Desk, music: Programme, sofar: SoFar | None = None) -> "Asked":
        """Return the concert with its items as pieces of a running order."""
        there = frozenset(desk.library.presets().items)
        rows = list(music.rows)
        if sofar is not None:
            drums = {one.partition("/")[0] for one in sofar.stands}
            music = replace(music, drums=tuple(one for one in music.drums if one in drums))
            if sofar.on is not None:
                rows[sofar.number - 1] = replace(rows[sofar.number - 1], presets=sofar.on)
        return cls(desk, music, tuple(_piece(row, music, there) for row in rows), sofar)

    @property
    def drums(self) -> frozenset[str]:
        """The drums that could be used."""
        return frozenset(option.drum for piece in self.pieces for need in piece.needs for option in need)

    def change(self, drum: str, begun: str, reached: str) -> Change:
        """Return the silent change of a drum that will be in the preset *begun*."""
        key = (drum, begun, reached)
        if key not in self.known:
            pace = self.music.concert.pace
            begun_id, reached_id = f"{drum}/{begun}", f"{drum}/{reached}"
            self.known[key] = planned_change(self.desk, begun_id, reached_id, pace=pace, memory=self.memory)
        return self.known[key]

    def plan(self, limits: Limits, *, effort: int = EFFORT) -> Plan:
        """Return the plan with the least work and risk.

        Args:
            limits: what it may take.
            effort: how much is looked at.
        """
        key = (limits, effort)
        if key not in self.plans:
            self.plans[key] = self._planned(limits, effort)
        return self.plans[key]

    def window(self, after: int, rest: int | None) -> Between:
        """Return a window, by the index of its piece and of the rest in it."""
        piece = self.pieces[after]
        seconds = piece.after_s if rest is None else piece.rests_s[rest]
        return between(self.music.rows, after, rest, seconds)

    def _planned(self, limits: Limits, effort: int) -> Plan:
        found = plan(
            self.pieces if self.sofar is None else _from_there(self.pieces, self.sofar),
            change_s=self._work,
            drums_most=limits.drums,
            changes_most=limits.changes,
            drum_s=HAVING_S,
            effort=effort,
        )
        return found if self.sofar is None else _by_row(found, self.pieces, self.sofar)

    def _work(self, drum: str, begun: str, reached: str) -> Work | None:
        found = self.change(drum, begun, reached)
        if found.refused is not None:
            return None
        return Work(found.seconds, risk=RISK_S * (1 - (found.chance or 0.0)))


def _piece(row: ItemRow, music: Programme, there: frozenset[str]) -> Piece:
    """Return an item as a piece of the running order; a preset that does not travel serves nothing."""
    rests = tuple(rest.seconds for rest in row.rests)
    if row.item.tacet:
        rests = rests if row.seconds is None else (row.seconds,)
        return Piece(row.name, (), after_s=row.after_s or 0.0, rests_s=rests, tacet=True)
    names = [name for name in (row.presets or row.candidates or row.nearest) if name in there]
    options = tuple(
        Option(drum, preset, cost=LATER_S * place * (not row.presets) + NEAREST_S * is_nearest(row))
        for place, name in enumerate(names)
        for drum, _, preset in [name.partition("/")]
        if drum in music.drums
    )
    needs = [options]
    if row.presets:
        needs = [tuple(one for one in options if f"{one.drum}/{one.preset}" == name) for name in row.presets]
    first, *also = needs
    return Piece(row.name, first, after_s=row.after_s or 0.0, rests_s=rests, also=tuple(also))


def _from_there(pieces: Sequence[Piece], sofar: SoFar) -> tuple[Piece, ...]:
    """Return the pieces that are still to come, after one that takes each drum as it stands."""
    here = pieces[sofar.number - 1]
    first, *also = (
        (Option(drum, preset),) for drum, _, preset in (one.partition("/") for one in sofar.stands)
    )
    start = Piece(here.name, first, also=tuple(also), after_s=here.after_s)
    if sofar.on is None:
        return (start, *pieces[sofar.number :])
    rests = tuple(0.0 if rest < sofar.rests_over else one for rest, one in enumerate(here.rests_s))
    return (replace(start, after_s=0.0), replace(here, rests_s=rests), *pieces[sofar.number :])


def _by_row(found: Plan, pieces: Sequence[Piece], sofar: SoFar) -> Plan:
    """Return a plan from there on, counted by the rows of the concert again; what is over has no states."""
    past = sofar.number if sofar.on is None else sofar.number - 1
    here, add = sofar.number - 1, past - 1

    def placed(after: int) -> int:
        return max(after + add, here)

    steps = tuple(
        replace(
            one,
            after=placed(one.after),
            before=one.before + add,
            window_s=one.window_s if one.after + add >= here else pieces[here].after_s,
        )
        for one in found.steps
    )
    return replace(
        found,
        chosen=(*((),) * past, *found.chosen[1:]),
        steps=steps,
        short=tuple(replace(one, after=placed(one.after)) for one in found.short),
        unserved=tuple(one + add for one in found.unserved if one),
    )


def is_nearest(row: ItemRow) -> bool:
    """Tell whether only presets that are for a part of its music serve an item."""
    return not row.presets and not row.candidates
