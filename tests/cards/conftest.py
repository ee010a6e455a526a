"""Pictures taken apart: their texts with the room that they take, judged by another estimate than the code's.

Widths of letters: Helvetica, in thousandths of an em, by kind (from memory); whatever is not Latin counts as
a whole em.
"""

import math
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree

import pytest

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Text:
    """One text of a picture, and the box around it."""

    words: str
    left: float
    right: float
    top: float
    bottom: float
    size: float

    def overlaps(self, other: "Text") -> bool:
        return (
            self.left < other.right - 0.5
            and other.left < self.right - 0.5
            and self.top < other.bottom - 0.5
            and other.top < self.bottom - 0.5
        )


@dataclass(frozen=True)
class Picture:
    """A picture that was read."""

    root: ElementTree.Element
    texts: tuple[Text, ...]

    @property
    def words(self) -> str:
        """All its texts in a row."""
        return " ".join(text.words for text in self.texts)

    @property
    def box(self) -> tuple[float, float]:
        """Width and height of the view box."""
        left, top, width, height = map(float, self.root.attrib["viewBox"].split())
        assert (left, top) == (0, 0)
        return width, height

    def outside(self) -> list[Text]:
        """The texts that do not lie in the view box."""
        width, height = self.box
        return [
            text
            for text in self.texts
            if text.left < 0 or text.right > width or text.top < 0 or text.bottom > height
        ]

    def overlapping(self) -> list[tuple[str, str]]:
        """The pairs of texts that run into each other."""
        pairs = ((a, b) for place, a in enumerate(self.texts) for b in self.texts[place + 1 :])
        return [(a.words, b.words) for a, b in pairs if a.overlaps(b)]

    def shapes(self) -> list[tuple[str, str]]:
        """The kind and the place of everything that is drawn, without its colour."""
        places = ("d", "cx", "cy", "r", "x", "y", "width", "height", "stroke-dasharray")
        return [
            (element.tag, " ".join(element.attrib.get(name, "") for name in places)) for element in self.root
        ]


def _thousandths(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    if sign in "ijl.,:;'|!I ":
        return 278
    if sign in "()[]-/frt":
        return 333
    if sign in "mwMW@%":
        return 900
    if sign.isascii() or "LATIN" in unicodedata.name(sign, ""):
        return 700 if sign.isupper() else 560
    return 1000


def _text(element: ElementTree.Element) -> Text:
    words, size = element.text or "", float(element.attrib["font-size"])
    width = sum(map(_thousandths, words)) / 1000 * size
    width *= 1.06 if element.attrib.get("font-weight") == "bold" else 1.0
    x, y = float(element.attrib["x"]), float(element.attrib["y"])
    left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[element.attrib.get("text-anchor", "start")]
    return Text(words, left, left + width, y - 0.78 * size, y + 0.22 * size, size)


@pytest.fixture(scope="session")
def read_picture() -> Callable[[str], Picture]:
    """Return what reads a picture: well-formed XML, numbers that are numbers, texts with their boxes."""

    def read(svg: str) -> Picture:
        root = ElementTree.fromstring(svg)  # noqa: S314 -- it was written by the code under test just now
        for element in root.iter():
            for name, value in element.attrib.items():
                if name in ("x", "y", "cx", "cy", "r", "width", "height", "font-size", "stroke-width"):
                    assert math.isfinite(float(value)), (element.tag, name, value)
                if name == "d":
                    assert not any(letter in value for letter in "naif"), value
        return Picture(root, tuple(_text(element) for element in root.iter(f"{SVG}text")))

    return read
