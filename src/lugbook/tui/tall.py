"""Tall signs: notes, numbers and fractions that are read from two metres, drawn with block characters.

Two heights. *Tall* signs are five rows high, *low* signs three, both built from half blocks, so that one
unit of drawing is one column wide and half a row high and every stroke of a sign is equally thick. Fractions
stand upright, a low number above a bar above a low number, seven rows high: any fraction can be composed,
and a whole number beside it is centred on the bar. What has no tall sign is not drawn; callers show the text
as well, so nothing is said by these signs alone.
"""

import re
from dataclasses import dataclass

TALL_ROWS = 5
LOW_ROWS = 3
FRACTION_ROWS = 2 * LOW_ROWS + 1

_TALL_SHEETS = (
    ("0 1 2 3 4 5 6 7 8 9"),
    """\
▄████▄|▄███|▄████▄|▄████▄|██  ██|██████|▄████▄|██████|▄████▄|▄████▄|
██  ██|▀▀██|▀▀  ██|▀▀  ██|██  ██|██    |██    |    ██|██  ██|██  ██|
██  ██|  ██| ▄▄██▀|  ███▄|▀█████|▀▀▀▀█▄|█████▄|  ▄██▀|▄████▄|▀█████|
██  ██|  ██|██▀   |▄▄  ██|    ██|▄▄  ██|██  ██| ▄██  |██  ██|    ██|
▀████▀|  ██|██████|▀████▀|    ██|▀████▀|▀████▀| ██   |▀████▀|▀████▀|""",
    ("A B C D E F G H"),
    """\
▄████▄|█████▄|▄████▄|█████▄|██████|██████|▄████▄|██  ██|
██  ██|██  ██|██  ▀▀|██  ██|██    |██    |██    |██  ██|
██████|█████▄|██    |██  ██|█████ |█████ |██ ▄▄▄|██████|
██  ██|██  ██|██  ▄▄|██  ██|██    |██    |██  ██|██  ██|
██  ██|█████▀|▀████▀|█████▀|██████|██    |▀█████|██  ██|""",
    ("O R M I S L i s e"),
    """\
▄████▄|█████▄|██▄  ▄██|████|▄████▄|██    |▄▄|      |      |
██  ██|██  ██|████████| ██ |██    |██    |▄▄|▄████▄|▄████▄|
██  ██|█████▀|██ ▀▀ ██| ██ |▀████▄|██    |██|██▄▄▄ |██▄▄██|
██  ██|██ ▀█▄|██    ██| ██ |    ██|██    |██| ▀▀▀██|██▀▀▀▀|
▀████▀|██  ██|██    ██|████|▀████▀|██████|██|▀████▀|▀████▀|""",
    ("+ − ♯ ♭"),
    """\
      |      | ██ ██ |██   |
  ██  |      |▄██▄██▄|██   |
██████|██████| ██ ██ |██▀█▄|
  ██  |      |▀██▀██▀|██ ██|
      |      | ██ ██ |███▀ |""",
)

_LOW_SHEETS = (
    ("0 1 2 3 4 5 6 7 8 9"),
    """\
█▀▀█|▀█ |▀▀▀█|▀▀▀█|█  █|█▀▀▀|█▀▀▀|▀▀▀█|█▀▀█|█▀▀█|
█  █| █ |█▀▀▀| ▀▀█|▀▀▀█|▀▀▀█|█▀▀█|  █ |█▀▀█|▀▀▀█|
█▄▄█|▄█▄|█▄▄▄|▄▄▄█|   █|▄▄▄█|█▄▄█| █  |█▄▄█|▄▄▄█|""",
    ("A B C D E F G H I J K L M"),
    """\
█▀▀█|█▀▀▄|█▀▀▀|█▀▀▄|█▀▀▀|█▀▀▀|█▀▀▀|█  █|▀█▀|   █|█ ▄▀|█   |█▄ ▄█|
█▀▀█|█▀▀▄|█   |█  █|█▀▀ |█▀▀ |█ ▀█|█▀▀█| █ |   █|█▀▄ |█   |█ ▀ █|
█  █|█▄▄▀|█▄▄▄|█▄▄▀|█▄▄▄|█   |█▄▄█|█  █|▄█▄|▀▄▄█|█  █|█▄▄▄|█   █|""",
    ("N O P Q R S T U V W X Y Z"),
    """\
█▄ █|█▀▀█|█▀▀█|█▀▀█|█▀▀█|█▀▀▀|▀▀█▀▀|█  █|█   █|█   █|▀▄ ▄▀|█   █|▀▀▀█|
█ ▀█|█  █|█▀▀▀|█  █|█▀█▀|▀▀▀█|  █  |█  █|▀▄ ▄▀|█ ▄ █|  █  | ▀▄▀ | ▄▀ |
█  █|█▄▄█|█   |█▄▀█|█ ▀▄|▄▄▄█|  █  |█▄▄█|  ▀  |█▀ ▀█|▄▀ ▀▄|  █  |█▄▄▄|""",
    ("+ − ♯ ♭ i s e"),
    """\
     |    |▄█▄█▄|█  |▀|    |    |
▀▀█▀▀|▀▀▀▀| █ █ |█▀▄|█|█▀▀▀|█▀▀█|
  ▀  |    |▀█▀█▀|█▄▀|█|▄▀▀█|█▀▀▀|""",
)

