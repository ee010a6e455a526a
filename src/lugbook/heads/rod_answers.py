"""How single rods answer to the key: a first guess, and what two rounds with turns between them tell.

Problem: it is known, or guessed, how far a turn of **all** rods moves the head. One rod alone moves the mean
of the head by its share of that, 1/n, and its own neighbourhood by more, because the changes near all rods
add up to what the turn of all would do. Between two limits: a hoop that bends like a string gives all of it
to the one rod, share 1; a hoop that never bends only sinks and tilts, 1/n + 2/n·cos φ, which leaves the rod
itself the share 3/n and takes some from the rod opposite (own derivation). The first guess is a share evenly
spread between the two. A tap that hears a twofold wave alone shows half of what is there, which lies within.

The turn advised for a move of m cents is m·R/(R² + s²) for an answer of R ± s cents a turn: it leaves the
least squared error on average, and so stays below m/R while the answer is not well known.

A second round after known turns measures the answer, and shows a rod that does not follow its key: it binds,
or slips, and is not to be turned further.

Conventions: turns of the key at one rod, plus tightens; cents; standard deviations. φ is the angle between
two rods seen from the middle.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from lugbook.errors import BadValue
from lugbook.heads.hearing import RodRound
from lugbook.heads.rod_numbers import check_count, check_numbers, rods_text

KEY_TURNS = 1 / 64
"""Standard deviation of a turn of one rod made by hand, in turns (judgement)."""

_SURE = 3.0

_ENOUGH_STILL, _WHOLE_CENTS = 3, 4.0
"""So many rods that were not turned tell what the whole head did; less than the second is not spoken of."""

_ODDS = 10.0
"""A rod binds when that explains its second tap so many times better than that it followed."""


@dataclass(frozen=True, slots=True)
class RodAnswer:
    """How far a turn of one rod moves the pitch heard near it.

    Attributes:
        cents_per_turn: its mean, above 0.
        sd: its standard deviation.
    """

    cents_per_turn: float
    sd: float

    def turn_for(self, move_cents: float) -> float:
        """Return the turn that is best on average to move the pitch by *move_cents*.

        Example:
            >>> RodAnswer(200.0, 100.0).turn_for(-20.0)
            -0.08
        """
        return move_cents * self.cents_per_turn / (self.cents_per_turn**2 + self.sd**2)


@dataclass(frozen=True, slots=True)
class SecondRound:
    """What a second round says of the turns made since the first.

    Attributes:
        answer: how a single rod answers, as far as it is known now.
        unanswered: rods that were turned and did not follow, or went the other way.
        slipped: rods that were not turned and fell by more than the turns of others explain.
        remarks: sentences for a player.
    """

    answer: RodAnswer
    unanswered: tuple[int, ...]
    slipped: tuple[int, ...]
    remarks: tuple[str, ...]


def first_answer(*, cents_per_turn: float, sd: float, rods: int) -> RodAnswer:
    """Return what is believed of one rod before any was turned.

    Args:
        cents_per_turn: how far a turn of all rods moves the head, above 0.
        sd: standard deviation of that, 0 or more.
        rods: how many rods the head has, 5 to 24.

    Raises:
        BadValue: a value out of range.

    Example:
        >>> answer = first_answer(cents_per_turn=300.0, sd=110.0, rods=10)
        >>> round(answer.cents_per_turn), round(answer.sd)
        (195, 96)
    """
    if not (math.isfinite(cents_per_turn) and cents_per_turn > 0 and math.isfinite(sd) and sd >= 0):
        raise BadValue(
            f"{cents_per_turn:g} ± {sd:g} cents a turn is no answer of a head.", hint="Give cents above 0."
        )
    check_count(rods, what="head")
    least = 3 / rods
    share, share_sd = (1 + least) / 2, (1 - least) / math.sqrt(12)
    mean = share * cents_per_turn
    square = (share**2 + share_sd**2) * (cents_per_turn**2 + sd**2)
    return RodAnswer(mean, math.sqrt(square - mean**2))


def second_round(
    before: RodRound,
    after: RodRound,
    *,
    turned: Mapping[int, float],
    answer: RodAnswer,
    cents_per_turn: float,
) -> SecondRound:
    """Return what is learned from a round before and a round after single rods were turned.

    Args:
        before: the round before.
        after: the round after, of the same head.
        turned: rod → turns made between them; rods that were not turned may be left out.
        answer: what was believed of one rod.
        cents_per_turn: how far a turn of all rods moves the head.

    Raises:
        BadValue: the rounds are not of as many rods, or a rod was turned that is not there.
    """
    rods = len(before.rods)
    if len(after.rods) != rods:
        raise BadValue(
            f"A round of {len(after.rods)} rods cannot follow one of {rods}.", hint="Tap the same head again."
        )
    check_numbers(turned, rods=rods)
    made = {rod: turn for rod, turn in turned.items() if turn}
    moved = {rod: change for rod in range(1, rods + 1) if (change := _change(before, after, rod)) is not None}
    whole, whole_sd = _whole_head([change for rod, (change, _) in moved.items() if rod not in made])
    moved = {rod: (cents - whole, math.hypot(sd, whole_sd)) for rod, (cents, sd) in moved.items()}
    heard = {}
    for rod in sorted(made.keys() & moved.keys()):
        # What the rods beside it did to it is known roughly at best.
        beside = _others_do(rod, made, rods=rods, cents_per_turn=cents_per_turn) / 2
        heard[rod] = (made[rod], moved[rod][0], math.hypot(moved[rod][1], beside))
    unanswered = []
    for rod, (turn, cents, sd) in heard.items():
        others = [one for other, one in heard.items() if other != rod]
        if _does_not_follow(turn, cents, sd, answer=_learned(answer, _following(others))):
            unanswered.append(rod)
    slipped = [
        rod
        for rod, (cents, sd) in moved.items()
        if rod not in made
        and cents < -_SURE * sd - _others_do(rod, made, rods=rods, cents_per_turn=cents_per_turn)
    ]
    said: list[str] = []
    if len(heard) > 1 and len(unanswered) == len(heard):
        # All of them at once is a slip of the pen, not of every rod.
        said.append(
            "No rod that was turned followed: were these the turns, the same head and the same order?"
        )
        unanswered, heard = [], {}
    else:
        said += [_unanswered(rod, made[rod], moved[rod][0]) for rod in unanswered]
    if abs(whole) > max(_SURE * whole_sd, _WHOLE_CENTS):
        word = "rose" if whole > 0 else "fell"
        said.append(
            f"The whole head {word} by {abs(whole):.0f} cents meanwhile: bring it back with all rods first."
        )
    if slipped:
        said.append(
            f"{rods_text(slipped)} fell without having been turned: a rod that slips. Look at its thread and "
            "washer; it is not advised further."
        )
    kept = [one for rod, one in heard.items() if rod not in unanswered]
    return SecondRound(_learned(answer, kept), tuple(unanswered), tuple(slipped), tuple(said))


def _whole_head(changes: list[float]) -> tuple[float, float]:
    """Return how far the rods that were not turned moved together, and its standard deviation, in cents.

    Weather and creep move them all; the median is not led by one that slips.
    """
    if len(changes) < _ENOUGH_STILL:
        return 0.0, 0.0
    middle = median(changes)
    spread = 1.4826 * median(abs(change - middle) for change in changes)
    return middle, 1.2533 * spread / math.sqrt(len(changes))


def _change(before: RodRound, after: RodRound, rod: int) -> tuple[float, float] | None:
    """Return by how much the pitch near a rod changed and its standard deviation, in cents."""
    one, two = before.rod(rod), after.rod(rod)
    if one.hz is None or two.hz is None or one.sd_cents is None or two.sd_cents is None:
        return None
    return 1200 * math.log2(two.hz / one.hz), math.hypot(one.sd_cents, two.sd_cents)


def _learned(answer: RodAnswer, heard: list[tuple[float, float, float]]) -> RodAnswer:
    """Return *answer* after turns whose effect was heard: (turn, cents, standard deviation) each."""
    weight, total = answer.sd**-2, answer.sd**-2 * answer.cents_per_turn
    for turn, cents, sd in heard:
        own = (turn / math.hypot(sd, answer.cents_per_turn * KEY_TURNS)) ** 2
        weight += own
        total += own * cents / turn
    # What was learned never turns the sense of the key.
    return RodAnswer(max(total / weight, answer.cents_per_turn / 10), weight**-0.5)


def _following(heard: list[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Return those that went the way they were turned: what did not tells nothing of the others."""
    return [(turn, cents, sd) for turn, cents, sd in heard if turn * cents > 0]


