"""One round of advice in sentences: what to do, in order."""

from lugbook.desk.turning import Turns
from lugbook.records import Drum, HeadSide
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order

BACKLASH_TURNS = 1 / 8
"""When loosening, go this far below and come back up: threads stick (common practice, no source)."""


def turning_order(drum: Drum) -> tuple[HeadSide, HeadSide]:
    """Return the heads in the order to turn them: the bottom first, so that the drum is turned over once.

    In single tension one rod pulls both, and the rods are those of the top.
    """
    return ("top", "bottom") if drum.tension == "single" else ("bottom", "top")


def first_side(drum: Drum, turns: Turns) -> HeadSide | None:
    """Return the head to turn first; None where there is nothing to turn."""
    for side in turning_order(drum):
        turn = turns.head(side)
        if turn is not None and turn.amount:
            return side
    return None


def sentences(drum: Drum, turns: Turns, *, snares: str) -> tuple[str, ...]:
    """Return what to do, one sentence a step; empty where there is nothing to turn.

    Args:
        drum: the drum to turn.
        turns: the turns to make.
        snares: the setting that is kept, as text; may be empty.
    """
    first = first_side(drum, turns)
    if first is None:
        return ()
    sides = (first,) if drum.tension == "single" else turning_order(drum)
    steps: list[str] = []
    for side in sides:
        turn = turns.head(side)
        if turn is not None and turn.amount:
            steps += head_steps(drum, side, turn.amount)
    steps.append("Damp the other head, tap both heads again and compare.")
    if moves_bottom(drum, first):
        steps.append(snares_afresh(snares))
    return tuple(steps)


def moves_bottom(drum: Drum, side: HeadSide) -> bool:
    """Tell whether turning the *side* moves the bottom head, on which the snares lie."""
    return side == "bottom" or drum.tension == "single"


def snares_afresh(snares: str) -> str:
    """Return what to do about the *snares*, whose setting may be kept, after the bottom head was turned."""
    kept = f" ({snares})" if snares else ""
    return f"Then set the snares afresh: after a bottom turn the old setting{kept} is only where to begin."


def passes(amount: float) -> tuple[float, ...]:
    """Return the turns of each pass over the rods: one when tightening, below and back up when loosening."""
    return (amount,) if amount > 0 else (amount - BACKLASH_TURNS, BACKLASH_TURNS)


def head_steps(drum: Drum, side: HeadSide, amount: float, *, tapped: bool = True) -> tuple[str, ...]:
    """Return how to turn all rods of one head by *amount*, with turning the drum over and back.

    Args:
        drum: the drum.
        side: the head.
        amount: turns for every rod; plus tightens.
        tapped: whether the head is tapped afterwards; not where nobody may hear it.
    """
    turns = _pass_steps(drum, side, amount)
    if side == "top" or drum.tension == "single":
        return turns
    return (
        "Throw the strainer off, and turn the drum over.",
        *turns,
        "Turn the drum back, and hold the wires off while you tap." if tapped else "Turn the drum back.",
    )


def _pass_steps(drum: Drum, side: HeadSide, amount: float) -> tuple[str, ...]:
    order = " ".join(str(rod) for rod in star_order(drum.side(side).rods))
    head = "Both heads (one rod pulls both)" if drum.tension == "single" else f"{side.capitalize()} head"
    first, *back = passes(amount)
    way = "tighten" if first > 0 else "loosen"
    steps = [f"{head}: {way} every rod by {show_turns(abs(first))}, in the order {order}."]
    for turn in back:
        rest = show_turns(abs(amount))
        steps.append(
            f"{head}: come back up by {show_turns(turn)}, in the same order; it then rests {rest} lower."
        )
    return tuple(steps)
