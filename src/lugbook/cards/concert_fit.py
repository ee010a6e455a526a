"""In what size of letters a concert goes on one sheet, and how much of it.

A card on a stand is one page, and is read in a dim light. So letters are as large as the sheet allows; where
even the smallest that can be read leave no room, details are left out in a stated order (`concert_details`),
and the card says which. Every row of the page takes a number of lines that is known before it is printed
(longer names are cut), so that the sum here is never less than what a browser needs: the heights are those
of ``pages/concert.html``, and a test in a browser holds the two together.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

from lugbook.cards.concert_details import Run, Shows, parts_of, steps
from lugbook.cards.concert_facts import CardChange, CardConcert, CardWindow
from lugbook.cards.drawing import text_width

_RAGGED = 5.0
"""The end of a line that stays empty because the next word is too long for it, at most."""

_LINE, _SMALL = 1.22, 0.82
_SMALL_LINE = _LINE * _SMALL
_AMOUNT = 1.15
"""Size of the letters of an amount."""
_AMOUNT_LINE = 1.4
_ROW, _WINDOW, _CHANGE = 1.46, 1.4, 1.5
_TIME = 12.0
"""What stands to the right of a name, with the box to its left."""
_RODS = 2.05
_GAP, _SLACK = 0.5, 0.4
_LONGEST = 800
"""Letters that fill more lines than any text is given."""
_STEP = 0.94
"""Each size of letters that is tried, over the one before."""


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

    def lines(self, text: str, size: float = 1.0, most: int = 2, inset: float = 0.0) -> int:
        """Return how many lines *text* is given: as many as it may need, and no more than *most*.

        Args:
            text: the text.
            size: of its letters, in em.
            most: of its lines; what is longer is cut.
            inset: by how much less wide than the page it is, in em.
        """
        room = self.width_em - inset
        wide = _width_em(text[:_LONGEST]) * size
        return 1 if wide <= room else min(most, ceil(wide / max(1.0, room - _RAGGED * size)))

    def row_lines(self, run: Run) -> int:
        """Return how many lines a row of the running order takes, without its remarks."""
        inset, first = self.beside_half_em, run.items[0]
        played = sum(self.lines(f"{drum}: {preset}", inset=inset) for drum, preset in first.played)
        return max(played, self.lines(run.title, inset=inset))

    @property
    def beside_half_em(self) -> float:
        """What stands beside the title of an item, and beside what it is played with."""
        return 4.4 + (self.width_em - 4.4) / 2

    @property
    def parts(self) -> tuple[Run | CardWindow, ...]:
        """The rows of the running order."""
        return parts_of(self.card, self.shows)

    @property
    def orders(self) -> tuple[tuple[int, ...], ...]:
        """The orders of the rods that are turned, the fewest rods first."""
        orders = {turn.order for change in self.card.changes for turn in change.turns if turn.order}
        return tuple(sorted(orders, key=len))

    @property
    def settings_left(self) -> int:
        """How many drums before the doors do not stand on the page."""
        shown = self.shows.drums
        return 0 if shown is None else max(0, len(self.card.before_doors) - shown)

    @property
    def changes_left(self) -> int:
        """How many changes do not stand on the page."""
        shown = [part for part in self.parts if isinstance(part, CardWindow)]
        return len(self.card.changes) - sum(len(one.changes) for one in shown)

    @property
    def foot(self) -> str:
        """What is said of the card itself at its foot."""
        left = self.shows.left_out
        said = f" Left out, for there is no room: {', '.join(left)}." if left else ""
        return f"Card of {self.card.printed}.{said}"

    @property
    def short(self) -> str:
        """What is said where the concert does not fit."""
        return " ".join(self.card.short) or "Nobody can say what would have to give."

    @property
    def height_em(self) -> float:
        """Its height at most, in em."""
        heights = [3.76, self._foot()]
        if not self.card.fits:
            heights.append(0.8 + _LINE + _LINE * self.lines(self.short, most=4, inset=1))
        heights.append(self._before())
        if self.shows.rods == "once" and self.orders:
            heights.append(_LINE + (_RODS + 0.1) * len(self.orders))
        if self.parts:
            heights.append(_LINE + 0.1 + sum(map(self._part, self.parts)))
        if self.changes_left:
            heights.append(_LINE * 2)
        if self.shows.remarks and self.card.remarks:
            heights.append(_SMALL_LINE * self.lines(" ".join(self.card.remarks), _SMALL, 3))
        return sum(heights) + _GAP * (len(heights) - 1) + _SLACK

    def _before(self) -> float:
        shown = self.card.before_doors[: self.shows.drums]
        height = _LINE + (_LINE if self.settings_left or not shown else 0.0)
        if self.card.language:
            height += _SMALL_LINE * self.lines(self.card.language, _SMALL)
        for one in shown:
            height += _WINDOW * self.lines(f"{one.drum}: {one.preset}", inset=_TIME)
            if self.shows.pitches and one.pitches:
                height += _LINE * self.lines(", ".join(one.pitches), inset=1.5)
        return height

    def _part(self, part: Run | CardWindow) -> float:
        if isinstance(part, CardWindow):
            heading = 0.0 if len(part.changes) == 1 else _WINDOW
            heading += _CHANGE if part.missing else 0.0
            return 0.4 + heading + sum(self._change(part, one) for one in part.changes)
        first = part.items[0]
        height = _ROW + _WINDOW * (self.row_lines(part) - 1)
        if self.shows.remarks and first.remarks:
            height += _SMALL_LINE * self.lines(" ".join(first.remarks), _SMALL, inset=3)
        return height

    def title(self, window: CardWindow, change: CardChange) -> str:
        """Return what stands over a change: when, unless that stands over several, drum and preset."""
        when = f"{window.where}: " if len(window.changes) == 1 else ""
        needed = f" for {change.before}" if self.shows.titles == "none" else ""
        return f"{when}{change.drum} → {change.to_preset}{needed}"

    def _change(self, window: CardWindow, change: CardChange) -> float:
        height = _CHANGE * self.lines(self.title(window, change), inset=_TIME)
        height += 0.0 if change.turns else _LINE
        for turn in change.turns:
            height += _AMOUNT_LINE * self.lines(f"{turn.head} {turn.shown}", _AMOUNT, most=4, inset=3)
        if self.shows.rods == "each":
            height += _RODS * len(orders_of(change))
        said = [careful(change)]
        if self.shows.last:
            said.append(" ".join(change.then))
        if self.shows.remarks:
            said.append(" ".join(change.doubts))
        return height + sum(_SMALL_LINE * self.lines(text, _SMALL, inset=3) for text in said if text)

    @property
    def beside_code_em(self) -> float:
        """How much of the foot the QR code takes, with the gap before it."""
        return self.code_em + 0.8 if self.code_em else 0.0

    def _foot(self) -> float:
        said = (self.lines(text, _SMALL, 5, self.beside_code_em) for text in (self.card.caution, self.foot))
        return 0.4 + max(_SMALL_LINE * sum(said), self.code_em)


def careful(change: CardChange) -> str:
    """Return what must be known of a change before it is made; it is never left out."""
    trust = ("Not trusted", *change.cautions) if change.doubts else change.cautions
    return "".join(f"{one[:1].upper()}{one[1:]}. " for one in trust).rstrip()


def orders_of(change: CardChange) -> tuple[tuple[int, ...], ...]:
    """Return the orders of the rods of its heads; one where both have the same."""
    return tuple(dict.fromkeys(turn.order for turn in change.turns if turn.order))


def fitted(card: CardConcert, room: Room) -> Layout:
    """Return the page of a concert: the most that one sheet holds, in the largest letters that hold it."""

    def laid(shows: Shows, em_mm: float) -> Layout:
        return Layout(card, shows, em_mm, room.width_mm / em_mm, room.code_mm / em_mm)

    def fits(layout: Layout) -> bool:
        return layout.height_em * layout.em_mm <= room.height_mm

    shows = Shows()
    for shows in steps():
        smallest = laid(shows, room.least_em_mm)
        if fits(smallest):
            larger = (laid(shows, em_mm) for em_mm in _sizes(room))
            return next((layout for layout in larger if fits(layout)), smallest)
    # Fewer windows never take more room, so that the most that fit are found by halving.
    most = bisect_right(
        range(len(card.windows) + 1),
        False,
        key=lambda windows: not fits(laid(replace(shows, windows=windows), room.least_em_mm)),
    )
    return laid(replace(shows, windows=max(0, most - 1)), room.least_em_mm)


@lru_cache(maxsize=4096)
def _width_em(text: str) -> float:
    """Return about how wide *text* is in bold letters; the same names are asked for in every size."""
    return text_width(text, size=1.0, bold="bold")


def _sizes(room: Room) -> Iterator[float]:
    """Yield the sizes of letters above the least in mm, the largest first."""
    em_mm = room.most_em_mm
    while em_mm > room.least_em_mm:
        yield em_mm
        em_mm *= _STEP
