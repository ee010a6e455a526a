"""In what size of letters a concert goes on one sheet, and how much of it.

A card on a stand is one page, and is read in a dim light. So letters are as large as the sheet allows; where
even the smallest that can be read leave no room, the running order stands in two columns, and details are
left out in a stated order (`concert_details`); the card says which.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from lugbook.cards.concert_details import Cut, Shows, cuts_of, shown_with
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_layout import Layout

_STEP = 0.96
"""Each size of letters that is tried, over the one before."""

_NARROWEST_EM = 17.0
"""A column that is less wide holds no change that can be read."""


@dataclass(frozen=True, slots=True)
class Room:
    """What a sheet offers."""

    width_mm: float
    height_mm: float
    most_em_mm: float
    """The largest size of the letters."""
    least_em_mm: float
    """The smallest."""
    code_mm: float = 0.0
    """Side of the QR code in the foot; 0 without one."""


@lru_cache(maxsize=4)
def fitted(card: CardConcert, room: Room) -> Layout:
    """Return the page of a concert: the most that one sheet holds, in the largest letters that hold it.

    It is asked for twice: for the page, and for what to say of it.
    """
    cuts = tuple(cuts_of(card))
    for count in range(len(cuts) + 1):
        found = _in_columns(card, shown_with(cuts[:count]), room)
        if found is not None:
            return _restored(found, cuts[:count], room, lambda shows: shows)
    # As many items as there is room for, beside all changes; and where even no item leaves that, as many
    # changes. What stands in two columns may take more of them or fewer: long names break in narrow ones.
    shows = shown_with(cuts)
    counts: tuple[tuple[int, Callable[[Shows, int], Shows]], ...] = (
        (len(card.items), lambda shows, most: replace(shows, items=most)),
        (len(card.windows), lambda shows, most: replace(shows, items=0, windows=most)),
    )
    for count, cut in counts:
        most = {columns: _most(card, shows, room, count, cut, columns) for columns in (1, 2)}
        columns = max(most, key=lambda one: most[one])
        limit = partial(_limited, cut, max(0, most[columns]))
        cut_page = _largest(card, replace(limit(shows), columns=columns), room)
        if cut_page is not None:
            return _restored(cut_page, cuts, room, limit)
    return _laid(card, replace(shows, items=0, windows=0), room, room.least_em_mm)


def _limited(cut: Callable[[Shows, int], Shows], most: int, shows: Shows) -> Shows:
    return cut(shows, most)


def _restored(found: Layout, cuts: tuple[Cut, ...], room: Room, limit: Callable[[Shows], Shows]) -> Layout:
    """Return the page with as many cuts undone as there is room for, the last first.

    What is left out last gives much room at once, which may be more than was wanting.
    """
    for one in reversed(cuts):
        fewer = tuple(other for other in cuts if other is not one)
        fuller = _in_columns(found.card, limit(shown_with(fewer)), room)
        if fuller is not None:
            found, cuts = fuller, fewer
    return found


def _in_columns(card: CardConcert, shows: Shows, room: Room) -> Layout | None:
    """Return the page in one column, or where that has no room in two; None where neither has."""
    for columns in _columns(shows):
        if _fits(card, replace(shows, columns=columns), room, room.least_em_mm):
            return _largest(card, replace(shows, columns=columns), room)
    return None


def _most(
    card: CardConcert, shows: Shows, room: Room, count: int, cut: Callable[[Shows, int], Shows], columns: int
) -> int:
    """Return the most of *count* that there is room for in so many columns; −1 where there is none for 0."""
    # More never takes less room, so that the most is found by halving.
    found = bisect_right(
        range(count + 1),
        False,
        key=lambda most: not _fits(card, replace(cut(shows, most), columns=columns), room, room.least_em_mm),
    )
    return found - 1


def _columns(shows: Shows) -> tuple[int, ...]:
    """Return in how many columns it may stand: the order of the rods has no room in half the width."""
    return (1,) if shows.rods == "each" else (1, 2)


def _laid(card: CardConcert, shows: Shows, room: Room, em_mm: float) -> Layout:
    return Layout(card, shows, em_mm, room.width_mm / em_mm, room.code_mm / em_mm)


def _fits(card: CardConcert, shows: Shows, room: Room, em_mm: float) -> bool:
    layout = _laid(card, shows, room, em_mm)
    narrow = shows.columns > 1 and layout.column_em < _NARROWEST_EM
    return not narrow and layout.height_em * em_mm <= room.height_mm


def _largest(card: CardConcert, shows: Shows, room: Room) -> Layout | None:
    """Return the page in the largest letters that leave room for all of it; None where none do."""
    if not _fits(card, shows, room, room.least_em_mm):
        return None
    sizes = (em_mm for em_mm in _sizes(room) if _fits(card, shows, room, em_mm))
    return _laid(card, shows, room, next(sizes, room.least_em_mm))


def _sizes(room: Room) -> Iterator[float]:
    """Yield the sizes of letters above the least in mm, the largest first."""
    em_mm = room.most_em_mm
    while em_mm > room.least_em_mm:
        yield em_mm
        em_mm *= _STEP
