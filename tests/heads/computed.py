"""Drums computed for the tests: their pitch is known because it was put in.

Physics of its own, shared with nothing under test: Bessel functions by their integrals, a head loaded with
air, a cavity that stiffens the (0,n) modes or couples two heads, a stroke with a contact time, decay that
falls with frequency, a glide that follows the energy, rods of uneven tension, a room, noise. Sizes of these
effects are ranges chosen to cover what drums do, not measurements.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

AIR_KG_M3, SOUND_M_S = 1.2, 343.0
FILM_KG_M3 = 1390.0


@dataclass(frozen=True)
class Line:
    """One mode as it sounds: a damped cosine."""

    mode: tuple[int, int]
    hz: float
    t60_s: float
    size: float
    phase: float


@dataclass(frozen=True)
class Stroke:
    """A computed recording and what is true of it."""

    samples: Floats
    rate_hz: float
    hz: float
    lines: tuple[Line, ...]
    noise_sd: float
    onsets_s: tuple[float, ...] = (0.15,)
    free: bool = False
    split_cents: float = 0.0
    tap_hz: tuple[float, ...] = field(default=())


def bessel(m: int, x: Floats | float) -> Floats:
    """J_m(x) by Bessel's integral, (1/pi) int_0^pi cos(m s - x sin s) ds, with the trapezoid rule."""
    s = (np.arange(400) + 0.5) * math.pi / 400
    return np.asarray(np.mean(np.cos(m * s - np.multiply.outer(np.asarray(x), np.sin(s))), axis=-1))


def zero(m: int, n: int) -> float:
    """The n-th positive zero of J_m by bisection."""
    x = np.arange(0.5, 40.0, 0.05)
    y = bessel(m, x)
    crossings = np.flatnonzero(np.sign(y[:-1]) != np.sign(y[1:]))
    low, high = float(x[crossings[n - 1]]), float(x[crossings[n - 1] + 1])
    for _ in range(60):
        middle = (low + high) / 2
        if np.sign(bessel(m, middle)) == np.sign(bessel(m, low)):
            low = middle
        else:
            high = middle
    return (low + high) / 2


ZEROS = {(m, n): zero(m, n) for m in range(9) for n in (1, 2, 3)}


def drum(
    rng: np.random.Generator,
    hz: float,
    *,
    free: bool = False,
    centre: bool = False,
    split_cents: float = 0.0,
    longest_s: float | None = None,
) -> tuple[Line, ...]:
    """Lines of one stroke on a random drum whose (1,1), or (0,1) at the centre, sounds at *hz*."""
    air = rng.uniform(2.2, 6.5)
    heard = {mode: z / math.sqrt(1 + air / z) for mode, z in ZEROS.items()}
    unit = heard[1, 1]
    ratio = {mode: value / unit * (1 + rng.normal(0, 0.004)) for mode, value in heard.items()}
    ratio[1, 1] = 1.0
    ratio[0, 1] = rng.uniform(0.755, 0.86)
    ratio[0, 2] = 1.615 + (ratio[0, 1] - 0.8) * 0.9 + rng.normal(0, 0.012)
    ratio[0, 3] = 2.55 + (ratio[0, 1] - 0.8) + rng.normal(0, 0.02)
    if centre:
        hz = hz / ratio[0, 1]
    spot = rng.uniform(0.0, 0.06) if centre else rng.uniform(0.81, 0.91)
    contact_s = rng.uniform(0.002, 0.003) if centre else rng.uniform(0.0012, 0.0026)
    longest = longest_s or rng.uniform(0.38, 0.65)
    lines = []
    for (m, n), own in ratio.items():
        place = abs(float(bessel(m, ZEROS[m, n] * spot)))
        push = abs(_pushed(own * hz * contact_s))
        sent = (own**-0.5 if m else 0.5) * 10 ** (rng.normal(0, 3.0) / 20)
        t60 = longest * own**-0.55 * rng.uniform(0.75, 1.2)
        if m == 0:
            t60 = rng.uniform(0.1, 0.25) * (1 if n == 1 else 0.85)
        if (m, n) == (1, 1):
            t60 = longest
        lines.append(Line((m, n), own * hz, t60, place * push * sent, rng.uniform(-math.pi, math.pi)))
    if free:
        lines = _freed(rng, lines)
    if split_cents:
        lines = _split(rng, lines, split_cents)
    return tuple(line for line in lines if line.hz < 3500)


def _pushed(cycles: float) -> float:
    """Spectrum of a half-sine push of *cycles* periods' length, 1 at zero."""
    gap = 1 - (2 * cycles) ** 2
    return math.cos(math.pi * cycles) / gap if abs(gap) > 1e-6 else math.pi / 4


