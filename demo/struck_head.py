"""Taps on one head of a drum whose other head is damped, computed from physics; no part of Lugbook is used.

What sounds is a sum of the head's modes, each decaying. A mode (m, n) has m nodal lines across and n circles.

- In vacuo the modes stand as the zeros of the Bessel functions (Abramowitz & Stegun 1964, table 9.5).
- The air on both sides moves along and lowers the low modes most. A wave of wavenumber k on a head that is
  slower than sound drags a layer of air of thickness 1/k on each side, coth(k·depth)/k on the side of the
  closed shell (own derivation from the wave equation of air). The modes (1,1), (2,1), (3,1) of these heads
  come to about 1 : 1.4 : 1.8, between the bare membrane's 1 : 1.34 : 1.67 and the 1 : 1.48 : 1.92 that
  Rossing 1982 measured on a 26 inch head without its bowl (as reported by R. K. Jones).
- Only the modes (0, n) squeeze the air in the shell, which stiffens them: k² = share·ρc²·s/(4π²·L·σ), with
  s = 4/j² (own derivation). The air hole and a damped head that still gives leave a share of what a closed
  box would do: for a 14 × 5 drum with films of 10 and 3 mil, 0.64 meets the coupling of 178 Hz that follows
  from the figures of Rossing, Bork, Zhao & Fystrom 1992 (figures from memory).
- A tap drives each mode by its shape where the stick falls, and less the longer the stick stays. Near the
  hoop the (1,1) mode sounds, which is the pitch that a player reads there.
- Uneven rods split each mode with m ≥ 1 in two; a tap stretches the head, so that all modes glide down to
  where they settle.

Units: Hz, seconds, metres, kg/m². The truth of a computed recording is the settled pitch of the (1,1) mode,
midway between its two halves.
"""

import math
import random
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

RATE_HZ = 44_100
SECONDS = 3.0

_Samples = npt.NDArray[np.float64]

_BESSEL_ZEROS = (
    (2.4048255577, 5.5200781103, 8.6537279129),
    (3.8317059702, 7.0155866698, 10.1734681351),
    (5.1356223018, 8.4172441404, 11.6198411721),
    (6.3801618959, 9.7610231300, 13.0152007217),
    (7.5883424345, 11.0647094885, 14.3725366716),
    (8.7714838160, 12.3386041975, 15.7001740797),
)
"""j(m, n) for m = 0 … 5, n = 1 … 3 (Abramowitz & Stegun 1964, table 9.5)."""

_AIR_KG_M3 = 1.20
_SOUND_M_S = 343.0
_SQUEEZE_SHARE = 0.64
"""How much of a closed box's stiffness a damped other head and an air hole leave (see above)."""

_HIGHEST_HZ = 2_500.0
_MICROPHONE_HEIGHT_M = 0.05


@dataclass(frozen=True)
class StruckHead:
    """A head as it is struck.

    Attributes:
        hz: settled pitch of the (1,1) mode, the truth.
        film_kg_m2: surface density of the film.
        diameter_m: of the head.
        depth_m: of the shell.
        t60_s: time in which the (1,1) mode falls by 60 dB.
        split_cents: distance of the two halves of the (1,1) mode.
        glide_cents: how far above the settled pitch a tap of level 1 begins.
    """

    hz: float
    film_kg_m2: float
    diameter_m: float
    depth_m: float
    t60_s: float
    split_cents: float
    glide_cents: float


@dataclass(frozen=True)
class Tap:
    """One tap.

    Attributes:
        at_s: when.
        level: how hard, 1 being the hardest of a recording.
        radius: where the stick falls, as a share of the head's radius.
        angle: where it falls, in radians from the axis of the split.
    """

    at_s: float
    level: float
    radius: float
    angle: float


@dataclass(frozen=True)
class Mode:
    """One mode (m, n) with its settled frequency in Hz, its T60 in s, and its Bessel zero."""

    m: int
    n: int
    hz: float
    t60_s: float
    zero: float


def modes(head: StruckHead) -> tuple[Mode, ...]:
    """Return the modes of *head* below 2.5 kHz, the (1,1) mode at ``head.hz``."""
    radius = head.diameter_m / 2
    scale = head.hz / _loaded(head, 1, 1)
    squeeze = _SQUEEZE_SHARE * _AIR_KG_M3 * _SOUND_M_S**2 / (4 * math.pi**2 * head.depth_m)
    found = []
    for m, zeros in enumerate(_BESSEL_ZEROS):
        for n, zero in enumerate(zeros, start=1):
            hz = scale * _loaded(head, m, n)
            if m == 0:
                mass = head.film_kg_m2 + _air_kg_m2(zero / radius, head.depth_m)
                hz = math.sqrt(hz**2 + squeeze * 4 / zero**2 / mass)
            if hz > _HIGHEST_HZ:
                continue
            # A mode without a nodal line radiates best and is gone soonest; high modes lose more to the film.
            t60_s = head.t60_s * (0.45 if m == 0 else 1.0) * math.sqrt(head.hz / max(hz, head.hz))
            found.append(Mode(m, n, hz, t60_s, zero))
    return tuple(found)


