"""From the turns that the sums give to the turns that a hand makes: one drum, one round."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from lugbook.desk.asking import Taken
from lugbook.desk.comparing import Comparison
from lugbook.desk.learned import Learned
from lugbook.desk.wording import day_text
from lugbook.pitch import cents_between
from lugbook.records import SIDES, Drum, HeadSide
from lugbook.turns.amounts import GRAIN, GRID, coarsen, round_step, show_turns

MOST_AT_ONCE = 2.0
"""No round asks for more than two full turns; from further away, one round shows the way first."""

Pair = tuple[float | None, float | None]
"""A value for (top, bottom); None where there is none."""


@dataclass(frozen=True, slots=True)
class HeadTurn:
    """The turn to make on all rods of one head."""

    side: HeadSide
    amount: float
    """Turns, plus tightens, rounded to what a hand can do; 0 is nothing to do."""
    shown: str
    """The amount as a player reads it, such as ``+⅛``."""
    sd: float
    """Standard uncertainty of the amount, in turns."""
    basis: str
    """What the amount rests on, in words."""
    entries: tuple[str, ...]
    """The ids of the logbook entries it rests on."""
    far: bool = False
    """Whether the target lies further than one round goes, so that this only brings the head near."""


@dataclass(frozen=True, slots=True)
class Turns:
    """The turns of one round, with what they lead to."""

    top: HeadTurn | None
    bottom: HeadTurn | None
    expect_hz: Pair
    """What each head should read afterwards, in Hz."""
    expect_sd_cents: float
    """Standard uncertainty of that, in cents, the larger of the two heads."""
    moves: Mapping[HeadSide, float]
    """How far each head is moved; in single tension both are, whichever was read."""
    expect_all_hz: Pair
    """What each head should sound afterwards in Hz, also one that was not read."""
    remarks: tuple[str, ...]

    def head(self, side: HeadSide) -> HeadTurn | None:
        """Return the turn of the *side*."""
        return self.top if side == "top" else self.bottom


def targets_hz(comparison: Comparison, taken: Mapping[HeadSide, Taken]) -> Pair:
    """Return the pitches to reach in Hz; None for a head that cannot be compared.

    A target that names no octave is meant in the octave nearest to the reading, and a reading that names
    none in the octave of the target; where neither does there is nothing to reckon with.
    """
    hz: list[float | None] = []
    for side in SIDES:
        result, read = comparison.head(side), taken.get(side)
        if result is None or read is None or result.within is None or read.hz is None:
            hz.append(None)
        else:
            hz.append(read.hz * 2 ** (-result.off_cents / 1200))
    return hz[0], hz[1]


def turns_for(
    drum: Drum,
    learned: Learned,
    comparison: Comparison,
    *,
    targets: Pair,
) -> Turns:
    """Return the turns that lead to the pitches *targets*, rounded to what a hand can do.

    Args:
        drum: the drum to turn.
        learned: how it answers to turns, and where it stands today.
        comparison: how far off the heads are; a pair that is within is left alone.
        targets: pitches to reach, in Hz.
    """
    here, day = learned.here, learned.day
    advice = learned.response.turns_to(targets, position=here, day=day)
    read = [side for side, hz in zip(SIDES, targets, strict=True) if hz is not None]
    doubted: tuple[HeadSide, ...] = ()
    steps = {
        side: round_step(
            cents_per_turn=learned.cents_per_turn(side),
            tolerance_cents=result.tolerance_cents,
        )
        for side in read
        if (result := comparison.head(side)) is not None
    }
    out = {side for side in read if (result := comparison.head(side)) and result.within is False}
    far: set[HeadSide] = set()
    if comparison.within:
        amounts: dict[HeadSide, float] = dict.fromkeys(read, 0.0)
    elif drum.tension == "single":
        # One rod pulls both heads: where none that was read is out, neither is turned.
        one = _one_for_both(learned, targets) if out or comparison.within is False else 0.0
        amounts = dict.fromkeys(read, _rounded(one, step=min(steps.values()), out=bool(out)))
        far = {side for side in read if abs(one) >= MOST_AT_ONCE}
    else:
        exact = dict(zip(SIDES, advice.turns, strict=True))
        far = {side for side in read if abs(exact[side] or 0.0) > MOST_AT_ONCE}
        exact |= _beside(far, exact, learned, targets=targets)
        amounts = {side: _rounded(exact[side] or 0.0, step=steps[side], out=side in out) for side in read}
        amounts = _left_alone(amounts, learned, comparison)
        doubted = _doubted(out, learned, comparison, targets=targets)
        amounts.update(dict.fromkeys(doubted, 0.0))
    sd = dict(zip(SIDES, advice.sd_turns, strict=True))
    heads: dict[HeadSide, HeadTurn] = {
        side: HeadTurn(
            side=side,
            amount=amount,
            shown=show_turns(amount, sign="always"),
            sd=sd[side] or 0.0,
            basis=basis_of(learned, side),
            entries=tuple(entry.id for entry in learned.entries[side]),
            far=side in far and bool(amount),
        )
        for side, amount in amounts.items()
    }
    moves = dict.fromkeys(SIDES, next(iter(amounts.values()))) if drum.tension == "single" else amounts
    forecast = learned.response.predict(_after(here, moves), day=day)
    return Turns(
        top=heads.get("top"),
        bottom=heads.get("bottom"),
        expect_hz=(
            forecast.hz[0] if "top" in heads else None,
            forecast.hz[1] if "bottom" in heads else None,
        ),
        expect_sd_cents=max(
            (
                sd
                for sd, side in zip(forecast.sd_cents, SIDES, strict=True)
                if side in heads and sd is not None
            ),
            default=0.0,
        ),
        moves=moves,
        expect_all_hz=forecast.hz,
        remarks=(
            *(
                f"{side.capitalize()} head: this reading and the logbook disagree on which way it is off. "
                "Tap again before turning it."
                for side in doubted
            ),
            *(
                f"The {side} head is far off: turn {heads[side].shown} and no more, "
                "then tap again before going on."
                for side in read
                if heads[side].far
            ),
            *advice.remarks,
        ),
    )


def _beside(
    far: set[HeadSide],
    exact: Mapping[HeadSide, float | None],
    learned: Learned,
    *,
    targets: Pair,
) -> dict[HeadSide, float | None]:
    """Return the turns of the heads beside the *far* ones, once those have gone as far as one round goes.

    Both heads move each other: a turn worked out for all of the way would be wrong after a part of it.
    """
    if not far:
        return {}
    reached = {side: math.copysign(MOST_AT_ONCE, exact[side] or 0.0) for side in far}
    left = tuple(None if side in far else hz for side, hz in zip(SIDES, targets, strict=True))
    near = learned.response.turns_to(
        (left[0], left[1]), position=_after(learned.here, reached), day=learned.day
    )
    return {side: turns for side, turns in zip(SIDES, near.turns, strict=True) if side not in far}


def _doubted(
    out: set[HeadSide],
    learned: Learned,
    comparison: Comparison,
    *,
    targets: Pair,
) -> tuple[HeadSide, ...]:
    """Return the heads *out* that read on one side of their target while the logbook puts them on the other.

    A rough reading, such as one by ear, weighs less than a well-kept logbook; to turn against either unasked
    would be wrong.
    """
    believed = learned.response.predict(learned.here, day=learned.day).hz
    doubted = []
    for side in SIDES:
        result, index = comparison.head(side), SIDES.index(side)
        hz, target = believed[index], targets[index]
        if side not in out or result is None or hz is None or target is None:
            continue
        if cents_between(target, to_hz=hz) * result.off_cents < 0:
            doubted.append(side)
    return tuple(doubted)


def _left_alone(
    amounts: dict[HeadSide, float],
    learned: Learned,
    comparison: Comparison,
) -> dict[HeadSide, float]:
    """Return *amounts* without the turn of a head that is within and stays so while the other is turned.

    Where both heads are within and their interval alone is not, no head is left alone.
    """
    within = [side for side in amounts if (result := comparison.head(side)) and result.within]
    if len(within) == len(SIDES):
        return amounts
    for side in within:
        trial = {**amounts, side: 0.0}
        index, result = SIDES.index(side), comparison.head(side)
        now = learned.response.predict(learned.here, day=learned.day).hz[index]
        then = learned.response.predict(_after(learned.here, trial), day=learned.day).hz[index]
        if now is None or then is None or result is None:
            continue
        # What was read counts, moved by what the other head's turn does; a tenth of a cent is nothing.
        if abs(result.off_cents + cents_between(now, to_hz=then)) <= result.tolerance_cents + 0.05:
            amounts = trial
    return amounts


def _rounded(exact: float, *, step: float, out: bool) -> float:
    """Return what a hand can do of the turn *exact*.

    A head that is *out* of tolerance gets at least the smallest step: on a stiff head, whose turn would round
    to nothing, it would otherwise stay out for ever.
    """
    within_reach = min(max(exact, -MOST_AT_ONCE), MOST_AT_ONCE)
    rounded = coarsen(within_reach, step=step)
    return math.copysign(GRID[-1], exact) if out and not rounded and exact else rounded


def _after(here: tuple[float, float], amounts: Mapping[HeadSide, float]) -> tuple[float, float]:
    return here[0] + amounts.get("top", 0.0), here[1] + amounts.get("bottom", 0.0)


def _one_for_both(learned: Learned, targets: Pair) -> float:
    """Return the one turn that leaves the least squared error in cents over both heads."""
    here = learned.here

    def error(grains: int) -> float:
        turn = grains / GRAIN
        forecast = learned.response.predict((here[0] + turn, here[1] + turn), day=learned.day)
        total = 0.0
        for hz, target in zip(forecast.hz, targets, strict=True):
            if target is not None:
                total += float("inf") if hz is None else cents_between(target, to_hz=hz) ** 2
        return total

    reach = int(MOST_AT_ONCE * GRAIN)
    return min(range(-reach, reach + 1), key=lambda grains: (error(grains), abs(grains))) / GRAIN


def basis_of(learned: Learned, side: HeadSide) -> str:
    """Say what the turns of one head rest on."""
    entries, earlier = learned.entries[side], learned.earlier[side]
    if not entries:
        others = learned.kin[SIDES.index(side)].drums
        if not earlier.entries and others:
            return f"no entries on this head yet: by its size, as {others} other drums of the library answer"
        if not earlier.entries:
            return "no entries with turns and pitch on this head yet: a wide guess"
        whose = "this head in an older count" if earlier.same_head else "the head before it"
        return f"no entries on this head in this count yet: as {whose} answered"
    first, last = (day_text(entry.at.date()) for entry in (entries[0], entries[-1]))
    if len(entries) == 1:
        return f"1 logbook entry of {first} and the drum's size: still wide"
    when = f"of {first}" if first == last else f"from {first} to {last}"
    return f"{len(entries)} logbook entries {when}"
