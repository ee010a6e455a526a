"""The settled pitch that the fitted lines of a tap give, and whether they may be believed.

Problem: the line that is the pitch may be a pair, split by an uneven tension; it may slide; and where the
room or the head does not follow the model, the lines are only part of the truth.

Conventions: as in `lugbook.heads.fit`; levels in dB below the strongest line of the tap.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.fit import Fit
from lugbook.heads.ranges import HIGHEST_HZ, LOWEST_HZ
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]

T60 = float(np.log(1000.0))
"""Decay in 1/s times this gives the time for 60 dB."""

SPLIT_CENTS = 75.0
"""Two lines nearer than this may be one mode, split by an uneven tension."""

_SPLIT_DB = 22.0

_EXPLAINED = 1.0 - 10 ** (-36 / 10)
"""Lines that explain more than this share of the energy are the tap, whatever is left."""

_DOUBTFUL_CENTS = 8.0
_LONGEST_T60_S = 7.0
"""A line that sounds longer is hum or a tone, and no line of a drum."""

_WIDER, _GLIDE_SHARE, _LEAST_SD = 1.15, 0.012, 0.004
"""The stated uncertainty covers weak lines that were not found, the form of a glide, and the arithmetic."""

_ENERGY_SD, _SHARE_SD = 2.2, 0.03
"""Spread of a line's energy, as a share, in units of the spread of its decay, since its level is fitted with
it; and no line's share is known better than the second."""

_FADES = 4.0
"""A residual that falls by more than this factor (6 dB) within the tap belongs to the drum and its room."""

_ABOVE_FLOOR = 5.0
"""So does one that is stronger by more than this factor (7 dB) than the recording's own floor."""


@dataclass(frozen=True, slots=True)
class DrumLines:
    """The lines of a fit that may be a drum's, in the order of the fit.

    Attributes:
        places: which lines of the fit they are.
        hz: frequencies in Hz.
        level_db: levels below the strongest of them.
        heard_db: the same, softer where the line's own frequency is uncertain: it may be noise.
        t60_s: seconds to fall by 60 dB.
    """

    places: npt.NDArray[np.intp]
    hz: Floats
    level_db: Floats
    heard_db: Floats
    t60_s: Floats


@dataclass(frozen=True, slots=True)
class Settled:
    """A settled pitch in Hz, its standard deviation, its fall, and the distance of a pair, all in cents."""

    hz: float
    sd_cents: float
    glide_cents: float
    split_cents: float | None


def drum_lines(fit: Fit) -> DrumLines | None:
    """Return the lines of *fit* that may be a drum's, or None where there are none."""
    t60_s = T60 / fit.decay
    places = np.flatnonzero((fit.hz >= LOWEST_HZ) & (fit.hz <= HIGHEST_HZ) & (t60_s < _LONGEST_T60_S))
    if not places.size:
        return None
    hz, size = fit.hz[places], np.abs(fit.amplitude[places])
    level_db = 20 * np.log10(np.maximum(size, 1e-12) / max(float(size.max()), 1e-12))
    doubt = 1200 / np.log(2) * fit.sd_hz[places] / hz / _DOUBTFUL_CENTS
    return DrumLines(places, hz, level_db, level_db - 20 * np.log10(1.0 + doubt**2), t60_s[places])


def settled(fit: Fit, lines: DrumLines, chosen: int) -> Settled:
    """Return the settled pitch that line *chosen* of *lines* gives, with its pair where it has one."""
    hz, t60_s, sd_hz = lines.hz, lines.t60_s, fit.sd_hz[lines.places]
    cents = 1200 * np.log2(hz / hz[chosen])
    near = (
        (np.abs(cents) < SPLIT_CENTS)
        & (lines.level_db > lines.level_db[chosen] - _SPLIT_DB)
        & (t60_s > 0.7 * t60_s[chosen])
        & (t60_s < 2.5 * t60_s[chosen])
        & (sd_hz < 0.01 * hz)
    )
    near[chosen] = True
    energy = np.where(near, fit.energy[lines.places], 0.0)
    share = energy / energy.sum()
    mean = float(share @ hz)
    # How much of the energy is whose is uncertain too: a line's energy is known as well as its decay is, and
    # what two lines cannot tell apart is uncertain by a share of what is between them.
    sd_energy = np.hypot(_ENERGY_SD * 2 * np.pi * sd_hz * t60_s / T60, _SHARE_SD)
    variance = float(share**2 @ sd_hz**2 + (share * (hz - mean)) ** 2 @ sd_energy**2)
    glide = 1200 * float(np.log2(1.0 + fit.warp.start))
    sd_cents = _WIDER * 1200 / np.log(2) * np.sqrt(variance) / mean
    pair = float(np.ptp(cents[near])) if np.count_nonzero(near) > 1 else None
    return Settled(
        mean, float(np.sqrt(sd_cents**2 + (_GLIDE_SHARE * glide) ** 2 + _LEAST_SD**2)), glide, pair
    )


def explained(fit: Fit, channel: Channel, strike: Strike) -> float:
    """Return the share of a tap's energy that its lines explain, from 0 to 1."""
    samples = channel.samples[strike.first : strike.stop]
    total = float(np.mean((samples - samples.mean()) ** 2))
    return float(np.clip(1.0 - fit.residual_power / max(total, 1e-300), 0.0, 1.0))


def holds(fit: Fit, strike: Strike, explained_share: float) -> bool:
    """Return whether the lines may be believed: they leave mere noise, or next to nothing."""
    return leaves_noise(fit, strike) or explained_share > _EXPLAINED


def leaves_noise(fit: Fit, strike: Strike) -> bool:
    """Return whether what is left is as strong at the end as at the start, and no stronger than noise."""
    quarter = max(fit.residual.size // 4, 1)
    early, late = float(np.mean(fit.residual[:quarter] ** 2)), float(np.mean(fit.residual[-quarter:] ** 2))
    return early < _FADES * late and fit.residual_power < _ABOVE_FLOOR * strike.noise
