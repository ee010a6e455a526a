"""The computed drums themselves: what is said of a recording is true of it."""

import math
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import pytest

if TYPE_CHECKING:
    from tests.computed import Case, Line

Floats = npt.NDArray[np.float64]

SEEDS = range(12)

TONE = 2 ** (1 / 6)


def line_of(lines: "tuple[Line, ...]", mode: tuple[int, int]) -> "list[Line]":
    """The lines of a mode, lowest first."""
    return sorted((line for line in lines if line.mode == mode), key=lambda line: line.hz)


@pytest.mark.parametrize("group", ["24 bit", "glide 0-10", "rates", "rods apart"])
def test_the_pitch_put_in_is_in_the_sound(drums: ModuleType, listening: ModuleType, group: str) -> None:
    """A spectrum of the first stroke, after its slide has settled, peaks at the pitch that is said."""
    for number in range(3):
        case: Case = drums.case(group, number)
        begin, end = (round((case.onsets_s[0] + s) * case.rate_hz) for s in (0.15, 0.5))
        hz = case.tap_hz[0] if case.tap_hz else case.right_hz[0]
        late = case.samples[begin:end]
        found = listening.spectrum_peak(late, case.rate_hz, between_hz=(hz / TONE, hz * TONE))

        assert 1200 * math.log2(found / hz) == pytest.approx(0, abs=4)


@pytest.mark.parametrize("pink", [False, True])
def test_noise_is_as_strong_as_said(drums: ModuleType, *, pink: bool) -> None:
    """Before the stroke there is noise alone; the stroke's first quarter of a second is 20 dB stronger."""
    stroke = drums.stroke(np.random.default_rng(3), snr_db=20.0, pink=pink)
    onset = round(stroke.onsets_s[0] * stroke.rate_hz)
    before, after = stroke.samples[:onset], stroke.samples[onset : onset + round(0.25 * stroke.rate_hz)]
    ratio = float(np.mean(after**2) - stroke.noise_sd**2) / stroke.noise_sd**2

    assert float(np.std(before)) == pytest.approx(stroke.noise_sd, rel=0.25 if pink else 0.05)
    assert 10 * math.log10(ratio) == pytest.approx(20, abs=0.3)


def test_pink_noise_falls_by_three_decibels_an_octave(drums: ModuleType) -> None:
    noise = drums.noise(np.random.default_rng(1), 1 << 18, rate_hz=48000, pink=True)
    power = np.abs(np.fft.rfft(noise)) ** 2
    hz = np.fft.rfftfreq(noise.size, 1 / 48000)
    levels = [10 * math.log10(float(np.mean(power[(hz > low) & (hz < 2 * low)]))) for low in (100, 800, 6400)]

    assert np.diff(levels) == pytest.approx([-9.03, -9.03], abs=0.3)


def test_a_room_holds_as_much_as_said(drums: ModuleType) -> None:
    """Reverberation has the stated energy below the direct sound, and falls by 60 dB in the stated time."""
    impulse = np.zeros(48000)
    impulse[0] = 1.0
    heard = drums.room(np.random.default_rng(2), impulse, rate_hz=48000, rt60_s=0.5, direct_db=6.0, early=5)[
        1:
    ]
    left = np.cumsum(heard[::-1] ** 2)[::-1]
    early, late = (10 * math.log10(float(left[round(s * 48000)])) for s in (0.1, 0.3))

    assert 10 * math.log10(float(np.sum(heard**2))) == pytest.approx(-6, abs=0.1)
    assert early - late == pytest.approx(0.2 / 0.5 * 60, abs=3)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_free_head_has_the_pairs_that_a_damped_one_lacks(drums: ModuleType, seed: int) -> None:
    """Free: the (1,1) is a pair 10 to 28 % apart, the (0,1) at 0.60 to 0.71 of it; damped: none."""
    damped = drums.head(np.random.default_rng(seed), 250.0)
    free = drums.freed(np.random.default_rng(seed), damped)
    low, high = (line.hz for line in line_of(free, (1, 1)))
    (alone,) = line_of(damped, (1, 1))

    assert 1.10 <= high / low <= 1.28
    assert low < alone.hz
    assert 0.60 <= line_of(free, (0, 1))[0].hz / low <= 0.71
    assert 0.75 <= line_of(damped, (0, 1))[0].hz / alone.hz <= 0.90


@pytest.mark.parametrize("seed", SEEDS)
def test_a_split_is_as_wide_as_said(drums: ModuleType, seed: int) -> None:
    """Both lines of the (1,1) are there, their distance is the split, and the pitch lies between them."""
    lines = drums.head(np.random.default_rng(seed), 250.0, split_cents=20.0)
    low, high = line_of(lines, (1, 1))

    assert 1200 * math.log2(high.hz / low.hz) == pytest.approx(20)
    assert low.hz <= drums.pitch_of(lines, (1, 1)) <= high.hz


def test_a_stroke_at_the_centre_sounds_no_mode_with_node_lines(drums: ModuleType) -> None:
    """In the very centre only the (0,n) move; near the hoop the (1,1) is strong."""
    centre = drums.head(np.random.default_rng(1), 250.0, blow=drums.Blow(0.0, 0.002, 0.0))
    rim = drums.head(np.random.default_rng(1), 250.0, blow=drums.Blow(0.85, 0.002, 0.0))

    assert max(line.size for line in centre if line.mode[0]) < 1e-9
    assert line_of(rim, (1, 1))[0].size > line_of(rim, (0, 1))[0].size


@pytest.mark.long
def test_every_case_is_a_recording_and_always_the_same(drums: ModuleType) -> None:
    """Every group makes finite samples within full scale; what is made again is equal to the last bit."""
    for number, group in enumerate(drums.GROUPS):
        case = drums.case(group, 1)

        assert number % 5 or np.array_equal(case.samples, drums.case(group, 1).samples), group
        assert np.isfinite(case.samples).all(), group
        assert 0 < float(np.max(np.abs(case.samples))) <= 1.001, group
        assert bool(case.right_hz) == (group in drums.STROKES), group
        assert all(150 < hz < 500 or case.struck == "centre" for hz in case.right_hz), group
        assert case.near_hz is not None, group


def test_a_target_is_within_sixty_cents(drums: ModuleType) -> None:
    """What is expected lies within 60 cents of a right answer, on both sides of it."""
    off = []
    for number in range(12):
        case = drums.case("hum", number)
        off.append(1200 * math.log2(case.near_hz / case.right_hz[0]))

    assert max(map(abs, off)) <= 60
    assert min(off) < -10
    assert max(off) > 10
