"""Where the pitch of a head is to be expected: what the player once chose on it holds for later recordings.

A choice is a reading of the logbook with ``chosen = true``, so that it travels with the drum. From then on,
and until a new head goes on, the latest reading of that head says where its pitch is to be expected in the
next recording: the readings after a choice follow the chosen pitch as the head is turned. A target, or a
pitch that is given to expect, goes first.
"""

from dataclasses import dataclass, replace
from datetime import datetime

from lugbook.desk.asking import Taken, is_recording, take
from lugbook.desk.desk import Desk
from lugbook.pitch import Note, pitch_hz
from lugbook.records import By, Drum, Entry, HeadSide, Struck


@dataclass(frozen=True, slots=True)
class Expected:
    """Where the pitch of a head is to be expected, after what the player chose on it."""

    hz: float
    chosen_at: datetime
    """When it was chosen."""

    def sentence(self) -> str:
        """Say so, in hertz: a note would have to be named in the player's language."""
        return f"Listened for near {self.hz:.1f} Hz, the pitch that you chose on {self.chosen_at.date()}."


def expected(drum: Drum, entries: tuple[Entry, ...], side: HeadSide, *, struck: Struck) -> Expected | None:
    """Return where the pitch of one head is to be expected; None where the player never chose on this head.

    Args:
        drum: the drum.
        entries: of its logbook, in order.
        side: which head.
        struck: where it is struck now; rim and centre sound different pitches.
    """
    found: Expected | None = None
    for entry in entries:
        reading = entry.reading(side)
        if reading is None or reading.struck != struck:
            continue
        if not _heard_on_it(drum, side, entry):
            continue
        hz = pitch_hz(reading.pitch, a4_hz=entry.a4)
        if hz is None:
            continue
        if reading.chosen:
            found = Expected(hz, entry.at)
        elif found is not None:
            found = replace(found, hz=hz)
    return found


def _heard_on_it(drum: Drum, side: HeadSide, entry: Entry) -> bool:
    """Tell whether an entry is about the head that is on now: not before its day, nor before its count."""
    head = drum.head_on(side)
    if head is None:
        return True
    begun = [one.since for one in drum.counts if one.side == side and one.since.date() == head.on]
    return entry.at.date() >= head.on and all(entry.at >= since for since in begun)


def take_of(
    desk: Desk,
    drum_id: str,
    side: HeadSide,
    text: str,
    *,
    a4_hz: float,
    by: By | None = None,
    struck: Struck = "rim",
    near_hz: float | None = None,
    like: Note | None = None,
) -> Taken:
    """Take a reading of one head as `asking.take` does, with what the player once chose on it.

    Args:
        desk: the desk.
        drum_id: the drum's slug.
        side: which head.
        text: a pitch or the path of a recording.
        a4_hz: concert pitch that a note name is meant at, in Hz.
        by: how a typed pitch was had.
        struck: where the head was struck.
        near_hz: pitch to expect, in Hz; where None, what was chosen says it.
        like: spell a black key like this note.
    """
    before = None
    if near_hz is None and is_recording(text):
        drum = desk.library.drum(drum_id).record
        before = expected(drum, desk.library.log(drum_id).entries, side, struck=struck)
    near_hz = before.hz if before is not None else near_hz
    taken = take(desk, text, a4_hz=a4_hz, by=by, struck=struck, near_hz=near_hz, like=like)
    if before is None:
        return taken
    return replace(taken, remarks=(*taken.remarks, before.sentence()))
