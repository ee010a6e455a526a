"""The bench for one change of a concert, rod by rod, with the time left above."""

from functools import partial

from textual.content import Content
from textual.widgets import Static

from lugbook.desk import Desk, performing
from lugbook.desk.bench import Bench
from lugbook.desk.tonight import Task, Tonight
from lugbook.plain import shown
from lugbook.tui.bench import BenchScreen
from lugbook.tui.concert_view import time_words

_SECOND = 1.0


class ChangeBench(BenchScreen):
    """The bench for one change of a concert: its first round is begun, and the time left stands above."""

    def __init__(self, desk: Desk, tonight: Tonight, task: Task, *, keys: dict[str, str]) -> None:
        super().__init__(desk, task.name, keys=keys)
        self.tonight, self.task_key = tonight, task.key

    def on_mount(self) -> None:
        """Look at the clock once a second."""
        super().on_mount()
        self.set_interval(_SECOND, self.look_at_clock)

    def came_back(self) -> None:
        """Open the bench with the change to make."""
        make = partial(performing.at_bench, self.desk, self.tonight, self.task_key)
        self.ask("opening the bench", make, self._opened)

    def watch_bench(self, bench: Bench | None) -> None:
        """Follow the state, with the time above."""
        super().watch_bench(bench)
        self.look_at_clock()

    def look_at_clock(self) -> None:
        """Show the time left; called once a second."""
        words = time_words(self.tonight, self.desk.now())
        if self.bench is not None and words:
            title = f"{words}   {self.bench.drum.name} · {self.bench.preset.name}"
            self.query_one("#title", Static).update(Content(shown(title)))
