"""Recordings of several taps: rounds of the rods, and players who are not careful."""

import math
from dataclasses import dataclass, replace

import numpy as np

from .heads import Blow, Lines, at_the_centre, diameter_of, head, near_the_hoop, pitch_of
from .membrane import Floats
from .rooms import handling
from .strokes import rounded, sound

LONGEST_S = 1.0
"""After that nothing is left of a tap."""


@dataclass(frozen=True)
class Tap:
    """One tap of several: its lines, and how loud it is, 1 for full."""

    lines: Lines
    loud: float = 1.0
    contact_s: float = 0.0015


@dataclass(frozen=True)
class Series:
    """A computed recording of several taps.

    Attributes:
        samples: full scale 1.
        rate_hz: samples a second.
        onsets_s: when the taps fall.
        tap_hz: the pitch of each.
        hz: the pitch of most of them, which is the reading.
        lines: the lines of the first.
    """

    samples: Floats
    rate_hz: float
    onsets_s: tuple[float, ...]
    tap_hz: tuple[float, ...]
    hz: float
    lines: Lines


def played(
    rng: np.random.Generator,
    taps: list[Tap],
    *,
    rate_hz: float = 44100,
    gaps_s: tuple[float, float] = (0.55, 0.85),
    snr_db: float = 40.0,
    handled: bool = False,
) -> Series:
    """*taps* one after another; the ratio of signal to noise is that of a full one.

    With *handled*, hands are heard between the taps.
    """
    onsets = 0.2 + np.concatenate(([0.0], np.cumsum(rng.uniform(*gaps_s, len(taps) - 1))))
    samples = np.zeros(int((float(onsets[-1]) + gaps_s[1]) * rate_hz))
    level = 0.0
    for tap, onset in zip(taps, onsets, strict=True):
        begin = round(float(onset) * rate_hz)
        dry = sound(
            tap.lines,
            rate_hz=rate_hz,
            seconds=min(LONGEST_S, (samples.size - begin) / rate_hz),
            contact_s=tap.contact_s,
        )
        dry *= tap.loud / float(np.max(np.abs(dry)))
        samples[begin : begin + dry.size] += dry
        level = max(level, float(np.mean(dry[: int(0.25 * rate_hz)] ** 2)) / tap.loud**2)
    if handled:
        for onset in onsets[1:]:
            at_s = float(onset) - rng.uniform(0.12, 0.3)
            samples += rng.uniform(0.03, 0.2) * handling(rng, samples.size, rate_hz=rate_hz, at_s=at_s)
    samples *= 0.5 / float(np.max(np.abs(samples)))
    samples += 0.5 * math.sqrt(level) * 10 ** (-snr_db / 20) * rng.normal(0, 1, samples.size)
    hz = tuple(pitch_of(tap.lines, (1, 1)) for tap in taps)
    return Series(
        rounded(samples), rate_hz, tuple(map(float, onsets)), hz, float(np.median(hz)), taps[0].lines
    )


def retuned(lines: Lines, cents: float) -> Lines:
    """*lines*, all of them *cents* higher."""
    return tuple(replace(line, hz=line.hz * 2 ** (cents / 1200)) for line in lines)


def round_of_taps(
    rng: np.random.Generator, cents: list[float], *, hz: float, rate_hz: float = 44100, snr_db: float = 40.0
) -> Series:
    """A tap near each rod of a head whose pitch is off by *cents* there."""
    diameter = diameter_of(rng)
    base = head(rng, hz, blow=near_the_hoop(rng, diameter), diameter_in=diameter)
    taps = [Tap(retuned(base, off), 10 ** (rng.uniform(-4, 0) / 20)) for off in cents]
    return replace(played(rng, taps, rate_hz=rate_hz, snr_db=snr_db), hz=hz)


def uneven_round(
    rng: np.random.Generator, rods: int, *, hz: float, split_cents: float, snr_db: float = 35.0
) -> Series:
    """A tap near each rod of a head with a twofold uneven tension, as linear acoustics has it.

    The same two lines sound everywhere, and only their shares change around the head.
    """
    axis, seed = rng.uniform(0, math.pi), int(rng.integers(1 << 31))
    taps = []
    for rod in range(rods):
        blow = Blow(0.85, 0.0018, 2 * math.pi * rod / rods - axis)
        # The same seed each time makes the same head.
        lines = head(np.random.default_rng(seed), hz, blow=blow, split_cents=split_cents)
        taps.append(Tap(lines, 10 ** (rng.uniform(-3, 0) / 20), blow.contact_s))
    return played(rng, taps, snr_db=snr_db)


def careless(rng: np.random.Generator, *, hz: float, snr_db: float = 35.0) -> Series:
    """Five or six taps, loud and soft, one or two of them stray, hands heard between them."""
    diameter = diameter_of(rng)
    count = int(rng.integers(5, 7))
    stray = set(map(int, rng.choice(count, count - 4, replace=False)))
    seed = int(rng.integers(1 << 31))
    taps = []
    for number in range(count):
        same = np.random.default_rng(seed)
        if number in stray and rng.random() < 0.5:
            lines = head(same, hz, blow=at_the_centre(rng), diameter_in=diameter)
        else:
            lines = head(same, hz, blow=near_the_hoop(rng, diameter), diameter_in=diameter)
            lines = retuned(lines, rng.choice([-1, 1]) * rng.uniform(80, 400) if number in stray else 0.0)
        taps.append(Tap(lines, 10 ** (rng.uniform(-10, 0) / 20)))
    return replace(played(rng, taps, snr_db=snr_db, handled=True), hz=hz)
