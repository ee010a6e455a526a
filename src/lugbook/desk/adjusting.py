"""What can be set on a drum's strainer, by the player's own names, units and zeros, and numbers typed for it.

Values grow as the wires are tightened: a player whose zero is all the way in counts below it.
"""

import difflib
import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from lugbook.desk.wording import folded
from lugbook.errors import BadValue
from lugbook.plain import shown
from lugbook.records import Adjustment, Drum, Strainer

NONE = "none"
"""Typed in place of what an adjustment is, it takes the adjustment away."""

FORM = "knob=clicks from all the way out"
"""How an adjustment is typed."""

NUMBER = r"[+\-−]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+\-]?[0-9]+)?"
"""A number as it is typed or shown: with a point or a comma."""

FRACTION = r"[+\-−]?(?:[0-9]+\s+)?[0-9]+\s*[/⁄]\s*[0-9]+|[+\-−]?[0-9]*\s*[⅛¼⅜½⅝¾⅞]"
"""A fraction as it is typed."""

_OVER_UNDER = re.compile(r"(?:(?P<whole>[0-9]+)\s+)?(?P<over>[0-9]+)\s*[/⁄]\s*(?P<under>[0-9]+)")
_EIGHTHS = {sign: eighths / 8 for eighths, sign in enumerate("⅛¼⅜½⅝¾⅞", 1)}
_IS = re.compile(
    r"(?P<unit>.*?)(?:(?:^|\s+)from\s+(?P<zero>.*?))?"
    rf"(?:(?:^|[\s,;]+)step\s+(?P<step>{NUMBER}|{FRACTION}))?"
)
_BY_ONE = ("click", "step", "notch", "hole", "tooth", "position")
"""Units that are set one by one."""

_STEP = 1 / 4
"""The least that anything else is set by, where the player did not say (judgement)."""

MOST = 1e6
"""No adjustment is counted further than this, in either direction."""

_LONGEST_NAME = 120


def parse_number(text: str, *, what: str) -> float:
    """Return the number that *text* names: ``3.5``, ``3,5``, ``3 1/2`` or ``3½``.

    Args:
        text: as it was typed.
        what: it is the value of.

    Raises:
        BadValue: it is no finite number.

    Example:
        >>> parse_number("3 1/2", what="knob"), parse_number("−0,25", what="knob")
        (3.5, -0.25)
    """
    plain = text.strip().replace("−", "-")
    size = math.nan
    if re.fullmatch(NUMBER, plain):
        size = float(plain.replace(",", "."))
    elif re.fullmatch(FRACTION, plain):
        size = _fraction(plain.lstrip("+-")) * (-1 if plain.startswith("-") else 1)
    if not math.isfinite(size):
        raise BadValue(
            f"{shown(what)}: {shown(text[:40])!r} is no number.", hint="Write it such as 3, 3.5 or 3 1/2."
        )
    return size


def check_span(name: str, *, free: float | None, choke: float | None) -> None:
    """Refuse limits of an adjustment that are no numbers, or do not lie in order.

    Args:
        name: of the adjustment.
        free: where the wires just buzz freely; None where that is not known.
        choke: where they choke; None where that is not known.

    Raises:
        BadValue: one is not finite, or they choke before they are free.
    """
    for word, value in (("free at", free), ("chokes at", choke)):
        if value is not None and not abs(value) <= MOST:
            raise BadValue(
                f"{shown(name)} {word} {value:g}: nothing is counted so.",
                hint=f"Give a number from {-MOST:g} to {MOST:g}, such as 3.5.",
            )
    if free is not None and choke is not None and not free < choke:
        raise BadValue(
            f"{shown(name)} cannot choke at {choke:g} where it is free at {free:g}.",
            hint="Values grow as the wires are tightened; where zero is all the way in, count below it.",
        )


def step_of(adjustment: Adjustment) -> float:
    """Return the least that an adjustment is set by, in its own unit."""
    if adjustment.step is not None:
        return adjustment.step
    return 1.0 if folded(adjustment.unit).startswith(_BY_ONE) else _STEP


