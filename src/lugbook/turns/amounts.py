"""Amounts of turns: reading them, showing them, and rounding them to what a hand can do.

A turn is one full revolution of the key on **all** rods of a head; plus tightens. Amounts that are kept are
exact multiples of 1/64, which a binary float holds exactly. They are shown as quarters, eighths and
sixteenths; what is finer is said in words, because no hand meets it by number: *a hair* is 1/32, *half a
hair* 1/64. What `show_turns` writes, `parse_turns` reads back to the same amount.
"""

import math
import re
from typing import Literal

from lugbook.errors import BadValue

GRAIN = 64
"""Kept amounts are multiples of 1/64 turn."""

MOST_TURNS = 64.0
"""No rod is longer than this many turns in either direction: 64 turns of a 12-24 thread are 68 mm."""

GRID: tuple[float, float, float] = (1 / 8, 1 / 16, 1 / 32)
"""The steps that an advised turn is rounded to, coarsest first, in turns."""

_MINUS = "−"
"""The minus sign U+2212, which is as wide as a plus sign."""

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_HAIRS = ("", "half a hair", "a hair", "a hair and a half")
"""Sixty-fourths beyond a sixteenth, in words."""

_EIGHTHS_OF_SIGN = {sign: eighths for eighths, sign in enumerate(_EIGHTHS) if sign}
_HAIRS_OF_WORDS = {words: hairs for hairs, words in enumerate(_HAIRS) if words}

_NUMBER = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12}")
_FRACTION = re.compile(r"(?:(?P<whole>[0-9]{1,4})\s+)?(?P<over>[0-9]{1,4})\s*[/⁄]\s*(?P<under>[0-9]{1,4})")
_VULGAR = re.compile(r"(?P<whole>[0-9]{1,4})?\s*(?P<vulgar>[⅛¼⅜½⅝¾⅞])")


def check_turns(turns: float) -> float:
    """Return *turns* unchanged if it may be kept.

    Args:
        turns: turns of the key, plus tightens.

    Raises:
        BadValue: it is not finite, beyond ±64, or no multiple of 1/64.
    """
    if not math.isfinite(turns):
        raise BadValue(
            f"{turns} is no number of turns.", hint=f"Give a number from {-MOST_TURNS:g} to {MOST_TURNS:g}."
        )
    if abs(turns) > MOST_TURNS:
        raise BadValue(
            f"{turns:g} turns is beyond {MOST_TURNS:g}, more than a rod has.",
            hint="Turns are full turns of the key, such as 1/4 or 1.25.",
        )
    if not float(turns * GRAIN).is_integer():
        nearest = coarsen(turns, step=1 / GRAIN)
        raise BadValue(
            f"{turns:g} turns is no multiple of 1/{GRAIN}.",
            hint=f"The nearest is {nearest * GRAIN:g}/{GRAIN}, {nearest:g}.",
        )
    return turns


def parse_turns(text: str) -> float:
    """Return the turns that *text* names.

    Read are fractions (``1/4``, ``1 3/4``, ``¼``, ``1¾``), decimals (``1.25``, ``1,25``) and the words of
    `show_turns` (``a hair``, ``⅛ and a hair``), each with an optional sign (``+``, ``-``, ``−``).

    Raises:
        BadValue: it is no such text, or the amount may not be kept (see `check_turns`).

    Example:
        >>> parse_turns("1 3/4"), parse_turns("−⅛"), parse_turns("+0.25")
        (1.75, -0.125, 0.25)
    """
    plain = text.strip().lower().replace(_MINUS, "-")
    sign = -1.0 if plain.startswith("-") else 1.0
    amount = _unsigned(plain[1:].lstrip() if plain.startswith(("-", "+")) else plain)
    if amount is None:
        raise BadValue(
            f"{text[:40]!r} is no amount of turns.", hint="Type 1/4, 1.25, 1 3/4 or ¼, with + or − before it."
        )
    return check_turns(sign * amount if amount else 0.0)


def show_turns(turns: float, *, sign: Literal["always", "needed"] = "needed") -> str:
    """Return *turns* as a player reads them: ``1¾``, ``−⅛``, ``3/16``, ``a hair``.

    Args:
        turns: turns of the key; shown to the nearest 1/64.
        sign: ``always`` writes a plus before what tightens; nought never has a sign.

    Example:
        >>> show_turns(1.75), show_turns(-0.125), show_turns(0.25, sign="always"), show_turns(1.0625)
        ('1¾', '−⅛', '+¼', '1 1/16')
        >>> show_turns(0.03125), show_turns(-0.15625)
        ('a hair', '−⅛ and a hair')
    """
    grains = round(abs(turns) * GRAIN)
    if grains == 0:
        return "0"
    sixteenths, hairs = divmod(grains, GRAIN // 16)
    whole, part = divmod(sixteenths, 16)
    number = str(whole) if whole else ""
    if part % 2:
        number += f"{' ' if whole else ''}{part}/16"
    else:
        number += _EIGHTHS[part // 2]
    before = _MINUS if turns < 0 else "+" if sign == "always" else ""
    return before + " and ".join(words for words in (number, _HAIRS[hairs]) if words)


def _unsigned(text: str) -> float | None:
    """Return the amount that *text* without its sign names, or None where it names none."""
    if text in _HAIRS_OF_WORDS:
        return _HAIRS_OF_WORDS[text] / GRAIN
    text, joined, hairs = text.partition(" and ")
    if joined:
        if hairs not in _HAIRS_OF_WORDS or (amount := _unsigned(text)) is None:
            return None
        return amount + _HAIRS_OF_WORDS[hairs] / GRAIN
    if _NUMBER.fullmatch(text):
        return float(text.replace(",", "."))
    if found := _VULGAR.fullmatch(text):
        return int(found["whole"] or 0) + _EIGHTHS_OF_SIGN[found["vulgar"]] / 8
    if (found := _FRACTION.fullmatch(text)) and int(found["under"]):
        return int(found["whole"] or 0) + int(found["over"]) / int(found["under"])
    return None


def coarsen(turns: float, *, step: float) -> float:
    """Return the multiple of *step* nearest to *turns*; exactly half goes to the smaller turn.

    Args:
        turns: turns of the key, any finite number.
        step: grid in turns, above 0; a power of two keeps the result exact.

    Example:
        >>> coarsen(0.2, step=1 / 8), coarsen(-0.1875, step=1 / 8)
        (0.25, -0.125)
    """
    steps = math.ceil(abs(turns) / step - 0.5)
    return math.copysign(steps * step, turns) if steps else 0.0


def round_step(*, cents_per_turn: float, tolerance_cents: float) -> float:
    """Return the step to round an advised turn to: the coarsest whose rounding does no harm.

    Rounding errs by at most half a step, step/2 · cents_per_turn. The coarsest of 1/8, 1/16 and 1/32 for
    which this stays inside half the tolerance is taken, and 1/32 where none does.

    Args:
        cents_per_turn: how far a full turn moves the head, in cents, either sign.
        tolerance_cents: how far off still counts as within, in cents, above 0.

    Example:
        >>> round_step(cents_per_turn=140, tolerance_cents=10)
        0.0625
    """
    for step in GRID:
        if abs(cents_per_turn) * step / 2 <= tolerance_cents / 2:
            return step
    return GRID[-1]
