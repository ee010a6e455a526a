"""The starting points that come with the program, to begin a preset from."""

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk, shelf
from lugbook.desk.shelf import PresetRow
from lugbook.plain import shown
from lugbook.records import NoteNames
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.figures import written
from lugbook.tui.keys import bindings


class StartsScreen(DeedScreen):
    """The list; the one that is chosen is handed on by its slug."""

    PLACES = ("starts",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, *, then: Callable[[str], None], keys: dict[str, str]) -> None:
        super().__init__(desk, place="starts", keys=keys)
        self.then = then

    def compose(self) -> ComposeResult:
        """Compose the list and the lines below."""
        yield Static("Starting points: common practice, places to begin from", id="title", markup=False)
        yield OptionList(id="starts", markup=False, compact=True)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the starting points."""
        super().on_mount()
        self.query_one(OptionList).focus()
        self.ask("reading", lambda: shelf.start_rows(self.desk).rows, self._list)

    def action_begin_here(self) -> None:
        """Hand on the one under the cursor."""
        option = self.query_one(OptionList).highlighted_option
        if option is not None and option.id:
            self.dismiss()
            self.then(option.id)

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_begin_here()

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()

    def _list(self, rows: tuple[PresetRow, ...]) -> None:
        language = self.desk.user.note_names
        options = [Option(start_text(row, language=language), id=row.preset) for row in rows]
        listed = self.query_one(OptionList)
        listed.set_options(options)
        listed.highlighted = 0 if options else None


def start_text(row: PresetRow, *, language: NoteNames) -> Content:
    """Return a starting point in two rows: its name and pitches, and how players set the drum."""
    top, bottom = (
        " to ".join(written(note, language=language) for note in text.split(" to "))
        for text in (row.top, row.bottom)
    )
    pitches = f"   {top} over {bottom}, {shown(row.interval or '')}"
    return Content.styled(shown(row.name), "bold") + Content(f"{pitches}\n   {shown(row.snares)}")
