"""How high the page of a concert is, row by row, before it is printed.

Every row of the page takes a number of lines that is known (longer names are cut), so that the sum here is
never less than what a browser needs: the heights are those of ``pages/concert.html``, and a test in a browser
holds the two together.
"""

from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

from lugbook.cards.concert_details import (
    ENDS,
    TITLES,
    Run,
    Shows,
    careful,
    more_of,
    numbers_of,
    on_paper,
    orders_of,
    parts_of,
)
from lugbook.cards.concert_facts import CardChange, CardConcert, CardSetting, CardWindow
from lugbook.cards.line_count import lines_of, width_em

_LINE, _SMALL = 1.22, 0.82
_SMALL_LINE = _LINE * _SMALL
_AMOUNT = 1.15
"""Size of the letters of an amount."""
_AMOUNT_LINE = 1.4
_ROW, _WINDOW, _CHANGE = 1.46, 1.4, 1.5
_TIME, _BOX = 12.0, 2.2
"""What stands to the right of a name, with the box to its left; and what the box takes alone."""
_DIGIT = 0.72
"""How wide a digit or a dash is at most, in bold."""
_BETWEEN = 1.4
"""What lies between two columns."""
PLAYED_SHARE = 0.6
"""So much of the width of a row what it is played with takes at most, beside a title that is cut."""
_RODS = 2.05
_GAP, _SLACK = 0.5, 0.4

