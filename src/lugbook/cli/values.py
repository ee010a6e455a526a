"""What is typed after an option, and the record's values that come of it.

Numbers stay texts until here, so that a slip is told with the option's name. The word ``none`` takes a value
away again. Whether a value is allowed is the record's business, not the command line's.
"""

import math
import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Literal, TypedDict, TypeVar

from lugbook.cli.parser import Arguments, Parser, cut
from lugbook.errors import BadValue

if TYPE_CHECKING:
    from lugbook.records import By, HeadSide, Struck

NONE = "none"
"""Typed in place of a value, it takes the value away."""

INCH_MM = 25.4

_Word = TypeVar("_Word", bound=str)
_THREAD = re.compile(r"#?\d{1,2}-(?P<per_inch>\d{1,3})")


def add_json(parser: Parser) -> None:
    """Add the option that prints JSON."""
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")


def add_music(parser: Parser) -> None:
    """Add the option that says for which music."""
    parser.add_argument(
        "--for",
        metavar="CONTEXT",
        dest="contexts",
        action="append",
        default=[],
        help="for this music; may be repeated",
    )


def add_readings(parser: Parser) -> None:
    """Add the options of a reading of each head."""
    parser.add_argument("--top", metavar="R", help="reading of the top head: note, frequency or recording")
    parser.add_argument("--bottom", metavar="R", help="reading of the bottom head")
    add_how(parser)


def add_how(parser: Parser) -> None:
    """Add the options that say how a reading was had."""
    parser.add_argument("--by", metavar="ear|typed", help="how a typed pitch was had (typed)")
    add_struck(parser)
    parser.add_argument("--a4", metavar="HZ", help="concert pitch that note names are meant at")


def add_struck(parser: Parser) -> None:
    """Add the option that says where the head was struck."""
    parser.add_argument("--struck", metavar="rim|centre", help="where the head was struck")


def by_of(arguments: Arguments) -> "By | None":
    """Return how typed pitches were had."""
    return one_of(arguments.by, ("ear", "typed"), option="--by")


class Readings(TypedDict):
    """What was read at the drum, and how; by the names that the deeds of the desk give them."""

    top: str | None
    bottom: str | None
    by: "By | None"
    struck: "Struck | None"
    a4_hz: float | None


def readings_of(arguments: Arguments) -> Readings:
    """Return what was read.

    Raises:
        BadValue: neither head was read.
    """
    if arguments.top is None and arguments.bottom is None:
        raise BadValue("Neither head was read.", hint="Give --top R, --bottom R or both.")
    return {
        "top": arguments.top,
        "bottom": arguments.bottom,
        "by": by_of(arguments),
        "struck": struck_of(arguments),
        "a4_hz": a4_of(arguments),
    }


def struck_of(arguments: Arguments) -> "Struck | None":
    """Return where the head was struck."""
    return one_of(arguments.struck, ("rim", "centre"), option="--struck")


def a4_of(arguments: Arguments) -> float | None:
    """Return the concert pitch that was named, in Hz."""
    if arguments.a4 is None:
        return None
    from lugbook.pitch import check_a4

    return check_a4(number(arguments.a4, option="--a4", finite=False))


def side_of(text: str, *, option: str) -> "HeadSide":
    """Return which head *text* names."""
    sides: tuple[Literal["top", "bottom"], ...] = ("top", "bottom")
    side = one_of(text, sides, option=option)
    if side is None:
        raise AssertionError(option)
    return side


def one_of(text: str | None, words: Sequence[_Word], *, option: str) -> _Word | None:
    """Return the one of *words* that *text* is; None where nothing was typed.

    Raises:
        BadValue: it is none of them.
    """
    for word in words:
        if text == word:
            return word
    if text is None:
        return None
    raise BadValue(f"{option} cannot be {cut(text)}.", hint=f"It can be {' or '.join(words)}.")


def number(text: str, *, option: str, finite: bool = True) -> float:
    """Return the number that *text* names.

    Args:
        text: such as ``14`` or ``6.5``.
        option: what it was typed after.
        finite: refuse what is not finite here; where False, the caller does it with a better hint.

    Raises:
        BadValue: it is no number.
    """
    try:
        value = float(text)
    except ValueError:
        hint = "Write it with digits and a point, such as 6.5."
        raise BadValue(f"{option}: {cut(text)} is no number.", hint=hint) from None
    if finite and not math.isfinite(value):
        raise BadValue(f"{option}: {cut(text)} is no finite number.", hint="Give a number such as 6.5.")
    return value


def number_or_none(text: str, *, option: str) -> float | None:
    """Return the number that *text* names, or None for the word none."""
    return None if text == NONE else number(text, option=option)


def whole(text: str, *, option: str) -> int:
    """Return the whole number that *text* names."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not value.is_integer():
        raise BadValue(f"{option}: {cut(text)} is no whole number.", hint="Give one such as 10.")
    return int(value)


def thread_mm(text: str, *, option: str) -> float:
    """Return the travel of a rod per turn in mm: typed in mm, or as a thread such as 12-24."""
    if found := _THREAD.fullmatch(text):
        per_inch = int(found["per_inch"])
        if per_inch:
            return INCH_MM / per_inch
    return number(text, option=option)


def pairs(texts: Iterable[str] | None, *, option: str, form: str) -> list[tuple[str, str]]:
    """Return name and value of each of *texts*, which are typed ``name=value``.

    Raises:
        BadValue: one has no equals sign or no name.
    """
    found = []
    for text in texts or ():
        name, sign, value = text.rpartition("=")
        if not sign or not name.strip() or not value.strip():
            raise BadValue(f"{option}: {cut(text)} names no value.", hint=f"Write {option} {form}.")
        found.append((name.strip(), value.strip()))
    return found


def sides(texts: Iterable[str] | None, *, option: str, form: str) -> "list[tuple[HeadSide, str]]":
    """Return head and value of each of *texts*, which are typed ``top=value``."""
    return [(side_of(side, option=option), value) for side, value in pairs(texts, option=option, form=form)]


def turns(text: str) -> float | None:
    """Return the amount of turns that *text* names, or None for the word none."""
    from lugbook.turns.amounts import parse_turns

    return None if text == NONE else parse_turns(text)


def given(**values: Any) -> dict[str, Any]:  # noqa: ANN401 -- whatever a record's field takes
    """Return those of *values* that were typed at all."""
    return {key: value for key, value in values.items() if value is not None}


def something(values: dict[str, Any]) -> dict[str, Any]:
    """Return *values*, which were typed to change a record.

    Raises:
        BadValue: there are none.
    """
    if not values:
        raise BadValue(
            "Nothing to change was named.", hint="Give an option for each field; --help lists them."
        )
    return values


def yes_or_no(text: str, *, option: str) -> bool:
    """Return what *text* says: yes or no."""
    return one_of(text, ("yes", "no"), option=option) == "yes"
