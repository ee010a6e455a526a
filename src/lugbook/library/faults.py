"""The checks of pydantic put into plain sentences: which key, what is wrong, what would be right."""

import types
import typing
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ValidationError

from lugbook.errors import BadValue
from lugbook.library.problems import Problem, quoted

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_KINDS: Mapping[object, str] = {
    str: "a text in quotes",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    date: "a date such as 2026-05-03",
    datetime: "a time with its offset such as 2026-11-25T19:12:04+01:00",
    tuple: "a list in square brackets",
    dict: "a table of names and values",
}
"""What a key of this Python type looks like in a file."""

_WRONG_TYPES: Mapping[str, object] = {
    "string_type": str,
    "int_type": int,
    "float_type": float,
    "finite_number": float,
    "bool_type": bool,
    "date_type": date,
    "date_parsing": date,
    "date_from_datetime_parsing": date,
    "date_from_datetime_inexact": date,
    "datetime_type": datetime,
    "datetime_parsing": datetime,
    "datetime_from_date_parsing": datetime,
    "tuple_type": tuple,
    "dict_type": dict,
    "model_type": dict,
}
"""pydantic's name of the fault → the type that is wanted."""

_LIMITS = {
    "greater_than": ("gt", "not above {limit}", "a number above {limit}"),
    "greater_than_equal": ("ge", "below the limit of {limit}", "a number from {limit} up"),
    "less_than": ("lt", "not below {limit}", "a number below {limit}"),
    "less_than_equal": ("le", "above the limit of {limit}", "a number up to {limit}"),
}
"""pydantic's name of the fault → the key of its limit, what is wrong, and what would be right."""


def problems_of(error: ValidationError, kind: type[BaseModel], *, path: Path, place: str) -> list[Problem]:
    """Return one problem for each fault in *error*.

    Args:
        error: what the check of the record said.
        kind: the record that was checked.
        path: the file.
        place: put before each key, such as ``line 12``; may be empty.
    """
    problems = []
    for fault in error.errors(include_url=False):
        key = ".".join(str(part + 1) if isinstance(part, int) else part for part in fault["loc"])
        what, right = _words(fault, kind)
        where = ", ".join(part for part in (place, key) if part)
        problems.append(Problem(path, where, what.rstrip("."), right.rstrip(".")))
    return problems


def _words(fault: "ErrorDetails", kind: type[BaseModel]) -> tuple[str, str]:
    name, value, context = fault["type"], fault["input"], fault.get("ctx", {})
    if name == "missing":
        return "this is missing", looks_like(_annotation(kind, fault["loc"]))
    if name in _WRONG_TYPES:
        return f"{quoted(value)} is the wrong kind of value", _KINDS[_WRONG_TYPES[name]]
    if name in _LIMITS:
        key, what, right = _LIMITS[name]
        limit = f"{context[key]:g}"
        return f"{quoted(value)} is {what.format(limit=limit)}", right.format(limit=limit)
    if name == "literal_error":
        return f"{quoted(value)} is none of the known words", _choice(context["expected"])
    if name == "string_too_short":
        return "the text is empty", "at least one character"
    if name == "string_too_long":
        most = context["max_length"]
        return (
            f"the text has {len(value)} characters, above the limit of {most}",
            f"at most {most} characters",
        )
    if name == "too_long":
        most = context["max_length"]
        return (
            f"the list has {context['actual_length']} items, above the limit of {most}",
            f"a list of {most}",
        )
    return _own_words(fault)


def _own_words(fault: "ErrorDetails") -> tuple[str, str]:
    cause = fault.get("ctx", {}).get("error")
    if isinstance(cause, BadValue):
        return cause.sentence, cause.hint
    return f"{quoted(fault['input'])} cannot be used: {fault['msg']}", "a value that Lugbook writes"


def _choice(expected: str) -> str:
    """Return pydantic's list of words as one reads it in a file."""
    return f"one of {expected}".replace("'", '"')


def looks_like(annotation: object) -> str:
    """Return what a value of the type *annotation* looks like in a file."""
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated or origin in (typing.Union, types.UnionType):
        return looks_like(arguments[0])
    if origin is Literal:
        return "one of " + ", ".join(quoted(word) for word in arguments)
    return _KINDS.get(origin or annotation, _KINDS[dict])


def _annotation(kind: type[BaseModel], place: tuple[int | str, ...]) -> object:
    """Return the type that the record *kind* declares at *place*."""
    annotation: Any = kind
    for part in place:
        while typing.get_origin(annotation) in (typing.Union, types.UnionType, typing.Annotated):
            annotation = typing.get_args(annotation)[0]
        if isinstance(part, int):
            arguments = typing.get_args(annotation)
            annotation = arguments[0]
        else:
            annotation = annotation.model_fields[part].annotation
    return annotation
