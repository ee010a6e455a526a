"""The two pages that are only read: the keys of a screen, and the files that cannot be read."""

import textwrap
from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from lugbook.desk import Desk
from lugbook.library import Problem
from lugbook.plain import shown
from lugbook.tui.commands import ALWAYS, WHERE, Place, commands_at
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings, sign_of


class HelpScreen(DeedScreen):
    """Every key of the screen before, and what it does."""

    PLACES = ("help",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, places: tuple[Place, ...], *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="help", keys=keys)
        self.places = places

    def compose(self) -> ComposeResult:
        """Compose the page and the lines below."""
        yield Static("Help", id="title", markup=False)
        with VerticalScroll(id="page"):
            yield HelpText(self.places, self.keys)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        super().on_mount()
        self.query_one("#page").focus()

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()


class ProblemsScreen(DeedScreen):
    """What cannot be read in the library, one problem a paragraph."""

    PLACES = ("problems",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, problems: tuple[Problem, ...], *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="problems", keys=keys)
        self.problems = problems

    def compose(self) -> ComposeResult:
        """Compose the page and the lines below."""
        yield Static("Problems", id="title", markup=False)
        with VerticalScroll(id="page"):
            yield Static(Content(problems_text(self.desk, self.problems)), id="text", markup=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        super().on_mount()
        self.query_one("#page").focus()

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()


class HelpText(Static):
    """The text of the help page, its sentences beside the keys at every width."""

    def __init__(self, places: tuple[Place, ...], keys: Mapping[str, str]) -> None:
        super().__init__(id="text", markup=False)
        self.places = places
        self.keys = keys

    def on_resize(self) -> None:
        """Break the lines for the new width."""
        self.refresh(layout=True)

    def render(self) -> Content:
        """Return the text."""
        return help_text(self.places, self.keys, width=max(self.size.width, 30))


def help_text(places: tuple[Place, ...], keys: Mapping[str, str], *, width: int) -> Content:
    """Return each place's keys with their sentences, in lines of at most *width* columns."""
    lines: list[Content] = []
    for place in places:
        lines.append(Content.styled(WHERE[place], "bold underline"))
        for command in commands_at(place):
            key = sign_of(keys[command.id])
            always = ALWAYS.get(command.id, key)
            both = key if always == key else f"{key} {always}"
            first, *rest = textwrap.wrap(command.sentence, width - _KEY_COLUMN)
            lines.append(Content.styled(f"{both:<{_KEY_COLUMN}}", "bold") + Content(first))
            lines += [Content(" " * _KEY_COLUMN + line) for line in rest]
        lines.append(Content(""))
    lines += [Content(line) for line in textwrap.wrap(_MOVING, width)]
    return Content("\n").join(lines)


_KEY_COLUMN = 9
_MOVING = 'A key can be moved: in settings.toml, under [keys], write for example turn = "v".'


def problems_text(desk: Desk, problems: tuple[Problem, ...]) -> str:
    """Return the problems in sentences; every other file was read."""
    sentences = [problem.sentence(root=desk.library.root) for problem in problems]
    head = "These cannot be read and are left as they are; all other files are fine."
    return "\n\n".join((head, *map(shown, sentences)))
