"""What the shelf and the repertoire share: one list, filtered as one types, read again after each deed."""

from collections.abc import Sequence

from textual import on
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from lugbook.tui.deeds import DeedScreen


class ListScreen(DeedScreen):
    """A list whose ids are ``kind:id``, below the line that it is filtered by."""

    said_after = ""
    """What to say once the library has been read again."""

    cursor = ""
    """The row to put the cursor on once it is there; empty where it stays."""

    def action_reload(self) -> None:
        """Read the library again."""
        raise NotImplementedError

    def show_rows(self) -> None:
        """Write the rows that stay, for the width there is."""
        raise NotImplementedError

    def on_screen_resume(self) -> None:
        """Read it again on coming back: another screen may have changed it."""
        if self.is_mounted:
            self.action_reload()

    def on_resize(self) -> None:
        """Write the rows for the new width."""
        self.show_rows()

    def read_again(self, said: str) -> None:
        """Read the library again, and say this then."""
        self.action_reload()
        self.said_after = said

    def action_filter(self) -> None:
        """Type a filter."""
        words = self.query_one(Input)
        words.display = True
        words.focus()

    def action_filter_done(self) -> None:
        """Keep the filter and go to the list."""
        words = self.query_one(Input)
        words.display = bool(words.value)
        self.query_one(OptionList).focus()

    def action_filter_drop(self) -> None:
        """Drop the filter and go to the list."""
        self.query_one(Input).value = ""
        self.action_filter_done()

    @on(Input.Submitted, "#words")
    def _filter_submitted(self) -> None:
        self.action_filter_done()

    def under_cursor(self) -> tuple[str, str]:
        """Return kind and id of what is under the cursor; empty texts where nothing is."""
        option = self.query_one(OptionList).highlighted_option
        kind, _, id_ = (option.id or "" if option is not None else "").partition(":")
        return kind, id_

    def list_rows(self, options: Sequence[Option], *, first: int) -> None:
        """List the rows, the cursor where it is wanted, else where it was, else on the *first* to be used."""
        wanted = ":".join(self.under_cursor())
        listed = self.query_one(OptionList)
        listed.set_options(options)
        ids = [option.id for option in options]
        if self.cursor in ids:
            wanted, self.cursor = self.cursor, ""
        listed.highlighted = ids.index(wanted) if wanted in ids else first if ids else None
