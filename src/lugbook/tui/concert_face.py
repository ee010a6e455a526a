"""What the concert screen shows: what is on now, the time left, what to tick off, the running order.

The clock is the desk's, looked at once a second. Nothing sounds, ever.
"""

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.reactive import reactive
from textual.widgets import Static

from lugbook.desk import Desk
from lugbook.desk.tonight import Task, Tonight
from lugbook.desk.wording import day_text
from lugbook.plain import shown
from lugbook.tui.concert_tall import heading, rods_in_order, window_rows
from lugbook.tui.concert_view import (
    closing_words,
    now_words,
    order_rows,
    task_rows,
    turn_words,
    warnings,
)
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import sign_of

_SECOND = 1.0


class TaskList(Static):
    """What can be ticked off now; a click on a row goes there."""

    def on_click(self, event: events.Click) -> None:
        """Go to the row under the pointer."""
        key = event.style.meta.get("task")
        if isinstance(key, str) and isinstance(self.screen, ConcertFace):
            event.stop()
            self.screen.go_to(key)


class ConcertFace(DeedScreen):
    """The part of the concert screen that shows."""

    tonight: reactive[Tonight | None] = reactive(None, init=False)
    """The evening; None until the desk has planned it."""
    at: reactive[str] = reactive("", init=False)
    """The key of the task that the cursor stands at."""

    def __init__(self, desk: Desk, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="concert", keys=keys)
        self._shown: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """Compose what is on now, what to tick off, the running order, and the lines below."""
        yield Static("Concert", id="title", markup=False)
        with VerticalScroll(id="evening", can_focus=False):
            yield Static(id="warnings", markup=False)
            yield Static(id="on", markup=False)
            yield Static(id="tall", markup=False)
            yield Static(id="rod-order", markup=False)
            yield TaskList(id="tasks", markup=False)
            yield Static(id="how", markup=False)
            yield Static(id="order", markup=False)
            yield Static(id="closing", markup=False)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Look at the clock once a second."""
        super().on_mount()
        self.watch(self.query_one("#evening"), "virtual_size", self.freshen, init=False)
        self.set_interval(_SECOND, self.look_at_clock)

    def watch_tonight(self) -> None:
        """Show the evening, the cursor on the first that is not done, from the top on."""
        tonight = self.tonight
        if tonight is None:
            return
        keys = [task.key for task in tonight.at_hand if not task.done]
        if self.at not in keys:
            self.at = keys[0] if keys else ""
        self._show()

    def watch_at(self) -> None:
        """Show where the cursor stands."""
        self._show()

    def on_resize(self) -> None:
        """Draw for the new size, and offer to scroll where it asks for it."""
        self._show()
        self.call_after_refresh(self.freshen)

    def look_at_clock(self) -> None:
        """Show the time as it is now; called once a second."""
        if self.is_mounted and self.tonight is not None and self.is_current:
            self._show_time(self.tonight)

    def go_to(self, key: str) -> None:
        """Put the cursor on the task of that *key*."""
        self.at = key

    def move(self, by: int) -> None:
        """Go so many rows down in the list, or up."""
        tasks = self.tonight.at_hand if self.tonight is not None else ()
        keys = [task.key for task in tasks]
        if keys:
            here = keys.index(self.at) if self.at in keys else -1 if by > 0 else len(keys)
            self.at = keys[max(0, min(len(keys) - 1, here + by))]

    def at_cursor(self) -> Task | None:
        """Return the task that the cursor stands at."""
        return None if self.tonight is None else self.tonight.task(self.at)

    def _show(self) -> None:
        tonight = self.tonight
        if tonight is None or not self.is_mounted:
            return
        concert, at = tonight.plan.programme.concert, self.at_cursor()
        parts = (concert.name, concert.hall, day_text(concert.on) if concert.on is not None else "")
        title = f"Concert   {' · '.join(filter(None, parts))}"
        self.query_one("#title", Static).update(Content(shown(title)))
        anew = sign_of(self.keys["begin_anew"])
        width = self.query_one("#evening").content_size.width - 2
        self._put("#warnings", "\n".join(warnings(tonight, keys=self.keys, width=width)))
        turning = at if tonight.step.kind == "window" else None
        self._put("#rod-order", rods_in_order(turning))
        self._put("#how", "\n".join(turn_words(turning)))
        self.query_one("#tasks", Static).update(task_rows(tonight, at))
        self.query_one("#order", Static).update(order_rows(tonight))
        self._put("#closing", closing_words(tonight, key=anew))
        self._show_time(tonight)
        self.freshen()
        # Whether there is more to scroll to is known once this has been laid out.
        self.call_after_refresh(self.freshen)

    def _show_time(self, tonight: Tonight) -> None:
        now, at = self.desk.now(), self.at_cursor()
        width = self.query_one("#evening").content_size.width - 2
        rows = heading(tonight, at, width=width)
        if tonight.step.kind == "window":
            rows = (*rows, *([""] if rows else []), *window_rows(tonight, at, now, width=width))
        self._put("#on", now_words(tonight, at, now))
        self._put("#tall", "\n".join(rows))

    def _put(self, selector: str, text: str) -> None:
        line = self.query_one(selector, Static)
        if self._shown.get(selector) == text:
            return
        self._shown[selector] = text
        line.update(Content(text))
        line.display = bool(text)
