"""How a screen does what is asked of it: one deed after another, off the screen's own thread.

A deed may take long: a recording is listened to, files are read, an entry waits for the disk. It runs in a
thread worker and ends in one message, its result or the error in words; only the handler of that message
changes what the screen shows. Deeds asked for meanwhile wait their turn, so that two quick presses of a key
are two deeds and none is lost; an error drops those that wait, because they were asked for without knowing.
One that may last long tells how far it is and can be stopped; nothing comes of a deed that was stopped.
"""

import threading
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from math import floor
from typing import Any, ClassVar, TypeAlias, TypeVar

from textual import events, on
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Static

from lugbook.desk.desk import Desk
from lugbook.errors import LugbookError, Stopped
from lugbook.plain import shown
from lugbook.progress import Progress
from lugbook.tui.commands import ALWAYS, BY_ID, Command, commands_at
from lugbook.tui.keyline import KeyLine
from lugbook.tui.keys import sign_of
from lugbook.tui.places import TYPING, Place

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
    stop: threading.Event | None = None
    """Set when it is to stop; None where it is too short for that."""


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

    WHY_NOT: ClassVar[Mapping[str, str]] = {}
    """Command id → why it does nothing where it makes no sense."""

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

    class Went(Message):
        """A deed has come some way."""

        def __init__(self, stop: threading.Event, share: float) -> None:
            super().__init__()
            self.of = stop
            self.share = share

        def can_replace(self, message: Message) -> bool:
            """Let only the newest wait: an older one tells nothing any more."""
            return isinstance(message, DeedScreen.Went) and message.of is self.of

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
        self._under_way: Deed | None = None
        self.set_reactive(DeedScreen.place, place)

    @property
    def settled(self) -> bool:
        """Whether nothing is under way and nothing waits: what is shown is what is so."""
        return not self.busy and not self._waiting

    def waits_for(self, words: str) -> bool:
        """Tell whether a deed of these *words* waits for its turn."""
        return any(deed.words == words for deed in self._waiting)

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

    def on_key(self, event: events.Key) -> None:
        """Say why a key does nothing; one that does something is left to its command."""
        if self.place in TYPING or self.busy:
            return
        wanted = [
            row for row in commands_at(*self.PLACES) if event.key in (self.keys[row.id], ALWAYS.get(row.id))
        ]
        here = next((row for row in wanted if self.place in row.places), None)
        if here is None and (wanted or event.is_printable):
            help_key = sign_of(self.keys["help"])
            self.say(f"{sign_of(event.key)} does nothing here; {help_key} shows the keys.")
        elif here is not None and not here.everywhere and not self.can(here.id):
            self.say(self.why_not(here.id) or f"{sign_of(event.key)} does nothing now.")

    def why_not(self, command: str) -> str:
        """Return why a command makes no sense now; empty where there is nothing to say."""
        return self.WHY_NOT.get(command, "")

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

    def ask_long(
        self, words: str, work: Callable[[Progress], Result], then: Callable[[Result], None]
    ) -> None:
        """Have something done that may last long: its share is shown, and `stop` ends it.

        Args:
            words: what is under way meanwhile.
            work: does it in a thread; touches no widget, keeps nothing, and tells the share that is done.
            then: takes the result, unless it was stopped.
        """
        stop = threading.Event()

        def told(share: float) -> None:
            if stop.is_set():
                raise _stopped()
            self.post_message(self.Went(stop, share))

        self._waiting.append(Deed(words, lambda: work(told), then, stop))
        self._go_on()

    def go_on_with(self, words: str, work: Callable[[], Result], then: Callable[[Result], None]) -> None:
        """Have what follows from a deed done, before all that was asked for meanwhile."""
        self._waiting.appendleft(Deed(words, work, then))
        self._go_on()

    def stop(self) -> bool:
        """Stop what is under way, if it can be stopped; tell whether it can."""
        deed = self._under_way
        if deed is None or deed.stop is None:
            return False
        deed.stop.set()
        self._waiting.clear()
        self.busy = "stopping"
        return True

    def stop_words(self) -> str:
        """Return how the player stops what is under way; empty where a screen has no key for it."""
        return ""

    def on_unmount(self) -> None:
        """Let no thread go on for a screen that is gone."""
        self.stop()

    def _go_on(self) -> None:
        if self.busy or not self._waiting:
            return
        deed = self._waiting.popleft()
        self._under_way = deed
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

    @on(Went)
    def _take_share(self, message: Went) -> None:
        deed = self._under_way
        if deed is not None and deed.stop is message.of and not message.of.is_set():
            share = f"{deed.words} {floor(100 * min(message.share, 1.0))} %"
            self.busy = " · ".join(filter(None, (share, self.stop_words())))

    @on(Done)
    def _take_result(self, message: Done) -> None:
        if message.deed.stop is not None and message.deed.stop.is_set():
            # It was done before it found out that it should stop.
            self._take_failure(self.Failed(message.deed, _stopped()))
            return
        self._under_way = None
        self.busy = ""
        self.said = Said()
        message.deed.then(message.result)
        self.freshen()
        self._go_on()

    @on(Failed)
    def _take_failure(self, message: Failed) -> None:
        stop = message.deed.stop
        # Whatever it met on its way: it was to stop.
        error = message.error if stop is None or not stop.is_set() else _stopped()
        self._under_way = None
        self.busy = ""
        self._waiting.clear()
        self.said = Said(str(error), wrong=not isinstance(error, Stopped))
        self.failed(error)
        self.freshen()

    def failed(self, error: LugbookError) -> None:
        """Take notice that a deed could not be done; the line has been said."""
        del error


def _stopped() -> Stopped:
    return Stopped("Stopped; nothing was kept of it.")
