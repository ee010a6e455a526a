"""What to try next, and why, in a sentence."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lugbook.trials.belief import Told, promise
from lugbook.trials.grid import Pair, Place, moved

Turned = Literal["top", "bottom", "both"]
"""What is turned: one head, or both where one rod pulls both."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to try next."""

    position: Pair
    """Where to turn both heads, in turns."""
    side: Turned
    """The head that differs from the kept state."""
    turn: float
    """How far it lies from the kept state, in turns; plus is up."""
    why: str
    """Why this one, in a sentence."""
    nearest: Pair | None
    """The heard state nearest to it, besides the kept one; None where there is none."""


def turned_by(way: Place) -> Turned:
    """Return what a *way* from one place to a neighbour of it turns."""
    if way[0] and way[1]:
        return "both"
    return "top" if way[0] else "bottom"


def reason(way: Place, *, told: Sequence[Told], left: int, heard: bool, near: bool) -> str:
    """Say why a neighbour of the kept state is proposed.

    Args:
        way: from the kept state to it, in steps.
        told: what was said so far, in order.
        left: how many sides are untried, this one among them.
        heard: whether it was heard before, against another state than the kept one.
        near: whether it lies nearest to where the drum stands, and some other side further away.
    """
    what = {"both": "rods", "top": "top", "bottom": "bottom"}[turned_by(way)]
    words = f"{what} {'up' if sum(way) > 0 else 'down'}"
    gone = [(moved(against, place), verdict == "better") for place, against, verdict in told]
    helped = sum(better for one, better in gone if one == way)
    hurt = sum(not better for one, better in gone if one == (-way[0], -way[1]))
    if heard:
        return f"{words.capitalize()} was heard, but never held against the kept state."
    if left == 1:
        return f"It is the last untried side of the kept state: {words}."
    if helped:
        return f"{words.capitalize()} helped {_times(helped)}."
    if hurt and promise(way, gone) > 0:
        return f"The other way was not better, so {words} may be."
    if near:
        return f"{words.capitalize()} is nearest to where the drum stands."
    if told:
        return f"By the verdicts so far, {words} now costs the fewest turns in the end."
    return f"{words.capitalize()} was not tried yet."


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")
