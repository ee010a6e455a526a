"""From a record's model to the fields of a form, and from typed texts back to values.

Every field is a text. What a field means is the docstring beneath it in the model, so a form never says
something else than the record does. What the program keeps by itself (the file's form, times, ids) and lists
of records with a history of their own (heads, counts, wires) are left out and stay as they are.
"""

import ast
import inspect
import textwrap
import types
import typing
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any, Literal, TypeAlias

from pydantic.fields import FieldInfo

from lugbook.desk.spans import parts_of, passage_lines, passages_of, rest_lines, rests_of, time_of, time_text
from lugbook.desk.wording import key_words
from lugbook.errors import BadValue
from lugbook.records import NoteNames, Record
from lugbook.records.base import PitchText
from lugbook.records.pieces import Passage, Rest, Seconds
from lugbook.tui.figures import EXAMPLES, read_pitch, written
from lugbook.turns.amounts import check_turns, parse_turns, show_turns

_LEFT_OUT = frozenset({"id", "format", "made", "entry", "file", "read_seconds", "read_bars", "chosen"})
"""Keys that the program fills in by itself."""

Kind = Literal[
    "text",
    "texts",
    "pitch",
    "day",
    "whole",
    "wholes",
    "number",
    "turns",
    "yes or no",
    "choice",
    "numbers",
    "time",
    "passages",
    "rests",
]
"""What a field's text comes to."""

_PLAIN: Mapping[object, Kind] = {str: "text", int: "whole", bool: "yes or no", date: "day"}
_SEVERAL: Mapping[object, Kind] = {str: "texts", int: "wholes", Passage: "passages", Rest: "rests"}

Annotation: TypeAlias = Any
"""What stands after a field's colon; Python has no common type for that."""

Value: TypeAlias = Any
"""What a field of a record holds: whatever its model allows."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form."""

    key: str
    """Dotted, such as ``top.rods``."""
    help: str
    """What it means."""
    kind: Kind
    required: bool
    default: str
    """What an empty text comes to, as text."""
    choices: tuple[str, ...] = ()
    long: bool = False
    """Whether it may have several lines."""
    language: NoteNames = "english"
    """In which language a pitch is shown and typed."""

    @property
    def label(self) -> str:
        """Its key in words, with its unit."""
        return key_words(self.key)

    @property
    def hint(self) -> str:
        """What it means, and what may be typed."""
        how = {
            "choice": f" One of: {', '.join(self.choices)}.",
            "yes or no": " yes or no.",
            "texts": " Separate several with commas.",
            "wholes": " Separate several with commas.",
            "numbers": " Name and value, separated by semicolons: knob 3.5; lever 2.",
            "turns": " Such as 1 3/4 or -1/8.",
            "day": " Such as 2026-05-03.",
            "time": " Seconds, or 1:30, or 2min.",
            "passages": " One a line, with its bars or without: 12-20 = soft roll.",
            "rests": " One a line, with its bars or without: 20-60 = 1:30.",
            "pitch": f" A note with its cents or a frequency: {EXAMPLES[self.language]} or 221.3 Hz.",
        }.get(self.kind, "")
        return self.help + how


def fields_of(model: type[Record], *, language: NoteNames = "english") -> tuple[Field, ...]:
    """Return the fields of a form for *model*, in the model's order; pitches are in that *language*."""
    return tuple(replace(field, language=language) for field in _fields(model, prefix="", required=True))


def texts_of(record: Record | None, fields: Iterable[Field]) -> dict[str, str]:
    """Return the text of each field as *record* has it; empty where the record does not say."""
    said = record.model_dump(exclude_unset=True) if record is not None else {}
    return {field.key: _as_text(_at(said, field.key), field) for field in fields}


