"""Listening to a recording, without keeping anything."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.desk.asking import told
from lugbook.desk.desk import Desk
from lugbook.pitch import parse_pitch
from lugbook.plain import shown
from lugbook.records import Struck

if TYPE_CHECKING:
    from lugbook.heads import Hearing


@dataclass(frozen=True, slots=True)
class Heard:
    """A recording, and what was heard in it."""

    file: str
    """Its name as it was given, safe to show."""
    rate_hz: int
    a4_hz: float
    """The concert pitch that notes are named at, in Hz."""
    hearing: "Hearing"


def listen_to(desk: Desk, path: str, *, near: str | None, struck: Struck, a4_hz: float) -> Heard:
    """Listen to the recording at *path*.

    Args:
        desk: the desk.
        path: the recording.
        near: pitch to expect, as text; a note name without octave tells too little and is passed over.
        struck: where the head was struck.
        a4_hz: concert pitch that note names are meant at, in Hz.

    Raises:
        SoundUnavailable: it cannot be read.
        BadValue: *near* is no pitch.
    """
    near_hz = parse_pitch(near).hz_at(a4_hz) if near is not None else None
    recording = desk.sound.read(Path(path))
    # Imported on use: numpy is needed for recordings alone.
    from lugbook.heads import listen

    hearing = listen(recording.samples, rate_hz=recording.rate_hz, near_hz=near_hz, struck=struck)
    return Heard(
        file=shown(path), rate_hz=recording.rate_hz, a4_hz=a4_hz, hearing=_named(hearing, a4_hz=a4_hz)
    )


def _named(hearing: "Hearing", *, a4_hz: float) -> "Hearing":
    """Return *hearing* with its notes named at *a4_hz*; the listening names them at 440 Hz."""
    reading = hearing.reading
    if reading is not None:
        near = told(reading.hz, a4_hz=a4_hz)
        reading = replace(reading, note=near.note.text(), cents=near.cents)
    taps = []
    for tap in hearing.taps:
        if tap.hz is None:
            taps.append(tap)
        else:
            near = told(tap.hz, a4_hz=a4_hz)
            taps.append(replace(tap, note=near.note.text(), cents=near.cents))
    return replace(hearing, reading=reading, taps=tuple(taps))
