"""Spelled notes, and the note nearest to a frequency.

Conventions: English scientific names. Middle C is C4 (note number 60), A4 is 69, and the octave number
changes at C by the letter: B#3 sounds as C4, Cb4 as B3. A note without octave is a name alone, "any octave".

Source: the numbering is that of the MIDI Tuning Standard, C4 = 60 (from memory).
"""

import math
import re
from dataclasses import dataclass
from typing import Self

from lugbook.errors import BadValue
from lugbook.pitch.hertz import A4_STANDARD_HZ, hz_of_midi, midi_of
from lugbook.plain import shown

LETTERS = "CDEFGAB"
"""The letters in the order of an octave, which begins at C."""

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
"""Semitones of each natural note above the C of its octave."""

OCTAVE_MIN, OCTAVE_MAX = 0, 9
"""Octaves that can be written: C0 is 16 Hz, C9 8372 Hz. One digit without sign: "A-1" is one cent below A."""

ACCIDENTALS = {
    "": 0,
    "#": 1,
    "♯": 1,
    "b": -1,
    "♭": -1,
    "##": 2,
    "x": 2,
    "♯♯": 2,
    "𝄪": 2,
    "bb": -2,
    "♭♭": -2,
    "𝄫": -2,
}
"""Every way to write an accidental, and the semitones it adds."""

NAME_FORM = r"(?P<letter>[A-Ga-g])(?P<accidental>##?|♯♯?|bb?|♭♭?|[x𝄪𝄫]?)(?P<octave>[0-9]?)"
"""A note name as a regular expression: letter, accidental, octave."""

_NAME = re.compile(NAME_FORM)
_WRITTEN = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_SIGNS = {-2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "♯♯"}

_USUAL = (
    ("C", 0),
    ("C", 1),
    ("D", 0),
    ("E", -1),
    ("E", 0),
    ("F", 0),
    ("F", 1),
    ("G", 0),
    ("G", 1),
    ("A", 0),
    ("B", -1),
    ("B", 0),
)
"""How each of the twelve notes is spelled where nothing else is asked for (common practice, no source)."""

_DIGITS = 9
"""Decimals of a cent that are kept: enough to be exact, few enough that half a semitone comes out as half."""

_LONGEST_ECHO = 40
"""Characters of a wrong text that an error repeats."""

_OTHER_LANGUAGES = re.compile(
    r"[A-Ha-h](?:is|es|isis|eses)[0-9]?|[AEae]s(?:es|as)?[0-9]?|"
    r"(?:do|r[eé]|mi|fa|sol|la|si)(?:##?|bb?|[x♯♭])?[0-9]?"
)
"""What looks like a German or a Latin note name."""


