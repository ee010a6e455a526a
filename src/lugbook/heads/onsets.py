"""Where sounds set in: places at which the energy rises, or at which what rings does not go on as it went on.

Problem: a stroke is a sudden rise of energy, or on a head that rings already at least something that does not
follow from what was; two lines beating against each other rise too, and so does hum, but both follow.

Conventions: works on the slow channel; energies are taken above about 90 Hz, or the hum of the mains and the
room's rumble would hide soft strokes. Minutes of recording are worked on in pieces, and need little more
memory than seconds.

Sources: the energy rise as detector is the simplest of those compared in Bello et al., IEEE TSAP 13, 1035
(2005).
"""

import heapq
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.foretelling import steps, surprise, surprising

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]

_BEFORE_S, _AFTER_S = 0.024, 0.016
"""Energies before and after an instant are means over these; the first spans a beat of 42 Hz."""

RISE = 3.0
"""A stroke lifts the energy at least by this factor (4.8 dB), unless the head rings."""

_SURPRISE, _SURPRISE_RINGING, _SHARE = 3.0, 6.0, 0.03
"""Foretelling a stroke errs more than before it by the first factor (5 dB), by the second (8 dB) where the
energy rises less, and by this share of what rang."""

_TOGETHER_S = 0.04
"""Nearer than this to each other there is one onset: that with the greatest rise."""

_BELOW_LOUDEST = 10 ** (-42 / 10)
"""What is softer than the loudest by more than this (42 dB) is no stroke."""

_CLEAR = 2.0
"""What is not above the floor by this factor (3 dB) is no stroke."""

_SOON_S = (0.046, 0.056)
"""A bounce so soon after a stroke is looked for by itself."""

_LEAP_S, _LEAP = 0.006, 20.0
"""Within 40 ms of its onset no stroke grows by this factor (13 dB), in so much time, over what it was."""

_FRAME_S, _PARTS = 0.025, 4
_DIGITAL_SILENCE = 1e-20
"""A mean square below this, the recording's peak being 1, is no sound of any microphone."""

_PIECE = 1 << 16


@dataclass(frozen=True, slots=True)
class Onset:
    """Where a sound sets in, by what factor the energy rises there, to what mean square, and by how much."""

    at: int
    rise: float
    energy: float
    gain: float


class Sound:
    """A slow channel, and what lies above 90 Hz in it, piece by piece.

    Attributes:
        samples: the slow samples.
        rate_hz: their rate.
        size: how many.
        before: samples over which the energy before an instant is taken.
        after: samples over which the energy after it is taken.
        floor: mean square above 90 Hz of the quietest tenth of the recording.
        noise: mean square over the whole band of its quietest three tenths.
    """

    def __init__(self, channel: Channel) -> None:
        self.samples, self.rate_hz, self.size = channel.samples, channel.rate_hz, channel.samples.size
        self.before, self.after = (max(int(span * self.rate_hz), 2) for span in (_BEFORE_S, _AFTER_S))
        self._half = max(int(0.006 * self.rate_hz) | 1, 3) // 2
        part = max(int(_FRAME_S / _PARTS * self.rate_hz), 2)
        frame = _PARTS * part
        whole, step = self.size // frame * frame, max(_PIECE // frame, 1) * frame
        high = [powers(self.high(start, min(start + step, whole)), part) for start in range(0, whole, step)]
        parts = np.concatenate([np.zeros(0), *high]).reshape(-1, _PARTS)
        # What an editor put in, or a recorder cut out, is no quiet moment and tells nothing of the floor.
        sounds = parts.min(axis=1, initial=np.inf) > _DIGITAL_SILENCE
        quiet, all_of_it = parts.mean(axis=1)[sounds], powers(self.samples[:whole], frame)[sounds]
        self.floor = float(np.quantile(quiet, 0.1)) if quiet.size else 0.0
        self.noise = float(np.quantile(all_of_it, 0.3)) if quiet.size else 0.0

    def high(self, start: int, stop: int) -> Floats:
        """Return the samples less their running mean over 6 ms; outside of the recording there are zeros."""
        if stop <= start:
            return np.zeros(0)
        around = np.zeros(stop - start + 2 * self._half)
        inner = self.samples[max(start - self._half, 0) : max(stop + self._half, 0)]
        skip = max(self._half - start, 0)
        around[skip : skip + inner.size] = inner
        width = 2 * self._half + 1
        high: Floats = around[self._half : -self._half] - np.convolve(
            around, np.full(width, 1.0 / width), "valid"
        )
        high[: max(-start, 0)] = 0.0
        high[max(self.size - start, 0) :] = 0.0
        return high


def powers(samples: Floats, frame: int) -> Floats:
    """Return the mean squares of stretches of *frame* samples; *samples* hold a whole number of them."""
    rows = samples.reshape(-1, frame)
    return np.asarray(np.einsum("ij,ij->i", rows, rows)) / frame


def onsets(sound: Sound) -> list[Onset]:
    """Return where sounds set in, in order of time."""
    if sound.size < sound.before + sound.after:
        return []
    return _unforetold(sound, *_places(sound))


