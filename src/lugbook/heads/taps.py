"""One tap read: its lines, the one that is its pitch, and what is doubtful about it.

Conventions: as in `lugbook.heads.hearing`; frequencies are settled ones.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import HIGHEST_HZ, LOWEST_HZ, Channel
from lugbook.heads.fit import Fit
from lugbook.heads.follow import follow, lowest_sustained, sustained
from lugbook.heads.hearing import OtherHead, Partial, Struck
from lugbook.heads.lines import fit_tap
from lugbook.heads.modes import Choice, choices, other_head_beside
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]

T60 = float(np.log(1000.0))
"""Decay in 1/s times this gives the time for 60 dB."""

_SPLIT_CENTS = 75.0
"""Two lines nearer than this may be one mode, split by an uneven tension."""

_SPLIT_DB = 22.0

_EXPLAINED = 1.0 - 10 ** (-36 / 10)
"""Lines that explain more than this share of the energy are the tap, whatever is left."""

_DOUBTFUL_CENTS = 8.0

_WIDER, _GLIDE_SHARE, _LEAST_SD = 1.15, 0.012, 0.004
"""The stated uncertainty covers weak lines that were not found, the form of a glide, and the arithmetic."""

_ENERGY_SD = 2.2
"""Spread of a line's energy, as a share, in units of the spread of its decay: its level is fitted with it."""

_SHARE_SD = 0.03
"""No line's share of the energy is known better than this."""

_FADES = 4.0
"""A residual that falls by more than this factor (6 dB) within the tap belongs to the drum and its room."""

_ABOVE_FLOOR = 5.0
"""So does one that is stronger by more than this factor (7 dB) than the recording's own floor."""


@dataclass(frozen=True, slots=True)
class HeardTap:
    """One tap before the taps are joined.

    Attributes:
        strike: the stroke.
        hz: its pitch; None where no line can be it.
        sd_cents: standard deviation of *hz*.
        glide_cents: how far the pitch fell.
        split_cents: distance of two pitches close together, or None.
        holds: whether what the lines leave is mere noise.
        explained: share of the energy in its sound that its lines explain, from 0 to 1.
        sure: whether the choice of the line is beyond doubt.
        others: other lines that may be the pitch: frequency and mode.
        other_head: what the other head seems to have done.
        partials: its lines.
    """

    strike: Strike
    hz: float | None
    sd_cents: float
    glide_cents: float
    split_cents: float | None
    holds: bool
    explained: float
    sure: bool
    t60_s: float
    others: tuple[tuple[float, str], ...]
    other_head: OtherHead
    partials: tuple[Partial, ...]


def hear_tap(channel: Channel, strike: Strike, *, struck: Struck, near_hz: float | None) -> HeardTap:
    """Return what the tap *strike* says."""
    fit = fit_tap(channel, strike)
    if fit is None:
        return _unheard(strike)
    inside = (fit.hz >= LOWEST_HZ) & (fit.hz <= HIGHEST_HZ)
    t60_s = T60 / fit.decay
    # A line that does not decay is hum or a tone, and no line of a drum.
    drum = inside & (t60_s < 7.0)
    if not drum.any():
        return _unheard(strike)
    size = np.abs(fit.amplitude)
    level_db = 20 * np.log10(np.maximum(size, 1e-12) / size[drum].max())
    # A line whose own frequency is uncertain speaks more softly among the modes: it may be noise.
    doubt = 1200 / np.log(2) * fit.sd_hz / np.maximum(fit.hz, 1.0) / _DOUBTFUL_CENTS
    heard_db = level_db - 20 * np.log10(1.0 + doubt**2)
    ranked = choices(fit.hz[drum], heard_db[drum], t60_s[drum], struck=struck, near_hz=near_hz)
    places = np.flatnonzero(drum)
    explained = _explained(fit, channel, strike)
    names = {int(places[line]): name for line, name in ranked[0].names.items()} if ranked else {}
    partials = tuple(
        Partial(float(fit.hz[k]), float(min(level_db[k], 0.0)), float(t60_s[k]), names.get(int(k)))
        for k in places
    )
    if not ranked:
        return HeardTap(strike, None, 0.0, 0.0, None, False, explained, False, 0.0, (), "unknown", partials)
    index = int(places[ranked[0].index])
    hz, sd_hz, split, glide = _pitch(fit, index, level_db, t60_s)
    sd_cents = float(
        np.sqrt((_WIDER * 1200 / np.log(2) * sd_hz / hz) ** 2 + (_GLIDE_SHARE * glide) ** 2 + _LEAST_SD**2)
    )
    others = _others(ranked, fit.hz[drum], hz)
    holds = _holds(fit, strike, explained)
    other_head = ranked[0].other_head
    if not holds:
        expected = near_hz or lowest_sustained(channel, strike) or hz
        followed = follow(channel, strike, near_hz=expected)
        if followed is not None:
            hz, sd_cents, glide, split = followed.hz, followed.sd_cents, followed.glide_cents, None
            other_head = other_head_beside(hz, *sustained(channel, strike))
    return HeardTap(
        strike,
        hz,
        sd_cents,
        glide,
        split,
        holds,
        explained,
        len(ranked) < 2 or ranked[0].score - _best_other(ranked, fit.hz[drum]) > 1.0,
        float(t60_s[index]),
        others,
        other_head,
        partials,
    )


