"""Strokes are found where they were put, and nowhere else."""

from types import ModuleType

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.heads.channel import loudest, slowed
from lugbook.heads.strikes import Strike, find_strikes

Floats = npt.NDArray[np.float64]

RATE = 44_100
SOON_S = 0.007
"""A stroke is found within this; a soft contact is slow."""


def struck(
    drums: ModuleType,
    seed: int,
    at_s: list[float],
    levels_db: list[float],
    *,
    seconds: float,
    noise_db: float = -70.0,
    hz: float | None = None,
) -> Floats:
    """Strokes on one computed head, each with phases of its own, in white noise; the loudest peaks at 0.5."""
    rng = np.random.default_rng(seed)
    lines = drums.stroke(rng, **({"hz": hz} if hz else {})).lines
    samples = np.zeros(int(seconds * RATE))
    for at, level in zip(at_s, levels_db, strict=True):
        own = tuple(
            type(line)(line.mode, line.hz, line.t60_s, line.size, rng.uniform(-3, 3)) for line in lines
        )
        tap = drums.sound(own, rate_hz=RATE, seconds=1.2)
        begin = round(at * RATE)
        tap = 10 ** (level / 20) * 0.5 / np.max(np.abs(tap)) * tap[: samples.size - begin]
        samples[begin : begin + tap.size] += tap
    return samples + 0.5 * 10 ** (noise_db / 20) * rng.normal(0, 1, samples.size)


def found(samples: npt.ArrayLike, *, rate_hz: float = RATE) -> tuple[Strike, ...]:
    """The strokes of a recording."""
    return find_strikes(slowed(loudest(np.asarray(samples)), rate_hz=rate_hz))


def assert_at(strikes: tuple[Strike, ...], at_s: list[float]) -> None:
    """The strokes are those that were put in."""
    assert [round(strike.at_s, 3) for strike in strikes] == pytest.approx(at_s, abs=SOON_S)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("rest_s", [0.1, 0.2, 0.5])
def test_strokes_at_the_very_start_and_the_very_end(drums: ModuleType, seed: int, rest_s: float) -> None:
    """The first sample may be a stroke's, and a tenth of a second is enough for the last."""
    at_s = [0.0, 0.7, 1.4]

    assert_at(found(struck(drums, seed, at_s, [0, -3, -6], seconds=1.4 + rest_s)), at_s)


@pytest.mark.parametrize("seed", range(4))
def test_long_silences_hide_nothing(drums: ModuleType, seed: int) -> None:
    """Half a minute between two strokes, noisy or cut out by an editor, changes nothing."""
    samples = struck(drums, seed, [0.5, 30.5], [0, -6], seconds=31.5)
    assert_at(found(samples), [0.5, 30.5])

    samples[RATE : 30 * RATE] = 0
    assert_at(found(samples), [0.5, 30.5])


@pytest.mark.parametrize("seed", range(4))
def test_soft_strokes_beside_loud_ones(drums: ModuleType, seed: int) -> None:
    """A stroke 38 dB softer than the loudest is a stroke, where the room is quiet enough."""
    at_s = [0.2, 1.1, 2.0, 2.9]

    assert_at(found(struck(drums, seed, at_s, [0, -38, 0, -30], seconds=3.8, noise_db=-80)), at_s)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("apart_s", [0.08, 0.1, 0.13, 0.18])
def test_a_double_stroke_is_two(drums: ModuleType, seed: int, apart_s: float) -> None:
    """Two strokes alike, 80 ms or more apart, are two."""
    at_s = [0.2, 0.2 + apart_s, 1.4, 1.4 + apart_s]

    assert_at(found(struck(drums, seed, at_s, [0, -1, -2, -3], seconds=2.2)), at_s)


@pytest.mark.parametrize("seed", range(6))
def test_a_bounce_belongs_to_its_stroke(drums: ModuleType, seed: int) -> None:
    """A soft bounce is no stroke, and what is heard keeps clear of it."""
    samples = struck(drums, seed, [0.2, 0.26, 1.2, 1.29], [0, -8, 0, -14], seconds=2.0)
    strikes = found(samples)

    assert_at(strikes, [0.2, 1.2])
    slow_hz = slowed(loudest(samples), rate_hz=RATE).rate_hz
    for strike, bounce_s in zip(strikes, (0.26, 1.29), strict=True):
        assert strike.stop / slow_hz < bounce_s or strike.first / slow_hz > bounce_s


