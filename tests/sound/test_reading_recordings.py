"""Sound files, good and bad."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from lugbook.errors import ExitCode, SoundUnavailable
from lugbook.sound import read_recording

RATE = 22_050
TONE = (0.5 * np.sin(2 * np.pi * 220 * np.arange(RATE // 2) / RATE)).astype(np.float32)


def written(path: Path, samples: np.ndarray, subtype: str | None = None, *, rate: int = RATE) -> Path:
    soundfile.write(path, samples, rate, subtype=subtype)
    return path


@pytest.mark.parametrize(
    ("name", "subtype", "error"),
    [
        ("a.wav", "PCM_U8", 2**-6),
        ("a.wav", "PCM_16", 2**-15),
        ("a.wav", "PCM_24", 2**-23),
        ("a.wav", "PCM_32", 2**-23),
        ("a.wav", "FLOAT", 1e-7),
        ("a.wav", "DOUBLE", 1e-7),
        ("a.aiff", "PCM_16", 2**-15),
        ("a.aiff", "PCM_24", 2**-23),
        ("a.flac", "PCM_16", 2**-15),
        ("a.flac", "PCM_24", 2**-23),
        ("a.ogg", "VORBIS", 0.05),
    ],
)
def test_what_was_written_is_read(tmp_path: Path, name: str, subtype: str, error: float) -> None:
    """Each kind of file comes back within its own grain, as one column of floats at full scale 1."""
    recording = read_recording(written(tmp_path / name, TONE, subtype))

    assert recording.samples.shape == (TONE.size, 1)
    assert recording.rate_hz == RATE
    assert recording.file == name
    assert float(np.abs(recording.samples[:, 0] - TONE).max()) <= error


@pytest.mark.parametrize("form", ["WAVEX", "RF64"])
@pytest.mark.parametrize("ending", ["wav", "WAV", "raw", "mp3", "", "txt"])
def test_wav_of_newer_kinds_is_read_whatever_its_name(tmp_path: Path, form: str, ending: str) -> None:
    """The extensible header and the one for more than 4 GB; the bytes say what a file is, not its ending."""
    path = tmp_path / f"tap.{ending}"
    soundfile.write(path, TONE, RATE, format=form, subtype="PCM_24")

    assert float(np.abs(read_recording(path).samples[:, 0] - TONE).max()) <= 2**-23


@pytest.mark.skipif(sys.platform == "win32", reason="names are text there")
def test_a_name_that_is_no_text_is_read(tmp_path: Path) -> None:
    """A name of bytes that are no UTF-8 is a name."""
    path = tmp_path / "caf\udce9.wav"
    written(tmp_path / "a.wav", TONE).rename(path)

    assert read_recording(path).samples.shape == (TONE.size, 1)


def test_a_length_that_the_recorder_did_not_know_is_the_files_own(tmp_path: Path) -> None:
    """A recorder that writes into a pipe gives the greatest length there is: what is there is read."""
    whole = bytearray(written(tmp_path / "a.wav", TONE).read_bytes())
    for length in (0xFFFFFFFF, 0x7FFFF000, 0x80000000):
        whole[40:44] = length.to_bytes(4, "little")
        path = tmp_path / "streamed.wav"
        path.write_bytes(whole)
        os.utime(path, (1e9, 1e9))

        assert read_recording(path).samples.shape == (TONE.size, 1)


def test_channels_stay_apart(tmp_path: Path) -> None:
    """Two channels are two columns, and a field recorder's six are six."""
    six = read_recording(written(tmp_path / "six.wav", np.outer(TONE, [1, 0, -1, 0.5, 0.25, 0])))
    assert six.samples.shape == (TONE.size, 6)

    recording = read_recording(written(tmp_path / "two.wav", np.stack([TONE, -TONE], axis=1)))

    assert recording.samples.shape == (TONE.size, 2)
    assert np.allclose(recording.samples[:, 0], -recording.samples[:, 1], atol=2**-14)


@pytest.mark.parametrize("rate", [8000, 44_100, 96_000, 192_000])
def test_any_usual_rate_is_read(tmp_path: Path, rate: int) -> None:
    """From a telephone's rate to a studio's."""
    assert read_recording(written(tmp_path / "a.wav", TONE, rate=rate)).rate_hz == rate


def empty(folder: Path) -> Path:
    (folder / "empty.wav").write_bytes(b"")
    return folder / "empty.wav"


def text(folder: Path) -> Path:
    (folder / "text.wav").write_text("These are words and no sound.\n" * 40, encoding="utf-8")
    return folder / "text.wav"


def cut_off(folder: Path) -> Path:
    whole = written(folder / "whole.wav", TONE).read_bytes()
    (folder / "cut.wav").write_bytes(whole[: len(whole) // 2])
    return folder / "cut.wav"


def headless(folder: Path) -> Path:
    whole = written(folder / "whole.wav", TONE).read_bytes()
    (folder / "headless.wav").write_bytes(whole[:20])
    return folder / "headless.wav"


def silent_file(folder: Path) -> Path:
    return written(folder / "nothing.wav", TONE[:0])


def many_channels(folder: Path) -> Path:
    return written(folder / "eight.wav", np.zeros((100, 8), dtype=np.float32))


def slow(folder: Path) -> Path:
    return written(folder / "slow.wav", TONE, rate=1000)


def fast(folder: Path) -> Path:
    return written(folder / "fast.wav", TONE, rate=1_000_000)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (empty, "is empty"),
        (text, "no sound file that is known"),
        (cut_off, "cut off"),
        (headless, "damaged or no sound file|cut off"),
        (silent_file, "holds no sound"),
        (many_channels, "8 channels"),
        (slow, "sample rate of slow.wav is 1000 Hz"),
        (fast, "sample rate of fast.wav is 1000000 Hz"),
        (lambda folder: folder, "is a folder"),
        (lambda folder: folder / "gone.wav", "There is no file"),
        (lambda _: Path("/dev/null"), "is a device"),
        (lambda folder: folder / ("x" * 300), "cannot be opened|There is no file"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(tmp_path: Path, make: object, said: str) -> None:
    """Each is one sentence with a hint, and the exit code of sound."""
    assert callable(make)
    with pytest.raises(SoundUnavailable, match=said) as refused:
        read_recording(make(tmp_path))

    assert refused.value.hint
    assert refused.value.exit_code == ExitCode.SOUND


def test_a_file_name_cannot_paint_on_the_terminal(tmp_path: Path) -> None:
    """An escape sequence in a name is shown, not sent."""
    with pytest.raises(SoundUnavailable) as refused:
        read_recording(tmp_path / "a\x1b[2Jb.wav")

    assert "\x1b" not in str(refused.value)
    assert "␛" in str(refused.value)


def test_importing_the_floor_loads_neither_numpy_nor_soundfile() -> None:
    """They are loaded on use, because most commands need no sound."""
    code = "import sys, lugbook.sound; print(sorted({'numpy', 'soundfile'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
