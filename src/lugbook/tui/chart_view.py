"""The chart on the screen: one row an entry, made only when it comes into view, however long it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from lugbook.desk import Desk
from lugbook.desk.chart import HIDDEN, ChartRow, row_of
from lugbook.desk.searches import Row, SearchNow
from lugbook.plain import shown
from lugbook.records import NoteNames
from lugbook.tui.figures import written

WIDE = 70
"""From this many columns on the chart has all its columns."""

KEPT, VOID = "●", "~"
"""Before the number of the kept state, and of an entry that no longer counts."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the chart."""

    name: str
    width: int
    group: str = ""
    """What stands above its name and those that follow."""


def columns_for(width: int) -> tuple[Column, ...]:
    """Return the columns for so many columns of the terminal: all, or those without which none is a chart."""
    if width < WIDE:
        spare = max(0, width - 39)
        return (
            Column("no.", 5),
            Column("turn", 12 + spare, "turned"),
            Column("top", 7, "pitches"),
            Column("bottom", 7),
            Column("verdict", 8),
        )
    spare = width - 5 - 12 - 6 - 7 - 8 - 8 - 8
    snares = spare * 2 // 5
    return (
        Column("no.", 5),
        Column("turn", 12, "turned"),
        Column("top", 6, "in sum"),
        Column("bottom", 7),
        Column("top", 8, "pitches"),
        Column("bottom", 8),
        Column("snares", snares),
        Column("words", spare - snares),
        Column("verdict", 8),
    )


def headings(width: int) -> tuple[str, str]:
    """Return the two lines over the chart: what belongs together, and the name of each column."""
    columns = columns_for(width)
    groups, at = "", 0
    for one in columns:
        groups = f"{groups:<{at}}{one.group}" if one.group else groups
        at += one.width
    return groups.rstrip(), "".join(_cell(one.name, one.width) for one in columns).rstrip()


def cells_of(row: ChartRow, *, width: int, language: NoteNames) -> tuple[str, ...]:
    """Return the cells of a row for the columns that there is room for."""
    sign = VOID if row.void else KEPT if row.kept else " "
    verdict = "void" if row.void else row.verdict.partition(",")[0]
    top, bottom = (note_text(text, language=language) for text in (row.top, row.bottom))
    number = f"{sign}{row.number}"
    if width < WIDE:
        return number, row.turn, top, bottom, verdict
    sums = row.top_sum, row.bottom_sum
    return number, row.turn, *sums, top, bottom, shown(row.snares), shown(row.words), verdict


def note_text(text: str, *, language: NoteNames) -> str:
    """Return a pitch of the chart as the player writes it."""
    return text if text in ("", HIDDEN) else written(text, language=language)


def line_of(row: ChartRow, *, width: int, language: NoteNames) -> str:
    """Return a row of the chart in exactly *width* columns."""
    cells = cells_of(row, width=width, language=language)
    line = "".join(_cell(cell, column.width) for cell, column in zip(cells, columns_for(width), strict=True))
    return set_cell_size(line, width)


def _cell(text: str, size: int) -> str:
    """Return *text* in exactly *size* columns, a gap after it; cut with an ellipsis where it is longer."""
    if cell_len(text) >= size:
        text = set_cell_size(text, max(size - 2, 0)).rstrip() + "…"
    return set_cell_size(text, max(size, 0))


class ChartView(ScrollView, can_focus=True):
    """The rows; the cursor is moved with the arrow keys."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "first", show=False),
        Binding("end", "last", show=False),
    ]

    cursor: reactive[int] = reactive(0, init=False)
    """The row under the cursor, from 0."""

    class Moved(Message):
        """Another row is under the cursor."""

    def __init__(self, desk: Desk, *, widget_id: str) -> None:
        super().__init__(id=widget_id)
        self.desk = desk
        self._now: SearchNow | None = None
        self._rows: Sequence[Row] = ()

    def show(self, now: SearchNow | None, rows: Sequence[Row], *, cursor: int) -> None:
        """Show *rows* of a search, the cursor on one of them."""
        self._now, self._rows = now, rows
        self._fit()
        self.cursor = min(max(cursor, 0), max(len(rows) - 1, 0))
        self._follow_cursor()
        self.refresh()
        self.post_message(self.Moved())

    @property
    def at_cursor(self) -> ChartRow | None:
        """The row under the cursor; None where the chart is empty."""
        if self._now is None or not self._rows:
            return None
        return row_of(self.desk, self._now, self._rows[min(self.cursor, len(self._rows) - 1)])

    def render_line(self, y: int) -> Strip:
        """Return one line of what is in view; nothing else is ever made."""
        index = y + self.scroll_offset.y
        width = self.scrollable_content_region.width
        base = self.rich_style
        if self._now is None or index >= len(self._rows):
            return Strip.blank(width, base)
        row = row_of(self.desk, self._now, self._rows[index])
        text = line_of(row, width=width, language=self.desk.user.note_names)
        style = base + Style(reverse=index == self.cursor, bold=row.kept, dim=bool(row.void))
        return Strip([Segment(text, style)], width)

    def on_resize(self) -> None:
        """Fit the rows to the new width."""
        self._fit()
        self._follow_cursor()

    def watch_cursor(self) -> None:
        """Keep the cursor in view, and tell of it."""
        self._follow_cursor()
        self.refresh()
        self.post_message(self.Moved())

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where it was clicked."""
        self._to(event.y + self.scroll_offset.y)

    def action_move(self, rows: int) -> None:
        """Move the cursor."""
        self._to(self.cursor + rows)

    def action_page(self, pages: int) -> None:
        """Move the cursor by what is in view."""
        self._to(self.cursor + pages * max(self.size.height - 1, 1))

    def action_first(self) -> None:
        """Go to the first entry."""
        self._to(0)

    def action_last(self) -> None:
        """Go to the last entry."""
        self._to(len(self._rows) - 1)

    def _to(self, index: int) -> None:
        self.cursor = min(max(index, 0), max(len(self._rows) - 1, 0))

    def _fit(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self._rows))

    def _follow_cursor(self) -> None:
        self.scroll_to_region(Region(0, self.cursor, 1, 1), animate=False, force=True)
