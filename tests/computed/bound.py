"""The Cramér-Rao bound of a damped line's frequency: what no unbiased estimator can do better than.

Every line of the stroke counts, with its frequency, decay, amplitude and phase unknown; the noise is Gaussian
with a known spectrum. Theory: Kay, Fundamentals of Statistical Signal Processing I (1993), from memory.
"""

import math

import numpy as np

from .heads import Lines
from .membrane import Floats, Mode
from .rooms import pink_power
from .strokes import ONSET_S, Stroke

FAINTEST = 1e-4
"""Lines below this share of the strongest are left out: -80 dB."""

REMEMBERED_S = 0.3
"""Pink noise from 20 Hz up is no longer like itself after so long."""


def derivatives(lines: Lines, t: Floats) -> Floats:
    """How the sound moves with each unknown, shape (4 lines, samples).

    Rows by line: frequency in rad/s, decay in 1/s, relative amplitude, phase in rad.
    """
    rows: list[Floats] = []
    for line in lines:
        wave = line.size * np.exp(-math.log(1000) / line.t60_s * t)
        turned = 2 * math.pi * line.hz * t + line.phase
        cos, sin = wave * np.cos(turned), wave * np.sin(turned)
        rows += [-t * sin, -t * cos, cos, -sin]
    return np.array(rows)


def least_sd_hz(lines: Lines, t: Floats, *, noise_sd: float, pink: bool = False) -> Floats:
    """Bounds of the frequencies of *lines* in Hz, from the Fisher matrix of all of them.

    Args:
        lines: all lines of the sound.
        t: seconds of the samples, evenly spaced, shape (n,).
        noise_sd: standard deviation of the noise.
        pink: whether it is pink; then it is taken to be heard well before and after *t* too, so that
            whitening by its spectrum is exact.
    """
    matrix = derivatives(lines, t)
    if pink:
        # Silence after it, so that what pink noise remembers does not come round the end of the transform.
        step_s = float(t[1] - t[0])
        count = 1 << math.ceil(math.log2(t.size + REMEMBERED_S / step_s))
        power = pink_power(np.abs(np.fft.fftfreq(count, step_s)))
        half = np.fft.rfft(matrix, count) / np.sqrt(power / np.mean(power) * count / 2)[: count // 2 + 1]
        # Frequencies above and below zero count alike; those at both ends have next to nothing in them.
        matrix = np.hstack((half.real, half.imag))
    fisher = matrix @ matrix.T / noise_sd**2
    scale = 1 / np.sqrt(np.diag(fisher))
    inverse = np.linalg.inv(fisher * np.outer(scale, scale)) * np.outer(scale, scale)
    return np.asarray(np.sqrt(np.diag(inverse)[::4]) / (2 * math.pi))


def bound_cents(stroke: Stroke, mode: Mode = (1, 1)) -> float:
    """The bound of the frequency of *mode* in cents, from the end of the stick's contact on.

    Raises:
        ValueError: where the mode is not one line.
    """
    strongest = max(line.size for line in stroke.lines)
    lines = tuple(
        line
        for line in stroke.lines
        if (line.size > FAINTEST * strongest and line.hz < 0.48 * stroke.rate_hz) or line.mode == mode
    )
    (which,) = [number for number, line in enumerate(lines) if line.mode == mode]
    end_s = stroke.samples.size / stroke.rate_hz - ONSET_S
    t = np.arange(math.ceil(stroke.contact_s * stroke.rate_hz), int(end_s * stroke.rate_hz)) / stroke.rate_hz
    least = least_sd_hz(lines, t, noise_sd=stroke.noise_sd, pink=stroke.pink)[which]
    return float(1200 / math.log(2) * least / lines[which].hz)
