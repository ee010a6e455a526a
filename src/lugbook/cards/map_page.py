"""The map of a search as a page: every state that was heard, in a grid of turns, with what was said of it.

Top turns go across, bottom turns upwards; in single tension, where both heads go together, the states lie in
one line. A state is a box with its sign, the number of its entry and its word. The kept one has a heavier
frame, what is to be tried next an arrow and a dashed frame, and a mark stands under the box in which the drum
stands. Nothing is told by colour alone.
"""

from collections.abc import Sequence

from lugbook.cards.drawing import (
    FAINT,
    INK,
    MARK,
    PALE,
    PAPER,
    SOFT,
    Drawing,
    fitting,
    text_width,
    wrapped,
)
from lugbook.trials.grid import Pair
from lugbook.trials.mapping import NEXT, SIGNS, Cell, Map
from lugbook.turns.amounts import show_turns

WIDTH = 1000.0
"""Of the view box; its height is that of the grid and the words under it."""

_LEFT, _RIGHT = 40.0, 960.0
_GRID_LEFT, _GRID_TOP, _GRID_BOTTOM = 130.0, 130.0, 730.0
_LEGEND, _WORDS, _END = 100.0, 150.0, 260.0
"""How far under the grid the legend, the words and the end of the page lie."""

_SIZE, _SMALL = 15.0, 13.0
_MOST_WIDE, _MOST_TALL = 190.0, 116.0
"""A box is no larger than this, however few there are."""

_GAP = 6.0
_MOST_ACROSS, _MOST_UP = 9, 11
"""So many columns and rows are drawn at the most, those nearest to the kept state."""

_DASHES = "7 4"
_MOST_LINES = 4

_FILLED = {"kept": PAPER, "untried": PAPER, "limit": PALE, "heard": PAPER}
"""The ground of a box by how its state stands; what is closed is grey."""


def map_picture(
    map_: Map, *, name: str, search: str, when: str, next_words: str = "", kept_words: str = ""
) -> str:
    """Return the page as the text of an SVG file.

    Args:
        map_: the map.
        name: what the player calls the drum; any text.
        search: the name of the search; any text.
        when: today in words.
        next_words: what is to be tried next, and why.
        kept_words: what was said of the kept state.
    """
    places = _drawn(map_)
    wide, tall = _box(map_, places)
    lowest = _GRID_TOP + tall * _rows(map_, places)
    drawing = Drawing(
        WIDTH,
        lowest + _END,
        title=f"Map of the search {search} on {name}",
        description=_described(map_, places, next_words=next_words),
    )
    drawing.text(_RIGHT, 44, when, size=16, anchor="end", fill=SOFT)
    room = _RIGHT - _LEFT - text_width(when, size=16) - 24
    drawing.text(_LEFT, 44, name, size=16, fill=SOFT, bold="bold", most=room)
    drawing.stroke(((_LEFT, 60), (_RIGHT, 60)), colour=FAINT)
    drawing.text(_LEFT, 96, f"Search: {search}", size=22, bold="bold", most=_RIGHT - _LEFT)
    if map_.together:
        _draw_line(drawing, map_, places, tall=tall)
    else:
        _draw_grid(drawing, map_, places, wide=wide, tall=tall)
    _draw_words(drawing, map_, places, [next_words, kept_words], below=lowest)
    return drawing.svg()


def _drawn(map_: Map) -> list[Pair]:
    """Return the states that are drawn: all of them, or those nearest to the kept one."""
    if map_.together:
        tops = map_.tops_near(_MOST_UP)
        return [place for place in sorted(map_.cells) if place[0] in tops]
    tops = map_.tops_near(_MOST_ACROSS)
    bottoms = map_.bottoms_near(_MOST_UP)
    return [place for place in sorted(map_.cells) if place[0] in tops and place[1] in bottoms]


def _rows(map_: Map, places: Sequence[Pair]) -> int:
    return len(places) if map_.together else len({bottom for _, bottom in places})


def _box(map_: Map, places: Sequence[Pair]) -> tuple[float, float]:
    """Return the room of one state: how wide and how tall."""
    columns = 1 if map_.together else len({top for top, _ in places})
    wide = min(_MOST_WIDE, (_RIGHT - _GRID_LEFT) / columns)
    return wide, min(_MOST_TALL, (_GRID_BOTTOM - _GRID_TOP) / _rows(map_, places))