@dataclass(frozen=True, slots=True)
class Note:
    """A spelled note, with its octave or without.

    Args:
        letter: "A" to "G".
        alter: semitones added by the accidental, -2 (double flat) to 2 (double sharp).
        octave: 0 to 9, 4 being the octave from middle C up; None means any octave.

    Raises:
        BadValue: one of the three lies outside.

    Example:
        >>> Note("B", -1, 4).midi
        70
    """

    letter: str
    """"A" to "G"."""

    alter: int = 0
    """Semitones added by the accidental, -2 to 2."""

    octave: int | None = None
    """0 to 9, or None for any octave."""

    def __post_init__(self) -> None:
        if self.letter not in SEMITONES:
            raise BadValue(f"{quoted(self.letter)} is no letter of a note.", hint="The letters are A to G.")
        if self.alter not in _WRITTEN:
            raise BadValue(
                f"An accidental of {self.alter} semitones cannot be written.",
                hint="Double flat (-2) to double sharp (2) can.",
            )
        if self.octave is not None and not OCTAVE_MIN <= self.octave <= OCTAVE_MAX:
            raise BadValue(
                f"Octave {self.octave} is out of range.", hint="Octaves go from 0 to 9; middle C is C4."
            )

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a note name such as "A3", "Bb", "F#3", "B♭4", "Cx4" or "ebb3".

        Args:
            text: letter in either case, accidental (#, ♯, b, ♭, doubled, or x), octave 0 to 9 or none.

        Raises:
            BadValue: it is no English note name.

        Example:
            >>> Note.parse("B♭4")
            Note(letter='B', alter=-1, octave=4)
            >>> Note.parse("H3")
            Traceback (most recent call last):
            lugbook.errors.BadValue: "H3" is no English note name. German H is B here: write B3.
        """
        match = _NAME.fullmatch(text.strip(" "))
        if match is None:
            raise BadValue(
                f"{quoted(text)} is no English note name.",
                hint=hint_for(text) or "Write it like A3, F#3 or Bb4.",
            )
        octave = match["octave"]
        return cls(match["letter"].upper(), ACCIDENTALS[match["accidental"]], int(octave) if octave else None)

    @property
    def midi(self) -> int:
        """The note number; A4 is 69.

        Raises:
            BadValue: the note has no octave.

        Example:
            >>> Note.parse("B#3").midi, Note.parse("C4").midi
            (60, 60)
        """
        if self.octave is None:
            raise BadValue(f"{self.text()} names no octave.", hint=f"Add one, such as {self.text()}3.")
        return 12 * (self.octave + 1) + SEMITONES[self.letter] + self.alter

    @property
    def pitch_class(self) -> int:
        """Semitones above C within one octave, 0 to 11.

        Example:
            >>> Note.parse("Cb4").pitch_class
            11
        """
        return (SEMITONES[self.letter] + self.alter) % 12

    def text(self) -> str:
        """Return the name as it stands in files: plain letters, such as "Bb4".

        Example:
            >>> Note("F", 2, 3).text()
            'F##3'
        """
        return f"{self.letter}{_WRITTEN[self.alter]}{'' if self.octave is None else self.octave}"

    def sign(self) -> str:
        """Return the name with musical signs, such as "B♭4".

        Example:
            >>> Note("B", -1, 4).sign()
            'B♭4'
        """
        return f"{self.letter}{_SIGNS[self.alter]}{'' if self.octave is None else self.octave}"


@dataclass(frozen=True, slots=True)
class NearNote:
    """The note nearest to a frequency, and how far off that frequency is."""

    note: Note
    """The note, always with its octave."""

    cents: float
    """How far the frequency lies above the note, in cents, from -50 to below 50."""


def nearest(
    hz: float, *, a4_hz: float = A4_STANDARD_HZ, like: Note | None = None, digits: int = _DIGITS
) -> NearNote:
    """Return the note nearest to a frequency, and the cents off it.

    With m the note number of *hz*, the note is floor(m + 1/2), so exactly half way goes up, and the cents are
    100*(m - note), from -50 to below 50. Rounding comes before the choice of the note: cents that would round
    to 50.0 belong to the note above, as -50.0.

    Args:
        hz: a frequency in Hz, from 16 Hz (C0) to 16 kHz (B9) or so.
        a4_hz: the concert pitch in Hz, 392 to 470.
        like: a note whose spelling is taken where it has the same name on the keyboard; otherwise black keys
            are C#, Eb, F#, G# and Bb.
        digits: decimals of the cents.

    Raises:
        BadValue: *hz* has no note in the octaves 0 to 9, or *a4_hz* is no concert pitch.

    Example:
        >>> nearest(182.0, digits=1)
        NearNote(note=Note(letter='F', alter=1, octave=3), cents=-28.3)
        >>> nearest(311.13, like=Note.parse("D#")).note.text()
        'D#4'
    """
    whole = round(100.0 * midi_of(hz, a4_hz=a4_hz), digits)
    number = math.floor(whole / 100.0 + 0.5)
    note = _spelled(number, like=like)
    if note is None:
        low, high = (hz_of_midi(limit, a4_hz=a4_hz) for limit in (11.5, 131.5))
        raise BadValue(
            f"{hz:.10g} Hz has no note in the octaves 0 to 9.",
            hint=f"At this concert pitch they go from {low:.2f} to {high:.0f} Hz.",
        )
    return NearNote(note, round(whole - 100.0 * number, digits) + 0.0)


def usual_name(pitch_class: int) -> Note:
    """Return the usual spelling of a pitch class (0 to 11, C is 0), without octave.

    Example:
        >>> [usual_name(number).text() for number in (1, 3, 6, 8, 10)]
        ['C#', 'Eb', 'F#', 'G#', 'Bb']
    """
    return Note(*_USUAL[pitch_class % 12])


def quoted(text: str) -> str:
    """Return *text* in quotation marks for an error: control characters visible, long texts cut.

    Example:
        >>> quoted("z" * 10_000)
        '"zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz…" (10000 characters)'
    """
    if len(text) <= _LONGEST_ECHO:
        return f'"{shown(text)}"'
    return f'"{shown(text[:_LONGEST_ECHO])}…" ({len(text)} characters)'


def hint_for(text: str) -> str:
    """Return what would work in place of a text that is no note name; empty where nothing can be guessed.

    Example:
        >>> hint_for("A33"), hint_for("?")
        ('The octave is one digit, 0 to 9, such as A3.', '')
    """
    plain = text.strip(" ")
    if german := re.fullmatch(r"[Hh]([0-9]?)", plain):
        return f"German H is B here: write B{german[1]}."
    if _OTHER_LANGUAGES.fullmatch(plain):
        return "Write English names: F# for Fis or fa#, Bb for German B or sib."
    if re.fullmatch(r"[A-Ga-g][#♯b♭x]*[0-9]{2,}", plain):
        return "The octave is one digit, 0 to 9, such as A3."
    return ""


def _spelled(number: int, *, like: Note | None) -> Note | None:
    """Spell a note number, as *like* does if it can; None outside the octaves 0 to 9."""
    for name in (like, usual_name(number)):
        if name is not None and name.pitch_class == number % 12:
            octave = (number - SEMITONES[name.letter] - name.alter) // 12 - 1
            if OCTAVE_MIN <= octave <= OCTAVE_MAX:
                return Note(name.letter, name.alter, octave)
    return None
