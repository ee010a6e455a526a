"""Pages that are only read: a text for the width at hand, scrolled with the arrow keys."""

import textwrap
from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Static

from lugbook.desk import Desk
from lugbook.library import Problem
from lugbook.plain import shown
from lugbook.tui.commands import ALWAYS, commands_at
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.places import WHERE, Place

TextFor = Callable[[int], Content]
"""Returns a text in lines of at most so many columns."""

_LEAST_WIDTH = 30


class PageText(Static):
    """The text of a page, its lines broken anew at every width."""

    text_for: reactive[TextFor | None] = reactive[TextFor | None](None, layout=True)

    def __init__(self) -> None:
        super().__init__(id="text", markup=False)

    def on_resize(self) -> None:
        """Break the lines for the new width."""
        self.refresh(layout=True)

    def render(self) -> Content:
        """Return the text."""
        return Content("") if self.text_for is None else self.text_for(max(self.size.width, _LEAST_WIDTH))


class PageScreen(DeedScreen):
    """The base of the pages.

    Args:
        desk: the desk.
        place: where the player is.
        title: what stands above.
        keys: the key of every command.
    """

    def __init__(self, desk: Desk, *, place: Place, title: str, keys: dict[str, str]) -> None:
        super().__init__(desk, place=place, keys=keys)
        self.heading = title

    def compose(self) -> ComposeResult:
        """Compose the page and the lines below."""
        yield Static(Content(shown(self.heading)), id="title", markup=False)
        with VerticalScroll(id="page"):
            yield PageText()
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        super().on_mount()
        self.query_one("#page").focus()

    def show(self, text_for: TextFor) -> None:
        """Show a text."""
        self.query_one(PageText).text_for = text_for

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()


class HelpScreen(PageScreen):
    """Every key of the screen before, and what it does."""

    PLACES = ("help",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, places: tuple[Place, ...], *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="help", title="Help", keys=keys)
        self.places = places

    def on_mount(self) -> None:
        """Show the keys."""
        super().on_mount()
        self.show(lambda width: help_text(self.places, self.keys, width=width))


class ProblemsScreen(PageScreen):
    """What cannot be read in the library, one problem a paragraph."""

    PLACES = ("problems",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, problems: tuple[Problem, ...], *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="problems", title="Problems", keys=keys)
        self.problems = problems

    def on_mount(self) -> None:
        """Show the problems."""
        super().on_mount()
        text = Content(problems_text(self.desk, self.problems))
        self.show(lambda _: text)


class LinesScreen(PageScreen):
    """Lines, long ones broken between words.

    Args:
        desk: the desk.
        title: what stands above.
        lines: returns them for so many columns.
        keys: the key of every command.
    """

    PLACES = ("page",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(
        self,
        desk: Desk,
        *,
        title: str,
        lines: Callable[[int], tuple[str, ...]],
        keys: dict[str, str],
    ) -> None:
        super().__init__(desk, place="page", title=title, keys=keys)
        self.lines = lines

    def on_mount(self) -> None:
        """Show the lines."""
        super().on_mount()
        self.show(lambda width: Content("\n".join(broken(self.lines(width), width=width))))


def broken(lines: tuple[str, ...], *, width: int) -> list[str]:
    """Return *lines*, safe to show, those that are too long broken between words under their own indent."""
    found: list[str] = []
    for line in map(shown, lines):
        indent = " " * (len(line) - len(line.lstrip()) + 2)
        found += textwrap.wrap(line, width, subsequent_indent=indent) if len(line) > width else [line]
    return found


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