def _draw_grid(drawing: Drawing, map_: Map, places: Sequence[Pair], *, wide: float, tall: float) -> None:
    tops = sorted({top for top, _ in places})
    bottoms = sorted({bottom for _, bottom in places}, reverse=True)
    lowest = _GRID_TOP + tall * len(bottoms)
    for row, bottom in enumerate(bottoms):
        middle = _GRID_TOP + tall * (row + 0.5)
        drawing.stroke(((_GRID_LEFT, middle), (_GRID_LEFT + wide * len(tops), middle)), colour=FAINT)
        words = show_turns(bottom)
        drawing.text(_GRID_LEFT - 12, middle + 5, words, size=_SIZE, anchor="end", fill=SOFT, most=90)
    for column, top in enumerate(tops):
        middle = _GRID_LEFT + wide * (column + 0.5)
        drawing.stroke(((middle, _GRID_TOP), (middle, lowest)), colour=FAINT)
        words = show_turns(top)
        size = fitting(words, size=_SIZE, width=wide - 2)
        drawing.text(middle, lowest + 22, words, size=size, anchor="middle", fill=SOFT)
    for top, bottom in places:
        x, y = _GRID_LEFT + wide * tops.index(top), _GRID_TOP + tall * bottoms.index(bottom)
        _draw_state(drawing, map_.cells[top, bottom], x, y, wide, tall)
    drawing.text(_LEFT, _GRID_TOP - 10, "bottom head, turns", size=_SMALL, fill=SOFT)
    drawing.text(_GRID_LEFT, lowest + 46, "top head, turns from its reference", size=_SMALL, fill=SOFT)


def _draw_line(drawing: Drawing, map_: Map, places: Sequence[Pair], *, tall: float) -> None:
    """Draw the states of single tension one above the other, the tightest first."""
    middle = _GRID_LEFT + _MOST_WIDE / 2
    drawing.stroke(((middle, _GRID_TOP), (middle, _GRID_TOP + tall * len(places))), colour=FAINT)
    for row, place in enumerate(reversed(places)):
        y = _GRID_TOP + tall * row
        words = show_turns(place[0])
        drawing.text(_GRID_LEFT - 12, y + tall / 2 + 5, words, size=_SIZE, anchor="end", fill=SOFT, most=90)
        _draw_state(drawing, map_.cells[place], _GRID_LEFT, y, _MOST_WIDE, tall)
    drawing.text(_LEFT, _GRID_TOP - 10, "both heads, turns", size=_SMALL, fill=SOFT)


def _draw_state(drawing: Drawing, cell: Cell, x: float, y: float, wide: float, tall: float) -> None:
    """Draw one state in the room of *wide* by *tall* whose upper left corner is given."""
    left, right, top, bottom = x + _GAP, x + wide - _GAP, y + _GAP / 2, y + tall - _GAP / 2
    kept = cell.standing == "kept"
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    drawing.area(corners, fill=PAPER if cell.proposed else _FILLED.get(cell.standing, PALE))
    frame = [*corners, corners[0]]
    if cell.proposed:
        drawing.stroke(frame, colour=MARK, width=2.5, dashes=_DASHES)
    else:
        drawing.stroke(frame, colour=INK if kept else SOFT, width=4.5 if kept else 1.0)
    lines = [f"{cell.sign}{'' if cell.number is None else f' {cell.number}'}", cell.word]
    if cell.here:
        lines.append("▲ drum here")
    room, middle = right - left - 8, (left + right) / 2
    step = (bottom - top - 6) / len(lines)
    for row, line in enumerate(lines):
        tallest = min(step * 0.8, 20 if row == 0 else _SIZE)
        bold = "bold" if kept or cell.proposed or row == 0 else ""
        size = fitting(line, size=tallest, width=room, bold=bold)
        y_at = top + 3 + step * (row + 0.5) + size * 0.34
        drawing.text(middle, y_at, line, size=size, anchor="middle", bold=bold)


def _draw_words(
    drawing: Drawing, map_: Map, places: Sequence[Pair], said: Sequence[str], *, below: float
) -> None:
    words = {**{word: word for word in SIGNS}, "limit": "past a limit"}
    signs = [f"{sign} {words[word]}" for word, sign in SIGNS.items()]
    legend = "; ".join([*signs, f"{NEXT} next", "▲ the drum stands here", "number: entry of the search"])
    y = below + _LEGEND
    drawing.stroke(((_LEFT, y - 26), (_RIGHT, y - 26)), colour=FAINT)
    size = fitting(legend, size=_SMALL, width=_RIGHT - _LEFT)
    drawing.text(_LEFT, y, legend, size=size, fill=SOFT)
    left_out = len(map_.cells) - len(places)
    more = f"{left_out} states further off are not drawn." if left_out else ""
    lines = [line for text in (*said, more) if text for line in wrapped(text, size=17, width=_RIGHT - _LEFT)]
    for row, line in enumerate(lines[:_MOST_LINES]):
        drawing.text(_LEFT, below + _WORDS + 26 * row, line, size=17, most=_RIGHT - _LEFT)


def _described(map_: Map, places: Sequence[Pair], *, next_words: str) -> str:
    """Return what the page says, state by state, for whoever cannot see it."""
    states = []
    for place in places:
        cell = map_.cells[place]
        number = "" if cell.number is None else f" (entry {cell.number})"
        here = ", the drum stands here" if cell.here else ""
        where = f"both {show_turns(place[0])}"
        if not map_.together:
            where = f"top {show_turns(place[0])}, bottom {show_turns(place[1])}"
        states.append(f"{where}: {cell.word}{number}{here}")
    return f"{'. '.join(states)}. {next_words}".strip()
