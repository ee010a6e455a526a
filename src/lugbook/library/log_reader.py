"""Reading the logs of a drum: cut into blocks first, so that a damaged one hides no other."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from operator import is_
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


@dataclass(frozen=True)
class FileRead:
    """What one log file said when it was read."""

    data: bytes
    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]
    number: int
    """The format of its entries."""


class LogReader:
    """Reads the logs of a library; a file whose bytes are as before is not read into entries again.

    The bytes of each file are read each time, so that no change by another program is missed.
    """

    def __init__(self) -> None:
        self._files: dict[Path, FileRead] = {}
        self._logs: dict[Path, tuple[tuple[FileRead, ...], Log]] = {}

    def read(self, folder: Path) -> Log:
        """Return the log whose files lie in *folder*, which need not exist."""
        problems: list[Problem] = []
        files: dict[Path, FileRead] = {}
        for path in _log_files(folder, problems):
            try:
                files[path] = self._files[path] = _read_file(path, self._files.get(path))
            except Unreadable as error:
                problems.extend(error.problems)
        before = self._logs.get(folder)
        if before is not None and not problems and _same(before[0], files.values()):
            return before[1]
        log = _put_together(files, problems)
        if not problems:
            self._logs[folder] = tuple(files.values()), log
        return log


def _same(some: tuple[FileRead, ...], others: Collection[FileRead]) -> bool:
    return len(some) == len(others) and all(map(is_, some, others))


def _put_together(files: Mapping[Path, FileRead], unread: Iterable[Problem]) -> Log:
    """Return the log of what the files said, beside what could not be read."""
    by_writer: dict[str, list[Entry]] = {}
    sources: dict[str, Path] = {}
    problems = [*unread]
    for path, found in files.items():
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
