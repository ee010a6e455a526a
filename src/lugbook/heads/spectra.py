"""Spectra of short pieces of sound: their peaks, and the band about one of them.

Conventions: one channel at ``rate_hz``; levels in dB relative to an arbitrary zero; offsets in cents.

Sources: Hann window and parabola through the logarithms of three bins, Harris, Proc. IEEE 66, 51 (1978), from
memory.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]

_LEAST_FFT = 1 << 14
_FINER = 8
"""A transform is longer than its samples by this, so that a parabola hits the peak."""

_OFF_DB = 6.0
"""How much louder a peak must be that lies half the reach off, raised to the fourth power of the distance."""


def peaks(samples: Floats, *, rate_hz: float, low_hz: float, high_hz: float) -> tuple[Floats, Floats]:
    """Return frequencies in Hz and levels in dB of the spectrum peaks between two frequencies."""
    hz, level, _ = _peaks(samples, rate_hz=rate_hz, low_hz=low_hz, high_hz=high_hz)
    return hz, level


def _peaks(
    samples: Floats, *, rate_hz: float, low_hz: float, high_hz: float
) -> tuple[Floats, Floats, Floats]:
    size = max(_LEAST_FFT, 1 << int(np.ceil(np.log2(_FINER * max(samples.size, 1)))))
    windowed = (samples - np.mean(samples)) * np.hanning(samples.size)
    spectrum = np.abs(np.fft.rfft(windowed, size))
    low = max(int(low_hz * size / rate_hz), 1)
    high = min(int(high_hz * size / rate_hz) + 2, spectrum.size - 1)
    if high - low < 3:
        return np.zeros(0), np.zeros(0), np.zeros(0)
    # Logarithms of a few bins only: those asked for.
    level = 20 * np.log10(np.maximum(spectrum[low - 1 : high + 1], 1e-30))
    inner = level[1:-1]
    at = np.flatnonzero((inner > level[:-2]) & (inner >= level[2:]))
    left, top, right = level[at], level[at + 1], level[at + 2]
    shift = 0.5 * (left - right) / np.minimum(left - 2 * top + right, -1e-12)
    return (low + at + shift) * rate_hz / size, top, level


def levels_at(samples: Floats, hz: Floats, *, rate_hz: float) -> Floats:
    """Return the levels in dB, on the scale of `peaks`, that a piece of sound has at some frequencies."""
    turns = np.exp(-2j * np.pi * np.outer(hz, np.arange(samples.size)) / rate_hz)
    found = np.abs(turns @ ((samples - np.mean(samples)) * np.hanning(samples.size)))
    return np.asarray(20 * np.log10(np.maximum(found, 1e-30)))


def nearest_peak(
    samples: Floats, hz: float, *, rate_hz: float, reach_cents: float
) -> tuple[float, float] | None:
    """Return the peak near *hz* and how many dB it stands above what is beside it, or None.

    Beyond half the reach, a peak must be ever louder to be taken.
    """
    if samples.size < 32:
        return None
    low, high = hz * 2 ** (-reach_cents / 1200), hz * 2 ** (reach_cents / 1200)
    found, level = peaks(samples, rate_hz=rate_hz, low_hz=low, high_hz=high)
    if not found.size:
        return None
    off = 1200 * np.log2(found / hz)
    best = int(np.argmax(level - _OFF_DB * (2 * off / reach_cents) ** 4))
    _, _, around = _peaks(samples, rate_hz=rate_hz, low_hz=0.6 * found[best], high_hz=1.6 * found[best])
    return float(found[best]), float(level[best] - np.median(around)) if around.size else 0.0


def band(samples: Floats, hz: float, *, rate_hz: float, width_hz: float) -> Complexes:
    """Return the analytic signal of a band about *hz* with a Gaussian flank of *width_hz*."""
    # Padded with silence: what the transform takes from the end must not meet the start.
    size = 1 << int(np.ceil(np.log2(samples.size + 0.2 * rate_hz)))
    spectrum = np.fft.fft(samples, size)
    spectrum *= np.exp(-0.5 * ((np.fft.fftfreq(size, 1 / rate_hz) - hz) / width_hz) ** 2)
    return np.asarray(2 * np.fft.ifft(spectrum)[: samples.size])


@dataclass(frozen=True, slots=True)
class Slope:
    """The slope of a phase: a frequency in Hz, and what would shift it.

    Attributes:
        hz: the frequency.
        wander_hz: its standard deviation, were what the phase departs from a straight line a random walk.
    """

    hz: float
    wander_hz: float


_WALK = 4.2
"""A straight line through a random walk of the phase leaves a root mean square of sqrt(q T / 15), q its
variance a second and T its length; the slope's standard deviation is sqrt(6 q / 5 T)."""


def slope(wave: Complexes, *, rate_hz: float) -> Slope:
    """Return the frequency of an analytic signal: the slope of its phase, weighted by its energy."""
    phase = np.unwrap(np.angle(wave))
    weight = np.abs(wave) ** 2
    weight = weight / max(float(weight.sum()), 1e-300)
    t = np.arange(wave.size) / rate_hz
    t = t - float(weight @ t)
    phase = phase - float(weight @ phase)
    across = max(float(weight @ t**2), 1e-12)
    turning = float((weight * t) @ phase) / across
    departs = float(np.sqrt(weight @ (phase - turning * t) ** 2))
    length = np.sqrt(12.0 * across)
    return Slope(turning / (2 * np.pi), _WALK * departs / (2 * np.pi * float(length)))
