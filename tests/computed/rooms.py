"""What comes to a stroke on its way into a recording: rooms, noise, hum, wires, hands."""

import math

import numpy as np

from .membrane import Floats


def room(
    rng: np.random.Generator, dry: Floats, *, rate_hz: float, rt60_s: float, direct_db: float, early: int = 0
) -> Floats:
    """*dry* in a room: a diffuse tail, noise that decays, and *early* single reflections within 40 ms.

    All that is reflected together lies *direct_db* below the direct sound in energy.
    """
    length = int(rt60_s * 1.1 * rate_hz)
    t = np.arange(length) / rate_hz
    tail = rng.normal(0, 1, length) * np.exp(-math.log(1000) * t / rt60_s)
    tail[: int(0.003 * rate_hz)] = 0
    if early:
        power = float(np.sum(tail**2))
        for late_s in rng.uniform(0.002, 0.04, early):
            strength = rng.uniform(0.3, 1.0) * math.exp(-late_s / 0.03)
            tail[int(late_s * rate_hz)] += rng.choice([-1.0, 1.0]) * strength * math.sqrt(power / early)
    tail *= 10 ** (-direct_db / 20) / math.sqrt(float(np.sum(tail**2)))
    tail[0] = 1.0
    size = 1 << math.ceil(math.log2(dry.size + length))
    return np.asarray(np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(tail, size), size)[: dry.size])


def pink_power(hz: Floats) -> Floats:
    """Power of pink noise by frequency, unscaled: 3 dB less an octave from 20 Hz up, level below."""
    return np.asarray(1 / np.maximum(hz, 20.0))


def noise(rng: np.random.Generator, count: int, *, rate_hz: float = 48000, pink: bool) -> Floats:
    """Noise of standard deviation 1: white, or pink from 20 Hz up."""
    white = rng.normal(0, 1, count)
    if not pink:
        return white
    power = pink_power(np.asarray(np.fft.rfftfreq(count, 1 / rate_hz), dtype=np.float64))
    shaped = np.fft.irfft(np.fft.rfft(white) * np.sqrt(power), count)
    return np.asarray(shaped / shaped.std())


def banded(rng: np.random.Generator, count: int, *, rate_hz: float, low_hz: float, high_hz: float) -> Floats:
    """Noise of standard deviation 1 between two frequencies, falling by 12 dB an octave outside.

    A steeper edge would ring at its own frequency, as a drum does.
    """
    hz = np.maximum(np.fft.rfftfreq(count, 1 / rate_hz), 1e-3)
    gain = 1 / np.sqrt((1 + (low_hz / hz) ** 4) * (1 + (hz / high_hz) ** 4))
    shaped = np.fft.irfft(np.fft.rfft(rng.normal(0, 1, count)) * gain, count)
    return np.asarray(shaped / float(shaped.std()))


def hum(rng: np.random.Generator, t: Floats, *, mains_hz: float) -> Floats:
    """Hum with eight harmonics, root mean square 1."""
    total = np.zeros(t.size)
    for k in range(1, 9):
        total += rng.uniform(0.3, 1.0) / k * np.cos(2 * math.pi * mains_hz * k * t + rng.uniform(0, 6.28))
    return np.asarray(total / math.sqrt(float(np.mean(total**2))))


def wires(rng: np.random.Generator, sound: Floats, *, rate_hz: float, share: float) -> Floats:
    """Wires that buzz along with *sound*: noise above 1 kHz, as strong as the head moves."""
    step = max(1, int(0.005 * rate_hz))
    strength = np.sqrt(np.convolve(sound**2, np.ones(step) / step, "same"))
    strength = np.maximum(strength - 0.03 * float(np.max(strength)), 0)
    buzz = banded(rng, sound.size, rate_hz=rate_hz, low_hz=1000, high_hz=0.45 * rate_hz)
    return np.asarray(share * strength * buzz)


def handling(rng: np.random.Generator, count: int, *, rate_hz: float, at_s: float) -> Floats:
    """A hand on the stand or the microphone: a brief thump below 45 Hz and a rustle, peak about 1."""
    t = np.arange(count) / rate_hz - at_s
    after = np.where(t >= 0, t, 0.0)
    swell = np.where(t >= 0, (1 - np.exp(-after / 0.02)) * np.exp(-after / rng.uniform(0.02, 0.05)), 0)
    thump = np.cos(2 * math.pi * rng.uniform(12, 45) * after + rng.uniform(0, 6.28)) * swell
    rub = banded(rng, count, rate_hz=rate_hz, low_hz=100, high_hz=min(3000, 0.45 * rate_hz))
    return np.asarray(1.5 * thump + 0.15 * rub * swell)