def _freed(rng: np.random.Generator, lines: list[Line]) -> list[Line]:
    """The (0,1) and (1,1) of two heads coupled through the air between them."""
    own = {line.mode: line for line in lines}
    free = [line for line in lines if line.mode not in ((0, 1), (1, 1))]
    one, naught = own[1, 1], own[0, 1]
    other = one.hz * rng.uniform(1.04, 1.16)
    k2 = one.hz**2 * rng.uniform(0.06, 0.17)
    middle, half = (one.hz**2 + other**2) / 2, math.hypot((one.hz**2 - other**2) / 2, k2)
    low, high = math.sqrt(middle - half), math.sqrt(middle + half)
    upper_size = one.size * 10 ** (rng.uniform(-6, 5) / 20)
    free += [
        replace(one, hz=low, size=one.size * 10 ** (rng.uniform(-6, 0) / 20)),
        replace(one, hz=high, size=upper_size),
    ]
    lowest = replace(
        naught, hz=low * rng.uniform(0.60, 0.70), t60_s=rng.uniform(0.2, 0.32), size=naught.size * 1.5
    )
    return [*free, lowest]


def _split(rng: np.random.Generator, lines: list[Line], cents: float) -> list[Line]:
    half = 2 ** (cents / 2400)
    angle = rng.uniform(0.15, 0.85) * math.pi / 2
    done = []
    for line in lines:
        if line.mode[0] == 1:
            done.append(replace(line, hz=line.hz * half, size=line.size * math.cos(angle)))
            done.append(replace(line, hz=line.hz / half, size=line.size * math.sin(angle)))
        else:
            done.append(line)
    return done


def pitch_of(lines: tuple[Line, ...], mode: tuple[int, int]) -> float:
    """Energy-weighted mean frequency of the lines of *mode*."""
    own = [line for line in lines if line.mode == mode]
    energy = [line.size**2 * line.t60_s for line in own]
    return sum(line.hz * share for line, share in zip(own, energy, strict=True)) / sum(energy)


def sound(
    lines: tuple[Line, ...],
    *,
    rate_hz: float,
    seconds: float,
    contact_s: float = 0.0015,
    glide_cents: float = 0.0,
) -> Floats:
    """One stroke at t = 0: the lines set in during the contact, then decay; the pitch falls and settles."""
    t = np.arange(int(seconds * rate_hz)) / rate_hz
    longest = max(line.t60_s for line in lines if line.size > 0)
    fall = longest / 13.8
    bent = t + (2 ** (glide_cents / 1200) - 1) * fall * (1 - np.exp(-t / fall))
    total = np.zeros(t.size)
    for line in lines:
        if line.hz < 0.48 * rate_hz:
            decay = math.log(1000) / line.t60_s
            total += line.size * np.exp(-decay * t) * np.cos(2 * math.pi * line.hz * bent + line.phase)
    onset = np.clip(t / contact_s, 0, 1)
    return np.asarray(total * np.sin(0.5 * math.pi * onset) ** 2)


def room(rng: np.random.Generator, dry: Floats, *, rate_hz: float, rt60_s: float, direct_db: float) -> Floats:
    """*dry* with a diffuse room: noise that decays, *direct_db* below the direct sound in energy."""
    length = int(rt60_s * 1.1 * rate_hz)
    t = np.arange(length) / rate_hz
    tail = rng.normal(0, 1, length) * np.exp(-math.log(1000) * t / rt60_s)
    tail[: int(0.003 * rate_hz)] = 0
    tail *= 10 ** (-direct_db / 20) / math.sqrt(float(np.sum(tail**2)))
    tail[0] = 1.0
    size = 1 << math.ceil(math.log2(dry.size + length))
    return np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(tail, size), size)[: dry.size]


def noise(rng: np.random.Generator, count: int, *, pink: bool) -> Floats:
    """Noise of standard deviation 1; pink falls by 3 dB an octave from 20 Hz."""
    white = rng.normal(0, 1, count)
    if not pink:
        return white
    spectrum = np.fft.rfft(white)
    spectrum /= np.sqrt(np.maximum(np.arange(spectrum.size) / spectrum.size, 20 / 24000))
    shaped = np.fft.irfft(spectrum, count)
    return np.asarray(shaped / shaped.std())


