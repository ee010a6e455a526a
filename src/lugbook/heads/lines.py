"""The lines of one tap: found, fitted together, completed, and freed of what is none.

Problem: shift invariance gives a first list from the strongest part of the sound; some weak lines are missing
from it, and some of its entries stand for noise. The list is fitted jointly, what the residual still shows is
added, what carries no more than noise is dropped, and time is bent where the pitch glides.

Conventions: as in `lugbook.heads.fit`.
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.fit import Fit, Warp, fit_lines, gain_by_bending
from lugbook.heads.pencil import damped_lines
from lugbook.heads.ranges import LOWEST_HZ
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]

_PENCIL_S = 0.19
"""Shift invariance sees this much of the sound: the short lines die in it, the long ones are told apart."""

_MOST_LINES = 32

_LEAST_GAIN = 18.0
"""A line stays when it explains at least this many times the residual's power (four numbers are fitted)."""

_FIRST_BEND = 0.002
"""A fit of a bend starts here: 3.5 cents."""

_BEND_GAIN = 25.0
"""Bent time must explain this many times the residual's power, for its two numbers, to be believed."""

_GROWING = -3.0
"""A line that grows faster than this (1/s) is none of a tap."""

_NOTHING_LEFT, _WORTH_A_PASS = 1.15, 0.9
"""Passes end when what is left is little more than the recording's floor, or when one takes little away."""

_LEAST_BEND = 0.0003
"""A smaller bend (half a cent) moves no pitch; what asks for it is a line that was not found."""

_SHORTEST_LINE, _LAST_ROUNDS = 390.0, 8

_PASSES = 4
"""What the residual shows is added at most this often; most taps need it once."""

_EARNED = 10.0
"""A bend must lower the criterion by this against even time with as few lines."""

_DOUBLE_CENTS, _DOUBLE_SHORTER = 40.0, 1.25
"""A line this little above another that decays faster by this may be the other's slide."""


