"""MusicXML text made a tree, and nothing else.

Problem: XML can ask its reader to fetch files, or to write one word a thousand million times over. A part
needs none of that. So declarations of entities end the reading, nothing outside is ever fetched, and depth
and size have limits; what is about the look of the page is left out on the way.

Sources: W3C, Extensible Markup Language 1.0; the public identifiers of MusicXML from its DTDs (from memory).
"""

import re
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from lugbook.errors import BadValue
from lugbook.progress import Progress

MOST_ELEMENTS = 4_000_000
MOST_DEPTH = 40
_PIECE = 1 << 18
_PUBLIC = re.compile(r"-//(Recordare|W3C)//(DTD|ELEMENTS) MusicXML [^/]{1,80}//EN")

_LOOKS = re.compile(
    r"accidental|accidental-mark|appearance|arpeggiate|articulations|beam|bookmark|bracket|"
    r"credit|dashes|defaults|figured-bass|fingering|glissando|harmony|image|key|"
    r"link|listening|lyric|midi-device|miscellaneous|non-arpeggiate|notehead|octave-shift|"
    r"other-notation|pedal|play|print|rehearsal|slide|slur|staff-details|stem|supports|"
    r"technical|transpose|virtual-instrument|wavy-line|wedge"
)
"""Elements that say nothing of which strokes are made when."""

_AGAIN = "Export it again from the notation program."


def tree_of(data: bytes, *, name: str, progress: Progress | None = None) -> Element:
    """Return the root of the XML text *data*, without what is about its look only.

    Args:
        data: the text, in any encoding that it names.
        name: the file's name, for what is said.
        progress: is told the share that is read, from 0 to 1; what it raises ends the reading.

    Raises:
        BadValue: it is no XML, declares entities, names a foreign DTD, is too deep or has too many elements.
    """
    reader = _Reader(name)
    for start in range(0, len(data), _PIECE):
        if progress is not None:
            progress(start / len(data))
        reader.read(data[start : start + _PIECE])
    reader.read(b"", last=True)
    return reader.builder.close()


class _Reader:
    """An expat parser that builds a tree and refuses what a part does not need."""

    def __init__(self, name: str) -> None:
        self.builder = TreeBuilder()
        self.parser = parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        self._name = name
        self._elements = self._depth = 0
        self._left_out = 0

    def read(self, piece: bytes, *, last: bool = False) -> None:
        """Read the next piece of the text."""
        try:
            self.parser.Parse(piece, last)
        except expat.ExpatError as error:
            raise BadValue(
                f"{self._name} is damaged at line {error.lineno}: {expat.ErrorString(error.code)}.",
                hint=_AGAIN,
            ) from error
        except (LookupError, ValueError) as error:
            if isinstance(error, BadValue):
                raise
            raise BadValue(
                f"{self._name} is written in an encoding that is not known here.", hint=_AGAIN
            ) from error

    def _doctype(self, _root: str, system: str | None, public: str | None, inside: bool) -> None:
        # Entities can be declared inside or in what the text points to: the one is refused here, the other is
        # never fetched, and what points to anything but MusicXML's own definitions is refused too.
        foreign = (public or system) and not _PUBLIC.fullmatch(public or "")
        if inside or foreign:
            raise BadValue(
                f"{self._name} brings definitions of its own, which a part does not need.", hint=_AGAIN
            )

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._elements += 1
        self._depth += 1
        if self._elements > MOST_ELEMENTS:
            raise BadValue(
                f"{self._name} has more than {MOST_ELEMENTS} elements.",
                hint="Export the percussion part alone.",
            )
        if self._depth > MOST_DEPTH:
            raise BadValue(f"{self._name} is nested more than {MOST_DEPTH} deep.", hint=_AGAIN)
        # Whatever the root is, there has to be one.
        if self._left_out or (self._depth > 1 and _LOOKS.fullmatch(tag)):
            self._left_out += 1
        else:
            self.builder.start(tag, attributes)

    def _end(self, tag: str) -> None:
        self._depth -= 1
        if self._left_out:
            self._left_out -= 1
        else:
            self.builder.end(tag)

    def _text(self, text: str) -> None:
        if not self._left_out:
            self.builder.data(text)