@pytest.mark.parametrize("seed", range(4))
def test_a_file_that_begins_while_the_head_rings(drums: ModuleType, seed: int) -> None:
    """What is left of a stroke before the file began is none."""
    samples = struck(drums, seed, [0.0, 0.7, 1.3], [0, 0, 0], seconds=1.9)

    assert_at(found(samples[int(0.15 * RATE) :]), [0.55, 1.15])


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("level_db", [-30, -20, -12])
def test_hum_is_no_stroke_and_hides_none(drums: ModuleType, mains_hz: float, level_db: int) -> None:
    """Mains hum with its overtones, up to 12 dB below the strokes."""
    at_s = [0.3, 1.1, 1.9]
    samples = struck(drums, 3, at_s, [0, -4, -2], seconds=2.7)
    t = np.arange(samples.size) / RATE
    for k in range(1, 9):
        samples += 0.5 * 10 ** (level_db / 20) / k * np.cos(2 * np.pi * mains_hz * k * t + k)

    assert_at(found(samples), at_s)


@pytest.mark.parametrize("seed", range(4))
def test_hands_before_a_stroke_are_none(drums: ModuleType, seed: int) -> None:
    """A rustle and a scratch before the strokes, 25 dB softer, are no strokes."""
    at_s = [0.6, 1.4]
    samples = struck(drums, seed, at_s, [0, -2], seconds=2.2)
    rng = np.random.default_rng(seed)
    t = np.arange(samples.size) / RATE
    for begin in (0.2, 0.45, 1.2):
        since = np.maximum(t - begin, 0)
        swell = np.clip(since / 0.03, 0, 1) * np.exp(-since / 0.05)
        samples += 0.5 * 10 ** (-25 / 20) * 0.4 * rng.normal(0, 1, t.size) * swell

    assert_at(found(samples), at_s)


@pytest.mark.parametrize("low_hz", [55.0, 62.0, 70.0, 90.0])
def test_beats_and_slow_swings_are_no_strokes(low_hz: float) -> None:
    """Two low lines that beat as they die away: their energy rises again and again."""
    t = np.arange(2 * RATE) / RATE
    rng = np.random.default_rng(1)
    since = np.maximum(t - 0.3, 0)
    samples = np.zeros(t.size)
    for hz in (low_hz, low_hz + 7, 1.6 * low_hz, 1.6 * low_hz + 9):
        samples += np.where(t >= 0.3, np.exp(-since / 0.25) * np.sin(2 * np.pi * hz * since), 0)

    assert_at(found(samples + 1e-4 * rng.normal(0, 1, t.size)), [0.3])


@pytest.mark.parametrize("snr_db", [10.0, 5.0, 0.0])
@pytest.mark.parametrize("pink", [False, True])
def test_strokes_are_found_in_noise(drums: ModuleType, snr_db: float, pink: bool) -> None:
    """Down to where the noise is as strong as the stroke."""
    for seed in range(5):
        stroke = drums.stroke(np.random.default_rng(seed), snr_db=snr_db, pink=pink)
        strikes = found(stroke.samples, rate_hz=stroke.rate_hz)

        assert [strike.at_s for strike in strikes] == pytest.approx([0.15], abs=0.012)


def test_a_stroke_is_smooth_and_a_rustle_rough(drums: ModuleType) -> None:
    """What rings follows from what was before it; noise does not."""
    rng = np.random.default_rng(2)
    ring = found(struck(drums, 2, [0.3], [0], seconds=1.2))
    t = np.arange(RATE) / RATE
    rustle = found(np.where(t > 0.3, rng.normal(0, 0.3, t.size) * np.exp(-(t - 0.3) / 0.1), 0))

    assert [strike.rough < 0.02 for strike in ring] == [True]
    assert rustle
    assert min(strike.rough for strike in rustle) > 0.3


@pytest.mark.parametrize("count", [1, 50, 200, 3000])
def test_too_little_and_silence_hold_no_stroke(count: int) -> None:
    """A few samples, or nothing but zeros, give an empty list."""
    assert found(np.zeros(count)) == ()
    assert found(np.zeros(30 * count)) == ()


def test_pieces_do_not_show(drums: ModuleType) -> None:
    """Minutes are worked on in pieces: strokes are the same wherever the seams lie."""
    samples = struck(drums, 5, [0.4, 1.3], [0, -10], seconds=2.0)
    alone = found(samples)
    factor = int(RATE // 2700)
    ahead = 23.3
    begin = int(ahead * RATE) // factor * factor
    rng = np.random.default_rng(6)
    after = np.concatenate((0.5 * 10 ** (-70 / 20) * rng.normal(0, 1, begin), samples))
    later = found(after)

    assert [strike.at_s - begin / RATE for strike in later] == pytest.approx(
        [strike.at_s for strike in alone], abs=1e-3
    )
