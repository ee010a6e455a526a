"""The logbook of one drum: the chart of a search, its map, what to try next, and the round at the drum.

What is read from the files is shown at once; the proposal follows as a deed of its own, because it is worked
out anew for a tenth of a second. What is written down is shown as it stands after it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from lugbook.desk import Desk, questions
from lugbook.desk.proposing import Next, next_of
from lugbook.desk.questions import Opened
from lugbook.desk.searches import Row, SearchNow
from lugbook.desk.wording import folded
from lugbook.desk.words_heard import words_heard
from lugbook.tui.chart_view import ChartView, headings
from lugbook.tui.keys import bindings
from lugbook.tui.logbook_deeds import LogbookDeeds
from lugbook.tui.logbook_text import asked_tall, detail_text, first_run, map_text, proposal_text, title_text
from lugbook.tui.pages import PageText, broken
from lugbook.tui.places import READING_KEYS, TRIAL_LINES
from lugbook.tui.trial_line import Asking, TrialLine
from lugbook.tui.turning import RodRow, Turning
from lugbook.tui.walking import WalkScreen

BESIDE, BELOW = 130, 36
"""From so many columns on the map stands beside the chart, from so many rows on below it."""

_VERDICT_KEYS = {"b": "+", "=": "0", "s": "0", "w": "-"}
"""Letters that say a verdict too."""


@dataclass(frozen=True, slots=True)
class _Read:
    opened: Opened
    words: tuple[str, ...]


class LogbookScreen(LogbookDeeds):
    """The logbook of one drum."""

    PLACES = ("logbook", "trial turning", *TRIAL_LINES, "trial mark", "trial verdict")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, drum_id: str, *, name: str, keys: dict[str, str]) -> None:
        super().__init__(desk, drum_id, name=name, keys=keys)
        self._first = True

    def compose(self) -> ComposeResult:
        """Compose the proposal, chart and map, the turning face, and the lines below."""
        yield Static("Logbook", id="title", markup=False)
        yield Static(id="proposal", markup=False)
        with Horizontal(id="book"):
            with Vertical(id="chart-side"):
                yield Static(id="headings", markup=False)
                yield ChartView(self.desk, widget_id="chart")
            with VerticalScroll(id="map"):
                yield PageText()
        with VerticalScroll(id="faces"):
            yield Turning(language=self.language, widget_id="turning").data_bind(WalkScreen.bench)
        yield Static(id="asked-tall", markup=False)
        yield Static(id="detail", markup=False)
        yield Static(id="offers", markup=False)
        line = TrialLine(language=self.language, widget_id="line")
        yield line.data_bind(WalkScreen.how, WalkScreen.struck, WalkScreen.in_the_hall)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the logbook."""
        super().on_mount()
        self.query_one("#offers").display = False
        self._lay_out()
        self.reload()

    def reload(self, said: str = "", *, then: Callable[[], None] | None = None) -> None:
        """Read the search again, say something, and go on; by itself, work out what to try next."""
        name = self.search

        def read() -> _Read:
            found = questions.opened(self.desk, self.drum_id, name)
            of_search = "" if found.now is None else found.now.name
            return _Read(found, words_heard(self.desk, self.drum_id, search=of_search))

        def take(read: _Read) -> None:
            first, self._first = self._first, False
            self.bench, self.found = None, None
            self.drum, self.names, self.words = read.opened.drum, read.opened.names, read.words
            self.now = read.opened.now
            self.search = None if self.now is None else self.now.name
            self.place = "logbook"
            self.say(said)
            if then is not None:
                then()
            elif first and self.now is not None and self.now.unfinished:
                self.take_up()
            elif first and self.now is not None and self.open_questions() and not back_again(self.now):
                self.ask_state()
            else:
                self.walk_ended()

        self.ask("reading", read, take)

    def walk_ended(self) -> None:
        """Show the chart and work out what to try next; what was said stays."""
        self.place = "logbook"
        now, said = self.now, self.said
        self.query_one("#chart").focus()
        if now is None:
            return

        def take(found: Next) -> None:
            self.found, self.said = found, said
            self._show_found()

        self.ask("working it out", lambda: next_of(self.desk, now), take)

    def watch_now(self, now: SearchNow | None) -> None:
        """Show the search."""
        title = title_text(self.name_of_drum, now, searches=len(self.names), sought=self.sought)
        self.query_one("#title", Static).update(Content(title))
        self.forget_strike()
        rows = self.rows_shown()
        self.query_one(ChartView).show(now, rows, cursor=len(rows) - 1)
        self._show_found()

    def watch_place(self) -> None:
        """Show what belongs to the place, and its keys."""
        super().watch_place()
        self.forget_strike()
        if self.is_mounted:
            self._lay_out()

    def rows_shown(self) -> tuple[Row, ...]:
        """Return the entries that hold the words that are to be found."""
        if self.now is None:
            return ()
        wanted = folded(self.sought).split()
        if not wanted:
            return self.now.rows
        return tuple(row for row in self.now.rows if all(word in _text_of(row) for word in wanted))

    def on_chart_view_moved(self) -> None:
        """Show the whole entry under the cursor."""
        if self.drum is not None:
            text = detail_text(self.query_one(ChartView).at_cursor, self.drum, language=self.language)
            self.query_one("#detail", Static).update(Content(text))

    def open_line(self, asking: Asking, *, begun: str = "") -> None:
        """Ask for something, tall where a head is to be read."""
        super().open_line(asking, begun=begun)
        self.query_one("#asked-tall", Static).update(Content(asked_tall(asking, self.now)))
        self._lay_out()

    def on_resize(self) -> None:
        """Put chart and map where there is room for them."""
        self._lay_out()

    def _show_found(self) -> None:
        now = self.now
        proposal = self.query_one("#proposal", Static)
        if now is None:
            proposal.update(Content(first_run(self.name_of_drum, self.keys)))
        else:
            proposal.update(Content(proposal_text(self.found, now, self.keys)))
        found = self.found

        def text_for(width: int) -> Content:
            lines = tuple(map_text(found, width=width).split("\n"))
            return Content("\n".join(broken(lines, width=width)))

        self.query_one(PageText).text_for = text_for
        self._lay_out()

    def _lay_out(self) -> None:
        turning = self.bench is not None and self.bench.round is not None
        there, walking = self.now is not None, self.place != "logbook"
        beside, below = self.size.width >= BESIDE, self.size.height >= BELOW
        both = beside or below
        self.query_one("#proposal").display = not turning and (not walking or not there)
        self.query_one("#book").display = there and not turning
        self.query_one("#faces").display = turning
        self.query_one("#chart-side").display = both or not self.map_shown
        self.query_one("#map").display = both or self.map_shown
        tall = self.query_one("#asked-tall")
        tall.display = self.place in ("trial reading", "trial verdict") and not turning
        self.query_one("#detail").display = there and not turning and (both or not self.map_shown)
        book = self.query_one("#book")
        book.set_class(below and not beside, "-below")
        width = self.size.width - 2 - (52 if beside else 0)
        self.query_one("#headings", Static).update(Content("\n".join(headings(width - 1))))
        if turning and self.place == "trial turning":
            self.query_one("#faces").focus()
        self.both_shown = both

    def on_key(self, event: events.Key) -> None:
        """Begin a reading or the number of a rod with its first sign, or say a verdict by its letter."""
        sign = event.character
        if sign is None or not event.is_printable:
            return
        if self.place in TRIAL_LINES:
            # The line is open and has not got the keys yet: what is typed fast comes here.
            self.query_one(Input).insert_text_at_cursor(sign)
        elif self.place == "logbook" and sign in READING_KEYS and self.now is not None:
            self.begin_reading(sign)
        elif self.place == "trial turning" and sign.isdecimal():
            self.open_line(Asking("rod"), begun=sign)
        elif self.place == "trial verdict" and sign in _VERDICT_KEYS:
            self.give(_VERDICT_KEYS[sign])
        else:
            return
        event.stop()
        event.prevent_default()

    def on_rod_row_named(self, message: RodRow.Named) -> None:
        """Keep that the round was stopped after the rod that was clicked."""
        self.stopped_after(str(message.rod))


def back_again(now: SearchNow) -> bool:
    """Tell whether the drum only came back to the kept state, where nothing waits to be said."""
    return now.search is not None and len(now.rows) > 1 and now.place == now.search.kept


def _text_of(row: Row) -> str:
    entry = row.entry
    snares = "" if entry.snares is None else entry.snares.text()
    return folded(f"{entry.words} {entry.verdict or ''} {snares} {entry.note}")
