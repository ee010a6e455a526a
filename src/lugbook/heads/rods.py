"""A round of the rods: from one tap near each rod to how even the head is.

Problem: a player taps near each rod in a known order and wants to know which rods are off. This module gives
each rod its taps (`rod_taps`), joins them, has them judged (`evenness`), and says what is to be said.

Conventions: as in `lugbook.heads.hearing`. Rods are numbered clockwise looking at that head, 1 being the
first past the strainer. How far to turn is not decided here: that needs to know how the drum answers.
"""

import math
from collections.abc import Collection, Mapping, Sequence

import numpy as np

from lugbook.errors import BadValue
from lugbook.heads.evenness import Verdict, judge
from lugbook.heads.hearing import FAR_FROM_OTHERS, Rod, RodRound, Tap
from lugbook.heads.rod_numbers import (
    EVEN_CENTS,
    LEAST_RODS,
    check_count,
    check_numbers,
    opposite,
    rods_text,
)
from lugbook.heads.rod_taps import sort_taps

TAP_SD_CENTS = 2.0
"""A tap made again falls a little elsewhere, and its pitch differs by so much (judgement)."""

FARTHEST_CENTS = 150.0
"""No rod is further from the median than this; what is, was another pitch of the drum."""

_LEAST_HEARD = 2 / 3
"""Share of the rods that must be heard for their median to mean anything."""

_COARSE_CENTS = 12.0
"""Where no smaller difference than this can be told, it is said."""

_SAY_SCATTER_CENTS = 8.0


def hear_rods(
    taps: Sequence[Tap],
    *,
    rods: int,
    order: Sequence[int] | None = None,
    beside_beds: Collection[int] = (),
) -> RodRound:
    """Return what a round of taps says of the rods.

    Args:
        taps: the strokes of one recording, in order of time.
        rods: how many rods the head has, 5 to 24.
        order: the rods in the order they were tapped, each once; clockwise from rod 1 where None.
        beside_beds: rods beside the snare beds, which are compared with each other.

    Raises:
        BadValue: *rods*, *order* or *beside_beds* cannot be.
    """
    _check(rods, order, beside_beds)
    hz = usable(taps)
    found = sort_taps([tap.at_s for tap in taps], hz, order=tuple(order or range(1, rods + 1)))
    if found.refused is not None:
        return _refused(found.refused)
    pitches = {
        rod: [(one, taps[place].sd_cents or 0.0) for place in places if (one := hz[place]) is not None]
        for rod, places in found.strokes.items()
    }
    return judge_rods(pitches, rods=rods, beside_beds=beside_beds, remarks=found.remarks)


def judge_rods(
    pitches: Mapping[int, Sequence[tuple[float, float]]],
    *,
    rods: int,
    beside_beds: Collection[int] = (),
    remarks: tuple[str, ...] = (),
) -> RodRound:
    """Return what the pitches heard near the rods say.

    Args:
        pitches: rod → pitch in Hz and standard deviation in cents of each tap there; none where it was not
            heard.
        rods: how many rods there are, 5 to 24.
        beside_beds: rods beside the snare beds.
        remarks: what is to be said before everything else.
    """
    heard = {rod: list(taps) for rod, taps in sorted(pitches.items()) if taps}
    missing = [rod for rod in range(1, rods + 1) if rod not in heard]
    main = [rod for rod in heard if rod not in beside_beds]
    if len(heard) < max(LEAST_RODS, math.ceil(_LEAST_HEARD * rods)) or len(main) < 2:
        return _refused(f"Only {len(heard)} of {rods} rods were heard: tap the whole round again.")
    scatter = _scatter(heard)
    joined = {rod: _join(taps, scatter) for rod, taps in heard.items()}
    verdicts, pairs_only = judge(
        {rod: (1200 * math.log2(hz), sd) for rod, (hz, sd) in joined.items()}, rods=rods, apart=beside_beds
    )
    told = tuple(
        _rod(rod, joined.get(rod), verdicts.get(rod), rod in beside_beds) for rod in range(1, rods + 1)
    )
    least = float(np.median([one.least_cents for one in verdicts.values()]))
    said = [*remarks]
    if missing:
        again = "it" if len(missing) == 1 else "them"
        said.append(
            f"{rods_text(missing)} {'was' if len(missing) == 1 else 'were'} not heard: tap {again} again."
        )
    if scatter > _SAY_SCATTER_CENTS:
        said.append(f"Taps near one rod differ by {scatter:.0f} cents: was the order kept?")
    said += _said(told, verdicts, pairs_only=pairs_only, least=least)
    main_hz = [joined[rod][0] for rod in main]
    return RodRound(
        rods=told,
        median_hz=float(2 ** np.median(np.log2(main_hz))),
        spread_cents=1200 * math.log2(max(main_hz) / min(main_hz)),
        pairs_only=pairs_only,
        least_cents=least,
        remarks=tuple(said),
    )


