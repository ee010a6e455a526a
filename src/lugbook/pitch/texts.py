"""Pitches as text: what stands in files, what is typed, and what is said by ear.

The forms are a note with octave and cents ("A3", "A3+4", "A3-12.5"), a note name alone ("Bb", "A+7": any
octave), a frequency ("221.3", "221.3 Hz"), and by ear a note and a side of it ("A3 low side", "A3 on it",
"A3 high side"). Names are English scientific ones; ♯, ♭ and the minus sign − are read too.
"""

import math
import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import cast

from lugbook.errors import BadValue
from lugbook.pitch.hertz import A4_STANDARD_HZ, HZ_MAX, HZ_MIN, check_a4, check_hz, hz_of_midi
from lugbook.pitch.notes import NAME_FORM, Note, hint_for, quoted, usual_name

CENTS_MAX = 100.0
"""The cents part of a note goes from -100 to +100, a semitone; beyond it another note is nearer."""

EAR_SIDE_CENTS = 25.0
"""How far off "low side" and "high side" of a note are, in cents: half of the half way to the next note."""

DECIMALS = 6
"""Decimals of hertz and cents that are kept, so that the text of a pitch is exact and needs no exponent."""

_LONGEST = 40
_NUMBER = r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+"
_NOTE = re.compile(rf"{NAME_FORM}(?: *(?P<sign>[-+−]) *(?P<cents>{_NUMBER})(?: *(?:c|cents?))?)?")
_FREQUENCY = re.compile(rf"(?P<sign>[-−]?)(?P<hz>{_NUMBER})(?: *[Hh][Zz])?")
_EAR = re.compile(rf"(?P<name>{NAME_FORM}) +(?P<side>low side|on it|high side)", re.IGNORECASE)
_SIDES = {"low side": -EAR_SIDE_CENTS, "on it": 0.0, "high side": EAR_SIDE_CENTS}
_FORMS = "Write a note such as A3, F#3 or Bb4+12, or a frequency from 20 to 5000 such as 221.3 Hz."


@dataclass(frozen=True, slots=True)
class Pitch:
    """A pitch as it is meant: by a note, or by a frequency.

    Hertz and cents are kept to `DECIMALS` decimals. A note with octave must lie from 20 to 5000 Hz when A4 is
    440 Hz.

    Args:
        note: the note, or None where a frequency is meant.
        cents: how far above the note, in cents, -100 to 100; 0 with a frequency.
        hz: the frequency in Hz, 20 to 5000, or None where a note is meant.

    Raises:
        BadValue: both or neither of note and frequency are given, or a value lies outside.

    Example:
        >>> Pitch(Note("A", 0, 3), cents=4.0).text()
        'A3+4'
    """

    note: Note | None = None
    """The note, or None."""

    cents: float = 0.0
    """Cents above the note."""

    hz: float | None = None
    """The frequency in Hz, or None."""

    def __post_init__(self) -> None:
        if (self.note is None) == (self.hz is None):
            raise BadValue("A pitch is either a note or a frequency.", hint="Give exactly one of the two.")
        if not abs(self.cents) <= CENTS_MAX:
            raise BadValue(f"Cents go from -100 to +100, not {self.cents:+.10g}.", hint="Name a nearer note.")
        object.__setattr__(self, "cents", round(float(self.cents), DECIMALS) + 0.0)
        if self.hz is not None:
            if self.cents:
                raise BadValue(
                    "A frequency has no cents of its own.", hint="Give the frequency that is meant."
                )
            object.__setattr__(self, "hz", round(check_hz(self.hz), DECIMALS))
            return
        hz = self.hz_at(A4_STANDARD_HZ)
        if hz is not None and not HZ_MIN <= hz <= HZ_MAX:
            raise BadValue(
                f"{self.text()} is {hz:.1f} Hz; pitches go from {HZ_MIN:g} to {HZ_MAX:g} Hz (A4 = 440 Hz).",
                hint="E0 is the lowest note and Eb8 the highest.",
            )

    def text(self) -> str:
        """Return the form that stands in files; `parse_pitch` reads it back as the same pitch.

        Example:
            >>> parse_pitch("221.30hz").text(), parse_pitch("b♭ − 7.50").text()
            ('221.3 Hz', 'Bb-7.5')
        """
        if self.note is None:
            return f"{_shortest(cast('float', self.hz))} Hz"  # a pitch without a note has a frequency
        sign = "-" if self.cents < 0 else "+"
        return self.note.text() + (f"{sign}{_shortest(abs(self.cents))}" if self.cents else "")

    def hz_at(self, a4_hz: float) -> float | None:
        """Return the frequency in Hz at a concert pitch; None for a note name without octave.

        Args:
            a4_hz: the concert pitch in Hz, 392 to 470; a pitch that is a frequency stays what it is.

        Raises:
            BadValue: *a4_hz* is no concert pitch.

        Example:
            >>> parse_pitch("A3").hz_at(442.0)
            221.0
            >>> parse_pitch("A").hz_at(442.0) is None
            True
        """
        a4_hz = check_a4(a4_hz)
        if self.note is None or self.note.octave is None:
            return self.hz
        return hz_of_midi(self.note.midi + self.cents / 100.0, a4_hz=a4_hz)


