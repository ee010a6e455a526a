"""A round of the rods in words: rows in tightening order, each with a signed number, a word and a bar."""

from typing import TYPE_CHECKING

from lugbook.cli.texts import Row, hertz
from lugbook.desk.wording import NOTHING
from lugbook.pitch import in_cents, signed
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk.evening import Evening
    from lugbook.heads import Rod

_BAR_HALF = 10
"""Columns of the bar on each side of its middle."""

_BAR_CENTS = 4.0
"""Cents that one column stands for."""


def told(found: "Evening", out: "Output") -> None:
    """Say how even the rods are and what to turn."""
    heard = found.round
    if heard.median_hz is None or heard.spread_cents is None:
        return
    out.data("", f"Rods, in tightening order: within {in_cents(heard.spread_cents)}")
    out.table([("rod", "frequency", "off", "", "", "turn"), *(_row(rod) for rod in found.in_order)])
    if found.steps:
        out.data("", *(f"{number}. {step}" for number, step in enumerate(found.steps, 1)))
    # Something is always to be said: that the head is even, or how sure the amounts are.
    out.data("", *found.remarks)


def _row(rod: "Rod") -> Row:
    number = f"{rod.rod} bed" if rod.beside_bed else f"{rod.rod}"
    if rod.off_cents is None:
        return number, NOTHING, NOTHING, rod.word, _bar(0.0), ""
    return number, hertz(rod.hz), signed(rod.off_cents), rod.word, _bar(rod.off_cents), _turn(rod)


def _turn(rod: "Rod") -> str:
    if not rod.turn:
        return ""
    way = "tighten" if rod.turn > 0 else "loosen"
    both = f" (with {rod.pair})" if rod.pair is not None else ""
    return f"{way} {show_turns(abs(rod.turn))}{both}"


def _bar(off_cents: float) -> str:
    """Return a bar from a middle mark, flat to the left, sharp to the right; an arrow where it goes on."""
    columns = round(abs(off_cents) / _BAR_CENTS)
    beyond = columns > _BAR_HALF
    filled = "■" * (min(columns, _BAR_HALF) - beyond)
    if off_cents < 0:
        return f"{'◀' * beyond + filled:>{_BAR_HALF}}│{'':{_BAR_HALF}}"
    return f"{'':{_BAR_HALF}}│{filled + '▶' * beyond:<{_BAR_HALF}}"
