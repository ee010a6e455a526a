"""A concert as a running order: its items as pieces, its silent changes as work, what speaks against them."""

from dataclasses import dataclass, field

from lugbook.concerts import Option, Piece, Plan, Work, plan
from lugbook.concerts.planning import EFFORT
from lugbook.desk.changes import Change
from lugbook.desk.changing import planned_change
from lugbook.desk.concerts import ItemRow, Programme
from lugbook.desk.desk import Desk
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


@dataclass(frozen=True)
class Asked:
    """A concert about which a planner can be asked; each silent change is worked out once."""

    desk: Desk
    music: Programme
    pieces: tuple[Piece, ...]
    known: dict[tuple[str, str, str], Change] = field(default_factory=dict)
    memory: Memory = field(default_factory=Memory)

    @classmethod
    def of(cls, desk: Desk, music: Programme) -> "Asked":
        """Return the concert with its items as pieces of a running order."""
        there = frozenset(desk.library.presets().items)
        return cls(desk, music, tuple(_piece(row, music, there) for row in music.rows))

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
        return plan(
            self.pieces,
            change_s=self._work,
            drums_most=limits.drums,
            changes_most=limits.changes,
            drum_s=HAVING_S,
            effort=effort,
        )

    def window_s(self, after: int, rest: int | None) -> float:
        """Return how long a window lasts, in seconds, by the index of its piece and of the rest in it."""
        piece = self.pieces[after]
        return piece.after_s if rest is None else piece.rests_s[rest]

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


def is_nearest(row: ItemRow) -> bool:
    """Tell whether only presets that are for a part of its music serve an item."""
    return not row.presets and not row.candidates
