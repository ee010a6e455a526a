"""Which line of a tap is the head's pitch.

Problem: the loudest line is the wrong one about half the time, and a drum head has no harmonic series. The
modes are named by their ratios. Air moves with the head and weighs most on the low modes; the family

    f(m,1) proportional to j(m,1) / sqrt(1 + b / j(m,1))

with the zeros j(m,1) of the Bessel functions and one number b for the weight of the air describes the ladder
(1,1), (2,1), (3,1) … of a head well enough to name them. The (0,n) modes also move the air between the heads
and stand anywhere in wide ranges. Every line is tried as the pitch; what it explains, what it leaves
unexplained below itself, how long it sustains, and how near it lies to what is expected decide.

Conventions: levels as weights from 0 (45 dB below the strongest) to 1; offsets in cents; a score is a
dimensionless sum, and differences of scores behave like log odds.

Sources: air loading, Christian et al., J. Acoust. Soc. Am. 76, 1336 (1984), from memory; the ladder of a
26 in head without bowl 1 : 1.48 : 1.92 : 2.36 : 2.78 (Rossing, Percussionist 19(3), 1982, as reported by
R. K. Jones); two heads, Rossing, Bork, Zhao & Fystrom, J. Acoust. Soc. Am. 92, 84 (1992).
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import numpy.typing as npt

from lugbook.heads.hearing import OtherHead, Struck
from lugbook.heads.membrane import BESSEL_ZEROS

Floats = npt.NDArray[np.float64]

AIR = np.geomspace(0.5, 30.0, 20)
"""Weights of the air that are tried."""

_USUAL_AIR, _AIR_SPREAD = 4.5, 2.2
"""The usual weight, and the factor by which most lie above or below it."""

_LADDER_SD_CENTS = 22.0
_DEAF_DB = 45.0
"""Lines weaker than this below the strongest carry no weight."""

_FAINTEST = 0.1
"""What weighs less is never the pitch."""

_EXPECTED_SD_CENTS = 45.0
"""How far a pitch lies from where it is expected: a target is known to within about half a semitone."""

OVER_RIM = {"0,1": (0.68, 0.945), "0,2": (1.50, 1.72), "1,2": (1.88, 2.15), "2,2": (2.30, 2.62)}
"""Ranges of the other modes relative to (1,1), the other head damped."""

_DIES_FIRST, _FREE_IS_RARE = 0.82, 0.5
"""The (0,1) of two free heads sounds at most so long beside their (1,1); and what believing it costs."""

FREE_PARTNER = (1.09, 1.32)
FREE_LOWEST = (0.55, 0.725)
_FREE_SHIFTS = (1.035, 1.07, 1.105)
"""Relative to (1,1): the second (1,1) and the (0,1) where the other head rings too."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A line taken as the pitch.

    Attributes:
        index: which line.
        score: how well it fits, as log odds against the others.
        names: mode names by line index.
        other_head: what the other head seems to have done.
    """

    index: int
    score: float
    names: dict[int, str]
    other_head: OtherHead


@cache
def ladder() -> Floats:
    """Return f(m,1)/f(1,1) for m = 2 … 5 and each weight of `AIR`, shape (weights, 4)."""
    zeros = np.array([row[0] for row in BESSEL_ZEROS[1:6]])
    hz = zeros / np.sqrt(1.0 + AIR[:, None] / zeros)
    ratios: Floats = hz[:, 1:] / hz[:, :1]
    return ratios


def weights(level_db: Floats) -> Floats:
    """Return the weight of lines of these levels, from 0 to 1."""
    return np.clip(1.0 + level_db / _DEAF_DB, 0.0, 1.0)


def choices(hz: Floats, level_db: Floats, t60_s: Floats, *, struck: Struck) -> list[Choice]:
    """Return every line that may be the pitch, the likeliest first.

    Args:
        hz: frequencies, shape (lines,).
        level_db: levels below the strongest, shape (lines,).
        t60_s: decay times, shape (lines,).
        struck: near the hoop or at the centre.
    """
    weight = weights(level_db)
    found = []
    for index in np.flatnonzero(weight > _FAINTEST):
        if t60_s[index] < 0.05:
            continue
        if struck == "rim":
            found.append(_as_rim(int(index), hz, weight, t60_s))
        else:
            found.append(_as_centre(int(index), hz, weight))
    return _likeliest_first(found)


def expecting(found: list[Choice], hz: Floats, *, near_hz: float) -> list[Choice]:
    """Return the choices *found* among lines at *hz*, ranked anew with the pitch expected at *near_hz*."""
    scored = []
    for choice in found:
        off = 1200 * np.log2(hz[choice.index] / near_hz) / _EXPECTED_SD_CENTS
        scored.append(replace(choice, score=choice.score - 3.0 * np.log1p(off * off / 6.0)))
    return _likeliest_first(scored)


def _likeliest_first(found: list[Choice]) -> list[Choice]:
    return sorted(found, key=lambda choice: -choice.score)


def other_head_beside(hz: float, lines_hz: Floats, level_db: Floats) -> OtherHead:
    """Return what the other head did, from the sustained lines beside the pitch *hz*.

    Only the second (1,1) together with the low (0,1) says that it rings; in a room a line of its own, or a
    missing one, says nothing.
    """
    if not lines_hz.size:
        return "unknown"
    ratio = lines_hz / hz
    weight = weights(level_db)
    partner, lowest = _strongest(ratio, weight, FREE_PARTNER), _strongest(ratio, weight, FREE_LOWEST)
    if partner is not None and lowest is not None and weight[partner] > 0.55 and weight[lowest] > 0.35:
        return "free"
    return "unknown"


def _as_rim(index: int, hz: Floats, weight: Floats, t60_s: Floats) -> Choice:
    """Score line *index* as (1,1)."""
    ratio = hz / hz[index]
    # The (0,1) of two free heads radiates most and dies first; their two (1,1) sound about equally long.
    free_partner = _strongest(ratio, np.where(t60_s > 0.55 * t60_s[index], weight, 0.0), FREE_PARTNER)
    free_lowest = _strongest(ratio, np.where(t60_s < _DIES_FIRST * t60_s[index], weight, 0.0), FREE_LOWEST)
    free = free_partner is not None and weight[free_partner] > 0.25 and free_lowest is not None
    fit, sums = _ladder_fit(ratio, weight)
    if free:
        # Two heads push their (1,1) apart; the rest of the ladder stands on where it would be without.
        for above in _FREE_SHIFTS:
            other_fit, other_sums = _ladder_fit(ratio / above, weight)
            if other_sums.max() > sums.max():
                fit, sums = other_fit, other_sums
    steps = fit.max(axis=0)
    best = int(np.argmax(sums))
    names = {index: "1,1"}
    for step, line in enumerate(fit[:, best].argmax(axis=0)):
        if steps[best, step] > 0.02:
            names.setdefault(int(line), f"{step + 2},1")
    score = 2.5 * float(sums[best]) + 1.5 * float(weight[index]) + _sustain(index, hz, weight, t60_s)
    score += 5.0 * min(float(weight[index]) - 0.6, 0.0) - (1.5 if steps[best, 0] < 0.1 else 0.0)
    own = weight[index]
    lowest = _strongest(ratio, weight, OVER_RIM["0,1"])
    for mode, span in OVER_RIM.items():
        line = _strongest(ratio, weight, span, but=names)
        if line is not None and not (mode == "0,1" and free_lowest is not None and lowest is None):
            names.setdefault(line, mode)
    below = (ratio < 0.955) & (hz > 35.0)
    allowed = (ratio > OVER_RIM["0,1"][0]) & (t60_s < 0.8 * t60_s[index])
    if free:
        score -= _FREE_IS_RARE
        allowed |= (ratio > FREE_LOWEST[0]) & (ratio < FREE_LOWEST[1]) & (t60_s < _DIES_FIRST * t60_s[index])
    score -= 4.0 * float(np.sum(np.where(below & ~allowed, np.maximum(weight - 0.2, 0.0), 0.0)))
    score -= 2.0 * max(float(np.max(np.where(below & allowed, weight, 0.0))) - own, 0.0)
    between = (ratio > 1.06) & (ratio < 1.33)
    if not free:
        score -= 2.0 * float(np.max(np.where(between, np.maximum(weight - 0.3, 0.0), 0.0)))
    other: OtherHead = "free" if free else "damped" if lowest is not None else "unknown"
    return Choice(index, score, names, other)


def _ladder_fit(ratio: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Return how well each line stands on each step, for each weight of the air, and the sum for each."""
    off = 1200 * np.log2(ratio[:, None, None] / ladder()[None])
    fit = weight[:, None, None] * np.exp(-0.5 * (off / _LADDER_SD_CENTS) ** 2)
    sums = (
        fit.max(axis=0) @ np.array([1.2, 1.2, 0.8, 0.5])
        - 0.4 * (np.log(AIR / _USUAL_AIR) / np.log(_AIR_SPREAD)) ** 2
    )
    return fit, sums


