"""How a screen does what is asked of it: one deed after another, off the screen's own thread.

A deed may take long: a recording is listened to, files are read, an entry waits for the disk. It runs in a
thread worker and ends in one message, its result or the error in words; only the handler of that message
changes what the screen shows. Deeds asked for meanwhile wait their turn, so that two quick presses of a key
are two deeds and none is lost; an error drops those that wait, because they were asked for without knowing.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar, TypeAlias, TypeVar

from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Static

from lugbook.desk.desk import Desk
from lugbook.errors import LugbookError
from lugbook.plain import shown
from lugbook.tui.commands import BY_ID, Command, Place, commands_at
from lugbook.tui.keyline import KeyLine

Result = TypeVar("Result")

Outcome: TypeAlias = Any
"""What a deed comes to; the deed alone knows its type."""


@dataclass(frozen=True, slots=True)
class Deed:
    """Something to do, and where its result goes."""

    words: str
    """What is under way, such as ``listening``."""
    work: Callable[[], Any]
    """Does it, in a thread; touches no widget."""
    then: Callable[[Any], None]
    """Takes the result, in the screen's own thread."""


@dataclass(frozen=True, slots=True)
class Said:
    """A line said to the player."""

    text: str = ""
    wrong: bool = False
    """Whether something could not be done."""


class SaidLine(Static):
    """Shows what is under way, else the line that was said last; ``!`` stands before what went wrong."""

    said: reactive[Said] = reactive(Said())
    busy: reactive[str] = reactive("")

    def watch_said(self) -> None:
        """Show the line."""
        self._show()

    def watch_busy(self) -> None:
        """Show what is under way."""
        self._show()

    def _show(self) -> None:
        text = f"{self.busy} …" if self.busy else f"! {self.said.text}" if self.said.wrong else self.said.text
        self.set_class(self.said.wrong and not self.busy, "-wrong")
        self.display = bool(text)
        self.update(Content(shown(text)))


class DeedScreen(Screen[None]):
    """The base of all screens: places, commands, deeds and what is said of them."""

    PLACES: ClassVar[tuple[Place, ...]] = ()
    """Its places, for its help page and its keys."""

    AUTO_FOCUS: ClassVar[str | None] = ""
    BINDINGS: ClassVar[list[BindingType]] = []

    place: reactive[Place] = reactive[Place]("shelf", init=False)
    """Where the player is."""
    busy: reactive[str] = reactive("", init=False)
    """What is under way, in words; empty when nothing is."""
    said: reactive[Said] = reactive(Said(), init=False)
    """The line said last."""
    live: reactive[tuple[Command, ...]] = reactive[tuple[Command, ...]]((), init=False)
    """The commands that can be done now."""

    class Done(Message):
        """A deed was done."""

        def __init__(self, deed: Deed, result: Outcome) -> None:
            super().__init__()
            self.deed = deed
            self.result = result

    class Failed(Message):
        """A deed could not be done."""

        def __init__(self, deed: Deed, error: LugbookError) -> None:
            super().__init__()
            self.deed = deed
            self.error = error

    def __init__(self, desk: Desk, *, place: Place, keys: dict[str, str]) -> None:
        super().__init__()
        self.desk = desk
        self.keys = keys
        self._waiting: deque[Deed] = deque()
        self.set_reactive(DeedScreen.place, place)

    @property
    def settled(self) -> bool:
        """Whether nothing is under way and nothing waits: what is shown is what is so."""
        return not self.busy and not self._waiting

    def key_line(self) -> KeyLine:
        """Return the line of keys of this screen."""
        line = KeyLine(id="keys")
        line.keys = self.keys
        return line.data_bind(commands=DeedScreen.live)

    def said_line(self) -> SaidLine:
        """Return the line that shows what is said."""
        return SaidLine(id="said", markup=False).data_bind(DeedScreen.said, DeedScreen.busy)

    def can(self, command: str) -> bool:
        """Tell whether a command of this place makes sense now; a screen narrows it."""
        del command
        return True

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Allow a command at its places only."""
        del parameters
        command = BY_ID.get(action)
        return command is None or (self.place in command.places and self.can(action))

    def freshen(self) -> None:
        """Work out anew what can be done now; called after each change of state."""
        self.live = tuple(row for row in commands_at(self.place) if self.can(row.id))
        self.refresh_bindings()

    def on_mount(self) -> None:
        """Show the keys."""
        self.freshen()

    def watch_place(self) -> None:
        """Show the keys of the new place."""
        self.freshen()

    def say(self, text: str) -> None:
        """Say *text* to the player."""
        self.said = Said(text)

    def fault(self, text: str) -> None:
        """Say that something could not be done."""
        self.said = Said(text, wrong=True)

    def ask(self, words: str, work: Callable[[], Result], then: Callable[[Result], None]) -> None:
        """Have something done, after all that was asked for before.

        Args:
            words: what is under way meanwhile.
            work: does it in a thread; touches no widget.
            then: takes the result.
        """
        self._waiting.append(Deed(words, work, then))
        self._go_on()

    def _go_on(self) -> None:
        if self.busy or not self._waiting:
            return
        deed = self._waiting.popleft()
        self.busy = deed.words
        # Not exclusive: deeds come one at a time anyway, and the thread of the last one may still be ending.
        self.run_worker(partial(self._work, deed), group="deeds", thread=True)

    def _work(self, deed: Deed) -> None:
        try:
            result = deed.work()
        except LugbookError as error:
            self.post_message(self.Failed(deed, error))
        else:
            self.post_message(self.Done(deed, result))

    @on(Done)
    def _take_result(self, message: Done) -> None:
        self.busy = ""
        self.said = Said()
        message.deed.then(message.result)
        self.freshen()
        self._go_on()

    @on(Failed)
    def _take_failure(self, message: Failed) -> None:
        self.busy = ""
        self._waiting.clear()
        self.said = Said(str(message.error), wrong=True)
        self.failed(message.error)
        self.freshen()

    def failed(self, error: LugbookError) -> None:
        """Take notice that a deed could not be done; the line has been said."""
        del error
