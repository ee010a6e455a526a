"""Choosing another line of a recording than the one that was read: the player says "I hear that one".

The choice takes the place of the reading in the logbook, marked ``chosen = true``; what follows from it for
later recordings of that head is told in `desk.expecting`.
"""

from dataclasses import replace
from math import sqrt
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken, taken_from
from lugbook.desk.bench import Bench, with_taken
from lugbook.desk.desk import Desk
from lugbook.errors import BadValue, NotPossible
from lugbook.records import Entry, HeadSide, Reading, least_sd_cents

if TYPE_CHECKING:
    from lugbook.heads.gathering import Line

_UNMEASURED_CENTS = 10.0
"""Standard uncertainty of a pitch that was offered but is a line of no tap, in cents (judgement)."""


def choose(desk: Desk, bench: Bench, side: HeadSide, hz: float) -> Bench:
    """Make another line of the recording the reading of one head: it is the one that the player hears.

    The entry of the reading before is corrected, all else in it stays.

    Args:
        desk: the desk.
        bench: the state at the drum.
        side: which head.
        hz: the line's frequency, as `lines_heard` has it.

    Raises:
        NotPossible: the present reading is from no recording, or was changed elsewhere meanwhile.
        BadValue: the recording has no such line.
    """
    taken = bench.taken(side)
    if taken is None:
        raise NotPossible(f"The {side} head was not read.", hint="Read it from a recording first.")
    chosen = _with_choice(taken, hz)
    entry = _corrected(desk, bench.drum_id, side, taken, chosen.reading)
    kept = desk.library.append(bench.drum_id, entry)
    return with_taken(desk, bench, side, replace(chosen, entry_id=kept.id))


def lines_heard(taken: Taken) -> "tuple[Line, ...]":
    """Return the lines of a recording that a pitch may be chosen from, lowest first; empty without one."""
    if taken.heard is None:
        return ()
    # Imported on use: only a recording needs it.
    from lugbook.heads.gathering import lines_of

    return lines_of(taken.heard.hearing)


def _with_choice(taken: Taken, hz: float) -> Taken:
    """Return the reading *taken* as the player hears it: the line at *hz*.

    Raises:
        NotPossible: the reading is from no recording, or the logbook does not hold it.
        BadValue: it has no such line.
    """
    heard = taken.heard
    if heard is None or heard.hearing.reading is None or taken.entry_id is None:
        raise NotPossible("This reading is from no recording that was listened to just now.")
    line = next((line for line in lines_heard(taken) if line.hz == hz), None)
    if line is None:
        raise BadValue(f"No line at {hz:.1f} Hz was heard.", hint="Choose one of those that are shown.")
    of_reading = next((one for one in lines_heard(taken) if one.role == "reading"), None)
    sd_cents = _sd_cents(line, of_reading, heard.hearing.reading.sd_cents)
    reading = taken.reading.model_copy(
        update={"pitch": f"{hz:.3f} Hz", "sd_cents": round(sd_cents, 2), "chosen": True}
    )
    chosen = taken_from(reading, a4_hz=taken.a4_hz)
    return replace(
        taken, reading=reading, pitch=chosen.pitch, hz=chosen.hz, note=chosen.note, cents=chosen.cents
    )


def _corrected(desk: Desk, drum_id: str, side: HeadSide, taken: Taken, reading: Reading) -> Entry:
    """Return the entry that puts the *reading* in the place of the one *taken* before, all else as it was.

    Raises:
        NotPossible: the logbook no longer holds that one.
    """
    entries = desk.library.log(drum_id).entries
    entry = next((one for one in entries if one.id == taken.entry_id), None)
    if entry is None:
        raise NotPossible(
            "This reading was changed elsewhere meanwhile.", hint="Leave the bench and open it again."
        )
    return entry.model_copy(
        update={side: reading, "corrects": entry.id, "void": False, "id": desk.library.new_entry_id()}
    )


def _sd_cents(line: "Line", of_reading: "Line | None", sd_cents: float) -> float:
    """Return the standard uncertainty of a chosen line in cents.

    A line's uncertainty grows as its level falls (Cramér–Rao bound of a damped sinusoid: inversely to the
    amplitude), and it is no better than the taps agree.
    """
    if line.level_db is None or of_reading is None or of_reading.level_db is None:
        return max(_UNMEASURED_CENTS, sd_cents)
    weaker = 10 ** (max(of_reading.level_db - line.level_db, 0.0) / 20)
    scatter = (line.spread_cents or 0.0) / 2 / sqrt(max(line.taps, 1))
    return min(max(least_sd_cents("recording"), sd_cents * weaker, scatter), 1200.0)
