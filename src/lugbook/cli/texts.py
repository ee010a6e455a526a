"""Answers in words and aligned rows: cents as signed whole numbers with a word, turns as a player reads them.

"Off" is always measured minus target. Fields of a record carry the names that forms give them; in JSON they
carry the keys of its file.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING

from lugbook.desk.wording import NOTHING
from lugbook.pitch import in_cents, nearest, signed, whole
from lugbook.records import SIDES, Record
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk.comparing import Comparison
    from lugbook.desk.listening import Heard
    from lugbook.desk.noting import Noted
    from lugbook.desk.retuning import Retuning
    from lugbook.desk.shelf import DrumShelf, HeadRow, Shelf, TurnsRow
    from lugbook.heads import Tap
    from lugbook.library import Problem

_TURNS = frozenset({"amount", "turns_max", "turns_min"})
"""Keys of records that hold turns."""

Row = tuple[str, ...]


def pitch(note: str, cents: float) -> str:
    """Return a note with its whole cents, such as ``A3 −12``."""
    return f"{note} {signed(cents)}" if whole(cents) else note


def _cents(value: float) -> str:
    """Return signed cents with their unit, such as ``−12 cents`` or ``+1 cent``."""
    return f"{signed(value)} cent{'' if abs(whole(value)) == 1 else 's'}"


def _width(cents: float) -> str:
    """Return an interval in whole cents; a falling one has a minus, a rising one no sign."""
    return signed(cents).removeprefix("+")


def hertz(value: float | None) -> str:
    """Return *value* such as ``221.3 Hz``."""
    return NOTHING if value is None or not isfinite(value) else f"{value:.1f} Hz"


def noted(found: "Noted", out: "Output") -> None:
    """Say what a reading is called."""
    hz = "any octave" if found.hz is None else f"{found.hz:.3f} Hz"
    out.data(f"{hz}  {found.note}  {_cents(found.cents)}  A4 = {found.a4_hz:g} Hz")
    out.words(*found.remarks)


def heard(found: "Heard", out: "Output") -> None:
    """Say what was heard in a recording."""
    hearing, reading = found.hearing, found.hearing.reading
    if reading is not None:
        out.data(
            f"{pitch(reading.note, reading.cents)}  {hertz(reading.hz)}  ± {in_cents(reading.sd_cents)}  "
            f"from {reading.taps_used} of {len(hearing.taps)} taps{'' if reading.sure else '  (not sure)'}"
        )
        if reading.split_cents is not None:
            out.data(
                f"Two pitches close together, {in_cents(reading.split_cents)} apart: the head is uneven."
            )
        for other in reading.alternatives:
            near = nearest(other.hz, a4_hz=found.a4_hz)
            out.data(f"Or {pitch(near.note.text(), near.cents)}, {hertz(other.hz)}: {other.why}.")
    if hearing.taps:
        out.data("")
        out.table(
            [
                ("tap", "at", "pitch", "frequency", "remark"),
                *(_tap(n, tap) for n, tap in enumerate(hearing.taps, 1)),
            ]
        )
    out.data(*hearing.remarks)


def _tap(number: int, tap: "Tap") -> Row:
    note = NOTHING if tap.note is None or tap.cents is None else pitch(tap.note, tap.cents)
    why = "" if tap.used else f"left out: {tap.why_not}" if tap.why_not else "left out"
    return f"{number}", f"{tap.at_s:.2f} s", note, hertz(tap.hz), why


def compared(found: "Comparison", out: "Output", *, remarks: bool = True) -> None:
    """Say how a drum compares with a preset."""
    out.data(f"{found.drum}/{found.preset}: {found.verdict}")
    rows: list[Row] = []
    for side in SIDES:
        head = found.head(side)
        if head is not None:
            rows.append(
                (
                    side,
                    pitch(head.note.text(), head.cents),
                    hertz(head.measured_hz) if head.measured_hz else "any octave",
                    "for",
                    pitch(head.target_note.text(), head.target_cents),
                    hertz(head.target_hz) if head.target_hz else "any octave",
                    f"{_cents(head.off_cents)} off",
                    head.word,
                    f"(within {head.tolerance_cents:g})",
                )
            )
    out.table(rows)
    interval = found.interval
    if interval.name is not None and interval.target_cents is not None:
        line = f"interval: {interval.name}, {_width(interval.target_cents)} cents"
        if interval.measured_cents is not None:
            off = interval.measured_cents - interval.target_cents
            line += f"; heard {_width(interval.measured_cents)}, {signed(off)} off"
        out.data(line)
    if found.why is not None:
        told = (f"Why: {found.why.says}", *(f"  {one}" for one in found.why.evidence), found.why.then)
        out.data("", *(line for line in told if line), *([""] if remarks and found.remarks else ()))
    if remarks:
        out.data(*found.remarks)


def retuned(found: "Retuning", out: "Output") -> None:
    """Say how to bring a drum back."""
    compared(found.comparison, out, remarks=False)
    rows = [
        (
            side,
            _to_do(turn.amount),
            "far off" if turn.far else f"± {turn.sd:.2f} turns",
            turn.basis,
        )
        for side in SIDES
        if (turn := found.head(side)) is not None
    ]
    if rows:
        out.data("")
        out.table(rows)
    careful = [caution.sentence for caution in found.cautions]
    if careful:
        out.data("", *careful)
    if found.steps:
        out.data("", *(f"{number}. {step}" for number, step in enumerate(found.steps, 1)))
    expect = found.expect
    if expect is not None and found.first is not None:
        hopes = [
            f"{side} {pitch(near.note.text(), near.cents)} ({hertz(expect.hz(side))})"
            for side in SIDES
            if (near := expect.near(side)) is not None
        ]
        out.data("", f"Expect: {', '.join(hopes)}, give or take {in_cents(expect.sd_cents)}.")
    elif found.possible and rows:
        left_out = [side for side in SIDES if found.comparison.head(side) and not found.head(side)]
        out.data("", "Nothing to turn." if not left_out else f"Nothing to turn but the {left_out[0]} head.")
    remarks = [remark for remark in found.remarks if remark not in careful]
    if remarks:
        out.data("", *remarks)


def _to_do(amount: float) -> str:
    """Return a turn in words, such as ``tighten ⅛``."""
    return f"{'tighten' if amount > 0 else 'loosen'} {show_turns(abs(amount))}" if amount else "leave"


def presets(found: "Shelf", out: "Output") -> None:
    """List presets, with why they fit where music was asked for; the nearest where none fits."""
    rows = found.rows or found.nearest
    if not found.rows:
        out.words("None fits all of it; these come nearest." if found.nearest else "No preset.")
    if rows:
        why = ("why",) if rows[0].fit is not None else ()
        out.table(
            [
                ("preset", "name", "top", "bottom", "interval", "turns", "for", *why),
                *(
                    (
                        row.id,
                        row.name,
                        row.top or NOTHING,
                        row.bottom or NOTHING,
                        row.interval or NOTHING,
                        _turns(row.turns_top, row.turns_bottom),
                        ", ".join(row.contexts) or NOTHING,
                        *(("; ".join(row.fit.why),) if row.fit is not None else ()),
                    )
                    for row in rows
                ),
            ]
        )


def _turns(*rows: "TurnsRow | None") -> str:
    if not any(rows):
        return NOTHING
    return " / ".join(
        NOTHING if row is None else f"{show_turns(row.amount)}{_VALID[row.valid]}" for row in rows
    )


_VALID = {True: "", False: " (void)", None: " (cannot tell)"}
"""What stands beside turns, by whether their count is still running."""


def drums(found: "DrumShelf", out: "Output") -> None:
    """List drums."""
    if found.rows:
        out.table(
            [
                ("drum", "name", "size", "tension", "rods", "top head", "bottom head", "presets"),
                *(
                    (
                        row.slug,
                        row.name,
                        row.size,
                        row.tension,
                        f"{row.rods_top}/{row.rods_bottom}",
                        row.top_head or NOTHING,
                        row.bottom_head or NOTHING,
                        str(row.presets),
                    )
                    for row in found.rows
                ),
            ]
        )
    else:
        out.words("No drum.")


def heads(rows: "Sequence[HeadRow]", out: "Output") -> None:
    """List the heads of a drum."""
    if rows:
        out.table(
            [
                ("head", "what", "on", "off"),
                *(
                    (row.id, row.what, row.on.isoformat(), row.off.isoformat() if row.off else NOTHING)
                    for row in rows
                ),
            ]
        )
    else:
        out.words("No head is recorded.")


def problems(found: "Sequence[Problem]") -> list[str]:
    """Return what could not be read, one sentence each."""
    return [problem.sentence() for problem in found]


def record(kept: Record, out: "Output", **above: str) -> None:
    """Show every field of a record in rows, *above* first."""
    # Imported on use: only what is kept is shown by its fields.
    from lugbook.desk.wording import key_words

    fields = _fields(kept.model_dump(exclude={"format"}))
    rows = [*above.items(), *((key_words(key), value) for key, value in fields)]
    lines = []
    for name, value in rows:
        first, *rest = value.splitlines() or [""]
        lines += [(name, first), *(("", line) for line in rest)]
    out.table(lines)


def _fields(value: object, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping) and value:
        for key, one in value.items():
            yield from _fields(one, f"{path}.{key}" if path else str(key))
    elif isinstance(value, tuple | list) and value and isinstance(value[0], Mapping):
        # Counted from 1, as in the sentences about a faulty file.
        for number, one in enumerate(value, 1):
            yield from _fields(one, f"{path}.{number}")
    else:
        yield path, _cell(value, path.rpartition(".")[2])


def _cell(value: object, key: str) -> str:
    if value is None or value in ("", (), {}):
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and key in _TURNS:
        return show_turns(value)
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, tuple | list):
        return ", ".join(str(one) for one in value)
    return str(value)
