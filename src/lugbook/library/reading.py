"""Reading one file: bytes, then TOML, then the present format, then a checked record.

Whatever fails on the way becomes problems that name the file, the line or key, what is wrong and what would
be right. A byte order mark and Windows line ends are read as if they were not there: they change no value.
"""

import re
import stat
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from lugbook.errors import BadValue
from lugbook.library.faults import problems_of
from lugbook.library.migrations import STEPS, Keys, brought_forward, split_format
from lugbook.library.plain_form import plain_keys
from lugbook.library.problems import Problem, Unreadable, quoted
from lugbook.library.writing import digest_of
from lugbook.records import Record

LARGEST_BYTES = 32 * 1024 * 1024
"""A file beyond this is none of ours, and reading it could take all memory."""

DEEPEST = 40
"""Lists and tables of a file lie at most this many levels in each other; records need four."""

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Stored(Generic[R]):
    """A record together with the file it lies in."""

    id: str
    """``drum`` or ``drum/preset``."""

    path: Path
    """Its file."""

    record: R
    """What the file says."""

    digest: str
    """Fingerprint of the bytes that were read; tells whether the file has changed since."""


@dataclass(frozen=True)
class Found(Generic[R]):
    """What could be read of many files, and what is wrong with the others."""

    items: dict[str, Stored[R]]
    """The good ones by id, in order of the ids."""

    problems: tuple[Problem, ...]
    """What is wrong with the others."""


def read_record(path: Path, kind: type[R], *, id: str) -> Stored[R]:  # noqa: A002 -- named as the field is
    """Return the record of *kind* that lies at *path*.

    Raises:
        FileNotFoundError: there is nothing at *path*.
        Unreadable: it cannot be read as such a record.
    """
    data = read_bytes(path)
    return Stored(id, path, record_of(data, kind, path=path), digest_of(data))


def read_bytes(path: Path) -> bytes:
    """Return the bytes of the file at *path*.

    Raises:
        FileNotFoundError: there is nothing at *path*.
        Unreadable: it is a folder, a link to nowhere, no plain file, too large, or may not be read.
    """
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            what = "is a folder" if stat.S_ISDIR(found.st_mode) else "is no plain file"
            raise Unreadable(Problem(path, "", f"this {what}", "a TOML file of that name"))
        if found.st_size > LARGEST_BYTES:
            large = f"the file has {found.st_size} bytes, above the limit of {LARGEST_BYTES}"
            raise Unreadable(Problem(path, "", large, "a file that Lugbook wrote"))
        return path.read_bytes()
    except FileNotFoundError:
        if path.is_symlink():
            nowhere = Problem(path, "", "this link leads to nothing", "a link to a file, or the file itself")
            raise Unreadable(nowhere) from None
        raise
    except OSError as error:
        refused = Problem(path, "", f"the file cannot be read: {error.strerror}", "a file that you may read")
        raise Unreadable(refused) from error


def record_of(data: bytes, kind: type[R], *, path: Path) -> R:
    """Return the record of *kind* that the bytes *data* of the file *path* say.

    Raises:
        Unreadable: they say none.
    """
    keys = keys_of(data, path=path)
    if not keys:
        raise Unreadable(Problem(path, "", "the file is empty", f"at least {_required(kind)}"))
    steps = STEPS[kind]
    try:
        found, keys = split_format(keys, steps=steps)
    except BadValue as error:
        raise Unreadable(Problem(path, "format", error.sentence, error.hint)) from None
    return checked({"format": len(steps), **brought_forward(keys, steps=steps, found=found)}, kind, path=path)


def checked(keys: Keys, kind: type[R], *, path: Path, place: str = "") -> R:
    """Return the record of *kind* with these *keys*.

    The check is strict, so that a number in quotes or a date given as a number is a problem and not a guess.

    Args:
        keys: as `keys_of` gives them, in the present format.
        kind: what to make of them.
        path: the file they are from.
        place: put before the key of each problem, such as ``line 12``.

    Raises:
        Unreadable: they do not make one.
    """
    try:
        return kind.model_validate(keys, strict=True)
    except ValidationError as error:
        raise Unreadable(*problems_of(error, kind, path=path, place=place)) from None


def keys_of(data: bytes, *, path: Path, first_line: int = 1) -> Keys:
    """Return the keys that the TOML text *data* holds, with tuples for lists.

    Args:
        data: a file, or a part of one.
        path: the file it is from.
        first_line: the number that its first line has in that file.

    Raises:
        Unreadable: it is no TOML text.
    """
    if (plain := plain_keys(data)) is not None:
        return plain
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = first_line + data.count(b"\n", 0, error.start)
        what = f"the byte 0x{data[error.start]:02X} is no UTF-8 text"
        raise Unreadable(Problem(path, f"line {line}", what, "the file saved as UTF-8 text")) from None
    try:
        return {key: _frozen(value, DEEPEST) for key, value in tomllib.loads(text).items()}
    except RecursionError:
        deep = Problem(
            path, "", "its lists or tables lie too deep in each other", "a file that Lugbook wrote"
        )
        raise Unreadable(deep) from None
    except ValueError as error:
        raise Unreadable(_toml_problem(text, error, path=path, first_line=first_line)) from None


_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

_PLAIN_WORDS = {
    "Cannot overwrite": ("a key stands twice", "each key once"),
    "Cannot declare": ("a table stands twice", "each table once"),
    "Cannot mutate": ("a table stands twice", "each table once"),
    "Unterminated": ("a text has no closing quote", "a quote at both ends of the text"),
    "Illegal character": (
        "a text has no closing quote or holds a control character",
        "a text in quotes on one line",
    ),
    "Expected '='": ("a key has no equals sign", "key = value"),
    "Unclosed": ("a bracket is not closed", "a closing bracket"),
    "Invalid value": ("a value cannot be read", "a text in quotes, a number such as 14.5, or true or false"),
    "Expected newline": ("something is left over after a value", "texts in quotes, numbers with a point"),
}
"""How the messages of tomllib begin → what is wrong and what would be right, in plain words."""


def _toml_problem(text: str, error: ValueError, *, path: Path, first_line: int) -> Problem:
    message = str(error)
    for beginning, words in _PLAIN_WORDS.items():
        if message.startswith(beginning):
            what, right = words
            break
    else:
        what, right = "the line is no valid TOML", "key = value, with texts in quotes"
    # the place is part of the message in every Python so far; an attribute only from 3.14 on
    found = _PLACE.search(message)
    lines = text.split("\n")
    number = int(found[1]) if found and found[1] else len(text.rstrip().split("\n"))
    line = lines[number - 1].strip()
    return Problem(path, f"line {first_line + number - 1}", f"{what}: {quoted(line)}", right)


def _frozen(value: Any, deepest: int) -> Any:  # noqa: ANN401 -- whatever tomllib gives
    """Return *value* with tuples for lists, which is what a frozen record holds.

    Raises:
        RecursionError: it has more than *deepest* levels.
    """
    if deepest == 0:
        raise RecursionError
    if isinstance(value, Mapping):
        return {key: _frozen(one, deepest - 1) for key, one in value.items()}
    if isinstance(value, list):
        return tuple(_frozen(one, deepest - 1) for one in value)
    return value


def _required(kind: type[Record]) -> str:
    names = [name for name, field in kind.model_fields.items() if field.is_required()]
    return f"the keys {', '.join(names)}" if names else "the line format = 1"
