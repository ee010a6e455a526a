"""Sounds that are no drum, computed: a second and a half each, over a quiet floor."""

import math
from collections.abc import Callable

import numpy as np

from .membrane import Floats
from .rooms import banded, handling, hum, noise

RATE_HZ = 44100

Maker = Callable[[np.random.Generator, Floats, float], Floats]


def no_drum(rng: np.random.Generator, kind: str, *, rate_hz: int = RATE_HZ) -> Floats:
    """Something that is no drum, one of `NO_DRUMS` or `STRINGS`."""
    t = np.arange(int(1.5 * rate_hz)) / rate_hz
    quiet = 10 ** rng.uniform(-4.5, -3.5) * rng.normal(0, 1, t.size)
    made = _MAKERS[kind](rng, t, float(rng.uniform(90, 420)))
    return np.asarray(np.clip(made + quiet[: made.size], -1, 1))


def _swell(t: Floats, begin: float, end: float, rise: float, fall: float) -> Floats:
    return np.asarray(np.clip((t - begin) / rise, 0, 1) * np.clip((end - t) / fall, 0, 1))


def _rate(t: Floats) -> float:
    return float(1 / (t[1] - t[0]))


def _tone(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del rng
    return np.asarray(0.2 * np.cos(2 * math.pi * hz * t))


def _set_in(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A steady tone that sets in suddenly and stays."""
    return np.where(t > rng.uniform(0.1, 0.5), _tone(rng, t, hz), 0)


def _soft_tone(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    return _tone(rng, t, hz) * _swell(t, 0.2, 1.3, rng.uniform(0.05, 0.2), 0.2)


def _beeps(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """An alarm: bursts of a tone with hard edges."""
    long, gap = rng.uniform(0.08, 0.25), rng.uniform(0.05, 0.2)
    return np.where((t - 0.1) % (long + gap) < long, _tone(rng, t, 2 * hz), 0) * (t > 0.1)


def _beep(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """One burst of a tone with soft edges."""
    return _tone(rng, t, hz) * _swell(t, 0.3, 0.3 + rng.uniform(0.15, 0.5), 0.005, 0.01)


def _chord(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """An organ's chord."""
    tones = [np.cos(2 * math.pi * hz * k * t + rng.uniform(0, 6.28)) for k in (1, 1.25, 1.5, 2, 3, 4)]
    return np.asarray(_swell(t, 0.05, 1.5, 0.08, 0.2) * np.sum(tones, axis=0) / 20)


def _sweep(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    return np.asarray(0.2 * np.cos(2 * math.pi * (hz / 2 * t + rng.uniform(60, 250) * t**2)))


def _mains(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del hz
    return 0.1 * hum(rng, t, mains_hz=float(rng.choice([50.0, 60.0])))


def _white(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del hz
    return np.asarray(10 ** rng.uniform(-3, -0.7) * rng.normal(0, 1, t.size))


def _pink(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del hz
    return 10 ** rng.uniform(-3, -0.7) * noise(rng, t.size, rate_hz=_rate(t), pink=True)


def _bursts(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """Puffs of wind or of a cloth on the microphone."""
    del hz
    swells = [rng.normal(0, 0.2, t.size) * np.exp(-((t - at) ** 2) / 2e-3) for at in (0.3, 0.8, 1.2)]
    return np.asarray(np.sum(swells, axis=0))


def _rustle(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del hz
    strength = np.interp(t, np.arange(0, 1.6, 0.05), rng.normal(0, 1, 32))
    return np.asarray(0.1 * rng.normal(0, 1, t.size) * np.abs(strength))


def _claps(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """Hands: noise from 700 to 5000 Hz that is gone in a few hundredths of a second."""
    del hz
    total = np.zeros(t.size)
    for at in np.cumsum(rng.uniform(0.25, 0.5, 4)):
        after = np.maximum(t - at, 0)
        burst = banded(rng, t.size, rate_hz=_rate(t), low_hz=700, high_hz=5000)
        total += np.where(t >= at, burst * np.exp(-after / rng.uniform(0.006, 0.02)), 0)
    return np.asarray(0.2 * total)


def _slam(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A door: a burst of low noise, with a rattle after it."""
    del hz
    after = np.maximum(t - 0.3, 0)
    low = banded(rng, t.size, rate_hz=_rate(t), low_hz=40, high_hz=rng.uniform(300, 900))
    rattle = banded(rng, t.size, rate_hz=_rate(t), low_hz=500, high_hz=6000)
    sound = low * np.exp(-after / rng.uniform(0.03, 0.08)) + 0.2 * rattle * np.exp(-after / 0.02)
    return np.where(t >= 0.3, 0.2 * sound, 0)


def _steps(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """Feet on a floor: short low thuds, half noise."""
    del hz
    total = np.zeros(t.size)
    thud = banded(rng, t.size, rate_hz=_rate(t), low_hz=40, high_hz=250)
    for at in (0.25, 0.75, 1.25):
        after = np.maximum(t - at - rng.uniform(0, 0.04), 0)
        total += np.where(after > 0, thud * (after / 0.01) * np.exp(1 - after / 0.01), 0)
    return np.asarray(0.1 * total)


def _handled(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """Hands on the stand, no stroke."""
    del hz
    two = [handling(rng, t.size, rate_hz=_rate(t), at_s=at) for at in (0.2, 0.9)]
    return np.asarray(0.2 * np.sum(two, axis=0))


def _clicks(rng: np.random.Generator, t: Floats, times: tuple[float, ...]) -> Floats:
    total = np.zeros(t.size)
    for at in times:
        since = np.maximum(t - at, 0)
        for hz in rng.uniform(1500, 6000, 5):
            fade = np.exp(-since / rng.uniform(0.002, 0.006))
            total += np.where(t >= at, 0.1 * fade * np.sin(2 * math.pi * hz * since), 0)
    return total


def _rim_click(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A stick on the hoop: a wooden knock above 1.5 kHz that is gone in a hundredth of a second."""
    del hz
    return _clicks(rng, t, (0.2,))


def _rim_clicks(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    del hz
    return _clicks(rng, t, (0.2, 0.6, 1.05))


def _clipped(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    return np.clip(40 * np.cos(2 * math.pi * hz * t) + 20 * rng.normal(0, 1, t.size), -1, 1)


def _silence(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """The last digits of a recorder that hears nothing."""
    del hz
    return np.asarray(np.round(rng.normal(0, 0.6, t.size)) / 32767)


def _cut_short(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A recording that ends a moment after the stroke."""
    count = int(rng.uniform(0.002, 0.012) * _rate(t))
    return 0.3 * np.exp(-t[:count] / 0.05) * np.cos(2 * math.pi * hz * t[:count])


def _voice(rng: np.random.Generator, pitch: Floats, t: Floats, formants: tuple[Floats, ...]) -> Floats:
    """Pulses at *pitch* through resonances at *formants*, all by time."""
    turns = np.cumsum(pitch) * (t[1] - t[0])
    total = np.zeros(t.size)
    for k in range(1, 30):
        hz = k * pitch
        gain = sum(
            strength / (1 + ((hz - middle) / width) ** 2)
            for middle, strength, width in zip(formants, (1.0, 0.5, 0.25), (80, 100, 140), strict=True)
        )
        total += (gain + 0.01) * np.cos(2 * math.pi * k * turns + rng.uniform(0, 6.28)) / k**0.5
    return np.asarray(total / np.max(np.abs(total)))


def _slid(rng: np.random.Generator, t: Floats, low: float, high: float) -> Floats:
    knots = np.arange(0, 1.7, 0.15)
    return np.asarray(np.interp(t, knots, rng.uniform(low, high, knots.size)))


def _speech(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A few words: a sliding voice, moving formants, hisses and pops between the vowels."""
    del hz
    pitch = float(rng.uniform(85, 240)) * _slid(rng, t, 0.85, 1.2)
    vowels = _voice(
        rng, pitch, t, (_slid(rng, t, 300, 850), _slid(rng, t, 900, 2200), _slid(rng, t, 2200, 3100))
    )
    hiss = banded(rng, t.size, rate_hz=_rate(t), low_hz=2500, high_hz=9000)
    loud, hissed = np.zeros(t.size), np.zeros(t.size)
    begin = rng.uniform(0.05, 0.2)
    while begin < 1.2:
        end = begin + rng.uniform(0.09, 0.28)
        loud += rng.uniform(0.5, 1.0) * _swell(
            t, begin, end, rng.uniform(0.008, 0.06), rng.uniform(0.03, 0.09)
        )
        if rng.random() < 0.4:
            hissed += _swell(t, begin - 0.08, begin + 0.02, 0.03, 0.02)
        elif rng.random() < 0.5:
            hissed += np.where(t >= begin - 0.01, 1.5 * np.exp(-np.maximum(t - begin + 0.01, 0) / 0.006), 0)
        begin = end + rng.choice([0.02, 0.06, 0.2])
    return 0.3 * loud * vowels + 0.02 * hissed * hiss


def _sung(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """One held vowel with vibrato."""
    sway = 2 ** (rng.uniform(10, 60) / 1200 * np.sin(2 * math.pi * rng.uniform(4.5, 6.5) * t))
    formants = tuple(np.full(t.size, f) for f in rng.uniform((300, 900, 2300), (800, 2000, 3000)))
    return 0.2 * _voice(rng, hz * sway, t, formants) * _swell(t, 0.15, 1.4, rng.uniform(0.02, 0.1), 0.1)


def _string(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A plucked string: a harmonic series, higher ones dying sooner."""
    after = np.maximum(t - 0.2, 0)
    spot, long = rng.uniform(0.1, 0.3), rng.uniform(0.3, 1.2)
    total = np.zeros(t.size)
    for k in range(1, 20):
        size = abs(math.sin(math.pi * k * spot)) / k
        bent = k * math.sqrt(1 + 1e-4 * k * k)
        if hz * bent < 0.48 * _rate(t):
            wave = np.cos(2 * math.pi * hz * bent * after + rng.uniform(0, 6.28))
            total += size * np.exp(-after / long * (1 + 0.1 * k)) * wave
    return np.where(t >= 0.2, 0.2 * total, 0)


def _fork(rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    """A tuning fork or a glockenspiel bar: one line, with one far above it that is soon gone."""
    after = np.maximum(t - 0.2, 0)
    ring = np.exp(-after / rng.uniform(0.6, 3.0)) * np.cos(2 * math.pi * hz * after)
    clang = 0.3 * np.exp(-after / 0.05) * np.cos(2 * math.pi * 6.27 * hz * after)
    return np.where(t >= 0.2, 0.2 * (ring + clang), 0)


_MAKERS: dict[str, Maker] = {
    "white noise": _white,
    "pink noise": _pink,
    "hum": _mains,
    "tone": _tone,
    "tone set in": _set_in,
    "soft tone": _soft_tone,
    "beeps": _beeps,
    "one beep": _beep,
    "chord": _chord,
    "sweep": _sweep,
    "speech": _speech,
    "sung vowel": _sung,
    "rim click": _rim_click,
    "clicks": _rim_clicks,
    "claps": _claps,
    "door": _slam,
    "steps": _steps,
    "handling": _handled,
    "noise bursts": _bursts,
    "rustle": _rustle,
    "clipped": _clipped,
    "silence": _silence,
    "too short": _cut_short,
    "string": _string,
    "fork": _fork,
}

STRINGS = ("string", "fork")
"""Struck or plucked things with a pitch of their own, that are no head: counted apart."""

NO_DRUMS = tuple(kind for kind in _MAKERS if kind not in STRINGS)
