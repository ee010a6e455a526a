"""Which details of a concert stand on its page, and in which order they are left out where there is no room.

What is left out first is what the player can best do without on the stand. The changes go last, with their
turns, times and cautions, and the running order goes last before them: it stands in small letters and in
two columns before it is cut.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from typing import Literal

from lugbook.cards.concert_facts import CardChange, CardConcert, CardItem, CardWindow

_MOST_DRUMS = 8
"""So many drums stand before the doors where there is no room for all."""

_GIVING = (24, 16, 11, 7, 4)
"""Lines for what would have to give, at most, and where there is no room for all of it."""

_SMALL = 0.75
"""Size of the letters of a small running order, over the others."""

TITLES, ENDS = "titles of items played as the one before", "ends of long titles"
"""What is left out of items, in words."""

_SENTENCE = re.compile(r"(?<=[.!?])\s+")
_COMMAND = "`lugbook "


@dataclass(frozen=True, slots=True)
class Shows:
    """Which details stand on the page."""

    remarks: bool = True
    """Sentences on items, changes and the concert."""
    rods: Literal["each", "once", "none"] = "each"
    """Rods in their order at each change, once for all, or not at all."""
    runs: bool = False
    """Whether items stand in runs that are played alike, rather than one by one."""
    letters: float = 1.0
    """Size of the letters of the items, over the others."""
    cut: bool = False
    """Whether titles are cut to one line."""
    columns: int = 1
    """Of the running order."""
    giving: int = _GIVING[0]
    """Lines for what would have to give."""
    last: bool = True
    """What is done after the turns: snares and muffling."""
    pitches: bool = True
    drums: int | None = None
    """So many drums before the doors; all of them where None."""
    items: int | None = None
    """So many items, from the first; all of them where None."""
    windows: int | None = None
    """So many windows; all of them where None."""
    left_out: tuple[str, ...] = ()
    """What does not stand on it, in words, but for the drums, items and changes that are counted there."""


@dataclass(frozen=True, slots=True)
class Run:
    """Items that stand in one row: played alike, with nothing to do between them."""

    items: tuple[CardItem, ...]

    @property
    def numbers(self) -> str:
        """Such as ``3`` or ``3–7``."""
        return numbers_of(self.items)

    @property
    def title(self) -> str:
        """Name of the first, and how many more there are."""
        more = len(self.items) - 1
        return self.items[0].name + (f" and {more} more" if more else "")

    @property
    def played(self) -> tuple[str, ...]:
        """What each of them is played with."""
        return self.items[0].played_with


def numbers_of(items: Sequence[CardItem]) -> str:
    """Return the numbers of items that follow each other, such as ``3`` or ``3–7``."""
    first, last = items[0].number, items[-1].number
    return f"{first}" if first == last else f"{first}–{last}"


def more_of(count: int, thing: str) -> str:
    """Return how many more of a *thing* there are, such as ``3 more changes``."""
    return f"{count} more {thing}{'' if count == 1 else 's'}"


@dataclass(frozen=True, slots=True)
class Cut:
    """One thing that may be done where there is no room."""

    make: Callable[[Shows], Shows]
    left_out: str = ""
    """What is then left out, in words; empty where nothing is lost."""


def cuts_of(card: CardConcert) -> Iterator[Cut]:
    """Yield what may be done to what a concert has, in the order in which it is done.

    After the last only items, and then changes, are left to leave out.
    """
    turns = [turn for change in card.changes for turn in change.turns if turn.order]
    # Nothing is lost: the order of as many rods is always the same. Without it there are no two columns.
    yield Cut(partial(replace, rods="once"))
    if card.remarks or any(one.remarks for one in card.items) or any(one.doubts for one in card.changes):
        yield Cut(partial(replace, remarks=False), "remarks")
    yield Cut(partial(replace, letters=_SMALL))
    for lines in () if card.fits else _GIVING[1:]:
        yield Cut(partial(replace, giving=lines), "some of what would have to give")
    if turns:
        yield Cut(partial(replace, rods="none"), "the order of the rods")
    if any(one.then for one in card.changes):
        yield Cut(partial(replace, last=False), "snares and muffling after a change")
    if any(one.pitches for one in card.before_doors):
        yield Cut(partial(replace, pitches=False), "the pitches before the doors")
    if len(card.before_doors) > _MOST_DRUMS:
        yield Cut(partial(replace, drums=_MOST_DRUMS))
    if len(parts_of(card, Shows(runs=True))) < len(card.evening):
        yield Cut(partial(replace, runs=True), TITLES)
    yield Cut(partial(replace, cut=True), ENDS)


def shown_with(cuts: Iterable[Cut]) -> Shows:
    """Return what is shown once *cuts* are made."""
    shows = Shows()
    for one in cuts:
        shows = one.make(shows)
        if one.left_out not in ("", *shows.left_out):
            shows = replace(shows, left_out=(*shows.left_out, one.left_out))
    return shows


def parts_of(card: CardConcert, shows: Shows) -> tuple[Run | CardWindow, ...]:
    """Return the rows of the running order: items, alone or in runs, and the windows between them."""
    if shows.windows is not None:
        return card.windows[: shows.windows]
    evening = [
        one
        for one in card.evening
        if isinstance(one, CardWindow) or shows.items is None or one.number <= shows.items
    ]
    if not shows.runs:
        return tuple(Run((one,)) if isinstance(one, CardItem) else one for one in evening)
    parts: list[Run | CardWindow] = []
    for _, group in groupby(evening, key=_played):
        alike = tuple(group)
        items = tuple(one for one in alike if isinstance(one, CardItem))
        parts += [Run(items)] if items else [one for one in alike if isinstance(one, CardWindow)]
    return tuple(parts)


def _played(part: CardItem | CardWindow) -> tuple[object, ...]:
    return (part.played, part.tacet) if isinstance(part, CardItem) else ()


def on_paper(sentences: Sequence[str]) -> str:
    """Return sentences in one text, without those that name a command: a stand has no shell."""
    parts = (part for text in sentences for part in _SENTENCE.split(text))
    return " ".join(part for part in parts if part and _COMMAND not in part)


def careful(change: CardChange) -> str:
    """Return what must be known of a change before it is made; it is never left out."""
    trust = ("Not trusted", *change.cautions) if change.doubts else change.cautions
    return "".join(f"{one[:1].upper()}{one[1:]}. " for one in trust).rstrip()


def orders_of(change: CardChange) -> tuple[tuple[int, ...], ...]:
    """Return the orders of the rods of its heads; one where both have the same."""
    return tuple(dict.fromkeys(turn.order for turn in change.turns if turn.order))
