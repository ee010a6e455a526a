"""The bench: the screen at the drum, with a listening and a turning face.

What is shown is one frozen `lugbook.desk.bench.Bench`. Every deed asks the desk for the next one, and the
face follows from it: with a round of the rods at hand the bench is turning, else listening.
"""

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Input, Static

from lugbook.desk import Desk
from lugbook.desk import bench as at_desk
from lugbook.desk.bench import Bench
from lugbook.errors import LugbookError
from lugbook.plain import shown
from lugbook.records import By, HeadSide, Struck
from lugbook.tui.commands import BENCH, READING_KEYS, Place
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.line import Asking, BenchLine, How, in_english, next_side
from lugbook.tui.listening import HeadLine, Listening
from lugbook.tui.turning import RodRow, Turning


class BenchScreen(DeedScreen):
    """The bench for one preset of one drum."""

    PLACES = (*BENCH, "line")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    bench: reactive[Bench | None] = reactive(None, init=False)
    """The state at the drum; None until the desk has opened it."""
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top", init=False)
    """The head at hand."""
    how: reactive[How] = reactive[How]("typed", init=False)
    """How the next pitch is had."""
    struck: reactive[Struck] = reactive[Struck]("rim", init=False)
    """Where the head is struck."""

    def __init__(self, desk: Desk, name: str, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="listening", keys=keys)
        self.preset_name = name
        self.language = desk.user.note_names

    def compose(self) -> ComposeResult:
        """Compose both faces, the line to type into, and the lines below."""
        yield Static("Bench", id="title", markup=False)
        with VerticalScroll(id="faces", can_focus=False):
            listening = Listening(language=self.language, widget_id="listening")
            listening.turn_key = sign_of(self.keys["turn"])
            yield listening.data_bind(BenchScreen.bench, BenchScreen.at_hand)
            yield Turning(language=self.language, widget_id="turning").data_bind(BenchScreen.bench)
        yield BenchLine(id="line").data_bind(BenchScreen.at_hand, BenchScreen.how, BenchScreen.struck)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Open the bench as it was left."""
        super().on_mount()
        self._show_face()
        self.ask("opening the bench", partial(at_desk.sit_down, self.desk, self.preset_name), self._opened)

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command in ("back", "drop_line"):
            return True
        if command == "other_head":
            return self.bench is None or self.bench.round is None
        if command in ("higher", "lower"):
            return self.how != "typed"
        if command == "more":
            return self.query_one("#faces", VerticalScroll).max_scroll_y > 0
        if self.bench is None:
            return False
        if command == "turn_this":
            return self.bench.next_side not in (None, self.at_hand) and self._turnable(self.bench)
        return command != "turn" or self.bench.next_side is not None

    def watch_bench(self, bench: Bench | None) -> None:
        """Follow the state: show its face and its name."""
        if bench is not None:
            title = f"Bench   {bench.drum.name} · {bench.preset.name}"
            self.query_one("#title", Static).update(Content(shown(title)))
        self._show_face()

    def on_resize(self) -> None:
        """Offer to scroll where the new size asks for it."""
        self.call_after_refresh(self.freshen)

    def watch_how(self) -> None:
        """Offer the ear's keys where the ear is asked."""
        self.freshen()

    def on_key(self, event: events.Key) -> None:
        """Begin a reading, or the number of a rod, with its first sign."""
        if event.character is None or not event.is_printable:
            return
        if self.place == "line":
            # The line is open and has not got the keys yet: what is typed fast comes here.
            self.query_one(Input).insert_text_at_cursor(event.character)
        elif self.place == "listening" and event.character in READING_KEYS:
            self._open_line("reading", event.character)
        elif self.place == "turning" and event.character.isdecimal():
            self._open_line("stopped", event.character)
        else:
            return
        event.stop()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Be at the line once it is typed into, also where it was clicked."""
        if isinstance(event.widget, Input):
            self.place = "line"

    def on_descendant_blur(self) -> None:
        """Be at the drum again once the line is left, also by a click elsewhere."""
        self.place = self._face()

    def watch_at_hand(self) -> None:
        """Offer to turn this head where that makes sense."""
        self.freshen()

    def action_back(self) -> None:
        """Go back to the shelf."""
        self.dismiss()

    def action_other_head(self) -> None:
        """Take the other head to hand."""
        self.at_hand = "bottom" if self.at_hand == "top" else "top"

    @on(HeadLine.Taken)
    def _take_head(self, message: HeadLine.Taken) -> None:
        self.at_hand = message.side

    def action_more(self) -> None:
        """Scroll a page on, and from the end to the beginning."""
        faces = self.query_one("#faces", VerticalScroll)
        if faces.scroll_y >= faces.max_scroll_y:
            faces.scroll_home(animate=False)
        else:
            faces.scroll_page_down(animate=False)

    def action_by_ear(self) -> None:
        """Change between pitches found by ear and typed ones."""
        self.how = "on it" if self.how == "typed" else "typed"

    def action_higher(self) -> None:
        """By ear: one step to the high side."""
        self.how = next_side(self.how, step=1)

    def action_lower(self) -> None:
        """By ear: one step to the low side."""
        self.how = next_side(self.how, step=-1)

    def action_struck(self) -> None:
        """Change between the rim and the centre."""
        self.struck = "centre" if self.struck == "rim" else "rim"

    def action_type_reading(self) -> None:
        """Begin a reading with nothing typed yet."""
        self._open_line("reading")

    def action_recording(self) -> None:
        """Ask for the path of a recording."""
        self._open_line("recording")

    def action_stopped(self) -> None:
        """Ask for the last rod that was turned; the one done last is filled in."""
        at_hand = self.bench.round if self.bench is not None else None
        done = () if at_hand is None else at_hand.done_in_pass
        self._open_line("stopped", offered=str(done[-1]) if done else "")

    def action_take_reading(self) -> None:
        """Take the line as it is typed."""
        self.query_one(BenchLine).give()

    def action_drop_line(self) -> None:
        """Leave the line."""
        self._close_line(self.query_one(BenchLine).text)

    def action_turn(self) -> None:
        """Begin the round that the advice asks for next."""
        self._at_drum("beginning", lambda bench: at_desk.begin(bench, bench.next_side or "bottom"))

    def action_turn_this(self) -> None:
        """Begin the round of the head at hand, out of turn."""
        side = self.at_hand
        self._at_drum("beginning", lambda bench: at_desk.begin(bench, side))

    def action_rod_done(self) -> None:
        """The rod shown has been turned."""
        self._at_drum("writing", partial(at_desk.rod_done, self.desk))

    def action_all_done(self) -> None:
        """All rods have been turned."""
        self._at_drum("writing", partial(at_desk.all_done, self.desk))

    def action_take_back(self) -> None:
        """The round is dropped; the rods to turn back are said."""

        def take_back(bench: Bench) -> tuple[Bench, str]:
            way_back = "" if bench.round is None else bench.round.way_back()
            return at_desk.take_back(self.desk, bench), way_back

        def then(result: tuple[Bench, str]) -> None:
            bench, sentence = result
            self._follow(bench)
            self.say(sentence or "The round is dropped; no rod was turned.")

        self.ask("writing", lambda: take_back(self._present()), then)

    @on(RodRow.Named)
    def _stopped_after_named(self, message: RodRow.Named) -> None:
        self._stopped_after(message.rod)

    @on(BenchLine.Given)
    def _take_line(self, message: BenchLine.Given) -> None:
        if message.asking != "stopped":
            self._read(message.text, as_file=message.asking == "recording")
        elif message.text.isdecimal() and message.text.isascii():
            self._stopped_after(int(message.text[:4]), typed=message.text)
        else:
            self.fault(f"{message.text[:20]!r} is no number of a rod.")

    def failed(self, error: LugbookError) -> None:
        """Keep what was typed: the line stays open."""
        if self.place != "line":
            super().failed(error)

    def _read(self, text: str, *, as_file: bool) -> None:
        side, how, struck, language = self.at_hand, self.how, self.struck, self.language
        by: By | None = None if how == "typed" else "ear"

        def read() -> Bench:
            english = text if as_file else in_english(text, how=how, language=language)
            return at_desk.read(self.desk, self._present(), side, english, by=by, struck=struck)

        def then(bench: Bench) -> None:
            self._close_line(text)
            self._follow(bench)

        self.ask("listening" if as_file else "reading", read, then)

    def _stopped_after(self, rod: int, *, typed: str = "") -> None:
        def then(bench: Bench) -> None:
            self._close_line(typed)
            self._follow(bench)
            if bench.round is not None:
                self.say(f"Kept: stopped after rod {rod}. Go on when you like, or take it back.")

        self.ask("writing", lambda: at_desk.stopped_after(self.desk, self._present(), rod), then)

    def _turnable(self, bench: Bench) -> bool:
        turn = bench.retuning.head(self.at_hand) if bench.retuning is not None else None
        return turn is not None and bool(turn.amount) and self.at_hand not in bench.turned

    def _at_drum(self, words: str, step: Callable[[Bench], Bench]) -> None:
        """Have the desk take the step from the state that is shown by then."""
        self.ask(words, lambda: step(self._present()), self._follow)

    def _present(self) -> Bench:
        bench = self.bench
        if bench is None:
            raise LugbookError("The bench is not open.", hint="Go back to the shelf and choose a preset.")
        return bench

    def _opened(self, bench: Bench) -> None:
        if bench.top is not None and bench.bottom is None and bench.preset.bottom is not None:
            self.at_hand = "bottom"
        target = bench.preset.target(self.at_hand)
        if target is not None:
            self.struck = target.struck
            self.how = "on it" if target.by == "ear" else "typed"
        self._follow(bench)

    def _follow(self, bench: Bench) -> None:
        self.bench = bench
        if bench.round is not None:
            self.at_hand = bench.round.side
        self._show_face()

    def _face(self) -> Place:
        return "turning" if self.bench is not None and self.bench.round is not None else "listening"

    def _open_line(self, asking: Asking, text: str = "", *, offered: str = "") -> None:
        self.query_one(BenchLine).open(asking, text, offered=offered)
        self.place = "line"

    def _close_line(self, taken: str) -> None:
        """Close the line, unless something else is being typed by now than what was *taken*."""
        line = self.query_one(BenchLine)
        if line.text in ("", taken):
            line.close()
            self.place = self._face()

    def _show_face(self) -> None:
        turning = self._face() == "turning"
        self.query_one("#listening").display = not turning
        self.query_one("#turning").display = turning
        self.set_class(turning, "-turning")
        if self.place != "line":
            self.place = self._face()
        self.freshen()
        # Whether there is more to scroll to is known once the face has been laid out.
        self.call_after_refresh(self.freshen)
