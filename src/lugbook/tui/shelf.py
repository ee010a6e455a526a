"""The shelf: all drums with their presets, filtered as one types, and the way to the bench."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.wording import folded
from lugbook.plain import shown
from lugbook.tui.bench import BenchScreen
from lugbook.tui.demo import demo_library, with_demo
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.pages import ProblemsScreen
from lugbook.tui.records import DRUM, PRESET, RecordsScreen
from lugbook.tui.rows import (
    Sieve,
    Stock,
    count_text,
    drum_text,
    preset_text,
    read_stock,
    shelved,
    twins,
    welcome,
)

_READING = "reading the library"


class ShelfScreen(RecordsScreen):
    """The first screen."""

    PLACES = ("shelf", "filter", "welcome")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        "problems": "Every file can be read.",
        "restore": "Nothing that was removed can be brought back.",
        "open_demo": "The demo library is not at hand.",
        "filter_drop": "Nothing is filtered: all presets are shown.",
        "context": "No preset names a kind of music yet.",
        "take_out": "There is no drum yet.",
        "edit": "There is no drum yet.",
        "remove": "There is no drum yet.",
        "version_before": "There is no drum yet.",
        "add_preset": "There is no drum yet.",
        "begin_preset": "There is no drum yet.",
        "heads": "There is no drum yet.",
        "sweep": "There is no drum yet.",
        "response": "There is no drum yet.",
        "logbook": "There is no drum yet.",
        "carry": "There is no second drum to carry a preset to.",
    }

    sieve: reactive[Sieve] = reactive(Sieve(), init=False)
    """What the player wants to see."""

    def __init__(self, desk: Desk, *, keys: dict[str, str], complaints: tuple[str, ...] = ()) -> None:
        super().__init__(desk, place="shelf", keys=keys)
        self.language = desk.user.note_names
        self.demo = demo_library()
        self.complaints = complaints

    def compose(self) -> ComposeResult:
        """Compose the filter, the list, the count, the welcome and the lines below."""
        yield Static("Shelf", id="title", markup=False)
        with Vertical(id="welcome"):
            yield Static(Content(welcome(self.keys, demo=self.demo is not None)), id="greeting", markup=False)
        yield Input(placeholder="words of name, drum, music", id="words", compact=True)
        yield OptionList(id="presets", markup=False, compact=True)
        yield Static(id="count", markup=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the library."""
        super().on_mount()
        self.query_one("#words").display = False
        self.query_one("#welcome").display = False
        self.action_reload()

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command == "problems":
            return bool(self.stock.problems)
        if command == "restore":
            return bool(self.stock.removed)
        if command == "open_demo":
            return self.demo is not None
        if command == "filter_drop":
            return self.place == "filter" or self.sieve != Sieve()
        if command == "context":
            return bool(self.stock.contexts())
        if command in ("take_out", "edit", "remove", "version_before"):
            return bool(self.stock.drums or self.stock.presets)
        if command in ("add_preset", "begin_preset", "heads", "sweep", "response", "logbook"):
            return bool(self.stock.drums)
        if command == "carry":
            return len(self.stock.drums) > 1 and bool(self.stock.presets)
        return True

    def watch_stock(self) -> None:
        """Show what is on the shelf."""
        self.show_rows()

    def watch_sieve(self) -> None:
        """Show what stays."""
        self.show_rows()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Be where the keys go."""
        if self.place != "welcome":
            self.place = "filter" if isinstance(event.widget, Input) else "shelf"

    def action_reload(self) -> None:
        """Read the library again; once is enough for all that ask for it meanwhile."""
        if not self.waits_for(_READING):
            self.ask(_READING, partial(read_stock, self.desk), self._take_stock)

    def action_filter_drop(self) -> None:
        """Drop the filter and go to the list."""
        self.sieve = Sieve()
        super().action_filter_drop()

    @on(Input.Changed, "#words")
    def _filter_typed(self, event: Input.Changed) -> None:
        self.sieve = replace(self.sieve, words=event.value)

    def action_context(self) -> None:
        """Show the presets for the next kind of music."""
        cycle = ("", *self.stock.contexts())
        here = cycle.index(self.sieve.context) if self.sieve.context in cycle else 0
        self.sieve = replace(self.sieve, context=cycle[(here + 1) % len(cycle)])

    def action_problems(self) -> None:
        """List what cannot be read."""
        self.app.push_screen(ProblemsScreen(self.desk, self.stock.problems, keys=self.keys))

    def action_take_out(self) -> None:
        """Take the drum to the bench."""
        kind, id_ = self.under_cursor()
        if kind == PRESET:
            self.app.push_screen(BenchScreen(self.desk, id_, keys=self.keys))
        else:
            self.say(f"Go down to a preset, or press {sign_of(self.keys['add_preset'])} for a new one.")

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_take_out()

    def action_open_demo(self) -> None:
        """Open the demo library."""
        demo = self.demo
        if demo is not None:
            self.ask("copying the demo library", lambda: with_demo(self.desk, demo), self._take_desk)

    def _take_desk(self, desk: Desk) -> None:
        self.desk = desk
        self.said_after = f"This is a copy of the demo library, kept in {desk.library.root}."
        self.action_reload()

    def _take_stock(self, stock: Stock) -> None:
        self.stock = stock
        self.query_one("#welcome").display = not stock.exists
        presets = self.query_one(OptionList)
        presets.display = stock.exists
        self.query_one("#count").display = stock.exists
        if not stock.exists:
            self.place = "welcome"
        elif not isinstance(self.focused, Input):
            self.place = "shelf"
            presets.focus()
        self.say(self.said_after or " ".join(self.complaints))
        self.said_after = ""

    def show_rows(self) -> None:
        """Write the presets that stay, below their drums."""
        width = self.size.width - 4
        same_name = twins(self.stock.presets)
        options: list[Option] = []
        for drum, rows in shelved(self.stock, self.sieve):
            slug = drum.slug if drum else ""
            heading = drum_text(drum, waiting=self.stock.waiting.get(slug, ""))
            options.append(Option(heading, id=f"{DRUM}:{slug}"))
            options += [
                Option(
                    preset_text(
                        row,
                        width=width,
                        language=self.language,
                        twin=(row.drum, folded(row.name)) in same_name,
                    ),
                    id=f"{PRESET}:{row.id}",
                )
                for row in rows
            ]
        first = next((index for index, one in enumerate(options) if str(one.id).startswith(PRESET)), 0)
        self.list_rows(options, first=first)
        text = count_text(self.stock, self.sieve, problems_key=sign_of(self.keys["problems"]))
        self.query_one("#count", Static).update(Content(text))
        self.query_one("#title", Static).update(Content(f"Shelf   {shown(str(self.desk.library.root))}"))
        self.freshen()
