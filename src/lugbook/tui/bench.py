"""The bench: the screen at the drum, with a listening and a turning face.

What is shown is one frozen `lugbook.desk.bench.Bench`. Every deed asks the desk for the next one, and the
face follows from it: with a round of the rods at hand the bench is turning, else listening.
"""

from collections.abc import Mapping
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from lugbook.desk import Desk, turning_rods
from lugbook.desk import bench as at_desk
from lugbook.desk.asking import Taken, is_recording
from lugbook.desk.bench import Bench
from lugbook.plain import shown
from lugbook.progress import Progress
from lugbook.records import By, HeadSide
from lugbook.tui.checked import Checked, check, checked_page
from lugbook.tui.keys import bindings, sign_of
from lugbook.tui.line import Asking, BenchLine, in_english
from lugbook.tui.listening import HeadLine, Listening
from lugbook.tui.picture import picture_of, was_heard
from lugbook.tui.places import BENCH, READING_KEYS, Place
from lugbook.tui.rounds import RoundScreen
from lugbook.tui.turning import RodRow, Turning


class BenchScreen(RoundScreen):
    """The bench for one preset of one drum."""

    PLACES = (*BENCH, "line")
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        "turn": "There is nothing to turn; read a head, or see what is said of it.",
        "turn_this": "The advice asks for no turn of this head before the other.",
        "other_head": "A round of the rods is open: finish it, or take it back.",
        "higher": "High and low side are said of a pitch by ear.",
        "lower": "High and low side are said of a pitch by ear.",
        "more": "All there is to say is shown.",
        "check": "Read a head first.",
        "silent": "A head was read just now: let what was read lead.",
        "picture": "No recording of this head was listened to just now.",
        "take_back": "Rods have been turned back already: turn back the others too.",
    }

    def __init__(self, desk: Desk, name: str, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="listening", keys=keys)
        self.preset_name = name
        self._draft = ""
        self.language = desk.user.note_names

    def compose(self) -> ComposeResult:
        """Compose both faces, the line to type into, and the lines below."""
        yield Static("Bench", id="title", markup=False)
        with VerticalScroll(id="faces", can_focus=False):
            listening = Listening(language=self.language, widget_id="listening")
            listening.turn_key = sign_of(self.keys["turn"])
            yield listening.data_bind(BenchScreen.bench, BenchScreen.at_hand)
            yield Turning(language=self.language, widget_id="turning").data_bind(BenchScreen.bench)
        line = BenchLine(language=self.language, widget_id="line")
        yield line.data_bind(BenchScreen.at_hand, BenchScreen.how, BenchScreen.struck)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Open the bench as it was left."""
        super().on_mount()
        # Whether there is more to scroll to is known once the face has been laid out.
        self.watch(self.query_one("#faces"), "virtual_size", self.freshen, init=False)
        self._show_face()
        self.came_back()

    def came_back(self) -> None:
        """Open the bench as the logbook of the drum has it."""
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
        if command == "picture":
            return was_heard(self.bench.taken(self.at_hand))
        if command in ("check", "silent"):
            return bool(self.bench.readings) == (command == "check")
        if command == "turn_this":
            return self.bench.out_of_turn(self.at_hand)
        if command == "take_back":
            return self.bench.round is not None and not self.bench.round.back
        return command != "turn" or self.bench.next_side is not None

    def watch_bench(self, bench: Bench | None) -> None:
        """Follow the state: show its face and its name."""
        if bench is not None:
            title = f"Bench   {bench.drum.name} · {self._way(bench)}"
            self.query_one("#title", Static).update(Content(shown(title)))
        self._from_the_top()
        self._show_face()

    def watch_at_hand(self) -> None:
        """Show this head from the top on."""
        super().watch_at_hand()
        self._from_the_top()

    def _way(self, bench: Bench) -> str:
        """Return what the drum is on the way to: a round may have been begun for another preset."""
        at_hand = bench.round
        if at_hand is None or at_hand.preset in ("", bench.name):
            return bench.preset.name
        return f"for {at_hand.preset.partition('/')[2]}"

    def _from_the_top(self) -> None:
        self.query_one("#faces", VerticalScroll).scroll_home(animate=False)

    def on_resize(self) -> None:
        """Offer to scroll where the new size asks for it."""
        self.call_after_refresh(self.freshen)

    def on_key(self, event: events.Key) -> None:
        """Begin a reading, or the number of a rod, with its first sign."""
        if event.key == self.keys["other_head"]:
            # What is typed after this key can be in the line before its command is run.
            self._draft = self.query_one(BenchLine).text
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
        event.prevent_default()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Be at the line once it is typed into, also where it was clicked."""
        if isinstance(event.widget, Input):
            self.place = "line"

    def on_descendant_blur(self) -> None:
        """Be at the drum again once the line is left, also by a click elsewhere."""
        self.place = self._face()

    def action_back(self) -> None:
        """Stop listening to a recording; else go back to the shelf."""
        if not self.stop():
            self.dismiss()

    def stop_words(self) -> str:
        """Say which key stops the listening."""
        command = "drop_line" if self.place == "line" else "back"
        return f"{sign_of(self.keys[command])} stops"

    def action_picture(self) -> None:
        """Show what was heard of the head at hand."""
        page = picture_of(self.desk, self.present(), self.at_hand, then=self.follow, keys=self.keys)
        if page is not None:
            self.app.push_screen(page)

    def action_check(self) -> None:
        """Say why the drum is not at its preset, and which one it is nearest to."""
        bench = self.bench
        if bench is None:
            return

        def then(found: Checked) -> None:
            self.app.push_screen(checked_page(self.desk, bench, found, keys=self.keys))

        self.ask("comparing", lambda: check(self.desk, bench), then)

    def action_other_head(self) -> None:
        """Take the other head to hand; what is being typed for this one is never carried over to it."""
        self._take_to_hand("bottom" if self.at_hand == "top" else "top", draft=self._draft)

    @on(HeadLine.Taken)
    def _take_head(self, message: HeadLine.Taken) -> None:
        self._take_to_hand(message.side, draft=self.query_one(BenchLine).text)

    def _take_to_hand(self, side: HeadSide, *, draft: str) -> None:
        if side != self.at_hand and draft and self.settled:
            take, drop = (sign_of(self.keys[one]) for one in ("take_reading", "drop_line"))
            self.fault(f"Something is typed for the {self.at_hand} head: {take} takes it, {drop} drops it.")
            self.query_one(BenchLine).begin_again()
        else:
            self.at_hand = side

    def action_more(self) -> None:
        """Scroll a page on, and from the end to the beginning."""
        faces = self.query_one("#faces", VerticalScroll)
        if faces.scroll_y >= faces.max_scroll_y:
            faces.scroll_home(animate=False)
        else:
            faces.scroll_page_down(animate=False)

    def action_type_reading(self) -> None:
        """Begin a reading with nothing typed yet."""
        self._open_line("reading")

    def action_recording(self) -> None:
        """Ask for the path of a recording."""
        self._open_line("recording")

    def action_stopped(self) -> None:
        """Ask for the last rod that was turned; the one done last is filled in."""
        at_hand = self.bench.round if self.bench is not None else None
        done = () if at_hand is None else at_hand.turned
        self._open_line("stopped", offered=str(done[-1]) if done else "")

    def action_take_reading(self) -> None:
        """Take the line as it is typed."""
        self.query_one(BenchLine).give()

    def action_drop_line(self) -> None:
        """Stop listening to a recording; else leave the line."""
        if not self.stop():
            self.say("")
            self._close_line(self.query_one(BenchLine).text)

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

    def _read(self, text: str, *, as_file: bool) -> None:
        side, how, struck, language = self.at_hand, self.how, self.struck, self.language
        by: By | None = None if how == "typed" else "ear"
        insisted = self.insists("take_reading", side, text, how, struck)

        def read() -> Bench:
            english = in_english(text, how=how, language=language)
            at_drum = self.present()
            return at_desk.read(self.desk, at_drum, side, english, by=by, struck=struck, insisted=insisted)

        def listen(told: Progress) -> Taken:
            return at_desk.take(self.desk.telling(told), self.present(), side, text, struck=struck)

        def keep(taken: Taken) -> None:
            self.go_on_with(
                "writing",
                lambda: at_desk.keep(self.desk, self.present(), side, taken, insisted=insisted),
                then,
            )

        def then(bench: Bench) -> None:
            self._close_line(text)
            self.ear_afresh()
            self.follow(bench)
            taken = bench.taken(side)
            if taken is not None and taken.entry_id is None:
                self.fault(" ".join(bench.remarks))

        if as_file or is_recording(text):
            self.ask_long("listening", listen, keep)
        else:
            self.ask("reading", read, then)

    def _stopped_after(self, rod: int, *, typed: str = "") -> None:
        def then(bench: Bench) -> None:
            self._close_line(typed)
            self.follow(bench)
            if bench.round is not None:
                self.say(f"Kept: stopped after rod {rod}. Go on when you like, or take it back.")

        self.ask("writing", lambda: turning_rods.stopped_after(self.desk, self.present(), rod), then)

    def _opened(self, bench: Bench) -> None:
        if bench.top is not None and bench.bottom is None and bench.preset.bottom is not None:
            self.at_hand = "bottom"
        target = bench.preset.target(self.at_hand)
        if target is not None:
            self.struck = target.struck
            self.how = "on it" if target.by == "ear" else "typed"
        self.follow(bench)

    def follow(self, bench: Bench) -> None:
        """Show the new state."""
        super().follow(bench)
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
