"""When a recording is refused, and why.

Problem: silence, speech, hum, noise, a steady tone, a stick on the hoop alone, clipping throughout, too short
a piece: each would give some number if it were not refused. A refusal is a sentence, never an exception.
"""

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.taps import HeardTap

Floats = npt.NDArray[np.float64]

NOT_A_NUMBER = "The recording holds values that are no numbers."
SILENCE = "The recording is silent."
NO_STROKE = "There is no stroke in this recording: its sound goes on evenly."
NO_DRUM = "No drum was heard: nothing rings on after a stroke."
VOICE = "This does not sound like a drum: it swells where a stroke would die away."
NOISES = "These noises are no strokes on one drum: their pitches have nothing in common."
CLIPPED = "The recording is clipped throughout: move the microphone away or turn it down."

SHORTEST_S = 0.12
TOO_SHORT = f"The recording is too short for a stroke: it needs {SHORTEST_S} s at least."

MOST_CLIPPED = 0.1
"""Share of clipped samples above which a recording is clipped throughout; a clipped tap has under 3 %."""

SWELLS = 10 ** (2.5 / 10)
"""A stroke is loudest at its start; a vowel is 6 dB louder after 30 ms. 2.5 dB lies between."""

EVEN_FROM, EVEN_TO = 10 ** (-0.3 / 10), 10 ** (0.6 / 10)
"""What neither falls by 0.3 dB nor swells by 0.6 dB in its first 90 ms is a tone that was switched on, unless
it rings on as a large drum does, whose lines may beat just so."""

RINGS_S, RINGING = 0.5, 0.95
"""A drum that is so even sounds for longer than this, and its lines explain at least this share of it."""

STAYS = 10 ** (-0.5 / 10)
"""What has lost less than this (0.5 dB) after 100 ms is a tone that was switched on."""


LEAST_EXPLAINED = 0.3
"""Least share of the energy that the lines of a drum explain."""

CLEAR_DB, LEAST_CLEAR_DB, LEAST_CLEAR_SD_CENTS = 12.0, 10.0, 8.0
"""A line that was followed stands this far above what is beside it; or at least the second, if its pitch is
known as well as the third says."""

RUMBLE_HZ, RUMBLE_CLEAR_DB = 60.0, 18.0
"""Below the first, hands and stands rumble; a head there stands out by the second."""

LEAST_SOUNDING_S = 0.06
SHORT_S, SHORT_SD_CENTS = 0.1, 2.0
"""What falls by 60 dB in less than this is a dead head or a clap; only the head has a pitch this clear."""

MOST_SD_CENTS = 40.0

MOST_SCATTER_CENTS = 200.0
"""Strokes on one head never scatter by this; noises do."""


def why_not_together(taps: list[HeardTap], good: list[HeardTap]) -> str | None:
    """Return why the strokes of a recording are none of one drum, or None."""
    swells = sum(tap.strike.swell > SWELLS for tap in taps)
    if not good:
        return VOICE if 2 * swells > len(taps) else NO_DRUM
    if 3 * swells >= len(taps) > 2:
        return VOICE
    return NOISES if 3 * len(good) < len(taps) else None


def why_not_joined(cents: Floats, sd_cents: float) -> str | None:
    """Return why taps that lie *cents* from one another, with that joint uncertainty, have no one pitch."""
    scatter = float(np.median(np.abs(cents - np.median(cents)))) if cents.size > 2 else 0.0
    return NOISES if scatter > MOST_SCATTER_CENTS or sd_cents > MOST_SD_CENTS else None


def why_not_channel(channel: Channel) -> str | None:
    """Return why nothing can be heard in *channel*, or None."""
    if channel.samples.size < SHORTEST_S * channel.rate_hz:
        return TOO_SHORT
    if not np.any(channel.samples):
        return SILENCE
    if channel.clipped > MOST_CLIPPED:
        return CLIPPED
    return None


def why_not_tap(tap: HeardTap) -> str | None:
    """Return why *tap* is no stroke on a drum, or None."""
    if tap.hz is None:
        return "nothing rings on after it"
    if tap.strike.swell > SWELLS:
        return "it swells, as a voice does"
    if tap.strike.stay > STAYS or _switched(tap):
        return "it does not die away"
    if tap.sounds_s < LEAST_SOUNDING_S or (tap.sounds_s < SHORT_S and tap.sd_cents > SHORT_SD_CENTS):
        return "its sound is gone too soon"
    if tap.explained < LEAST_EXPLAINED and tap.clear_db is None:
        return "it is mostly noise"
    if tap.clear_db is not None and tap.clear_db < _clear_enough(tap.hz, tap.sd_cents):
        return "no pitch stands out of its sound"
    if tap.sd_cents > MOST_SD_CENTS:
        return "it has no clear pitch"
    return None


def _clear_enough(hz: float, sd_cents: float) -> float:
    """Return how many dB a line that was followed must stand above what is beside it."""
    if hz < RUMBLE_HZ:
        return RUMBLE_CLEAR_DB
    return LEAST_CLEAR_DB if sd_cents < LEAST_CLEAR_SD_CENTS else CLEAR_DB


def _switched(tap: HeardTap) -> bool:
    """Return whether *tap* is a tone that was switched on and off."""
    even = EVEN_FROM < tap.strike.swell < EVEN_TO
    return even and (tap.sounds_s < RINGS_S or (tap.clear_db is None and tap.explained < RINGING))
