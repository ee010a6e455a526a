"""The tests' own reader of SoundFont 2, on a font written here by hand from the specification."""

import struct
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.recorded import Font

FRAMES = np.array([0, 16384, -32768, 32767, 1, -1, 0, 8192], dtype="<i2")
"""Two samples: the first five, and the last two."""


def chunk(name: bytes, data: bytes) -> bytes:
    """A RIFF chunk: name, length, data, and a byte more where the length is odd."""
    return name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)


def header(name: bytes, start: int, stop: int, key: int, correction: int) -> bytes:
    """A sample header of 46 bytes: its name, its place, its loop, rate, key, correction, link and type."""
    return struct.pack(
        "<20s5IBbHH", name, start, stop, start + 1, max(stop - 1, 0), 32000, key, correction, 0, 1
    )


def font(*, frames: bytes = FRAMES.tobytes(), headers: bytes | None = None) -> bytes:
    """A font of two samples and one instrument, whose second zone has a root key and a tuning of its own."""
    if headers is None:
        headers = (
            header(b"Timpani 1", 0, 5, 36, 12) + header(b"Noise", 6, 8, 255, 0) + header(b"EOS", 0, 0, 0, 0)
        )
    generators = (
        # Common to both zones: coarse tune 0 (51). First zone: sample 0 (53).
        *((51, 0), (53, 0)),
        # Second zone: root key 60 (58), fine tune -50 cents (52), sample 1 (53).
        *((58, 60), (52, -50 & 0xFFFF), (53, 1)),
        (0, 0),
    )
    lists = (
        chunk(b"inst", struct.pack("<20sH20sH", b"Drums", 0, b"EOI", 3))
        + chunk(b"ibag", struct.pack("<8H", 0, 0, 1, 0, 2, 0, 5, 0))
        + chunk(b"igen", b"".join(struct.pack("<HH", *pair) for pair in generators))
        + chunk(b"shdr", headers)
    )
    # An information chunk of odd length before the samples: what follows it is padded.
    parts = chunk(b"LIST", b"INFO" + chunk(b"INAM", b"odd")) + chunk(
        b"LIST", b"sdta" + chunk(b"smpl", frames)
    )
    parts += chunk(b"LIST", b"pdta" + lists)
    return chunk(b"RIFF", b"sfbk" + parts)


@pytest.fixture
def written(recorded: ModuleType, tmp_path: Path) -> "Callable[[bytes], Font]":
    """A font of these bytes, read."""

    def read(data: bytes) -> "Font":
        path = tmp_path / "font.sf2"
        path.write_bytes(data)
        found: Font = recorded.Font(path)
        return found

    return read


def test_samples_are_read_with_name_rate_and_loop(written: "Callable[[bytes], Font]") -> None:
    """Frames between the header's start and end, scaled to 1; the list's last record is no sample."""
    found = written(font())
    assert list(found.samples) == ["Timpani 1", "Noise"]
    assert found.read("Timpani 1").tolist() == [0.0, 0.5, -1.0, 32767 / 32768, 1 / 32768]
    assert found.read("Noise").tolist() == [0.0, 0.25]
    sample = found.samples["Timpani 1"]
    assert (sample.rate_hz, sample.loop) == (32000, (1, 4))


def test_a_correction_on_playback_means_that_the_sample_itself_is_lower(
    written: "Callable[[bytes], Font]",
) -> None:
    """Key 36 is C2, 65.406 Hz; what is raised by 12 cents on playback was recorded at 64.955 Hz."""
    assert written(font()).samples["Timpani 1"].declared_hz == pytest.approx((64.955,), abs=0.001)


def test_the_root_key_of_a_zone_goes_before_the_header(written: "Callable[[bytes], Font]") -> None:
    """Root key 60, C4, 261.626 Hz; lowered by 50 cents on playback, so the sample is 50 cents higher."""
    assert written(font()).samples["Noise"].declared_hz == pytest.approx(
        (261.626 * 2 ** (50 / 1200),), abs=0.01
    )


def test_no_pitch_is_declared_for_key_255(recorded: ModuleType) -> None:
    """Noises have key 255 (specification, 7.10)."""
    assert recorded.Sample("Noise", 0, 2, (0, 1), 32000, 255, 0).declared_hz == ()


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"RIFF\x04\0\0\0WAVE", "begin"),
        (b"RIF", "no SoundFont"),
        (chunk(b"RIFF", b"sfbk"), "no SoundFont"),
        (font(frames=FRAMES.tobytes()[:8]), "reach past"),
        (font()[:-60], "cut off"),
    ],
    ids=["another form", "three bytes", "empty", "compressed", "cut off"],
)
def test_what_is_no_font_is_refused(
    written: "Callable[[bytes], Font]", recorded: ModuleType, data: bytes, what: str
) -> None:
    """In words, and never with samples that are not there."""
    with pytest.raises(recorded.NotReadable, match=what):
        written(data)


def test_samples_in_the_memory_of_a_device_are_left_out(written: "Callable[[bytes], Font]") -> None:
    """Type 0x8001: the frames are not in the file (specification, 7.10)."""
    rom = struct.pack("<20s5IBbHH", b"ROM", 0, 9999, 0, 0, 32000, 60, 0, 0, 0x8001)
    found = written(font(headers=rom + header(b"EOS", 0, 0, 0, 0)))
    assert not found.samples
