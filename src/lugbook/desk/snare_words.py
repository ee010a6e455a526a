"""A setting of the snares as it is typed in one line: what `SnareSetting.text` writes is read back."""

import re

from lugbook.desk.adjusting import FRACTION, NUMBER, adjustment_of, check_span, parse_number
from lugbook.desk.keeping import checked
from lugbook.desk.wording import folded
from lugbook.errors import BadValue
from lugbook.plain import shown
from lugbook.records import Adjustment, Drum, SnareSetting

_EXAMPLE = "just free; knob 3.5; butt 0.5; buzzes with horn Bb3"
_BUZZES = re.compile(r"buzzes\s+with\s+(?P<notes>.+)", re.IGNORECASE)
_LIMITS = re.compile(
    rf"\s*\((?:free at (?P<free>{NUMBER})(?:, chokes at (?P<choke>{NUMBER}))?"
    rf"|chokes at (?P<chokes>{NUMBER}))\)$"
)
_A_NUMBER = re.compile(f"{FRACTION}|{NUMBER}")
_VALUE = re.compile(rf"(?P<name>.*?\S)\s*(?:=\s*|\s)(?P<value>{FRACTION}|{NUMBER})")
_AS_NUMBER = re.compile(r"[+\-−]?(?:[.,]?[0-9]|[⅛¼⅜½⅝¾⅞]|(?:nan|inf|infinity)$)", re.IGNORECASE)


def parse_setting(drum: Drum, text: str) -> SnareSetting:
    """Return the setting that is typed in one line, with the set of wires that is on.

    Parts stand between semicolons: an adjustment with its value, and with its limits in brackets where they
    were found; ``buzzes with`` and notes of other instruments; everything else is words. Words that end with
    a number are told from an adjustment by a full stop.

    Args:
        drum: the drum; where its strainer has adjustments written down, others are refused.
        text: such as ``just free; knob 3.5 (free at 2, chokes at 5); buzzes with horn Bb3``.

    Raises:
        BadValue: it says nothing, names an adjustment that there is not, or values that cannot be.
    """
    words: list[str] = []
    buzzes: list[str] = []
    found: dict[str, dict[str, float]] = {"values": {}, "free": {}, "choke": {}}
    for part in filter(None, (one.strip() for one in text.split(";"))):
        if (said_of := _BUZZES.fullmatch(part)) is not None:
            buzzes += notes_of(said_of["notes"])
        elif (named := _adjusted(drum, part)) is not None:
            name, said = named
            if any(name in values for values in found.values()):
                raise BadValue(f"{shown(name)} is set twice.", hint="Give each adjustment one value.")
            for key, value in said.items():
                found[key][name] = value
        else:
            words.append(part)
    if not (words or buzzes or any(found.values())):
        raise BadValue("No setting of the snares was named.", hint=f"Write it such as {_EXAMPLE}.")
    for name in found["free"]:
        check_span(name, free=found["free"][name], choke=found["choke"].get(name))
    on = drum.wires_on("bottom")
    kept: dict[str, object] = {
        "words": "; ".join(words) or None,
        "buzzes_with": tuple(dict.fromkeys(buzzes)) or None,
    }
    kept["wires"] = on.id if on is not None else None
    return checked(SnareSetting, {**kept, **{key: one for key, one in found.items() if one}})


def notes_of(text: str) -> list[str]:
    """Return the notes of other instruments that *text* names, separated by commas."""
    return [" ".join(one.split()) for one in re.split("[,;]", text) if one.strip()]


def _adjusted(drum: Drum, part: str) -> tuple[str, dict[str, float]] | None:
    """Return an adjustment's name and what is said of it; None where *part* is words."""
    limits = _LIMITS.search(part)
    head = part[: limits.start()].rstrip() if limits is not None else part
    said = {} if limits is None else _numbers(limits.groupdict(), what=head)
    known = _known_name(drum, head)
    if known is not None:
        adjustment = adjustment_of(drum, known)
        rest = head[len(known) :].strip().removeprefix("=").strip()
        if _AS_NUMBER.match(rest):
            return adjustment.name, {"values": _value(rest, adjustment), **said}
        if not rest and limits is not None:
            return adjustment.name, said
        return None  # words that begin with its name
    if _A_NUMBER.fullmatch(head):
        return _only_name(drum, head), {"values": parse_number(head, what="The value"), **said}
    value = _VALUE.fullmatch(head)
    if value is not None:
        number = parse_number(value["value"], what=value["name"])
        return _name_of(drum, value["name"]), {"values": number, **said}
    return (_name_of(drum, head), said) if limits is not None and head else None


def _value(rest: str, adjustment: Adjustment) -> float:
    """Return the value that stands after an adjustment's name, with its unit or without."""
    try:
        return parse_number(rest.removesuffix(adjustment.unit), what=adjustment.name)
    except BadValue as error:
        raise BadValue(error.sentence, hint=f"{error.hint} Several stand between semicolons.") from None


def _known_name(drum: Drum, head: str) -> str | None:
    """Return the longest beginning of *head* that names an adjustment of the strainer, as it was typed."""
    keys = {folded(one.name) for one in drum.strainer.adjustments}
    ends = [index for index, sign in enumerate(f"{head} ") if sign in " =" and folded(head[:index]) in keys]
    return head[: ends[-1]] if ends else None


def _only_name(drum: Drum, text: str) -> str:
    known = drum.strainer.adjustments
    if len(known) == 1:
        return known[0].name
    raise BadValue(f"{shown(text)!r} names no adjustment.", hint=f"Write it such as {_EXAMPLE}.")


def _name_of(drum: Drum, name: str) -> str:
    try:
        return adjustment_of(drum, name).name
    except BadValue as error:
        more = "Several stand between semicolons; words that end with a number need a full stop."
        raise BadValue(error.sentence, hint=f"{error.hint} {more}") from None


def _numbers(typed: dict[str, str | None], *, what: str) -> dict[str, float]:
    given = {key.removesuffix("s"): text for key, text in typed.items() if text is not None}
    return {key: parse_number(text, what=what) for key, text in given.items()}
