"""A chart of trials to print and pencil in, in plain text: for the hall where no screen may be lit.

It is 80 columns wide and about 60 lines long, a sheet of A4 or letter paper in a fixed face of 10 points
(from memory). It holds no data: only what is always true of the drum.
"""

from collections.abc import Sequence
from typing import NamedTuple

from lugbook.plain import aligned, shown

WIDTH, HEIGHT = 80, 60
"""Columns and lines of the page."""

_TURNS = (("turn", 8), ("top", 5), ("bot.", 5))
_COLUMNS = (
    *(("no.", 3), *_TURNS, ("top head", 8), ("bot.head", 8)),
    *(("snares", 8), ("words", 13), ("+0−", 6), ("verdict", 7)),
)
"""Headings and widths of the columns; with a stroke between them they fill the page."""

_MOST_LINES = 3
"""A long name or reference takes no more lines."""

CAUTION = (
    "Caution: a head may split and a rod strip. Keep to the maker's limits, stop when a rod binds, loosen "
    "below and come back up."
)
"""Stands on every page that leads to turning a rod (common practice, no source)."""

VERDICT = "Verdict against the kept state: better, same, worse; ring the number of the kept one."
TURNED = "Turn: head and amount on all rods, plus tightens; top, bot.: sums from the reference."
"""What two columns of a chart take, in words; the second only where the drum has rods."""

ROPE_CAUTION = (
    "Caution: a head may split. Pull the rope evenly, a little at a time, and keep to the maker's limits."
)
"""Stands there where a drum has no rods (common practice, no source)."""


class BlankHead(NamedTuple):
    """What is always true of one head, or of both where one rod pulls both."""

    name: str
    """Such as ``Top head``."""
    order: tuple[int, ...]
    """Its rods in the order to turn them; empty on a drum of rope."""
    reference: str
    """What its turns are counted from."""


def blank_chart(
    name: str, heads: Sequence[BlankHead], *, passages: Sequence[str] = (), caution: str = CAUTION
) -> list[str]:
    """Return the page in lines.

    Args:
        name: what the player calls the drum, with its size; any text.
        heads: top and bottom, or one where one rod pulls both.
        passages: the player's test passages, marked + 0 − for each state.
        caution: what to be careful of when a rod, or a rope, is turned.
    """
    lines = [*_wrapped(f"Chart of trials: {name}"), _fields(("Music", 28), ("Search", 18), ("Date", 12))]
    lines += ["", *_rods(heads)]
    lines += [line for head in heads for line in _reference(head)]
    step = (("Step ¼, or", 6),) if heads else ()
    lines += ["", _fields(*step, ("A4", 6), ("Sticks", 16), ("Muffling", 16)), ""]
    lines += _passages(passages)
    columns = _COLUMNS if heads else _without_turns()
    foot = [*(_wrapped(TURNED) if heads else ()), *_wrapped(VERDICT), *_wrapped(caution)]
    head_row = "|".join(f"{heading:<{width}}" for heading, width in columns).rstrip()
    rule = "+".join("-" * width for _, width in columns)
    empty = "|".join(" " * width for _, width in columns)
    room = HEIGHT - len(lines) - len(foot) - 3
    rows = max(4, room // 3)
    table = [head_row, rule]
    for number in range(1, rows + 1):
        numbered = f"{number:>2} {empty[3:]}"
        table += [numbered.rstrip(), empty.rstrip(), rule]
    return [*lines, *table, "", *foot]


def _without_turns() -> tuple[tuple[str, int], ...]:
    """Return the columns of a drum without rods: the room of the turns goes to the words."""
    more = sum(width + 1 for _, width in _TURNS)
    left = [one for one in _COLUMNS if one not in _TURNS]
    return tuple((name, width + more if name == "words" else width) for name, width in left)


def _rods(heads: Sequence[BlankHead]) -> list[str]:
    rows = [(f"{head.name}, rods in order:", " ".join(map(str, head.order))) for head in heads if head.order]
    return [part for line in aligned(rows) for part in _wrapped(line)]


def _reference(head: BlankHead) -> list[str]:
    return _wrapped(f"{head.name} counted from: {head.reference}") if head.reference else []


def _passages(passages: Sequence[str]) -> list[str]:
    if not passages:
        return [_fields(("Passages: a", 13), ("b", 13), ("c", 13), ("d", 13)), ""]
    named = ", ".join(f"{letter} {shown(name)}" for letter, name in zip("abcdef", passages, strict=False))
    return [*_wrapped(f"Passages, marked + 0 − in this order: {named}"), ""]


def _fields(*fields: tuple[str, int]) -> str:
    """Return names with a line to write on beside each."""
    return "  ".join(f"{name} {'_' * width}" for name, width in fields)


def _wrapped(text: str) -> list[str]:
    """Return *text* in a few lines of the page, broken between words; what is left over is cut."""
    lines = [""]
    for word in shown(text).split():
        longer = f"{lines[-1]} {word}".lstrip()
        if len(longer) <= WIDTH:
            lines[-1] = longer
        elif len(lines) < _MOST_LINES:
            lines.append(word[:WIDTH])
        else:
            lines[-1] = f"{lines[-1][: WIDTH - 2]} …"
            break
    return lines
