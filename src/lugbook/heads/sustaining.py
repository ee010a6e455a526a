"""Which line of a tap to follow where its sound is no sum of few damped lines and nothing is expected.

Problem: in a room, or on a head that slides and beats, a fit of the whole sound names the modes by chance.
Two things survive. The first tenth of a second is still mostly the drum's own: several lengths of it are
read, each names the modes, and where they find the ladder of a head they are counted together. Where they
find none, it is the line that sounds on: the lowest of the strong ones in what is left after a while, for
that is what a player hears as the pitch.

Conventions: as in `lugbook.heads.modes`; scores behave like log odds.
"""

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.fit import fit_lines
from lugbook.heads.hearing import Struck
from lugbook.heads.modes import Choice, choices
from lugbook.heads.pencil import damped_lines
from lugbook.heads.ranges import HIGHEST_HZ, LOWEST_HZ
from lugbook.heads.settled import T60
from lugbook.heads.spectra import levels_at, peaks
from lugbook.heads.strikes import Strike

Floats = npt.NDArray[np.float64]
Lines = tuple[Floats, Floats, Floats]
"""Frequencies in Hz, levels in dB below the strongest, and decay times in seconds."""

Named = tuple[Floats, list[Choice]]
"""Frequencies in Hz, and the choices among them, the likeliest first."""

_LENGTHS_S = (0.06, 0.075, 0.085, 0.1)
"""In so short a time the direct sound outweighs the room's."""

_SAME_CENTS = 60.0
"""Two lengths mean the same line within this."""

_DISSENT = 4.0
"""A length that does not see a line speaks against it by so much, and by no more."""

_LADDER = 4.5
"""A score of this and above is reached only with the ladder of a head: two steps of it at least. On most
recordings of struck toms and bass drums it stays below 4 (judgement)."""

_SOME_LADDER = 2.0
"""One step of it at least."""

_SOUNDING_S, _EARLIER = (0.15, 0.6), 0.3
_STRONG_DB = 9.0
"""Within this of the strongest line that sounds on, the lowest is the pitch."""

_STARTED_DB, _AWAY_S, _RINGING = 12.0, 0.05, 4.0
"""What was there before the stroke, nearly as strong, is no line of it; so long before nothing of it is; and
what is there beyond the recording's floor by the third is the ring of another."""

_HIGHEST_FOLLOWED_HZ = 900.0
_LINES_COUNTED = 16

_HEARD_DB = 30.0
"""Within this of the strongest line, a line is heard."""


def line_to_follow(channel: Channel, strike: Strike, whole: Named | None, *, struck: Struck) -> float | None:
    """Return about where the pitch lies, in Hz, or None where nothing sounds on.

    Args:
        channel: the channel.
        strike: the stroke.
        whole: the lines that a fit of the whole tap found, with the choices among them; or None.
        struck: near the hoop or at the centre.
    """
    heard = [whole] if whole is not None else []
    for seconds in _LENGTHS_S:
        piece = _piece(channel, strike, seconds)
        if piece is not None:
            heard.append((piece[0], choices(*piece, struck=struck)))
    heard = [(hz, ranked) for hz, ranked in heard if ranked]
    if heard and float(np.median([ranked[0].score for _, ranked in heard])) > _LADDER:
        return _counted(heard)
    return _sounding_on(channel, strike)


def shows_ladder(ranked: list[Choice], *, held: bool) -> bool:
    """Return whether the best choice stands on the ladder of a head, or on some of it where lines hold."""
    return bool(ranked) and ranked[0].score > (_SOME_LADDER if held else _LADDER)


def sounding(channel: Channel, strike: Strike) -> tuple[Floats, Floats]:
    """Return the lines that sound a while after a tap: ascending frequencies, levels below the strongest."""
    samples = _later(channel, strike, (0.05, 0.4))
    if samples.size < int(0.03 * channel.rate_hz):
        return np.zeros(0), np.zeros(0)
    hz, level = peaks(samples, rate_hz=channel.rate_hz, low_hz=LOWEST_HZ, high_hz=HIGHEST_HZ)
    if not hz.size:
        return hz, level
    level = level - level.max()
    heard = level > -_HEARD_DB
    return hz[heard], level[heard]