def stroke(
    rng: np.random.Generator,
    *,
    hz: float | None = None,
    rate_hz: float = 48000,
    snr_db: float = 40.0,
    pink: bool = False,
    free: bool = False,
    centre: bool = False,
    split_cents: float = 0.0,
    glide_cents: float = 0.0,
    rt60_s: float = 0.0,
    direct_db: float = 10.0,
    hum_hz: float = 0.0,
    hum_db: float = -25.0,
    clip_db: float = 0.0,
    peak: float = 0.5,
    seconds: float = 1.0,
    contact_s: float = 0.0015,
    lines: tuple[Line, ...] | None = None,
) -> Stroke:
    """One computed tap 0.15 s after the start of a recording, full scale 1, in 16 bits."""
    pitch = hz or float(rng.uniform(190, 430))
    lines = lines or drum(rng, pitch, free=free, centre=centre, split_cents=split_cents)
    onset = 0.15
    dry = sound(lines, rate_hz=rate_hz, seconds=seconds - onset, contact_s=contact_s, glide_cents=glide_cents)
    if rt60_s:
        dry = room(rng, dry, rate_hz=rate_hz, rt60_s=rt60_s, direct_db=direct_db)
    scale = peak / float(np.max(np.abs(dry)))
    samples = np.concatenate((np.zeros(int(onset * rate_hz)), dry * scale))
    level = math.sqrt(float(np.mean((dry[: int(0.2 * rate_hz)] * scale) ** 2)))
    sd = level * 10 ** (-snr_db / 20)
    samples = samples + sd * noise(rng, samples.size, pink=pink)
    if hum_hz:
        t = np.arange(samples.size) / rate_hz
        for k in range(1, 9):
            samples += level * 10 ** (hum_db / 20) / k * np.cos(2 * math.pi * hum_hz * k * t + k)
    if clip_db:
        samples = np.clip(samples * 10 ** (clip_db / 20), -peak, peak)
    samples = np.round(samples * 32767) / 32767
    sounding = tuple(replace(line, size=line.size * scale) for line in lines)
    mode = (0, 1) if centre else (1, 1)
    return Stroke(samples, rate_hz, pitch_of(lines, mode), sounding, sd, (onset,), free, split_cents)


def round_of_taps(
    rng: np.random.Generator, cents: list[float], *, hz: float, rate_hz: float = 44100, gap_s: float = 0.7
) -> Stroke:
    """A tap near each rod of a head whose pitch is off by *cents* there."""
    base = drum(rng, hz)
    pieces, onsets, at = [np.zeros(int(0.2 * rate_hz))], [], 0.2
    for off in cents:
        factor = 2 ** (off / 1200)
        lines = tuple(replace(line, hz=line.hz * factor) for line in base)
        onsets.append(at)
        pieces.append(sound(lines, rate_hz=rate_hz, seconds=gap_s))
        at += pieces[-1].size / rate_hz
    samples = np.concatenate(pieces)
    samples *= 0.5 / np.max(np.abs(samples))
    sd = 0.001
    samples += sd * rng.normal(0, 1, samples.size)
    hzs = tuple(hz * 2 ** (off / 1200) for off in cents)
    return Stroke(samples, rate_hz, float(np.median(hzs)), base, sd, tuple(onsets), tap_hz=hzs)


def bound_cents(stroke: Stroke) -> float:
    """The Cramér-Rao bound of the pitch of *stroke* in cents, from the Fisher matrix of all its lines.

    Every line counts with its frequency, decay, amplitude and phase unknown; the noise is white.
    """
    t = np.arange(int(0.85 * stroke.rate_hz)) / stroke.rate_hz
    columns: list[Floats] = []
    which = -1
    for line in stroke.lines:
        if line.size < 1e-4 * max(other.size for other in stroke.lines):
            continue
        a, w = math.log(1000) / line.t60_s, 2 * math.pi * line.hz
        wave = line.size * np.exp(-a * t)
        cos, sin = wave * np.cos(w * t + line.phase), wave * np.sin(w * t + line.phase)
        if line.mode == (1, 1):
            which = len(columns)
        columns += [-t * sin, -t * cos, cos, -sin]
    matrix = np.array(columns)
    fisher = matrix @ matrix.T / stroke.noise_sd**2
    scale = 1 / np.sqrt(np.diag(fisher))
    inverse = np.linalg.inv(fisher * np.outer(scale, scale)) * np.outer(scale, scale)
    return 1200 / math.log(2) * math.sqrt(inverse[which, which]) / (2 * math.pi) / stroke.hz


