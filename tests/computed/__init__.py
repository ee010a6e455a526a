"""Drums computed for the tests: their pitch is known because it was put in.

The folder is no part of the program and imports nothing of it. Test folders are no packages, so it is loaded
by its path: by the fixture `drums` in the tests, by `tests/bench/listening.py` for the bench.
"""

from .bound import bound_cents, derivatives, least_sd_hz
from .groups import GROUPS, NEAR_CENTS, OTHERS, STROKES, Case, case
from .heads import Blow, Line, Lines, at_the_centre, freed, head, near_the_hoop, pitch_of
from .membrane import ZEROS, bessel
from .others import NO_DRUMS, STRINGS, no_drum
from .rooms import handling, noise, pink_power, room
from .series import Series, Tap, careless, played, retuned, round_of_taps, uneven_round
from .strokes import Around, Stroke, recorded, sound, stroke

__all__ = [
    "GROUPS", "NEAR_CENTS", "NO_DRUMS", "OTHERS", "STRINGS", "STROKES", "ZEROS", "Around", "Blow", "Case",
    "Line", "Lines", "Series", "Stroke", "Tap", "at_the_centre", "bessel", "bound_cents", "careless", "case",
    "derivatives", "freed", "handling", "head", "least_sd_hz", "near_the_hoop", "no_drum", "noise",
    "pink_power", "pitch_of", "played", "recorded", "retuned", "room", "round_of_taps", "sound", "stroke",
    "uneven_round",
]  # fmt: skip
