"""Frequencies, cents, and the scale that a concert pitch sets up.

Conventions: frequencies are in Hz, positive and finite. Cents are 1/1200 of an octave, and positive means
higher. A note number is the MIDI one, a real number: 69 is A4, one unit a semitone of equal temperament.

Sources:
    ISO 16:1975, Acoustics: standard tuning frequency (A4 = 440 Hz).
    MIDI Tuning Standard: f = A4 * 2^((m - 69)/12), with A4 = 440 Hz (from memory).
    A. J. Ellis's cent: 1200 * log2(f2/f1) (from memory).
"""

import math

from lugbook.errors import BadValue

A4_STANDARD_HZ = 440.0
"""Standard tuning frequency (ISO 16:1975)."""

A4_MIN_HZ = 392.0
"""Lowest concert pitch in use: two semitones below 440 Hz, for old music (common practice, no source)."""

A4_MAX_HZ = 470.0
"""Highest concert pitch: a little above the old choir pitch of 466 Hz (common practice, no source)."""

HZ_MIN = 20.0
"""Lowest frequency that is taken for the pitch of a drum head, about the lower end of hearing."""

HZ_MAX = 5000.0
"""Highest frequency that is taken for the pitch of a drum head, far above any head."""

A4_MIDI = 69
"""Note number of A4 (MIDI Tuning Standard)."""

_HIGHEST_LIKELY_HZ = 1000.0
"""No drum head is likely to sound higher, so a guess at a missing decimal point stays below."""

_SAMPLING_RATES = (8000.0, 11025.0, 16000.0, 22050.0, 32000.0, 44100.0, 48000.0, 88200.0, 96000.0, 192000.0)
"""Numbers that are more likely the sampling rate of a recording than a pitch."""


def check_hz(hz: float) -> float:
    """Return *hz* if it can be the pitch of a drum head, 20 to 5000 Hz.

    Args:
        hz: a frequency in Hz.

    Raises:
        BadValue: *hz* is no finite number, or lies below 20 or above 5000.

    Example:
        >>> check_hz(221.3)
        221.3
        >>> check_hz(0.2213)
        Traceback (most recent call last):
        lugbook.errors.BadValue: 0.2213 Hz is below the lowest pitch, 20 Hz. If kHz was meant, write 221.3.
    """
    hz = float(hz)
    if not math.isfinite(hz):
        raise BadValue(f"A frequency cannot be {hz}.", hint="Give one from 20 to 5000 Hz, such as 221.3.")
    if hz < HZ_MIN:
        raise BadValue(f"{_plain(hz)} Hz is below the lowest pitch, {HZ_MIN:g} Hz.", hint=_guess_low(hz))
    if hz > HZ_MAX:
        raise BadValue(f"{_plain(hz)} Hz is above the highest pitch, {HZ_MAX:g} Hz.", hint=_guess_high(hz))
    return hz


def check_a4(hz: float) -> float:
    """Return *hz* if it can be a concert pitch, 392 to 470 Hz.

    Args:
        hz: the frequency of A4 in Hz.

    Raises:
        BadValue: *hz* is no finite number, or lies below 392 or above 470.

    Example:
        >>> check_a4(442)
        442.0
        >>> check_a4(221)
        Traceback (most recent call last):
        lugbook.errors.BadValue: A4 must lie from 392 to 470 Hz, not 221. That is near A3; its A4 is 442.
    """
    hz = float(hz)
    if A4_MIN_HZ <= hz <= A4_MAX_HZ:
        return hz
    hint = "Give the concert pitch in Hz, such as 440 or 442."
    if A4_MIN_HZ <= 2 * hz <= A4_MAX_HZ:
        hint = f"That is near A3; its A4 is {_plain(2 * hz)}."
    elif A4_MIN_HZ <= hz / 2 <= A4_MAX_HZ:
        hint = f"That is near A5; its A4 is {_plain(hz / 2)}."
    raise BadValue(f"A4 must lie from {A4_MIN_HZ:g} to {A4_MAX_HZ:g} Hz, not {_plain(hz)}.", hint=hint)


