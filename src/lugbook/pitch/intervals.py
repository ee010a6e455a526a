"""Intervals: how far apart two pitches lie in cents, and the name of the interval between two spelled notes.

Conventions: an interval goes from the top head to the bottom head, and is positive where the bottom head is
the higher one. The name follows the spelling: A3 to Eb4 is a diminished fifth, A3 to D#4 an augmented fourth.
"""

from dataclasses import dataclass
from typing import cast

from lugbook.pitch.hertz import A4_STANDARD_HZ, cents_between, midi_of
from lugbook.pitch.notes import LETTERS, SEMITONES, Note
from lugbook.pitch.texts import Pitch

_NAMES = (
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "double octave",
)
"""Names by steps of the letters; the interval of a note with itself is a unison."""

_MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
"""Semitones of the perfect or major interval of each number of steps within an octave (theory of music)."""

_PERFECT = frozenset({0, 3, 4})
"""Steps of the intervals that are perfect rather than major or minor: unison, fourth, fifth, and octave."""

_TIMES = ("", "", "doubly ", "triply ", "quadruply ", "quintuply ")
"""How many times augmented or diminished; five is the most that two double accidentals can make."""

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")

_OCTAVE = 1200.0
_DECIMALS = 9
"""Decimals of a cent that are kept, so that exactly half an octave comes out as half."""


@dataclass(frozen=True, slots=True)
class NamedInterval:
    """The interval from the top head to the bottom head."""

    cents: float
    """Its size in cents; positive where the bottom head is higher."""

    name: str
    """Its name by the spelled notes."""

    off_cents: float
    """How far its size lies above that of the named interval in equal temperament, in cents."""


def interval_cents(top_hz: float, *, bottom_hz: float) -> float:
    """Return the interval from the top head to the bottom head in cents: 1200*log2(bottom/top).

    Args:
        top_hz: pitch of the top head in Hz, positive.
        bottom_hz: pitch of the bottom head in Hz, positive.

    Raises:
        BadValue: one of the two is no positive finite number.

    Example:
        >>> round(interval_cents(182, bottom_hz=330), 1)
        1030.2
    """
    return cents_between(top_hz, to_hz=bottom_hz)


def interval_name(top: Note, bottom: Note) -> str:
    """Return the name of the interval from the top note to the bottom note.

    Where a note has no octave, the name is that of the ascending interval within an octave.

    Args:
        top: the note of the top head.
        bottom: the note of the bottom head.

    Example:
        >>> interval_name(Note("B"), Note("F"))
        'diminished fifth'
        >>> interval_name(Note("A", 0, 3), Note("F", 0, 3))
        'major third, bottom lower'
        >>> interval_name(Note("A", 0, 2), Note("C", 0, 4))
        'minor tenth'
    """
    steps, semitones = _distance(top, bottom)
    if steps < 0 or (steps == 0 and semitones < 0):
        return f"{_name(-steps, -semitones)}, bottom lower"
    return _name(steps, semitones)


def named_interval(top: Note, bottom: Note, *, top_hz: float, bottom_hz: float) -> NamedInterval:
    """Return the interval between two heads in cents, its name, and how far it is off that name.

    Args:
        top: the note of the top head; spelling decides the name.
        bottom: the note of the bottom head.
        top_hz: pitch of the top head in Hz, positive.
        bottom_hz: pitch of the bottom head in Hz, positive.

    Returns:
        The interval. Where a note has no octave, `off_cents` is to the nearest octave of the named interval,
        from -600 to below 600.

    Raises:
        BadValue: one of the frequencies is no positive finite number.

    Example:
        >>> found = named_interval(Note("F", 1, 3), Note("E", 0, 4), top_hz=182, bottom_hz=330)
        >>> round(found.cents, 1), found.name, round(found.off_cents, 1)
        (1030.2, 'minor seventh', 30.2)
    """
    cents = interval_cents(top_hz, bottom_hz=bottom_hz)
    off_cents = cents - 100.0 * _distance(top, bottom)[1]
    if top.octave is None or bottom.octave is None:
        off_cents = _folded(off_cents)
    return NamedInterval(cents, interval_name(top, bottom), off_cents)


