"""Files that are no recordings: each is refused in words, at once, and none is waited for."""

import errno
import os
import struct
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from lugbook.errors import ExitCode, SoundUnavailable
from lugbook.sound import read_recording, reading

RATE = 44_100
TAP = (0.5 * np.exp(-np.arange(RATE) / 4000) * np.sin(np.arange(RATE) * 0.04)).astype(np.float32)

SOON_S = 1.0


@pytest.fixture
def tap(tmp_path: Path) -> bytes:
    """The bytes of a good 16-bit WAV file of one second."""
    path = tmp_path / "good.wav"
    soundfile.write(path, TAP, RATE)
    return path.read_bytes()


def refused(path: str | Path) -> str:
    """What is said of a file that is refused, which takes no longer than a second."""
    begun = time.process_time()
    with pytest.raises(SoundUnavailable) as raised:
        read_recording(path)
    assert time.process_time() - begun < SOON_S
    assert raised.value.exit_code == ExitCode.SOUND
    assert raised.value.sentence.endswith(".")
    assert raised.value.hint
    return str(raised.value)


def changed(data: bytes, at: int, value: int, width: int) -> bytes:
    """*data* with a number of *width* bytes put in at *at*."""
    return data[:at] + value.to_bytes(width, "little") + data[at + width :]


@pytest.mark.parametrize("length", [0, 1, 3, 4, 8, 11, 12, 16, 20, 35, 36, 43, 44, 45, 46, 1000, 88_243])
def test_a_file_that_ends_early(tmp_path: Path, tap: bytes, length: int) -> None:
    """Wherever the end is missing, in the header or in the sound, it is said."""
    path = tmp_path / "cut.wav"
    path.write_bytes(tap[:length])

    assert any(
        words in refused(path)
        for words in ("is empty", "no sound file", "is damaged", "holds no sound", "is cut off")
    )


@pytest.mark.parametrize(
    ("form", "subtype"),
    [("AIFF", "PCM_16"), ("RF64", "PCM_16"), ("FLAC", "PCM_16"), ("OGG", "VORBIS"), ("WAVEX", "FLOAT")],
)
def test_every_kind_that_ends_early(tmp_path: Path, form: str, subtype: str) -> None:
    """Half of a file is no recording, whatever its kind."""
    path = tmp_path / "whole"
    soundfile.write(path, TAP, RATE, format=form, subtype=subtype)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])

    assert "cut off" in (said := refused(path)) or "damaged" in said


@pytest.mark.parametrize(
    ("at", "value", "width", "said"),
    [
        (24, 0, 4, "sample rate of a.wav is 0 Hz"),
        (24, 1, 4, "sample rate of a.wav is 1 Hz"),
        (24, 3999, 4, "sample rate of a.wav is 3999 Hz"),
        (24, 10_000_000, 4, "sample rate of a.wav is 10000000 Hz"),
        (24, 0xFFFFFFFF, 4, "damaged"),
        (22, 0, 2, "damaged"),
        (22, 8, 2, "8 channels"),
        (22, 0xFFFF, 2, "damaged"),
        (34, 0, 2, "0-bit samples"),
        (34, 1, 2, "1-bit samples"),
        (20, 0x1234, 2, "damaged"),
        (16, 0xFFFFFFFF, 4, "damaged|holds no sound"),
        (40, 0, 4, "never finished"),
        (40, 0x7FFFEFFF, 4, "cut off"),
        (40, 88_202, 4, "cut off"),
        (0, 0, 4, "no sound file that is known"),
        (8, 0, 4, "no sound file that is known"),
    ],
)
def test_a_header_that_lies(tmp_path: Path, tap: bytes, at: int, value: int, width: int, said: str) -> None:
    """Rates, channels, bits and lengths that cannot be."""
    path = tmp_path / "a.wav"
    path.write_bytes(changed(tap, at, value, width))

    sentence = refused(path)  # once: the next time it may be another
    assert any(words in sentence for words in said.split("|"))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"These are words and no sound.\n" * 40, "no sound file that is known"),
        (b"\0" * 5000, "no sound file that is known"),
        (b"ID3\x04" + b"\0" * 500, "is an MP3 file"),
        (b"\xff\xfb\x90\x00" + b"\0" * 500, "is an MP3 file"),
        (b".snd" + b"\0" * 500, "no sound file that is known"),
        (b"RIFF\0\0\0\0WAVE" + b"\0" * 4_000_000, "damaged"),
        (b"RIFF\0\0\0\0WAVE" + (b"JUNK" + struct.pack("<I", 0)) * 500_000, "damaged"),
        (b"FORM\0\0\0\0AIFF" + b"\xff" * 500, "damaged"),
        (b"fLaC" + b"\xff" * 5000, "damaged"),
        (b"OggS" + b"\0" * 5000, "damaged"),
    ],
)
def test_what_only_looks_like_a_recording(tmp_path: Path, data: bytes, said: str) -> None:
    """Words, zeros, other kinds of sound, millions of empty chunks."""
    path = tmp_path / "a.wav"
    path.write_bytes(data)

    assert said in refused(path)


