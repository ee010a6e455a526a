"""Lists of a few things of which one is chosen."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.shelf import DrumRow
from lugbook.plain import shown
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings
from lugbook.tui.places import Place


class ChoiceScreen(DeedScreen):
    """A list; the id of the one that is chosen is handed on.

    Args:
        desk: the desk.
        place: where the player is.
        title: what stands above.
        then: takes the id.
        keys: the key of every command.
    """

    def __init__(
        self, desk: Desk, *, place: Place, title: str, then: Callable[[str], None], keys: dict[str, str]
    ) -> None:
        super().__init__(desk, place=place, keys=keys)
        self.heading, self.then = title, then

    def compose(self) -> ComposeResult:
        """Compose the list and the lines below."""
        yield Static(Content(shown(self.heading)), id="title", markup=False)
        yield OptionList(id=self.place.replace(" ", "-"), classes="choice", markup=False, compact=True)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Go to the list."""
        super().on_mount()
        self.query_one(OptionList).focus()

    def show(self, options: Sequence[Option]) -> None:
        """Show the options, the cursor on the first."""
        listed = self.query_one(OptionList)
        listed.set_options(options)
        listed.highlighted = 0 if options else None

    def hand_on(self) -> None:
        """Leave the list, and hand on the one under the cursor."""
        option = self.query_one(OptionList).highlighted_option
        if option is not None and option.id:
            self.dismiss()
            self.then(option.id)

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.hand_on()

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()


class DrumsScreen(ChoiceScreen):
    """The drums that a preset can be carried to; their ids are their slugs."""

    PLACES = ("drums",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(
        self,
        desk: Desk,
        *,
        title: str,
        drums: Sequence[DrumRow],
        then: Callable[[str], None],
        keys: dict[str, str],
    ) -> None:
        super().__init__(desk, place="drums", title=title, then=then, keys=keys)
        self.drums = drums

    def on_mount(self) -> None:
        """List the drums."""
        super().on_mount()
        self.show([Option(Content(f"{shown(one.name)}   {one.size}"), id=one.slug) for one in self.drums])

    def action_carry_here(self) -> None:
        """Hand on the drum under the cursor."""
        self.hand_on()
