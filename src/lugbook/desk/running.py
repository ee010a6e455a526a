"""The items of a concert as one types them, and the changes to their order.

An item is always named by the number that it was shown with, whatever the changes before did to it: two items
dropped together are told by the numbers that the player sees. Where it goes is the number that it has then.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.spans import parts_of
from lugbook.desk.wording import folded
from lugbook.errors import BadValue
from lugbook.plain import shown
from lugbook.records import Item


@dataclass(frozen=True, slots=True)
class Put:
    """Put in a new item."""

    values: Values
    """Fields of `Item`."""
    at: int | None = None
    """The number that it has then; the last where None."""


@dataclass(frozen=True, slots=True)
class Alter:
    """Change an item."""

    number: int
    values: Values


@dataclass(frozen=True, slots=True)
class Move:
    """Let an item go elsewhere."""

    number: int
    to: int
    """The number that it has then."""


@dataclass(frozen=True, slots=True)
class Drop:
    """Take an item out."""

    number: int


Change: TypeAlias = Put | Alter | Move | Drop
"""One change of the items."""


def changed(items: Sequence[Item], changes: Sequence[Change]) -> tuple[Item, ...]:
    """Return *items* after *changes*, whose numbers are those of *items*, from 1.

    Raises:
        BadRecord: the values of one make no item.
        BadValue: there is no item of that number, or it was dropped before.
    """
    rows: list[tuple[int, Item]] = list(enumerate(items, 1))
    for change in changes:
        match change:
            case Put(values, at):
                item = checked(Item, values)
                rows.insert(len(rows) if at is None else _aim(at, among=len(rows) + 1), (0, item))
            case Alter(number, values):
                place = _place(rows, number, items)
                rows[place] = (number, merged(rows[place][1], values))
            case Move(number, to):
                moved = rows.pop(_place(rows, number, items))
                rows.insert(_aim(to, among=len(rows) + 1), moved)
            case Drop(number):
                rows.pop(_place(rows, number, items))
    return tuple(item for _, item in rows)


def _place(rows: Sequence[tuple[int, Item]], number: int, items: Sequence[Item]) -> int:
    """Return where the item is now that had that *number* among *items*."""
    if not 1 <= number <= len(items):
        last = len(items)
        raise BadValue(
            f"There is no item {number}.",
            hint=f"The concert has the items 1 to {last}." if last else "The concert had no items.",
        )
    place = next((index for index, (own, _) in enumerate(rows) if own == number), None)
    if place is None:
        raise BadValue(f"Item {number} was dropped by the same change.", hint="Name another item.")
    return place


def _aim(number: int, *, among: int) -> int:
    """Return the index of that *number* in a list of so many."""
    if not 1 <= number <= among:
        raise BadValue(f"No item can have the number {number}.", hint=f"It can be 1 to {among}.")
    return number - 1


_TACET = "tacet"
"""Typed for what it is played with, where the player has nothing to play."""


class Titles:
    """What the pieces of a library are called; read once for all the items that are typed together."""

    def __init__(self, desk: Desk) -> None:
        self._slugs = frozenset(desk.library.piece_slugs())
        self._by_title: dict[str, list[str]] = {}
        for slug, stored in desk.library.pieces().items.items():
            record = stored.record
            for title in {folded(one) for one in (record.title, record.name, record.called)}:
                self._by_title.setdefault(title, []).append(slug)

    def piece(self, name: str) -> str | None:
        """Return the slug of the one piece that *name* means: its slug, or its title; None where none is.

        Raises:
            BadValue: several pieces have that title.
        """
        if name in self._slugs:
            return name
        found = self._by_title.get(folded(name), [])
        if len(found) > 1:
            raise BadValue(
                f"{shown(name)!r} is the title of {len(found)} pieces.", hint=f"Name one: {', '.join(found)}."
            )
        return found[0] if found else None


def item_values(titles: Titles, text: str) -> dict[str, Any]:
    """Return the values of an item that is typed ``NAME=WHAT``; a part that is not typed is left out.

    NAME is a piece, by its slug or its title, or any title. WHAT are presets (``drum/preset``) and contexts,
    separated by commas, or the word tacet. ``NAME=`` takes them away, ``=WHAT`` leaves the name as it is.

    Raises:
        BadValue: nothing was typed, or the title is that of several pieces.
    """
    name, sign, what = text.rpartition("=") if "=" in text else (text, "", "")
    name = name.strip()
    if not name and not what.strip():
        raise BadValue("An empty item names nothing.", hint='Write for example --item "Overture=soft rolls".')
    values: dict[str, Any] = {}
    if name:
        piece = titles.piece(name)
        values |= {"piece": piece, "title": None if piece else name}
    if sign:
        parts = parts_of(what)
        tacet = [folded(part) for part in parts] == [_TACET]
        values["tacet"] = tacet or None
        values["presets"] = [part for part in parts if "/" in part]
        values["contexts"] = [] if tacet else [part for part in parts if "/" not in part]
    return values
