"""A new head goes on: what is void, how it is seated, and how far to turn it at first.

Pitches carry over, turns do not. Where the new count starts from the state that the old one started from, the
old head says about how far its turns lay from there; a second head on the same rods, hoop and shell is much
like the first, but not the same, so the first turns stop short of it. After the first reading the slope of
the old head gives the turns (see `lugbook.turns.renewal`).
"""

from dataclasses import dataclass

from lugbook.desk.asking import named
from lugbook.desk.desk import Desk
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import AS_IT_STOOD
from lugbook.desk.keeping import Values
from lugbook.desk.recounting import ended_round, presets_that_count, sides_of
from lugbook.desk.wording import NOTHING, day_text, folded
from lugbook.plain import aligned
from lugbook.records import Count, Drum, Head, HeadSide, Preset
from lugbook.turns.amounts import GRID, coarsen, show_turns

STOP_SHORT_TURNS = 1 / 4
"""So far before where the old head stood the first turns end (judgement: the next head may answer more)."""

_GRID_TURNS = GRID[0]

SEATING = (
    "Seat the hoop evenly, and bring every rod to finger tight in star order, with the same feel.",
    "Tighten all rods by small equal turns in star order, and press the middle gently with a flat hand.",
    "Let it rest, and tap again after some hours and the next day: a new head gives way.",
)
"""What a player does with a new head (common practice, no source)."""

CAUTION = (
    "Caution: stop where a rod binds, never chase the pitch with one rod, and keep to the makers' limits for "
    "head, rods and shell."
)


@dataclass(frozen=True, slots=True)
class FirstTurns:
    """The first turns of a new head towards one preset."""

    preset: str
    """``drum/preset``."""
    name: str
    """What the player calls it."""
    target: str
    """The pitch of this head in it, such as ``A3+4``; empty where it has none."""
    target_hz: float | None
    amount: float | None
    """Turns from the new reference, to begin with; None where nothing tells."""
    basis: str
    """What the amount rests on, or what tells it."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A head that was put on."""

    head: Head
    count: Count | None
    """The count that begins with it; None on a drum without rods."""
    void: tuple[str, ...]
    """The presets whose turns of this head are void now; their pitches stay."""
    presets: tuple[FirstTurns, ...]
    reminders: tuple[str, ...]
    """How it is seated; empty on a drum without rods."""
    remarks: tuple[str, ...]

    def lines(self) -> tuple[str, ...]:
        """Say what it is, what is void, the first turns towards each preset, and how it is seated."""
        head = self.head
        said = [f"{head.id}: a new {head.side} head, on since {day_text(head.on)}"]
        if self.count is not None:
            said.append(f"Its turns are counted from: {self.count.reference}")
        if self.void:
            presets = ", ".join(self.void)
            whom = (
                "for both heads"
                if self.count is not None and self.count.side == "both"
                else "for this head alone"
            )
            said.append(f"Void now, {whom}: the turns in {presets}. Their pitches stay.")
        if self.presets:
            rows = [
                (
                    row.preset,
                    row.target or NOTHING,
                    NOTHING if row.amount is None else show_turns(row.amount, sign="always"),
                    row.basis,
                )
                for row in self.presets
            ]
            said += ["", *aligned([("preset", "target", "first turns", "why"), *rows])]
        if self.reminders:
            said += ["", "Seating it (common practice, no source):"]
            said += [f"{number}. {step}" for number, step in enumerate(self.reminders, 1)]
        return (*said, "", *self.remarks)


def fit(desk: Desk, drum_id: str, side: HeadSide, values: Values, *, reference: str | None = None) -> Fitted:
    """Put a new head on and say what follows; the arguments and errors are those of `fitting.add_head`."""
    before = desk.library.drum(drum_id).record
    sides = sides_of(before, side) if before.turns_offered else (side,)
    void = presets_that_count(desk, drum_id, before, sides)
    remarks = list(ended_round(desk, drum_id, before, sides))
    head = add_head(desk, drum_id, side, values, reference=reference)
    after = desk.library.drum(drum_id).record
    count = after.count_of(side)
    if not after.turns_offered:
        remarks.append(f"{after.name} is tensioned with rope: pitches are kept, turns are not counted.")
    elif after.tension == "single":
        remarks.append("One rod pulls both heads: the turns of the other head are void too.")
    if head.material == "calf":
        remarks.append("Calf drifts within hours: trust the pitches, never yesterday's turns.")
    rows = [
        _first_turns(before, head, count, stored.id, stored.record)
        for stored in desk.library.presets(drum_id).items.values()
    ]
    return Fitted(
        head=head,
        count=count if after.turns_offered else None,
        void=void,
        presets=tuple(rows),
        reminders=SEATING if after.turns_offered else (),
        remarks=(*remarks, *((CAUTION,) if after.turns_offered else ())),
    )


def _first_turns(before: Drum, head: Head, count: Count | None, name: str, preset: Preset) -> FirstTurns:
    side = head.side
    target = preset.target(side)
    amount, basis = _as_the_old_head(before, head, count, preset)
    return FirstTurns(
        preset=name,
        name=preset.name,
        target=named(target.pitch, a4_hz=preset.a4) if target else "",
        target_hz=preset.target_hz(side),
        amount=amount,
        basis=basis,
    )


def _as_the_old_head(
    before: Drum, head: Head, count: Count | None, preset: Preset
) -> tuple[float | None, str]:
    """Return the first turns by where the old head stood in the preset, and what they rest on."""
    side, last = head.side, before.head_on(head.side)
    old, position = before.count_of(side), preset.position(side)
    if count is None:
        return None, "no turns are counted"
    if last is not None and last.material != head.material:
        return None, f"the head before was {last.material}, this one is {head.material}: read it first"
    if old is None or position is None or position.count != old.id:
        return None, "its turns were not counted on the head before: read the new one first"
    if folded(old.reference) != folded(count.reference) or folded(count.reference) == folded(AS_IT_STOOD):
        return None, f"the head before was counted from {old.reference}: read the new one first"
    if position.amount < 0:
        return None, "the head before stood below its reference: read the new one first"
    if position.amount <= STOP_SHORT_TURNS:
        return 0.0, "the head before stood at about its reference"
    return (
        coarsen(position.amount - STOP_SHORT_TURNS, step=_GRID_TURNS),
        "the head before stood a quarter turn above this, from the same reference",
    )