def _places(sound: Sound) -> tuple[Places, Places]:
    """Return the places of the greatest rises, and those at which a sound rings."""
    ticks = steps(sound.size, rate_hz=sound.rate_hz)
    rises, rings = [], []
    for start in range(0, sound.size, _PIECE):
        stop = min(start + _PIECE, sound.size)
        earlier, later = _energies(sound, start, stop)
        rise = later / (earlier + 0.3 * sound.floor + 1e-20)
        where = np.flatnonzero((rise > RISE) & (later > _CLEAR * sound.floor))
        rises.append((where + start, rise[where], later[where]))
        tick = ticks[np.searchsorted(ticks, start) : np.searchsorted(ticks, stop)]
        rings.append((tick, earlier[tick - start]))
    at, rise, energy = (np.concatenate(column) for column in zip(*rises, strict=True))
    if not at.size:
        return at, at
    tick, ring = (np.concatenate(column) for column in zip(*rings, strict=True))
    least = max(_BELOW_LOUDEST * float(energy.max()), _CLEAR * sound.floor)
    loud = energy > least
    return _peaks(at[loud], rise[loud], gap=int(_TOGETHER_S * sound.rate_hz)), tick[ring > least]


def _energies(sound: Sound, start: int, stop: int) -> tuple[Floats, Floats]:
    """Return the mean squares before and after each instant from *start* to before *stop*."""
    before, after = sound.before, sound.after
    sums = np.concatenate(([0.0], np.cumsum(sound.high(start - before, stop + after) ** 2)))
    here = sums[before : before + stop - start]
    earlier = (here - sums[: stop - start]) / before
    # The silence before the recording counts as what the recording's quietest stretch holds.
    head = max(before - start, 0)
    earlier[:head] = np.maximum(earlier[:head], sound.floor)
    return np.maximum(earlier, 0.0), (sums[before + after : before + after + stop - start] - here) / after


def _peaks(places: Places, size: Floats, *, gap: int) -> Places:
    """Return the places of the greatest sizes, no two nearer than *gap*, in order; *places* ascend."""
    taken: list[int] = []
    free = np.ones(places.size, dtype=bool)
    for index in np.argsort(size, kind="stable")[::-1]:
        if free[index]:
            taken.append(int(places[index]))
            low, top = np.searchsorted(places, (places[index] - gap, places[index] + gap))
            free[low:top] = False
    return np.sort(np.array(taken, dtype=np.int64))


def _near(places: Places, at: int, gap: int) -> bool:
    low, top = np.searchsorted(places, (at - gap, at + gap))
    return bool(top > low)


def _unforetold(sound: Sound, rises: Places, rings: Places) -> list[Onset]:
    """Return the places of *rises*, and of what sets in while it rings, that follow from nothing before."""
    rate, together = sound.rate_hz, int(_TOGETHER_S * sound.rate_hz)
    within, error, share = surprising(sound.samples, rings, rate_hz=rate)
    new = np.flatnonzero((error > _SURPRISE_RINGING) & (share > _SHARE))
    new = new[np.argsort(within[new], kind="stable")]
    # Where the energy rises too, its rise tells the instant better.
    beside = [at for at in _peaks(within[new], error[new], gap=together) if not _near(rises, at, together)]
    found: list[Onset] = []
    risen = set(rises.tolist())
    waiting = sorted([*risen, *map(int, beside)])
    while waiting:
        at = heapq.heappop(waiting)
        since = found[-1].at + sound.after if found else 0
        # The rise may be greatest well before the sound sets in, where it was quietest before.
        seen = max(
            (surprise(sound.samples, near, since=since, rate_hz=rate) for near in (at, _passed(sound, at))),
            key=lambda judged: judged.error,
        )
        if seen.share < _SHARE or seen.error < (_SURPRISE if at in risen else _SURPRISE_RINGING):
            continue
        edge = _beyond_echo(sound, _edge(sound, at, seen.at))
        if found and edge < found[-1].at + together:
            continue
        earlier, later = (float(mean[0]) for mean in _energies(sound, min(at, edge), min(at, edge) + 1))
        found.append(Onset(edge, later / (earlier + 0.3 * sound.floor + 1e-20), later, later - earlier))
        # What was fitted before them holds this stroke itself, and would not foretell anything.
        for soon in (edge + int(soon_s * rate) for soon_s in _SOON_S):
            if soon + sound.after < sound.size:
                heapq.heappush(waiting, soon)
    return found


def _passed(sound: Sound, at: int) -> int:
    """Return where the sound first passes a quarter of the peak that it reaches just after *at*."""
    start = max(at - sound.after // 2, 0)
    size = np.abs(sound.high(start, min(at + sound.after, sound.size)))
    return start + int(np.argmax(size > 0.25 * size.max()))


def _edge(sound: Sound, at: int, sets_in: int) -> int:
    """Return where the sound passes a quarter of its peak; if it was as loud before, where it sets in."""
    start = max(at - sound.after // 2, 0)
    size = np.abs(sound.high(start - sound.after, min(at + sound.after, sound.size)))
    loud_before = size[: sound.after].max() > 0.2 * size[sound.after :].max()
    return sets_in if loud_before else _passed(sound, at)


def _beyond_echo(sound: Sound, at: int) -> int:
    """Return where the stroke itself sets in, where what sets in at *at* is its shadow.

    Files that are made small with losses, OGG among them, hold a faint noise some hundredths of a second
    before a sudden sound.
    """
    step = max(int(_LEAP_S * sound.rate_hz), 2)
    places = np.arange(step, int(_TOGETHER_S * sound.rate_hz))
    sums = np.concatenate(([0.0], np.cumsum(sound.high(at, at + int(places[-1]) + step) ** 2)))
    leap = (sums[places + step] - sums[places]) / step / (sums[places] / places + 1e-20)
    best = int(leap.argmax())
    return at + int(places[best]) if leap[best] > _LEAP else at
