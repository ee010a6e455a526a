"""Pitch: hertz, cents, notes and intervals; pure values, no files and no third-party import.

`hertz` has the sums, `notes` the spelled notes and the nearest one to a frequency, `texts` the text forms,
`cents` how cents are written, `intervals` what lies between two heads, and `words` the note names in German
and Latin, for which it imports music21 on use.
"""

from lugbook.pitch.cents import MINUS, in_cents, signed, whole
from lugbook.pitch.hertz import (
    A4_MAX_HZ,
    A4_MIN_HZ,
    A4_STANDARD_HZ,
    HZ_MAX,
    HZ_MIN,
    cents_between,
    check_a4,
    check_hz,
    hz_of_midi,
    midi_of,
    shifted,
)
from lugbook.pitch.intervals import (
    NamedInterval,
    interval_cents,
    interval_name,
    named_interval,
    offset_cents,
)
from lugbook.pitch.notes import NearNote, Note, nearest
from lugbook.pitch.texts import Pitch, parse_pitch, pitch_hz, said_by_ear
from lugbook.pitch.words import Language, localised, localised_sign, parse_localised, parse_localised_pitch

__all__ = [
    "A4_MAX_HZ",
    "A4_MIN_HZ",
    "A4_STANDARD_HZ",
    "HZ_MAX",
    "HZ_MIN",
    "MINUS",
    "Language",
    "NamedInterval",
    "NearNote",
    "Note",
    "Pitch",
    "cents_between",
    "check_a4",
    "check_hz",
    "hz_of_midi",
    "in_cents",
    "interval_cents",
    "interval_name",
    "localised",
    "localised_sign",
    "midi_of",
    "named_interval",
    "nearest",
    "offset_cents",
    "parse_localised",
    "parse_localised_pitch",
    "parse_pitch",
    "pitch_hz",
    "said_by_ear",
    "shifted",
    "signed",
    "whole",
]
