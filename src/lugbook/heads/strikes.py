"""When a drum was struck.

Problem: find the strokes of a recording, and for each the stretch of sound in which it rings. Sticks bounce:
a stroke may set in more than once, and is heard where it rings longest undisturbed. What swells is no stroke.

Conventions: works on the slow channel; energies are taken above about 90 Hz. Times in seconds from the start
of the recording.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.foretelling import unforetold_share
from lugbook.heads.onsets import RISE, Onset, Sound, onsets, powers

Floats = npt.NDArray[np.float64]

_APART_S = 0.07
"""Two strokes are at least this far apart; what follows sooner is a bounce of the first."""

_BOUNCE_S, _BOUNCE = 0.16, 0.12
"""So is what follows within this time and is softer by this factor (9 dB)."""

_ENOUGH_S = 0.4
"""Of a stroke with bounces the longest stretch is heard; longer than this is no better."""

_LEAD_S, _LET_S = 0.010, 0.006
"""A fit starts this long after the stroke: the stick has left, and the filter has forgotten it. It ends this
long before the next."""

_FALLEN = 10 ** (-50 / 10)

_LONGEST_S = 1.1
"""A fit never spans more than this."""

_SWELL_S, _STAY_S = (0.03, 0.09), (0.1, 0.2)

_ROUGH_S, _ROUGH, _SOFT = 0.06, 0.16, 0.01
"""What is noise by more than this share (-8 dB), and softer than the loudest by 20 dB, is a hand."""

_START_S, _REST = 0.008, 0.1
"""What sounds from the very start, softer by this factor (10 dB) than the strokes, is the rest of another."""


@dataclass(frozen=True, slots=True)
class Strike:
    """One stroke.

    Attributes:
        at_s: when.
        first: index of the first slow sample to fit.
        stop: index after the last.
        energy: mean square just after it.
        noise: mean square of what is there without it, over the whole band.
        limit: index after the last sample before the next stroke or bounce, or of the recording.
        swell: energy 30 to 90 ms after it relative to that of the first 30 ms.
        stay: energy 100 to 200 ms after it likewise.
        rough: share of what sounds after it that is no ringing, from 0 of lines alone to about 1 of noise.
    """

    at_s: float
    first: int
    stop: int
    energy: float
    noise: float
    limit: int
    swell: float
    stay: float
    rough: float


def find_strikes(channel: Channel) -> tuple[Strike, ...]:
    """Return the strokes of a recording in order of time."""
    rate = channel.rate_hz
    sound = Sound(channel)
    strokes = _strokes(sound, onsets(sound))
    strikes = []
    for number, stroke in enumerate(strokes):
        last = number + 1 == len(strokes)
        end = sound.size if last else strokes[number + 1][0].at - int(_LET_S * rate)
        at, limit = _longest(stroke, end, rate)
        first = at + int(np.ceil(_LEAD_S * rate))
        strikes.append(
            Strike(
                float(stroke[0].at / rate),
                first,
                _faded(sound, first, min(limit, first + int(_LONGEST_S * rate))),
                stroke[0].energy,
                sound.noise,
                limit,
                _later(sound, stroke[0].at, end, _SWELL_S),
                _later(sound, stroke[0].at, end, _STAY_S),
                unforetold_share(sound.high(first, min(limit, first + int(_ROUGH_S * rate)))),
            )
        )
    return _without_rest(_without_hands(tuple(strike for strike in strikes if strike.stop > strike.first)))


def _strokes(sound: Sound, found: Sequence[Onset]) -> list[list[Onset]]:
    """Return the strokes, each its own onset and those of its bounces."""
    strokes: list[list[Onset]] = []
    for onset in found:
        if strokes:
            first = strokes[-1][0]
            after_s = (onset.at - first.at) / sound.rate_hz
            # What swells is no stroke, and what changes in it without a rise is no bounce.
            if onset.rise < RISE and _later(sound, first.at, sound.size, _SWELL_S) > 1.0:
                continue
            if after_s < _APART_S or (after_s < _BOUNCE_S and onset.gain < _BOUNCE * first.energy):
                strokes[-1].append(onset)
                continue
        strokes.append([onset])
    return strokes


def _longest(stroke: Sequence[Onset], end: int, rate_hz: float) -> tuple[int, int]:
    """Return the longest stretch of a stroke without a bounce: where it sets in, and its limit."""
    ends = [*(onset.at - int(_LET_S * rate_hz) for onset in stroke[1:]), end]
    enough = int(_ENOUGH_S * rate_hz)
    best = max(range(len(stroke)), key=lambda number: min(ends[number] - stroke[number].at, enough))
    return stroke[best].at, ends[best]


def _without_hands(strikes: tuple[Strike, ...]) -> tuple[Strike, ...]:
    """Return the strokes without what is soft beside them and rings on nothing: hands, feet, the stand."""
    loudest = max((strike.energy for strike in strikes), default=0.0)
    kept: list[Strike] = []
    hand_s = -np.inf
    for strike in strikes:
        # What begins softly may grow: the same hand is heard for a while.
        if strike.rough > _ROUGH and (strike.energy < _SOFT * loudest or strike.at_s - hand_s < _BOUNCE_S):
            hand_s = strike.at_s
        else:
            kept.append(strike)
    return tuple(kept)


def _without_rest(strikes: tuple[Strike, ...]) -> tuple[Strike, ...]:
    """Return the strokes without what rings at the start of a recording that begins after a stroke."""
    if len(strikes) > 1 and strikes[0].at_s < _START_S:
        usual = float(np.median([strike.energy for strike in strikes[1:]]))
        if strikes[0].energy < _REST * usual:
            return strikes[1:]
    return strikes


def _later(sound: Sound, at: int, limit: int, span_s: tuple[float, float]) -> float:
    """Return the mean square in *span_s* after a stroke relative to that of its first 30 ms."""
    rate = sound.rate_hz
    start = sound.high(at, min(at + int(0.03 * rate), limit))
    later = sound.high(at + int(span_s[0] * rate), min(at + int(span_s[1] * rate), limit))
    if not start.size or not later.size:
        return 0.0
    return float(np.mean(later**2) / max(float(np.mean(start**2)), 1e-300))


def _faded(sound: Sound, first: int, end: int) -> int:
    """Return where the sound has sunk into the floor or has fallen far enough, between *first* and *end*.

    What a line tells of its frequency lies where t²·exp(-2·decay·t) is large: past `_FALLEN` nearly nothing.
    """
    width = max(int(0.04 * sound.rate_hz), 2)
    count = max((end - first) // width, 0)
    if count < 2:
        return end
    found = powers(sound.high(first, first + count * width), width)
    above = np.flatnonzero(found > max(1.15 * sound.floor, float(found[:2].max()) * _FALLEN))
    last = (int(above[-1]) + 2) if above.size else 2
    return min(first + max(last, 3) * width, end)
