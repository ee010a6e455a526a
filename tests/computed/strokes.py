"""Recordings of computed strokes, and what is true of them.

The signal-to-noise ratio is the mean power of the first quarter of a second of the stroke over that of the
noise. Full scale is 1; recordings are rounded to 16 bits unless said otherwise.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from .heads import Lines, at_the_centre, diameter_of, freed, head, near_the_hoop, pitch_of
from .membrane import Floats
from .rooms import hum, noise, room, wires

ONSET_S = 0.15
"""When the single stroke of a recording falls, from its start."""

QUARTER_S = 0.25


@dataclass(frozen=True)
class Stroke:
    """A computed recording and what is true of it.

    Attributes:
        samples: full scale 1.
        rate_hz: samples a second.
        hz: the pitch that an answer must give.
        lines: the lines as they sound in the recording, sizes in full scale.
        noise_sd: standard deviation of its noise, rounding left out.
        contact_s: seconds of contact of the stick.
        pink: whether the noise is pink.
        onsets_s: when the strokes fall.
        tap_hz: the pitch of each of several taps.
    """

    samples: Floats
    rate_hz: float
    hz: float
    lines: Lines
    noise_sd: float
    contact_s: float = 0.0015
    pink: bool = False
    onsets_s: tuple[float, ...] = (ONSET_S,)
    tap_hz: tuple[float, ...] = ()


@dataclass(frozen=True)
class Around:
    """What is around a stroke, and how it is recorded.

    Attributes:
        snr_db: signal-to-noise ratio.
        pink: pink noise instead of white.
        glide_cents: by how much the pitch falls after the stroke.
        rt60_s: reverberation time of the room; 0 is none.
        direct_db: direct sound over reverberation.
        early: single early reflections.
        hum_hz: frequency of the mains; 0 is none.
        hum_db: hum relative to the stroke.
        wires: strength of wires that buzz along.
        click_db: the stick's click relative to the stroke's peak; None is none.
        clip_db: by how much the recording is overdriven.
        peak: of the recording.
        bits: of the recording.
    """

    snr_db: float = 40.0
    pink: bool = False
    glide_cents: float = 0.0
    rt60_s: float = 0.0
    direct_db: float = 10.0
    early: int = 0
    hum_hz: float = 0.0
    hum_db: float = -25.0
    wires: float = 0.0
    click_db: float | None = None
    clip_db: float = 0.0
    peak: float = 0.5
    bits: int = 16


QUIET_ROOM = Around()


def sound(
    lines: Lines, *, rate_hz: float, seconds: float, contact_s: float = 0.0015, glide_cents: float = 0.0
) -> Floats:
    """One stroke at t = 0: the lines set in during the contact, then decay; the pitch falls and settles.

    The fall follows the energy, which decays twice as fast as the amplitude.
    """
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


def recorded(
    rng: np.random.Generator,
    lines: Lines,
    *,
    rate_hz: float = 48000,
    seconds: float = 1.0,
    contact_s: float = 0.0015,
    around: Around = QUIET_ROOM,
    mode: tuple[int, int] = (1, 1),
) -> Stroke:
    """A recording of one stroke, 0.15 s after its start."""
    dry = sound(
        lines,
        rate_hz=rate_hz,
        seconds=seconds - ONSET_S,
        contact_s=contact_s,
        glide_cents=around.glide_cents,
    )
    if around.click_db is not None:
        t = np.arange(dry.size) / rate_hz
        size = float(np.max(np.abs(dry))) * 10 ** (around.click_db / 20)
        dry = dry + size * rng.normal(0, 1, dry.size) * np.exp(-t / rng.uniform(0.0005, 0.0015))
    if around.wires:
        dry = dry + wires(rng, dry, rate_hz=rate_hz, share=around.wires)
    if around.rt60_s:
        wet = {"rt60_s": around.rt60_s, "direct_db": around.direct_db}
        dry = room(rng, dry, rate_hz=rate_hz, early=around.early, **wet)
    scale = around.peak / float(np.max(np.abs(dry)))
    samples = np.concatenate((np.zeros(int(ONSET_S * rate_hz)), dry * scale))
    level = math.sqrt(float(np.mean((dry[: int(QUARTER_S * rate_hz)] * scale) ** 2)))
    sd = level * 10 ** (-around.snr_db / 20)
    samples = samples + sd * noise(rng, samples.size, rate_hz=rate_hz, pink=around.pink)
    if around.hum_hz:
        t = np.arange(samples.size) / rate_hz
        samples += level * 10 ** (around.hum_db / 20) * hum(rng, t, mains_hz=around.hum_hz)
    if around.clip_db:
        samples = np.clip(samples * 10 ** (around.clip_db / 20), -around.peak, around.peak)
    samples = rounded(samples, bits=around.bits)
    sounding = tuple(replace(line, size=line.size * scale) for line in lines)
    return Stroke(samples, rate_hz, pitch_of(lines, mode), sounding, sd, contact_s, around.pink)


def rounded(samples: Floats, *, bits: int = 16) -> Floats:
    """*samples* as a recording of so many bits keeps them."""
    most = 2.0 ** (bits - 1) - 1
    return np.asarray(np.clip(np.round(samples * most), -most - 1, most) / most)


def stroke(
    rng: np.random.Generator,
    *,
    hz: float | None = None,
    free: bool = False,
    centre: bool = False,
    split_cents: float = 0.0,
    contact_s: float | None = None,
    rate_hz: float = 48000,
    **around: float,
) -> Stroke:
    """A stroke on a random drum, near the hoop unless at the *centre*; *around* as in `Around`."""
    diameter = diameter_of(rng)
    blow = at_the_centre(rng) if centre else near_the_hoop(rng, diameter)
    blow = blow if contact_s is None else replace(blow, contact_s=contact_s)
    pitch = hz or float(rng.uniform(170, 470))
    lines = head(rng, pitch, blow=blow, diameter_in=diameter, split_cents=split_cents)
    return recorded(
        rng,
        freed(rng, lines) if free else lines,
        rate_hz=rate_hz,
        contact_s=blow.contact_s,
        around=replace(QUIET_ROOM, **around),  # type: ignore[arg-type]  # names and kinds as in Around
        mode=(0, 1) if centre else (1, 1),
    )
