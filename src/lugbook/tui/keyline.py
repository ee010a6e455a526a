"""The line of keys at the foot of every screen: each key with what it does, each of them a button too."""

from collections.abc import Iterable, Mapping

from textual.content import Content
from textual.reactive import reactive
from textual.style import Style
from textual.widgets import Static

from lugbook.tui.commands import Command
from lugbook.tui.keys import sign_of

_GAP = "  "


class KeyLine(Static):
    """Shows the keys that do something now, and does it when one is clicked."""

    commands: reactive[tuple[Command, ...]] = reactive[tuple[Command, ...]]((), layout=True)
    """What can be done now, in the order shown."""

    keys: reactive[Mapping[str, str]] = reactive[Mapping[str, str]]({}, layout=True)
    """The key of every command, by its id."""

    def on_resize(self) -> None:
        """Break the lines for the new width."""
        self.refresh(layout=True)

    def render(self) -> Content:
        """Return keys and words, broken between commands only."""
        return key_line(self.commands, self.keys, width=self.size.width)


def key_line(commands: Iterable[Command], keys: Mapping[str, str], *, width: int) -> Content:
    """Return the keys of those *commands* that the line shows, each with a click that does it.

    Args:
        commands: what can be done now.
        keys: the key of every command, by its id.
        width: columns to use; no command is broken over two rows.
    """
    rows: list[list[Content]] = [[]]
    used = 0
    for command in commands:
        if not command.footer:
            continue
        item = _item(command, keys.get(command.id, command.key))
        if rows[-1] and used + len(_GAP) + item.cell_length > width > 0:
            rows.append([])
            used = 0
        used += item.cell_length + (len(_GAP) if rows[-1] else 0)
        rows[-1].append(item)
    return Content("\n").join(Content(_GAP).join(row) for row in rows)


def _item(command: Command, key: str) -> Content:
    namespace = "app" if command.everywhere else "screen"
    click = Style.from_meta({"@click": f"{namespace}.{command.id}"})
    return (Content.styled(sign_of(key), "bold reverse") + Content(f" {command.label}")).stylize(click)