def test_a_flac_file_that_lies(tmp_path: Path) -> None:
    """A length of days or of nothing, and blocks of absurd size, are no reason to wait."""
    path = tmp_path / "a.flac"
    soundfile.write(path, TAP, RATE)
    data = path.read_bytes()
    path.write_bytes(data[:21] + bytes([data[21] | 0x0F]) + b"\xff\xff\xff\xff" + data[26:])
    assert "lasts 25971 minutes" in refused(path)

    path.write_bytes(data[:21] + bytes([data[21] & 0xF0]) + b"\0\0\0\0" + data[26:])
    assert "does not say how long it is" in refused(path)

    begun = time.process_time()
    path.write_bytes(data[:8] + b"\xff\xff\xff\xff" + data[12:])
    assert read_recording(path).samples.shape == (RATE, 1)
    assert time.process_time() - begun < SOON_S


def test_a_sparse_file_of_a_terabyte(tmp_path: Path, tap: bytes) -> None:
    """A size that no disk holds is no reason to wait either."""
    path = tmp_path / "a.wav"
    path.write_bytes(changed(tap, 40, 0xFFFFFFFF, 4))
    try:
        os.truncate(path, 1 << 40)
    except OSError:
        pytest.skip("this file system keeps no sparse files of that size")

    assert "minutes" in (said := refused(path)) or "being written" in said


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/null", "/dev/full", "/dev/tty"])
def test_a_device(path: str) -> None:
    """A device may go on for ever: it is not opened."""
    if not Path(path).exists():
        pytest.skip(f"there is no {path} here")

    assert "is a device and no file" in refused(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes here")
def test_a_pipe_that_nobody_writes_to(tmp_path: Path) -> None:
    """Opening one would wait for a writer."""
    os.mkfifo(tmp_path / "pipe.wav")

    assert "is a pipe and no file" in refused(tmp_path / "pipe.wav")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes here")
def test_a_file_that_becomes_a_pipe(tmp_path: Path, tap: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even where it was a file when it was looked at, nothing is waited for."""
    path = tmp_path / "a.wav"
    path.write_bytes(tap)
    real = os.open

    def swapped(name: str | os.PathLike[str], flags: int, *rest: int, **more: int) -> int:
        if name == path and path.is_file():
            path.unlink()
            os.mkfifo(path)
        return real(name, flags, *rest, **more)

    monkeypatch.setattr(os, "open", swapped)
    assert "is a pipe and no file" in refused(path)


@pytest.mark.skipif(not Path("/dev/stdin").exists(), reason="there is no /dev/stdin here")
def test_standard_input_is_not_waited_for() -> None:
    """A pipe that stays open under the name of a file is refused."""
    code = (
        "from lugbook.sound import read_recording\n"
        "from lugbook.errors import SoundUnavailable\n"
        "try:\n    read_recording('/dev/stdin')\nexcept SoundUnavailable as error:\n    print(error)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert "is a pipe and no file" in child.stdout.readline()


def test_links(tmp_path: Path, tap: bytes) -> None:
    """A link to a recording is one; a link to itself, to nothing or to a folder is none."""
    (tmp_path / "a.wav").write_bytes(tap)
    for name, target in (("right", "a.wav"), ("loop", "loop.wav"), ("lost", "nowhere"), ("folder", ".")):
        (tmp_path / f"{name}.wav").symlink_to(target)

    assert read_recording(tmp_path / "right.wav").samples.shape == (RATE, 1)
    assert "leads back to itself" in refused(tmp_path / "loop.wav")
    assert "There is no file" in refused(tmp_path / "lost.wav")
    assert "is a folder" in refused(tmp_path / "folder.wav")
    assert "There is no file" in refused(tmp_path / "a.wav" / "b.wav")


@pytest.mark.parametrize("name", ["a\x1b[2Jb.wav", "a\nb.wav", "a\u202eb.wav", "a\udcffb.wav"])
def test_a_name_cannot_paint_on_the_terminal(tmp_path: Path, name: str) -> None:
    """Control characters in a name are shown, not sent, whatever is wrong with the file."""
    try:
        (tmp_path / name).write_bytes(b"words and words")
    except OSError:
        pytest.skip("this file system takes no such names")
    for path in (tmp_path / name, tmp_path / name / "b.wav"):
        assert not set(refused(path)) & {"\x1b", "\n", "\u202e", "\udcff"}


@pytest.mark.parametrize("name", ["a\0b.wav", "x" * 5000, ""])
def test_a_name_that_no_system_takes(name: str) -> None:
    """It is told, and told shortly."""
    assert refused(name)


def test_a_file_that_may_not_be_read(tmp_path: Path, tap: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """The refusal of the system is put into words."""
    path = tmp_path / "mine.wav"
    path.write_bytes(tap)
    # The tests may run as root, whom no mode bits keep out: the system's answer is given in its place.
    real = os.open

    def refuse(name: str | os.PathLike[str], flags: int, *rest: int, **more: int) -> int:
        if name == path:
            raise PermissionError(errno.EACCES, "Permission denied", str(name))
        return real(name, flags, *rest, **more)

    monkeypatch.setattr(os, "open", refuse)
    assert "may not be read by you" in refused(path)


def test_the_decoder_is_handed_no_errors(tmp_path: Path, tap: bytes) -> None:
    """It would print what is raised: a fault in reading is kept, and a place before the start is no place."""
    path = tmp_path / "a.wav"
    path.write_bytes(tap)
    with reading._Stream(os.open(path, os.O_RDONLY)) as stream:
        assert stream.seek(7) == 7
        assert stream.seek(-5) == 7
        assert stream.seek(1 << 80) == 7
    descriptor = os.open(path, os.O_WRONLY)
    with reading._Stream(descriptor) as stream:
        assert stream.readinto(bytearray(10)) == 0
        assert stream.fault is not None
        assert stream.fault.errno == errno.EBADF


def test_more_memory_than_there_is(tmp_path: Path, tap: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """A recording that does not fit is told as one."""
    path = tmp_path / "a.wav"
    path.write_bytes(tap)

    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(np, "empty", full)
    assert "needs more memory than there is" in refused(path)


def test_a_card_that_fails(tmp_path: Path, tap: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error of the disk half way is told with the system's words, and nothing is printed."""
    path = tmp_path / "a.wav"
    path.write_bytes(tap)
    real = reading._Stream.readinto

    class Failing(reading._Stream):
        def readinto(self, buffer: memoryview, /) -> int:  # type: ignore[override]  # narrower than it may be
            if self.tell() > 40_000:
                self.fault = OSError(errno.EIO, os.strerror(errno.EIO))
                return 0
            return real(self, buffer)

    monkeypatch.setattr(reading, "_Stream", Failing)
    assert "cannot be read to its end: Input/output error" in refused(path)


@pytest.fixture
def recorder(tmp_path: Path) -> Iterator[Callable[[bytes], Path]]:
    """Another process that writes a recording with a given header until the test ends."""
    children: list[subprocess.Popen[str]] = []
    code = (
        "import os, sys, time\n"
        "head, path = bytes.fromhex(sys.argv[1]), sys.argv[2]\n"
        "with open(path, 'wb', buffering=0) as file:\n"
        "    file.write(head + bytes(200000))\n"
        "    print('begun', flush=True)\n"
        "    end = time.monotonic() + 20\n"
        "    while time.monotonic() < end:\n"
        "        file.write(bytes(400))\n"
        "        time.sleep(0.0005)\n"
    )

    def begin(head: bytes) -> Path:
        path = tmp_path / "now.wav"
        child = subprocess.Popen(
            [sys.executable, "-c", code, head.hex(), str(path)], stdout=subprocess.PIPE, text=True
        )
        children.append(child)
        assert child.stdout is not None
        assert child.stdout.readline() == "begun\n"
        return path

    yield begin
    for child in children:
        child.kill()
        child.communicate()


@pytest.mark.parametrize(
    ("length", "said"),
    [
        (0, "never finished|changed while"),
        (0xFFFFFFFF, "still being written|changed while"),
        (0x7FFF0000, "cut off|changed while"),
        (4096, "still being written|changed while"),
    ],
)
def test_a_file_that_grows_while_it_is_read(
    tap: bytes, recorder: Callable[[bytes], Path], length: int, said: str
) -> None:
    """A recorder that is still at work, whatever length it has written so far."""
    path = recorder(changed(tap, 40, length, 4)[:44])

    sentence = refused(path)  # once: the next time it may be another
    assert any(words in sentence for words in said.split("|"))


@pytest.mark.parametrize("change", ["grows", "shrinks", "is written over"])
def test_a_file_that_changes_while_it_is_read(tmp_path: Path, change: str) -> None:
    """What was read of it is of two minds: it is refused."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.tile(TAP, 20), RATE)
    os.utime(path, (1e9, 1e9))

    def meddle(share: float) -> None:
        if 0.4 < share < 0.9 and path.stat().st_mtime == 1e9:
            with path.open("r+b") as file:
                if change == "grows":
                    file.seek(0, os.SEEK_END)
                if change == "shrinks":
                    file.truncate(500_000)
                else:
                    file.write(b"words")

    with pytest.raises(SoundUnavailable, match="changed while it was read"):
        read_recording(path, progress=meddle)


def test_a_file_that_is_replaced_while_it_is_read_is_read_as_it_was(tmp_path: Path, tap: bytes) -> None:
    """A new file under the old name is another file."""
    path = tmp_path / "a.wav"
    path.write_bytes(tap)

    def replace(_: float) -> None:
        (tmp_path / "b.wav").write_bytes(tap[:100])
        (tmp_path / "b.wav").replace(path)

    assert read_recording(path, progress=replace).samples.shape == (RATE, 1)


def test_values_that_are_no_numbers_are_handed_on(tmp_path: Path) -> None:
    """A float file may hold them: the reading leaves them to the listening."""
    path = tmp_path / "a.wav"
    soundfile.write(path, np.array([0.5, np.nan, np.inf, -np.inf, 1e300]), RATE, subtype="DOUBLE")

    assert [repr(float(value)) for value in read_recording(path).samples[:, 0]] == [
        "0.5",
        "nan",
        "inf",
        "-inf",
        "inf",
    ]


def test_nothing_stays_open(tmp_path: Path, tap: bytes) -> None:
    """Good or refused, no file is left open."""
    folder = Path("/proc/self/fd")
    if not folder.is_dir():
        pytest.skip("open files cannot be counted here")
    (tmp_path / "good.wav").write_bytes(tap)
    (tmp_path / "bad.wav").write_bytes(tap[:30])
    (tmp_path / "empty.wav").write_bytes(b"")
    before = len(list(folder.iterdir()))
    for _ in range(20):
        read_recording(tmp_path / "good.wav")
        refused(tmp_path / "bad.wav")
        refused(tmp_path / "empty.wav")
        refused(tmp_path)

    assert len(list(folder.iterdir())) == before


def test_two_threads_may_read_at_once(tmp_path: Path, tap: bytes) -> None:
    """Readings do not disturb each other."""
    (tmp_path / "a.wav").write_bytes(tap)
    (tmp_path / "b.wav").write_bytes(tap[:30])
    said: list[object] = []

    def run(name: str) -> None:
        for _ in range(30):
            try:
                said.append(read_recording(tmp_path / name).samples.shape)
            except SoundUnavailable as error:
                said.append(error.sentence)

    threads = [threading.Thread(target=run, args=(name,)) for name in ("a.wav", "b.wav")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert said.count((RATE, 1)) == 30
    assert len(set(said)) == 2
