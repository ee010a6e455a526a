"""A quick reader for the form that `encoding.entry_bytes` writes: a line for each key, simple values.

A logbook holds thousands of entries, and the standard library's TOML reader takes over a tenth of a
millisecond for each. What is not of this form (a list, an escape, a remark, a key that stands twice) is left
to it. Of what is read here it would have said the same, which a test with arbitrary keys and values proves.
"""

import re
from datetime import datetime
from typing import Any

_TEXT = r'"[^"\\\x00-\x1f\x7f]*"'

_PART = rf"(?:[A-Za-z0-9_-]+|{_TEXT})"
"""One level of a key: in quotes where it is a player's word, such as the name of a passage."""

_CLOCK = "(?:[01][0-9]|2[0-3]):[0-5][0-9]"
"""Within its limits here, as the standard library's date reader takes ``+10:75``."""

_LINE = re.compile(
    rf"(?P<key>{_PART}(?:\.{_PART})*) = (?:"
    rf"(?P<text>{_TEXT})"
    r"|(?P<real>-?(?:0|[1-9][0-9]{0,17})\.[0-9]{1,17})"
    rf"|(?P<time>[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}T{_CLOCK}:[0-5][0-9](?:Z|[+-]{_CLOCK}))"
    r"|(?P<whole>-?(?:0|[1-9][0-9]{0,17}))"
    r"|(?P<truth>true|false)"
    r")\n"
)

_PARTS = re.compile(_PART)

_DEEPEST = 6
"""So many levels a key may have here; a record has no more than three."""


def plain_keys(data: bytes) -> dict[str, Any] | None:
    """Return the keys of *data* with their values; None where it is not wholly of the plain form."""
    try:
        text = data.decode()
    except UnicodeDecodeError:
        return None
    keys: dict[str, Any] = {}
    at, end = 0, len(text)
    while at < end:
        if text[at] == "\n":
            at += 1
            continue
        line = _LINE.match(text, at)
        if line is None:
            return None
        *groups, last = _levels(line["key"])
        if len(groups) >= _DEEPEST:
            return None
        table = keys
        for group in groups:
            table = table.setdefault(group, {})
            if not isinstance(table, dict):
                return None
        if last in table:
            return None
        try:
            table[last] = _value(line)
        except ValueError:
            return None
        at = line.end()
    return keys


def _levels(key: str) -> list[str]:
    if '"' not in key:
        return key.split(".")
    return [part.strip('"') for part in _PARTS.findall(key)]


def _value(line: re.Match[str]) -> Any:  # noqa: ANN401 -- whatever a value may be
    kind = line.lastgroup
    if kind == "text":
        return line["text"][1:-1]
    if kind == "real":
        return float(line["real"])
    if kind == "time":
        return datetime.fromisoformat(line["time"])
    if kind == "whole":
        return int(line["whole"])
    return line["truth"] == "true"
