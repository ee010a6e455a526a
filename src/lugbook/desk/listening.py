"""Listening to a recording, without keeping anything."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.errors import BadValue
from lugbook.pitch import nearest, parse_pitch
from lugbook.plain import shown
from lugbook.progress import part_of
from lugbook.records import Struck

if TYPE_CHECKING:
    from lugbook.desk.evening import Evening
    from lugbook.desk.rod_rounds import RodsAsked
    from lugbook.heads import Hearing
    from lugbook.heads.levels import Levels
    from lugbook.sound import Recording

_READ = 0.1
"""The share of the whole at which the file has been read; the rest is listening."""

LEVEL_COLUMNS = 424
"""Levels over time that are kept of a recording: about two for each letter of a page, so that a low tone is
drawn as one shape and no comb."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A recording, and what was heard in it."""

    file: str
    """Its name as it was given, safe to show."""
    rate_hz: int
    a4_hz: float
    """The concert pitch that notes are named at, in Hz."""
    hearing: "Hearing"
    levels: "Levels"
    """How loud it is over time."""
    struck: Struck = "rim"
    near_hz: float | None = None
    """The pitch that was expected, in Hz."""
    evening: "Evening | None" = None
    """The round of the rods, where one was asked for."""


def listen_to(
    desk: Desk,
    path: str,
    *,
    near: str | None,
    struck: Struck,
    a4_hz: float,
    rods: "RodsAsked | None" = None,
) -> Heard:
    """Listen to the recording at *path*.

    Args:
        desk: the desk; its progress is told, and what that raises ends the listening.
        path: the recording.
        near: pitch to expect, as text; a note name without octave tells too little and is passed over.
        struck: where the head was struck.
        a4_hz: concert pitch that note names are meant at, in Hz.
        rods: how it is a round of the rods, if it is one.

    Raises:
        SoundUnavailable: it cannot be read.
        BadValue: *near* is no pitch, or the head has no such rods.
        NotPossible: the drum has no rods.
        StrikeUnreadable: the round before cannot be read.
    """
    near_hz = parse_pitch(near).hz_at(a4_hz) if near is not None else None
    if rods is None:
        return hear(desk, path, near_hz=near_hz, struck=struck, a4_hz=a4_hz)
    if struck != "rim":
        raise BadValue("Rods are not heard from the centre.", hint="Tap near the hoop, in front of each rod.")
    recording = _read(desk, path)

    def again(file: str, expected_hz: float | None) -> "Hearing":
        sound = recording if file == path else _read(desk, file)
        return _heard_in(desk, sound, near_hz=expected_hz, struck=struck)

    from lugbook.desk.listening_rods import even_out

    hearing, evening = even_out(desk, path, asked=rods, near_hz=near_hz, listen=again)
    found = _found(
        path,
        recording,
        replace(hearing, rods=evening.round.rods or None),
        near_hz=near_hz,
        struck=struck,
        a4_hz=a4_hz,
    )
    return replace(found, evening=evening)


def hear(desk: Desk, path: str, *, near_hz: float | None, struck: Struck, a4_hz: float) -> Heard:
    """Listen to the recording at *path* as `listen_to` does, the pitch to expect given in Hz."""
    recording = _read(desk, path)
    hearing = _heard_in(desk, recording, near_hz=near_hz, struck=struck)
    return _found(path, recording, hearing, near_hz=near_hz, struck=struck, a4_hz=a4_hz)


def _read(desk: Desk, path: str) -> "Recording":
    return desk.sound.read(Path(path), progress=part_of(desk.progress, 0.0, _READ))


def _heard_in(desk: Desk, recording: "Recording", *, near_hz: float | None, struck: Struck) -> "Hearing":
    # Imported on use: numpy is needed for recordings alone.
    from lugbook.heads import listen

    progress = part_of(desk.progress, _READ, 1.0)
    return listen(
        recording.samples, rate_hz=recording.rate_hz, near_hz=near_hz, struck=struck, progress=progress
    )


def _found(
    path: str,
    recording: "Recording",
    hearing: "Hearing",
    *,
    near_hz: float | None,
    struck: Struck,
    a4_hz: float,
) -> Heard:
    """Return what was heard, with its level over time, the notes named at *a4_hz*."""
    # Imported on use: numpy is needed for recordings alone.
    from lugbook.heads.levels import levels

    measured = levels(recording.samples, rate_hz=recording.rate_hz, columns=LEVEL_COLUMNS)
    return Heard(
        file=shown(path),
        rate_hz=recording.rate_hz,
        a4_hz=a4_hz,
        hearing=_named(hearing, a4_hz=a4_hz),
        levels=measured,
        struck=struck,
        near_hz=near_hz,
    )


def _named(hearing: "Hearing", *, a4_hz: float) -> "Hearing":
    """Return *hearing* with its notes named at *a4_hz*; the listening names them at 440 Hz."""
    reading = hearing.reading
    if reading is not None:
        near = nearest(reading.hz, a4_hz=a4_hz, digits=2)
        reading = replace(reading, note=near.note.text(), cents=near.cents)
    taps = []
    for tap in hearing.taps:
        if tap.hz is None:
            taps.append(tap)
        else:
            near = nearest(tap.hz, a4_hz=a4_hz, digits=2)
            taps.append(replace(tap, note=near.note.text(), cents=near.cents))
    return replace(hearing, reading=reading, taps=tuple(taps))
