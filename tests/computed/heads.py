"""Drum heads computed for the tests: which lines a stroke sounds, with the pitch that was put in.

A head of film is loaded with air, most in its low modes; the air between the heads stiffens its (0,n), and
couples it to the other head where that is free. A stroke excites each mode by how far it moves at the spot
struck and by the time of contact; uneven tension splits the modes with node lines. Sizes of these effects are
ranges chosen to cover what drums do, not measurements.

Conventions: frequencies in Hz, lengths of films in mil, diameters in inches, spots as shares of the radius.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from .membrane import ZEROS, Mode, moved, pushed

AIR_KG_M3, FILM_KG_M3 = 1.2, 1390.0


@dataclass(frozen=True)
class Line:
    """One mode as it sounds: a damped cosine.

    Attributes:
        mode: (m, n).
        hz: settled frequency.
        t60_s: seconds to fall by 60 dB.
        size: amplitude at the stroke.
        phase: in radians, at the stroke.
    """

    mode: Mode
    hz: float
    t60_s: float
    size: float
    phase: float


Lines = tuple[Line, ...]


@dataclass(frozen=True)
class Blow:
    """How a head is struck: spot, seconds of contact, and the angle to the axis of uneven tension."""

    spot: float
    contact_s: float
    angle: float


def diameter_of(rng: np.random.Generator) -> float:
    """A drum from 10 to 16 inches, fourteen being the commonest."""
    return float(rng.choice([10, 12, 13, 14, 14, 14, 15, 16]))


def near_the_hoop(rng: np.random.Generator, diameter_in: float) -> Blow:
    """A tap 2 to 3 cm in from the hoop, anywhere around."""
    inside = rng.uniform(2.0, 3.0) / (diameter_in * 2.54 / 2)
    return Blow(1 - inside, rng.uniform(0.0011, 0.0026), rng.uniform(0, math.pi / 2))


def at_the_centre(rng: np.random.Generator, furthest: float = 0.02) -> Blow:
    """A stroke within *furthest* of the radius of the centre."""
    return Blow(rng.uniform(0, furthest), rng.uniform(0.002, 0.003), rng.uniform(0, math.pi / 2))


def ratios(rng: np.random.Generator, *, diameter_in: float, mil: float) -> dict[Mode, float]:
    """Frequencies of a head's modes, the other head held, as ratios to its (1,1)."""
    surface = FILM_KG_M3 * mil * 25.4e-6
    air = 2 * AIR_KG_M3 * diameter_in * 0.0254 / 2 / (surface * ZEROS[1, 1])
    load = min(0.8, rng.uniform(0.8, 1.5) * air)
    steep, rounds = rng.uniform(1.2, 2.4), rng.uniform(0, 0.9)
    heard = {
        (m, n): z / math.sqrt(1 + load * (ZEROS[1, 1] / z) ** steep * n**rounds)
        for (m, n), z in ZEROS.items()
    }
    found = {mode: hz / heard[1, 1] * (1 + rng.normal(0, 0.004)) for mode, hz in heard.items()}
    found[1, 1] = 1.0
    found[0, 1] = rng.uniform(0.755, 0.90)
    found[0, 2] = 1.615 + (found[0, 1] - 0.8) * 0.9 + rng.normal(0, 0.012)
    found[0, 3] = 2.55 + (found[0, 1] - 0.8) + rng.normal(0, 0.02)
    return found


def head(
    rng: np.random.Generator,
    hz: float,
    *,
    blow: Blow | None = None,
    diameter_in: float = 14.0,
    mil: float = 10.0,
    t60_s: float | None = None,
    split_cents: float = 0.0,
) -> Lines:
    """Lines of one stroke on a head whose (1,1) sounds at *hz* and rings for *t60_s*, the other head held."""
    blow = blow or near_the_hoop(rng, diameter_in)
    longest = t60_s or rng.uniform(0.35, 0.65)
    fading = rng.uniform(0.2, 0.8)
    lines = []
    for mode, ratio in ratios(rng, diameter_in=diameter_in, mil=mil).items():
        sent = (ratio**-0.4 if mode[0] else rng.uniform(0.2, 0.6)) * 10 ** (rng.normal(0, 3.0) / 20)
        size = abs(moved(mode, blow.spot) * pushed(ratio * hz * blow.contact_s)) * sent
        t60 = longest * ratio**-fading * math.exp(rng.normal(0, 0.2))
        if mode[0] == 0:
            t60 = min(longest, rng.uniform(0.09, 0.27)) * (1.0 if mode[1] == 1 else 0.85)
        if mode == (1, 1):
            t60 = longest
        lines.append(Line(mode, ratio * hz, t60, size, rng.uniform(-math.pi, math.pi)))
    whole = tuple(line for line in lines if line.hz < 3500)
    return split(rng, whole, cents=split_cents, angle=blow.angle) if split_cents else whole


