"""The slow channel: what plain arithmetic on the whole recording gives, whatever it is cut into."""

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.heads.channel import loudest, slowed
from lugbook.heads.ranges import HIGHEST_HZ

Floats = npt.NDArray[np.float64]


def whole(samples: npt.ArrayLike) -> Floats:
    """One channel as `loudest` describes it, at once: no mean, peak 1."""
    column = np.asarray(samples, dtype=np.float64)
    column = column - column.mean()
    return np.asarray(column / np.max(np.abs(column)))


@pytest.mark.parametrize("kind", ["<f4", "<f8", ">f4", "<i2", "<i4", "u1", "<f2"])
@pytest.mark.parametrize("count", [1000, 131_072, 300_001])
def test_any_numbers_become_the_same_channel(kind: str, count: int) -> None:
    """Whole numbers, floats of any width or order of bytes: mean 0 and peak 1, to rounding."""
    rng = np.random.default_rng(3)
    samples = (100 + 20 * rng.normal(0, 1, count)).astype(kind)
    mono = loudest(samples)

    assert mono.size == count
    assert mono.finite
    assert np.allclose(mono.stretch(0, count), whole(samples), rtol=0, atol=1e-12)
    assert np.allclose(mono.stretch(-5, 3), [0] * 5 + list(whole(samples)[:3]), rtol=0, atol=1e-12)
    assert np.allclose(mono.stretch(count - 2, count + 4)[2:], 0)


@pytest.mark.parametrize("rate_hz", [8000, 11_025, 44_100, 48_000, 192_000])
def test_slow_samples_are_low_passed_ones(rate_hz: int) -> None:
    """A line in the band keeps its size and place, one that would fold into it is gone by 60 dB."""
    t = np.arange(int(1.3 * rate_hz)) / rate_hz
    slow_hz = slowed(loudest(np.sin(t)), rate_hz=rate_hz).rate_hz
    inside = np.cos(2 * np.pi * (HIGHEST_HZ - 50) * t)
    beyond = np.cos(2 * np.pi * (slow_hz - 400) * t)
    kept, gone = (slowed(one, rate_hz=rate_hz) for one in (inside, beyond))
    middle = slice(200, kept.samples.size - 200)
    at = np.arange(kept.samples.size) / kept.rate_hz

    assert np.max(np.abs(kept.samples - np.cos(2 * np.pi * (HIGHEST_HZ - 50) * at))[middle]) < 1e-3
    assert np.max(np.abs(gone.samples[middle])) < 1e-3


def test_pieces_give_what_the_whole_gives() -> None:
    """A recording of several pieces is filtered as by one convolution with the answer to a single click."""
    rate_hz, factor, click_at = 48_000, 17, 17 * 100
    # What a click does to the slow samples about it is the filter, read off at every distance.
    weights: dict[int, float] = {}
    for shift in range(factor):
        click = np.zeros(17 * 200)
        click[click_at + shift] = 1.0
        slow = slowed(click, rate_hz=rate_hz).samples
        weights |= {click_at + shift - factor * at: float(slow[at]) for at in range(60, 140)}
    distance = np.array(sorted(weights))
    weight = np.array([weights[apart] for apart in sorted(weights)])
    samples = whole(np.random.default_rng(4).normal(0, 1, 500_000))
    slow = slowed(samples, rate_hz=rate_hz).samples

    for at in range(100, slow.size - 100, 13):
        assert slow[at] == pytest.approx(float(weight @ samples[factor * at + distance]), abs=1e-12)


def test_flat_tops_are_found_across_seams() -> None:
    """Samples in flat runs of three or more at the ceiling are counted and timed, wherever they lie."""
    samples = 0.3 * np.sin(np.arange(400_000) * 0.01)
    runs = [10, 131_071, 262_143, 399_990]
    for at in runs:
        samples[at : at + 5] = 1.0
    samples[200_000] = 1.0
    channel = slowed(samples, rate_hz=48_000)

    flat = sorted(at + step for at in runs for step in (1, 2, 3))
    assert list(np.round(channel.clips_s * 48_000).astype(int)) == flat
    assert channel.clipped == pytest.approx(len(flat) / samples.size)


def test_a_dead_channel_that_hums_is_not_taken() -> None:
    """Loud hum in one channel, soft strokes in the other: the strokes are heard."""
    t = np.arange(10 * 44_100) / 44_100
    strokes = np.zeros(t.size)
    for at in (1.0, 4.0, 7.0):
        since = np.maximum(t - at, 0)
        strokes += np.where(t >= at, 0.2 * np.exp(-since / 0.06) * np.sin(2 * np.pi * 220 * since), 0)
    hum = 0.1 * np.sin(2 * np.pi * 50 * t)
    assert float(np.mean(hum**2)) > 3 * float(np.mean(strokes**2))

    for columns in ((strokes, hum), (hum, strokes)):
        assert np.allclose(loudest(np.column_stack(columns)).stretch(0, t.size), whole(strokes), atol=1e-12)


def test_progress_is_told_and_may_stop() -> None:
    """The share runs from 0 to 1, and what it raises ends the work."""
    shares: list[float] = []
    slowed(np.sin(np.arange(1_000_000) * 0.1), rate_hz=48_000, progress=shares.append)

    assert len(shares) > 3
    assert shares == sorted(shares)
    assert shares[-1] == 1.0

    def stop(share: float) -> None:
        shares.append(share)
        raise KeyboardInterrupt

    shares.clear()
    with pytest.raises(KeyboardInterrupt):
        slowed(np.sin(np.arange(1_000_000) * 0.1), rate_hz=48_000, progress=stop)
    assert len(shares) == 1