RowKind = Literal["beside", "flows", "under", "cut"]
"""Where in the row of an item stands what it is played with: beside its title, in the half of the row; right
after it in one line; under it; or beside it, with the title cut to what that leaves."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What stands on the page, and its size."""

    card: CardConcert
    shows: Shows
    em_mm: float
    """Size of the letters."""
    width_em: float
    """Of what is written, in such letters."""
    code_em: float = 0.0
    """Of the QR code in the foot; 0 without one."""

    @property
    def column_em(self) -> float:
        """How wide a column of the running order is."""
        return (self.width_em - _BETWEEN * (self.shows.columns - 1)) / self.shows.columns

    def lines(
        self, text: str, size: float = 1.0, most: int = 2, inset: float = 0.0, *, bold: bool = False
    ) -> int:
        """Return how many lines *text* is given across the page: as many as it may need, up to *most*.

        Args:
            text: the text.
            size: of its letters, in em.
            most: of its lines; what is longer is cut.
            inset: by how much less wide than the page it is, in em.
            bold: whether it is printed so.
        """
        return lines_of(text, self.width_em - inset, size, most, bold=bold)

    def in_column(
        self, text: str, size: float = 1.0, most: int = 2, inset: float = 0.0, *, bold: bool = False
    ) -> int:
        """Return how many lines *text* is given in a column of the running order, as `lines` does."""
        return lines_of(text, self.column_em - inset, size, most, bold=bold)

    @property
    def number_em(self) -> float:
        """How wide the numbers of the items are, in letters of their size."""
        digits = len(f"{len(self.card.items)}")
        return 0.4 + _DIGIT * (2 * digits + 1 if self.shows.runs else max(2, digits))

    @property
    def _beside_title(self) -> float:
        return self.number_em + _GAP

    def row(self, run: Run) -> RowKind:
        """Return where in the row of an item stands what it is played with."""
        if self.shows.columns == 1:
            return "beside"
        size = self.shows.letters
        room = self.column_em - (self._beside_title + 1) * size
        wide = width_em(run.title, bold=True) + width_em(", ".join(run.played))
        if wide * size <= room:
            return "flows"
        return "cut" if self.shows.cut else "under"

    def title_room(self, run: Run) -> tuple[float, int]:
        """Return how much room the title of an item has, in letters of its size, and how many lines."""
        room = self.column_em / self.shows.letters - self._beside_title
        return ((room - _GAP) / 2 if self.row(run) == "beside" else room), 1 if self.shows.cut else 2

    def _is_cut(self, run: Run) -> bool:
        room, most = self.title_room(run)
        return self.row(run) == "cut" or lines_of(run.title, room, 1.0, most + 1) > most

    def title_of_row(self, run: Run) -> int:
        """Return how many lines the title of an item is given."""
        room, most = self.title_room(run)
        return (
            1
            if self.row(run) == "cut"
            else lines_of(run.title, room, 1.0, most, bold=self.row(run) == "under")
        )

    def played_of_row(self, run: Run, played: str) -> int:
        """Return how many lines a drum with its preset is given in the row of an item."""
        room, _ = self.title_room(run)
        if self.row(run) == "cut":
            room = self.column_em / self.shows.letters * PLAYED_SHARE
        return lines_of(played, room, 1.0, 2)

    def row_lines(self, run: Run) -> int:
        """Return how many lines a row of the running order takes, without its remarks."""
        kind = self.row(run)
        if kind == "flows":
            return 1
        title, played = self.title_of_row(run), sum(self.played_of_row(run, one) for one in run.played)
        return title + played if kind == "under" else max(title, played)

    @property
    def columns(self) -> tuple[tuple[Run | CardWindow, ...], ...]:
        """The rows of the running order, column by column."""
        parts = parts_of(self.card, self.shows)
        if self.shows.columns == 1 or len(parts) < 2:
            return (parts,)
        sums = [0.0, *accumulate(map(self._part, parts))]
        first = min(range(len(sums)), key=lambda place: max(sums[place], sums[-1] - sums[place]))
        return (parts[:first], parts[first:])

    @property
    def orders(self) -> tuple[tuple[int, ...], ...]:
        """The orders of the rods that are turned on this page, the fewest rods first."""
        changes = [change for window in self.card.windows[: self.shows.windows] for change in window.changes]
        orders = {turn.order for change in changes for turn in change.turns if turn.order}
        return tuple(sorted(orders, key=len))

    @property
    def settings_left(self) -> int:
        """How many drums before the doors do not stand on the page."""
        shown = self.shows.drums
        return 0 if shown is None else max(0, len(self.card.before_doors) - shown)

    @property
    def changes_left(self) -> int:
        """How many changes do not stand on the page."""
        shown = self.shows.windows
        return 0 if shown is None else sum(len(one.changes) for one in self.card.windows[shown:])

    @property
    def changes_said(self) -> str:
        """What is said of the changes that do not stand on the page."""
        return f"{more_of(self.changes_left, 'change')} not on this card; its plain text has them all."

    @property
    def last_item(self) -> int:
        """The number of the last item that stands on the page."""
        return len(self.card.items) if self.shows.items is None else self.shows.items

    @property
    def left_out(self) -> tuple[str, ...]:
        """What does not stand on the page, in words; empty where all of it does."""
        # Of items that are gone no title is missed, and not every title is too long.
        seen = [part for column in self.columns for part in column if isinstance(part, Run)]
        missed = {TITLES: bool(seen), ENDS: any(map(self._is_cut, seen))}
        left = [one for one in self.shows.left_out if missed.get(one, True)]
        items = self.card.items[self.last_item :]
        if self.settings_left:
            left.append(more_of(self.settings_left, "drum") + " before the doors")
        if items:
            named = "items" if len(items) > 1 else "item"
            left.append(f"{named} {numbers_of(items)}" if self.last_item else "all items")
        if self.changes_left:
            left.append(more_of(self.changes_left, "change"))
        return tuple(left)

    @property
    def foot(self) -> str:
        """What is said of the card itself at its foot."""
        left = self.left_out
        said = f" Left out, for there is no room: {', '.join(left)}." if left else ""
        return f"Card of {self.card.printed}.{said}"

    @property
    def short(self) -> str:
        """What is said where the concert does not fit."""
        return on_paper(self.card.short) or "Nobody can say what would have to give."

    @property
    def height_em(self) -> float:
        """Its height at most, in em."""
        heights = [3.76, self._foot(), self._before()]
        if not self.card.fits:
            heights.append(0.8 + _LINE + _LINE * self.lines(self.short, most=self.shows.giving, inset=1.2))
        if self.shows.rods == "once" and self.orders:
            heights.append(_LINE + (_RODS + 0.1) * len(self.orders))
        columns = [sum(map(self._part, column)) for column in self.columns]
        if any(columns) or not self.card.items:
            heights.append(_LINE + (max(columns) + 0.1 if any(columns) else _LINE))
        if self.changes_left:
            heights.append(_LINE * self.lines(self.changes_said, bold=True))
        if self.shows.remarks and self.card.remarks:
            heights.append(_SMALL_LINE * self.lines(on_paper(self.card.remarks), _SMALL, 3))
        return sum(heights) + _GAP * (len(heights) - 1) + _SLACK

    def _before(self) -> float:
        shown = self.card.before_doors[: self.shows.drums]
        height = _LINE + (_LINE if self.settings_left or not shown else 0.0)
        if self.card.language:
            height += _SMALL_LINE * self.lines(self.card.language, _SMALL)
        for one in shown:
            height += _WINDOW * self.lines(f"{one.drum}: {one.preset}", inset=_TIME, bold=True)
            if self.shows.pitches and one.pitches and not self.pitches_beside(one):
                height += _LINE * self.lines(", ".join(one.pitches), inset=1.5)
        return height

    def pitches_beside(self, setting: CardSetting) -> bool:
        """Return whether the pitches of a drum stand beside it in one line, rather than under it."""
        text = f"{setting.drum}: {setting.preset} {', '.join(setting.pitches)}"
        return width_em(text, bold=True) <= self.width_em - _TIME

    def _part(self, part: Run | CardWindow) -> float:
        if isinstance(part, CardWindow):
            heading = 0.0 if self.alone(part) else _WINDOW
            heading += _CHANGE if part.missing else 0.0
            return 0.4 + heading + sum(self._change(part, one) for one in part.changes)
        first = part.items[0]
        height = (_ROW + _WINDOW * (self.row_lines(part) - 1)) * self.shows.letters
        if self.shows.remarks and first.remarks:
            height += _SMALL_LINE * self.in_column(on_paper(first.remarks), _SMALL, inset=self._beside_title)
        return height

    def alone(self, window: CardWindow) -> bool:
        """Return whether when it is stands in the line of the change: there is one, in a wide column."""
        return len(window.changes) == 1 and self.shows.columns == 1

    def title(self, window: CardWindow, change: CardChange) -> str:
        """Return what stands over a change: when, unless that stands over several, drum and preset."""
        when = f"{window.where}: " if self.alone(window) else ""
        needed = f" for {change.before}" if change.before > self.last_item else ""
        return f"{when}{change.drum} → {change.to_preset}{needed}"

    def time(self, window: CardWindow, change: CardChange) -> str:
        """Return what stands beside that: the time it takes; empty where it stands over it."""
        if len(window.changes) > 1:
            return change.takes
        return window.time if self.alone(window) else ""

    def title_lines(self, window: CardWindow, change: CardChange) -> int:
        """Return how many lines the title of a change is given."""
        inset = _TIME if self.time(window, change) else _BOX
        return self.in_column(self.title(window, change), inset=inset + 0.9, bold=True)

    def _change(self, window: CardWindow, change: CardChange) -> float:
        height = _CHANGE * self.title_lines(window, change)
        height += 0.0 if change.turns else _LINE
        for turn in change.turns:
            shown = f"{turn.head} {turn.shown}"
            height += _AMOUNT_LINE * self.in_column(shown, _AMOUNT, most=8, inset=3, bold=True)
        if self.shows.rods == "each":
            height += _RODS * len(orders_of(change))
        if caution := careful(change):
            height += _SMALL_LINE * self.in_column(caution, _SMALL, inset=3, bold=True)
        said: list[str] = []
        if self.shows.last:
            said.append(" ".join(change.then))
        if self.shows.remarks:
            said.append(on_paper(change.doubts))
        return height + sum(_SMALL_LINE * self.in_column(text, _SMALL, inset=3) for text in said if text)

    @property
    def beside_code_em(self) -> float:
        """How much of the foot the QR code takes, with the gap before it."""
        return self.code_em + 0.8 if self.code_em else 0.0

    def _foot(self) -> float:
        said = (self.lines(text, _SMALL, 5, self.beside_code_em) for text in (self.card.caution, self.foot))
        return 0.4 + max(_SMALL_LINE * sum(said), self.code_em)
