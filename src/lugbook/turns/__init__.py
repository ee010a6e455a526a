"""Turns and pitch: amounts of turns, orders of rods, and how a drum answers to turns.

`amounts` and `orders` need nothing but Python. `Response` and its answers need numpy, which takes a tenth of
a second to load; they are therefore loaded when first asked for, so that a list of presets does without.
"""

from typing import TYPE_CHECKING

from lugbook.turns.amounts import GRAIN, GRID, check_turns, coarsen, parse_turns, round_step, show_turns
from lugbook.turns.orders import star_order

if TYPE_CHECKING:
    from lugbook.turns.advice import Advice, Difference, Forecast
    from lugbook.turns.response import Response

__all__ = [
    "GRAIN",
    "GRID",
    "Advice",
    "Difference",
    "Forecast",
    "Response",
    "check_turns",
    "coarsen",
    "parse_turns",
    "round_step",
    "show_turns",
    "star_order",
]


def __getattr__(name: str) -> object:
    """Load the names that need numpy on first use (PEP 562)."""
    if name in ("Advice", "Difference", "Forecast", "Response"):
        from lugbook.turns import advice, response

        return getattr(response if name == "Response" else advice, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
