"""The program in a real terminal, through tmux: what a player sees, and what a kill leaves behind."""

import os
import shutil
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from lugbook.library import Library
from lugbook.records import Entry

ROOT = Path(__file__).parents[2]
TMUX = shutil.which("tmux")
LONGEST_WAIT_S = 60.0

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(TMUX is None, reason="tmux, which stands in for a terminal, is not installed"),
]


class Terminal:
    """One window of tmux with a server of its own."""

    def __init__(self, library: Path, config: Path, *, columns: int) -> None:
        self.socket = f"lugbook-{uuid.uuid4().hex[:8]}"
        # A size in the environment would hide the terminal's own; the framework's pilot leaves one there.
        kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        self.environment = {**kept, "LUGBOOK_LIBRARY": str(library), "LUGBOOK_CONFIG": str(config)}
        self.columns = columns

    def start(self) -> None:
        """Start the program."""
        size = ["-x", str(self.columns), "-y", "24"]
        self._tmux("-f", os.devnull, "new-session", "-d", *size, f"exec '{sys.executable}' -m lugbook")

    def press(self, *keys: str, literally: bool = False) -> None:
        """Press keys by their tmux names, or type a text."""
        self._tmux("send-keys", *(["-l"] if literally else []), *keys)

    def until(self, seen: Callable[[str], bool]) -> str:
        """Return the screen once *seen* says that it shows what it should."""
        deadline = time.monotonic() + LONGEST_WAIT_S
        while True:
            screen = self._tmux("capture-pane", "-p")
            if seen(screen):
                return screen
            if time.monotonic() > deadline:
                raise TimeoutError(screen)
            time.sleep(0.05)

    def kill(self) -> None:
        """Kill the program as an empty battery would."""
        process = int(self._tmux("display-message", "-p", "#{pane_pid}"))
        os.kill(process, signal.SIGKILL)

    def close(self) -> None:
        """End the server, whether or not it still runs."""
        subprocess.run([str(TMUX), "-L", self.socket, "kill-server"], capture_output=True, check=False)

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            [str(TMUX), "-L", self.socket, *words],
            capture_output=True,
            text=True,
            check=True,
            env=self.environment,
        )
        return done.stdout


@pytest.fixture(params=[80, 42], ids=["80 columns", "42 columns"])
def terminal(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Terminal]:
    shutil.copytree(ROOT / "demo" / "library", tmp_path / "library")
    window = Terminal(tmp_path / "library", tmp_path / "config", columns=request.param)
    yield window
    window.close()


def _log(folder: Path) -> tuple[Entry, ...]:
    library = Library(folder, now=_no_clock, writer="abcdef", lock_folder=folder.parent / "locks")
    return library.log("concert-snare").entries


def _no_clock() -> datetime:
    raise RuntimeError("reading needs no clock")


def test_a_round_survives_a_killed_program(terminal: Terminal, tmp_path: Path) -> None:
    """Shelf, bench, two readings, two rods; killed; the round is there again and ends in one turn."""
    before = len(_log(tmp_path / "library"))
    terminal.start()
    screen = terminal.until(lambda text: "10 presets" in text)
    assert "Dry étude" in screen
    assert all(len(line) <= terminal.columns for line in screen.splitlines())
    terminal.press("Enter")
    terminal.until(lambda text: "not heard yet" in text)
    terminal.press("245.1", literally=True)
    terminal.press("Enter")
    terminal.until(lambda text: "16 cents flat" in text or "16 flat" in text)
    terminal.press("Tab")
    terminal.press("345.5", literally=True)
    terminal.press("Enter")
    terminal.until(lambda text: "turn the bottom head" in text)
    terminal.press("t")
    terminal.until(lambda text: "0 of 10 rods done" in text)
    terminal.press("Space")
    terminal.until(lambda text: "1 of 10 rods done" in text)
    terminal.press("Space")
    terminal.until(lambda text: "2 of 10 rods done" in text)
    terminal.kill()
    terminal.close()

    kept = _log(tmp_path / "library")[-1].round
    assert kept is not None
    assert kept.done() == (1, 6)

    terminal.start()
    terminal.until(lambda text: "10 presets" in text)
    terminal.press("Enter")
    terminal.until(lambda text: "2 of 10 rods done" in text)
    terminal.press("w")
    terminal.until(lambda text: "not heard yet" in text)
    after = _log(tmp_path / "library")
    terminal.press("q")

    assert [entry.kind for entry in after[before:]] == ["reading", "reading", "turn"]
    assert after[-1].turn.bottom == kept.amount
