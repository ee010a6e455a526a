"""Taking a reading: a note, a frequency, or the path of a recording that is listened to."""

from dataclasses import dataclass, replace
from math import sqrt
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.errors import BadValue, StrikeUnreadable
from lugbook.pitch import NearNote, Note, Pitch, nearest, parse_pitch, said_by_ear
from lugbook.plain import shown
from lugbook.records import By, Reading, Struck, least_sd_cents

if TYPE_CHECKING:
    from lugbook.desk.listening import Heard

SOUND_SUFFIXES = frozenset(
    {".wav", ".wave", ".flac", ".ogg", ".oga", ".opus", ".aif", ".aiff", ".mp3", ".caf"}
)
"""File names that end so are recordings, whether or not they can be read."""


NAME_SD_CENTS = 100 / sqrt(12)
"""Standard uncertainty of a typed note name without cents: any of the hundred cents may be meant."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading that was given, as it goes into a record, and what it comes to."""

    reading: Reading
    pitch: Pitch
    hz: float | None
    """Frequency in Hz; None for a note name without octave."""
    a4_hz: float
    """The concert pitch its note name is meant at, in Hz."""
    note: Note
    """The nearest note."""
    cents: float
    """How far from that note, in cents."""
    remarks: tuple[str, ...] = ()
    """What was wrong with the strokes, in sentences."""
    heard: "Heard | None" = None
    """All that was heard, where it came from a recording just now."""
    alone: bool = False
    """Whether it is a note name that was typed without cents."""
    entry_id: str | None = None
    """The logbook entry that it was written down in, at the bench."""

    def text(self) -> str:
        """Return the note with its cents, such as ``A3+4``."""
        return Pitch(note=self.note, cents=round(self.cents), hz=None).text()


def is_recording(text: str) -> bool:
    """Tell whether *text* names a recording rather than a pitch."""
    if Path(text).suffix.lower() in SOUND_SUFFIXES or "/" in text or "\\" in text:
        return True
    try:
        parse_pitch(text)
    except BadValue:
        # An empty text would be the folder one stands in.
        return 0 < len(text) < 256 and "\0" not in text and Path(text).exists()
    return False


def take(
    desk: Desk,
    text: str,
    *,
    a4_hz: float,
    by: By | None = None,
    struck: Struck = "rim",
    near_hz: float | None = None,
    like: Note | None = None,
) -> Taken:
    """Take the reading that *text* names.

    Args:
        desk: the desk.
        text: ``A3+4``, ``A``, ``221.3 Hz`` or the path of a recording.
        a4_hz: concert pitch that a note name is meant at, in Hz.
        by: how a typed pitch was had; where None, "low side" and the like are by ear, the rest is typed. A
            recording is always ``recording``.
        struck: where the head was struck.
        near_hz: pitch to expect in a recording, in Hz.
        like: spell a black key like this note.

    Raises:
        BadValue: it is no pitch.
        SoundUnavailable: the recording cannot be read.
        StrikeUnreadable: no pitch can be read from the recording.
    """
    if is_recording(text):
        return _listen(desk, Path(text), a4_hz=a4_hz, struck=struck, near_hz=near_hz, like=like)
    how: By = by or ("ear" if said_by_ear(text) else "typed")
    pitch = parse_pitch(text)
    alone = how == "typed" and is_name_alone(text)
    sd_cents = round(NAME_SD_CENTS, 1) if alone else least_sd_cents(how)
    reading = Reading(pitch=pitch.text(), by=how, struck=struck, sd_cents=sd_cents)
    taken = taken_from(reading, a4_hz=a4_hz, like=like)
    return replace(taken, alone=alone)


def is_name_alone(text: str) -> bool:
    """Tell whether *text*, a pitch, is a note name without cents, such as ``A3`` or ``Bb``."""
    return (
        parse_pitch(text).note is not None
        and not any(sign in text for sign in "+-−")
        and (not said_by_ear(text))
    )


def taken_from(reading: Reading, *, a4_hz: float, like: Note | None = None) -> Taken:
    """Return what a kept *reading* comes to at the concert pitch *a4_hz*."""
    pitch = parse_pitch(reading.pitch)
    hz = pitch.hz_at(a4_hz)
    if hz is None:
        return Taken(reading, pitch, hz=None, a4_hz=a4_hz, note=note_of(pitch), cents=pitch.cents)
    near = told(hz, a4_hz=a4_hz, like=like or pitch.note)
    return Taken(reading=reading, pitch=pitch, hz=hz, a4_hz=a4_hz, note=near.note, cents=near.cents)


def told(hz: float, *, a4_hz: float, like: Note | None = None) -> NearNote:
    """Return the nearest note of *hz* with cents to two decimals, as they are told.

    The note is chosen after rounding, so that 50.00 cents is never told.
    """
    return nearest(hz, a4_hz=a4_hz, like=like, digits=2)


def named(text: str, *, a4_hz: float) -> str:
    """Return a kept pitch by its note: ``A3+4`` as it is, ``221.314 Hz`` as ``A3+10``, to the cent.

    Args:
        text: a pitch as it stands in a record.
        a4_hz: the record's concert pitch in Hz.
    """
    pitch = parse_pitch(text)
    if pitch.hz is None:
        return text
    near = nearest(pitch.hz, a4_hz=a4_hz, digits=0)
    return Pitch(note=near.note, cents=near.cents).text()


def renamed_pitch(text: str, *, old_a4_hz: float, a4_hz: float) -> str:
    """Return the pitch *text*, meant at *old_a4_hz*, as it is called at *a4_hz*, to a hundredth of a cent."""
    pitch = parse_pitch(text)
    if pitch.note is None or a4_hz == old_a4_hz:
        return text
    octave = 4 if pitch.note.octave is None else pitch.note.octave
    hz = Pitch(replace(pitch.note, octave=octave), pitch.cents).hz_at(old_a4_hz)
    near = nearest(hz or a4_hz, a4_hz=a4_hz, like=pitch.note, digits=2)
    note = near.note if pitch.note.octave is not None else replace(near.note, octave=None)
    return Pitch(note, round(near.cents, 2)).text()


def note_of(pitch: Pitch) -> Note:
    """Return the note of a *pitch* that has no frequency of its own."""
    if pitch.note is None:
        raise BadValue(f"{pitch.text()} is a frequency and names no note.")
    return pitch.note


def _listen(
    desk: Desk, path: Path, *, a4_hz: float, struck: Struck, near_hz: float | None, like: Note | None
) -> Taken:
    # Imported on use: a typed reading is taken without it.
    from lugbook.desk.listening import hear

    found = hear(desk, str(path), near_hz=near_hz, struck=struck, a4_hz=a4_hz)
    heard = found.hearing.reading
    if heard is None:
        raise StrikeUnreadable(
            f"{shown(path.name)}: {found.hearing.refused or 'no stroke was heard.'}",
            hint="Tap softly near the rim with the other head damped, and record again.",
        )
    reading = Reading(
        pitch=f"{heard.hz:.3f} Hz",
        by="recording",
        struck=struck,
        other_head=heard.other_head,
        sd_cents=round(max(least_sd_cents("recording"), heard.sd_cents), 2),
        file=shown(path.name),
    )
    taken = taken_from(reading, a4_hz=a4_hz, like=like)
    return Taken(
        reading=taken.reading,
        pitch=taken.pitch,
        hz=heard.hz,
        a4_hz=a4_hz,
        note=taken.note,
        cents=taken.cents,
        remarks=tuple(found.hearing.remarks),
        heard=found,
    )
