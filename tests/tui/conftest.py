"""The program on a real desk with a temporary library, driven by keys and read as text."""

import asyncio
import html
import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from textual.pilot import Pilot

from lugbook.desk import Desk
from lugbook.desk.keeping import add_drum, add_preset
from lugbook.errors import SoundUnavailable
from lugbook.library import Library
from lugbook.progress import Progress
from lugbook.records import Entry, UserSettings
from lugbook.tui.app import LugbookApp
from lugbook.tui.deeds import DeedScreen

if TYPE_CHECKING:
    from lugbook.sound import Recording

Size = tuple[int, int]

_TEXT = re.compile(r'<text class="[^"]*" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>')
PATIENCE_S = 30
"""A test that waits longer than this for one key has failed."""
_KEYS = {" ": "space", "+": "plus", "-": "minus", ".": "full_stop", "/": "slash", ",": "comma"}


@dataclass
class Clock:
    """A clock that goes on by a second whenever it is read."""

    moment: datetime = field(default_factory=lambda: datetime(2026, 11, 25, 19, 0, tzinfo=UTC))

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=1)
        return self.moment


@dataclass
class Recordings:
    """A source of sound that knows the recordings it was given."""

    by_name: dict[str, "Recording"]

    def read(self, path: Path, *, progress: Progress | None = None) -> "Recording":
        if path.name not in self.by_name:
            raise SoundUnavailable(f"There is no recording {path.name}.", hint="Give the path of a WAV file.")
        if progress is not None:
            progress(1.0)
        return self.by_name[path.name]


class Stage:
    """The running program."""

    def __init__(self, pilot: Pilot[None]) -> None:
        self.pilot = pilot

    @property
    def app(self) -> LugbookApp:
        assert isinstance(self.pilot.app, LugbookApp)
        return self.pilot.app

    @property
    def screen(self) -> DeedScreen:
        assert isinstance(self.pilot.app.screen, DeedScreen)
        return self.pilot.app.screen

    @property
    def place(self) -> str:
        return self.screen.place

    async def settle(self) -> None:
        """Wait until nothing is under way; what never settles fails instead of standing still."""
        async with asyncio.timeout(PATIENCE_S):
            await self.pilot.pause()
            while isinstance(self.pilot.app.screen, DeedScreen) and not self.screen.settled:
                await self.pilot.app.workers.wait_for_complete()
                await self.pilot.pause()
            await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        for key in keys:
            async with asyncio.timeout(PATIENCE_S):
                await self.pilot.press(key)
            await self.settle()

    async def type(self, text: str, *then: str) -> None:
        """Type *text*, and press the keys that follow."""
        await self.pilot.press(*(_KEYS.get(sign, sign) for sign in text))
        await self.press(*then)

    async def click(self, selector: str, *, offset: tuple[int, int] = (0, 0)) -> None:
        await self.pilot.click(selector, offset=offset)
        await self.settle()

    async def read_both(self, top: str, bottom: str) -> None:
        """Read both heads at the bench."""
        await self.type(top, "enter", "tab")
        await self.type(bottom, "enter")

    def rows(self) -> list[str]:
        """Return what the screen shows, row by row."""
        rows: dict[float, str] = {}
        for x, y, encoded in _TEXT.findall(self.app.export_screenshot()):
            column = round(float(x) / 12.2)
            text = html.unescape(encoded).replace("\xa0", " ")
            rows[float(y)] = f"{rows.get(float(y), ''):<{column}}{text}"
        return [rows[y].rstrip() for y in sorted(rows)]

    def words(self) -> str:
        """Return what the screen shows as one line with single blanks."""
        return " ".join(" ".join(self.rows()).split())


Play = Callable[..., AbstractAsyncContextManager[Stage]]


@pytest.fixture(autouse=True)
def _own_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Keep the developer's settings out, and look for the end of a key's work every 4 ms instead of 20.

    Whether a deed is done is never told from this: the screen's `settled` tells it.
    """
    monkeypatch.setattr("textual._wait.SLEEP_GRANULARITY", 1 / 250)
    monkeypatch.setattr("textual._wait.SLEEP_IDLE", 1 / 2500)
    for name in ("NO_COLOR", "TEXTUAL_THEME", "LUGBOOK_LIBRARY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LUGBOOK_CONFIG", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture(params=[(80, 24), pytest.param((42, 24), marks=pytest.mark.long)], ids=["80x24", "42x24"])
def size(request: pytest.FixtureRequest) -> Size:
    """Both windows that the program is made for."""
    chosen: Size = request.param
    return chosen


@pytest.fixture
def recordings() -> "dict[str, Recording]":
    """The recordings that the desk can read, by file name; put some in."""
    return {}


@pytest.fixture
def empty_desk(tmp_path: Path, recordings: "dict[str, Recording]") -> Desk:
    """A desk whose library does not exist yet."""
    clock = Clock()
    library = Library(tmp_path / "library", now=clock, writer="abcdef", lock_folder=tmp_path / "locks")
    user = UserSettings(writer="abcdef", player="Ada")
    return Desk(
        library=library, user=user, user_folder=tmp_path / "user", clock=clock, sound=Recordings(recordings)
    )


@pytest.fixture
def desk(empty_desk: Desk) -> Desk:
    """A desk with two drums and three presets."""
    snare = add_drum(
        empty_desk,
        {"name": "Concert snare", "diameter_in": 14, "depth_in": 6.5, "bottom": {"rods": 8, "turns_max": 1}},
    )
    for name, contexts, top, bottom in (
        ("Dry étude", ["dry étude"], "A3+4", "D4"),
        ("Big tutti", ["big orchestral tutti"], "G3", "C4"),
    ):
        values = {"name": name, "contexts": contexts, "top": {"pitch": top}, "bottom": {"pitch": bottom}}
        add_preset(empty_desk, snare.id, values)
    rope = add_drum(empty_desk, {"name": "Rope drum", "diameter_in": 15, "tension": "rope"})
    add_preset(empty_desk, rope.id, {"name": "Old march", "top": {"pitch": "E"}, "bottom": {"pitch": "A"}})
    return empty_desk


@pytest.fixture
def play() -> Play:
    """Return what runs the program on a desk, as a context that gives the stage."""

    @asynccontextmanager
    async def run(desk: Desk, *, size: Size = (80, 24)) -> AsyncIterator[Stage]:
        app = LugbookApp(desk)
        async with app.run_test(size=size) as pilot:
            stage = Stage(pilot)
            await stage.settle()
            yield stage

    return run


@pytest.fixture
def at_bench(play: Play) -> Play:
    """Return what runs the program and goes to the bench with ``concert-snare/dry-etude``."""

    @asynccontextmanager
    async def run(desk: Desk, *, size: Size = (80, 24)) -> AsyncIterator[Stage]:
        async with play(desk, size=size) as stage:
            await stage.press("down", "enter")
            yield stage

    return run


@pytest.fixture
def entries() -> Callable[[Desk], tuple[Entry, ...]]:
    """Return the logbook of the concert snare."""
    return lambda desk: desk.library.log("concert-snare").entries
