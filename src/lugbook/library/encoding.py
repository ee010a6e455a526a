"""Records as TOML text: one file for a record, one ``[[entry]]`` block for an entry of a log.

What equals its default is left out; the defaults are permanent. ``format`` comes first, the keys follow in
the order the record declares them, and keys that this version does not know come after those of their level.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

import tomli_w

from lugbook.errors import BadValue
from lugbook.library.migrations import STEPS
from lugbook.records import Entry, Record

HEADER = b"[[entry]]"
"""The line that begins an entry; no line inside one can be equal to it."""

LOG_HEAD = f"format = {len(STEPS[Entry])}\n\n".encode()
"""What a log file begins with."""


def file_bytes(record: Record) -> bytes:
    """Return the whole file of *record*.

    Raises:
        BadValue: it holds something that TOML cannot.
    """
    keys = {**_kept(record), "format": len(STEPS[type(record)])}
    keys = {"format": keys.pop("format"), **keys}
    return _bytes(tomli_w.dumps, keys)


def entry_bytes(entry: Entry) -> bytes:
    """Return the block of *entry*: its header, one line for each key, ``id`` last, and a blank line.

    Nested keys are written dotted (``turn.top = -0.25``), so that every line stands for itself.

    Raises:
        BadValue: it holds something that TOML cannot.
    """
    keys = _kept(entry)
    keys["id"] = keys.pop("id")
    lines = _bytes(lambda given: "".join(f"{line}\n" for line in _lines(given, prefix="")), keys)
    return HEADER + b"\n" + lines + b"\n"


def _kept(record: Record) -> dict[str, Any]:
    # warnings off: a value of a wrong type is found with its key when the bytes are read back
    return record.model_dump(exclude_defaults=True, exclude_none=True, warnings=False)


def _bytes(dump: Any, keys: dict[str, Any]) -> bytes:  # noqa: ANN401 -- tomli_w's and our own dump differ
    try:
        text: str = dump(keys)
        return text.encode()
    except (TypeError, ValueError) as error:
        raise BadValue(
            f"This cannot be written to a file: {error}.", hint="Use plain text and numbers."
        ) from error


def _lines(keys: Mapping[str, Any], *, prefix: str) -> Iterator[str]:
    for key, value in keys.items():
        dotted = prefix + _key(key)
        if isinstance(value, Mapping) and value:
            yield from _lines(value, prefix=f"{dotted}.")
        else:
            yield f"{dotted} = {_inline(value)}"


def _inline(value: object) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(key)} = {_inline(one)}" for key, one in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_inline(one) for one in value) + "]"
    if isinstance(value, datetime):
        return value.isoformat()
    return tomli_w.dumps({"x": value}).removeprefix("x = ").removesuffix("\n")


def _key(key: str) -> str:
    return tomli_w.dumps({key: 0}).removesuffix(" = 0\n")
