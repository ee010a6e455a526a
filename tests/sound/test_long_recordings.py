"""Minutes of recording: told how far, stopped at will, and in little more memory than they need."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from lugbook.errors import Stopped
from lugbook.sound import read_recording

MIB = 2**20


def minutes(path: Path, *, seconds: int, rate_hz: int, every_s: int) -> Path:
    """A recording in stereo of a head struck now and then, written a second at a time."""
    rng = np.random.default_rng(8)
    t = np.arange(rate_hz) / rate_hz
    tap = np.zeros(rate_hz)
    for hz, seconds_60, size in ((192, 0.2, 0.5), (240, 0.45, 1.0), (355, 0.3, 0.6), (455, 0.25, 0.4)):
        tap += 0.2 * size * np.exp(-6.9 * t / seconds_60) * np.sin(2 * np.pi * hz * t)
    with soundfile.SoundFile(path, "w", rate_hz, 2, subtype="PCM_16") as file:
        for second in range(seconds):
            sound = 5e-4 * rng.normal(0, 1, rate_hz) + (tap if second % every_s == 0 else 0)
            file.write(np.column_stack((sound, -0.5 * sound)))
    return path


def test_reading_tells_how_far_it_is(tmp_path: Path) -> None:
    """The share read goes from 0 towards 1, in steps small enough to be stopped at once."""
    path = minutes(tmp_path / "a.wav", seconds=20, rate_hz=44_100, every_s=5)
    shares: list[float] = []
    recording = read_recording(path, progress=shares.append)

    assert recording.samples.shape == (20 * 44_100, 2)
    assert shares[0] == 0
    assert shares == sorted(shares)
    assert max(np.diff([*shares, 1.0])) < 0.25


def test_reading_can_be_stopped(tmp_path: Path) -> None:
    """What the progress raises comes out as it is, and the file is closed."""
    path = minutes(tmp_path / "a.wav", seconds=20, rate_hz=44_100, every_s=5)
    told: list[float] = []

    def stop(share: float) -> None:
        told.append(share)
        if share > 0.3:
            raise Stopped("Stopped.")

    with pytest.raises(Stopped, match="Stopped"):
        read_recording(path, progress=stop)
    assert told[-1] < 0.6
    path.rename(tmp_path / "b.wav")
    assert read_recording(tmp_path / "b.wav").samples.shape == (20 * 44_100, 2)


MEASURED = """
import json, resource, sys
import numpy, soundfile
import lugbook.heads.listening
from lugbook.heads import listen
from lugbook.sound import read_recording
listen(numpy.random.default_rng(1).normal(0, 1, 44100), rate_hz=44100)
most = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
before = most()
recording = read_recording(sys.argv[1])
read = most()
hearing = listen(recording.samples, rate_hz=recording.rate_hz)
print(json.dumps({
    "samples": recording.samples.nbytes,
    "reading": read - before - recording.samples.nbytes,
    "listening": most() - before - recording.samples.nbytes,
    "slow": 16 * recording.samples.shape[0] // int(recording.rate_hz // 2700),
    "taps": len(hearing.taps),
    "hz": hearing.reading.hz,
}))
"""


def assert_in_bounds(path: Path, *, taps: int) -> None:
    """Reading holds the samples and 16 MiB at most, listening the slow channel and 64 MiB more."""
    pytest.importorskip("resource", reason="memory is measured on Unix alone")
    done = subprocess.run(
        [sys.executable, "-c", MEASURED, str(path)], capture_output=True, text=True, check=True
    )
    most = json.loads(done.stdout)

    assert most["taps"] == taps
    assert most["hz"] == pytest.approx(240, rel=1e-4)
    assert most["reading"] < 16 * MIB
    assert most["listening"] < most["slow"] + most["samples"] // 4 + 64 * MIB


def test_memory_is_bounded_by_the_recording(tmp_path: Path) -> None:
    """Two minutes at 48 kHz in stereo."""
    assert_in_bounds(minutes(tmp_path / "a.wav", seconds=120, rate_hz=48_000, every_s=20), taps=6)


@pytest.mark.long
@pytest.mark.parametrize("rate_hz", [48_000, 192_000])
def test_memory_is_bounded_over_ten_minutes(tmp_path: Path, rate_hz: int) -> None:
    """Ten minutes in stereo, at a usual and at the highest rate."""
    assert_in_bounds(minutes(tmp_path / "a.wav", seconds=600, rate_hz=rate_hz, every_s=20), taps=30)
