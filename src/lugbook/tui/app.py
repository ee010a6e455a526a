"""The terminal program: `run` is what the command line calls."""

import io
import sys
from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import ClassVar

from rich.console import Console
from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import Screen

from lugbook.desk import Desk
from lugbook.errors import ExitCode, LugbookError
from lugbook.library import load_user, save_user
from lugbook.library.crashes import keep_crash_note
from lugbook.tui.commands import BY_ID, IN_A_SHELL, commands_at
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings_everywhere, keys_in_use
from lugbook.tui.pages import HelpScreen
from lugbook.tui.shelf import ShelfScreen
from lugbook.tui.theme import ROOM, STAGE, THEMES


class LugbookApp(App[None]):
    """The program: it opens the shelf, and handles what can be done everywhere."""

    TITLE = "Lugbook"
    CSS_PATH = Path(__file__).with_name("lugbook.tcss")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_everywhere()]
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (70, "-wide")]  # noqa: RUF012 - not a class variable in App

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.keys, refused = keys_in_use(desk.user.keys)
        self.complaints = (*(problem.sentence() for problem in desk.user_problems), *refused)
        # Nothing moves on a dark stage, and a slow connection repaints little.
        self.animation_level = "none"
        self.crash_text = io.StringIO()
        # An unexpected error is written here instead of over the player's terminal; `run` keeps it.
        self.error_console = Console(file=self.crash_text, width=110, markup=False, highlight=False)
        for theme in THEMES:
            self.register_theme(theme)
        names = [theme.name for theme in THEMES]
        self.theme = desk.user.theme if desk.user.theme in names else STAGE.name

    def on_mount(self) -> None:
        """Open the shelf."""
        if any(key != BY_ID[id_].key for id_, key in self.keys.items()):
            # All of them: Textual drops every binding of a key that one command is moved away from.
            self.set_keymap(self.keys)
        self.push_screen(ShelfScreen(self.desk, keys=self.keys, complaints=self.complaints))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Allow what can be done everywhere at the places of its row."""
        command = BY_ID.get(action)
        if command is None or not command.everywhere or not isinstance(self.screen, DeedScreen):
            return super().check_action(action, parameters)
        return self.screen.place in command.places

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Yield the deeds of this place for the palette, and the lines to type for those of the shell."""
        if not isinstance(screen, DeedScreen):
            return
        for command in commands_at(screen.place):
            if command.id != "palette" and screen.can(command.id):
                namespace = "app" if command.everywhere else "screen"
                deed = partial(screen.run_action, f"{namespace}.{command.id}")
                yield SystemCommand(command.label, command.sentence, deed)
        for what, line in IN_A_SHELL:
            yield SystemCommand(
                what, f"Type in a shell: {line}", partial(screen.say, f"Type in a shell: {line}")
            )

    def action_palette(self) -> None:
        """Look for a deed by its words."""
        self.action_command_palette()

    def action_help(self) -> None:
        """Show the keys of this screen."""
        screen = self.screen
        if isinstance(screen, DeedScreen) and screen.place != "help":
            others = tuple(place for place in screen.PLACES if place != screen.place)
            self.push_screen(HelpScreen(self.desk, (screen.place, *others), keys=self.keys))

    def action_theme(self) -> None:
        """Change between the two themes, and remember it."""
        self.theme = ROOM.name if self.theme == STAGE.name else STAGE.name
        try:
            kept = load_user(self.desk.user_folder)
            save_user(self.desk.user_folder, kept.model_copy(update={"theme": self.theme}))
        except LugbookError as error:
            if isinstance(self.screen, DeedScreen):
                self.screen.fault(str(error))


def run(desk: Desk, *, app: LugbookApp | None = None) -> int:
    """Run the terminal program and return its exit code.

    After an unexpected error the terminal is as it was before, a crash note is kept in the user's folder,
    and a line on stderr says where.

    Args:
        desk: the desk; its library need not exist yet.
        app: the program, where it is not to be made from the desk.
    """
    program = app or LugbookApp(desk)
    program.run()
    if not program.crash_text.getvalue():
        return ExitCode.FINE
    what = "Lugbook met an error that it does not know; everything done before is on disk."
    try:
        note = keep_crash_note(desk.user_folder, program.crash_text.getvalue())
        sys.stderr.write(f"{what} A crash note is kept in {note}.\n")
    except OSError as error:
        sys.stderr.write(f"{what} No crash note could be kept: {error.strerror or error}.\n")
    return ExitCode.NO
