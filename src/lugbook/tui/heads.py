"""The heads of one drum: what is on, from where its turns are counted; new heads and lost counts."""

from functools import partial
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.heads_now import HeadNow, heads_now
from lugbook.desk.recounting import Recounted, question, recount, take_back
from lugbook.desk.seating import Fitted, fit
from lugbook.plain import shown
from lugbook.records import Head, HeadSide
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.form import FormScreen, Wanted
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.pages import LinesScreen


class HeadsScreen(DeedScreen):
    """Both heads of a drum, one above the other.

    Args:
        desk: the desk.
        drum_id: the drum.
        name: what the player calls it.
        keys: the key of every command.
    """

    PLACES = ("heads",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(self, desk: Desk, drum_id: str, *, name: str, keys: dict[str, str]) -> None:
        super().__init__(desk, place="heads", keys=keys)
        self.drum_id, self.name_of_drum = drum_id, name
        self._heads: tuple[HeadNow, ...] = ()
        self._fitted: Fitted | None = None
        self._asked: HeadSide | None = None

    def compose(self) -> ComposeResult:
        """Compose the list and the lines below."""
        yield Static(Content(shown(f"Heads   {self.name_of_drum}")), id="title", markup=False)
        yield OptionList(id="heads", markup=False, compact=True)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Read the heads."""
        super().on_mount()
        self.query_one(OptionList).focus()
        self._read()

    def on_screen_resume(self) -> None:
        """Say what a new head means, once its form is gone."""
        fitted, self._fitted = self._fitted, None
        if fitted is not None:
            page = LinesScreen(
                self.desk,
                title=f"New {fitted.head.side} head",
                lines=lambda _: fitted.lines(),
                keys=self.keys,
            )
            self.app.push_screen(page)
        if self.is_mounted:
            self._read()

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        return command == "back" or bool(self._heads)

    def action_fit_head(self) -> None:
        """Fill in a new head for the side under the cursor."""
        side = self._side()

        def save(values: dict[str, Any]) -> str:
            self._fitted = fit(self.desk, self.drum_id, side, values)
            return self._fitted.head.id

        wanted = Wanted(
            f"New {side} head for {self.name_of_drum}",
            Head,
            save=save,
            then=lambda *_: None,
            defaults={"on": f"{self.desk.now().date()}"},
            without=frozenset({"side"}),
        )
        self.app.push_screen(FormScreen(self.desk, wanted, keys=self.keys))

    def action_count_lost(self) -> None:
        """Begin a new count of the head under the cursor, when asked twice."""
        side = self._side()
        if self._asked == side:
            self._count(partial(recount, self.desk, self.drum_id, side), undone=False)
            return

        def then(said: str) -> None:
            self._asked = side
            self.fault(f"{said} {sign_of(self.keys['count_lost'])} again: begin a new count.")

        self.ask("reading", partial(question, self.desk, self.drum_id, side), then)

    def action_count_back(self) -> None:
        """Take back the last count of the head under the cursor."""
        self._count(partial(take_back, self.desk, self.drum_id, self._side()), undone=True)

    def action_back(self) -> None:
        """Go back to the shelf."""
        self.dismiss()

    @on(OptionList.OptionHighlighted)
    def _cursor_moved(self) -> None:
        self._asked = None

    def _count(self, work: "partial[Recounted]", *, undone: bool) -> None:
        def then(done: Recounted) -> None:
            self._asked = None
            said = " ".join(f"{one.rstrip('.')}." for one in done.sentences(undone=undone))
            self._read(said)

        self.ask("writing", work, then)

    def _read(self, said: str = "") -> None:
        def then(found: tuple[HeadNow, ...]) -> None:
            self._list(found)
            self.say(said)

        self.ask("reading", lambda: heads_now(self.desk, self.drum_id), then)

    def _list(self, found: tuple[HeadNow, ...]) -> None:
        self._heads = found
        listed = self.query_one(OptionList)
        before = listed.highlighted
        rows = [
            Content.styled(f"{one.side.capitalize()} head", "bold")
            + Content(f"   {shown(one.head)}")
            + Content("".join(f"\n   {shown(line)}" for line in (one.stands, one.counted_from) if line))
            for one in found
        ]
        listed.set_options(Option(row, id=one.side) for row, one in zip(rows, found, strict=True))
        listed.highlighted = before or 0

    def _side(self) -> HeadSide:
        option = self.query_one(OptionList).highlighted_option
        return "bottom" if option is not None and option.id == "bottom" else "top"
