"""The round at the drum after the rods are turned: one question follows another, each with one key.

The desk tells what is still to be asked (`lugbook.desk.questions`) and writes each answer down at once; this
screen asks, and goes on. What is typed or pressed while an answer is being written is for the next question.
"""

from collections import deque

from textual import on
from textual.reactive import reactive

from lugbook.desk import Desk, questions
from lugbook.desk.asking import Taken, is_recording
from lugbook.desk.proposing import Next
from lugbook.desk.questions import Answered, AtHand, Question
from lugbook.errors import LugbookError
from lugbook.progress import Progress
from lugbook.records import By, HeadSide
from lugbook.tui.keys import sign_of
from lugbook.tui.line import in_english
from lugbook.tui.places import Place
from lugbook.tui.trial_line import Asking, TrialLine
from lugbook.tui.trial_turning import TrialTurningScreen

_SAID_AS = {"+": "better", "0": "same", "-": "worse"}
"""What a verdict's key says; of a passage it is written down as it is."""


class WalkScreen(TrialTurningScreen):
    """The part of the logbook that asks."""

    in_the_hall: reactive[bool] = reactive(False, init=False)
    """Where the search that is about to be begun is heard."""

    def __init__(self, desk: Desk, *, place: Place, keys: dict[str, str]) -> None:
        super().__init__(desk, place=place, keys=keys)
        self.language = desk.user.note_names
        self.found: Next | None = None
        self._at: AtHand | None = None
        self._passed: frozenset[Question] = frozenset()
        self._passed_of: str | None = None
        self._ahead: deque[str] = deque()

    def walk_ended(self) -> None:
        """Show the chart and work out what to try next."""
        raise NotImplementedError

    def wish_given(self, asking: Asking, text: str) -> None:
        """Take a line that is no answer to a question of the state at hand."""
        raise NotImplementedError

    def ask_state(self) -> None:
        """Ask the first open question of the state that the drum stands in."""
        if self.now is not None:
            self.ask_of(questions.at_hand(self.desk, self.now))

    def open_questions(self) -> tuple[Question, ...]:
        """Return what is still to be asked of an entry that was begun, or after days; else nothing."""
        if self.now is None:
            return ()
        at = questions.at_hand(self.desk, self.now)
        if not at.waits or (at.row is None and not at.waited):
            return ()
        key = None if at.row is None else at.row.entry.stands_for
        return at.without(self._passed if self._passed_of == key else frozenset())

    def ask_of(self, at: AtHand, *, begun: str = "", afresh: bool = False) -> None:
        """Ask the first open question of a state.

        Args:
            at: the state.
            begun: what the player began to type already.
            afresh: whether what was skipped is asked again.
        """
        key = None if at.row is None else at.row.entry.stands_for
        if afresh or key is None or key != self._passed_of:
            self._passed = frozenset()
        self._passed_of = key
        self._go_on_asking(at, begun=begun)

    def _go_on_asking(self, at: AtHand, *, begun: str = "") -> None:
        self._at = at
        left = at.without(self._passed)
        if not left:
            self.leave_line()
            self.walk_ended()
            return
        if left[0].side is not None:
            self.at_hand = left[0].side
        offered = left[0].offered
        ahead = self._ahead.popleft() if self._ahead else None
        asking = Asking("question", left[0], offered if ahead is None else "")
        self.open_line(asking, begun=begun)
        if ahead is not None:
            self.give(ahead or offered)
        else:
            self.press_what_was_typed()

    def press_what_was_typed(self) -> None:
        """Take a sign for a key that was pressed, where it came into the line before the line was left."""
        line = self.query_one(TrialLine)
        if line.asking is not None and line.asking.pressed and line.text:
            sign = line.text[0]
            line.put("")
            self.give(sign)

    def open_line(self, asking: Asking, *, begun: str = "") -> None:
        """Ask for something in the line."""
        self.query_one(TrialLine).open(asking, begun=begun)
        self.place = _place_of(asking)

    def leave_line(self) -> None:
        """Ask for nothing any more."""
        self._ahead.clear()
        self._at = None
        self.query_one(TrialLine).close()

    @on(TrialLine.Given)
    def _line_given(self, message: TrialLine.Given) -> None:
        self.give(message.text)

    def give(self, text: str) -> None:
        """Take what was typed or pressed for what is asked now; while an answer is written, for the next."""
        asking = self.query_one(TrialLine).asking
        if self.pending:
            self._ahead.append(text)
        elif asking is not None and asking.question is None:
            self.wish_given(asking, text)
        elif asking is not None and asking.question is not None and self._at is not None:
            self._answer(self._at, asking.question, text)

    def _answer(self, at: AtHand, question: Question, text: str) -> None:
        if not text:
            self._passed |= {question}
            self._go_on_asking(at)
            return
        if question.side is not None:
            self._read(at, question.side, text)
            return
        if question.about == "verdict":
            text = _SAID_AS.get(text, text)
        self.pending = text
        self.ask("writing", lambda: questions.answer(self.desk, at, question, text), self._answered)

    def _read(self, at: AtHand, side: HeadSide, text: str) -> None:
        how, struck, language = self.how, self.struck, self.language
        by: By | None = None if how == "typed" else "ear"
        insisted = self.insists("take_reading", side, text, how, struck)
        self.pending = text

        def read() -> Answered:
            english = in_english(text, how=how, language=language)
            return questions.read_head(self.desk, at, side, english, by=by, struck=struck, insisted=insisted)

        def listen(told: Progress) -> Taken:
            return questions.listen(self.desk.telling(told), at, side, text, struck=struck)

        def keep(taken: Taken) -> None:
            def write() -> Answered:
                return questions.read_head(self.desk, at, side, taken, struck=struck, insisted=insisted)

            self.go_on_with("writing", write, self._answered)

        if is_recording(text):
            self.ask_long("listening", listen, keep)
        else:
            self.ask("reading", read, self._answered)

    def _answered(self, answered: Answered) -> None:
        self.pending = ""
        self.now, self.found = answered.at.now, None
        row = answered.at.row
        self._passed_of = None if row is None else row.entry.stands_for
        self.ear_afresh()
        self.say(answered.said)
        self._go_on_asking(answered.at)

    def failed(self, error: LugbookError) -> None:
        """Give back what was typed; what is doubted is done when it is asked for again."""
        super().failed(error)
        pending, self.pending = self.pending, ""
        self._ahead.clear()
        line = self.query_one(TrialLine)
        if pending and line.asking is not None and not line.asking.pressed and not line.text:
            line.put(pending)

    def action_take_reading(self) -> None:
        """Take the line as it is typed."""
        self.query_one(TrialLine).give()

    def action_drop_line(self) -> None:
        """Stop listening to a recording; else leave the line, everything so far is kept."""
        if self.stop():
            return
        turning = self.bench is not None and self.bench.round is not None
        self.leave_line()
        if turning:
            self.place = "trial turning"
        else:
            self.walk_ended()

    def action_skip(self) -> None:
        """Leave this question open."""
        self.give("")

    def action_well(self) -> None:
        """The passage speaks well."""
        self.give("+")

    def action_so_so(self) -> None:
        """The passage speaks so-so."""
        self.give("0")

    def action_badly(self) -> None:
        """The passage speaks badly."""
        self.give("-")

    def action_better(self) -> None:
        """It is better than the kept state."""
        self.give("+")

    def action_same(self) -> None:
        """It is the same as the kept state."""
        self.give("0")

    def action_worse(self) -> None:
        """It is worse than the kept state."""
        self.give("-")

    def stop_words(self) -> str:
        """Say which key stops the listening."""
        return f"{sign_of(self.keys['drop_line'])} stops"


def _place_of(asking: Asking) -> Place:
    question = asking.question
    if question is None or question.about == "snares":
        return "trial text"
    if question.side is not None:
        return "trial reading"
    places: dict[str, Place] = {"passage": "trial mark", "verdict": "trial verdict"}
    return places.get(question.about, "trial words")
