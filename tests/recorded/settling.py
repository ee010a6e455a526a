"""What is true of a real drum: the pitch that its strokes settle on, by means of the tests' own.

Problem: nobody wrote down the pitch of a recorded drum. But a drum that was struck five times, softly and
hard, slides down five times by different amounts and ends on one pitch. Where the strokes agree on it, and
two ways of reading each stroke agree too, that is the truth, with what they differ by as its uncertainty.
Where they do not, there is no truth, and nothing is judged by it.

For one stroke and one line: the *late part* begins when the line has fallen by `FALLEN_DB` from its strongest
(a slide follows the energy of the stroke and is then a small part of what it was) and ends when it has fallen
as much again, or nears the floor. There its frequency is read (1) from the peak of a long windowed spectrum,
(2) from the slope of the phase of the band about it, weighted by its power.

Conventions: frequencies in Hz, offsets in cents, times in seconds from the stroke. Everything here is
independent of what is under test: it shares no code with it and does not know its results.

Sources: Hann window and the parabola through the logarithms of three bins, Harris, Proc. IEEE 66, 51 (1978),
from memory; frequency as weighted regression of phase on time, Tretter, IEEE Trans. Inf. Theory 31, 832
(1985), from memory.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ = 40.0, 900.0
FALLEN_DB = 18.0
AGREE_CENTS = 5.0
REST_CENTS = 10.0
"""A line that moves further within its late part has not settled, or is two."""

MOST_OF_THEM = 0.6
"""So large a share of the strokes must agree."""

_LINES_S = (0.15, 0.6)
_STRONG_DB = 12.0
_SAME_LINE_CENTS = 50.0
_ABOVE_FLOOR_DB = 12.0
_SHORTEST_S, _LONGEST_S = 0.12, 0.8
_SAME_RECORDING = 0.9995
_PIECE_S = 0.2


@dataclass(frozen=True)
class LateLine:
    """A line of one stroke, read in its late part by two means.

    Attributes:
        peak_hz: by the peak of the spectrum.
        slope_hz: by the slope of the phase.
        start_s: where the late part begins.
        stop_s: where it ends.
        drift_cents: from the first to the second half of the late part.
    """

    peak_hz: float
    slope_hz: float
    start_s: float
    stop_s: float
    drift_cents: float

    @property
    def hz(self) -> float:
        """The mean of the two."""
        return float(np.sqrt(self.peak_hz * self.slope_hz))

    @property
    def at_rest(self) -> bool:
        """Whether the two say the same and the line slides no more."""
        return abs(cents(self.peak_hz, self.slope_hz)) <= AGREE_CENTS and abs(self.drift_cents) <= REST_CENTS


@dataclass(frozen=True)
class Settled:
    """What the strokes of one drum settle on.

    Attributes:
        hz: the pitch.
        uncertainty_cents: its standard uncertainty.
        strokes: how many different strokes agree.
        of: of how many.
    """

    hz: float
    uncertainty_cents: float
    strokes: int
    of: int


def cents(hz: float, from_hz: float) -> float:
    """Return how far *hz* lies above *from_hz*."""
    return 1200 * float(np.log2(hz / from_hz))


def settled(strokes: list[tuple[Floats, float]], *, fallen_db: float = FALLEN_DB) -> Settled | None:
    """Return what *strokes*, pairs of samples and rate, of one drum agree on, or None.

    The late part of each begins when the line has fallen by *fallen_db*.
    """
    strokes = different(strokes)
    heard = [after_stroke(samples) for samples, rate in strokes]
    rates = [rate for _, rate in strokes]
    if len(heard) < 2:
        return None
    line = _common_line(heard, rates)
    if line is None:
        return None
    for _ in range(2):
        # Once from where the line is early on, once more from where it settles.
        late = [
            late_line(one, rate_hz=rate, near_hz=line, fallen_db=fallen_db)
            for one, rate in zip(heard, rates, strict=True)
        ]
        hz = np.array([one.hz for one in late if one is not None and one.at_rest])
        if not hz.size:
            return None
        line = float(np.median(hz))
    off = 1200 * np.log2(hz / line)
    near = np.abs(off) <= AGREE_CENTS
    agreeing = int(np.count_nonzero(near))
    if agreeing < max(2, MOST_OF_THEM * len(heard)):
        return None
    between = float(np.median([abs(cents(one.peak_hz, one.slope_hz)) for one in late if one is not None]))
    return Settled(
        line * 2 ** (float(np.mean(off[near])) / 1200),
        float(np.hypot(np.std(off[near], ddof=1), between / 2)),
        agreeing,
        len(heard),
    )


def declared(samples: Floats, *, rate_hz: float, declared_hz: float, corrected_cents: float) -> Settled:
    """Return the pitch that makers declare of a recording, with an uncertainty of our own.

    Nobody says which moment of a sliding tone a declared pitch is for, nor which line of a split pair. Its
    uncertainty is the standard deviation of what the line near it does in its first second, read in pieces of
    `_PIECE_S` in every channel, and half of what a second maker corrects the first by.
    """
    hz = declared_hz * 2 ** (-corrected_cents / 1200)
    piece = int(_PIECE_S * rate_hz)
    found = []
    for channel in np.atleast_2d(samples.T):
        band = _band(after_stroke(channel), hz, rate_hz)[: int(rate_hz)]
        found += [
            cents(_slope_hz(band[at : at + piece], rate_hz), hz)
            for at in range(0, band.size - piece + 1, piece)
        ]
    return Settled(hz, float(np.hypot(np.std(found, ddof=1), corrected_cents / 2)), 1, 1)


def different(strokes: list[tuple[Floats, float]]) -> list[tuple[Floats, float]]:
    """Return the strokes without those that are another one played louder or softer."""
    kept: list[tuple[Floats, float]] = []
    for samples, rate in strokes:
        own = after_stroke(samples)[: int(0.2 * rate)]
        if not any(_alike(own, after_stroke(other)[: own.size]) for other, _ in kept):
            kept.append((samples, rate))
    return kept


def after_stroke(samples: Floats) -> Floats:
    """Return the loudest channel from the stroke on, its mean removed."""
    if samples.ndim == 2:
        samples = samples[:, int(np.argmax(np.sum(samples**2, axis=0)))]
    size = np.abs(samples - np.mean(samples))
    first = int(np.argmax(size > 0.3 * size.max()))
    rest = samples[first:]
    return np.asarray(rest - np.mean(rest[rest.size // 2 :]))


def late_line(
    samples: Floats, *, rate_hz: float, near_hz: float, fallen_db: float = FALLEN_DB
) -> LateLine | None:
    """Return the line near *near_hz* in its late part, or None where it has none."""
    band = _band(samples, near_hz, rate_hz)
    frame = int(0.02 * rate_hz)
    count = band.size // frame
    if count < 8:
        return None
    level = 10 * np.log10(np.mean(np.abs(band[: count * frame].reshape(count, frame)) ** 2, axis=1) + 1e-20)
    top = int(np.argmax(level[: max(count // 2, 8)]))
    floor = float(np.min(level[top:])) if count * frame / rate_hz > 1.0 else -200.0
    end_level = max(float(level[top]) - 2 * fallen_db, floor + _ABOVE_FLOOR_DB)
    sounding = np.flatnonzero(level[top:] <= end_level)
    stop = (top + int(sounding[0]) if sounding.size else count) * frame
    fallen = np.flatnonzero(level[top:] <= level[top] - fallen_db)
    start = (top + int(fallen[0]) if fallen.size else count) * frame
    start = min(start, max(stop - int(_SHORTEST_S * rate_hz), int(0.4 * stop)))
    stop = min(stop, start + int(_LONGEST_S * rate_hz))
    if stop - start < int(_SHORTEST_S * rate_hz) - 1:
        return None
    late = samples[start:stop]
    peak = _nearest(spectrum_peaks(late, rate_hz=rate_hz), near_hz)
    if peak is None:
        return None
    own = _band(samples, peak, rate_hz)[start:stop]
    middle = own.size // 2
    halves = (_slope_hz(own[:middle], rate_hz), _slope_hz(own[middle:], rate_hz))
    if min(halves) <= 0:
        return None
    return LateLine(
        peak, _slope_hz(own, rate_hz), start / rate_hz, stop / rate_hz, cents(halves[1], halves[0])
    )


def spectrum_peaks(samples: Floats, *, rate_hz: float) -> list[tuple[float, float]]:
    """Return frequency and level in dB of the peaks of the windowed spectrum, the strongest first."""
    size = 1 << max(int(np.ceil(np.log2(8 * samples.size))), 16)
    spectrum = np.abs(np.fft.rfft((samples - np.mean(samples)) * np.hanning(samples.size), size))
    level = 20 * np.log10(spectrum + 1e-15)
    low, high = int(LOWEST_HZ * size / rate_hz), min(int(HIGHEST_HZ * size / rate_hz), level.size - 2)
    found = []
    for at in range(low, high):
        left, middle, right = level[at - 1], level[at], level[at + 1]
        if left < middle >= right:
            shift = 0.5 * (left - right) / (left - 2 * middle + right)
            found.append((float((at + shift) * rate_hz / size), float(middle)))
    return sorted(found, key=lambda one: -one[1])


def _common_line(heard: list[Floats], rates: list[float]) -> float | None:
    """Return the strongest line that most strokes share, or None."""
    lists = []
    for samples, rate in zip(heard, rates, strict=True):
        first, stop = (int(one * rate) for one in _LINES_S)
        part = samples[first:stop] if samples.size - first > 0.1 * rate else samples[int(0.03 * rate) : stop]
        peaks = spectrum_peaks(part, rate_hz=rate)
        lists.append(
            [(hz, level - peaks[0][1]) for hz, level in peaks[:12] if level > peaks[0][1] - _STRONG_DB]
        )
    best: tuple[float, float] | None = None
    for hz in [hz for peaks in lists for hz, _ in peaks]:
        members = []
        for peaks in lists:
            near = [(abs(cents(other, hz)), other, level) for other, level in peaks]
            members += [one for one in [min(near, default=None)] if one and one[0] < _SAME_LINE_CENTS]
        if len(members) >= MOST_OF_THEM * len(heard):
            missing = -_STRONG_DB * (len(heard) - len(members))
            level = sum(one[2] for one in members) + missing
            best = max(best or (-np.inf, 0.0), (level, float(np.median([one[1] for one in members]))))
    return best[1] if best else None


def _band(samples: Floats, hz: float, rate_hz: float) -> npt.NDArray[np.complex128]:
    """Return the band about *hz* as a rotating phasor; narrow enough to leave the other modes out."""
    size = 1 << int(np.ceil(np.log2(samples.size + int(0.2 * rate_hz))))
    spectrum = np.fft.fft(samples, size)
    at = np.fft.fftfreq(size, 1 / rate_hz)
    width = max(0.035 * hz, 4.0)
    return np.asarray(2 * np.fft.ifft(spectrum * np.exp(-0.5 * ((at - hz) / width) ** 2))[: samples.size])


def _slope_hz(band: npt.NDArray[np.complex128], rate_hz: float) -> float:
    """Return the frequency of a phasor by regression of its phase on time, weighted by its power."""
    phase = np.unwrap(np.angle(band))
    weight = np.abs(band) ** 2
    time = np.arange(band.size) / rate_hz
    time = time - np.average(time, weights=weight)
    return float(np.sum(weight * time * phase) / np.sum(weight * time**2) / (2 * np.pi))


def _nearest(peaks: list[tuple[float, float]], hz: float) -> float | None:
    """Return the strongest peak within reach of *hz*."""
    inside = [(level, own) for own, level in peaks if abs(cents(own, hz)) < 1.2 * _SAME_LINE_CENTS]
    return max(inside)[1] if inside else None


def _alike(one: Floats, other: Floats) -> bool:
    size = min(one.size, other.size)
    one, other = one[:size], other[:size]
    norm = float(np.sqrt(np.sum(one**2) * np.sum(other**2)))
    return norm > 0 and abs(float(np.sum(one * other))) > _SAME_RECORDING * norm
