"""Times, bars and the lines that tell of bars, as one types them: ``90``, ``1:30``, ``2min``; ``12-20``."""

import re
from collections.abc import Iterable
from typing import Any

from lugbook.errors import BadValue
from lugbook.plain import shown

_TIME = re.compile(
    r"(?:(?P<hours>\d{1,2}):(?=\d{1,2}:))?(?P<minutes>\d{1,3}):(?P<rest>[0-5]?\d)"
    r"|(?P<number>\d+(?:[.,]\d+)?) ?(?P<unit>s|sec|m|min|h)?"
)
_IN_SECONDS = {None: 1, "s": 1, "sec": 1, "m": 60, "min": 60, "h": 3600}
_BARS = re.compile(r"(?P<first>\d{1,4})(?:\s*[-–]\s*(?P<last>\d{1,4}))?")
_CUT = 40


def seconds_in(text: str) -> float | None:
    """Return the seconds that *text* names; None where it is no time."""
    found = _TIME.fullmatch(text.strip())
    if found is None:
        return None
    if found["number"] is not None:
        return float(found["number"].replace(",", ".")) * _IN_SECONDS[found["unit"]]
    return 3600.0 * int(found["hours"] or 0) + 60.0 * int(found["minutes"]) + int(found["rest"])


def bars_in(text: str) -> dict[str, int] | None:
    """Return the first and the last bar that *text* names; None where it names none."""
    found = _BARS.fullmatch(text.strip())
    if found is None:
        return None
    values = {"bar_from": int(found["first"])}
    return values if found["last"] is None else {**values, "bar_to": int(found["last"])}


def time_of(text: str) -> float | None:
    """Return the seconds that *text* names, or None where it is empty.

    Raises:
        BadValue: it is no time.
    """
    if not text.strip():
        return None
    found = seconds_in(text)
    if found is None:
        raise BadValue(f"{_cut(text)} is no time.", hint="Write 90 (seconds), 1:30 or 2min.")
    return found


def time_text(seconds: float | None) -> str:
    """Return *seconds* as `time_of` reads them back: ``1:30``, or ``7.5`` where they are no whole number."""
    if seconds is None:
        return ""
    if seconds != int(seconds):
        return f"{seconds:.10g}"
    minutes, rest = divmod(int(seconds), 60)
    return f"{minutes}:{rest:02}" if minutes < 1_000 else f"{int(seconds)}"


def passage_lines(passages: Iterable[Any]) -> str:
    """Return passages, one a line, as `passages_of` reads them back: ``12-20 = soft roll``."""
    return "\n".join(f"{one.bars} = {one.words}" if one.bars else one.words for one in passages)


def passages_of(text: str) -> list[dict[str, Any]]:
    """Return the values of the passages that are typed one a line, each with or without its bars."""
    found: list[dict[str, Any]] = []
    for line in _lines(text):
        bars, sign, words = line.partition("=")
        named = bars_in(bars) if sign else None
        found.append({"words": line} if named is None else {**named, "words": words.strip()})
    return found


def rest_lines(rests: Iterable[Any]) -> str:
    """Return rests, one a line, as `rests_of` reads them back: ``20-60 = 1:30``."""
    return "\n".join(
        f"{one.bars} = {time_text(one.seconds)}" if one.bars else time_text(one.seconds) for one in rests
    )


def rests_of(text: str) -> list[dict[str, Any]]:
    """Return the values of the rests that are typed one a line, each with or without its bars.

    Raises:
        BadValue: a line names no time, or no bars before its time.
    """
    found: list[dict[str, Any]] = []
    for line in _lines(text):
        bars, sign, time = line.rpartition("=")
        named = bars_in(bars) if sign else {}
        if named is None:
            raise BadValue(f"{_cut(bars)} names no bars.", hint="Write 20-60 = 1:30.")
        if not time.strip():
            raise BadValue(f"{_cut(line)} names no time.", hint="Write 20-60 = 1:30.")
        found.append({**named, "seconds": time_of(time)})
    return found


def parts_of(text: str, sign: str = ",") -> list[str]:
    """Return what is typed with a *sign* between, without blanks around it and without what is empty."""
    return [part.strip() for part in text.split(sign) if part.strip()]


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _cut(text: str) -> str:
    return repr(shown(text.strip()[:_CUT]))
