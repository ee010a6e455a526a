"""How loud a recording is, column by column, for a picture of it.

Problem: a picture of ten minutes has some hundred columns, and a stroke lasts some milliseconds. Each column
takes the loudest sample in it, so that no stroke falls between two columns; of several channels the one is
shown that is listened to, without its mean.

Conventions: dB relative to a sample of 1.0, which is the most that a recording in whole numbers can hold;
a file of floats may go above. What is silent stands at `LOWEST_DB`. Samples have any scale and are never
changed; what is no number counts as silence. Beyond the recording itself, memory for some pieces of `_PIECE`
samples is used, however long it is.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lugbook.errors import BadValue
from lugbook.heads.channel import Mono, loudest

LOWEST_DB = -150.0
"""Below the smallest step of 24 bit, -144 dB, nothing is told apart from silence."""

_PIECE = 1 << 17
"""Samples that are looked at together: 1 MB as floats."""

_Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Levels:
    """The level of a recording over time.

    Attributes:
        db: the loudest moment of each column in dB, from the start to the end in equal steps.
        seconds: how long the recording lasts.
    """

    db: tuple[float, ...]
    seconds: float

    @property
    def peak_db(self) -> float:
        """The loudest moment of all, in dB; `LOWEST_DB` for a recording without samples."""
        return max(self.db, default=LOWEST_DB)

    def narrowed(self, columns: int) -> tuple[float, ...]:
        """Return at most *columns* levels, each the loudest of those that it stands for."""
        count = len(self.db)
        edges = [count * column // columns for column in range(columns + 1)] if columns < count else []
        if not edges:
            return self.db
        return tuple(max(self.db[start:stop]) for start, stop in pairwise(edges))


def levels(samples: npt.ArrayLike, *, rate_hz: float, columns: int) -> Levels:
    """Return the level of *samples* over time.

    Args:
        samples: shape (n,) or (n, channels), any scale.
        rate_hz: samples a second, positive and finite.
        columns: how many levels to return at the most, from 1; fewer samples give one level each.

    Raises:
        BadValue: *rate_hz*, *columns* or the shape of *samples* is out of range.
    """
    if not (math.isfinite(rate_hz) and rate_hz > 0):
        raise BadValue(f"A rate of {rate_hz} samples a second cannot be drawn.", hint="Give one above 0.")
    if columns < 1:
        raise BadValue(f"A picture of {columns} columns cannot be drawn.", hint="Give at least 1.")
    array = np.asarray(samples)
    if array.ndim not in (1, 2):
        raise BadValue(f"Samples with {array.ndim} dimensions cannot be drawn.", hint="Give (n,).")
    if not array.size:
        return Levels((), 0.0)
    count = array.shape[0]
    columns = min(columns, count)
    edges = np.array([count * place // columns for place in range(columns + 1)])
    largest = np.zeros(columns)
    mono = loudest(array)
    for start, sizes in _pieces(mono):
        first = int(np.searchsorted(edges, start, side="right")) - 1
        stop = int(np.searchsorted(edges, start + sizes.size, side="left"))
        within = np.maximum(edges[first:stop] - start, 0)
        largest[first:stop] = np.maximum(largest[first:stop], np.maximum.reduceat(sizes, within))
    db = 20 * np.log10(np.maximum(largest, 1e-300)) + _scale_db(mono)
    return Levels(tuple(float(one) for one in np.maximum(db, LOWEST_DB)), count / rate_hz)


def _pieces(mono: Mono) -> Iterator[tuple[int, _Floats]]:
    """Yield the start of each piece of a channel, and the size of its samples."""
    for start in range(0, mono.size, _PIECE):
        stop = min(start + _PIECE, mono.size)
        if mono.finite:
            yield start, np.abs(mono.stretch(start, stop))
        else:
            # Nothing is listened to here; the picture shows where there is sound at all.
            given = np.abs(mono.source[start:stop].astype(np.float64))
            yield start, np.where(np.isfinite(given), given, 0.0)


def _scale_db(mono: Mono) -> float:
    """Return by how many dB the channel was larger before it was scaled to 1."""
    if not (mono.finite and mono.reach > 0):
        return 0.0
    return 20 * (math.log10(mono.reach) + math.log10(1 + abs(mono.mean)))
