"""One piece: what it asks, and the presets to begin it with."""

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.suggesting import Suggestions, suggest
from lugbook.plain import shown
from lugbook.records import Piece
from lugbook.tui.bench import BenchScreen
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings
from lugbook.tui.pages import broken
from lugbook.tui.repertoire_rows import piece_facts, suggestion_text

_NOTHING = (
    "Nothing served in it or in pieces like it, and nothing is for its music. "
    "Say under contexts what it is, or keep a preset for it."
)


class PieceScreen(DeedScreen):
    """What is kept of a piece line by line, and below it each preset with the reasons for it.

    Args:
        desk: the desk.
        slug: of the piece.
        keys: the key of every command.
    """

    PLACES = ("piece",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, slug: str, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="piece", keys=keys)
        self.slug = slug
        self._shown: tuple[Piece, Suggestions] | None = None

    def compose(self) -> ComposeResult:
        """Compose the list and the lines below."""
        yield Static(Content("Piece"), id="title", markup=False)
        yield OptionList(id="piece", classes="choice", markup=False, compact=True)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the piece."""
        super().on_mount()
        self.query_one(OptionList).focus()
        self.ask("reading", self._read, self._take)

    def on_resize(self) -> None:
        """Break the lines for the new width."""
        if self._shown is not None:
            self._show(*self._shown)

    def action_take_out(self) -> None:
        """Take the drum to the bench with the preset under the cursor."""
        option = self.query_one(OptionList).highlighted_option
        if option is not None and option.id:
            self.app.push_screen(BenchScreen(self.desk, option.id, keys=self.keys))
        else:
            self.say("Go down to a preset.")

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_take_out()

    def action_back(self) -> None:
        """Go back to the list."""
        self.dismiss()

    def _read(self) -> tuple[Piece, Suggestions]:
        return self.desk.library.piece(self.slug).record, suggest(self.desk, self.slug)

    def _take(self, found: tuple[Piece, Suggestions]) -> None:
        self._shown = found
        self.query_one("#title", Static).update(Content(f"Piece   {shown(found[0].called)}"))
        self._show(*found)

    def _show(self, piece: Piece, found: Suggestions) -> None:
        listed = self.query_one(OptionList)
        before = listed.highlighted
        width = self.size.width - 4
        write = partial(suggestion_text, width=width, language=self.desk.user.note_names)

        def lines(*texts: str) -> list[Option]:
            return [Option(Content("\n".join(broken((text,), width=width)))) for text in texts]

        said = [*found.remarks, *(one.sentence() for one in found.problems)]
        listed.set_options(
            [
                *lines(piece.called, *piece_facts(piece)),
                Option(Content.styled("To begin it with", "bold underline")),
                *(Option(write(number, one), id=one.row.id) for number, one in enumerate(found.rows, 1)),
                *([] if found.rows else lines(_NOTHING)),
                *lines(*(f"! {one}" for one in said)),
            ]
        )
        listed.highlighted = before or 0
