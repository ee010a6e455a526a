"""The map of a search as text: top turns across, bottom turns up."""

from lugbook.plain import aligned
from lugbook.trials.grid import Pair
from lugbook.trials.mapping import Map
from lugbook.turns.amounts import show_turns

WHAT = "● kept  ○ beaten  = same  − worse  ? untried  ▶ next  × past a limit  [where the drum stands]"
"""What the signs of a map mean."""

_COLUMN, _NARROW, _LABEL = 12, 10, 6
"""The columns that a state takes at the most with its gap, in one line and with its word beneath; and those
of the turns at the left."""


def map_lines(map_: Map, *, width: int = 80) -> list[str]:
    """Return the map in lines of at most *width* columns; where it does not fit, what is nearest to kept."""
    if map_.together:
        return _one_line(map_)
    narrow = _LABEL + _COLUMN * len(map_.tops) > width
    room = max(1, (width - _LABEL) // (_NARROW if narrow else _COLUMN))
    tops = map_.tops_near(room)
    rows = [
        ["bottom", *[""] * len(tops)],
        *(row for bottom in map_.bottoms for row in _rows(map_, bottom, tops, narrow=narrow)),
        ["top", *(show_turns(top) for top in tops)],
    ]
    left = len(map_.tops) - len(tops)
    more = (
        [f"{left} more column{'' if left == 1 else 's'} beside; a wider window shows more."] if left else []
    )
    return [*aligned(rows), *more]


def _rows(map_: Map, bottom: float, tops: tuple[float, ...], *, narrow: bool) -> list[list[str]]:
    """Return the states of one bottom: in one line, or where it is *narrow* each word beneath its sign."""
    texts = [_text(map_, (top, bottom)) for top in tops]
    if not narrow:
        return [[show_turns(bottom), *texts]]
    signs, words = zip(*(text.partition(" ")[::2] for text in texts), strict=True)
    return [[show_turns(bottom), *signs], ["", *words]]


def _one_line(map_: Map) -> list[str]:
    """Return one state a line, which fits any window: in single tension all lie on one line."""
    rows = [[show_turns(top), cell.text()] for (top, _), cell in sorted(map_.cells.items(), reverse=True)]
    return aligned([["turns", ""], *rows])


def _text(map_: Map, place: Pair) -> str:
    cell = map_.cells.get(place)
    return "" if cell is None else cell.text()
