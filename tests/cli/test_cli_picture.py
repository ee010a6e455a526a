"""`lugbook listen FILE --picture out.svg`: kept whole or not at all; and long files tell how far they are."""

import io
import os
import pty
import signal
import subprocess
import sys
import time
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from lugbook.cli.output import Output, ProgressLine

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]
Write = Callable[..., str]


def words_of(picture: Path) -> str:
    """Return the texts of a picture; it must be well formed."""
    root = ElementTree.fromstring(picture.read_text(encoding="utf-8"))  # noqa: S314 -- written by the code under test
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    return " ".join(element.text or "" for element in root.iter() if element.tag.endswith("}text"))


def left_over(folder: Path) -> list[str]:
    """Return the names of temporary files."""
    return [path.name for path in folder.iterdir() if path.name.endswith(".tmp")]


def test_what_was_heard_is_drawn(ask: Ask, taps: Write, tmp_path: Path) -> None:
    """The picture has the pitch, the taps and the target; the JSON says where it is."""
    target = tmp_path / "out.svg"
    code, heard = ask("listen", taps("tap.wav", 221.3), "--near", "A3", "--picture", str(target))
    told = words_of(target)

    assert code == 0
    assert heard["picture"] == str(target)
    assert "tap.wav" in told
    assert "A3 +10" in told
    assert "10 cents sharp of A3 (220.0 Hz)" in told
    assert "from 3 of 3 taps" in told
    assert left_over(tmp_path) == []


def test_without_the_option_there_is_no_picture(ask: Ask, taps: Write, tmp_path: Path) -> None:
    """The key is there and null."""
    _, heard = ask("listen", taps("tap.wav", 221.3))

    assert heard["picture"] is None
    assert list(tmp_path.glob("*.svg")) == []


def test_a_refused_recording_gets_its_picture(ask: Ask, silence: str, tmp_path: Path) -> None:
    """The exit code stays 4, and the picture says why."""
    target = tmp_path / "silence.svg"
    code, heard = ask("listen", silence, "--picture", str(target))

    assert code == 4
    assert heard["picture"] == str(target)
    assert heard["refused"]
    assert heard["refused"] in " ".join(words_of(target).split())


def test_an_older_picture_is_replaced(cli: Cli, taps: Write, tmp_path: Path) -> None:
    """Whatever stood in the file before is gone; a link to a picture stays a link."""
    target, link = tmp_path / "out.SVG", tmp_path / "link.svg"
    target.write_text("old")
    link.symlink_to(target)
    code, _, err = cli("listen", taps("tap.wav", 221.3), "--picture", str(link))

    assert (code, err) == (0, "")
    assert "A3 +10" in words_of(target)
    assert link.is_symlink()


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("out.png", "does not end in .svg"),
        ("out", "Name it out.svg."),
        ("tap.wav", "does not end in .svg"),
        ("leads-away.svg", "does not end in .svg"),
        ("folder.svg", "is no file"),
        ("nowhere/out.svg", "There is no folder"),
        ("a\x1b[2J\0.svg", "cannot be the name of a file"),
        ("", "does not end in .svg"),
        ("x" * 5000 + ".svg", ""),
    ],
)
def test_anything_else_is_left_alone(cli: Cli, taps: Write, tmp_path: Path, name: str, what: str) -> None:
    """No file but a picture is written over: exit code 2, in words, before anything is listened to."""
    recording = Path(taps("tap.wav", 221.3))
    before = recording.read_bytes()
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "leads-away.svg").symlink_to(recording)
    code, out, err = cli("listen", str(recording), "--picture", f"{tmp_path}/{name}" if name else "")

    assert (code, out) == (2, "")
    assert what in err
    assert "\x1b" not in err
    assert recording.read_bytes() == before
    assert not (tmp_path / "out.png").exists()


