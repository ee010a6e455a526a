"""The level of a recording over time: known sounds, any scale, and memory that does not grow with it."""

import tracemalloc
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.heads.levels import LOWEST_DB, Levels, levels

RATE_HZ = 8000


def sine(level: float, seconds: float = 1.0) -> npt.NDArray[np.float64]:
    return level * np.sin(2 * np.pi * 200.0 * np.arange(int(seconds * RATE_HZ)) / RATE_HZ)


def test_a_tone_of_half_scale_stands_at_minus_six() -> None:
    """Its loudest sample is 0.5, which is 20 log10 0.5 = -6.02 dB."""
    found = levels(sine(0.5), rate_hz=RATE_HZ, columns=20)

    assert found.db == pytest.approx([-6.0206] * 20, abs=1e-3)
    assert found.seconds == 1.0
    assert found.peak_db == max(found.db)


def test_one_sample_is_not_lost_between_columns() -> None:
    """A click of one sample fills its own column and no other."""
    samples = np.zeros(100_000)
    samples[50_123] = -1.0
    found = levels(samples, rate_hz=RATE_HZ, columns=300)

    assert found.db[50_123 * 300 // 100_000] == pytest.approx(0.0, abs=1e-3)
    assert sorted(found.db)[-2] < -90


def test_the_channel_is_shown_that_is_listened_to() -> None:
    """The one with the most energy about its mean: a constant offset is no sound."""
    offset = np.full(RATE_HZ, 0.9)
    both = np.stack([offset, sine(0.1)], axis=1)

    assert levels(both, rate_hz=RATE_HZ, columns=4).db == pytest.approx([-20.0] * 4, abs=1e-2)


def test_silence_stands_at_the_bottom() -> None:
    """Zeros, and nothing at all."""
    assert levels(np.zeros(50), rate_hz=RATE_HZ, columns=5) == Levels((LOWEST_DB,) * 5, 50 / RATE_HZ)
    assert levels(np.zeros((0, 2)), rate_hz=RATE_HZ, columns=5) == Levels((), 0.0)
    assert Levels((), 0.0).peak_db == LOWEST_DB


def test_what_is_no_number_counts_as_silence() -> None:
    """A hole of NaN and infinities is a hole; the rest is as it was."""
    samples = sine(0.5)
    samples[: RATE_HZ // 2] = np.nan
    samples[10] = np.inf
    found = levels(samples, rate_hz=RATE_HZ, columns=10)

    assert found.db[:5] == pytest.approx([LOWEST_DB] * 5, abs=60)
    assert max(found.db[:5]) < -60
    assert found.db[5:] == pytest.approx([-6.02] * 5, abs=0.01)


@pytest.mark.parametrize("scale", [1e-300, 1e-30, 1.0, 1e30, 1e300])
def test_any_scale_is_measured(scale: float) -> None:
    """Twenty times the logarithm of the scale is added, whatever its size, down to the bottom."""
    wanted = max(20 * np.log10(scale), LOWEST_DB)

    assert levels(sine(1.0) * scale, rate_hz=RATE_HZ, columns=3).db == pytest.approx([wanted] * 3, abs=1e-2)


@given(st.integers(1, 3000), st.integers(1, 500), st.integers(0, 1 << 30))
@example(400_000, 424, 1)
@example(400_000, 1, 2)
def test_the_columns_are_the_largest_of_their_samples(count: int, columns: int, seed: int) -> None:
    """The same as cutting the samples into columns and taking the largest of each, at any length."""
    samples = np.random.default_rng(seed).normal(0.05, 0.1, count).astype(np.float32)
    found = levels(samples, rate_hz=RATE_HZ, columns=columns)

    number = min(columns, count)
    edges = [count * column // number for column in range(number + 1)]
    about = np.abs(samples.astype(np.float64) - samples.astype(np.float64).mean())
    wanted = [
        max(20 * np.log10(max(about[start:stop].max(), 1e-300)), LOWEST_DB) for start, stop in pairwise(edges)
    ]
    assert found.db == pytest.approx(wanted, abs=1e-6)


def test_memory_does_not_grow_with_the_recording() -> None:
    """Two minutes at 192 kHz, which take no memory themselves here, are measured in less than 40 MB."""
    samples = np.broadcast_to(np.float32(0.5), (120 * 192_000, 1))
    tracemalloc.start()
    try:
        found = levels(samples, rate_hz=192_000, columns=424)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert len(found.db) == 424
    assert found.seconds == 120.0
    assert peak < 40e6


def test_fewer_columns_keep_the_loudest() -> None:
    """Narrowed, each column is the loudest of those it stands for; there are never more than before."""
    found = Levels((-1.0, -9.0, -8.0, -3.0, -7.0, -7.0), 1.0)

    assert found.narrowed(3) == (-1.0, -3.0, -7.0)
    assert found.narrowed(1) == (-1.0,)
    assert found.narrowed(40) == found.db
    assert Levels((), 0.0).narrowed(3) == ()


@pytest.mark.parametrize(
    ("options", "what"),
    [
        ({"rate_hz": 0.0, "columns": 3}, "0.0 samples a second"),
        ({"rate_hz": float("nan"), "columns": 3}, "nan samples a second"),
        ({"rate_hz": 8000.0, "columns": 0}, "0 columns"),
    ],
)
def test_what_cannot_be_drawn_is_refused(options: dict[str, float], what: str) -> None:
    """A senseless rate or width is a bad value."""
    with pytest.raises(BadValue, match=what):
        levels(np.zeros(10), **options)  # type: ignore[arg-type]  # the table mixes whole numbers and others


def test_a_cube_of_samples_is_refused() -> None:
    """Samples have one dimension or two."""
    with pytest.raises(BadValue, match="3 dimensions"):
        levels(np.zeros((2, 2, 2)), rate_hz=8000, columns=3)
