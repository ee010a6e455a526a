"""The parts of a printed card: pitches, turns, rods and limits, as the records of a drum have them."""

from collections.abc import Mapping
from dataclasses import replace

from lugbook.cards.blank_chart import CAUTION, ROPE_CAUTION
from lugbook.cards.facts import CardPitch, CardRods, CardSnare, CardTurns
from lugbook.desk.asking import taken_from, told
from lugbook.desk.desk import Desk
from lugbook.desk.shelf import TurnsRow
from lugbook.desk.wording import day_text, turns_text
from lugbook.pitch import Pitch, interval_cents, localised_sign, signed, whole
from lugbook.records import SIDES, By, Drum, HeadSide, NoteNames, Preset, Reading
from lugbook.records.snares import plain_number
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order

HEADS: Mapping[HeadSide, str] = {"top": "Top head", "bottom": "Bottom head"}
"""Side → its heading on a card."""

LANGUAGES: Mapping[NoteNames, str] = {
    "english": "",
    "german": "German note names: B is English B♭, H is English B.",
    "latin": "Latin note names: do is English C, si is B.",
}
"""What to know of the note names on a card."""

_BOTH = "Both heads"
_HOW: Mapping[By, str] = {
    "ear": "by ear",
    "typed": "typed",
    "recording": "recorded",
    "microphone": "microphone",
}


def counted_sides(drum: Drum) -> tuple[HeadSide, ...]:
    """Return the heads that have a count of their own; in single tension the top stands for both."""
    if not drum.turns_offered:
        return ()
    return SIDES[:1] if drum.tension == "single" else SIDES


def head_name(drum: Drum, side: HeadSide) -> str:
    """Return the heading of a head, or of both where one rod pulls both."""
    return _BOTH if drum.tension == "single" else HEADS[side]


def pitches_of(desk: Desk, preset: Preset, *, named_at_hz: float | None = None) -> tuple[CardPitch, ...]:
    """Return the targets of a preset, in the player's note names.

    Args:
        desk: the desk.
        preset: whose targets.
        named_at_hz: concert pitch that the notes are named at, which moves no target; the preset's own where
            None.
    """
    return tuple(
        _pitch(desk, side, reading, a4_hz=preset.a4, named_at_hz=named_at_hz or preset.a4)
        for side in SIDES
        if (reading := preset.target(side)) is not None
    )


def _pitch(desk: Desk, side: HeadSide, reading: Reading, *, a4_hz: float, named_at_hz: float) -> CardPitch:
    taken = taken_from(reading, a4_hz=a4_hz)
    note, cents, english = taken.note, taken.cents, taken.text()
    if taken.hz is not None and named_at_hz != a4_hz:
        near = told(taken.hz, a4_hz=named_at_hz, like=note)
        note, cents = near.note, near.cents
        english = Pitch(note=note, cents=round(cents), hz=None).text()
    struck = ", struck at the centre" if reading.struck == "centre" else ""
    free = ", other head free" if reading.other_head == "free" else ""
    return CardPitch(
        head=HEADS[side],
        note=localised_sign(note, language=desk.user.note_names),
        english=english,
        cents=cents,
        hz=taken.hz,
        how=f"{_HOW[reading.by]}, ± {whole(reading.uncertainty_cents)} cents{struck}{free}",
    )


def interval_text(preset: Preset, name: str | None) -> str:
    """Return the interval from top to bottom by its *name* and in cents, as far as both are known."""
    if name is None:
        return ""
    top, bottom = preset.target_hz("top"), preset.target_hz("bottom")
    if top is None or bottom is None:
        return name
    return f"{name}, {signed(interval_cents(top, bottom_hz=bottom))} cents"


def turns_of(drum: Drum, preset: Preset, rows: Mapping[HeadSide, TurnsRow | None]) -> tuple[CardTurns, ...]:
    """Return where the heads stand in a preset, and why a count is void; *rows* say whether it is."""
    if not drum.turns_offered:
        return ()
    found = [_turn(drum, preset, side, row) for side in SIDES if (row := rows[side]) is not None]
    return tuple(found[:1] if drum.tension == "single" else found)


def _turn(drum: Drum, preset: Preset, side: HeadSide, row: TurnsRow) -> CardTurns:
    position = preset.position(side)
    its = next((one for one in drum.counts if position is not None and one.id == position.count), None)
    return CardTurns(
        head=head_name(drum, side),
        amount=row.amount,
        shown=show_turns(row.amount),
        reference="a reference that is not written down" if its is None else its.reference,
        void="" if row.valid else _why_void(drum, preset, side),
        day_only=bool(row.valid) and (head := drum.head_on(side)) is not None and head.material == "calf",
    )


def _why_void(drum: Drum, preset: Preset, side: HeadSide) -> str:
    position, count = preset.position(side), drum.count_of(side)
    if count is None or position is None:
        return "its count is not written down"
    if count.id == position.count:
        return "calf keeps no turns overnight"
    why = f": {count.why}" if count.why else ""
    return f"a new count began {day_text(count.since.date())}{why}"


def rods_of(drum: Drum) -> tuple[CardRods, ...]:
    """Return the rods of each head; in one row where both heads have the same."""
    rows = [
        CardRods(
            head_name(drum, side),
            star_order(drum.side(side).rods),
            () if drum.tension == "single" else drum.side(side).snare_bed_rods,
        )
        for side in counted_sides(drum)
    ]
    if len(rows) > 1 and len({(row.order, row.bed) for row in rows}) == 1:
        return (replace(rows[0], head=_BOTH),)
    return tuple(rows)


def adjustments_of(drum: Drum, preset: Preset) -> tuple[CardSnare, ...]:
    """Return what a preset sets on the strainer, with each unit and zero."""
    known = {one.name: one for one in drum.strainer.adjustments}
    rows = []
    for name, value in preset.snares.values.items():
        its = known.get(name)
        unit = "" if its is None else " ".join(filter(None, (its.unit, its.zero and f"from {its.zero}")))
        rows.append(CardSnare(name, plain_number(value), unit))
    return tuple(rows)


def limits_text(drum: Drum, side: HeadSide) -> str:
    """Return what is written down that a head must not be tuned past; empty where nothing is."""
    its = drum.side(side)
    parts = []
    if its.turns_max is not None and drum.turns_offered:
        parts.append(f"at most {turns_text(its.turns_max)}")
    if its.turns_min is not None and drum.turns_offered:
        parts.append(f"at least {turns_text(its.turns_min)}")
    if its.hz_max is not None:
        parts.append(f"at most {its.hz_max:g} Hz")
    return ", ".join(parts)


def caution_text(drum: Drum) -> str:
    """Return the caution that stands on every card, with the drum's own limits."""
    said = limits_said(drum)
    written = f" Limits written down: {said}." if said else ""
    return (CAUTION if drum.turns_offered else ROPE_CAUTION) + written


def limits_said(drum: Drum) -> str:
    """Return the limits of both heads, such as ``top at most 2½ turns``; empty where nothing is."""
    return "; ".join(f"{side} {limits}" for side in SIDES if (limits := limits_text(drum, side)))
