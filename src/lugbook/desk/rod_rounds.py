"""What a round of the rods is asked for with: how many rods, tapped in which order, of which head.

A round can be listened to without any library; the drum that is named adds which rods lie beside its snare
beds and how it answers to turns.
"""

from dataclasses import dataclass

from lugbook.desk.desk import Desk
from lugbook.desk.responses import learned_of
from lugbook.errors import BadValue, NotPossible
from lugbook.heads.rod_numbers import check_count, check_numbers
from lugbook.plain import shown
from lugbook.records import HeadSide
from lugbook.turns.orders import star_order
from lugbook.turns.prior import CENTS_PER_TURN, CENTS_PER_TURN_SD

CLOCKWISE, STAR, STRAINER = "clockwise", "star", "strainer"
"""Words for the order of the taps, and for rod 1, the first past the strainer."""

_LONGEST_ECHO = 60


@dataclass(frozen=True, slots=True)
class RodsAsked:
    """A round of the rods as it was asked for."""

    rods: int
    """How many rods the head has."""
    order: tuple[int, ...]
    """The rods in the order they were tapped."""
    side: HeadSide | None = None
    """Which head; None where it was not said, and no bed is expected."""
    drum: str | None = None
    """The drum's slug, where it is on the shelf."""
    beds: tuple[int, ...] | None = None
    """Rods beside the snare beds; None for what the drum's record says."""
    before: str | None = None
    """The recording of a round before, where rods were turned since."""
    turned: dict[int, float] | None = None
    """Rod → turns made since then; None where the advice of that round was followed."""


@dataclass(frozen=True, slots=True)
class HeadAnswer:
    """How far a turn of all rods moves the head whose rods are tapped."""

    cents_per_turn: float
    """In cents, above 0."""
    sd: float
    """Its standard deviation."""
    basis: str
    """What it rests on, in words."""


def order_of(rods: int, *, start: str | None, order: str | None) -> tuple[int, ...]:
    """Return the rods in the order they were tapped.

    Args:
        rods: how many there are.
        start: ``strainer`` (rod 1) or the number of the rod tapped first; rod 1 where None.
        order: ``clockwise``, ``star`` or the rods one by one, such as ``1,6,3,8``; clockwise where None.

    Raises:
        BadValue: it is no such order.

    Example:
        >>> order_of(6, start="3", order=None), order_of(6, start="strainer", order="star")
        ((3, 4, 5, 6, 1, 2), (1, 4, 2, 5, 3, 6))
    """
    check_count(rods, what="round")
    words = (order or CLOCKWISE).strip().lower()
    first = _first(rods, start)
    if words in (CLOCKWISE, STAR):
        round_of = star_order(rods) if words == STAR else tuple(range(1, rods + 1))
        return tuple((rod + first - 2) % rods + 1 for rod in round_of)
    listed = rods_listed(words, what=f"An order is {CLOCKWISE}, {STAR} or")
    if sorted(listed) != list(range(1, rods + 1)):
        raise BadValue(
            f"The order {_cut(words)} does not name each of the {rods} rods once.",
            hint=f"Name 1 to {rods}, each once, in the order they were tapped.",
        )
    if start is not None and listed[0] != first:
        raise BadValue(
            f"The order begins with rod {listed[0]} and the start is rod {first}.",
            hint="Leave the start out: the order says it.",
        )
    return listed


def rods_listed(text: str, *, what: str) -> tuple[int, ...]:
    """Return the rods that *text* lists, such as ``1,5,6,10``; *what* begins the hint.

    Raises:
        BadValue: it is no list of numbers.
    """
    words = text.replace(",", " ").split()
    # Only plain digits: what Python reads as a number beyond them, no player means.
    if not words or not all(word.isascii() and word.isdigit() and len(word) < 4 for word in words):
        raise BadValue(f"{_cut(text)} lists no rods.", hint=f"{what} rods one by one, such as 1,6,3.")
    return tuple(int(word) for word in words)


def usual_beds(rods: int) -> tuple[int, ...]:
    """Return the rods beside the snare beds where the drum's record names none.

    The beds lie at the strainer and at the butt opposite. Rod 1 is the first past the strainer, so that it
    and the last rod lie on either side of it, and the two half way round on either side of the butt; with an
    odd count one rod stands there (common practice, no source).

    Example:
        >>> usual_beds(10), usual_beds(7)
        ((1, 5, 6, 10), (1, 4, 7))
    """
    half = rods // 2
    return tuple(sorted({1, half + 1, rods} | (set() if rods % 2 else {half})))


def beds_of(desk: Desk, asked: RodsAsked) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Return the rods beside the snare beds of the head that is tapped, and what is to be said of the drum.

    Raises:
        BadValue: the drum's head has another number of rods, or a bed lies beside a rod that is not there.
        NotPossible: the drum has no rods to turn.
    """
    remarks: list[str] = []
    beds = asked.beds
    if asked.drum is not None:
        side: HeadSide = asked.side or "top"
        drum = desk.library.drum(asked.drum).record
        built = drum.side(side)
        if not drum.turns_offered:
            raise NotPossible(
                f"{shown(drum.name)} is tensioned with rope: it has no rods.", hint="Leave out --rods."
            )
        if built.rods != asked.rods:
            raise BadValue(
                f"The {side} head of {asked.drum} has {built.rods} rods, not {asked.rods}.",
                hint="Say as many as there are, or correct the drum's record.",
            )
        if beds is None and built.snare_bed_rods:
            beds = built.snare_bed_rods
        if drum.tension == "single":
            remarks.append("One rod pulls both heads: what is turned here moves the other head too.")
    if beds is None and asked.side == "bottom":
        beds = usual_beds(asked.rods)
        listed = ", ".join(str(rod) for rod in beds)
        remarks.append(
            f"Rods {listed} are taken to lie beside the snare beds, as is usual: none are recorded."
        )
    beds = tuple(sorted(set(beds or ())))
    check_numbers(beds, rods=asked.rods)
    return beds, tuple(remarks)


def answer_of(desk: Desk, asked: RodsAsked, *, hz: float) -> HeadAnswer:
    """Return how far a turn of all rods moves the head that is tapped and reads *hz* now."""
    if asked.drum is None:
        return HeadAnswer(CENTS_PER_TURN, CENTS_PER_TURN_SD, "common practice, a wide one")
    side: HeadSide = asked.side or "top"
    learned = learned_of(desk, asked.drum)
    mean, sd = learned.response.cents_per_turn(side, hz=hz, position=learned.here, day=learned.day)
    taught = len(learned.entries[side])
    return HeadAnswer(mean, sd, f"{taught} logbook entries" if taught > 1 else "the drum's size, a wide one")


def _first(rods: int, start: str | None) -> int:
    """Return the rod that was tapped first."""
    if start is None or start.strip().lower() == STRAINER:
        return 1
    listed = rods_listed(start, what=f"A start is {STRAINER} or one of the")
    if len(listed) != 1 or not 1 <= listed[0] <= rods:
        raise BadValue(
            f"{_cut(start)} is no rod to start at.", hint=f"Say {STRAINER}, or a rod from 1 to {rods}."
        )
    return listed[0]


def _cut(text: str) -> str:
    short = text if len(text) <= _LONGEST_ECHO else f"{text[:_LONGEST_ECHO]}…"
    return f"'{shown(short)}'"
