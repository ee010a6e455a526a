"""The demo's recordings: they are what the script makes, and hold the pitches that it states."""

import math
import wave
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from demo_presets import presets
from demo_recordings import RECORDED, Recorded, true_hz
from lugbook.heads import Hearing, listen
from lugbook.records import SIDES
from struck_head import RATE_HZ, SECONDS, StruckHead, modes

FILES = sorted(true_hz())

IN_TUNE_CENTS = 10.0
"""The library's tolerance."""

Sound = npt.NDArray[np.int16]


@pytest.fixture(scope="module")
def hearings(made_recordings: dict[str, Sound]) -> dict[str, Hearing]:
    """What Lugbook hears in each recording, listened to once."""
    return {name: listen(sound / 32_768, rate_hz=RATE_HZ) for name, sound in made_recordings.items()}


def read(path: Path) -> Sound:
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE_HZ)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(np.int16)


def cents(hz: float, *, to_hz: float) -> float:
    return 1200 * math.log2(hz / to_hz)


def strongest_near(sound: Sound, hz: float) -> float:
    """The strongest line within 60 cents of *hz* in the whole recording: one long spectrum, no Lugbook."""
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 1 << 20))
    lines = np.fft.rfftfreq(1 << 20, 1 / RATE_HZ)
    near = np.abs(1200 * np.log2(np.maximum(lines, 1) / hz)) < 60
    return float(lines[near][np.argmax(spectrum[near])])


def test_the_committed_recordings_are_those_the_script_makes(
    demo: Path, made_recordings: dict[str, Sound]
) -> None:
    assert sorted(path.name for path in (demo / "recordings").iterdir()) == sorted(made_recordings) == FILES
    for name, made in made_recordings.items():
        committed = read(demo / "recordings" / name)

        assert len(committed) == len(made) == round(SECONDS * RATE_HZ)
        assert np.max(np.abs(committed.astype(int) - made.astype(int))) <= 1


def test_the_whole_demo_stays_small(demo: Path) -> None:
    assert sum(path.stat().st_size for path in demo.rglob("*") if path.is_file()) < 3_000_000


@pytest.mark.parametrize("name", FILES)
def test_a_long_spectrum_has_a_line_at_the_true_pitch(name: str, made_recordings: dict[str, Sound]) -> None:
    assert abs(cents(strongest_near(made_recordings[name], true_hz()[name]), to_hz=true_hz()[name])) < 8


@pytest.mark.parametrize("name", FILES)
def test_lugbook_hears_the_true_pitch_within_five_cents(name: str, hearings: dict[str, Hearing]) -> None:
    hearing = hearings[name]

    assert hearing.refused is None
    assert hearing.reading is not None
    assert abs(cents(hearing.reading.hz, to_hz=true_hz()[name])) < 5
    assert hearing.reading.taps_used >= 2


@pytest.mark.parametrize("name", FILES)
def test_lugbook_does_not_say_that_a_damped_head_rings(name: str, hearings: dict[str, Hearing]) -> None:
    hearing = hearings[name]

    assert hearing.reading is not None
    assert hearing.reading.other_head != "free"


@pytest.mark.parametrize("recorded", RECORDED, ids=lambda recorded: recorded.drum)
def test_a_drum_is_as_far_off_its_preset_as_the_demo_says(recorded: Recorded) -> None:
    preset = presets()[recorded.drum, recorded.preset]
    off = []
    for side, hz in zip(SIDES, recorded.true_hz(), strict=True):
        target_hz = preset.target_hz(side)
        assert target_hz is not None
        off.append(abs(cents(hz, to_hz=target_hz)))

    if recorded.in_tune:
        assert max(off) < IN_TUNE_CENTS - 3
    else:
        assert IN_TUNE_CENTS + 3 < max(off) < 35


def test_at_least_one_drum_is_in_tune_and_one_is_not() -> None:
    assert {recorded.in_tune for recorded in RECORDED} == {True, False}


def test_the_modes_stand_as_air_loaded_heads_have_them() -> None:
    """(2,1) and (3,1) lie between the bare membrane and Rossing's 26 inch head without its bowl."""
    head = StruckHead(
        hz=250.0,
        film_kg_m2=0.353,
        diameter_m=0.3556,
        depth_m=0.14,
        t60_s=0.5,
        split_cents=0.0,
        glide_cents=0.0,
    )
    ratio = {(mode.m, mode.n): mode.hz / head.hz for mode in modes(head)}

    assert ratio[1, 1] == pytest.approx(1.0)
    assert (
        1.340 < ratio[2, 1] < 1.48
    )  # Abramowitz & Stegun 1964, table 9.5; Rossing 1982, reported by R. K. Jones
    assert 1.665 < ratio[3, 1] < 1.92
    assert 0.77 < ratio[0, 1] < 0.91  # 227 Hz against 278 Hz, Rossing et al. 1992 (from memory): 0.82
