"""The items of a concert in order: what is played, with what, and how much time there is between."""

from collections.abc import Mapping
from functools import partial
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import items, pieces
from lugbook.desk.items import Changed, Choice
from lugbook.desk.pieces import PieceRow
from lugbook.desk.running import Alter, Titles, item_values
from lugbook.desk.spans import parts_of, time_of, time_text
from lugbook.errors import ChangedUnderneath, LugbookError
from lugbook.plain import shown
from lugbook.records import Item
from lugbook.tui.form import FormScreen, Wanted
from lugbook.tui.item_choosing import ItemPresetsScreen, PiecesScreen
from lugbook.tui.item_line import Asking, ItemLine
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.pages import LinesScreen
from lugbook.tui.programming import ProgrammeScreen
from lugbook.tui.repertoire_rows import item_text, programme_text, programme_title

_OF_AN_ITEM = ("play_with", "say_music", "say_after", "tacet", "earlier", "later", "drop_item", "edit")
"""Commands that need an item."""


class ItemsScreen(ProgrammeScreen):
    """The list; each key changes the item under the cursor, and it is on disk at once."""

    PLACES = ("items", "item line")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(_OF_AN_ITEM, "There is no item yet."),
        "remarks": "There is nothing to remark on.",
    }

    _asked_of: int | None = None
    """The mark of the item that the line asks of."""

    def compose(self) -> ComposeResult:
        """Compose the list, the line that is typed into, and the lines below."""
        yield Static(Content("Items"), id="title", markup=False)
        yield OptionList(id="items", classes="choice", markup=False, compact=True)
        yield Static(id="count", markup=False)
        yield ItemLine(id="line")
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the concert."""
        super().on_mount()
        self.query_one(OptionList).focus()
        self.read()

    def on_screen_resume(self) -> None:
        """Read it again on coming back; a deed that is under way shows the newest by itself."""
        if self.is_mounted and self.settled:
            self.read()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Be where the keys go."""
        self.place = "item line" if isinstance(event.widget, Input) else "items"

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command in _OF_AN_ITEM:
            return bool(self.marks)
        if command == "remarks":
            return self.found is not None and bool(self.found.remarks or self.found.problems)
        return True

    def failed(self, error: LugbookError) -> None:
        """Show the items as they are now where somebody else changed them; what was said stays said."""
        if isinstance(error, ChangedUnderneath):
            self.read()

    def watch_found(self) -> None:
        """Show the concert."""
        self._show()

    def on_resize(self) -> None:
        """Break the lines for the new width."""
        self._show()

    def action_play_with(self) -> None:
        """Choose a preset that the item is played with."""
        mark = self._mark()
        if mark is None:
            return

        def read() -> tuple[str, tuple[Choice, ...]]:
            row = self.row_of(mark)
            found = items.choices(self.desk, self._programme(), row.number)
            return f"{row.number}. {row.name}: play it with", found

        def then(found: tuple[str, tuple[Choice, ...]]) -> None:
            title, choices = found
            if not choices:
                self.say("None of the drums that travel has a preset yet.")
                return
            play = partial(self._play_with, mark)
            page = ItemPresetsScreen(self.desk, title=title, choices=choices, then=play, keys=self.keys)
            self.app.push_screen(page)

        self.ask("reading", read, then)

    def _play_with(self, mark: int, preset: str) -> None:
        self.alter(mark, lambda row: Alter(row.number, items.played_with(row, preset)))

    def action_put_piece(self) -> None:
        """Choose a piece to put in."""
        after = self._mark()

        def then(rows: tuple[PieceRow, ...]) -> None:
            if not rows:
                title = sign_of(self.keys["put_title"])
                self.say(f"There is no piece in the library yet: {title} puts in a title.")
                return

            def put(slug: str) -> None:
                self.put(lambda: {"piece": slug}, after)

            self.app.push_screen(PiecesScreen(self.desk, rows=rows, then=put, keys=self.keys))

        self.ask("reading", lambda: pieces.pieces(self.desk).rows, then)

    def action_put_title(self) -> None:
        """Type an item."""
        self._asked_of = self._mark()
        self.query_one(ItemLine).open("title", "")

    def action_say_music(self) -> None:
        """Type the kinds of music of the item."""
        self._ask_item("music")

    def action_say_after(self) -> None:
        """Type the time after the item."""
        self._ask_item("after")

    def _ask_item(self, asking: Asking) -> None:
        """Ask for something of the item under the cursor, once all before is done."""
        mark = self._mark()

        def then(_: None) -> None:
            if mark is None or mark not in self.marks:
                return
            row = self.row_of(mark)
            text = time_text(row.after_s) if asking == "after" else ", ".join(row.item.contexts)
            self._asked_of = mark
            self.query_one(ItemLine).open(asking, text, number=row.number)

        self.ask("reading", lambda: None, then)

    @on(ItemLine.Given)
    def _line_given(self) -> None:
        self.action_take_reading()

    def action_take_reading(self) -> None:
        """Take the line; it stays as it is typed until it is kept."""
        line, mark = self.query_one(ItemLine), self._asked_of
        text, asking = line.text, line.asking
        if not self.settled:
            return
        if asking == "title":
            if text:
                self.put(lambda: item_values(Titles(self.desk), text), mark, then=self._leave_line)
            else:
                self.action_drop_line()
        elif mark is not None and asking == "music":
            words = parts_of(text)
            self.alter(
                mark, lambda row: Alter(row.number, items.for_music(row, words)), then=self._leave_line
            )
        elif mark is not None and asking == "after":
            self.alter(mark, lambda row: Alter(row.number, {"after_s": time_of(text)}), then=self._leave_line)

    def action_drop_line(self) -> None:
        """Leave the line without taking it."""
        self._leave_line()
        self.say("")

    def _leave_line(self) -> None:
        self.query_one(ItemLine).close()
        self.query_one(OptionList).focus()

    def action_tacet(self) -> None:
        """Say that there is nothing to play in the item, or that there is."""
        mark = self._mark()
        if mark is not None:
            self.alter(mark, lambda row: Alter(row.number, items.tacet(row)))

    def action_earlier(self) -> None:
        """Let the item come one place earlier."""
        mark = self._mark()
        if mark is not None:
            self.move(mark, step=-1)

    def action_later(self) -> None:
        """Let the item come one place later."""
        mark = self._mark()
        if mark is not None:
            self.move(mark, step=1)

    def action_drop_item(self) -> None:
        """Take the item out."""
        mark = self._mark()
        if mark is not None:
            self.drop(mark)

    def action_edit(self) -> None:
        """Fill in all that an item can say."""
        mark = self._mark()
        if mark is not None:
            # After all that was asked for before: the form is filled with what the item is then.
            self.ask("reading", lambda: None, lambda _: self._edit(mark))

    def _edit(self, mark: int) -> None:
        found = self.found
        if found is None or mark not in self.marks:
            return
        row = self.row_of(mark)
        kept: list[tuple[Alter, Changed]] = []

        def save(values: dict[str, Any]) -> str:
            change = Alter(row.number, values)
            kept.append((change, items.change_items(self.desk, found, [change])))
            return self.slug

        wanted = Wanted(
            f"Edit {row.number}. {row.name}",
            Item,
            save=save,
            then=lambda *_: self.take(*kept[-1]),
            record=row.item,
            without=frozenset({"piece", "title"} if row.item.piece else {"piece"}),
        )
        self.app.push_screen(FormScreen(self.desk, wanted, keys=self.keys))

    def action_version_before(self) -> None:
        """Bring the concert back as it was before its last change."""
        self.version_before()

    def action_remarks(self) -> None:
        """List what does not fit together, or is not known."""
        found = self.found
        if found is not None:
            lines = (*found.remarks, *(one.sentence() for one in found.problems))
            title = f"Remarks   {found.concert.name}"
            self.app.push_screen(LinesScreen(self.desk, title=title, lines=lambda _: lines, keys=self.keys))

    def action_back(self) -> None:
        """Go back to the list of concerts."""
        self.dismiss()

    def _mark(self) -> int | None:
        """Return the mark of the item under the cursor; None where there is none."""
        option = self.query_one(OptionList).highlighted_option
        return int(option.id) if option is not None and option.id else None

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_play_with()

    def _show(self) -> None:
        found = self.found
        if found is None:
            return
        listed = self.query_one(OptionList)
        mark, index = self._mark(), listed.highlighted or 0
        wanted = self.wanted if self.wanted in self.marks else mark
        self.wanted = None
        width, last = self.size.width - 4, len(found.rows)
        listed.set_options(
            Option(item_text(row, last=row.number == last, width=width), id=str(own))
            for row, own in zip(found.rows, self.marks, strict=True)
        )
        if wanted is not None and wanted in self.marks:
            listed.highlighted = self.marks.index(wanted)
        else:
            listed.highlighted = min(index, last - 1) if last else None
        self.query_one("#title", Static).update(Content(shown(programme_title(found))))
        text = programme_text(found, remarks_key=sign_of(self.keys["remarks"]))
        self.query_one("#count", Static).update(Content(text))
        self.freshen()
