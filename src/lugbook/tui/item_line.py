"""The line below the items of a concert: a title, the kinds of music of an item, or the time after it."""

from typing import Literal

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input, Static
from textual.widgets.input import Selection

from lugbook.plain import shown

Asking = Literal["", "title", "music", "after"]
"""What the line asks for; nothing where empty."""

_WORDS: dict[Asking, str] = {"": "", "title": "put in", "music": "for music", "after": "time after"}
_EXAMPLES: dict[Asking, str] = {
    "": "",
    "title": "title, or title=tacet",
    "music": "soft rolls, tutti; empty: the piece's own",
    "after": "90, 1:30 or 2min; empty: not known",
}


class ItemLine(Horizontal):
    """What is asked for, and what is typed."""

    asking: reactive[Asking] = reactive[Asking]("")

    class Given(Message):
        """A line was taken."""

    def compose(self) -> ComposeResult:
        """Compose the words before the line, and the line."""
        yield Static(id="asked", markup=False)
        yield Input(id="typed", compact=True, select_on_focus=False)

    def on_mount(self) -> None:
        """Ask for nothing yet."""
        self.display = False

    def open(self, asking: Asking, text: str, *, number: int | None = None) -> None:
        """Ask for something.

        Args:
            asking: for what.
            text: what is so already; the first sign that is typed replaces it.
            number: of the item that it is of.
        """
        self.asking = asking
        words = _WORDS[asking] if number is None else f"{number}. {_WORDS[asking]}"
        self.query_one("#asked", Static).update(Content(f"{shown(words)} ›"))
        typed = self.query_one(Input)
        typed.placeholder = _EXAMPLES[asking]
        typed.value = text
        typed.selection = Selection(0, len(text))
        self.display = True
        typed.focus()

    def close(self) -> None:
        """Ask for nothing any more."""
        self.asking = ""
        self.query_one(Input).value = ""
        self.display = False

    @property
    def text(self) -> str:
        """What is typed, without blanks around it."""
        return self.query_one(Input).value.strip()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Hand on what is typed."""
        event.stop()
        self.post_message(self.Given())
