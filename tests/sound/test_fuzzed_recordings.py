"""Files of any bytes: a recording or a refusal in words, soon, and nothing printed."""

import os
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.errors import SoundUnavailable
from lugbook.heads.ranges import MOST_RATE_HZ
from lugbook.sound import read_recording
from lugbook.sound.reading import MOST_CHANNELS

KINDS = [
    ("WAV", "PCM_16"),
    ("WAV", "PCM_U8"),
    ("WAV", "PCM_24"),
    ("WAV", "FLOAT"),
    ("WAV", "DOUBLE"),
    ("WAV", "MS_ADPCM"),
    ("WAV", "IMA_ADPCM"),
    ("WAV", "GSM610"),
    ("WAV", "ULAW"),
    ("WAVEX", "PCM_24"),
    ("RF64", "PCM_16"),
    ("AIFF", "PCM_16"),
    ("AIFF", "FLOAT"),
    ("FLAC", "PCM_16"),
    ("FLAC", "PCM_24"),
    ("OGG", "VORBIS"),
    ("OGG", "OPUS"),
]
STARTS = [b"RIFF\xff\xff\xff\xffWAVE", b"RIFX\0\0\1\0WAVE", b"RF64\xff\xff\xff\xffWAVE", b"FORM\0\0\1\0AIFC"]
TELLING = [0, 1, 2, 7, 8, 0x7F, 0xFF, 0xFFFF, 0x7FFFF000, 0x7FFFFFFF, 0x80000000, 0xFFFFFFF0, 0xFFFFFFFF]
SOON_S = 1.0


def real(form: str, subtype: str) -> bytes:
    """A good file of one kind, an eighth of a second of two channels."""
    rate = {"GSM610": 8000, "OPUS": 24_000}.get(subtype, 22_050)
    t = np.arange(rate // 8)
    columns = np.column_stack((np.sin(t * 0.1), np.cos(t * 0.07)))
    with tempfile.NamedTemporaryFile() as file:
        sound = columns[:, 0] if subtype == "GSM610" else columns
        soundfile.write(file.name, 0.5 * sound, rate, format=form, subtype=subtype)
        return Path(file.name).read_bytes()


GOOD = [real(*kind) for kind in KINDS]


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """A good file of some kind with a few bytes changed, put in, taken out or cut off, most in its header."""
    data = bytearray(draw(st.sampled_from(GOOD)))
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, min(len(data), draw(st.sampled_from([64, 300, 10**6]))) - 1))
        match draw(st.sampled_from(["byte", "number", "number", "cut", "in", "out", "twice"])):
            case "byte":
                data[at] = draw(st.integers(0, 255))
            case "number":
                number = draw(st.sampled_from(TELLING)).to_bytes(4, "little")
                data[at : at + 4] = number if draw(st.booleans()) else number[::-1]
            case "cut":
                del data[max(at, 1) :]
            case "in":
                data[at:at] = draw(st.binary(min_size=1, max_size=20))
            case "out" if len(data) > 40:
                del data[at : at + draw(st.integers(1, 20))]
            case "twice" if len(data) < 100_000:
                data += bytes(data)
    return bytes(data)


ANY = (
    st.binary(max_size=400)
    | st.builds(lambda start, rest: start + rest, st.sampled_from(STARTS), st.binary(max_size=400))
    | mutated()
)


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[bytes], None]]:
    """Read a file of given bytes, and see that what comes of it is in order."""
    path = tmp_path_factory.mktemp("fuzz") / "a.wav"

    def read(data: bytes) -> None:
        path.write_bytes(data)
        # Long ago: what was written just now and does not say where it ends is refused for that.
        os.utime(path, (1e9, 1e9))
        begun = time.process_time()
        refused, recording = "", None
        try:
            recording = read_recording(path)
        except SoundUnavailable as error:
            refused = str(error)
        if recording is None:
            assert refused.startswith(("a.wav ", "The sample rate of a.wav "))
            assert refused.endswith(".")
            assert len(refused) < 200
        else:
            count, channels = recording.samples.shape
            assert count > 0
            assert 1 <= channels <= MOST_CHANNELS
            assert 4000 <= recording.rate_hz <= MOST_RATE_HZ
            assert recording.samples.dtype == np.float32
        assert time.process_time() - begun < SOON_S

    yield read
    path.unlink(missing_ok=True)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=ANY)
def test_any_bytes_are_read_or_refused(heard: Callable[[bytes], None], data: bytes) -> None:
    """No bytes raise anything but a refusal, or take long."""
    heard(data)


@pytest.mark.long
@settings(max_examples=20_000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=ANY)
def test_any_bytes_are_read_or_refused_at_length(heard: Callable[[bytes], None], data: bytes) -> None:
    """The same, many times."""
    heard(data)


def test_good_files_stay_good(heard: Callable[[bytes], None], capfd: pytest.CaptureFixture[str]) -> None:
    """The files that are changed are recordings before; cut at every hundredth byte, none prints a word."""
    for data in GOOD:
        heard(data)
        for stop in range(1, len(data), max(len(data) // 100, 1)):
            heard(data[:stop])

    assert capfd.readouterr() == ("", "")
