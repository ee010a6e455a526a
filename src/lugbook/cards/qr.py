"""A QR code as a grid of squares, for which the package segno is imported on use: it is an extra."""

from dataclasses import dataclass

from lugbook.errors import BadValue

QUIET = 4
"""Empty squares around a code (ISO/IEC 18004, from memory)."""


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code."""

    side: int
    """How many squares it is wide and high, with the empty ones around."""
    path: str
    """The dark squares as the path of an SVG picture."""


def code_of(text: str) -> Code:
    """Return the QR code that holds *text*.

    Raises:
        BadValue: the package that makes them is not installed.
    """
    try:
        # Imported on use: it is an extra, and only a card that asks for a code needs it.
        import segno
    except ImportError as error:
        raise BadValue(
            "There is no QR code: the package segno is not installed.",
            hint="Install it with `pip install 'lugbook[qr]'`, or leave --qr away.",
        ) from error
    rows = [bytes(row) for row in segno.make_qr(text, error="l", boost_error=True).matrix]
    dark = [
        f"M{column + QUIET} {line + QUIET}h1v1h-1z"
        for line, row in enumerate(rows)
        for column, square in enumerate(row)
        if square
    ]
    return Code(len(rows) + 2 * QUIET, "".join(dark))