def fit_tap(channel: Channel, strike: Strike) -> Fit | None:
    """Return the lines of the tap *strike*, or None where the sound is too short or holds none."""
    rate = channel.rate_hz
    samples = channel.samples[strike.first : strike.stop]
    if samples.size < int(0.03 * rate):
        return None
    samples = samples - np.mean(samples[-samples.size // 8 :])
    hz, decay = damped_lines(samples[: int(_PENCIL_S * rate)], rate_hz=rate, most=_MOST_LINES)
    keep = (decay < 300.0) & (decay > _GROWING) & (hz > 15.0) & (hz < 0.495 * rate)
    if not keep.any():
        return None
    tap = _Tap(samples, rate, strike.noise)
    hz, decay = hz[keep][: tap.room], np.maximum(decay[keep], 0.5)[: tap.room]
    # Their amplitudes alone first: an entry that stands for noise would lead the joint steps astray. What
    # they leave is not yet small, so they are measured by the recording's floor.
    fit = fit_lines(samples, rate_hz=rate, hz=hz, decay=decay, rounds=0, spread=False)
    fit = _kept(fit, power=min(strike.noise, fit.residual_power))
    fit = tap.bent_or_not(tap.fitted(fit))
    if not fit.hz.size:
        return None
    bend = fit.warp if fit.warp.start else None
    return fit_lines(samples, rate_hz=rate, hz=fit.hz, decay=fit.decay, bend=bend, rounds=_LAST_ROUNDS)


@dataclass(frozen=True, slots=True)
class _Tap:
    """The sound of one tap, and what is known of it before any line is."""

    samples: Floats
    rate_hz: float
    noise: float

    @property
    def room(self) -> int:
        """The most lines that so few samples can tell apart."""
        return max(self.samples.size // 12, 1)

    def fitted(self, fit: Fit, *, bend: Warp | None = None, rounds: int = 2) -> Fit:
        """Return *fit* after some joint steps, without what turns out to be none."""
        return _kept(
            fit_lines(
                self.samples,
                rate_hz=self.rate_hz,
                hz=fit.hz,
                decay=fit.decay,
                bend=bend,
                rounds=rounds,
                spread=False,
            )
        )

    def explained(self, fit: Fit) -> bool:
        """Return whether what *fit* leaves is little more than the recording's floor."""
        return fit.residual_power < _NOTHING_LEFT * self.noise

    def completed(self, fit: Fit) -> Fit:
        """Return *fit* with the lines that its residual still shows."""
        for _ in range(_PASSES):
            if self.explained(fit):
                break
            more = _missing(fit, most=min(6, self.room - fit.hz.size))
            if not more.size:
                break
            before = fit.residual_power
            hz, decay = np.append(fit.hz, more), np.append(fit.decay, np.full(more.size, 20.0))
            bend = fit.warp if fit.warp.start else None
            fit = self.fitted(replace(fit, hz=hz, decay=decay), bend=bend)
            if fit.residual_power > _WORTH_A_PASS * before:
                break
        return fit

    def bent_or_not(self, fit: Fit) -> Fit:
        """Return *fit* completed, with bent time and fewer lines where that explains clearly more.

        A line that slides is found as two, the second short and a little higher; with time bent one is
        enough.
        """
        if not fit.hz.size:
            return fit
        leader = int(np.argmax(fit.energy))
        # A bend follows the square of the sound's level: half the decay time of what is loudest.
        bend = Warp(_FIRST_BEND, 0.5 / float(fit.decay[leader]))
        if _shorter_above(fit, leader).any():
            single = _singled(fit)
            bent = self.completed(self.fitted(single, bend=bend, rounds=5))
            if self.explained(bent):
                # A line of noise beside the leader looks like a slide too: the bend must earn its numbers.
                even = self.completed(self.fitted(single, rounds=5))
                return bent if _audible(bent) and _cost(bent) < _cost(even) - _EARNED else even
            fit = self.completed(fit)
        else:
            fit = self.completed(fit)
            if gain_by_bending(fit, bend.seconds) < _BEND_GAIN * fit.residual_power:
                return fit
            bent = self.completed(self.fitted(fit, bend=bend, rounds=5))
        return bent if _audible(bent) and _cost(bent) < _cost(fit) else fit


def _audible(fit: Fit) -> bool:
    return abs(fit.warp.start) > _LEAST_BEND


def _shorter_above(fit: Fit, line: int) -> npt.NDArray[np.bool_]:
    """Return which lines are shorter than *line* and just above it, as a slide leaves them."""
    above = 1200 * np.log2(np.maximum(fit.hz, 1.0) / max(fit.hz[line], 1.0))
    shorter = fit.decay > _DOUBLE_SHORTER * fit.decay[line]
    found: npt.NDArray[np.bool_] = shorter & (above > 0) & (above < _DOUBLE_CENTS)
    return found


def _cost(fit: Fit) -> float:
    """Return the Bayesian information criterion of *fit*: misfit plus what its numbers cost."""
    count = fit.residual.size
    numbers = 4 * fit.hz.size + (2 if fit.warp.start else 0)
    return count * float(np.log(max(fit.residual_power, 1e-300))) + numbers * float(np.log(count))


def _singled(fit: Fit) -> Fit:
    """Return *fit* with every pair of a long line and a shorter one just above it made one."""
    keep = np.ones(fit.hz.size, dtype=bool)
    for line in range(fit.hz.size):
        keep &= ~_shorter_above(fit, line)
    return _only(fit, keep)


def _kept(fit: Fit, *, power: float | None = None) -> Fit:
    """Return *fit* without the lines that explain no more than noise of *power*, or its residual, would."""
    energy = fit.energy * fit.rate_hz
    power = max(fit.residual_power if power is None else power, 1e-300)
    return _only(
        fit, (energy > _LEAST_GAIN * power) & (fit.hz > LOWEST_HZ / 3) & (fit.decay < _SHORTEST_LINE)
    )


def _only(fit: Fit, keep: npt.NDArray[np.bool_]) -> Fit:
    """Return *fit* with some of its lines; its residual stays as it is."""
    return replace(
        fit,
        hz=fit.hz[keep],
        decay=fit.decay[keep],
        amplitude=fit.amplitude[keep],
        sd_hz=fit.sd_hz[keep],
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
    peaks = peaks[(hz[peaks] > LOWEST_HZ) & (hz[peaks] < 0.49 * fit.rate_hz)]
    strongest = peaks[np.argsort(spectrum[peaks])[::-1][:most]]
    return hz[strongest]
