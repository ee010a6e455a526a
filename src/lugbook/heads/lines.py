"""The lines of one tap: found, fitted together, completed, and freed of what is none.

Problem: shift invariance gives a first list from the strongest part of the sound; some weak lines are missing
from it, and some of its entries stand for noise. The list is fitted jointly, what the residual still shows is
added, what carries no more than noise is dropped, and time is bent where the pitch glides.

Conventions: as in `lugbook.heads.fit`.
"""

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import LOWEST_HZ, Channel
from lugbook.heads.fit import Fit, fit_lines, gain_by_bending
from lugbook.heads.pencil import damped_lines
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]

_PENCIL_S = 0.19
"""Shift invariance sees this much of the sound: the short lines die in it, the long ones are told apart."""

_MOST_LINES = 32

_LEAST_GAIN = 18.0
"""A line stays when it explains at least this many times the residual's power (four numbers are fitted)."""

_BEND_SECONDS = (0.04, 0.09, 0.2)
"""Time constants tried for a glide: it follows the square of the sound's level, so half its decay time."""

_BEND_GAIN = 25.0
"""Bent time must explain this many times the residual's power, for its two numbers, to be believed."""

_PASSES = 4
"""What the residual shows is added at most this often; most taps need it once."""

_DOUBLE_CENTS = 40.0
"""A short line this little above a long one may be the long one's slide."""


def fit_tap(channel: Channel, strike: Strike) -> Fit | None:
    """Return the lines of the tap *strike*, or None where the sound is too short or holds none."""
    rate = channel.rate_hz
    samples = channel.samples[strike.first : strike.stop]
    if samples.size < int(0.03 * rate):
        return None
    samples = samples - np.mean(samples[-samples.size // 8 :])
    hz, decay = damped_lines(samples[: int(_PENCIL_S * rate)], rate_hz=rate, most=_MOST_LINES)
    keep = (decay < 300.0) & (hz > 15.0) & (hz < 0.495 * rate)
    hz, decay = hz[keep], np.maximum(decay[keep], 0.5)
    if not hz.size:
        return None
    room = max(samples.size // 12, 1)
    fit = _roughly(samples, rate, hz[:room], decay[:room])
    for _ in range(_PASSES):
        more = _missing(fit, most=min(6, room - fit.hz.size))
        if not more.size:
            break
        fit = _roughly(samples, rate, np.append(fit.hz, more), np.append(fit.decay, np.full(more.size, 20.0)))
    if not fit.hz.size:
        return None
    fit = fit_lines(samples, rate_hz=rate, hz=fit.hz, decay=fit.decay, rounds=6, spread=False)
    bent = _bent(fit, samples)
    bend = bent.warp.seconds if bent.warp.start else None
    return fit_lines(
        samples,
        rate_hz=rate,
        hz=bent.hz,
        decay=bent.decay,
        bend_seconds=bend,
        bend_start=bent.warp.start,
        rounds=3,
    )


def _bent(fit: Fit, samples: Floats) -> Fit:
    """Return *fit*, or one with bent time and fewer lines where that explains clearly more.

    A line that slides is found as two, the second short and a little higher; with time bent one is enough.
    """
    single = _singled(fit)
    doubled = single.hz.size < fit.hz.size
    gains = [gain_by_bending(fit, seconds) for seconds in _BEND_SECONDS]
    if not doubled and max(gains) < _BEND_GAIN * fit.residual_power:
        return fit
    best = fit
    cost = _cost(fit)
    for seconds in _BEND_SECONDS if doubled else (_BEND_SECONDS[int(np.argmax(gains))],):
        bent = fit_lines(
            samples,
            rate_hz=fit.rate_hz,
            hz=single.hz,
            decay=single.decay,
            bend_seconds=seconds,
            rounds=5,
            spread=False,
        )
        if _cost(bent) < cost:
            best, cost = bent, _cost(bent)
    return best


def _cost(fit: Fit) -> float:
    """Return the Bayesian information criterion of *fit*: misfit plus what its numbers cost."""
    count = fit.residual.size
    numbers = 4 * fit.hz.size + (2 if fit.warp.start else 0)
    return count * float(np.log(max(fit.residual_power, 1e-300))) + numbers * float(np.log(count))


def _singled(fit: Fit) -> Fit:
    """Return *fit* with every pair of a long line and a shorter one just above it made one."""
    keep = np.ones(fit.hz.size, dtype=bool)
    for k in range(fit.hz.size):
        above = 1200 * np.log2(np.maximum(fit.hz, 1.0) / max(fit.hz[k], 1.0))
        keep &= ~((above > 0) & (above < _DOUBLE_CENTS) & (fit.decay > 1.25 * fit.decay[k]))
    return Fit(
        fit.hz[keep],
        fit.decay[keep],
        fit.amplitude[keep],
        fit.sd_hz[keep],
        fit.warp,
        fit.residual,
        fit.rate_hz,
    )


def _roughly(samples: Floats, rate_hz: float, hz: Floats, decay: Floats) -> Fit:
    return _kept(fit_lines(samples, rate_hz=rate_hz, hz=hz, decay=decay, rounds=2, spread=False))


def _kept(fit: Fit) -> Fit:
    """Return *fit* without the lines that explain no more than noise would."""
    energy = fit.energy * fit.rate_hz
    power = max(fit.residual_power, 1e-300)
    keep = (energy > _LEAST_GAIN * power) & (fit.hz > LOWEST_HZ / 3) & (fit.decay < 390.0)
    if keep.all():
        return fit
    return Fit(
        fit.hz[keep],
        fit.decay[keep],
        fit.amplitude[keep],
        fit.sd_hz[keep],
        fit.warp,
        fit.residual,
        fit.rate_hz,
    )


def _missing(fit: Fit, *, most: int) -> Floats:
    """Return frequencies where the residual still holds a line."""
    if most < 1:
        return np.zeros(0)
    t = np.arange(fit.residual.size) / fit.rate_hz
    size = 1 << int(np.ceil(np.log2(2 * t.size)))
    weight = np.exp(-15.0 * t)
    spectrum = np.abs(np.fft.rfft(fit.residual * weight, size)) ** 2
    hz = np.arange(spectrum.size) * fit.rate_hz / size
    level = np.median(spectrum[(hz > LOWEST_HZ) & (hz < 0.45 * fit.rate_hz)]) / np.log(2.0)
    inner = spectrum[1:-1]
    peaks = np.flatnonzero((inner > spectrum[:-2]) & (inner >= spectrum[2:]) & (inner > 16.0 * level)) + 1
    peaks = peaks[(hz[peaks] > LOWEST_HZ) & (hz[peaks] < 0.47 * fit.rate_hz)]
    strongest = peaks[np.argsort(spectrum[peaks])[::-1][:most]]
    return hz[strongest]