def test_where_nothing_can_be_written_it_is_said(
    cli: Cli, taps: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system refuses: exit code 2, the older picture whole, no answer half given, nothing left over."""
    target = tmp_path / "out.svg"
    target.write_text("old")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied", str(target))

    monkeypatch.setattr("lugbook.library.writing.put_over", refuse)
    code, out, err = cli("listen", taps("tap.wav", 221.3), "--picture", str(target))

    assert (code, out) == (2, "")
    assert "cannot be written" in err
    assert "Permission denied" in err
    assert target.read_text() == "old"
    assert left_over(tmp_path) == []


def test_a_recordings_name_stays_text(cli: Cli, taps: Write, tmp_path: Path) -> None:
    """Markup in the name of a file is shown, not obeyed."""
    target = tmp_path / "out.svg"
    code, _, _ = cli("listen", taps('<script>&".wav', 221.3), "--picture", str(target))

    assert code == 0
    assert '<script>&".wav' in words_of(target)
    assert "<script" not in target.read_text(encoding="utf-8")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_how_far_it_is_is_shown_after_a_second() -> None:
    """Nothing in the first second, then a line that is written over, and gone before the answer."""
    seconds, stderr = [0.0], Terminal()
    out = Output(io.StringIO(), stderr)
    told = ProgressLine(out, clock=lambda: seconds[0])
    for moment, share in ((0.5, 0.1), (1.1, 0.257), (1.15, 0.3), (2.0, 0.999), (3.0, 1.5)):
        seconds[0] = moment
        told(share)
    shown = stderr.getvalue()
    out.words("Done.")
    out.flush()

    assert shown.split("\r")[1:] == [
        "Listening: 25 % (Ctrl+C stops)",
        "Listening: 99 % (Ctrl+C stops)",
        "Listening: 100 % (Ctrl+C stops)",
    ]
    assert stderr.getvalue() == shown + "\r" + " " * 31 + "\rDone.\n"


def test_a_shorter_line_leaves_nothing_of_a_longer_one() -> None:
    """Blanks cover what stood there."""
    stderr = Terminal()
    out = Output(io.StringIO(), stderr)
    out.passing("longer")
    out.passing("short")

    assert stderr.getvalue() == "\rlonger\rshort "


def test_what_is_no_terminal_hears_of_no_progress() -> None:
    """A file or a pipe gets the words alone."""
    seconds, stderr = [0.0], io.StringIO()
    told = ProgressLine(Output(io.StringIO(), stderr), clock=lambda: seconds[0])
    seconds[0] = 5.0
    told(0.5)

    assert stderr.getvalue() == ""


@pytest.fixture
def ten_minutes(tmp_path: Path) -> Path:
    """A recording of ten minutes with 400 strokes."""
    rate = 8000
    at = np.arange(rate) / rate
    stroke = np.sin(2 * np.pi * 220 * at) * np.exp(-at / 0.08) + 0.6 * np.sin(2 * np.pi * 330 * at) * np.exp(
        -at / 0.06
    )
    samples = np.zeros(600 * rate)
    for second in range(0, 600, 1):
        samples[second * rate : (second + 1) * rate] = stroke
    path = tmp_path / "long.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((9000 * samples).astype("<i2").tobytes())
    return path


def test_ctrl_c_stops_a_long_listening(
    ten_minutes: Path, tmp_path: Path, environment: dict[str, str]
) -> None:
    """In a real terminal the share is shown; Ctrl+C ends with 130, without traceback, answer or picture."""
    program = (
        # A shell that runs tests in the background has them ignore the signal.
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
        "from lugbook.cli.main import run; run()"
    )
    ours, theirs = pty.openpty()
    words = ["listen", str(ten_minutes), "--json", "--picture", str(tmp_path / "out.svg")]
    with subprocess.Popen(
        [sys.executable, "-c", program, *words],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env={**os.environ, **environment},
    ) as running:
        os.close(theirs)
        seen = b""
        started = time.monotonic()
        while b"Listening: " not in seen:
            assert time.monotonic() - started < 60, seen
            seen += os.read(ours, 1000)
        running.send_signal(signal.SIGINT)
        out, _ = running.communicate(timeout=60)
        seen += _rest(ours)

    assert running.returncode == 130
    assert out == b""
    assert b"Stopped." in seen
    assert b"Traceback" not in seen
    assert not (tmp_path / "out.svg").exists()
    assert left_over(tmp_path) == []


def _rest(descriptor: int) -> bytes:
    """Return what is left to read from a terminal whose other end was closed."""
    rest = b""
    try:
        while more := os.read(descriptor, 1000):
            rest += more
    except OSError:
        # Linux says so that the other end is closed.
        return rest
    finally:
        os.close(descriptor)
    return rest