def _set_in(_rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    return np.asarray(0.2 * np.where(t > 0.3, np.cos(2 * math.pi * hz * t), 0))


def _hum(rng: np.random.Generator, t: Floats, _hz: float) -> Floats:
    mains = float(rng.choice([50.0, 60.0]))
    return np.asarray(
        np.sum([0.1 / k * np.cos(2 * math.pi * mains * k * t + k) for k in range(1, 12)], axis=0)
    )


def _chord(_rng: np.random.Generator, t: Floats, hz: float) -> Floats:
    fade = np.clip(t / 0.08, 0, 1) * np.clip((1.5 - t) / 0.2, 0, 1)
    return np.asarray(
        fade * np.sum([np.cos(2 * math.pi * hz * k * t + k) for k in (1, 1.25, 1.5, 2, 3, 4)], axis=0) / 20
    )


def _bursts(rng: np.random.Generator, t: Floats, _hz: float) -> Floats:
    swells = [rng.normal(0, 0.2, t.size) * np.exp(-((t - at) ** 2) / 2e-3) for at in (0.3, 0.8, 1.2)]
    return np.asarray(np.sum(swells, axis=0))


def _rustle(rng: np.random.Generator, t: Floats, _hz: float) -> Floats:
    return (
        0.1 * rng.normal(0, 1, t.size) * np.abs(np.interp(t, np.arange(0, 1.6, 0.05), rng.normal(0, 1, 32)))
    )


_NO_DRUMS: dict[str, Callable[[np.random.Generator, Floats, float], Floats]] = {
    "white noise": lambda rng, t, _hz: 0.1 * rng.normal(0, 1, t.size),
    "pink noise": lambda rng, t, _hz: 0.1 * noise(rng, t.size, pink=True),
    "hum": _hum,
    "tone": lambda _rng, t, hz: 0.2 * np.cos(2 * math.pi * hz * t),
    "tone set in": _set_in,
    "sweep": lambda _rng, t, _hz: 0.2 * np.cos(2 * math.pi * (80 * t + 200 * t**2)),
    "speech": lambda rng, t, _hz: _speech(rng, t),
    "rim click": lambda rng, t, _hz: _click(rng, t, [0.2]),
    "clicks": lambda rng, t, _hz: _click(rng, t, [0.2, 0.6, 1.05]),
    "clipped": lambda rng, t, hz: np.clip(
        40 * np.cos(2 * math.pi * hz * t) + 20 * rng.normal(0, 1, t.size), -1, 1
    ),
    "dither": lambda rng, t, _hz: np.round(rng.normal(0, 0.6, t.size)) / 32767,
    "chord": _chord,
    "noise bursts": _bursts,
    "rustle": _rustle,
}

NO_DRUMS = tuple(_NO_DRUMS)


def no_drum(rng: np.random.Generator, kind: str, *, rate_hz: int = 44100) -> Floats:
    """A second and a half of something that is no drum, one of `NO_DRUMS`, over a quiet floor."""
    t = np.arange(int(1.5 * rate_hz)) / rate_hz
    quiet = 10 ** rng.uniform(-4.5, -3.5) * rng.normal(0, 1, t.size)
    return np.asarray(_NO_DRUMS[kind](rng, t, float(rng.uniform(90, 420))) + quiet)


def _click(rng: np.random.Generator, t: Floats, times: list[float]) -> Floats:
    """A stick on the hoop: a wooden knock above 1.5 kHz that is gone in a hundredth of a second."""
    total = np.zeros(t.size)
    for at in times:
        since = np.maximum(t - at, 0)
        for hz in rng.uniform(1500, 6000, 5):
            total += np.where(t >= at, 0.1 * np.exp(-since / 0.003) * np.sin(2 * math.pi * hz * since), 0)
    return total


def _speech(rng: np.random.Generator, t: Floats) -> Floats:
    """Vowels: pulses of a sliding voice through two resonances, swelling and fading, in syllables."""
    voice = float(rng.uniform(95, 230))
    slide = np.interp(t, np.arange(0, 1.75, 0.25), rng.uniform(0.85, 1.2, 7))
    turns = np.cumsum(voice * slide) * (t[1] - t[0])
    total = np.zeros(t.size)
    formants = rng.uniform((300, 900, 2200), (800, 2000, 3000))
    for k in range(1, 24):
        hz = k * voice * slide
        gain = sum(1 / (1 + ((hz - f) / 90) ** 2) for f in formants) + 0.02
        total += gain * np.cos(2 * math.pi * k * turns) / k**0.5
    starts = np.cumsum(rng.uniform(0.22, 0.4, 4))
    loud = sum(
        np.clip((t - a) / rng.uniform(0.03, 0.07), 0, 1) * np.clip((a + 0.2 - t) / 0.06, 0, 1) for a in starts
    )
    return np.asarray(0.2 * total * loud)
