"""When a drum was struck.

Problem: find the strokes of a recording, and for each the stretch of sound in which it rings. A stroke is a
sudden rise of energy; two lines beating against each other rise too, but never so fast and so far.

Conventions: works on the slow channel; energies are taken above about 90 Hz, or the hum of the mains and the
room's rumble would hide soft strokes. Times in seconds from the start of the recording.

Sources: the energy rise as detector is the simplest of those compared in Bello et al., IEEE TSAP 13, 1035
(2005).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel

Floats = npt.NDArray[np.float64]

_BEFORE_S, _AFTER_S = 0.024, 0.016
"""Energies before and after an instant are means over these; the first spans a beat of 42 Hz."""

_RISE = 3.0
"""A stroke lifts the energy at least by this factor (4.8 dB)."""

_APART_S = 0.08
"""Two strokes are at least this far apart; what follows sooner is a bounce or a second peak of the first."""

_BELOW_LOUDEST = 10 ** (-32 / 10)
"""Strokes softer than the loudest by more than this (32 dB) are handling noise."""

_LEAD_S = 0.010
"""A fit starts this long after the stroke: the stick has left, and the filter has forgotten it."""

_FALLEN = 10 ** (-50 / 10)

_LONGEST_S = 1.1
"""A fit never spans more than this."""


@dataclass(frozen=True, slots=True)
class Strike:
    """One stroke.

    Attributes:
        at_s: when.
        first: index of the first slow sample to fit.
        stop: index after the last.
        rise: by how much the energy rose, as a factor.
        energy: mean square just after it.
        floor: mean square of what is there without it, above 90 Hz.
        noise: the same over the whole band.
        limit: index after the last sample before the next stroke, or of the recording.
        swell: energy 30 to 90 ms after it relative to that of the first 30 ms.
        stay: energy 100 to 200 ms after it likewise.
    """

    at_s: float
    first: int
    stop: int
    rise: float
    energy: float
    floor: float
    noise: float
    limit: int
    swell: float
    stay: float


def find_strikes(channel: Channel) -> tuple[Strike, ...]:
    """Return the strokes of a recording in order of time."""
    rate = channel.rate_hz
    high = _high_passed(channel.samples, rate_hz=rate)
    before, after = max(int(_BEFORE_S * rate), 2), max(int(_AFTER_S * rate), 2)
    if high.size < before + after:
        return ()
    sums = np.concatenate((np.zeros(before + 1), np.cumsum(high**2)))
    sums = np.concatenate((sums, np.full(after, sums[-1])))
    here = np.arange(high.size) + before
    # The silence before the recording counts as what the recording's quietest stretch holds.
    floor = _floor(high, rate_hz=rate, share=0.1)
    noise = _floor(channel.samples, rate_hz=rate, share=0.3)
    earlier = (sums[here] - sums[here - before]) / before
    head = np.arange(high.size) < before
    earlier[head] = np.maximum(earlier[head], floor)
    later = (sums[here + after] - sums[here]) / after
    rise = later / (earlier + 0.3 * floor + 1e-20)
    loudest = float(later.max())
    if loudest <= 0:
        return ()
    gap = int(_APART_S * rate)
    candidate = (rise > _RISE) & (later > loudest * _BELOW_LOUDEST) & (later > 2.0 * floor)
    peaks = _peaks(np.where(candidate, rise, 0.0), gap=gap)
    places = np.array([_edge(high, at, after) for at in peaks], dtype=int)
    strikes = []
    for index, at in enumerate(places):
        first = at + int(np.ceil(_LEAD_S * rate))
        end = places[index + 1] - int(0.006 * rate) if index + 1 < places.size else high.size
        limit = end
        end = min(end, first + int(_LONGEST_S * rate))
        strikes.append(
            Strike(
                float(at / rate),
                first,
                _faded(high, first, end, floor=floor, rate_hz=rate),
                float(rise[peaks[index]]),
                float(later[peaks[index]]),
                floor,
                noise,
                limit,
                _later(high, at, limit, (0.03, 0.09), rate_hz=rate),
                _later(high, at, limit, (0.1, 0.2), rate_hz=rate),
            )
        )
    return tuple(strike for strike in strikes if strike.stop > strike.first)


def _high_passed(samples: Floats, *, rate_hz: float) -> Floats:
    """Return *samples* less their running mean over 6 ms: what is above about 90 Hz stays."""
    width = max(int(0.006 * rate_hz) | 1, 3)
    if samples.size < width:
        return np.zeros(samples.size)
    kernel = np.full(width, 1.0 / width)
    return samples - np.convolve(samples, kernel, mode="same")


def _later(high: Floats, at: int, limit: int, span_s: tuple[float, float], *, rate_hz: float) -> float:
    """Return the mean square in *span_s* after a stroke relative to that of its first 30 ms."""
    start = high[at : min(at + int(0.03 * rate_hz), limit)]
    later = high[at + int(span_s[0] * rate_hz) : min(at + int(span_s[1] * rate_hz), limit)]
    if not start.size or not later.size:
        return 0.0
    return float(np.mean(later**2) / max(float(np.mean(start**2)), 1e-300))


def _floor(high: Floats, *, rate_hz: float, share: float) -> float:
    """Return the mean square below which *share* of all 25 ms stretches lie."""
    width = max(int(0.025 * rate_hz), 2)
    count = high.size // width
    if count < 1:
        return float(np.mean(high**2))
    powers = np.mean(high[: count * width].reshape(count, width) ** 2, axis=1)
    return float(np.quantile(powers, share))


def _peaks(rise: Floats, *, gap: int) -> list[int]:
    """Return the places of the greatest rises, no two nearer than *gap*, in order of time."""
    taken: list[int] = []
    open_places = np.flatnonzero(rise > 0)
    by_rise = open_places[np.argsort(rise[open_places], kind="stable")[::-1]]
    free = np.ones(rise.size, dtype=bool)
    for at in by_rise:
        if free[at]:
            taken.append(int(at))
            free[max(at - gap, 0) : at + gap] = False
    return sorted(taken)


def _edge(high: Floats, at: int, after: int) -> int:
    """Return where the sound first passes a quarter of the peak that it reaches just after *at*."""
    start = max(at - after // 2, 0)
    stretch = np.abs(high[start : at + after])
    return start + int(np.argmax(stretch > 0.25 * stretch.max()))


def _faded(high: Floats, first: int, end: int, *, floor: float, rate_hz: float) -> int:
    """Return where the sound has sunk into the floor or has fallen far enough, between *first* and *end*.

    What a line tells of its frequency lies where t²·exp(-2·decay·t) is large: past `_FALLEN` nearly nothing.
    """
    width = max(int(0.04 * rate_hz), 2)
    count = max((end - first) // width, 0)
    if count < 2:
        return end
    powers = np.mean(high[first : first + count * width].reshape(count, width) ** 2, axis=1)
    above = np.flatnonzero(powers > max(1.15 * floor, float(powers[:2].max()) * _FALLEN))
    last = (int(above[-1]) + 2) if above.size else 2
    return min(first + max(last, 3) * width, end)
