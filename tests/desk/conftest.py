"""A desk on a temporary library, with a clock that stands still and sound that is given."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import pytest

from lugbook.desk import Desk
from lugbook.desk.keeping import add_drum, add_preset
from lugbook.desk.opening import open_tonight
from lugbook.desk.performing import next_item, tick, window_begins
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.tonight import Task, Tonight
from lugbook.library import Library, position_of
from lugbook.progress import Progress
from lugbook.records import UserSettings

if TYPE_CHECKING:
    from lugbook.sound import Recording


@dataclass
class Clock:
    """A clock that moves when it is told to."""

    moment: datetime = field(default_factory=lambda: datetime(2026, 11, 25, 19, 0, tzinfo=UTC))

    def __call__(self) -> datetime:
        return self.moment

    def forward(self, **by: float) -> None:
        self.moment += timedelta(**by)


@dataclass
class Shelved:
    """Recordings by file name."""

    recordings: dict[str, "Recording"] = field(default_factory=dict)

    def read(self, path: Path, *, progress: Progress | None = None) -> "Recording":
        if progress is not None:
            progress(1.0)
        return self.recordings[Path(path).name]


def stands(desk: Desk, drum: str = "snare") -> tuple[float | None, float | None]:
    """Return where the heads stand by the logbook."""
    at = position_of(desk.library.drum(drum).record, desk.library.log(drum).entries)
    return (at.top.amount if at.top else None, at.bottom.amount if at.bottom else None)


def task_of(tonight: Tonight, key: str) -> Task:
    """Return the task of that key, which is there."""
    task = tonight.task(key)
    assert task is not None
    return task


def tick_all(desk: Desk, tonight: Tonight, key: str) -> Tonight:
    """Tick a task off, head by head."""
    while True:
        tonight = tick(desk, tonight, key)
        if task_of(tonight, key).done:
            return tonight


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def sound() -> Shelved:
    return Shelved()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock, sound: Shelved) -> Desk:
    """An empty desk; the first drum makes its library."""
    library = Library(tmp_path / "library", now=clock, writer="abcdef", lock_folder=tmp_path / "locks")
    user = UserSettings(writer="abcdef", player="Ada")
    return Desk(library=library, user=user, user_folder=tmp_path / "user", clock=clock, sound=sound)


@pytest.fixture
def with_drum(desk: Desk) -> Callable[..., str]:
    """Put a drum with one preset on the shelf and return the preset's name."""

    def put(*, tension: str = "separate", top: str = "A3", bottom: str = "D4", **preset: object) -> str:
        drum = add_drum(
            desk,
            {"name": "Concert snare", "diameter_in": 14, "depth_in": 6.5, "tension": tension},
        )
        stored = add_preset(
            desk,
            drum.id,
            {
                "name": "Dry étude",
                "contexts": ["dry étude"],
                "top": {"pitch": top},
                "bottom": {"pitch": bottom},
            }
            | preset,
        )
        return stored.id

    return put


@pytest.fixture
def plan(desk: Desk, night: ModuleType) -> ConcertPlan:
    """The plan of the small concert, whose drums are on the shelf."""
    night.shelve(desk)
    found: ConcertPlan = night.plan(desk)
    return found


@pytest.fixture
def in_pause(desk: Desk, plan: ConcertPlan) -> Tonight:
    """The overture is over, and its pause runs."""
    return window_begins(desk, next_item(desk, open_tonight(desk, plan)))
