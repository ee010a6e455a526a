"""A quick reader for the form that `encoding.entry_bytes` writes: a line for each key, simple values.

A logbook holds thousands of entries, and the standard library's TOML reader takes a fifth of a millisecond
for each. What is not of this form (a list, an escape, a remark, a key that stands twice) is left to it. Of
what is read here it would have said the same, which a test with arbitrary keys and values proves.
"""

import re
from datetime import datetime
from typing import Any

_LINE = re.compile(
    r"(?P<key>[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*) = (?:"
    r'"(?P<text>[^"\\\x00-\x1f\x7f]*)"'
    r"|(?P<real>-?(?:0|[1-9][0-9]{0,17})\.[0-9]{1,17})"
    r"|(?P<time>[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(?:Z|[+-][0-9]{2}:[0-9]{2}))"
    r"|(?P<whole>-?(?:0|[1-9][0-9]{0,17}))"
    r"|(?P<truth>true|false)"
    r")\n"
)


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
        *groups, last = line["key"].split(".", _DEEPEST)
        table = keys
        for group in groups:
            table = table.setdefault(group, {})
            if not isinstance(table, dict):
                return None
        if last in table or "." in last:
            return None
        try:
            table[last] = _value(line)
        except ValueError:
            return None
        at = line.end()
    return keys


def _value(line: re.Match[str]) -> Any:  # noqa: ANN401 -- whatever a value may be
    kind = line.lastgroup
    if kind == "text":
        return line["text"]
    if kind == "real":
        return float(line["real"])
    if kind == "time":
        return datetime.fromisoformat(line["time"])
    if kind == "whole":
        return int(line["whole"])
    return line["truth"] == "true"
