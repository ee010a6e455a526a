"""Text that came from elsewhere, made safe to show.

A name or a note may come from a file that somebody mailed. It is shown literally, but a control character in
it (an escape sequence could repaint the terminal) is shown as its Unicode control picture, and characters
that turn the direction of writing around are shown as their code point.
"""

import unicodedata
from collections.abc import Iterable, Sequence

_CONTROL_PICTURES = 0x2400
"""Unicode block "Control Pictures": U+2400 + n is the picture of control character n (Unicode standard)."""

_DELETE, _PICTURE_OF_DELETE = 0x7F, "␡"


def shown(text: str) -> str:
    r"""Return *text* with every control character made visible, so that it may go to a terminal.

    Example:
        >>> shown("Dry étude")
        'Dry étude'
        >>> shown("a\x1b[2Jb")
        'a␛[2Jb'
    """
    if text.isprintable():
        return text
    return "".join(character if character.isprintable() else _picture(character) for character in text)


def first_control(text: str) -> int | None:
    """Return the index of the first character of *text* that may not be stored in a name, or None.

    Control characters, line breaks, direction marks and lone surrogates may not; spaces of any width may.
    """
    for index, character in enumerate(text):
        if not character.isprintable() and unicodedata.category(character) != "Zs":
            return index
    return None


def aligned(rows: Iterable[Sequence[str]]) -> list[str]:
    """Return one line for each of *rows*, every column as wide as its widest cell."""
    cells = [[shown(cell) for cell in row] for row in rows]
    widths = [max(map(columns_of, column)) for column in zip(*_squared(cells), strict=True)]
    return [
        "  ".join(
            cell + " " * (width - columns_of(cell)) for cell, width in zip(row, widths, strict=False)
        ).rstrip()
        for row in cells
    ]


def _squared(cells: list[list[str]]) -> list[list[str]]:
    most = max(map(len, cells), default=0)
    return [row + [""] * (most - len(row)) for row in cells]


def columns_of(text: str) -> int:
    """Return how many columns of a terminal *text* takes: wide letters two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(one) else 2 if unicodedata.east_asian_width(one) in "WF" else 1
        for one in text
    )


def _picture(character: str) -> str:
    code = ord(character)
    if code < 0x20:
        return chr(_CONTROL_PICTURES + code)
    if code == _DELETE:
        return _PICTURE_OF_DELETE
    if unicodedata.category(character) == "Zs":
        return " "
    return f"<U+{code:04X}>"