def usable(taps: Sequence[Tap]) -> list[float | None]:
    """Return the pitch of each tap as far as a rod may have it, in Hz; None where it may not.

    A tap that was left out of the head's reading for being far from the others counts here: a rod may be far
    off. One that is further than any rod was another pitch of the drum.
    """
    hz = [tap.hz if tap.used or tap.why_not == FAR_FROM_OTHERS else None for tap in taps]
    known = [one for one in hz if one is not None]
    if not known:
        return hz
    middle = float(np.median(np.log2(known)))
    return [
        one if one is not None and 1200 * abs(math.log2(one) - middle) <= FARTHEST_CENTS else None
        for one in hz
    ]


def _rod(rod: int, joined: tuple[float, float] | None, verdict: Verdict | None, beside_bed: bool) -> Rod:
    if joined is None or verdict is None:
        return Rod(rod, None, None, None, None, None, beside_bed)
    return Rod(
        rod=rod,
        hz=joined[0],
        sd_cents=joined[1],
        off_cents=verdict.off_cents,
        turn=None,
        pair=verdict.pair,
        beside_bed=beside_bed,
        even=verdict.even,
        move_cents=verdict.move_cents,
    )


def _join(taps: Sequence[tuple[float, float]], scatter: float) -> tuple[float, float]:
    """Return pitch and standard deviation of the taps near one rod."""
    variance = np.array([sd**2 for _, sd in taps]) + max(TAP_SD_CENTS, scatter) ** 2
    weight = 1 / variance
    log2 = float(weight @ np.log2([hz for hz, _ in taps]) / weight.sum())
    return 2**log2, float(weight.sum() ** -0.5)


def _scatter(heard: Mapping[int, Sequence[tuple[float, float]]]) -> float:
    """Return by how much taps near one rod differ, one standard deviation in cents; 0 with one tap a rod."""
    squares, free = 0.0, 0
    for taps in heard.values():
        cents = 1200 * np.log2([hz for hz, _ in taps])
        squares += float(np.sum((cents - cents.mean()) ** 2))
        free += len(taps) - 1
    return math.sqrt(squares / free) if free else 0.0


def _said(
    rods: Sequence[Rod],
    verdicts: Mapping[int, Verdict],
    *,
    pairs_only: bool,
    least: float,
) -> list[str]:
    said = []
    beds = [rod for rod in rods if rod.beside_bed and rod.hz is not None]
    if len(beds) == 1:
        said.append(
            f"{rods_text([beds[0].rod])} lies beside a snare bed and cannot be compared with the others."
        )
    elif beds:
        apart = _beside(beds, [rod for rod in rods if not rod.beside_bed and rod.hz is not None])
        said.append(
            f"{rods_text([rod.rod for rod in beds])} lie beside the snare beds and are compared with each "
            f"other; together they read {apart}."
        )
    moved = [rod for rod in rods if rod.move_cents is not None]
    if pairs_only and any(rod.pair for rod in moved):
        said.append(
            "Opposite rods sound alike all round, two pitches close together (uneven): this names pairs, "
            "and which rod of a pair it is cannot be known."
        )
    doubtful = [rod for rod in rods if rod.even is None and rod.hz is not None and not rod.beside_bed]
    alone = [rod.rod for rod in doubtful if _unheard(opposite(rod.rod, rods=len(rods)), rods)]
    small = [rod.rod for rod in doubtful if rod.rod not in alone]
    if alone:
        said.append(
            f"{rods_text(alone)} may be off: without the rod opposite it cannot be told whether one is, "
            "or both."
        )
    if small:
        worst = max(verdicts[rod].least_cents for rod in small)
        said.append(
            f"{rods_text(small)} may be off, by less than the {worst:.0f} cents that these taps can tell: "
            "two taps in a row near each rod tell more."
        )
    elif least > _COARSE_CENTS:
        said.append(f"These taps cannot tell differences below {least:.0f} cents.")
    if not moved and not doubtful:
        said.append(f"The rods are even: nothing is further off than {max(EVEN_CENTS, least):.0f} cents.")
    return said


def _beside(beds: Sequence[Rod], others: Sequence[Rod]) -> str:
    low, high = (float(np.median([math.log2(rod.hz or 1.0) for rod in group])) for group in (beds, others))
    cents = round(1200 * (low - high))
    if not cents:
        return "as the others do"
    return f"{abs(cents)} cents {'above' if cents > 0 else 'below'} the others"


def _unheard(rod: int | None, rods: Sequence[Rod]) -> bool:
    return rod is not None and rods[rod - 1].hz is None


def _refused(sentence: str) -> RodRound:
    return RodRound((), None, None, pairs_only=False, least_cents=None, remarks=(), refused=sentence)


def _check(rods: int, order: Sequence[int] | None, beside_beds: Collection[int]) -> None:
    check_count(rods, what="round")
    if order is not None and sorted(order) != list(range(1, rods + 1)):
        raise BadValue(
            f"The order {','.join(str(rod) for rod in order)} does not name each of {rods} rods once.",
            hint=f"Name 1 to {rods}, each once, in the order they were tapped.",
        )
    check_numbers(beside_beds, rods=rods)
