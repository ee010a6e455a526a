"""From a recording to the one slow channel in which lines are fitted.

Problem: a recording has any rate and several channels; a drum's lines lie between 40 and 1200 Hz. Two
microphones at different distances cancel some lines in their sum, so the loudest channel is taken alone.
Only the mean is removed: a filter that runs both ways smears the stroke over the moments before it. A short
FIR low-pass makes every k-th sample enough; its half length stays under 8 ms, so a fit that starts that long
after the stroke never meets the stroke itself.

Conventions: samples of shape (n,) or (n, channels), any scale; they are never changed.

Sources: window and length of the FIR, J. F. Kaiser, Proc. IEEE ISCAS 1974, 20 (from memory).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ = 40.0, 1200.0
"""Where lines of drums are looked for."""

_SLOW_HZ = 2700.0
"""Least rate of the slow channel: its mirror images begin 300 Hz above the highest line."""

_ATTENUATION_DB = 70.0


@dataclass(frozen=True, slots=True)
class Channel:
    """One channel at a slow rate.

    Attributes:
        samples: shape (n,), mean removed, largest magnitude of the recording's channel scaled to 1.
        rate_hz: its rate.
        clipped: share of the recording's samples that lie in flat runs at its ceiling.
        clips_s: times in seconds of samples in flat runs at the recording's ceiling.
        bright: size of what lies above the slow channel's band, one value for each slow sample.
    """

    samples: Floats
    rate_hz: float
    clipped: float
    clips_s: Floats
    bright: Floats


def loudest(samples: npt.NDArray[np.floating[Any]]) -> Floats:
    """Return the channel with the most energy about its mean, mean removed, scaled to a peak of 1.

    A silent recording gives zeros.
    """
    columns = samples.reshape(samples.shape[0], -1)
    best, most = np.zeros(samples.shape[0]), -np.inf
    for index in range(columns.shape[1]):
        column = columns[:, index].astype(np.float64)
        peak = float(np.max(np.abs(column)))
        if peak <= 0:
            continue
        # Scaled before squaring, so that neither very large nor very small samples leave the range of floats.
        column /= peak
        column -= np.mean(column)
        loudness = 0.5 * np.log(max(float(np.mean(column**2)), 1e-300)) + np.log(peak)
        if loudness > most:
            best, most = column, loudness
    top = float(np.max(np.abs(best)))
    return best / top if top > 1e-12 else np.zeros(best.size)


def slowed(mono: Floats, *, rate_hz: float) -> Channel:
    """Return *mono* at a slow rate, as (n // factor) samples; sample k lies at k·factor of *mono*."""
    factor = max(int(rate_hz // _SLOW_HZ), 1)
    slow_hz = rate_hz / factor
    if factor == 1:
        low = mono.copy()
        bright = np.abs(np.diff(mono, prepend=mono[:1]))
    else:
        low, bright = _decimated(mono, factor=factor, rate_hz=rate_hz, slow_hz=slow_hz)
    clips = clipped_at(mono)
    return Channel(low, slow_hz, clips.size / max(mono.size, 1), clips / rate_hz, bright)


def _decimated(mono: Floats, *, factor: int, rate_hz: float, slow_hz: float) -> tuple[Floats, Floats]:
    width = (slow_hz - 2 * HIGHEST_HZ) / rate_hz
    half = int(np.ceil((_ATTENUATION_DB - 7.95) / (14.36 * width) / 2))
    at = np.arange(-half, half + 1)
    cutoff = slow_hz / rate_hz / 2
    beta = 0.1102 * (_ATTENUATION_DB - 8.7)
    kernel = 2 * cutoff * np.sinc(2 * cutoff * at) * np.kaiser(at.size, beta)
    kernel /= kernel.sum()
    count = -(-mono.size // factor)
    padded = np.concatenate((np.zeros(half), mono, np.zeros(half + factor)))
    low = np.empty(count)
    bright = np.empty(count)
    views = np.lib.stride_tricks.sliding_window_view(padded, kernel.size)
    # In pieces, so that ten minutes at a high rate need no more memory than ten seconds.
    piece = max(2_000_000 // kernel.size, 1)
    for start in range(0, count, piece):
        stop = min(start + piece, count)
        low[start:stop] = views[start * factor : (stop - 1) * factor + 1 : factor] @ kernel
    held = np.repeat(low, factor)[: mono.size]
    high = mono - held
    edges = np.arange(0, mono.size, factor)
    sizes = np.diff(np.append(edges, mono.size))
    bright[:] = np.sqrt(np.add.reduceat(np.diff(high, prepend=high[:1]) ** 2, edges) / sizes)
    return low, bright


def clipped_at(mono: Floats) -> Floats:
    """Return the indices of samples in flat runs of three or more at the channel's own ceiling."""
    if mono.size < 3:
        return np.zeros(0)
    found = []
    for ceiling in (float(mono.max()), float(mono.min())):
        if abs(ceiling) < 0.5:
            continue
        at_top = np.abs(mono - ceiling) < 1e-4
        run = at_top[:-2] & at_top[1:-1] & at_top[2:]
        found.append(np.flatnonzero(run) + 1)
    return np.sort(np.concatenate(found)).astype(np.float64) if found else np.zeros(0)
