"""The same stroke has the same pitch at every rate and in every kind of file."""

import math
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile

from lugbook.heads import listen
from lugbook.sound import read_recording

RATES = [8000, 11_025, 16_000, 22_050, 32_000, 44_100, 48_000, 88_200, 96_000, 176_400, 192_000]

KINDS = {
    ("WAV", "PCM_16"): 0.05,
    ("WAV", "PCM_24"): 0.05,
    ("WAV", "PCM_32"): 0.05,
    ("WAV", "FLOAT"): 0.05,
    ("WAV", "DOUBLE"): 0.05,
    ("WAVEX", "PCM_24"): 0.05,
    ("RF64", "PCM_16"): 0.05,
    ("AIFF", "PCM_24"): 0.05,
    ("FLAC", "PCM_16"): 0.05,
    ("FLAC", "PCM_24"): 0.05,
    ("OGG", "VORBIS"): 1.0,
    ("OGG", "OPUS"): 1.0,
    ("WAV", "PCM_U8"): 5.0,
}
"""Kinds of file, and how many cents off is still the same."""


def off(
    drums: ModuleType, folder: Path, seed: int, *, rate_hz: int, form: str = "WAV", subtype: str = "PCM_16"
) -> float:
    """Error in cents of the pitch of one computed stroke, written and read again; its noise is 70 dB down."""
    rng = np.random.default_rng(seed)
    hz = float(rng.uniform(110, 430))
    dry = drums.sound(drums.stroke(rng, hz=hz).lines, rate_hz=rate_hz, seconds=0.9)
    samples = np.concatenate((np.zeros(int(0.15 * rate_hz)), 0.5 * dry / np.max(np.abs(dry))))
    path = folder / "stroke"
    noise = 1e-4 * np.random.default_rng(5).normal(0, 1, samples.size)
    soundfile.write(path, samples + noise, rate_hz, format=form, subtype=subtype)
    recording = read_recording(path)
    hearing = listen(recording.samples, rate_hz=recording.rate_hz, near_hz=hz)
    assert hearing.reading is not None, hearing.refused
    return 1200 * math.log2(hearing.reading.hz / hz)


@pytest.mark.parametrize("rate_hz", RATES)
def test_every_rate_gives_the_pitch_that_was_put_in(drums: ModuleType, tmp_path: Path, rate_hz: int) -> None:
    """From a telephone's rate to a studio's, to 0.05 cents."""
    for seed in range(3):
        assert off(drums, tmp_path, seed, rate_hz=rate_hz) == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize(("form", "subtype"), list(KINDS))
def test_every_kind_gives_the_pitch_that_was_put_in(
    drums: ModuleType, tmp_path: Path, form: str, subtype: str
) -> None:
    """To 0.05 cents from 16 bits on, to 1 cent in OGG, to 5 in 8 bits."""
    for seed in range(3):
        found = off(drums, tmp_path, seed, rate_hz=48_000, form=form, subtype=subtype)
        assert found == pytest.approx(0, abs=KINDS[form, subtype])