_FRACTION_SHEETS = (
    ("0 1 2 3 4 5 6 7 8 9"),
    """\
██▀▀██|▀██|▀▀▀▀██|▀▀▀▀██|██  ██|██▀▀▀▀|██▀▀▀▀|▀▀▀▀██|██▀▀██|██▀▀██|
██  ██| ██|██▀▀▀▀| ▀▀▀██|▀▀▀▀██|▀▀▀▀██|██▀▀██|   ██ |██▀▀██|▀▀▀▀██|
██▄▄██| ██|██▄▄▄▄|▄▄▄▄██|    ██|▄▄▄▄██|██▄▄██|  ██  |██▄▄██|▄▄▄▄██|""",
)


def _cut(sheets: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    signs: dict[str, tuple[str, ...]] = {}
    for names, drawn in zip(sheets[::2], sheets[1::2], strict=True):
        rows = [line.split("|")[:-1] for line in drawn.split("\n")]
        signs |= dict(zip(names.split(), zip(*rows, strict=True), strict=True))
    return signs


TALL: dict[str, tuple[str, ...]] = _cut(_TALL_SHEETS)
"""Signs five rows high, each a tuple of rows of equal width."""

LOW: dict[str, tuple[str, ...]] = _cut(_LOW_SHEETS)
"""Signs three rows high."""

_FRACTION_DIGITS: dict[str, tuple[str, ...]] = _cut(_FRACTION_SHEETS)
"""Digits three rows high with the thick strokes of the tall signs, for the two halves of a fraction."""

_VULGAR = {
    "¼": ("1", "4"),
    "½": ("1", "2"),
    "¾": ("3", "4"),
    "⅛": ("1", "8"),
    "⅜": ("3", "8"),
    "⅝": ("5", "8"),
    "⅞": ("7", "8"),
}
_FRACTION = re.compile(r"(\d+)/(\d+)")
_TOKENS = re.compile(r"\d+/\d+|.")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A line of tall signs: rows of equal width."""

    rows: tuple[str, ...]

    @property
    def width(self) -> int:
        """Width in columns."""
        return len(self.rows[0]) if self.rows else 0

    def text(self) -> str:
        """Return the rows as one text."""
        return "\n".join(self.rows)


def drawn(text: str, *, signs: dict[str, tuple[str, ...]]) -> Drawn:
    """Draw *text* with the *signs* `TALL` or `LOW`; a space is two columns, an unknown sign is left out.

    A hyphen is drawn as a minus. A small letter without a sign of its own is drawn as its capital.
    """
    height = len(next(iter(signs.values())))
    glyphs: list[tuple[str, ...]] = []
    for sign in text.replace("-", "−"):
        if sign == " ":
            glyphs.append((" ",) * height)
        elif glyph := signs.get(sign) or signs.get(sign.upper()):
            glyphs.append(glyph)
    return _beside(glyphs, height=height)


def fitting(text: str, *, width: int) -> Drawn | None:
    """Draw *text* as tall as fits in *width* columns; None where not even the low signs fit."""
    for signs in (TALL, LOW):
        line = drawn(text, signs=signs)
        if 0 < line.width <= width:
            return line
    return None


def amount(text: str) -> Drawn:
    """Draw an amount of turns such as ``+1¾``, ``−⅛`` or ``1 3/16``; words in it are left out.

    The result is seven rows high; a whole number stands in the middle rows beside its fraction.
    """
    parts: list[tuple[str, ...]] = []
    for sign in _TOKENS.findall(text.replace("-", "−")):
        over_under = _VULGAR.get(sign) or (found.groups() if (found := _FRACTION.fullmatch(sign)) else None)
        if over_under is not None:
            parts.append(_fraction(*over_under))
        elif sign in "+−0123456789":
            blank = " " * len(TALL[sign][0])
            parts.append((blank, *TALL[sign], blank))
    return _beside(parts, height=FRACTION_ROWS)


def _fraction(over: str, under: str) -> tuple[str, ...]:
    top, bottom = drawn(over, signs=_FRACTION_DIGITS), drawn(under, signs=_FRACTION_DIGITS)
    width = max(top.width, bottom.width) + 2
    return (
        *(row.center(width) for row in top.rows),
        "━" * width,
        *(row.center(width) for row in bottom.rows),
    )


def _beside(glyphs: list[tuple[str, ...]], *, height: int) -> Drawn:
    if not glyphs:
        return Drawn(rows=("",) * height)
    return Drawn(rows=tuple(" ".join(glyph[row] for glyph in glyphs) for row in range(height)))
