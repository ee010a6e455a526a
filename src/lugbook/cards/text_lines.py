"""The lines of a card in plain text: broken at its width, with a label before them."""

from lugbook.plain import columns_of, shown

WIDTH = 42
"""Columns of a text card."""

RULE = "-" * WIDTH
"""A line across it."""

_INDENT = 9
_MOST_IN_CODE = 60
"""Characters of one text in a QR code: the more it holds, the finer its squares."""


def short(text: str) -> str:
    """Return *text* as a QR code holds it: cut where it is long."""
    return text if len(text) <= _MOST_IN_CODE else f"{text[: _MOST_IN_CODE - 1]}…"


def labelled(label: str, text: str) -> list[str]:
    """Return *text* with its label before it and the next lines indented; a long label has its own line."""
    parts = wrapped(text, width=WIDTH - _INDENT)
    label = shown(label)
    if columns_of(label) >= _INDENT:
        return [*wrapped(label), *(f"{'':<{_INDENT}}{part}" for part in parts)]
    first = label + " " * (_INDENT - columns_of(label)) + parts[0]
    return [first, *(f"{'':<{_INDENT}}{part}" for part in parts[1:])]


def wrapped(text: str, *, width: int = WIDTH) -> list[str]:
    """Return *text* in lines of at most *width* columns, broken between words, or where a word is longer."""
    lines = [""]
    for word in shown(text.replace("\n", " ")).split():
        if columns_of(f"{lines[-1]} {word}".lstrip()) <= width:
            lines[-1] = f"{lines[-1]} {word}".lstrip()
            continue
        lines.append("")
        for sign in word:
            if columns_of(lines[-1] + sign) > width:
                lines.append("")
            lines[-1] += sign
    return [line for line in lines if line] or [""]
