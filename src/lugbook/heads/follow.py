"""The sustaining line near an expected pitch, followed in what is left of a tap.

Problem: on many real drums and in most rooms a tap is no sum of few damped lines: pitches slide, lines beat,
the room answers. What a player calls the pitch is the line that sustains. Where an expectation says about
where it lies, a narrow band around it is listened to alone. A slide follows the sound's energy, so it is over
once the line has fallen by `_SETTLED_DB`; from there on the pitch is the slope of its phase, weighted by its
energy. Where there is no slide to speak of, the whole sound says more than its end.

Conventions: times in seconds after the first sample that is listened to; offsets in cents; levels in dB.

Sources: Hann window and parabola through the logarithms of three bins, Harris, Proc. IEEE 66, 51 (1978), from
memory; frequency as weighted slope of the phase, Kay, IEEE Trans. ASSP 37, 1987 (1989), from memory.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.spectra import Slope, band, nearest_peak, slope
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]

_LONGEST_S = 4.0
"""No tap is followed further than this."""

_FRAME_S = 0.02
_AUDIBLE_DB, _OVER_FLOOR_DB = 40.0, 10.0
"""A line is followed until it has fallen by the first, or is only the second above its quietest moment."""

_SETTLED_DB = 16.0
"""A slide goes with the square of the level: of 40 cents one is left here."""

_SHORTEST_S, _LATE_S = 0.12, 0.8
"""The part in which the pitch is read lasts at least and at most this long."""

_EARLIEST = 0.4
"""It begins no earlier than at this share of the audible sound, unless the line has fallen far before."""

_WIDTH, _LEAST_WIDTH_HZ = 0.035, 4.0
"""The band about a line: a standard deviation of this share of its frequency, at least so many hertz."""

LEAST_SD, _GLIDE_SHARE, _WANDER = 2.5, 0.03, 1.6
"""No line that does not fit a sum of damped ones is known better than this, in cents; what it slid by is over
to this share; and a room's phase departs more from a line than a random walk does, by this (judgement)."""

_REACH_CENTS = 120.0
_ROOM_CENTS, _MOST_ROOM_CENTS = 5.0, 60.0
"""A slide down of less than this from the whole sound to its end is none, nor is a rise up to the second."""


@dataclass(frozen=True, slots=True)
class Followed:
    """A line followed to its end.

    Attributes:
        hz: its settled frequency.
        sd_cents: standard deviation.
        glide_cents: how far it fell from just after the stroke.
        seconds: for how long it could be followed.
        clear_db: how far it stands above what is beside it, in the part that was read.
    """

    hz: float
    sd_cents: float
    glide_cents: float
    seconds: float
    clear_db: float


@dataclass(frozen=True, slots=True)
class _Track:
    """The analytic signal of a band about a line, and which part of it is read."""

    wave: Complexes
    top: int
    start: int
    end: int


def follow(channel: Channel, strike: Strike, *, near_hz: float) -> Followed | None:
    """Return the line that sustains near *near_hz*, or None where there is none."""
    rate = channel.rate_hz
    stop = min(strike.limit, strike.first + int(_LONGEST_S * rate))
    samples = channel.samples[strike.first : stop]
    if samples.size < int(0.06 * rate):
        return None
    hz, clear_db = near_hz, 0.0
    for _ in range(2):
        track = _track(samples, hz, rate)
        # The later half of what is audible: the slide is over, or nearly.
        from_half = samples[max((track.top + track.end) // 2, 0) : track.end]
        if from_half.size < int(_SHORTEST_S * rate):
            from_half = samples[max(track.end - int(_SHORTEST_S * rate), 0) : track.end]
        peak = nearest_peak(from_half, near_hz, rate_hz=rate, reach_cents=_REACH_CENTS)
        if peak is None:
            return None
        hz, clear_db = peak
    track = _track(samples, hz, rate)
    late = track.wave[track.start : track.end]
    if late.size < int(0.04 * rate):
        return None
    end = slope(late, rate_hz=rate)
    whole = slope(track.wave[track.top : track.end], rate_hz=rate)
    if not (0.9 * hz < end.hz < 1.1 * hz):
        return None
    fall = _cents(whole.hz, end.hz)
    settled, wander = end.hz, _share_in_cents(end)
    if -_MOST_ROOM_CENTS < fall < _ROOM_CENTS:
        # No slide to speak of: what differs is the room's doing, and the whole sound says as much as its end.
        settled, wander = settled * 2 ** (fall / 2400), min(_share_in_cents(whole), wander)
    early = track.wave[track.top : track.top + int(0.06 * rate)]
    glide = _cents(slope(early, rate_hz=rate).hz, settled) if early.size > 8 else 0.0
    sd = float(np.sqrt(LEAST_SD**2 + (_WANDER * wander) ** 2 + (_GLIDE_SHARE * glide) ** 2))
    return Followed(settled, sd, glide, (track.end - track.top) / rate, clear_db)


def _track(samples: Floats, hz: float, rate: float) -> _Track:
    wave = band(samples, hz, rate_hz=rate, width_hz=max(_WIDTH * hz, _LEAST_WIDTH_HZ))
    frame = max(int(_FRAME_S * rate), 1)
    count = wave.size // frame
    power = np.mean(np.abs(wave[: count * frame].reshape(count, frame)) ** 2, axis=1)
    level = 10 * np.log10(power + 1e-30)
    top = int(np.argmax(level[: max(count // 2, min(6, count))]))
    floor = float(level[top:].min()) if count * _FRAME_S > 1.0 else -np.inf
    ended = np.flatnonzero(level[top:] <= max(level[top] - _AUDIBLE_DB, floor + _OVER_FLOOR_DB))
    end = top + (int(ended[0]) if ended.size else count - top)
    settled = np.flatnonzero(level[top:] <= level[top] - _SETTLED_DB)
    start = top + (int(settled[0]) if settled.size else count - top)
    shortest = int(_SHORTEST_S * rate)
    first = min(start * frame, max(end * frame - shortest, int(_EARLIEST * end * frame)))
    last = min(end * frame, first + int(_LATE_S * rate))
    return _Track(wave, top * frame, first, max(last, min(first + shortest, wave.size)))


def _cents(hz: float, from_hz: float) -> float:
    return 1200 * float(np.log2(max(hz, 1e-3) / max(from_hz, 1e-3)))


def _share_in_cents(found: Slope) -> float:
    return 1200 / float(np.log(2)) * found.wander_hz / max(found.hz, 1e-3)
