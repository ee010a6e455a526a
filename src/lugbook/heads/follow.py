"""The sustaining line near an expected pitch, followed in what is left of a tap.

Problem: on many real drums and in most rooms a tap is no sum of few damped lines: pitches slide, lines beat,
the room answers. What a player calls the pitch is the line that sustains. Where an expectation says about
where it lies, it is read from the spectrum of the late part of the tap, when the slide is over, and its
uncertainty comes from how much the earlier and the later part of it disagree.

Conventions: the late part runs from `_LATE` of the audible length to its end; the audible length ends where
the sound has fallen by `_AUDIBLE_DB` or into the floor. Offsets in cents.

Sources: Hann window and parabola through the logarithms of three bins, Harris, Proc. IEEE 66, 51 (1978), from
memory.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import HIGHEST_HZ, LOWEST_HZ, Channel
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]

_AUDIBLE_DB = 40.0
_LATE = 0.4
_EARLIEST_S, _SHORTEST_S, _LONGEST_S = 0.08, 0.09, 1.5
_SOUNDING_S = (0.05, 0.4)
_STRONG_DB, _HEARD_DB = 12.0, 30.0
"""Within this of the strongest line, a line is strong, or is heard at all."""

_FRAME_S = 0.03
_FFT = 1 << 16

_REACH_CENTS = 130.0
_WHOLE_S = 0.5
_ROOM_CENTS = 5.0
"""A slide down of less than this from the whole sound to its end is none."""

_KNOWN_CENTS = 60.0
"""An expectation is trusted about this far; beyond, a line must be ever louder."""


@dataclass(frozen=True, slots=True)
class Followed:
    """A line followed to its end.

    Attributes:
        hz: its late frequency.
        sd_cents: standard deviation.
        glide_cents: how far it fell from just after the stroke.
        seconds: length of the late part.
    """

    hz: float
    sd_cents: float
    glide_cents: float
    seconds: float


def late_part(channel: Channel, strike: Strike, *, near_hz: float) -> tuple[Floats, Floats] | None:
    """Return the late part of a tap and the part before it, or None where too little is audible.

    What is audible is judged in a band about *near_hz*, since wires and cymbals sound on above it.
    """
    rate = channel.rate_hz
    samples = channel.samples[strike.first : min(strike.limit, strike.first + int(_LONGEST_S * rate))]
    frame = int(_FRAME_S * rate)
    count = samples.size // frame
    if count < 3:
        return None
    lead = min(int(0.2 * rate), strike.first)
    stop = min(strike.limit, strike.first + int(4.0 * rate))
    power = np.abs(_band(channel.samples[strike.first - lead : stop], near_hz, rate)) ** 2
    powers = np.mean(power[lead : lead + count * frame].reshape(count, frame), axis=1)
    # The quietest stretch of five frames: a floor where there is silence, harmless where there is none.
    wide = min(5 * frame, power.size)
    sums = np.concatenate(([0.0], np.cumsum(power)))
    floor = float(np.min(sums[wide:] - sums[:-wide])) / wide
    least = max(float(powers[:3].max()) * 10 ** (-_AUDIBLE_DB / 10), 3.0 * floor)
    audible = np.flatnonzero(powers > least)
    end = (int(audible[-1]) + 1) * frame / rate if audible.size else _SHORTEST_S
    start = max(_EARLIEST_S, _LATE * end)
    if end - start < _SHORTEST_S:
        start = max(end - _SHORTEST_S, 0.0)
        end = min(start + _SHORTEST_S, samples.size / rate)
    first, stop = int(start * rate), int(end * rate)
    if stop - first < int(0.05 * rate):
        return None
    return samples[first:stop], samples[:first]


def _band(samples: Floats, hz: float, rate_hz: float) -> npt.NDArray[np.complex128]:
    """Return the analytic signal of *samples* between about a whole tone below and above *hz*."""
    size = 1 << int(np.ceil(np.log2(samples.size + 1)))
    spectrum = np.fft.fft(samples, size)
    at = np.fft.fftfreq(size, 1 / rate_hz)
    width = max(0.1 * hz, 15.0)
    spectrum *= np.exp(-0.5 * ((at - hz) / width) ** 2)
    return np.asarray(np.fft.ifft(spectrum)[: samples.size])


def sustained(channel: Channel, strike: Strike) -> tuple[Floats, Floats]:
    """Return the lines that sound on after a tap: ascending frequencies, and levels below the strongest."""
    rate = channel.rate_hz
    first, stop = strike.first + int(_SOUNDING_S[0] * rate), strike.first + int(_SOUNDING_S[1] * rate)
    samples = channel.samples[min(first, strike.limit) : min(stop, strike.limit)]
    if samples.size < int(0.05 * rate):
        samples = channel.samples[strike.first : strike.limit]
    if samples.size < int(0.03 * rate):
        return np.zeros(0), np.zeros(0)
    hz, level = spectrum_peaks(samples, rate_hz=rate, low_hz=LOWEST_HZ, high_hz=HIGHEST_HZ)
    if not hz.size:
        return hz, level
    level = level - level.max()
    heard = level > -_HEARD_DB
    return hz[heard], level[heard]


def lowest_sustained(channel: Channel, strike: Strike) -> float | None:
    """Return the lowest strong line that sounds on: what is taken for the pitch where nothing is expected."""
    hz, level = sustained(channel, strike)
    strong = hz[level > -_STRONG_DB]
    return float(strong[0]) if strong.size else None


def follow(channel: Channel, strike: Strike, *, near_hz: float) -> Followed | None:
    """Return the line that sustains near *near_hz*, or None where there is none."""
    parts = late_part(channel, strike, near_hz=near_hz)
    if parts is None:
        return None
    late, early = parts
    rate = channel.rate_hz
    peaks = spectrum_peaks(
        late, rate_hz=rate, low_hz=_up(near_hz, -_REACH_CENTS), high_hz=_up(near_hz, _REACH_CENTS)
    )
    if not peaks[0].size:
        return None
    off = 1200 * np.log2(peaks[0] / near_hz)
    best = int(np.argmax(peaks[1] - 6.0 * (off / _KNOWN_CENTS) ** 4))
    hz = float(peaks[0][best])
    seconds = late.size / rate
    whole = _nearest_peak(np.concatenate((early, late))[: int(_WHOLE_S * rate)], hz, rate_hz=rate)
    first = _nearest_peak(late[: int(0.65 * late.size)], hz, rate_hz=rate)
    last = _nearest_peak(late[int(0.35 * late.size) :], hz, rate_hz=rate)
    drift = _cents(last, first) if first and last else 15.0
    start = (
        _nearest_peak(early[: int(0.12 * rate)], hz, rate_hz=rate, reach=250.0)
        if early.size > 0.05 * rate
        else None
    )
    fall = _cents(whole, hz) if whole else 0.0
    width = 1200 / np.log(2) / (seconds * hz)
    sd = float(np.hypot(0.6 * drift, 0.03 * width) + 0.5)
    if whole and fall < _ROOM_CENTS:
        # No slide to speak of: what differs is the room's doing, and the whole sound says as much as its end.
        hz *= 2 ** (fall / 2400)
        sd = float(np.hypot(sd, 0.6 * fall))
    return Followed(hz, sd, _cents(start, hz) if start else 0.0, seconds)


def _cents(hz: float, from_hz: float) -> float:
    return 1200 * float(np.log2(hz / from_hz))


def spectrum_peaks(
    samples: Floats, *, rate_hz: float, low_hz: float, high_hz: float
) -> tuple[Floats, Floats]:
    """Return frequencies in Hz and levels in dB of the spectrum peaks between two frequencies."""
    size = max(_FFT, 1 << int(np.ceil(np.log2(samples.size))))
    windowed = (samples - np.mean(samples)) * np.hanning(samples.size)
    # Only the bins asked for: one transform, then logarithms of a few.
    spectrum = np.abs(np.fft.rfft(windowed, size))
    low = max(int(low_hz * size / rate_hz), 1)
    high = min(int(high_hz * size / rate_hz) + 2, spectrum.size - 1)
    if high - low < 3:
        return np.zeros(0), np.zeros(0)
    level = 20 * np.log10(np.maximum(spectrum[low - 1 : high + 1], 1e-30))
    inner = level[1:-1]
    at = np.flatnonzero((inner > level[:-2]) & (inner >= level[2:]))
    left, top, right = level[at], level[at + 1], level[at + 2]
    shift = 0.5 * (left - right) / np.minimum(left - 2 * top + right, -1e-12)
    return (low + at + shift) * rate_hz / size, top


def _nearest_peak(samples: Floats, hz: float, *, rate_hz: float, reach: float = 60.0) -> float | None:
    if samples.size < 32:
        return None
    found, level = spectrum_peaks(samples, rate_hz=rate_hz, low_hz=_up(hz, -reach), high_hz=_up(hz, reach))
    if not found.size:
        return None
    off = 1200 * np.log2(found / hz)
    return float(found[int(np.argmax(level - 6.0 * (off / (0.6 * reach)) ** 4))])


def _up(hz: float, cents: float) -> float:
    return float(hz * 2 ** (cents / 1200))
