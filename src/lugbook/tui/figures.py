"""How numbers and notes are written on the screens: whole signed cents, hertz, notes in any language.

Files and the command line stay English; only what is shown here and what is typed here may be German or
Latin. Other languages need music21, which is imported on use: a player of English notes never waits for it.
"""

import math

from lugbook.pitch import Note
from lugbook.records import NoteNames

MINUS = "−"
"""The minus sign U+2212, as wide as a plus sign."""


def whole(cents: float) -> int:
    """Return *cents* as a whole number; exactly half goes away from nought."""
    return int(math.copysign(math.floor(abs(cents) + 0.5), cents))


def signed(cents: float) -> str:
    """Return *cents* as a whole number with its sign: ``+4``, ``−12``, ``0``."""
    number = whole(cents)
    return "0" if number == 0 else f"{'+' if number > 0 else MINUS}{abs(number)}"


def hertz(hz: float | None) -> str:
    """Return a frequency as ``221.3 Hz``; empty where there is none."""
    return "" if hz is None else f"{hz:.1f} Hz"


def note_name(note: Note, *, language: NoteNames) -> str:
    """Return the *note* as the player writes it: ``B♭3``, German ``B3``, Latin ``si♭3``."""
    if language == "english":
        return note.sign()
    # Imported on use: it brings music21 along, which takes a third of a second.
    from lugbook.pitch.words import localised

    if language == "german":
        return localised(note, language=language)
    syllable = localised(Note(note.letter, 0, None), language=language)
    return syllable + note.sign()[1:]


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
        number = abs(whole(off_cents))
        return f"{number} cent{'' if number == 1 else 's'} {word}"
    return f"{word} ({signed(off_cents)})"