def _unheard(strike: Strike) -> HeardTap:
    return HeardTap(strike, None, 0.0, 0.0, None, False, 0.0, False, 0.0, (), "unknown", ())


def _pitch(fit: Fit, index: int, level_db: Floats, t60_s: Floats) -> tuple[float, float, float | None, float]:
    """Return pitch, its standard deviation in Hz, the split and the glide in cents."""
    hz = float(fit.hz[index])
    cents = 1200 * np.log2(np.maximum(fit.hz, 1.0) / hz)
    near = (
        (np.abs(cents) < _SPLIT_CENTS)
        & (level_db > level_db[index] - _SPLIT_DB)
        & (t60_s > 0.7 * t60_s[index])
        & (t60_s < 2.5 * t60_s[index])
        & (fit.sd_hz < 0.01 * hz)
    )
    near[index] = True
    glide = 1200 * float(np.log2(1.0 + fit.warp.start))
    if np.count_nonzero(near) < 2:
        return hz, float(fit.sd_hz[index]), None, glide
    energy = np.where(near, fit.energy, 0.0)
    share = energy / energy.sum()
    mean = float(share @ fit.hz)
    split = float(np.ptp(cents[near]))
    # How much of the energy is whose is uncertain too: a line's energy is known as well as its decay is, and
    # what two lines cannot tell apart is uncertain by a share of what is between them.
    sd_energy = np.hypot(_ENERGY_SD * 2 * np.pi * fit.sd_hz / fit.decay, _SHARE_SD)
    spread = (share * (fit.hz - mean)) ** 2 @ sd_energy**2
    return mean, float(np.sqrt(share**2 @ fit.sd_hz**2 + spread)), split, glide


def _holds(fit: Fit, strike: Strike, explained: float) -> bool:
    """Return whether what the lines leave is noise: as strong at the end as at the start, and no stronger."""
    quarter = max(fit.residual.size // 4, 1)
    early, late = float(np.mean(fit.residual[:quarter] ** 2)), float(np.mean(fit.residual[-quarter:] ** 2))
    noise_like = early < _FADES * late and fit.residual_power < _ABOVE_FLOOR * strike.noise
    return noise_like or explained > _EXPLAINED


def _explained(fit: Fit, channel: Channel, strike: Strike) -> float:
    samples = channel.samples[strike.first : strike.stop]
    total = float(np.mean((samples - samples.mean()) ** 2))
    return float(np.clip(1.0 - fit.residual_power / max(total, 1e-300), 0.0, 1.0))


def _others(ranked: list[Choice], hz: Floats, chosen_hz: float) -> tuple[tuple[float, str], ...]:
    """Return up to three other lines that may be meant, each well apart from the others."""
    names = ranked[0].names
    found: list[tuple[float, str]] = []
    for choice in ranked[1:]:
        own = float(hz[choice.index])
        taken = [chosen_hz, *(other for other, _ in found)]
        if all(abs(1200 * np.log2(own / one)) > _SPLIT_CENTS for one in taken):
            found.append((own, names.get(choice.index, "")))
        if len(found) == 3:
            break
    return tuple(found)


def _best_other(ranked: list[Choice], hz: Floats) -> float:
    chosen = hz[ranked[0].index]
    for choice in ranked[1:]:
        if abs(1200 * np.log2(hz[choice.index] / chosen)) > _SPLIT_CENTS:
            return choice.score
    return -np.inf
