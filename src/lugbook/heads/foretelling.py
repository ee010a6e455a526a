"""Where a sound sets in that does not follow from what was there before.

Problem: two lines that beat, hum, a low drum's own swings, wires on a head: all make the energy rise and
fall, and none of it is a stroke; and a bounce on a head that rings may leave the energy as it is. What rings,
beats or hums goes on as it went on: each next sample follows from those before it by one linear recursion,
however many lines there are. A stroke follows from nothing. So a recursion is fitted to what was before an
instant, and its error in foretelling the samples after the instant is set against its error before.

Conventions: works on the slow channel; instants are indices of its samples.

Sources: linear prediction, covariance method, Makhoul, Proc. IEEE 63, 561 (1975); that damped lines obey a
linear recursion, Prony (1795); both from memory.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]

_MEMORY_S = 0.06
"""A recursion is fitted to this much of the sound before an instant."""

_MOST_TERMS = 32
_GUARD_S = 0.006
"""An instant to judge is known no better than this."""

_AFTER_S = 0.012

_LEAST = 16
"""With fewer samples than this before it an instant cannot be judged."""

_STEP_S, _SPAN_S = 0.016, 0.008
"""While a sound rings it is tried this often; errors are means over the second."""

_SETS_IN = 0.05
"""A sound sets in where the squared error first passes this part of its greatest."""

_AT_ONCE = 64


@dataclass(frozen=True, slots=True)
class Surprise:
    """How little of what comes after an instant follows from what was before it.

    Attributes:
        error: mean square error of foretelling after it over that before it; infinite where it was silent.
        share: that error as a share of the mean square just before.
        at: where the error first rises.
    """

    error: float
    share: float
    at: int


def surprise(samples: Floats, at: int, *, since: int, rate_hz: float) -> Surprise:
    """Return how little of what comes at *at* follows from what was since *since*."""
    start = max(at - int((_MEMORY_S + _GUARD_S) * rate_hz), since, 0)
    known = max(at - int(_GUARD_S * rate_hz), 0) - start
    piece = samples[start : at + int(_AFTER_S * rate_hz)]
    if known < _LEAST or known >= piece.size:
        return Surprise(np.inf, np.inf, at)
    error, was = _errors(piece[None], known)
    now = error[0]
    before = float(np.mean(piece[max(known - int(_AFTER_S * rate_hz), 0) : known] ** 2))
    size = float(np.mean(now))
    sets_in = start + known + int(np.argmax(now > max(_SETS_IN * float(now.max()), 6.0 * float(was[0]))))
    return Surprise(size / (float(was[0]) + 1e-20), size / (before + 1e-20), sets_in)


def surprising(samples: Floats, at: Places, *, rate_hz: float) -> tuple[Places, Floats, Floats]:
    """Return the most surprising places within a step after each of *at*, and their errors and shares.

    Args:
        samples: shape (n,).
        at: instants to begin at, in order.
        rate_hz: samples a second.
    """
    memory, span = int(_MEMORY_S * rate_hz), max(int(_SPAN_S * rate_hz), 2)
    length = memory + int(_STEP_S * rate_hz) + span
    at = at[(at >= memory) & (at - memory + length <= samples.size)]
    places, errors, shares = [], [], []
    for first in range(0, at.size, _AT_ONCE):
        begin = at[first : first + _AT_ONCE]
        pieces = samples[(begin - memory)[:, None] + np.arange(length)]
        error, was = _errors(pieces, memory)
        sums = np.cumsum(np.pad(error, ((0, 0), (1, 0))), axis=1)
        now = (sums[:, span:] - sums[:, :-span]) / span
        best = now.argmax(axis=1)
        each = np.arange(begin.size)
        before = np.mean(pieces[each[:, None], memory + best[:, None] - span + np.arange(span)] ** 2, axis=1)
        places.append(begin + best)
        errors.append(now[each, best] / (was + 1e-20))
        shares.append(now[each, best] / (before + 1e-20))
    if not places:
        return np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0)
    return np.concatenate(places), np.concatenate(errors), np.concatenate(shares)


def unforetold_share(samples: Floats) -> float:
    """Return what share of *samples* does not follow from those before: 0 of lines that ring, 1 of noise."""
    if samples.size < _LEAST:
        return 1.0
    _, was = _errors(samples[None], samples.size - 1)
    return float(was[0]) / max(float(np.mean(samples**2)), 1e-300)


def steps(size: int, *, rate_hz: float) -> Places:
    """Return the instants at which a sound of *size* samples is tried while it rings."""
    return np.arange(0, size, max(int(_STEP_S * rate_hz), 1), dtype=np.int64)


def _errors(pieces: Floats, known: int) -> tuple[Floats, Floats]:
    """Return the squared errors of foretelling *pieces* after *known* samples, and their mean before."""
    terms = min(_MOST_TERMS, known // 3)
    rows = np.lib.stride_tricks.sliding_window_view(pieces, terms + 1, axis=1)
    fitted = known - terms
    before, following = rows[:, :fitted, :-1], rows[:, :fitted, -1:]
    across = np.ascontiguousarray(before.transpose(0, 2, 1))
    normal = across @ before
    # The ridge keeps the weights small where the sound before is next to nothing.
    diagonal = np.arange(terms)
    normal[:, diagonal, diagonal] += (1e-6 / terms) * np.trace(normal, axis1=1, axis2=2)[:, None] + 1e-18
    weights = np.linalg.solve(normal, across @ following)
    error = (rows[:, :, -1] - (rows[:, :, :-1] @ weights)[:, :, 0]) ** 2
    was = np.sum(error[:, :fitted], axis=1) / max(fitted - terms, 1)
    return error[:, fitted:], was
