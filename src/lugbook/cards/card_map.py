"""The map of a search for a card: a small grid of signs around the kept state."""

from dataclasses import dataclass

from lugbook.trials.mapping import SIGNS, Cell, Map
from lugbook.turns.amounts import show_turns


@dataclass(frozen=True, slots=True)
class Grid:
    """States in rows of bottom turns, the highest first, and columns of top turns."""

    tops: tuple[str, ...]
    """Turns over the columns."""
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    """Bottom turns, and in each column sign and number, or nothing. In single tension there is one row."""
    used: tuple[tuple[str, str], ...]
    """The signs in it with their words."""
    more: int
    """How many states lie outside it."""


def grid_of(map_: Map, *, across: int, up: int) -> Grid:
    """Return what is nearest to the kept state.

    Args:
        map_: the map.
        across: most columns.
        up: most rows.
    """
    tops = map_.tops_near(across)
    if map_.together:
        shown = {place: cell for place, cell in map_.cells.items() if place[0] in tops}
        by_top = {place[0]: cell for place, cell in shown.items()}
        rows: tuple[tuple[str, tuple[str, ...]], ...] = (("", tuple(_text(by_top.get(top)) for top in tops)),)
    else:
        bottoms = map_.bottoms_near(up)
        shown = {
            place: cell for place, cell in map_.cells.items() if place[0] in tops and place[1] in bottoms
        }
        rows = tuple(
            (show_turns(bottom), tuple(_text(map_.cells.get((top, bottom))) for top in tops))
            for bottom in reversed(bottoms)
        )
    standing = {cell.standing for cell in shown.values()}
    return Grid(
        tops=tuple(show_turns(top) for top in tops),
        rows=rows,
        used=tuple((sign, word) for word, sign in SIGNS.items() if word in standing),
        more=len(map_.cells) - len(shown),
    )


def more_words(more: int) -> str:
    """Return what is said of states that lie outside; empty where none do."""
    return f"{more} state{'' if more == 1 else 's'} further off" if more else ""


def _text(cell: Cell | None) -> str:
    if cell is None:
        return ""
    return f"{SIGNS[cell.standing]}{'' if cell.number is None else cell.number}"