def _as_centre(index: int, hz: Floats, weight: Floats) -> Choice:
    """Score line *index* as (0,1): the lowest strong line, (0,2) well above it."""
    ratio = hz / hz[index]
    names = {index: "0,1"}
    for mode, span in {"0,2": (1.6, 2.35), "1,1": (1.09, 1.5)}.items():
        line = _strongest(ratio, weight, span)
        if line is not None:
            names.setdefault(line, mode)
    second = _strongest(ratio, weight, (1.6, 2.35))
    score = 3.0 * float(weight[index]) + (2.0 * float(weight[second]) if second is not None else 0.0)
    below = (ratio < 0.96) & (hz > 35.0)
    score -= 5.0 * float(np.sum(np.where(below, np.maximum(weight - 0.25, 0.0), 0.0)))
    return Choice(index, score, names, "unknown")


def _sustain(index: int, hz: Floats, weight: Floats, t60_s: Floats) -> float:
    """Return how long a line sounds on beside the strong lines near it, from about -1 to 1."""
    beside = (weight > 0.4) & (np.abs(np.log2(hz / hz[index])) < 0.8)
    usual = float(np.median(t60_s[beside])) if beside.any() else float(t60_s[index])
    return float(np.clip(1.5 * np.log2(t60_s[index] / max(usual, 1e-3)), -2.0, 1.0))


def _strongest(
    ratio: Floats, weight: Floats, span: tuple[float, float], *, but: dict[int, str] | None = None
) -> int | None:
    """Return the strongest line whose ratio lies in *span*, or None."""
    inside = np.where((ratio > span[0]) & (ratio < span[1]), weight, 0.0)
    for index in but or ():
        inside[index] = 0.0
    best = int(np.argmax(inside))
    return best if inside[best] > 0.05 else None
