"""How even the rods of a head are: which rod or which pair of rods is off, and by how much.

Problem: the pitch heard near each rod differs from the others' by an uneven tension, and by how well a tap
says it. Two things are heard on drums. On some a tap sounds its own neighbourhood, and each rod can be judged
by itself. On others, as in linear acoustics, a tap near the hoop sounds one vibration of the whole head with
a straight line at rest, whose two forms are pulled apart by the part of the tension that repeats every half
turn round the head alone: then a tap near a rod and one near the rod opposite sound alike, whichever of the
two is off. So:

1. Mean and a twofold wave, c + a·cos 2θ + b·sin 2θ, are fitted to the taps. Where that leaves nothing but
   uncertainty, and no rod differs from its opposite, only pairs are heard, and the fit says how much.
2. Else opposite rods that differ beyond their uncertainty are judged one by one, and opposite rods that agree
   are judged together, as a pair; unless one of them is even and others show that single rods are heard.
3. Nothing is to be moved where the deviation is within `SURE` standard deviations or `EVEN_CENTS`.

Rods beside the snare beds read differently (the film dips there): they are compared with each other.

Conventions: cents relative to any common pitch; standard deviations in cents; θ clockwise from the strainer,
rod k of n at 2π(k − ½)/n; a move in cents is what brings a rod to the median of its group.

Sources: two forms of the (1,1) vibration and their split under uneven tension: Worland, POMA 5, 035001 (2009)
and J. Acoust. Soc. Am. 127, 525 (2010) (abstract, and from memory). Chi square to normal: Wilson & Hilferty,
Proc. Natl. Acad. Sci. 17, 684 (1931) (from memory). The limits are judgement.
"""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lugbook.heads.rod_numbers import EVEN_CENTS, opposite

Floats = npt.NDArray[np.float64]

SURE = 3.0
"""Standard deviations beyond which a difference is believed: 3 of 100 even heads of 10 rods are disturbed."""

_FITS = 2.33
"""Standard normal quantile of 99 %: what the twofold wave may leave."""

_MEDIAN_SD = 1.2533
"""Standard deviation of a median over that of a mean, sqrt(π/2)."""

Heard = Mapping[int, tuple[float, float]]
"""Rod → pitch in cents and its standard deviation."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is to be done about one rod.

    Attributes:
        off_cents: cents from the median of its group.
        move_cents: how far its pitch is to be moved; None for nothing.
        pair: the rod opposite, where both are to be moved alike; else None.
        even: whether it is as the others are; None where the taps cannot tell.
        least_cents: what lies nearer than this to the median cannot be told from it.
    """

    off_cents: float
    move_cents: float | None
    pair: int | None
    even: bool | None
    least_cents: float


@dataclass(frozen=True, slots=True)
class _Off:
    """How far a rod, alone or with its opposite, is off."""

    cents: float
    sd: float
    pair: int | None


def judge(heard: Heard, *, rods: int, apart: Collection[int] = ()) -> tuple[dict[int, Verdict], bool]:
    """Return the verdict on each rod that was heard, and whether uneven pairs are all that is heard.

    Args:
        heard: pitch and standard deviation of each rod that was heard, in cents.
        rods: how many there are.
        apart: rods to compare with each other alone.
    """
    main = {rod: one for rod, one in heard.items() if rod not in apart}
    beds = {rod: one for rod, one in heard.items() if rod in apart}
    verdicts, pairs_only = _group(main, rods=rods, of=[rod for rod in range(1, rods + 1) if rod not in apart])
    if len(beds) > 1:
        verdicts |= _group(beds, rods=rods, of=list(apart))[0]
    elif beds:
        # One rod has nothing to be compared with but the others, from which a bed makes it differ.
        middle = float(np.median([cents for cents, _ in main.values()]))
        verdicts |= {
            rod: Verdict(cents - middle, None, None, None, SURE * sd) for rod, (cents, sd) in beds.items()
        }
    return verdicts, pairs_only


