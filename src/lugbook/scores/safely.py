"""Files of music, opened with suspicion.

Problem: a part comes by mail from anybody, under any name. Its bytes are looked at before anything reads
them: MusicXML text, compressed MusicXML (a zip archive), or a Standard MIDI File. Everything is held in
memory; nothing is unpacked to a disk, and nothing is fetched.

Conventions: sizes in bytes. Whatever cannot be used is a `BadValue` (exit code 2).

Sources: W3C, MusicXML 4.0 (2021), "Compressed .MXL files"; PKWARE, .ZIP File Format Specification; MIDI
Manufacturers Association, Standard MIDI Files 1.0 (1988); the last two from memory.
"""

import codecs
import errno
import io
import os
import stat
import struct
import zipfile
import zlib
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import BinaryIO, Literal

from lugbook.errors import BadValue
from lugbook.plain import shown
from lugbook.progress import Progress
from lugbook.scores.markup import tree_of

MOST_TEXT = 50_000_000
"""MusicXML text: a long score for a large orchestra has about 30 MB (from memory)."""

MOST_ARCHIVE = 10_000_000
MOST_MIDI = 4_000_000
MOST_ENTRIES = 500
"""A compressed file holds one text, and perhaps pictures of its pages."""

MOST_RATIO = 250
"""MusicXML shrinks to a twentieth or fiftieth; what shrinks further than this holds next to nothing."""

_MOST_CONTAINER = 100_000
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_CONTAINER = "META-INF/container.xml"
_PIECE = 1 << 20

_READABLE = "MusicXML (.musicxml, .mxl) and MIDI files can be read."
_A_PATH = "Give the path of a file of music."
_AGAIN = "Export it again from the notation program."
_MARKS = (codecs.BOM_UTF8, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)

_FAULTS = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    struct.error,
    EOFError,
    IndexError,
    KeyError,
    NotImplementedError,
    OSError,
    OverflowError,
    RuntimeError,
    ValueError,
)
"""What a damaged archive may make `zipfile` raise."""

Kind = Literal["musicxml", "midi"]


@dataclass(frozen=True, slots=True)
class Found:
    """What a file holds.

    Attributes:
        kind: MusicXML text or MIDI.
        data: its bytes, unpacked.
        file: the file's name without its folder, fit to be shown.
    """

    kind: Kind
    data: bytes
    file: str


def look_at(path: str | PathLike[str], *, progress: Progress | None = None) -> Found:
    """Return the music in the file *path*, told by its bytes and not by its name.

    Args:
        path: where it is.
        progress: is told the share that is read, from 0 to 1; what it raises ends the reading.

    Raises:
        BadValue: there is no such file, it is a folder, a device, a pipe or empty, may not be read, is too
            large, damaged, changing, or no music that is known here.
    """
    file = Path(path)
    name = shown(file.name or str(file))
    data = _bytes_of(file, name, progress)
    if data.startswith(b"PK\x03\x04"):
        data = _unpacked(data, name)
        if not _is_text(data):
            raise BadValue(f"{name} is an archive of something else than MusicXML.", hint=_READABLE)
    return Found("midi" if data.startswith(b"MThd") else "musicxml", data, name)


def _bytes_of(file: Path, name: str, progress: Progress | None) -> bytes:
    descriptor = _opened(file, name)
    with open(descriptor, "rb") as stream:  # noqa: PTH123  # by its number: the name may mean another file now
        before = os.fstat(descriptor)
        _check_plain(before.st_mode, name)
        if before.st_size == 0:
            raise BadValue(f"{name} is empty.", hint=_AGAIN)
        pieces = [_read(stream, 512, name)]
        most = _most(pieces[0], name)
        _check_size(before.st_size, most, name)
        done = len(pieces[0])
        while piece := _read(stream, _PIECE, name):
            if progress is not None:
                progress(min(done / before.st_size, 1.0))
            pieces.append(piece)
            done += len(piece)
            _check_size(done, most, name)
        after = os.fstat(descriptor)
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns) or done != after.st_size:
        raise BadValue(f"{name} changed while it was read.", hint="Wait until it is written whole.")
    return b"".join(pieces)


def _read(stream: BinaryIO, size: int, name: str) -> bytes:
    try:
        return stream.read(size)
    except OSError as error:
        raise BadValue(f"{name} cannot be read to its end.", hint="Copy it again.") from error


