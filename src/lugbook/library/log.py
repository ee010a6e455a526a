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
from lugbook.library.blocks import Block, before, good_length, split
from lugbook.library.encoding import entry_bytes
from lugbook.library.migrations import STEPS, brought_forward, split_format
from lugbook.library.order import corrected, merged
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import checked, keys_of, read_bytes
from lugbook.library.writing import append_to, cut_to
from lugbook.records import Entry


@dataclass(frozen=True)
class Log:
    """What the logbook of one drum says."""

    entries: tuple[Entry, ...]
    """In order, corrections applied."""

    raw: tuple[Entry, ...]
    """In order, as written: what was corrected and the corrections."""

    problems: tuple[Problem, ...]
    """What could not be read or does not fit together."""


@dataclass(frozen=True)
class Appended:
    """What `append_entry` did."""

    entry: Entry
    """The entry as it will be read."""

    torn: Problem | None
    """The torn end of the file that was set aside first."""


def read_log(folder: Path) -> Log:
    """Return the log whose files lie in *folder*, which need not exist."""
    by_writer: dict[str, list[Entry]] = {}
    sources: dict[str, Path] = {}
    problems: list[Problem] = []
    for path in _log_files(folder, problems):
        try:
            entries = _read_file(path, problems)
        except Unreadable as error:
            problems.extend(error.problems)
            continue
        twice = []
        for entry in entries:
            if entry.id in sources:
                twice.append(entry.id)
            else:
                sources[entry.id] = path
                by_writer.setdefault(entry.writer, []).append(entry)
        if twice:
            more = f" and {len(twice) - 1} more" if len(twice) > 1 else ""
            what = (
                f"the entry {twice[0]}{more} stands twice, first in {sources[twice[0]].name}, which is read"
            )
            problems.append(Problem(path, "", what, "each entry once; a file that was copied can be deleted"))
    raw = merged(by_writer)
    applied = corrected(raw)
    problems += [
        Problem(sources[one.id], f"entry {one.id}", f"it corrects {one.corrects}, which is not there",
                "the id of an entry of this drum")
        for one in applied.unknown
    ]  # fmt: skip
    return Log(applied.entries, raw, tuple(problems))


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
    with suppress(_HeadDamaged):  # what stands before the entries does not touch a new one
        _format_of(head[:good], path=path)
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
        return _entry_of(blocks[0], number=len(STEPS[Entry]), path=path)
    except Unreadable as error:
        first = error.problems[0]
        key = first.where.rpartition(", ")[2]
        raise BadValue(f"{key}: {first.what}.", hint=first.advice()) from None


def _log_files(folder: Path, problems: list[Problem]) -> list[Path]:
    """Return the log files in *folder* by name; where it cannot be listed, that is added to *problems*."""
    try:
        return sorted(path for path in folder.iterdir() if _is_ours(path.name))
    except FileNotFoundError:
        return []
    except OSError as error:
        problems.append(
            Problem(folder, "", f"the folder cannot be read: {error.strerror}", "a folder of log files")
        )
        return []


def _read_file(path: Path, problems: list[Problem]) -> list[Entry]:
    data = read_bytes(path)
    if not data.strip():
        raise Unreadable(Problem(path, "", "the file is empty", "Delete it"))
    head, blocks = split(data)
    good = good_length(head, blocks, data)
    if good < len(data):
        line = 1 + data.count(b"\n", 0, good)
        problems.append(
            Problem(path, f"line {line}", "the last entry was cut off while being written",
                    "Nothing need be done: it is set aside when the next entry is written")
        )  # fmt: skip
        blocks = [block for block in blocks if block.start < good]
        head = head[:good]
    try:
        number = _format_of(head, path=path)
    except _HeadDamaged as error:
        problems.extend(error.problems)
        number = len(STEPS[Entry])
    entries = []
    for block in blocks:
        try:
            entries.append(_entry_of(block, number=number, path=path))
            if block.headless:
                problems.append(
                    Problem(path, f"line {block.line}", "the line [[entry]] is missing", "[[entry]]")
                )
        except Unreadable as error:
            problems.extend(error.problems)
    return entries


class _HeadDamaged(Unreadable):
    """What stands before the first entry cannot be read; the entries can."""


def _format_of(head: bytes, *, path: Path) -> int:
    """Return the format that the *head* of a log file names."""
    steps = STEPS[Entry]
    try:
        keys = keys_of(head, path=path)
    except Unreadable as error:
        raise _HeadDamaged(*error.problems) from None
    try:
        number, _ = split_format(keys, steps=steps)
    except BadValue as error:
        raise Unreadable(Problem(path, "format", error.sentence, error.hint)) from None
    return number


def _entry_of(block: Block, *, number: int, path: Path) -> Entry:
    keys = keys_of(block.data, path=path, first_line=block.line)
    keys = brought_forward(keys, steps=STEPS[Entry], found=number)
    return checked(keys, Entry, path=path, place=f"line {block.line}")


def _file_name(entry: Entry) -> str:
    return f"{entry.id[:4]}-{entry.id[4:6]}-{entry.writer}.toml"


def _files_of(folder: Path, writer: str) -> list[Path]:
    name = re.compile(rf"\d{{4}}-(?:0[1-9]|1[0-2])-{writer}\.toml")
    return [path for path in folder.iterdir() if name.fullmatch(path.name)]


def _is_ours(name: str) -> bool:
    return name.lower().endswith(".toml") and not name.startswith(".")