def cents_between(from_hz: float, *, to_hz: float) -> float:
    """Return how far *to_hz* lies above *from_hz*, in cents; negative where it lies below.

    Args:
        from_hz: a frequency in Hz, positive and finite.
        to_hz: a frequency in Hz, positive and finite.

    Raises:
        BadValue: one of the two is no positive finite number.

    Example:
        >>> cents_between(220, to_hz=440)
        1200.0
        >>> round(cents_between(227, to_hz=299), 1)
        476.9
    """
    return 1200.0 * (math.log2(_positive(to_hz)) - math.log2(_positive(from_hz)))


def shifted(hz: float, *, cents: float) -> float:
    """Return the frequency in Hz that lies *cents* above *hz*.

    Args:
        hz: a frequency in Hz, positive and finite.
        cents: how far to go, in cents; negative goes down.

    Raises:
        BadValue: *hz* is no positive finite number, or the result is none.

    Example:
        >>> shifted(220, cents=1200)
        440.0
        >>> round(shifted(220, cents=-12.5), 3)
        218.417
    """
    return _scaled(_positive(hz), octaves=cents / 1200.0)


def midi_of(hz: float, *, a4_hz: float = A4_STANDARD_HZ) -> float:
    """Return the note number of a frequency: 69 + 12*log2(hz/A4).

    Args:
        hz: a frequency in Hz, positive and finite.
        a4_hz: the concert pitch in Hz, 392 to 470.

    Raises:
        BadValue: *hz* is no positive finite number, or *a4_hz* no concert pitch.

    Example:
        >>> midi_of(220)
        57.0
        >>> round(midi_of(182), 3)
        53.717
    """
    return A4_MIDI + cents_between(check_a4(a4_hz), to_hz=hz) / 100.0


def hz_of_midi(midi: float, *, a4_hz: float = A4_STANDARD_HZ) -> float:
    """Return the frequency in Hz of a note number: A4 * 2^((midi - 69)/12).

    Args:
        midi: a note number, whole or not.
        a4_hz: the concert pitch in Hz, 392 to 470.

    Raises:
        BadValue: *a4_hz* is no concert pitch, or *midi* has no frequency that can be written down.

    Example:
        >>> hz_of_midi(57)
        220.0
        >>> round(hz_of_midi(52), 3)
        164.814
    """
    return _scaled(check_a4(a4_hz), octaves=(midi - A4_MIDI) / 12.0)


def _positive(hz: float) -> float:
    hz = float(hz)
    if not (math.isfinite(hz) and hz > 0):
        raise BadValue(
            f"A frequency must be a positive number, not {_plain(hz)}.", hint="Give it in Hz, such as 221.3."
        )
    return hz


def _scaled(hz: float, *, octaves: float) -> float:
    try:
        result = hz * math.exp2(octaves)
    except OverflowError:
        result = math.inf
    if not (math.isfinite(result) and result > 0):
        raise BadValue(
            f"{octaves:g} octaves from {_plain(hz)} Hz is no frequency.", hint="Stay from 20 to 5000 Hz."
        )
    return result


def _plain(hz: float) -> str:
    """Write a number as a player would, in full precision where it is short."""
    return f"{hz:.10g}"


def _guess_low(hz: float) -> str:
    if hz <= 0:
        return "A frequency is positive, such as 221.3."
    if HZ_MIN <= 1000 * hz <= HZ_MAX:
        return f"If kHz was meant, write {_plain(1000 * hz)}."
    return "Give it in Hz, such as 221.3."


def _guess_high(hz: float) -> str:
    if hz in _SAMPLING_RATES:
        return "That looks like the sampling rate of a recording; give the pitch, such as 221.3."
    for divisor in (10, 100, 1000):
        if hz / divisor <= _HIGHEST_LIKELY_HZ:
            return f"If the decimal point is missing, write {_plain(hz / divisor)}."
    return "Give it in Hz, such as 221.3."
