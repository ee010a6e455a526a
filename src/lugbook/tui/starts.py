"""The starting points that come with the program, to begin a preset from."""

from collections.abc import Callable
from typing import ClassVar

from textual.binding import BindingType
from textual.content import Content
from textual.widgets.option_list import Option

from lugbook.desk import Desk, shelf
from lugbook.desk.shelf import PresetRow
from lugbook.plain import shown
from lugbook.records import NoteNames
from lugbook.tui.choosing import ChoiceScreen
from lugbook.tui.figures import written
from lugbook.tui.keys import bindings


class StartsScreen(ChoiceScreen):
    """The starting points; their ids are their slugs."""

    PLACES = ("starts",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, *, then: Callable[[str], None], keys: dict[str, str]) -> None:
        title = "Starting points: common practice, places to begin from"
        super().__init__(desk, place="starts", title=title, then=then, keys=keys)

    def on_mount(self) -> None:
        """Read the starting points."""
        super().on_mount()
        self.ask("reading", lambda: shelf.start_rows(self.desk).rows, self._list)

    def action_begin_here(self) -> None:
        """Hand on the one under the cursor."""
        self.hand_on()

    def _list(self, rows: tuple[PresetRow, ...]) -> None:
        language = self.desk.user.note_names
        self.show([Option(start_text(row, language=language), id=row.preset) for row in rows])


def start_text(row: PresetRow, *, language: NoteNames) -> Content:
    """Return a starting point in two rows: its name and pitches, and how players set the drum."""
    top, bottom = (
        " to ".join(written(note, language=language) for note in text.split(" to "))
        for text in (row.top, row.bottom)
    )
    pitches = f"   {top} over {bottom}, {shown(row.interval or '')}"
    return Content.styled(shown(row.name), "bold") + Content(f"{pitches}\n   {shown(row.snares)}")
