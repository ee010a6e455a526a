"""Lists to choose from for the items of a concert: the pieces of the library, and the presets of an item."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.items import Choice
from lugbook.desk.pieces import PieceRow
from lugbook.tui.choosing import ChoiceScreen
from lugbook.tui.keys import bindings
from lugbook.tui.repertoire_rows import choice_text, piece_text


class PiecesScreen(ChoiceScreen):
    """The pieces that can be put in; their ids are their slugs."""

    PLACES = ("pieces",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(
        self, desk: Desk, *, rows: Sequence[PieceRow], then: Callable[[str], None], keys: dict[str, str]
    ) -> None:
        super().__init__(desk, place="pieces", title="Put in a piece", then=then, keys=keys)
        self.rows = rows

    def on_mount(self) -> None:
        """List the pieces."""
        super().on_mount()
        width = self.app.size.width - 4
        self.show([Option(piece_text(one, width=width), id=one.slug) for one in self.rows])

    def action_put_here(self) -> None:
        """Hand on the piece under the cursor."""
        self.hand_on()


class ItemPresetsScreen(ChoiceScreen):
    """The presets that an item can be played with, the best first; their ids are ``drum/preset``."""

    PLACES = ("item presets",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(
        self,
        desk: Desk,
        *,
        title: str,
        choices: Sequence[Choice],
        then: Callable[[str], None],
        keys: dict[str, str],
    ) -> None:
        super().__init__(desk, place="item presets", title=title, then=then, keys=keys)
        self.choices = choices

    def on_mount(self) -> None:
        """List the presets."""
        super().on_mount()
        width, language = self.app.size.width - 4, self.desk.user.note_names
        self.show(
            [Option(choice_text(one, width=width, language=language), id=one.row.id) for one in self.choices]
        )

    def action_choose_preset(self) -> None:
        """Hand on the preset under the cursor."""
        self.hand_on()
