"""What to be careful of before a turn: the drum's limits, and going further than a head has been.

A limit is the maker's or the player's own. A turn that goes past one is shown with the caution beside it, and
is begun only when the player insists.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lugbook.desk.wording import turned_part, turns_text
from lugbook.records import SIDES, Drum, Entry, HeadSide
from lugbook.turns.amounts import show_turns


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to be careful of before the rods of a head are turned."""

    side: HeadSide
    """Whose limit it is, or which head goes further than it has been."""
    short: str
    """What it is in a few words, such as ``past its limit of 2½ turns``."""
    sentence: str
    past_limit: bool = False


def cautions(
    drum: Drum,
    moves: Mapping[HeadSide, float],
    entries: Iterable[Entry],
    *,
    here: tuple[float, float],
    expect_hz: tuple[float | None, float | None] = (None, None),
) -> tuple[Caution, ...]:
    """Return what to be careful of before both heads are moved, limits first.

    Args:
        drum: the drum.
        moves: turns of each head that is moved; in single tension those of both.
        entries: of its logbook.
        here: where (top, bottom) stand, in turns from their references.
        expect_hz: the pitch of each afterwards, in Hz, as far as it is known.
    """
    found: list[Caution] = []
    kept = tuple(entries)
    for index, side in enumerate(SIDES):
        amount, after = moves.get(side, 0.0), here[index] + moves.get(side, 0.0)
        if not amount:
            continue
        past = _past_turns(drum, side, amount, after=after) or _past_hz(drum, side, amount, expect_hz[index])
        if past is not None:
            found.append(past)
        elif amount > 0 and after > _highest_seen(drum, kept, side, here=here[index]):
            found.append(_higher(drum, side))
    limits = tuple(caution for caution in found if caution.past_limit)
    higher = [caution for caution in found if not caution.past_limit]
    if drum.tension == "single":
        # Both heads would say the same of the rods, and a limit says more.
        higher = [] if limits else higher[:1]
    return (*limits, *higher)


def _past_turns(drum: Drum, side: HeadSide, amount: float, *, after: float) -> Caution | None:
    limits = drum.side(side)
    limit = limits.turns_max if amount > 0 else limits.turns_min
    if limit is None or (after <= limit if amount > 0 else after >= limit):
        return None
    word = "past" if amount > 0 else "below"
    whose = f"the {side} head's" if drum.tension == "single" else "its"
    count = drum.count_of(side)
    reference = f" from its reference ({count.reference})" if count is not None else ""
    sentence = (
        f"Caution: this takes the {turned_part(drum.tension, side)} to {turns_text(after)}{reference}, "
        f"{word} {whose} limit of {show_turns(limit)}."
    )
    if amount > 0:
        sentence += " Do not go past the maker's limits."
    return Caution(side, f"{word} {whose} limit of {turns_text(limit)}", sentence, past_limit=True)


def _past_hz(drum: Drum, side: HeadSide, amount: float, hz: float | None) -> Caution | None:
    limit = drum.side(side).hz_max
    if limit is None or hz is None or hz <= limit or amount < 0:
        return None
    return Caution(
        side,
        f"above the {side} head's limit of {limit:.0f} Hz",
        f"Caution: {hz:.0f} Hz is above the {side} head's limit of {limit:.0f} Hz.",
        past_limit=True,
    )


def _higher(drum: Drum, side: HeadSide) -> Caution:
    been = "they have been" if drum.tension == "single" else "it has been"
    return Caution(
        side,
        f"higher than {been}: go slowly",
        f"Caution: this takes the {turned_part(drum.tension, side)} higher than {been} in this count. "
        "Go slowly, stop if a rod binds, and keep to the maker's limits.",
    )


def _highest_seen(drum: Drum, entries: tuple[Entry, ...], side: HeadSide, *, here: float) -> float:
    count = drum.count_of(side)
    seen = [
        amount
        for entry in entries
        if count is not None
        and entry.count.of(side) == count.id
        and (amount := entry.position.of(side)) is not None
    ]
    return max(seen, default=here)