def offset_cents(measured: Pitch, *, target: Pitch, measured_a4_hz: float, target_a4_hz: float) -> float:
    """Return how far a measured pitch lies above its target, in cents; negative is flat.

    Args:
        measured: what was heard.
        target: what it should be.
        measured_a4_hz: concert pitch in Hz, 392 to 470, that a measured note is meant at.
        target_a4_hz: concert pitch in Hz, 392 to 470, that a note of the target is meant at.

    Returns:
        Plain cents where both have an octave or are frequencies; otherwise to the nearest octave of the note
        name, from -600 to below 600.

    Raises:
        BadValue: a concert pitch is out of range.

    Example:
        >>> from lugbook.pitch.texts import parse_pitch
        >>> heard = parse_pitch("221.3 Hz")
        >>> at_440 = {"measured_a4_hz": 440.0, "target_a4_hz": 440.0}
        >>> round(offset_cents(heard, target=parse_pitch("A3"), **at_440), 1)
        10.2
        >>> round(offset_cents(heard, target=parse_pitch("A2"), **at_440), 1)
        1210.2
        >>> round(offset_cents(heard, target=parse_pitch("A"), **at_440), 1)
        10.2
    """
    measured_hz, target_hz = measured.hz_at(measured_a4_hz), target.hz_at(target_a4_hz)
    if measured_hz is not None and target_hz is not None:
        return cents_between(target_hz, to_hz=measured_hz)
    return _folded(_height(measured, a4_hz=measured_a4_hz) - _height(target, a4_hz=target_a4_hz))


def _height(pitch: Pitch, *, a4_hz: float) -> float:
    """Return the height of a pitch in cents above a C at A4 = 440 Hz; a name alone stands in any octave."""
    if pitch.note is None:
        return 100.0 * midi_of(cast("float", pitch.hz))  # a pitch without a note has a frequency
    number = pitch.note.pitch_class if pitch.note.octave is None else pitch.note.midi
    return 100.0 * number + pitch.cents + cents_between(A4_STANDARD_HZ, to_hz=a4_hz)


def _folded(cents: float) -> float:
    """Bring *cents* into -600 to below 600 by whole octaves."""
    return round((round(cents, _DECIMALS) + _OCTAVE / 2) % _OCTAVE - _OCTAVE / 2, _DECIMALS)


def _distance(top: Note, bottom: Note) -> tuple[int, int]:
    """Return steps of the letters and semitones from *top* to *bottom*."""
    steps = LETTERS.index(bottom.letter) - LETTERS.index(top.letter)
    semitones = SEMITONES[bottom.letter] + bottom.alter - SEMITONES[top.letter] - top.alter
    if top.octave is not None and bottom.octave is not None:
        octaves = bottom.octave - top.octave
    else:
        octaves = 1 if steps < 0 or (steps == 0 and semitones < 0) else 0
    return steps + 7 * octaves, semitones + 12 * octaves


def _name(steps: int, semitones: int) -> str:
    """Name an ascending interval by its steps (0 or more) and its semitones."""
    octaves, simple = divmod(steps, 7)
    beyond = semitones - _MAJOR_SEMITONES[simple] - 12 * octaves
    number = _NAMES[steps] if steps < len(_NAMES) else f"{_NAMES[simple]} and {_COUNTS[octaves]} octaves"
    if beyond > 0:
        return f"{_TIMES[beyond]}augmented {number}"
    if simple not in _PERFECT:
        return ("major ", "minor ", *(f"{times}diminished " for times in _TIMES[1:]))[-beyond] + number
    if beyond < 0:
        return f"{_TIMES[-beyond]}diminished {number}"
    if simple:
        return f"perfect {number}"
    return number if steps < len(_NAMES) else f"{_COUNTS[octaves]} octaves"
