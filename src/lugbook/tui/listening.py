"""The listening face of the bench: what was heard of the head at hand, tall, against what it should be."""

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Static

from lugbook.desk.bench import Bench
from lugbook.desk.comparing import HeadResult
from lugbook.records import SIDES, HeadSide, NoteNames
from lugbook.tui.heard import WIDE, advice, head_words, heard_block, off_block, remarks
from lugbook.tui.tall import LOW, drawn

AT_HAND, NOT_AT_HAND = "▶", " "
"""The sign before the head at hand, and before the other."""


class HeadLine(Static):
    """One head in a line: target, what was heard, cents off in words. A click takes that head to hand."""

    bench: reactive[Bench | None] = reactive(None, layout=True)
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top")

    class Taken(Message):
        """The player clicked on a head."""

        def __init__(self, side: HeadSide) -> None:
            super().__init__()
            self.side = side

    def __init__(self, side: HeadSide, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(markup=False, id=widget_id)
        self.side = side
        self.language = language

    def watch_at_hand(self, at_hand: HeadSide) -> None:
        """Mark the head at hand, by a sign and by a class."""
        self.set_class(at_hand == self.side, "-at-hand")

    def render(self) -> Content:
        """Return the line."""
        if self.bench is None:
            return Content("")
        mark = AT_HAND if self.at_hand == self.side else NOT_AT_HAND
        return Content(f"{mark} {self.side.upper():<7}") + Content(
            head_words(self.bench, self.side, language=self.language, short=self.size.width < WIDE)
        )

    def on_click(self, event: Click) -> None:
        """Take this head to hand."""
        event.stop()
        self.post_message(self.Taken(self.side))


class HeardBlock(Static):
    """What was heard of the head at hand, tall; beside it, where there is room, the target."""

    bench: reactive[Bench | None] = reactive(None, layout=True)
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top", layout=True)

    def __init__(self, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(markup=False, id=widget_id)
        self.language = language

    def watch_bench(self) -> None:
        """Say in a class as well whether this is a target only."""
        self._classify()

    def watch_at_hand(self) -> None:
        """Say in a class as well whether this is a target only."""
        self._classify()

    def _classify(self) -> None:
        self.set_class(self.bench is None or self.bench.taken(self.at_hand) is None, "-target")

    def render(self) -> Content:
        """Return the tall signs."""
        if self.bench is None:
            return Content("")
        return Content(heard_block(self.bench, self.at_hand, width=self.size.width, language=self.language))


class OffBlock(Static):
    """How far off the head at hand is: signed number and word in low signs, and the bar."""

    bench: reactive[Bench | None] = reactive(None, layout=True)
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top", layout=True)

    def __init__(self, *, widget_id: str) -> None:
        super().__init__(markup=False, id=widget_id)

    def result(self) -> HeadResult | None:
        """Return the result of the head at hand."""
        comparison = self.bench.comparison if self.bench is not None else None
        return comparison.head(self.at_hand) if comparison is not None else None

    def watch_bench(self) -> None:
        """Say the word in a class as well."""
        self._classify()

    def watch_at_hand(self) -> None:
        """Say the word in a class as well."""
        self._classify()

    def _classify(self) -> None:
        result = self.result()
        for word in ("flat", "sharp", "in tune", "cannot tell"):
            self.set_class(result is not None and result.word == word, f"-{word.replace(' ', '-')}")

    def render(self) -> Content:
        """Return number, word and bar; before anything was heard, the word that says it is the target."""
        result = self.result()
        if result is not None:
            return Content(off_block(result, width=self.size.width))
        if self.bench is None:
            return Content("")
        heard = self.bench.taken(self.at_hand) is not None
        has_target = self.bench.preset.target(self.at_hand) is not None
        word = "HEARD" if heard else "TARGET" if has_target else "NO TARGET"
        return Content(drawn(word, signs=LOW).text())


class Listening(Vertical):
    """The whole face."""

    bench: reactive[Bench | None] = reactive(None)
    at_hand: reactive[HeadSide] = reactive[HeadSide]("top")
    turn_key: reactive[str] = reactive("t")
    """The key that begins a round, as it is named in the advice."""

    def __init__(self, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(id=widget_id)
        self.language = language

    def compose(self) -> ComposeResult:
        """Compose both heads' lines, the tall signs, the bar and the advice."""
        for side in SIDES:
            yield HeadLine(side, language=self.language, widget_id=f"head-{side}").data_bind(
                Listening.bench, Listening.at_hand
            )
        yield HeardBlock(language=self.language, widget_id="heard").data_bind(
            Listening.bench, Listening.at_hand
        )
        yield OffBlock(widget_id="off").data_bind(Listening.bench, Listening.at_hand)
        yield Static(id="advice", markup=False)
        yield Static(id="remarks", markup=False)

    def watch_bench(self, bench: Bench | None) -> None:
        """Show advice and remarks."""
        if bench is not None and self.is_mounted:
            self._say(bench)

    def watch_at_hand(self) -> None:
        """Show the advice for the head at hand."""
        if self.bench is not None and self.is_mounted:
            self._say(self.bench)

    def _say(self, bench: Bench) -> None:
        words = advice(bench, self.at_hand, turn_key=self.turn_key)
        self.query_one("#advice", Static).update(Content(words))
        self.query_one("#remarks", Static).update(Content("\n".join(remarks(bench))))
