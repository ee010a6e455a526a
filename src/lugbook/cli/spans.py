"""Times and bars as one types them: ``90``, ``1:30``, ``2min``; ``12-20``; ``12-20=45``; and days."""

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import cut
from lugbook.cli.values import NONE
from lugbook.errors import BadValue

if TYPE_CHECKING:
    from datetime import date

TIME_HELP = "seconds, or 1:30, or 2min"


class InOrder(argparse.Action):
    """Keeps options in the order they were typed: each belongs to the item named before it."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        """Add the option with what was typed after it."""
        del parser
        namespace.steps = [*(getattr(namespace, "steps", None) or ()), (option_string, values)]


def seconds_of(text: str, *, option: str) -> float | None:
    """Return the seconds that *text* names, or None for the word none.

    Raises:
        BadValue: it is no time.
    """
    if text == NONE:
        return None
    from lugbook.desk.spans import seconds_in  # on use: `--help` loads no desk

    found = seconds_in(text)
    if found is None:
        raise BadValue(f"{option}: {cut(text)} is no time.", hint="Write 90 (seconds), 1:30 or 2min.")
    return found


def bars_of(text: str, *, option: str) -> dict[str, int]:
    """Return the first and the last bar that *text* names.

    Raises:
        BadValue: it names no bars.
    """
    from lugbook.desk.spans import bars_in  # on use: `--help` loads no desk

    found = bars_in(text)
    if found is None:
        raise BadValue(f"{option}: {cut(text)} names no bars.", hint="Write 12 or 12-20.")
    return found


def rest_of(text: str, *, option: str) -> dict[str, float | int | None]:
    """Return the values of a rest that is typed ``TIME`` or ``BARS=TIME``; its seconds are None for none."""
    bars, sign, time = text.rpartition("=")
    values: dict[str, float | int | None] = {"seconds": seconds_of(time.strip(), option=option)}
    return values | bars_of(bars, option=option) if sign else values


def passage_of(text: str, *, option: str) -> dict[str, str | int | None]:
    """Return the values of a passage that is typed ``BARS=WORDS``; its words are None for none.

    Raises:
        BadValue: it has no equals sign, or names no bars.
    """
    bars, sign, words = text.partition("=")
    if not sign or not words.strip():
        raise BadValue(
            f"{option}: {cut(text)} says nothing of any bars.", hint=f"Write {option} 12-20=WORDS."
        )
    said = words.strip()
    return {**bars_of(bars, option=option), "words": None if said == NONE else said}


def day_of(text: str, *, option: str) -> "date | None":
    """Return the day that *text* names, or None for the word none.

    Raises:
        BadValue: it is no day.
    """
    from datetime import date

    if text == NONE:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadValue(f"{option}: {cut(text)} is no day.", hint="Write it as 2026-12-05.") from None
