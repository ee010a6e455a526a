"""The line of the logbook: what is asked of the state at hand, and what is typed or pressed."""

from dataclasses import dataclass
from typing import Literal

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input, Static
from textual.widgets.input import Selection

from lugbook.desk.questions import Question
from lugbook.plain import shown
from lugbook.records import NoteNames, Struck
from lugbook.tui.figures import EXAMPLES
from lugbook.tui.line import How

Wish = Literal["question", "music", "name", "rod", "find"]
"""What the line is for: a question of the state at hand, the music of a new search, the name of a preset, the
last rod that was turned, or words to find."""


@dataclass(frozen=True, slots=True)
class Asking:
    """What the line asks for now."""

    wish: Wish
    question: Question | None = None
    offered: str = ""
    """What is filled in already; the first sign that is typed replaces it."""

    @property
    def pressed(self) -> bool:
        """Whether one key answers it, and nothing is typed."""
        return self.question is not None and self.question.about in ("passage", "verdict")


class TrialLine(Horizontal):
    """The words before the line, and the line; only the words where one key answers."""

    asking: reactive[Asking | None] = reactive[Asking | None](None, init=False)
    how: reactive[How] = reactive[How]("typed", init=False)
    struck: reactive[Struck] = reactive[Struck]("rim", init=False)
    in_the_hall: reactive[bool] = reactive(False, init=False)

    class Given(Message):
        """A line was taken as it is typed; it may be empty."""

        def __init__(self, asking: Asking, text: str) -> None:
            super().__init__()
            self.asking = asking
            self.text = text

    def __init__(self, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(id=widget_id)
        self.language = language

    def compose(self) -> ComposeResult:
        """Compose the words before the line, and the line."""
        yield Static(id="asked", markup=False)
        yield Input(id="typed", compact=True, select_on_focus=False)

    def on_mount(self) -> None:
        """Ask for nothing yet."""
        self.display = False

    def watch_asking(self) -> None:
        """Show the words."""
        self._show()

    def watch_how(self) -> None:
        """Show the words."""
        self._show()

    def watch_struck(self) -> None:
        """Show the words."""
        self._show()

    def watch_in_the_hall(self) -> None:
        """Show the words."""
        self._show()

    def open(self, asking: Asking, *, begun: str = "") -> None:
        """Ask for something.

        Args:
            asking: for what.
            begun: what the player began to type already.
        """
        self.asking = asking
        self.display = True
        typed = self.query_one(Input)
        typed.display = not asking.pressed
        if asking.pressed:
            self.screen.set_focus(None)
            return
        text = begun or typed.value
        typed.value = text or asking.offered
        typed.selection = Selection.cursor(len(text)) if text else Selection(0, len(asking.offered))
        typed.focus()

    def close(self) -> None:
        """Ask for nothing any more."""
        self.asking = None
        self.query_one(Input).value = ""
        self.display = False

    @property
    def text(self) -> str:
        """What is typed, as it is."""
        return self.query_one(Input).value

    def put(self, text: str, *, chosen: bool = False) -> None:
        """Put a *text* into the line; one that was *chosen* is marked, so that typing replaces it."""
        typed = self.query_one(Input)
        typed.value = text
        typed.selection = Selection(0, len(text)) if chosen else Selection.cursor(len(text))

    def give(self) -> None:
        """Hand on what is typed, and leave the line empty for what is typed meanwhile."""
        if self.asking is None or self.asking.pressed:
            return
        text = self.text
        self.put("")
        self.post_message(self.Given(self.asking, text.strip()))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Hand on what is typed."""
        event.stop()
        self.give()

    def _show(self) -> None:
        if not self.is_mounted or self.asking is None:
            return
        words = asked(self.asking, how=self.how, struck=self.struck, in_the_hall=self.in_the_hall)
        self.query_one("#asked", Static).update(Content(f"{shown(words)} ›"))
        self.query_one(Input).placeholder = example(self.asking, language=self.language)


def asked(asking: Asking, *, how: How, struck: Struck, in_the_hall: bool) -> str:
    """Return what the line asks for, in words."""
    question = asking.question
    if question is None:
        return {
            "music": f"new search, {'in the hall' if in_the_hall else 'at the drum'}, for",
            "name": "name of the preset",
            "rod": "stopped after rod",
            "find": "find",
        }.get(asking.wish, "")
    if question.side is not None:
        return f"{question.side} head, {'typed' if how == 'typed' else f'by ear {how}'}, {struck}"
    return {
        "passage": f"{question.passage}: well, so-so or badly",
        "verdict": "better, same or worse than kept",
    }.get(question.about, question.about)


def example(asking: Asking, *, language: NoteNames) -> str:
    """Return what stands in the empty line."""
    if asking.question is None:
        return {"music": "dry étude", "name": "Dry étude", "find": "empty shows all"}.get(asking.wish, "")
    if asking.question.side is not None:
        return f"{EXAMPLES[language]}, 221.3 or a recording; empty skips"
    return {"words": "dry, open …; empty skips", "snares": "just free …; empty skips"}.get(
        asking.question.about, ""
    )
