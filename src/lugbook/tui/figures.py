"""How numbers and notes are written on the screens: whole signed cents, hertz, notes in any language.

Files and the command line stay English; only what is shown here and what is typed here may be German or
Latin. Other languages need music21, which is imported on use: a player of English notes never waits for it.
"""

from collections.abc import Mapping

from lugbook.pitch import Note, Pitch, in_cents, parse_pitch, signed, whole
from lugbook.records import NoteNames

EXAMPLES: Mapping[NoteNames, str] = {"english": "Bb3+4", "german": "B3+4", "latin": "sib3+4"}
"""A pitch as a player types it, by the language of note names."""


def hertz(hz: float | None) -> str:
    """Return a frequency as ``221.3 Hz``; empty where there is none."""
    return "" if hz is None else f"{hz:.1f} Hz"


def note_name(note: Note, *, language: NoteNames) -> str:
    """Return the *note* as the player writes it: ``B♭3``, German ``B3``, Latin ``si♭3``."""
    if language == "english":
        return note.sign()
    # Imported on use: it brings music21 along, which takes a third of a second.
    from lugbook.pitch.words import localised_sign

    return localised_sign(note, language=language)


def written(text: str, *, language: NoteNames) -> str:
    """Return a pitch as it stands in a record, such as ``Bb3+4``, as the player types it."""
    note = parse_pitch(text).note
    if language == "english" or note is None:
        return text
    # Imported on use: it brings music21 along, which takes a third of a second.
    from lugbook.pitch.words import localised

    return localised(note, language=language) + text.removeprefix(note.text())


def read_pitch(text: str, *, language: NoteNames) -> Pitch:
    """Return the pitch that a player typed.

    Raises:
        BadValue: it is none in that language.
    """
    if language == "english":
        return parse_pitch(text)
    # Imported on use, as above.
    from lugbook.pitch.words import parse_localised_pitch

    return parse_localised_pitch(text, language=language)


def tall_name(note: Note, *, language: NoteNames) -> str:
    """Return the name of the *note* in signs that can be drawn tall."""
    name = note_name(note, language=language).replace("𝄪", "♯♯").replace("𝄫", "♭♭")
    return name.upper() if language == "latin" else name


def pitch(note: Note, cents: float, *, language: NoteNames) -> str:
    """Return a note with its whole cents, such as ``B♭3 −12``; just the note where they are 0."""
    name = note_name(note, language=language)
    return f"{name} {signed(cents)}" if whole(cents) else name


def cents_in_words(off_cents: float, word: str) -> str:
    """Return a deviation in words, such as ``12 cents flat`` or ``in tune (+3)``."""
    if word in ("flat", "sharp"):
        return f"{in_cents(off_cents)} {word}"
    return f"{word} ({signed(off_cents)})"