def _does_not_follow(turn: float, cents: float, sd: float, *, answer: RodAnswer) -> bool:
    """Return whether the change is better explained by a rod that stays than by one that follows the key."""
    way = math.copysign(1.0, turn)
    if cents * way < -_SURE * sd:
        return True
    expected = answer.cents_per_turn * turn
    still = math.hypot(sd, 1e-6)
    follows = math.hypot(still, math.hypot(answer.sd * turn, answer.cents_per_turn * KEY_TURNS))
    odds = math.log(follows / still) + (((cents - expected) / follows) ** 2 - (cents / still) ** 2) / 2
    return cents * way < abs(expected) / 2 and odds > math.log(_ODDS)


def _others_do(rod: int, made: Mapping[int, float], *, rods: int, cents_per_turn: float) -> float:
    """Return how far the turns of other rods may move the pitch near *rod* at the most, in cents."""
    most = 0.0
    for other, turn in made.items():
        if other == rod:
            continue
        angle = 2 * math.pi * (rod - other) / rods
        share = max(abs(1 + 2 * math.cos(angle)), 1 + math.cos(2 * angle)) / rods
        most += cents_per_turn * abs(turn) * share
    return most


def _unanswered(rod: int, turn: float, cents: float) -> str:
    way, against = ("tightened", cents < 0) if turn > 0 else ("loosened", cents > 0)
    did = "went the other way" if against and abs(cents) >= 1 else "did not follow"
    return (
        f"Rod {rod} was {way} and {did}: it binds or slips. Look at its thread and washer; "
        "it is not advised further."
    )
