"""One round of advice in sentences: what to do, in order, and what to be careful of."""

from lugbook.desk.turning import MOST_AT_ONCE, Turns
from lugbook.records import SIDES, Drum, Entry, HeadSide
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order

BACKLASH_TURNS = 1 / 8
"""When loosening, go this far below and come back up: threads stick (common practice, no source)."""


def first_side(turns: Turns) -> HeadSide | None:
    """Return the head to turn first: the bottom, so that the drum is turned over once."""
    for side in ("bottom", "top"):
        turn = turns.head(side)
        if turn is not None and turn.amount:
            return side
    return None


def sentences(drum: Drum, turns: Turns) -> tuple[str, ...]:
    """Return what to do, one sentence a step; empty where there is nothing to turn."""
    first = first_side(turns)
    if first is None:
        return ()
    steps: list[str] = []
    if first == "bottom" and turns.bottom is not None:
        steps.append("Throw the strainer off, and turn the drum over.")
        steps += round_steps(drum, "bottom", turns.bottom.amount)
        steps.append("Turn the drum back, and hold the wires off while you tap.")
    if turns.top is not None and turns.top.amount and drum.tension != "single":
        steps += round_steps(drum, "top", turns.top.amount)
    steps.append("Damp the other head, tap both heads again and compare.")
    if first == "bottom":
        steps.append(
            "Then set the snares afresh: after a bottom turn the old setting is only where to begin."
        )
    return tuple(steps)


def passes(amount: float) -> tuple[float, ...]:
    """Return the turns of each pass over the rods: one when tightening, below and back up when loosening."""
    return (amount,) if amount > 0 else (amount - BACKLASH_TURNS, BACKLASH_TURNS)


def round_steps(drum: Drum, side: HeadSide, amount: float) -> tuple[str, ...]:
    """Return how to turn all rods of one head by *amount*, one sentence a pass."""
    order = " ".join(str(rod) for rod in star_order(drum.side(side).rods))
    head = "Both heads" if drum.tension == "single" else f"{side.capitalize()} head"
    first, *back = passes(amount)
    way = "tighten" if first > 0 else "loosen"
    steps = [f"{head}: {way} every rod by {show_turns(abs(first))}, in the order {order}."]
    for turn in back:
        rest = show_turns(abs(amount))
        steps.append(
            f"{head}: come back up by {show_turns(turn)}, in the same order; it then rests {rest} lower."
        )
    return tuple(steps)


def cautions(
    drum: Drum, turns: Turns, entries: tuple[Entry, ...], *, here: tuple[float, float]
) -> tuple[str, ...]:
    """Return what to be careful of before turning: limits, and going further than this head has been."""
    found: list[str] = []
    for index, side in enumerate(SIDES):
        turn = turns.head(side)
        if turn is None or not turn.amount:
            continue
        after = here[index] + turn.amount
        limits = drum.side(side)
        if limits.turns_max is not None and after > limits.turns_max:
            found.append(
                f"Caution: this takes the {side} head to {show_turns(after)} turns, past its limit of "
                f"{show_turns(limits.turns_max)}. Do not go past the maker's limits."
            )
        elif limits.turns_min is not None and after < limits.turns_min:
            found.append(
                f"Caution: this takes the {side} head to {show_turns(after)} turns, below its limit of "
                f"{show_turns(limits.turns_min)}."
            )
        elif turn.amount > 0 and after > _highest_seen(drum, entries, side):
            found.append(
                f"Caution: this takes the {side} head higher than it has been in this count. Go slowly, stop "
                "if a rod binds, and keep to the maker's limits."
            )
        hz = turns.expect_hz[index]
        if limits.hz_max is not None and hz is not None and hz > limits.hz_max:
            found.append(f"Caution: {hz:.0f} Hz is above this side's limit of {limits.hz_max:.0f} Hz.")
        if abs(turn.amount) >= MOST_AT_ONCE:
            found.append(
                f"The {side} head is far off: turn {turn.shown} and no more, then tap again before going on."
            )
    return tuple(found)


def _highest_seen(drum: Drum, entries: tuple[Entry, ...], side: HeadSide) -> float:
    count = drum.count_of(side)
    seen = [
        amount
        for entry in entries
        if count is not None
        and entry.count.of(side) == count.id
        and (amount := entry.position.of(side)) is not None
    ]
    return max(seen, default=0.0)