def values_of(
    texts: Mapping[str, str], *, before: Mapping[str, str], fields: Iterable[Field]
) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the values of the texts that were changed, nested, and the faults by key.

    Args:
        texts: what is typed, by key.
        before: what the record says, by key.
        fields: the fields of the form.
    """
    values: dict[str, Any] = {}
    faults: dict[str, str] = {}
    for field in fields:
        text = texts[field.key].strip()
        if text == before[field.key].strip():
            continue
        try:
            value = _as_value(text, field)
        except BadValue as error:
            faults[field.key] = str(error)
        else:
            _put(values, field.key, value)
    for group in {field.key.rpartition(".")[0] for field in fields} - {""}:
        inside = [field.key for field in fields if field.key.startswith(f"{group}.")]
        if all(not texts[key].strip() for key in inside) and any(before[key] for key in inside):
            _put(values, group, None)
    return values, faults


def _fields(model: type[Record], *, prefix: str, required: bool) -> Iterable[Field]:
    docs = _docs(model)
    for name, info in model.model_fields.items():
        if name in _LEFT_OUT:
            continue
        inner, optional = _inner(info.annotation)
        key = f"{prefix}{name}"
        if isinstance(inner, type) and issubclass(inner, Record):
            yield from _fields(inner, prefix=f"{key}.", required=required and not optional)
        elif (kind := _kind(inner, info)) is not None:
            yield Field(
                key=key,
                help=docs.get(name, ""),
                kind=kind,
                required=required and info.is_required(),
                default="" if info.is_required() else _default(info, kind),
                choices=tuple(map(str, typing.get_args(inner))) if kind == "choice" else (),
                long=name == "note" or kind in ("passages", "rests"),
            )


def _inner(annotation: Annotation) -> tuple[Annotation, bool]:
    """Return an annotation without ``None`` and ``Annotated``, and whether it allowed None."""
    optional = False
    while True:
        origin = _origin(annotation)
        if origin is typing.Annotated:
            annotation = typing.get_args(annotation)[0]
        elif origin in (types.UnionType, typing.Union):
            optional = True
            annotation = next(one for one in typing.get_args(annotation) if one is not type(None))
        else:
            return annotation, optional


def _origin(annotation: Annotation) -> object:
    found: object = typing.get_origin(annotation)
    return found


def _kind(inner: Annotation, info: FieldInfo) -> Kind | None:
    origin, args = _origin(inner), typing.get_args(inner)
    if origin is Literal:
        return "choice"
    if origin is tuple:
        element, _ = _inner(args[0])
        return _SEVERAL.get(element)
    if origin is dict:
        return "numbers"
    metadata = [*info.metadata, *_metadata(info.annotation)]
    if inner is float:
        if any(one in metadata for one in _metadata(Seconds)):
            return "time"
        validators = [getattr(one, "func", None) for one in metadata]
        return "turns" if check_turns in validators else "number"
    if any(one in metadata for one in _metadata(PitchText)):
        return "pitch"
    return _PLAIN.get(inner)


def _metadata(annotation: Annotation) -> Iterable[Annotation]:
    if _origin(annotation) is typing.Annotated:
        yield from typing.get_args(annotation)[1:]
    for one in typing.get_args(annotation):
        yield from _metadata(one)


def _default(info: FieldInfo, kind: Kind) -> str:
    value = info.get_default(call_default_factory=True)
    return _text(value, kind)


def _as_text(value: Value, field: Field) -> str:
    if field.kind == "pitch" and value is not None:
        return written(value, language=field.language)
    return _text(value, field.kind)


def _text(value: Value, kind: Kind) -> str:
    if value is None:
        return ""
    if kind in ("texts", "wholes"):
        return ", ".join(map(str, value))
    if kind == "time":
        return time_text(value)
    if kind == "passages":
        return passage_lines(map(Passage.model_validate, value))
    if kind == "rests":
        return rest_lines(map(Rest.model_validate, value))
    if kind == "numbers":
        return "; ".join(f"{name} {number:g}" for name, number in value.items())
    if kind == "yes or no":
        return "yes" if value else "no"
    if kind == "turns":
        return show_turns(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _as_value(text: str, field: Field) -> Value:
    """Return the value of a text; numbers stay texts, which the record checks and words the faults of."""
    if not text:
        return None
    if field.kind == "yes or no" and text.lower() not in ("yes", "no"):
        raise BadValue(f"{text!r} is neither yes nor no.")
    read = _READ.get(field.kind)
    if read is not None:
        return read(text)
    return read_pitch(text, language=field.language).text() if field.kind == "pitch" else text


def _pair(text: str) -> tuple[str, float]:
    name, _, number = text.strip().rpartition(" ")
    try:
        return name.strip(), float(number.replace(",", "."))
    except ValueError:
        raise BadValue(f"{text.strip()!r} is no name with a number.", hint="Write knob 3.5.") from None


_READ: Mapping[Kind, Callable[[str], Value]] = {
    "texts": parts_of,
    "wholes": parts_of,
    "numbers": lambda text: dict(map(_pair, parts_of(text, ";"))),
    "number": lambda text: text.replace(",", "."),
    "yes or no": lambda text: text.lower() == "yes",
    "time": time_of,
    "passages": passages_of,
    "rests": rests_of,
    "turns": parse_turns,
}
"""How the text of a field is read."""


def _at(values: Mapping[str, Any], key: str) -> Value:
    value: Value = values
    for part in key.split("."):
        value = value.get(part) if isinstance(value, Mapping) else None
    return value


def _put(values: dict[str, Any], key: str, value: Value) -> None:
    *groups, last = key.split(".")
    for group in groups:
        inner = values.setdefault(group, {})
        if not isinstance(inner, dict):
            return
        values = inner
    values[last] = value


@cache
def _docs(model: type[Record]) -> dict[str, str]:
    """Return the docstring beneath each field of *model*, read from its source."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(model)))
    docs: dict[str, str] = {}
    for definition in tree.body:
        if not isinstance(definition, ast.ClassDef):
            continue
        for field, after in zip(definition.body, definition.body[1:], strict=False):
            if not (isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)):
                continue
            if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
                docs[field.target.id] = inspect.cleandoc(str(after.value.value)).replace("``", "")
    return docs