def parse_pitch(text: str) -> Pitch:
    """Read a pitch from text.

    Args:
        text: one of the forms at the head of this module; at most 40 characters.

    Raises:
        BadValue: it is none of them, or it lies outside; the hint says what would work.

    Example:
        >>> parse_pitch("A3+4")
        Pitch(note=Note(letter='A', alter=0, octave=3), cents=4.0, hz=None)
        >>> parse_pitch("221.3 Hz")
        Pitch(note=None, cents=0.0, hz=221.3)
        >>> parse_pitch("A3 low side").text()
        'A3-25'
    """
    plain = text.strip(" ")
    if not plain:
        raise BadValue("An empty text is no pitch.", hint=_FORMS)
    if len(plain) > _LONGEST:
        raise BadValue(f"{quoted(plain)} is no pitch: the limit is {_LONGEST} characters.", hint=_FORMS)
    if ear := _EAR.fullmatch(plain):
        return Pitch(Note.parse(ear["name"]), _SIDES[ear["side"].lower()])
    if note := _NOTE.fullmatch(plain):
        return _from_note(note)
    if frequency := _FREQUENCY.fullmatch(plain):
        hz = float(frequency["hz"])
        return Pitch(hz=-hz if frequency["sign"] else hz)
    raise BadValue(f"{quoted(plain)} is no pitch.", hint=_hint(plain))


_REMEMBERED = 16_384
"""So many texts are remembered with their pitch: a long logbook is gone through again and again."""


@lru_cache(maxsize=_REMEMBERED)
def pitch_hz(text: str, *, a4_hz: float = A4_STANDARD_HZ) -> float | None:
    """Return the frequency in Hz of a pitch as text; None for a note name without octave.

    Args:
        text: a pitch as `parse_pitch` reads it.
        a4_hz: the concert pitch in Hz, 392 to 470, at which a note is meant.

    Raises:
        BadValue: *text* is no pitch, or *a4_hz* no concert pitch.

    Example:
        >>> pitch_hz("A3", a4_hz=442.0), pitch_hz("221.3 Hz"), pitch_hz("Bb")
        (221.0, 221.3, None)
    """
    return parse_pitch(text).hz_at(a4_hz)


def said_by_ear(text: str) -> bool:
    """Return whether *text* is the form that is said by ear: a note and a side of it.

    Example:
        >>> said_by_ear("A3 low side"), said_by_ear("A3-25")
        (True, False)
    """
    return _EAR.fullmatch(text.strip(" ")) is not None


def _from_note(match: re.Match[str]) -> Pitch:
    name = match[0][: match.end("octave")]
    note = Note.parse(name)
    if match["cents"] is None:
        return Pitch(note)
    cents = float(match["cents"]) * (1 if match["sign"] == "+" else -1)
    if abs(cents) > CENTS_MAX:
        raise BadValue(
            f"Cents go from -100 to +100, not {cents:+.10g}.",
            hint=f"Name a nearer note: {_nearer(note, cents)}.",
        )
    return Pitch(note, cents)


def _nearer(note: Note, cents: float) -> str:
    """Name what lies *cents* above *note* by the note nearest to it, or show the form where there is none."""
    steps = math.floor(cents / 100.0 + 0.5)
    name = usual_name(note.pitch_class + steps)
    octave = None if note.octave is None else (note.midi + steps) // 12 - 1
    try:
        return Pitch(replace(name, octave=octave), cents - 100.0 * steps).text()
    except BadValue:
        return "A3+4"


def _hint(text: str) -> str:
    pointed = text.replace(",", ".")
    if pointed != text and (_NOTE.fullmatch(pointed) or _FREQUENCY.fullmatch(pointed)):
        return f"Write the decimals after a point: {pointed}."
    if re.fullmatch(rf"{NAME_FORM} *[-+−]", text):
        return f"Write the cents after the sign, such as {text}4, or leave it away."
    return hint_for(re.split(r"[-+− ]", text)[0]) or _FORMS


def _shortest(number: float) -> str:
    """Write a number of `DECIMALS` decimals in full, without zeros at the end and without an exponent."""
    return f"{number:.{DECIMALS}f}".rstrip("0").rstrip(".")
