"""A drum's log: ``[[entry]]`` blocks that are only ever appended, one file for each writer and month of UTC.

One writer a file means that copies of a library merge without a conflict. A file is cut into blocks before
anything is read, so that a damaged block hides no other; ``id`` is the last key of a block, so that a block
that was cut off while being written is known by its absence.
"""

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from lugbook.errors import BadValue
from lugbook.library.blocks import before, good_length, split
from lugbook.library.encoding import entry_bytes
from lugbook.library.log_reader import HeadDamaged, entry_of, format_of
from lugbook.library.migrations import STEPS
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import read_bytes
from lugbook.library.writing import append_to, cut_to
from lugbook.records import Entry


@dataclass(frozen=True)
class Appended:
    """What `append_entry` did."""

    entry: Entry
    """The entry as it will be read."""

    torn: Problem | None
    """The torn end of the file that was set aside first."""


def append_entry(
    folder: Path, entry: Entry, *, writer: str, keep_torn: Callable[[Path, bytes], Path]
) -> Appended:
    """Append *entry* to its writer's file in *folder*; the caller holds the lock.

    The file is the one of the month in the entry's id, or the writer's latest where that is later: a clock
    that went back over a month's end does not put an entry before earlier ones.

    Args:
        folder: of the drum's log; is made where missing.
        entry: with an id of *writer*.
        writer: the six letters of this machine, which appends to no other writer's file.
        keep_torn: puts away what was cut off at the end of the file, and returns where.

    Raises:
        BadValue: the entry is another writer's, its id is in the file, or it could not be read back.
        Unreadable: the file cannot be read or is of a newer format; it is left as it is.
        OSError: the system refused.
    """
    if entry.writer != writer:
        raise BadValue(
            f"The entry {entry.id} is of the writer {entry.writer}, and this machine is {writer}.",
            hint="Make a new id for each entry.",
        )
    block = entry_bytes(entry)
    kept = _read_back(block, path=folder / _file_name(entry))
    folder.mkdir(parents=True, exist_ok=True)
    path = max([folder / _file_name(entry), *_files_of(folder, writer)])
    try:
        data = read_bytes(path)
    except FileNotFoundError:
        data = b""
    head, blocks = split(data)
    good = good_length(head, blocks, data)
    with suppress(HeadDamaged):  # what stands before the entries does not touch a new one
        format_of(head[:good], path=path)
    torn = None
    if good < len(data):
        kept_at = keep_torn(path, data[good:])
        cut_to(path, good)
        line = 1 + data.count(b"\n", 0, good)
        what = "the entry was cut off while being written and has been set aside"
        torn = Problem(path, f"line {line}", what, f"Look into {kept_at} to see what is left of it")
        data = data[:good]
    if f'id = "{entry.id}"'.encode() in data:
        raise BadValue(f"The log holds an entry {entry.id} already.", hint="Make a new id for each entry.")
    append_to(path, before(data) + block)
    return Appended(kept, torn)


def _read_back(block: bytes, *, path: Path) -> Entry:
    """Return the entry that a reader will find in *block*.

    Raises:
        BadValue: it will find none; the sentence names the key.
    """
    _, blocks = split(block)
    try:
        return entry_of(blocks[0], number=len(STEPS[Entry]), path=path)
    except Unreadable as error:
        first = error.problems[0]
        key = first.where.rpartition(", ")[2]
        raise BadValue(f"{key}: {first.what}.", hint=first.advice()) from None


def _file_name(entry: Entry) -> str:
    return f"{entry.id[:4]}-{entry.id[4:6]}-{entry.writer}.toml"


def _files_of(folder: Path, writer: str) -> list[Path]:
    name = re.compile(rf"\d{{4}}-(?:0[1-9]|1[0-2])-{writer}\.toml")
    return [path for path in folder.iterdir() if name.fullmatch(path.name)]
