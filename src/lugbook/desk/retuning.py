"""Bringing a drum back to a preset: the turns to make on each head, in which order, and what to expect."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from lugbook.desk.asking import Taken, told
from lugbook.desk.cautions import Caution, cautions
from lugbook.desk.comparing import Comparison, compare, take_both
from lugbook.desk.desk import Desk
from lugbook.desk.explaining import BEFORE_TURNING, why
from lugbook.desk.learned import Learned
from lugbook.desk.responses import learned_of
from lugbook.desk.slips import interchanged, slips_among
from lugbook.desk.steps import first_side, sentences
from lugbook.desk.turning import HeadTurn, Turns, targets_hz, turns_for
from lugbook.desk.wording import day_text
from lugbook.pitch import NearNote, in_cents
from lugbook.records import SIDES, By, Drum, HeadSide, Preset, Struck
from lugbook.turns.orders import star_order

NEW_FOR_DAYS = 2
"""So long after it went on a head gives way fastest (common practice, no source)."""

SETTLING_CENTS = 5.0
"""A fall until tomorrow that is worth waiting for: half the usual tolerance."""

WIDE_CENTS = 40.0
"""From this expected error on the advice is called wide."""


@dataclass(frozen=True, slots=True)
class Expect:
    """What the heads should read after the turns."""

    top_hz: float | None
    bottom_hz: float | None
    sd_cents: float
    top: NearNote | None
    """The nearest note, at the concert pitch of the reading, spelled like the target."""
    bottom: NearNote | None

    def hz(self, side: HeadSide) -> float | None:
        """Return the pitch of the *side* in Hz."""
        return self.top_hz if side == "top" else self.bottom_hz

    def near(self, side: HeadSide) -> NearNote | None:
        """Return the nearest note of the *side*."""
        return self.top if side == "top" else self.bottom


@dataclass(frozen=True, slots=True)
class Retuning:
    """One round of advice."""

    comparison: Comparison
    on: str
    """The drum that is turned."""
    top: HeadTurn | None
    bottom: HeadTurn | None
    first: HeadSide | None
    """The head to turn first; None where there is nothing to turn."""
    orders: dict[HeadSide, tuple[int, ...]]
    """Rod order of each head."""
    steps: tuple[str, ...]
    """What to do, in sentences."""
    expect: Expect | None
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()
    """What to be careful of before these turns; their sentences stand among the remarks too."""
    possible: bool = True
    """False where turns cannot be offered at all, as on a rope drum."""
    worked_out: bool = True
    """False where no turn could be worked out from what was read."""

    def head(self, side: HeadSide) -> HeadTurn | None:
        """Return the turn of the *side*."""
        return self.top if side == "top" else self.bottom


def retune(
    desk: Desk,
    name: str,
    *,
    top: str | None,
    bottom: str | None,
    by: By | None = None,
    struck: Struck | None = None,
    a4_hz: float | None = None,
    on: str | None = None,
) -> Retuning:
    """Compare readings with a preset and advise one round of turns.

    Args:
        desk: the desk.
        name: ``drum/preset``.
        top: reading of the top head, or None where it was not read.
        bottom: reading of the bottom head, or None.
        by: how typed pitches were had.
        struck: where the heads were struck.
        a4_hz: concert pitch that note names are meant at; the preset's where None.
        on: another drum to bring to the same pitches, such as a loan drum.
    """
    preset = desk.library.preset(name).record
    drum_id = on or name.partition("/")[0]
    taken = take_both(desk, preset, top, bottom, drum_id=drum_id, by=by, struck=struck, a4_hz=a4_hz)
    comparison = compare(desk, name, preset, top=taken.get("top"), bottom=taken.get("bottom"))
    return advise(desk, on or comparison.drum, preset, comparison, taken)


def advise(
    desk: Desk, drum_id: str, preset: Preset, comparison: Comparison, taken: Mapping[HeadSide, Taken]
) -> Retuning:
    """Advise one round of turns on the drum *drum_id* from readings that were taken.

    A reading that stands in the drum's logbook is one that the player stood by; what looks like a slip and is
    written down nowhere leads to no turn.

    Args:
        desk: the desk.
        drum_id: the drum to turn.
        preset: what it is on the way to.
        comparison: how the readings compare with the preset.
        taken: the readings.
    """
    fresh = {side: one for side, one in taken.items() if one.entry_id is None}
    slips = set(fresh) if interchanged(preset, fresh) else slips_among(preset, taken)
    taken = {side: one for side, one in taken.items() if side not in slips}
    drum = desk.library.drum(drum_id).record
    if not drum.turns_offered:
        remark = f"{drum.name} is tensioned with rope: pitches are compared, turns are not offered."
        return _nothing(comparison, drum_id, remark, possible=False)
    targets = targets_hz(comparison, taken)
    if targets == (None, None) and comparison.within:
        return _nothing(comparison, drum_id, "It is within: there is nothing to turn.")
    if targets == (None, None):
        remark = (
            "No turn can be worked out: it needs a head that was read with its octave and can be compared."
        )
        return _nothing(comparison, drum_id, remark, worked_out=False)
    entries = desk.library.log(drum_id).entries
    struck = next(iter(taken.values())).reading.struck
    learned = learned_of(desk, drum_id, struck=struck)
    unheard = {side: one for side, one in fresh.items() if side not in slips}
    comparison = _with_why(desk, drum_id, preset, comparison, taken, learned=learned)
    if unheard:
        learned = learned.with_reading(unheard)
    turns = turns_for(drum, learned, comparison, targets=targets)
    careful = cautions(drum, turns.moves, entries, here=learned.here, expect_hz=turns.expect_all_hz)
    own = drum_id == comparison.drum
    return Retuning(
        comparison=comparison,
        on=drum_id,
        top=turns.top,
        bottom=turns.bottom,
        first=first_side(drum, turns),
        orders={side: star_order(drum.side(side).rods) for side in SIDES},
        steps=sentences(drum, turns, snares=preset.snares.text() if own else ""),
        expect=_expected(turns, comparison, taken),
        remarks=(
            *comparison.remarks,
            *(f"No turn of the {side} head is offered on such a reading: read it again." for side in slips),
            *turns.remarks,
            *_width(turns),
            *_settling(desk, drum, learned, turns),
            *(caution.sentence for caution in careful),
            *_calf(drum_heads=[head.material for side in SIDES if (head := drum.head_on(side))]),
        ),
        cautions=careful,
    )


def _with_why(
    desk: Desk,
    drum_id: str,
    preset: Preset,
    comparison: Comparison,
    taken: Mapping[HeadSide, Taken],
    *,
    learned: Learned,
) -> Comparison:
    """Return the comparison with why the drum is off, where that is to be seen to before it is turned."""
    if comparison.within is not False or drum_id != comparison.drum:
        return comparison
    found = why(desk, preset, comparison, taken, before=learned)
    return replace(comparison, why=found) if found.cause in BEFORE_TURNING else comparison


def _expected(turns: Turns, comparison: Comparison, taken: Mapping[HeadSide, Taken]) -> Expect:
    near: list[NearNote | None] = []
    for side, hz in zip(SIDES, turns.expect_hz, strict=True):
        result = comparison.head(side)
        like = result.target_note if result else None
        near.append(None if hz is None else told(hz, a4_hz=taken[side].a4_hz, like=like))
    return Expect(*turns.expect_hz, turns.expect_sd_cents, *near)


def _width(turns: Turns) -> tuple[str, ...]:
    if not any(turns.moves.values()) or turns.expect_sd_cents < WIDE_CENTS:
        return ()
    off = in_cents(turns.expect_sd_cents)
    return (
        f"This is wide: a head may end up {off} from what is expected. Each round written down narrows it.",
    )


def _settling(desk: Desk, drum: Drum, learned: Learned, turns: Turns) -> Iterator[str]:
    """Yield for each head that is turned and still gives way that it has to settle."""
    today = desk.now().date()
    for side in SIDES:
        head, turn = drum.head_on(side), turns.head(side)
        if turn is None or not turn.amount:
            continue
        fall = learned.response.fall_cents(side, day=learned.day, days=1.0)
        if head is not None and (today - head.on).days <= NEW_FOR_DAYS:
            yield (
                f"The {side} head is new (on since {day_text(head.on)}) and gives way: "
                "let it settle, tap again, and turn then."
            )
        elif fall > SETTLING_CENTS:
            yield (
                f"The {side} head still gives way, by about {in_cents(fall)} until tomorrow: "
                "let it settle, and tap again before you play."
            )


def _calf(*, drum_heads: list[str]) -> tuple[str, ...]:
    if "calf" not in drum_heads:
        return ()
    return ("Calf drifts within hours: trust the pitches, never yesterday's turns.",)


def _nothing(
    comparison: Comparison, drum_id: str, remark: str, *, possible: bool = True, worked_out: bool = True
) -> Retuning:
    return Retuning(
        comparison=comparison,
        on=drum_id,
        top=None,
        bottom=None,
        first=None,
        orders={},
        steps=(),
        expect=None,
        remarks=(remark, *comparison.remarks),
        possible=possible,
        worked_out=worked_out,
    )