def strike(head: StruckHead, taps: tuple[Tap, ...], *, seed: int) -> npt.NDArray[np.int16]:
    """Return the recording of *taps* on *head*: mono, 44.1 kHz, 16 bit, 3 s; *seed* fixes room and noise."""
    return strike_each(tuple((head, tap) for tap in taps), seconds=SECONDS, seed=seed)


def strike_each(
    blows: tuple[tuple[StruckHead, Tap], ...], *, seconds: float, seed: int
) -> npt.NDArray[np.int16]:
    """Return the recording of taps each on a head of its own, as near the rods of an uneven one."""
    chance = random.Random(seed)  # noqa: S311  a recording that can be made again, no secret
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    dry = np.zeros_like(time)
    for head, tap in blows:
        first = round(tap.at_s * RATE_HZ)
        dry[first:] += tap.level * _one_tap(head, tap, time[: len(time) - first], chance)
    wet = _in_a_room(dry, chance)
    wet *= 10 ** (-9 / 20) / np.max(np.abs(wet))
    wet += 10 ** (-68 / 20) * _noise(len(wet), chance)
    return np.rint(wet * 32_767).astype(np.int16)


def _one_tap(head: StruckHead, tap: Tap, time: _Samples, chance: random.Random) -> _Samples:
    contact_s = 0.0022 - 0.0006 * tap.level
    glide = 2 ** (head.glide_cents * tap.level**2 / 1200) - 1
    fall = 2 * math.log(1_000) / head.t60_s  # the stretch goes with the square of the swing
    # The head runs ahead of its settled pitch by the integral of glide·exp(-fall·t), alike in every mode.
    warped = time + glide * (1 - np.exp(-fall * time)) / fall
    sound = np.zeros_like(time)
    for mode in modes(head):
        shape = _bessel(mode.m, mode.zero * tap.radius)
        mass = _bessel(mode.m + 1, mode.zero) ** 2 * (0.5 if mode.m else 1.0)
        wavenumber = mode.zero / (head.diameter_m / 2)
        near = math.exp(-wavenumber * _MICROPHONE_HEIGHT_M)
        level = shape**2 / mass * near * mode.hz * _push(mode.hz * contact_s)
        decay = np.exp(-math.log(1_000) / mode.t60_s * time)
        halves = (
            (1.0, 0.0)
            if mode.m == 0
            else (math.cos(mode.m * tap.angle) ** 2, math.sin(mode.m * tap.angle) ** 2)
        )
        for half, share in zip((-0.5, 0.5), halves, strict=True):
            hz = mode.hz * 2 ** (half * head.split_cents * (mode.m > 0) / 1200)
            sound += share * level * decay * np.sin(2 * math.pi * hz * warped)
    sound /= np.max(np.abs(sound))
    # The rise lasts as long as the stick stays on the head.
    sound *= np.where(time < contact_s, np.sin(np.minimum(time / contact_s, 1) * math.pi / 2) ** 2, 1.0)
    click = np.diff(_noise(len(time) + 1, chance)) * np.exp(-time / 0.0007)
    return sound + 0.1 * click


def _loaded(head: StruckHead, m: int, n: int) -> float:
    """The mode's frequency with its load of air, to any scale, the squeeze of the shell's air left out."""
    zero = _BESSEL_ZEROS[m][n - 1]
    return zero / math.sqrt(head.film_kg_m2 + _air_kg_m2(zero / (head.diameter_m / 2), head.depth_m))


def _air_kg_m2(wavenumber: float, depth_m: float) -> float:
    return _AIR_KG_M3 / wavenumber * (1 + 1 / math.tanh(wavenumber * depth_m))


def _bessel(m: int, x: float) -> float:
    """J_m(x) by Bessel's integral, on a grid that is exact to rounding for such small m and x."""
    angle = (np.arange(256) + 0.5) * math.pi / 256
    return float(np.mean(np.cos(m * angle - x * np.sin(angle))))


def _push(cycles: float) -> float:
    """The spectrum of a half-sine push that lasts *cycles* periods of a mode, 1 for a very short one."""
    below = 1 - 4 * cycles**2
    return math.pi / 4 if abs(below) < 1e-9 else abs(math.cos(math.pi * cycles) / below)


def _in_a_room(dry: _Samples, chance: random.Random) -> _Samples:
    """Add the early reflections of a small room: forty within 90 ms, falling by 60 dB in 0.25 s.

    Together they lie some 20 dB below the tap, as 5 cm from the head in a room whose own sound is as loud as
    the direct one 0.6 m away.
    """
    wet = dry.copy()
    for _ in range(40):
        delay_s = chance.uniform(0.004, 0.09)
        level = 0.03 * chance.choice((-1, 1)) * 10 ** (-3 * delay_s / 0.25)
        delay = round(delay_s * RATE_HZ)
        wet[delay:] += level * dry[:-delay]
    return wet


def _noise(length: int, chance: random.Random) -> _Samples:
    """Nearly normal noise of standard deviation 1, the same on every machine: four even numbers added up."""
    even = np.frombuffer(chance.randbytes(8 * length), dtype="<u2").reshape(length, 4) / 65_535 - 0.5
    return np.asarray(even.sum(axis=1) * math.sqrt(3), dtype=np.float64)
