"""Bad recordings from the shell: words on stderr, nothing on stdout, code 4, and soon."""

import os
import resource
import struct
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

RATE = 44_100
RNG = np.random.default_rng(4)
T = np.arange(RATE)
TAP = 0.5 * np.exp(-T / 4000) * np.sin(T * 0.04)

UNREADABLE: dict[str, Callable[[bytes], bytes]] = {
    "is empty": lambda _: b"",
    "is damaged": lambda whole: whole[:30],
    "holds no sound": lambda whole: whole[:44],
    "is cut off": lambda whole: whole[:5000],
    "is no sound file": lambda _: b"These are words.\n" * 50,
    "has 8 channels": lambda whole: whole[:22] + struct.pack("<H", 8) + whole[24:],
    "is 1 Hz": lambda whole: whole[:24] + struct.pack("<I", 1) + whole[28:],
    "is 10000000 Hz": lambda whole: whole[:24] + struct.pack("<I", 10_000_000) + whole[28:],
    "is 0 Hz": lambda whole: whole[:24] + struct.pack("<I", 0) + whole[28:],
    "has 1-bit samples": lambda whole: whole[:34] + struct.pack("<H", 1) + whole[36:],
}
"""What is said, and what was done to a good file."""

REFUSED: dict[str, tuple[str, np.ndarray[Any, Any]]] = {
    "not a number": ("no numbers", np.where(T == 700, np.nan, TAP)),
    "infinite": ("no numbers", np.where(T == 700, np.inf, TAP)),
    "one bit": ("clipped throughout", np.sign(RNG.normal(0, 1, RATE))),
    "constant": ("silent", np.full(RATE, 0.4)),
    "clipped": ("clipped throughout", np.clip(1e4 * np.sin(T * 0.03), -1, 1)),
    "noise": ("no stroke", RNG.normal(0, 0.1, RATE)),
    "short": ("too short", TAP[:3000]),
}
"""What is said of a file that can be read, and what is in it."""


def lines_of(err: str) -> list[str]:
    """What was said, which is never a traceback, nor anything that moves a cursor."""
    assert "Traceback" not in err
    assert "\x1b" not in err
    return err.splitlines()


@pytest.mark.parametrize("said", list(UNREADABLE))
def test_a_file_that_cannot_be_read(cli: Cli, tmp_path: Path, said: str) -> None:
    """One line that names the file and what is wrong with it; also where a reading was asked for."""
    path = tmp_path / "tap.wav"
    soundfile.write(path, TAP, RATE)
    path.write_bytes(UNREADABLE[said](path.read_bytes()))
    for words in (("listen", str(path)), ("listen", str(path), "--json"), ("note", str(path))):
        code, out, err = cli(*words)

        assert (code, out) == (4, "")
        assert len(lines_of(err)) == 1
        assert "tap.wav" in err
        assert said in err


@pytest.mark.parametrize("kind", list(REFUSED))
def test_a_recording_that_is_refused(cli: Cli, ask: Ask, tmp_path: Path, kind: str) -> None:
    """Words on stderr; as JSON the whole answer, with the reason in it and every number finite."""
    said, samples = REFUSED[kind]
    path = tmp_path / "tap.wav"
    soundfile.write(path, samples, RATE, subtype="FLOAT")

    code, out, err = cli("listen", str(path))
    assert (code, out) == (4, "")
    assert said in err
    assert len(lines_of(err)) == 1

    code, answer = ask("listen", str(path))
    assert code == 4
    assert answer["reading"] is None
    assert said in answer["refused"]


def test_what_is_no_file(cli: Cli, tmp_path: Path) -> None:
    """A folder, a device, a pipe, a link to itself, a name that paints: never waited for, never opened."""
    (tmp_path / "loop.wav").symlink_to("loop.wav")
    os.mkfifo(tmp_path / "pipe.wav")
    said = {
        str(tmp_path): "is a folder",
        "/dev/zero": "is a device",
        str(tmp_path / "pipe.wav"): "is a pipe",
        str(tmp_path / "loop.wav"): "leads back to itself",
        str(tmp_path / "gone\x1b[2J\n.wav"): "There is no file",
        "": "is a folder",
    }
    for path, words in said.items():
        begun = time.process_time()
        code, out, err = cli("listen", path)

        assert time.process_time() - begun < 1.0
        assert (code, out) == (4, "")
        assert len(lines_of(err)) == 1
        assert words in err


def test_the_whole_program_refuses_within_a_second(
    python: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    """A second of the processor: on a busy machine the clock on the wall says nothing."""

    def spent_s() -> float:
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        return used.ru_utime + used.ru_stime

    begun = spent_s()
    python("-m", "lugbook", "--help")
    start_s = spent_s() - begun
    path = tmp_path / "tap.wav"
    soundfile.write(path, np.sign(RNG.normal(0, 1, RATE)), RATE, subtype="FLOAT")
    for name in (str(path), "/dev/zero", str(tmp_path)):
        begun = spent_s()
        done = python("-m", "lugbook", "listen", name)

        assert spent_s() - begun < 1.0 + 4 * start_s
        assert (done.returncode, done.stdout) == (4, "")
        assert len(lines_of(done.stderr)) == 1


def test_recordings_as_they_come(ask: Ask, tmp_path: Path, taps: Callable[..., str]) -> None:
    """Any kind of file, one channel dead or of opposed sign: the same pitch, to a tenth of a cent."""
    samples, rate = soundfile.read(taps("a.wav", 221.3))
    both = {
        "mono": samples,
        "dead": np.column_stack((np.zeros_like(samples), samples)),
        "opposed": np.column_stack((samples, -samples)),
        "six": np.outer(samples, [0, 0, 0, 0.3, 1, 0]),
    }
    heard = []
    for name, form, subtype in (
        ("mono", "WAV", "PCM_24"),
        ("dead", "WAV", "PCM_32"),
        ("opposed", "WAVEX", "FLOAT"),
        ("six", "RF64", "PCM_16"),
        ("mono", "AIFF", "PCM_16"),
        ("dead", "FLAC", "PCM_24"),
    ):
        path = tmp_path / f"{name}.{form}"
        soundfile.write(path, both[name], rate, format=form, subtype=subtype)
        code, answer = ask("listen", str(path), "--near", "221")
        assert code == 0
        heard.append(answer["reading"]["hz"])

    assert max(heard) / min(heard) < 2 ** (0.1 / 1200)
    assert heard[0] == pytest.approx(221.3, rel=2e-3)
