"""Reading the logs of a drum: cut into blocks first, so that a damaged one hides no other."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lugbook.errors import BadValue
from lugbook.library.blocks import Block, good_length, split
from lugbook.library.migrations import STEPS, brought_forward, split_format
from lugbook.library.order import corrected, merged
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import checked, keys_of, read_bytes
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


@dataclass(frozen=True, eq=False)
class FileRead:
    """What one log file said when it was read; equal to itself alone, so that comparing looks at no entry."""

    data: bytes
    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]
    number: int
    """The format of its entries."""


_Parts = Mapping[Path, FileRead | tuple[Problem, ...]]
"""What each file of a log said, or why it could not be read; in order."""


class LogReader:
    """Reads the logs of a library; a file whose bytes are as before is not read into entries again.

    The bytes of each file are read and compared each time: size and times would not tell every change. What
    was read of a log is looked up once and replaced once, so threads may read it together.
    """

    def __init__(self) -> None:
        self._known: dict[Path, tuple[_Parts, Log]] = {}

    def read(self, folder: Path) -> Log:
        """Return the log whose files lie in *folder*, which need not exist."""
        known, log = self._known.get(folder, ({}, Log((), (), ())))
        parts = _read_parts(folder, known)
        if parts != known:
            log = _put_together(parts)
            self._known[folder] = parts, log
        return log


def _read_parts(folder: Path, known: _Parts) -> _Parts:
    parts: dict[Path, FileRead | tuple[Problem, ...]] = {}
    try:
        paths = _log_files(folder)
    except Unreadable as error:
        return {folder: error.problems}
    for path in paths:
        before = known.get(path)
        try:
            parts[path] = _read_file(path, before if isinstance(before, FileRead) else None)
        except FileNotFoundError:
            continue  # it went after the folder was listed
        except Unreadable as error:
            parts[path] = error.problems
    return parts


def _put_together(parts: _Parts) -> Log:
    """Return the log of what its files said."""
    by_writer: dict[str, list[Entry]] = {}
    sources: dict[str, Path] = {}
    problems: list[Problem] = []
    for path, found in parts.items():
        if not isinstance(found, FileRead):
            problems += found
            continue
        problems += found.problems
        twice = []
        for entry in found.entries:
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


def _log_files(folder: Path) -> list[Path]:
    """Return the log files in *folder* by name.

    Raises:
        Unreadable: it cannot be listed.
    """
    try:
        return sorted(path for path in folder.iterdir() if _is_ours(path.name))
    except FileNotFoundError:
        return []
    except OSError as error:
        refused = f"the folder cannot be read: {error.strerror}"
        raise Unreadable(Problem(folder, "", refused, "a folder of log files")) from error


def _read_file(path: Path, before: FileRead | None) -> FileRead:
    data = read_bytes(path)
    if before is not None and data.startswith(before.data):
        if len(data) == len(before.data):
            return before
        if (grown := _grown(path, data, before)) is not None:
            return grown
    if not data.strip():
        raise Unreadable(Problem(path, "", "the file is empty", "Delete it"))
    return _read_data(path, data)


def _grown(path: Path, data: bytes, before: FileRead) -> FileRead | None:
    """Return what a file says to which whole entries were added; None where that is not all that is new."""
    if before.problems or not before.data.endswith(b"\n\n"):
        return None
    head, blocks = split(data[len(before.data) :])
    if head or good_length(head, blocks, data[len(before.data) :]) < len(data) - len(before.data):
        return None
    try:
        new = [entry_of(block, number=before.number, path=path) for block in blocks if not block.headless]
    except Unreadable:
        return None
    if len(new) < len(blocks):
        return None
    return FileRead(data, (*before.entries, *new), (), before.number)


def _read_data(path: Path, data: bytes) -> FileRead:
    problems: list[Problem] = []
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
        number = format_of(head, path=path)
    except HeadDamaged as error:
        problems.extend(error.problems)
        number = len(STEPS[Entry])
    entries = []
    for block in blocks:
        try:
            entries.append(entry_of(block, number=number, path=path))
            if block.headless:
                problems.append(
                    Problem(path, f"line {block.line}", "the line [[entry]] is missing", "[[entry]]")
                )
        except Unreadable as error:
            problems.extend(error.problems)
    return FileRead(data, tuple(entries), tuple(problems), number)


class HeadDamaged(Unreadable):
    """What stands before the first entry cannot be read; the entries can."""


def format_of(head: bytes, *, path: Path) -> int:
    """Return the format that the *head* of a log file names."""
    steps = STEPS[Entry]
    try:
        keys = keys_of(head, path=path)
    except Unreadable as error:
        raise HeadDamaged(*error.problems) from None
    try:
        number, _ = split_format(keys, steps=steps)
    except BadValue as error:
        raise Unreadable(Problem(path, "format", error.sentence, error.hint)) from None
    return number


def entry_of(block: Block, *, number: int, path: Path) -> Entry:
    """Return the entry that a *block* of the format *number* holds.

    Raises:
        Unreadable: it holds none.
    """
    keys = keys_of(block.data, path=path, first_line=block.line)
    keys = brought_forward(keys, steps=STEPS[Entry], found=number)
    return checked(keys, Entry, path=path, place=f"line {block.line}")


def _is_ours(name: str) -> bool:
    return name.lower().endswith(".toml") and not name.startswith(".")
