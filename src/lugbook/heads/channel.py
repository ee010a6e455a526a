"""From a recording to the one slow channel in which lines are fitted.

Problem: a recording has any rate and several channels; a drum's lines lie between 40 and 1200 Hz. Two
microphones at different distances cancel some lines in their sum, so one channel is taken alone: the one with
the most energy above what always sounds in it, for a dead channel may hum louder than the other rings on
average. Only the mean is removed: a filter that runs both ways smears the stroke over the moments before it.
A short FIR low-pass makes every k-th sample enough; its half length stays under 8 ms, so a fit that starts
that long after the stroke never meets the stroke itself.

A recording may last for minutes at any rate. It is worked on in pieces: beside the samples given, only the
slow channel and a few megabytes are held.

Conventions: samples of shape (n,) or (n, channels), any kind of real numbers at any scale; they are never
changed.

Sources: window and length of the FIR, J. F. Kaiser, Proc. IEEE ISCAS 1974, 20 (from memory).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from lugbook.heads.ranges import HIGHEST_HZ
from lugbook.progress import Progress

Floats = npt.NDArray[np.float64]
Samples = npt.NDArray[Any]

_SLOW_HZ = 2700.0
"""Least rate of the slow channel: its mirror images begin 300 Hz above the highest line."""

_ATTENUATION_DB = 70.0

_PIECE = 1 << 17
"""Samples that are worked on at once."""

_PRODUCT = 250_000
"""Multiplications in one product: OpenBLAS takes a second thread from 262 144 on (from memory)."""

_LEAST_FRAME, _MOST_FRAME, _FRAMES = 256, 8192, 32
_ALWAYS, _ABOVE = 0.25, 1.25
"""Share of all frames of a channel that hold no more energy than what always sounds in it, and by how much a
frame must go past that to count: a frame holds no whole number of periods of a hum."""

_STEADY = 1e-12
"""Samples that differ by no more than this part of their size are a steady value and no sound."""


_AT_CEILING, _STEEP = 1e-4, 8e-4
"""A sample this near the ceiling is at it; a step before a clipped run the wave is at least so far below."""

_LEAST_FACTOR = 3
"""With no more samples than this to one of the slow channel, there is little above its band to tell of."""

_MOST_CLIPS = 1_000_000
"""Where more samples than this are clipped, not all their times are kept."""


@dataclass(frozen=True, slots=True)
class Channel:
    """One channel at a slow rate.

    Attributes:
        samples: shape (n,), mean removed, largest magnitude of the recording's channel scaled to 1.
        rate_hz: its rate.
        clipped: share of the recording's samples that lie in flat runs at its ceiling.
        clips_s: times in seconds of samples in flat runs at the recording's ceiling.
        bright: size of what lies above the slow channel's band, one value for each slow sample; 0 where the
            recording's own rate leaves too little above it.
    """

    samples: Floats
    rate_hz: float
    clipped: float
    clips_s: Floats
    bright: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Mono:
    """One channel of a recording, read piece by piece: its mean removed, its largest magnitude scaled to 1.

    Attributes:
        source: shape (n,), the samples as they were given.
        middle: half way between the lowest and the highest of them.
        reach: distance from there to either; 0 where the channel is silent.
        mean: mean of (source - middle) / reach.
        finite: whether every sample of the recording is a finite number; if not, the rest means nothing.
    """

    source: Samples
    middle: float
    reach: float
    mean: float = 0.0
    finite: bool = True

    @property
    def size(self) -> int:
        """How many samples it has."""
        return int(self.source.shape[0])

    @property
    def ceilings(self) -> tuple[float, float]:
        """The highest and the lowest value."""
        if not self.reach > 0:
            return 0.0, 0.0
        top = 1.0 + abs(self.mean)
        return (1.0 - self.mean) / top, (-1.0 - self.mean) / top

    def stretch(self, start: int, stop: int) -> Floats:
        """Return the samples from *start* to before *stop*; outside of the recording there are zeros."""
        out = np.zeros(stop - start)
        low, high = max(start, 0), min(stop, self.size)
        if self.reach > 0 and high > low:
            inner = out[low - start : high - start]
            # Centred before the mean goes, so that a large offset or scale costs no digits.
            inner[:] = (_as_doubles(self.source[low:high]) - self.middle) / self.reach
            inner -= self.mean
            inner /= 1.0 + abs(self.mean)
        return out


def loudest(samples: Samples) -> Mono:
    """Return the channel with the most energy above what always sounds in it.

    A silent recording gives zeros.

    Args:
        samples: shape (n,) or (n, channels), neither of them 0.
    """
    columns = samples.reshape(samples.shape[0], -1)
    found = [_measured(columns[:, index]) for index in range(columns.shape[1])]
    if not all(mono.finite for mono in found):
        return Mono(columns[:, 0], 0.0, 0.0, finite=False)
    if len(found) == 1:
        return found[0]
    return max(found, key=_energies)


def slowed(mono: Mono | Floats, *, rate_hz: float, progress: Progress | None = None) -> Channel:
    """Return *mono* at a slow rate, as about n / factor samples; sample k lies at k·factor of *mono*.

    Args:
        mono: a channel; an array is taken as it is, its mean 0 and its largest magnitude 1.
        rate_hz: its rate.
        progress: is told the share that is done, from 0 to 1; what it raises ends the work.
    """
    if isinstance(mono, np.ndarray):
        mono = Mono(mono, 0.0, 1.0)
    factor = max(int(rate_hz // _SLOW_HZ), 1)
    kernel = _kernel(factor, rate_hz=rate_hz)
    count = -(-mono.size // factor)
    low, bright = np.empty(count), np.zeros(count)
    clips = _Clips(mono.ceilings, thin=factor)
    before: float | None = None
    step = max(_PIECE // factor, 1)
    for start in range(0, count, step):
        stop = min(start + step, count)
        low[start:stop] = _low(mono, start, stop, factor=factor, kernel=kernel)
        here = mono.stretch(start * factor, min(stop * factor, mono.size))
        clips.add(here, start * factor)
        if factor > _LEAST_FACTOR:
            high = here - np.repeat(low[start:stop], factor)[: here.size]
            change = np.diff(high, prepend=high[:1] if before is None else before)
            before = float(high[-1])
            edges = np.arange(0, here.size, factor)
            sizes = np.diff(np.append(edges, here.size))
            bright[start:stop] = np.sqrt(np.add.reduceat(change**2, edges) / sizes)
        if progress is not None:
            progress(stop / count)
    at = clips.found()
    return Channel(low, rate_hz / factor, clips.count / max(mono.size, 1), at / rate_hz, bright)


def _as_doubles(samples: Samples) -> Floats:
    # Numbers wider than a double may leave its range; they count as infinite.
    with np.errstate(over="ignore"):
        return samples.astype(np.float64)


def _pieces(column: Samples) -> Iterator[Floats]:
    for start in range(0, column.shape[0], _PIECE):
        yield _as_doubles(column[start : start + _PIECE])


def _measured(column: Samples) -> Mono:
    highest, lowest = -np.inf, np.inf
    for piece in _pieces(column):
        top, bottom = float(piece.max()), float(piece.min())
        if not (np.isfinite(top) and np.isfinite(bottom)):
            return Mono(column, 0.0, 0.0, finite=False)
        highest, lowest = max(highest, top), min(lowest, bottom)
    # Halved before they are added, so that the largest numbers there are stay in range.
    middle, reach = highest / 2 + lowest / 2, highest / 2 - lowest / 2
    if not reach > _STEADY * max(abs(highest), abs(lowest)):
        return Mono(column, middle, 0.0)
    total = sum(float(np.sum((piece - middle) / reach)) for piece in _pieces(column))
    return Mono(column, middle, reach, total / column.shape[0])


def _energies(mono: Mono) -> tuple[float, float]:
    """Return the logarithms of the energy above what always sounds in *mono*, and of all its energy."""
    if not mono.reach > 0:
        return -np.inf, -np.inf
    # A piece holds a whole number of frames.
    length = 1 << int(np.log2(np.clip(mono.size // _FRAMES, _LEAST_FRAME, _MOST_FRAME)))
    found = []
    for start in range(0, mono.size, _PIECE):
        squares = mono.stretch(start, min(start + _PIECE, mono.size)) ** 2
        found.append(np.add.reduceat(squares, np.arange(0, squares.size, length)))
    frames = np.concatenate(found)
    above = float(np.sum(np.maximum(frames - _ABOVE * np.quantile(frames, _ALWAYS), 0.0)))
    size = 2.0 * float(np.log(mono.reach) + np.log1p(abs(mono.mean)))
    return (float(np.log(above)) + size if above > 0 else -np.inf), float(np.log(frames.sum())) + size


def _kernel(factor: int, *, rate_hz: float) -> Floats:
    """Return the low-pass before every *factor*-th sample is taken, of odd length."""
    if factor == 1:
        return np.ones(1)
    slow_hz = rate_hz / factor
    width = (slow_hz - 2 * HIGHEST_HZ) / rate_hz
    half = int(np.ceil((_ATTENUATION_DB - 7.95) / (14.36 * width) / 2))
    at = np.arange(-half, half + 1)
    cutoff = slow_hz / rate_hz / 2
    beta = 0.1102 * (_ATTENUATION_DB - 8.7)
    kernel: Floats = 2 * cutoff * np.sinc(2 * cutoff * at) * np.kaiser(at.size, beta)
    kernel /= kernel.sum()
    return kernel


def _low(mono: Mono, start: int, stop: int, *, factor: int, kernel: Floats) -> Floats:
    """Return slow samples from *start* to before *stop*.

    The samples are laid out in rows of *factor*, and so is the kernel: one product of two matrices gives what
    each row of the kernel makes of each row of samples, and a slow sample is a sum along a diagonal.
    """
    rows = -(-kernel.size // factor)
    laid = np.zeros(rows * factor)
    laid[: kernel.size] = kernel
    count = stop - start
    first = start * factor - kernel.size // 2
    source = mono.stretch(first, first + (count + rows - 1) * factor).reshape(-1, factor)
    products = np.empty((rows, source.shape[0]))
    # In small products: larger ones would be shared out among threads, which costs more than it saves.
    step = max(_PRODUCT // laid.size, 1)
    for at in range(0, source.shape[0], step):
        products[:, at : at + step] = laid.reshape(rows, factor) @ source[at : at + step].T
    total = np.zeros(count)
    for row in range(rows):
        total += products[row, row : row + count]
    return total


def _steep(at_top: npt.NDArray[np.bool_], under: Floats) -> npt.NDArray[np.bool_]:
    """Return for each sample whether the run at the ceiling that it is in was entered from far below.

    The crest of a slow wave is flat too, but it is come to gently.
    """
    starts = at_top & ~np.concatenate(([False], at_top[:-1]))
    entered = np.concatenate(([1.0], under[:-1]))[starts] > _STEEP
    run = np.cumsum(starts) - 1
    return at_top & (entered[np.maximum(run, 0)] if entered.size else False)


class _Clips:
    """Flat runs of three or more samples at a channel's own ceilings, found piece by piece."""

    def __init__(self, ceilings: tuple[float, float], *, thin: int) -> None:
        self._thin = thin
        self._ceilings = [ceiling for ceiling in ceilings if abs(ceiling) >= 0.5]
        self._last = [np.zeros(0, dtype=bool) for _ in self._ceilings]
        self._found: list[npt.NDArray[np.int64]] = []
        self.count = 0

    def add(self, piece: Floats, start: int) -> None:
        """Take the next piece, whose first sample is number *start*."""
        for index, ceiling in enumerate(self._ceilings):
            under = np.abs(piece - ceiling)
            at_top = np.concatenate((self._last[index], under < _AT_CEILING))
            run = np.flatnonzero(at_top[:-2] & at_top[1:-1] & at_top[2:]) + 1
            run = run[_steep(at_top, np.concatenate((np.ones(self._last[index].size), under)))[run]]
            self.count += run.size
            kept = run if self.count < _MOST_CLIPS else run[:: self._thin]
            self._found.append(start - self._last[index].size + kept)
            self._last[index] = at_top[-2:]

    def found(self) -> Floats:
        """Return their sample numbers in order."""
        return np.sort(np.concatenate(self._found)).astype(np.float64) if self._found else np.zeros(0)
