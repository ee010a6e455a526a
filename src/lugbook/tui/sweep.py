"""The sweep of the snares: one thing at a time, from free buzz to choke to the setting between them."""

from collections.abc import Mapping
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Input, Static
from textual.widgets.input import Selection

from lugbook.desk import Desk
from lugbook.desk.adjusting import adjustment_text, parse_number
from lugbook.desk.snare_keeping import Written, keep_buzzes
from lugbook.desk.snare_words import notes_of
from lugbook.desk.sweeping import Stage, Sweep, begin, keep
from lugbook.errors import BadValue
from lugbook.plain import shown
from lugbook.records import plain_number
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.tall import LOW, amount, drawn

_WORDS: Mapping[Stage, str] = {"free": "FREE", "choke": "CHOKE", "set": "SET", "done": "BUZZ"}
"""What stands tall at each stage."""

_ASKED: Mapping[Stage, str] = {
    "free": "free at",
    "choke": "chokes at",
    "set": "set to",
    "done": "buzzes with",
}
"""What the line asks for."""

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_MOST_TALL = 1000


class SweepScreen(DeedScreen):
    """The sweep of the snares of one drum.

    Args:
        desk: the desk.
        drum_id: the drum.
        name: what the player calls it.
        keys: the key of every command.
    """

    PLACES = ("sweep",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    sweep: reactive[Sweep | None] = reactive[Sweep | None](None, init=False)
    """The sweep as far as it has come; None until it has begun."""

    def __init__(self, desk: Desk, drum_id: str, *, name: str, keys: dict[str, str]) -> None:
        super().__init__(desk, place="sweep", keys=keys)
        self.drum_id, self.name_of_drum = drum_id, name
        self._leaving = False

    def compose(self) -> ComposeResult:
        """Compose what to do now, the line to type into, and the lines below."""
        yield Static(Content(shown(f"Snares   {self.name_of_drum}")), id="title", markup=False)
        with VerticalScroll(id="sweep", can_focus=False):
            yield Static(id="sought", markup=False)
            yield Static(id="value", markup=False)
            yield Static(id="now", markup=False)
            yield Static(id="span", markup=False)
        with Horizontal(id="line"):
            yield Static(id="asked", markup=False)
            yield Input(id="typed", compact=True, select_on_focus=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Begin."""
        super().on_mount()
        self.query_one(Input).focus()
        self._begin(None)

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command == "back":
            return True
        if self.sweep is None:
            return False
        if command == "other_adjustment":
            return self.sweep.stage == "free" and len(self.sweep.known) > 1
        return command not in ("tighter", "looser") or self.sweep.stage != "done"

    def watch_sweep(self, sweep: Sweep | None) -> None:
        """Show what is sought now, with a number to begin with."""
        self._leaving = False
        if sweep is None:
            return
        title = f"Snares   {self.name_of_drum} · {adjustment_text(sweep.adjustment)}"
        self.query_one("#title", Static).update(Content(shown(title)))
        self.query_one("#sought", Static).update(Content(drawn(_WORDS[sweep.stage], signs=LOW).text()))
        self.query_one("#now", Static).update(Content(shown(_now(sweep))))
        self.query_one("#span", Static).update(Content(shown(_found(sweep))))
        self.query_one("#asked", Static).update(Content(f"{_ASKED[sweep.stage]} ›"))
        typed = self.query_one(Input)
        typed.placeholder = "horn Bb3, clarinet D4" if sweep.stage == "done" else "3.5 or 3 1/2"
        offered = sweep.offered()
        self._fill_in("" if offered is None else plain_number(offered))
        self.freshen()

    @on(Input.Changed)
    def _show_value(self, event: Input.Changed) -> None:
        tall = ""
        if self.sweep is not None and self.sweep.stage != "done":
            tall = value_drawn(event.value)
        self.query_one("#value", Static).update(Content(tall))

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_sweep_take()

    def action_sweep_take(self) -> None:
        """Take what is typed, and go on to what is sought next."""
        sweep, text = self.sweep, self.query_one(Input).value.strip()
        if sweep is None or self.busy:
            return
        if sweep.stage == "done":
            self._take_notes(text)
            return
        try:
            value = parse_number(text, what=_ASKED[sweep.stage].capitalize())
            taken = {"free": sweep.with_free, "choke": sweep.with_choke, "set": sweep.with_chosen}
            after = taken[sweep.stage](value)
        except BadValue as error:
            self.fault(str(error))
            return
        self.say("")
        if after.stage == "done":
            self._write(after)
        else:
            self.sweep = after

    def action_tighter(self) -> None:
        """Tighten by a step."""
        self._move(1)

    def action_looser(self) -> None:
        """Loosen by a step."""
        self._move(-1)

    def action_other_adjustment(self) -> None:
        """Sweep the next adjustment of the strainer."""
        if self.sweep is not None:
            known = self.sweep.known
            self._begin(known[(known.index(self.sweep.name) + 1) % len(known)])

    def action_back(self) -> None:
        """Go back; where something was found and not written down, only when asked twice."""
        sweep = self.sweep
        if sweep is not None and sweep.stage in ("choke", "set") and not self._leaving:
            self._leaving = True
            take, back = (sign_of(self.keys[one]) for one in ("sweep_take", "back"))
            self.fault(f"Nothing is written down yet: {take} goes on, {back} again drops it.")
            return
        self.dismiss()

    def _begin(self, adjustment: str | None) -> None:
        def then(sweep: Sweep) -> None:
            self.sweep = sweep
            said = (sweep.start.why,) if sweep.start is not None else ()
            self.say(" ".join((*said, *sweep.remarks)))

        self.ask("reading", lambda: begin(self.desk, self.drum_id, adjustment), then)

    def _write(self, after: Sweep) -> None:
        def then(written: Written) -> None:
            self.sweep = after
            self.say(written.sentence())

        self.ask("writing", lambda: keep(self.desk, self.drum_id, after), then)

    def _take_notes(self, text: str) -> None:
        """Add the notes that set the wires off; with none typed, the sweep is over."""
        notes = notes_of(text)
        if not notes:
            self.dismiss()
            return

        def then(written: Written) -> None:
            self._fill_in("")
            self.say(written.sentence())

        self.ask("writing", lambda: keep_buzzes(self.desk, self.drum_id, notes), then)

    def _move(self, steps: int) -> None:
        sweep, text = self.sweep, self.query_one(Input).value.strip()
        if sweep is None:
            return
        try:
            value = parse_number(text, what="The value") if text else sweep.offered() or 0.0
        except BadValue as error:
            self.fault(str(error))
            return
        # Rounded, so that a step of a tenth does not pile up what no decimal says.
        self._fill_in(plain_number(round(value + steps * sweep.step, 9)))

    def _fill_in(self, text: str) -> None:
        """Put *text* into the line; the first sign typed replaces it."""
        typed = self.query_one(Input)
        typed.value = text
        typed.selection = Selection(0, len(text))


def value_drawn(text: str) -> str:
    """Return the number that *text* names in tall signs; empty where it has none for it."""
    try:
        value = parse_number(text, what="The value")
    except BadValue:
        return ""
    eighths = abs(value) * 8
    if not eighths.is_integer() or abs(value) >= _MOST_TALL:
        return ""
    whole, part = divmod(int(eighths), 8)
    sign = "−" if value < 0 else ""
    return amount(f"{sign}{whole or ('' if part else 0)}{_EIGHTHS[part]}").text()


def _now(sweep: Sweep) -> str:
    if sweep.stage == "done":
        return "Which notes of other instruments set the wires off? With nothing typed, the sweep is over."
    return sweep.now()


def _found(sweep: Sweep) -> str:
    others = "; ".join(f"{name} {plain_number(value)}" for name, value in sweep.others().items())
    leave = f"leave {others}" if others else ""
    return " · ".join(filter(None, (sweep.span(), leave)))