def _piece(channel: Channel, strike: Strike, seconds: float) -> Lines | None:
    """Return the lines in the first *seconds* of a tap."""
    rate = channel.rate_hz
    samples = channel.samples[strike.first : min(strike.first + int(seconds * rate), strike.limit)]
    hz, decay = damped_lines(samples, rate_hz=rate, most=20)
    keep = (decay > -3.0) & (decay < 200.0) & (hz > 30.0) & (hz < 0.49 * rate)
    if not keep.any() or samples.size < 4 * np.count_nonzero(keep):
        return None
    fit = fit_lines(
        samples, rate_hz=rate, hz=hz[keep], decay=np.maximum(decay[keep], 0.5), rounds=0, spread=False
    )
    size = np.abs(fit.amplitude)
    inside = np.flatnonzero((fit.hz > LOWEST_HZ) & (fit.hz < HIGHEST_HZ) & (size > 0))
    if not inside.size:
        return None
    inside = np.sort(inside[np.argsort(size[inside])[::-1][:_LINES_COUNTED]])
    level = 20 * np.log10(size[inside] / size[inside].max())
    return fit.hz[inside], level, np.minimum(T60 / fit.decay[inside], 3.0)


def _counted(heard: list[Named]) -> float:
    """Return the line that all lengths together speak for."""
    scores = [
        (np.array([hz[choice.index] for choice in ranked]), [c.score - ranked[0].score for c in ranked])
        for hz, ranked in heard
    ]

    def together(hz: float) -> float:
        total = 0.0
        for found, score in scores:
            same = np.abs(1200 * np.log2(found / hz)) < _SAME_CENTS
            total += max(float(np.max(np.where(same, score, -np.inf))), -_DISSENT)
        return total

    return float(max((hz for found, _ in scores for hz in found[:6]), key=together))


def _sounding_on(channel: Channel, strike: Strike) -> float | None:
    """Return the lowest of the strong lines that sound on."""
    rate = channel.rate_hz
    # Where the sound is over sooner, what is left after a while is the room's and the cables' own.
    lasts = (strike.stop - strike.first) / rate
    samples = _later(channel, strike, (min(_SOUNDING_S[0], _EARLIER * lasts), min(_SOUNDING_S[1], lasts)))
    if samples.size < int(0.04 * rate):
        return None
    hz, level = peaks(samples, rate_hz=rate, low_hz=LOWEST_HZ, high_hz=_HIGHEST_FOLLOWED_HZ)
    started = level > _before(channel, strike, hz, samples.size) + _STARTED_DB
    if started.any():
        hz, level = hz[started], level[started]
    return float(hz[level > level.max() - _STRONG_DB][0]) if hz.size else None


def _before(channel: Channel, strike: Strike, hz: Floats, length: int) -> Floats:
    """Return the levels in dB at *hz* before the stroke, as a piece of *length* samples would show them."""
    stop = strike.first - int(_AWAY_S * channel.rate_hz)
    samples = channel.samples[max(stop - length, 0) : max(stop, 0)]
    quiet = samples.size and float(np.mean(samples**2)) < _RINGING * strike.noise
    if samples.size < int(_AWAY_S * channel.rate_hz) or not quiet:
        # Too little, or another stroke still rings there, with this drum's own lines.
        return np.full(hz.size, -np.inf)
    # What a room or a cable gives is noise: its level in a window grows with the square root of its length.
    return levels_at(samples, hz, rate_hz=channel.rate_hz) + float(10 * np.log10(length / samples.size))


def _later(channel: Channel, strike: Strike, span_s: tuple[float, float]) -> Floats:
    first, stop = (strike.first + int(seconds * channel.rate_hz) for seconds in span_s)
    return channel.samples[min(first, strike.limit) : min(stop, strike.limit)]
