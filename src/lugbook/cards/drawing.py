"""The few things that a picture is made of, written as SVG.

Problem: a picture must look the same wherever it is opened, and a name that somebody gave may hold anything.
So there are no style sheets and no fonts but the generic families, every text goes through the escaping of
the standard library's XML writer after `plain.shown` has made control characters visible, and every text is
cut to the room that it has by an estimate of its width.

Conventions: coordinates in units of the view box, y downwards; text stands on its baseline. Colours are few
and dark enough to print as greys that differ.

Sources: SVG 1.1 (W3C 2011), sections 5.4 (title and description), 7.7 (view box) and 10 (text). Widths of
letters from DejaVu Sans, one of the widest of the usual faces, rounded up (measured).
"""

import unicodedata
from collections.abc import Sequence
from xml.etree import ElementTree

from lugbook.plain import shown

INK, SOFT, FAINT, PALE, PAPER, MARK = "#1a1815", "#5c564d", "#b9b3a8", "#e6e2da", "#ffffff", "#7a3e00"
"""Text; lesser text; lines that recede; fillings; the ground; what the eye should find first."""

_FAMILY = "sans-serif"

_KINDS = {
    **dict.fromkeys(" .,:;'|!iIjl", 0.36),
    **dict.fromkeys("()[]{}-/frtJ–", 0.46),
    **dict.fromkeys("♭♮♯", 0.56),
    **dict.fromkeys("+−±×", 0.84),
    **dict.fromkeys("mwMWQO@%…", 1.0),
}
"""Signs that are narrower or wider than others of their kind, in ems."""

_CAPITAL_EM, _LETTER_EM, _SIGN_EM, _FULL_EM = 0.74, 0.64, 1.02, 1.3
_BOLD = 1.12

Point = tuple[float, float]


class Drawing:
    """One picture.

    Args:
        width: of the view box.
        height: of the view box.
        title: what it is, for whoever cannot see it.
        description: what it says, likewise.
    """

    def __init__(self, width: float, height: float, *, title: str, description: str) -> None:
        self._root = ElementTree.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {_number(width)} {_number(height)}",
                "role": "img",
                "aria-labelledby": "title desc",
                "font-family": _FAMILY,
            },
        )
        ElementTree.SubElement(self._root, "title", {"id": "title"}).text = shown(title)
        ElementTree.SubElement(self._root, "desc", {"id": "desc"}).text = shown(description)
        self.box(0, 0, width, height, fill=PAPER)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float,
        anchor: str = "start",
        fill: str = INK,
        bold: str = "",
        most: float | None = None,
    ) -> None:
        """Write *words* with their baseline at *y*.

        Args:
            x: left end, middle or right end, as *anchor* says.
            y: baseline.
            words: the text, from wherever.
            size: of the letters.
            anchor: ``start``, ``middle`` or ``end``.
            fill: colour.
            bold: ``bold``, or empty.
            most: the width that there is; a longer text is cut.
        """
        said = shown(words)
        if most is not None:
            said = cut(said, size=size, width=most, bold=bold)
        if not said:
            return
        attributes = {"x": _number(x), "y": _number(y), "font-size": _number(size), "fill": fill}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = bold
        ElementTree.SubElement(self._root, "text", attributes).text = said

    def box(self, x: float, y: float, width: float, height: float, *, fill: str) -> None:
        """Fill a rectangle."""
        attributes = {"x": _number(x), "y": _number(y), "width": _number(width), "height": _number(height)}
        ElementTree.SubElement(self._root, "rect", {**attributes, "fill": fill})

    def dot(self, x: float, y: float, radius: float, *, fill: str) -> None:
        """Fill a circle."""
        attributes = {"cx": _number(x), "cy": _number(y), "r": _number(radius), "fill": fill}
        ElementTree.SubElement(self._root, "circle", attributes)

    def stroke(
        self, *lines: Sequence[Point], colour: str = INK, width: float = 1.0, dashes: str = ""
    ) -> None:
        """Draw one broken line or several with one pen."""
        attributes = {
            "d": "".join(_path(line) for line in lines),
            "fill": "none",
            "stroke": colour,
            "stroke-width": _number(width),
        }
        if dashes:
            attributes["stroke-dasharray"] = dashes
        ElementTree.SubElement(self._root, "path", attributes)

    def area(self, line: Sequence[Point], *, fill: str, edge: str = "", width: float = 1.0) -> None:
        """Fill what a closed line goes around, and draw the line where *edge* names a colour."""
        attributes = {"d": _path(line) + "Z", "fill": fill}
        if edge:
            attributes |= {"stroke": edge, "stroke-width": _number(width)}
        ElementTree.SubElement(self._root, "path", attributes)

    def svg(self) -> str:
        """Return the picture as the text of a file."""
        ElementTree.indent(self._root, space=" ")
        return ElementTree.tostring(self._root, encoding="unicode") + "\n"


def text_width(text: str, *, size: float, bold: str = "") -> float:
    """Return about how wide *text* is, rather too wide than too narrow."""
    ems = sum(_ems(sign) for sign in text)
    return ems * size * (_BOLD if bold else 1.0)


def fitting(text: str, *, size: float, width: float, bold: str = "") -> float:
    """Return the largest letters, at most *size*, in which *text* is no wider than *width*."""
    wide = text_width(text, size=size, bold=bold)
    return size if wide <= width else size * width / wide


def cut(text: str, *, size: float, width: float, bold: str = "") -> str:
    """Return *text*, its end cut to an ellipsis where it is wider than *width*; empty where nothing fits."""
    if text_width(text, size=size, bold=bold) <= width:
        return text
    left = width - text_width("…", size=size, bold=bold)
    kept = 0
    for sign in text:
        left -= text_width(sign, size=size, bold=bold)
        if left < 0:
            break
        kept += 1
    return f"{text[:kept].rstrip()}…" if kept else ""


def wrapped(text: str, *, size: float, width: float) -> list[str]:
    """Return *text* in lines of at most *width*, broken between words; a word that is too long is cut."""
    lines: list[str] = []
    for word in shown(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size=size) <= width:
            lines[-1] = longer
        else:
            lines.append(cut(word, size=size, width=width))
    return lines


def _ems(sign: str) -> float:
    """Return about how wide one sign is, in ems."""
    if sign in _KINDS:
        return _KINDS[sign]
    if sign.isascii() or unicodedata.name(sign, "").startswith("LATIN"):
        return _CAPITAL_EM if sign.isupper() else _LETTER_EM
    if unicodedata.combining(sign):
        return 0.0
    return _FULL_EM if unicodedata.east_asian_width(sign) in "WF" else _SIGN_EM


def _path(line: Sequence[Point]) -> str:
    return "".join(f"{'L' if place else 'M'}{_number(x)} {_number(y)}" for place, (x, y) in enumerate(line))


def _number(value: float) -> str:
    """Return *value* with at most two decimals, as short as it can be written."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