def _opened(file: Path, name: str) -> int:
    try:
        _check_plain(file.stat().st_mode, name)
        # It may have become a pipe since, and opening must not wait for one.
        return os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except OSError as error:
        if error.errno in (errno.ENOENT, errno.ENOTDIR):
            raise BadValue(f"There is no file {shown(str(file))}.", hint=_A_PATH) from error
        if error.errno in (errno.EACCES, errno.EPERM):
            raise BadValue(f"{name} may not be read by you.", hint=_A_PATH) from error
        if error.errno == errno.ELOOP:
            raise BadValue(f"{name} is a link that leads back to itself.", hint=_A_PATH) from error
        raise BadValue(f"{name} cannot be opened.", hint=_A_PATH) from error
    except ValueError as error:
        if isinstance(error, BadValue):
            raise
        raise BadValue(f"{name} cannot be opened.", hint=_A_PATH) from error


def _check_plain(mode: int, name: str) -> None:
    if stat.S_ISDIR(mode):
        raise BadValue(f"{name} is a folder.", hint="Give one file of music in it.")
    if not stat.S_ISREG(mode):
        raise BadValue(f"{name} is a device or a pipe and no file.", hint=_A_PATH)


def _check_size(size: int, most: int, name: str) -> None:
    if size > most:
        raise BadValue(
            f"{name} holds {size / 1e6:.0f} MB, more than the {most / 1e6:.0f} MB that are read.",
            hint="Export the percussion part alone.",
        )


def _most(start: bytes, name: str) -> int:
    """Return how large a file that begins like this may be."""
    if start.startswith(b"PK\x03\x04"):
        return MOST_ARCHIVE
    if start.startswith(b"MThd"):
        return MOST_MIDI
    if _is_text(start):
        return MOST_TEXT
    raise BadValue(f"{name} is no file of music that is known here.", hint=_READABLE)


def _is_text(start: bytes) -> bool:
    """Return whether this may be XML, in UTF-8 or UTF-16."""
    for mark in _MARKS:
        start = start.removeprefix(mark)
    return start[:512].replace(b"\0", b"").lstrip(b" \t\r\n").startswith(b"<")


def _unpacked(data: bytes, name: str) -> bytes:
    """Return the text in a compressed MusicXML file: the one that its table of contents names first."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            if len(entries) > MOST_ENTRIES:
                raise BadValue(
                    f"{name} is an archive of {len(entries)} files; at most {MOST_ENTRIES} are looked at.",
                    hint=_AGAIN,
                )
            contents = _entry(archive, _CONTAINER, name, most=_MOST_CONTAINER)
            return _entry(archive, _root_of(contents, name), name, most=MOST_TEXT)
    except _FAULTS as error:
        if isinstance(error, BadValue):
            raise
        raise BadValue(f"{name} is a damaged archive.", hint=_AGAIN) from error


def _root_of(contents: bytes, name: str) -> str:
    # The table of contents may name pictures and other forms beside the text, which comes first.
    for one in tree_of(contents, name=name).iter("rootfile"):
        path = one.get("full-path", "")
        parts = path.split("/")
        if not path or path.startswith("/") or ".." in parts or set(path) & {"\\", ":", "\0"}:
            raise BadValue(f"{name} names a file outside itself: {shown(path[:100])}.", hint=_AGAIN)
        return path
    raise BadValue(f"{name} is an archive that does not say where its music is.", hint=_READABLE)


def _entry(archive: zipfile.ZipFile, path: str, name: str, *, most: int) -> bytes:
    try:
        entry = archive.getinfo(path)
    except KeyError as error:
        missing = f"{name} is an archive without {shown(path[:100])}."
        raise BadValue(missing, hint=_READABLE) from error
    if entry.flag_bits & 1:
        raise BadValue(f"{name} is locked with a password.", hint=_AGAIN)
    if entry.compress_type not in _METHODS:
        # The unpackers of other methods heed no limit, and a few bytes may become thousands of millions.
        raise BadValue(f"{name} is packed in a way that MusicXML does not know.", hint=_AGAIN)
    _check_size(entry.file_size, most, name)
    if entry.file_size > MOST_RATIO * max(entry.compress_size, 1) and entry.file_size > _PIECE:
        raise BadValue(
            f"{name} grows to {entry.file_size / max(entry.compress_size, 1):.0f} times its size;"
            f" at most {MOST_RATIO} times is unpacked.",
            hint=_AGAIN,
        )
    with archive.open(entry) as stream:
        # What the archive says of the size may be a lie.
        data = stream.read(most + 1)
    _check_size(len(data), most, name)
    return data