def _group(heard: Heard, *, rods: int, of: Collection[int]) -> tuple[dict[int, Verdict], bool]:
    """Return the verdicts on rods that are compared with each other, the rods *of* this group."""
    middle = float(np.median([cents for cents, _ in heard.values()]))
    own = {rod: (cents - middle, sd) for rod, (cents, sd) in heard.items()}
    middle_sd = _MEDIAN_SD * float(np.mean([sd for _, sd in own.values()])) / math.sqrt(len(own))
    wave = _twofold(own, rods=rods)
    single = any(_differ(own, rod, other) for rod, other in _pairs(own, rods=rods))
    found: dict[int, Verdict] = {}
    for rod, (off, _) in own.items():
        other = opposite(rod, rods=rods)
        known = other is None or other in own or other not in of
        judged = wave[rod] if wave is not None else _with_opposite(own, rod, other, single=single)
        least = max(EVEN_CENTS, SURE * math.hypot(judged.sd, middle_sd))
        # Without the rod opposite one cannot know which of the two it is.
        moves = known and abs(judged.cents) > least and judged.cents * off > 0
        even: bool | None = False if moves else None
        if not moves and abs(off) <= EVEN_CENTS:
            even = True
        found[rod] = Verdict(
            off_cents=off,
            move_cents=-judged.cents if moves else None,
            pair=judged.pair if moves else None,
            even=even,
            least_cents=least,
        )
    kept = _both_or_none(found)
    return kept, wave is not None and any(one.move_cents is not None for one in kept.values())


def _both_or_none(found: dict[int, Verdict]) -> dict[int, Verdict]:
    """Return *found* without pairs of which one rod alone would be moved."""
    kept = dict(found)
    for rod, one in found.items():
        if one.pair is not None and found[one.pair].pair != rod:
            kept[rod] = Verdict(one.off_cents, None, None, None, one.least_cents)
    return kept


def _with_opposite(own: Heard, rod: int, other: int | None, *, single: bool) -> _Off:
    """Return how far *rod* is off: with the rod opposite where the two agree and are off alike, else alone.

    Where *single* rods are heard elsewhere in the round, an even rod is not turned for the sake of the other.
    """
    off, sd = own[rod]
    if other is None or other not in own or _differ(own, rod, other):
        return _Off(off, sd, None)
    off_other, sd_other = own[other]
    if off * off_other < 0 or (single and min(abs(off), abs(off_other)) <= EVEN_CENTS):
        return _Off(off, sd, None)
    weight, weight_other = sd**-2, sd_other**-2
    total = weight + weight_other
    return _Off((weight * off + weight_other * off_other) / total, total**-0.5, other)


def _pairs(own: Heard, *, rods: int) -> list[tuple[int, int]]:
    """Return the pairs of opposite rods of which both were heard."""
    return [
        (rod, other) for rod in own if (other := opposite(rod, rods=rods)) is not None and rod < other in own
    ]


def _differ(own: Heard, rod: int, other: int) -> bool:
    return abs(own[rod][0] - own[other][0]) > SURE * math.hypot(own[rod][1], own[other][1])


def _twofold(own: Heard, *, rods: int) -> dict[int, _Off] | None:
    """Return how far each rod is off by the twofold wave; None where it does not tell all that is heard."""
    numbers = list(own)
    angle = 2 * math.pi * (np.array(numbers, dtype=np.float64) - 0.5) / rods
    off = np.array([own[rod][0] for rod in numbers])
    sd = np.array([own[rod][1] for rod in numbers])
    shape = np.stack((np.ones(angle.size), np.cos(2 * angle), np.sin(2 * angle)), axis=1)
    weighted = shape / sd[:, None]
    rank = int(np.linalg.matrix_rank(weighted, tol=1e-9 * float(np.max(np.abs(weighted)))))
    free = len(numbers) - rank
    if rank < shape.shape[1] or free < 2:
        return None
    inverse = np.linalg.pinv(weighted)
    fitted = shape @ (inverse @ (off / sd))
    left = (off - fitted) / sd
    if (
        _normal(float(left @ left), free) > _FITS
        or float(np.max(np.abs(left))) > SURE
        or any(_differ(own, rod, other) for rod, other in _pairs(own, rods=rods))
    ):
        return None
    spread = np.sqrt(np.sum((shape @ inverse) ** 2, axis=1))
    return {
        rod: _Off(float(fitted[k]), float(spread[k]), _heard(opposite(rod, rods=rods), own))
        for k, rod in enumerate(numbers)
    }


def _heard(rod: int | None, own: Heard) -> int | None:
    return rod if rod in own else None


def _normal(chi_square: float, free: int) -> float:
    """Return the standard normal quantile that a chi square of *free* degrees of freedom stands at."""
    width = 2 / (9 * free)
    return float(((chi_square / free) ** (1 / 3) - (1 - width)) / math.sqrt(width))
