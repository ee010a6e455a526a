"""The concert: the running order on a dark stage, what to change and how much time is left, and ticking off.

What is shown is one frozen `lugbook.desk.tonight.Tonight`; every deed asks the desk for the next one, and
`concert_face` shows it.
"""

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll

from lugbook.desk import Desk, opening, performing, planning
from lugbook.desk.bench import Bench
from lugbook.desk.tonight import Tonight
from lugbook.errors import LugbookError
from lugbook.progress import Progress
from lugbook.tui.bench import BenchScreen
from lugbook.tui.commands import BY_ID
from lugbook.tui.concert_bench import ChangeBench
from lugbook.tui.concert_face import ConcertFace
from lugbook.tui.deeds import Result, Said
from lugbook.tui.keys import bindings, sign_of

_READING = "reading"
_PLANNING = "planning"


class ConcertScreen(ConcertFace):
    """One concert while it is played.

    Args:
        desk: the desk.
        slug: the concert.
        keys: the key of every command.
    """

    PLACES = ("concert",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        "window_begins": "No item is on: the next one comes first.",
        "next_item": "The concert is over.",
        "step_back": "Nothing was begun yet.",
        "tick": "There is nothing to tick off here.",
        "untick": "Nothing was ticked off yet.",
        "task_bench": "There is nothing to bring to the bench here.",
        "task_up": "There is nothing above.",
        "task_down": "There is nothing below.",
        "more": "All there is to say is shown.",
    }

    def __init__(self, desk: Desk, slug: str, *, keys: dict[str, str]) -> None:
        super().__init__(desk, keys=keys)
        self.slug = slug
        self._question: tuple[str, Said] | None = None
        self._mending = False

    def on_mount(self) -> None:
        """Take up the evening where it was left; it is planned where it does not go on by its own plan."""
        super().on_mount()

        def then(found: Tonight | None) -> None:
            if found is not None:
                self._take(found)
            else:
                self.ask_long(_PLANNING, self._planned, self._take)

        self.ask(_READING, lambda: opening.going_on(self.desk, self.slug), then)

    def _planned(self, told: Progress) -> Tonight:
        # The planner tells no share: nothing comes of it once the screen is left.
        del told
        return opening.open_tonight(self.desk, planning.plan_concert(self.desk, self.slug))

    def ask(self, words: str, work: Callable[[], Result], then: Callable[[Result], None]) -> None:
        """Have something done; what was asked of the player before no longer stands."""
        self._question = None
        super().ask(words, work, then)

    def go_to(self, key: str) -> None:
        """Put the cursor on the task of that *key*."""
        self._question = None
        super().go_to(key)

    def move(self, by: int) -> None:
        """Go so many rows down in the list, or up."""
        self._question = None
        super().move(by)

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        tonight = self.tonight
        if command == "back" or BY_ID[command].everywhere:
            return True
        if tonight is None:
            return False
        if command == "more":
            return self.query_one("#evening", VerticalScroll).max_scroll_y > 0
        if command == "begin_anew":
            return bool(tonight.stale) or tonight.kept is not None
        if tonight.stale:
            return False
        tasks, at = tonight.at_hand, self.at_cursor()
        return {
            "window_begins": tonight.can_rest,
            "next_item": tonight.can_go_on,
            "step_back": tonight.can_go_back,
            "untick": tonight.can_undo,
            "task_up": len(tasks) > 1,
            "task_down": len(tasks) > 1,
            "tick": at is not None and not at.done,
            "task_bench": at is not None,
        }[command]

    def why_not(self, command: str) -> str:
        """Return why a command makes no sense now."""
        tonight = self.tonight
        if tonight is not None and tonight.stale:
            return f"{tonight.stale} {sign_of(self.keys['begin_anew'])} begins anew."
        if command in ("tick", "task_bench") and tonight is not None and tonight.at_hand:
            return "This is ticked off." if self.at_cursor() is not None else "All of it is ticked off."
        return super().why_not(command)

    def action_next_item(self) -> None:
        """The next item begins."""
        if self._is_its_day("next_item"):
            self._do(performing.next_item)

    def action_window_begins(self) -> None:
        """The item is over, or rests."""
        self._do(performing.window_begins)

    def action_step_back(self) -> None:
        """Take the last step back."""
        self._do(performing.step_back)

    def action_tick(self) -> None:
        """Tick off what the cursor stands at."""
        at = self.at_cursor()
        if at is not None and self._is_its_day("tick"):
            self._do(lambda desk, tonight: performing.tick(desk, tonight, at.key))

    def action_untick(self) -> None:
        """Take back the last tick, and stand at it."""
        tonight = self.tonight
        tick = None if tonight is None else tonight.last_tick
        last = "" if tick is None else tick.what

        def then(found: Tonight) -> None:
            self._take(found)
            if found.task(last) in found.at_hand:
                self.at = last

        self.ask("writing", lambda: performing.undo(self.desk, self._present()), then)

    def action_begin_anew(self) -> None:
        """Begin the evening anew; asked twice where it goes on."""
        tonight = self._present()
        if not tonight.stale:
            again = sign_of(self.keys["begin_anew"])
            question = f"What was ticked off is forgotten then; the logbooks stay. {again} again: begin anew."
            if not self._answered("begin_anew", question):
                return

        def then(found: Tonight) -> None:
            self.tonight = found
            self._do(opening.begin_anew)

        self._question = None
        self.ask_long(_PLANNING, lambda _: opening.planned(self.desk, self._present()), then)

    def action_task_up(self) -> None:
        """Go up in the list."""
        self.move(-1)

    def action_task_down(self) -> None:
        """Go down in the list."""
        self.move(1)

    def action_task_bench(self) -> None:
        """Take what the cursor stands at to the bench."""
        at, tonight = self.at_cursor(), self.tonight
        if at is None or tonight is None:
            return
        if at.planned is None:
            page = BenchScreen(self.desk, at.name, keys=self.keys)
        else:
            page = ChangeBench(self.desk, tonight, at, keys=self.keys)

        def then(_: Bench) -> None:
            self.app.push_screen(page, lambda _: self._came_back())

        # Asked for first: what cannot be made there is said here, and no empty bench is opened.
        self.ask("opening the bench", lambda: performing.at_bench(self.desk, tonight, at.key), then)

    def action_more(self) -> None:
        """Scroll a page on, and from the end to the beginning."""
        self._question = None
        evening = self.query_one("#evening", VerticalScroll)
        if evening.scroll_y >= evening.max_scroll_y:
            evening.scroll_home(animate=False)
        else:
            evening.scroll_page_down(animate=False)

    def action_back(self) -> None:
        """Go back; the evening is kept."""
        self.dismiss()

    def failed(self, error: LugbookError) -> None:
        """Show the evening as it is by now, a deed may be half done, and say what could not be done."""
        tonight = self.tonight
        if tonight is None or self._mending:
            self._mending = False
            return

        def then(found: Tonight) -> None:
            self._mending = False
            self.tonight = found
            self.fault(str(error))

        self._mending = True
        self.go_on_with(_READING, lambda: opening.as_it_is(self.desk, tonight), then)

    def _is_its_day(self, command: str) -> bool:
        """Tell whether it is the day of the concert, or another one that the player was asked about."""
        words = self._present().not_its_day(self.desk.now())
        again = sign_of(self.keys[command])
        return not words or self._answered(command, f"{words} {again} again: a rehearsal.")

    def _answered(self, command: str, question: str) -> bool:
        """Tell whether a question was answered by the same key while it stood there; else ask it."""
        if self._question is not None and self._question == (command, self.said):
            return True
        self.fault(question)
        self._question = (command, self.said)
        return False

    def _do(self, deed: Callable[[Desk, Tonight], Tonight]) -> None:
        self.ask("writing", lambda: deed(self.desk, self._present()), self._take)

    def _present(self) -> Tonight:
        if self.tonight is None:
            raise LugbookError("The concert is not planned yet.")
        return self.tonight

    def _take(self, tonight: Tonight) -> None:
        before = self.tonight
        self.tonight = tonight
        if before is None or before.place != tonight.place:
            self.query_one("#evening", VerticalScroll).scroll_home(animate=False)
        self.say(" ".join(tonight.remarks))

    def _came_back(self) -> None:
        self.ask(_READING, lambda: opening.as_it_is(self.desk, self._present()), self._take)