def adjustment_text(adjustment: Adjustment) -> str:
    """Return an adjustment in a phrase such as ``knob, in clicks from all the way out``."""
    parts = [f"in {adjustment.unit}"] if adjustment.unit else []
    parts += [f"from {adjustment.zero}"] if adjustment.zero else []
    return ", ".join(filter(None, (adjustment.name, " ".join(parts))))


def adjusted(strainer: Strainer, typed: Iterable[str]) -> tuple[dict[str, Any], ...]:
    """Return the adjustments of a *strainer*, as values, with those that were *typed*.

    Args:
        strainer: as it is; an adjustment that it has is changed.
        typed: each ``name=unit from zero``, with ``, step 2`` at its end where that is known, or
            ``name=none``, which takes it away.

    Raises:
        BadValue: one is no such text, or there is nothing of that name to take away.
    """
    kept = {folded(one.name): one.model_dump(exclude_unset=True) for one in strainer.adjustments}
    for text in typed:
        name, sign, said = (part.strip() for part in text.partition("="))
        if not (name and sign and said):
            raise BadValue(f"{shown(text[:60])!r} names no adjustment.", hint=f"Write {FORM}.")
        key = folded(name)
        if folded(said) != NONE:
            kept[key] = kept.get(key, {}) | _adjustment(name, said)
        elif kept.pop(key, None) is None:
            raise unknown_adjustment(name, [str(one["name"]) for one in kept.values()])
    return tuple(kept.values())


def adjustment_of(drum: Drum, name: str) -> Adjustment:
    """Return the adjustment of that name; any name is taken where the drum has none written down.

    Raises:
        BadValue: its strainer has others, or it is no name.
    """
    known = drum.strainer.adjustments
    for one in known:
        if folded(one.name) == folded(name):
            return one
    if known:
        raise unknown_adjustment(name, [one.name for one in known])
    return Adjustment(name=_plain_name(name))


def unknown_adjustment(name: str, known: Iterable[str]) -> BadValue:
    """Return the error that the strainer has nothing called *name*, with the nearest of what it has."""
    by_key = {folded(one): one for one in known}
    near = [by_key[key] for key in difflib.get_close_matches(folded(name), by_key, n=3, cutoff=0.5)]
    hint = f"Nearest: {', '.join(near)}." if near else f"It has {', '.join(by_key.values()) or 'none yet'}."
    return BadValue(f"The strainer has no adjustment {shown(name[:60])!r}.", hint=shown(hint))


def _adjustment(name: str, said: str) -> dict[str, Any]:
    found = _IS.fullmatch(said)
    if found is None:  # the pattern takes any single line
        raise BadValue(f"{shown(said[:60])!r} is no adjustment.", hint=f"Write {FORM}.")
    values: dict[str, Any] = {"name": _plain_name(name), "unit": found["unit"].strip()}
    values["zero"] = (found["zero"] or "").strip()
    if found["step"] is not None:
        values["step"] = parse_number(found["step"], what=f"The step of {name}")
    return values


def _plain_name(name: str) -> str:
    """Return *name*, which can be told from the rest of a setting."""
    plain = " ".join(name.split())
    if not plain or len(plain) > _LONGEST_NAME or any(sign in plain for sign in ";,=()"):
        raise BadValue(
            f"{shown(name[:60])!r} cannot name an adjustment.",
            hint="A short name without comma, semicolon, equals sign or bracket: knob, gut 3.",
        )
    return plain


def _fraction(text: str) -> float:
    """Return the size of a fraction; not a number where it is divided by nothing."""
    if (vulgar := _EIGHTHS.get(text[-1])) is not None:
        return float(text[:-1].strip() or 0) + vulgar
    found = _OVER_UNDER.fullmatch(text)
    if found is None or not int(found["under"]):
        return math.nan
    return int(found["whole"] or 0) + int(found["over"]) / int(found["under"])


def checked_names(drum: Drum, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return *values* by the names that the drum's strainer has for them.

    Raises:
        BadValue: one names no adjustment of the strainer.
    """
    return {adjustment_of(drum, name).name: value for name, value in values.items()}
