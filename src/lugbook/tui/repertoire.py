"""The repertoire: the concerts and the pieces of the library, and the way to each of them."""

from collections.abc import Mapping
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk import repertoire as music
from lugbook.desk.repertoire import CONCERT, PIECE, Repertoire, holds
from lugbook.plain import shown
from lugbook.tui.concert import ConcertScreen
from lugbook.tui.items import ItemsScreen
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.pages import ProblemsScreen
from lugbook.tui.piece import PieceScreen
from lugbook.tui.repertoire_records import RepertoireRecords
from lugbook.tui.repertoire_rows import concert_text, count_text, piece_text

_READING = "reading the repertoire"

_OF_A_ROW = ("open_it", "edit", "remove", "version_before", "filter")
"""Commands that need a concert or a piece."""


class RepertoireScreen(RepertoireRecords):
    """Both in one list, the concerts first."""

    PLACES = ("repertoire", "repertoire filter")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(_OF_A_ROW, "There is no concert and no piece yet."),
        "items": "There is no concert yet.",
        "played": "There is no piece yet.",
        "restore": "Nothing that was removed can be brought back.",
        "problems": "Every file can be read.",
    }

    words: reactive[str] = reactive("", init=False)
    """The words that the player wants to see."""

    def __init__(self, desk: Desk, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="repertoire", keys=keys)

    def compose(self) -> ComposeResult:
        """Compose the filter, the list, the count and the lines below."""
        yield Static(Content("Repertoire"), id="title", markup=False)
        yield Input(placeholder="words of name, hall, day, music", id="words", compact=True)
        yield OptionList(id="repertoire", classes="choice", markup=False, compact=True)
        yield Static(id="count", markup=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read what is played."""
        super().on_mount()
        self.query_one("#words").display = False
        self.query_one(OptionList).focus()
        self.action_reload()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Be where the keys go."""
        self.place = "repertoire filter" if isinstance(event.widget, Input) else "repertoire"

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command == "problems":
            return bool(self.found.problems)
        if command == "restore":
            return bool(self.found.removed)
        if command == "items":
            return bool(self.found.concerts)
        if command == "played":
            return bool(self.found.pieces)
        if command in _OF_A_ROW:
            return bool(self.found.concerts or self.found.pieces)
        return True

    def watch_found(self) -> None:
        """Show what there is."""
        self.show_rows()

    def watch_words(self) -> None:
        """Show what stays."""
        self.show_rows()

    def action_reload(self) -> None:
        """Read what is played again; once is enough for all that ask for it meanwhile."""
        if not self.waits_for(_READING):
            self.ask(_READING, partial(music.repertoire, self.desk), self._take)

    def _take(self, found: Repertoire) -> None:
        if not self.cursor and not self.under_cursor()[0] and found.next_concert:
            self.cursor = f"{CONCERT}:{found.next_concert}"
        self.found = found
        self.say(self.said_after)
        self.said_after = ""

    def action_filter_drop(self) -> None:
        """Drop the filter and go to the list."""
        self.words = ""
        super().action_filter_drop()

    @on(Input.Changed, "#words")
    def _filter_typed(self, event: Input.Changed) -> None:
        self.words = event.value

    def action_open_it(self) -> None:
        """Open what is under the cursor."""
        kind, slug = self.under_cursor()
        if kind == CONCERT:
            self.open_concert(slug)
        elif kind == PIECE:
            self.app.push_screen(PieceScreen(self.desk, slug, keys=self.keys))

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_open_it()

    def open_concert(self, slug: str) -> None:
        """Open the running order of a concert."""
        self.app.push_screen(ConcertScreen(self.desk, slug, keys=self.keys))

    def action_items(self) -> None:
        """List the items of the concert under the cursor."""
        kind, slug = self.under_cursor()
        if kind == CONCERT:
            self.app.push_screen(ItemsScreen(self.desk, slug, keys=self.keys))
        else:
            self.say("Go up to a concert: a piece has no items.")

    def action_problems(self) -> None:
        """List what cannot be read."""
        self.app.push_screen(ProblemsScreen(self.desk, self.found.problems, keys=self.keys))

    def action_back(self) -> None:
        """Drop the filter, or go back to the shelf where nothing is filtered."""
        if self.words:
            self.action_filter_drop()
        else:
            self.dismiss()

    def show_rows(self) -> None:
        """Write the concerts that stay, then the pieces, each below a heading."""
        width = self.size.width - 4
        concerts = [
            Option(concert_text(row, width=width), id=f"{CONCERT}:{row.slug}")
            for row in self.found.concerts
            if holds(row, self.words)
        ]
        pieces = [
            Option(piece_text(row, width=width), id=f"{PIECE}:{row.slug}")
            for row in self.found.pieces
            if holds(row, self.words)
        ]
        options: list[Option] = []
        for heading, rows in (("Concerts", concerts), ("Pieces", pieces)):
            if rows:
                options += [Option(Content.styled(heading, "bold underline"), disabled=True), *rows]
        self.list_rows(options, first=1)
        text = count_text(self.found, self.words, problems_key=sign_of(self.keys["problems"]))
        self.query_one("#count", Static).update(Content(text))
        self.query_one("#title", Static).update(Content(f"Repertoire   {shown(str(self.desk.library.root))}"))
        self.freshen()
