"""What the first bytes of a sound file say of it.

Problem: the library that decodes sound files takes almost anything for one kind or another, by its ending or
a chance likeness, reads a file that is cut off without a word up to where it stops, and finds no sound in one
whose recorder was switched off before it wrote the length. So the bytes are looked at first.

Conventions: lengths in bytes.

Sources: Microsoft & IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991) for RIFF and
WAVE; EBU Tech 3306 (2009) for RF64; Apple, Audio Interchange File Format 1.3 (1989); all from memory.
"""

from dataclasses import dataclass
from typing import BinaryIO, Literal

Kind = Literal["chunks", "whole", "mp3"]

_STARTS: dict[bytes, Literal["little", "big"]] = {
    b"RIFF": "little",
    b"RIFX": "big",
    b"RF64": "little",
    b"FORM": "big",
}
_FORMS = (b"WAVE", b"AIFF", b"AIFC")

_CHUNK = 8
_MOST_CHUNKS = 1000
"""More pieces than this are in no recording; a file may hold millions of empty ones."""

_FMT, _PCM = 16, 1

_UNKNOWN = 0x7FFFF000
"""A recorder that cannot go back to write the length writes this or more (from memory)."""


@dataclass(frozen=True, slots=True)
class Header:
    """What the chunks of a WAV or AIFF file say; what they do not say is None.

    Attributes:
        rate_hz: samples a second, of a WAV file.
        bits: bits of a sample, of a WAV file of whole numbers.
        said: bytes of sound that there should be; None where nobody knows.
        there: bytes from where the sound begins to the end of the file.
        goes_on: whether the file goes on after the sound with what is no chunk.
    """

    rate_hz: int | None = None
    bits: int | None = None
    said: int | None = None
    there: int | None = None
    goes_on: bool = False

    @property
    def open_ended(self) -> bool:
        """Whether the recorder has not, or not yet, written how much sound there is."""
        return self.goes_on or (self.said is None and self.there is not None)

    @property
    def unfinished(self) -> bool:
        """Whether sound follows, but its length was never written."""
        return self.said == 0 and (self.there or 0) > _CHUNK

    @property
    def cut_off(self) -> bool:
        """Whether less sound is there than there should be."""
        return self.said is not None and self.there is not None and self.said > self.there


def kind_of(start: bytes) -> Kind | None:
    """Return the kind of a file that begins with the twelve bytes *start*, or None for no known sound."""
    if start[:4] in _STARTS and start[8:12] in _FORMS:
        return "chunks"
    if start[:4] in (b"fLaC", b"OggS"):
        return "whole"
    if start[:3] == b"ID3" or (len(start) > 1 and start[0] == 0xFF and start[1] & 0xE0 == 0xE0):
        return "mp3"
    return None


def header_of(stream: BinaryIO, size: int) -> Header:
    """Return what the chunks of a file of *size* bytes say, up to where its sound begins."""
    stream.seek(0)
    order = _STARTS[stream.read(12)[:4]]
    rate_hz = bits = wide = None
    at = 12
    for _ in range(_MOST_CHUNKS):
        stream.seek(at)
        head = stream.read(_CHUNK)
        if len(head) < _CHUNK:
            break
        name, length = head[:4], int.from_bytes(head[4:], order)
        if name == b"fmt " and length >= _FMT:
            form = stream.read(_FMT)
            if len(form) < _FMT:
                break
            rate_hz = int.from_bytes(form[4:8], order)
            bits = int.from_bytes(form[14:16], order) if int.from_bytes(form[:2], order) == _PCM else None
        elif name == b"ds64":
            wide = int.from_bytes(stream.read(16)[8:], order)
        elif name in (b"data", b"SSND"):
            said = wide if wide is not None and length == 0xFFFFFFFF else length
            known = said if said == wide or said < _UNKNOWN else None
            after = at + _CHUNK + said + (said & 1)
            goes_on = known is not None and not _chunk_at(stream, after, size, order)
            return Header(rate_hz, bits, known, max(size - at - _CHUNK, 0), goes_on)
        at += _CHUNK + length + (length & 1)
    return Header(rate_hz, bits)


def _chunk_at(stream: BinaryIO, at: int, size: int, order: Literal["little", "big"]) -> bool:
    """Return whether at *at* there is a chunk, or the end of the file."""
    if at + _CHUNK > size:
        return True
    stream.seek(at)
    head = stream.read(_CHUNK)
    named = all(0x20 <= byte < 0x7F for byte in head[:4])
    return named and at + _CHUNK + int.from_bytes(head[4:], order) <= size
