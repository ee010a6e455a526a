"""From older forms of a file to the present one, step by step.

Each file says in ``format`` which form it has, counted for each kind of record. A file without it has format
0: written by hand. Every step takes the keys of one format to those of the next, so the present format of a
kind is the number of its steps. A file of a newer format is never touched.
"""

from collections.abc import Callable, Mapping
from typing import Any

from lugbook.errors import BadValue
from lugbook.records import (
    Concert,
    Drum,
    Entry,
    Evenings,
    LibrarySettings,
    Piece,
    Preset,
    Record,
    StartingPoint,
    UserSettings,
)

Keys = dict[str, Any]
"""The keys of a file, without ``format``."""

Step = Callable[[Keys], Keys]
"""Leads from the keys of one format to those of the next; leaves what it is given as it is."""


def _by_hand(keys: Keys) -> Keys:
    """Format 0 to 1: a file written by hand has the same keys and only lacks the number."""
    return keys


STEPS: Mapping[type[Record], tuple[Step, ...]] = {
    Concert: (_by_hand,),
    Drum: (_by_hand,),
    Entry: (_by_hand,),
    Evenings: (_by_hand,),
    LibrarySettings: (_by_hand,),
    Piece: (_by_hand,),
    Preset: (_by_hand,),
    StartingPoint: (_by_hand,),
    UserSettings: (_by_hand,),
}
"""Kind of record → its steps, from format 0 on.

A log file has the format of its entries. New entries are appended to a file of an older format too, so a step
of `Entry` must leave keys that are in the present format already as they are.
"""


def split_format(keys: Keys, *, steps: tuple[Step, ...]) -> tuple[int, Keys]:
    """Return the format that *keys* name, and the rest of them.

    Raises:
        BadValue: the format is no whole number of 0 or more, or newer than *steps* lead to.
    """
    present = len(steps)
    found = keys.get("format", 0)
    if type(found) is not int or found < 0:
        raise BadValue(f"the format is {found!r}", hint=f"format = {present}")
    if found > present:
        raise BadValue(
            f"made by a newer Lugbook: its format is {found}, and this version reads up to {present}",
            hint="a newer version of Lugbook; the file is left as it is",
        )
    return found, {key: value for key, value in keys.items() if key != "format"}


def brought_forward(keys: Keys, *, steps: tuple[Step, ...], found: int) -> Keys:
    """Return *keys* of the format *found* as the present format has them."""
    for step in steps[found:]:
        keys = step(keys)
    return keys
