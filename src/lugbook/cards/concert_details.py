"""Which details of a concert stand on its page, and in which order they are left out where there is no room.

What is left out first is what the player can best do without on the stand; turns, times and cautions of a
change stay as long as the change itself does.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from lugbook.cards.concert_facts import CardConcert, CardItem, CardWindow

_MOST_DRUMS = 8
"""So many drums stand before the doors where there is no room for all."""


@dataclass(frozen=True, slots=True)
class Shows:
    """Which details stand on the page."""

    remarks: bool = True
    rods: Literal["each", "once", "none"] = "each"
    """Rods in their order at each change, once for all, or not at all."""
    titles: Literal["all", "runs", "none"] = "all"
    """Items one by one, or in runs that are played alike, or not at all."""
    last: bool = True
    """What is done after the turns: snares and muffling."""
    pitches: bool = True
    drums: int | None = None
    """So many drums before the doors; all of them where None."""
    windows: int | None = None
    """So many windows; all of them where None."""
    left_out: tuple[str, ...] = ()
    """What does not stand on it, in words."""


@dataclass(frozen=True, slots=True)
class Run:
    """Items that stand in one row: played alike, with nothing to do between them."""

    items: tuple[CardItem, ...]

    @property
    def numbers(self) -> str:
        """Such as ``3`` or ``3–7``."""
        first, last = self.items[0].number, self.items[-1].number
        return f"{first}" if first == last else f"{first}–{last}"

    @property
    def title(self) -> str:
        """Name of the first, and how many more there are."""
        more = len(self.items) - 1
        return self.items[0].name + (f" and {more} more" if more else "")


def steps() -> Iterator[Shows]:
    """Yield what to show, each time less than before; after the last, only changes are left to leave out."""
    shows = Shows()
    yield shows
    shows = replace(shows, remarks=False, left_out=("remarks",))
    yield shows
    # Nothing is lost: the order of as many rods is always the same.
    shows = replace(shows, rods="once")
    yield shows
    shows = replace(
        shows, titles="runs", left_out=(*shows.left_out, "titles of items played as the one before")
    )
    yield shows
    shows = replace(shows, rods="none", left_out=(*shows.left_out, "the order of the rods"))
    yield shows
    shows = replace(shows, last=False, left_out=(*shows.left_out, "snares and muffling after a change"))
    yield shows
    shows = replace(shows, titles="none", left_out=("remarks", "all items", *shows.left_out[2:]))
    yield shows
    shows = replace(shows, pitches=False, left_out=(*shows.left_out, "the pitches before the doors"))
    yield shows
    yield replace(shows, drums=_MOST_DRUMS)


def parts_of(card: CardConcert, shows: Shows) -> tuple[Run | CardWindow, ...]:
    """Return the rows of the running order: items, alone or in runs, and the windows between them."""
    if shows.titles == "none":
        return card.windows[: shows.windows]
    if shows.titles == "all":
        return tuple(Run((one,)) if isinstance(one, CardItem) else one for one in card.evening)
    parts: list[Run | CardWindow] = []
    for _, group in groupby(card.evening, key=_played):
        alike = tuple(group)
        items = tuple(one for one in alike if isinstance(one, CardItem))
        parts += [Run(items)] if items else [one for one in alike if isinstance(one, CardWindow)]
    return tuple(parts)


def _played(part: CardItem | CardWindow) -> tuple[object, ...]:
    return (part.played, part.tacet) if isinstance(part, CardItem) else ()
