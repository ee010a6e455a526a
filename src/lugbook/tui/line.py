"""The line at the bench that is typed into: a reading, the path of a recording, or the number of a rod."""

from typing import Literal

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input, Static
from textual.widgets.input import Selection

from lugbook.desk.asking import is_recording
from lugbook.records import HeadSide, NoteNames, Struck
from lugbook.tui.figures import EXAMPLES, read_pitch

Asking = Literal["reading", "recording", "stopped"]
"""What the line asks for."""

How = Literal["typed", "low side", "on it", "high side"]
"""How a pitch is had: typed from a meter, or found by ear and lying so."""

EAR_SIDES: tuple[How, How, How] = ("low side", "on it", "high side")
"""What the ear can say of a note."""


class BenchLine(Horizontal):
    """The line: what it asks for, how a pitch is had, and what is typed."""

    asking: reactive[Asking] = reactive[Asking]("reading")
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top")
    how: reactive[How] = reactive[How]("typed")
    struck: reactive[Struck] = reactive[Struck]("rim")

    class Given(Message):
        """A line was typed and taken."""

        def __init__(self, asking: Asking, text: str) -> None:
            super().__init__()
            self.asking = asking
            self.text = text

    def __init__(self, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(id=widget_id)
        self.examples: dict[Asking, str] = {
            "reading": f"{EXAMPLES[language]} or 221.3",
            "recording": "path of the recording",
            "stopped": "number of the last rod turned",
        }

    def compose(self) -> ComposeResult:
        """Compose the words before the line, and the line."""
        yield Static(id="asked", markup=False)
        yield Input(id="typed", compact=True, select_on_focus=False)

    def on_mount(self) -> None:
        """Show the words."""
        self._show()

    def watch_asking(self) -> None:
        """Show the words."""
        self._show()

    def watch_at_hand(self) -> None:
        """Show the words."""
        self._show()

    def watch_how(self) -> None:
        """Show the words."""
        self._show()

    def watch_struck(self) -> None:
        """Show the words."""
        self._show()

    def _show(self) -> None:
        if self.is_mounted:
            words = asked(self.asking, self.at_hand, self.how, self.struck)
            self.query_one("#asked", Static).update(Content(f"{words} ›"))
            self.query_one(Input).placeholder = self.examples[self.asking]

    def open(self, asking: Asking, text: str, *, offered: str = "") -> None:
        """Begin a line of that kind with *text*, or an *offered* one that the first sign typed replaces."""
        self.asking = asking
        typed = self.query_one(Input)
        typed.value = text or offered
        typed.selection = Selection(0, len(offered)) if offered else Selection.cursor(len(text))
        typed.focus()

    def begin_again(self) -> None:
        """Put the cursor into the line again, as it is."""
        self.query_one(Input).focus()

    def close(self) -> None:
        """Leave the line empty, asking for a reading."""
        self.asking = "reading"
        self.query_one(Input).value = ""
        self.screen.set_focus(None)

    @property
    def text(self) -> str:
        """What is typed, without blanks around it."""
        return self.query_one(Input).value.strip()

    def give(self) -> None:
        """Hand on what is typed."""
        if self.text:
            self.post_message(self.Given(self.asking, self.text))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Hand on what is typed."""
        event.stop()
        self.give()


def asked(asking: Asking, side: HeadSide, how: How, struck: Struck) -> str:
    """Return what the line asks for, in words."""
    if asking == "stopped":
        return "stopped after rod"
    if asking == "recording":
        return f"recording, {side} head, {struck}"
    return f"{side} head, {'typed' if how == 'typed' else f'by ear {how}'}, {struck}"


def in_english(text: str, *, how: How, language: NoteNames) -> str:
    """Return what was typed in the player's language as the desk reads it, with what the ear said.

    Raises:
        BadValue: it is no pitch in that language.
    """
    if is_recording(text):
        return text
    pitch = read_pitch(text, language=language)
    if how != "typed" and pitch.note is not None and not pitch.cents:
        return f"{pitch.note.text()} {how}"
    return pitch.text()


def next_side(how: How, *, step: int) -> How:
    """Return what the ear says one *step* higher (+1) or lower (−1); a typed pitch stays as it is."""
    if how == "typed":
        return how
    return EAR_SIDES[min(max(EAR_SIDES.index(how) + step, 0), len(EAR_SIDES) - 1)]