def split(rng: np.random.Generator, lines: Lines, *, cents: float, angle: float) -> Lines:
    """*lines* on a head of uneven tension: every (1,n) is two, *cents* apart, others less."""
    done: list[Line] = []
    for line in lines:
        m, n = line.mode
        if m == 0:
            done.append(line)
            continue
        apart = cents if m == 1 else cents * rng.uniform(0, 0.5)
        turned = m * angle if n == 1 else m * angle + rng.normal(0, 0.1)
        half = 2 ** (apart / 2400)
        done.append(replace(line, hz=line.hz * half, size=line.size * abs(math.cos(turned))))
        done.append(replace(line, hz=line.hz / half, size=line.size * abs(math.sin(turned))))
    return tuple(done)


def freed(rng: np.random.Generator, lines: Lines) -> Lines:
    """*lines* with the other head free: the (1,1) and the (0,1) become pairs, other modes get faint company.

    The two heads' (1,1) are masses on springs with a spring between them, so the lower of the pair lies below
    the lower head. The pair is 10 to 28 % apart, and the (0,1) at 0.60 to 0.71 of its lower one.
    """
    own = {line.mode: line for line in lines}
    one, naught = own[1, 1], own[0, 1]
    low = high = 0.0
    while not 1.10 <= high / max(low, 1.0) <= 1.28:
        other, k2 = one.hz * rng.uniform(0.9, 1.2), one.hz**2 * rng.uniform(0.05, 0.2)
        middle, half = (one.hz**2 + other**2) / 2, math.hypot((one.hz**2 - other**2) / 2, k2)
        low, high = math.sqrt(middle - half), math.sqrt(middle + half)
    # The lower of the pair moves this head by cos(turned) and the other by sin(turned), both the same way.
    turned = 0.5 * math.atan2(2 * k2, other**2 - one.hz**2)
    heard = rng.uniform(0.0, 0.6)
    with_it, against = math.cos(turned), math.sin(turned)
    pair = (
        replace(one, hz=low, size=one.size * abs(with_it * (with_it + heard * against))),
        replace(
            one,
            hz=high,
            size=one.size * max(0.1, abs(against * (against - heard * with_it))),
            t60_s=one.t60_s * rng.uniform(0.7, 1.1),
            phase=rng.uniform(-math.pi, math.pi),
        ),
    )
    breathing = (
        replace(
            naught, hz=low * rng.uniform(0.60, 0.71), t60_s=rng.uniform(0.2, 0.32), size=naught.size * 1.5
        ),
        replace(naught, hz=low * rng.uniform(1.12, 1.25), size=naught.size * 10 ** rng.uniform(-2.5, -1)),
    )
    rest = tuple(line for line in lines if line.mode not in ((0, 1), (1, 1)))
    company = tuple(
        replace(
            line,
            hz=line.hz * other / one.hz * rng.uniform(1.0, 1.06),
            size=line.size * 10 ** (-rng.uniform(12, 40) / 20),
            phase=rng.uniform(-math.pi, math.pi),
        )
        for line in rest
        if line.mode[1] == 1
    )
    return (*breathing, *pair, *rest, *company)


def pitch_of(lines: Lines, mode: Mode) -> float:
    """Energy-weighted mean frequency of the lines of *mode*."""
    own = [line for line in lines if line.mode == mode]
    energy = [line.size**2 * line.t60_s for line in own]
    return sum(line.hz * share for line, share in zip(own, energy, strict=True)) / sum(energy)
