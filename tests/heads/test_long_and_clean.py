"""Clean taps that are easily misjudged: drums that ring for long, flat crests, bright tones."""

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.heads import listen

Floats = npt.NDArray[np.float64]
Lines = tuple[tuple[float, float, float], ...]

SNARE: Lines = ((1.0, 1.0, 0.0), (1.5, 0.5, 1.0), (2.0, 0.3, 2.0))


def taps(
    hz: float, *, t60_s: float, rate_hz: int, count: int = 1, lines: Lines = SNARE, noise: float = 1e-4
) -> Floats:
    """Return strokes 0.6 s apart on a drum of damped lines: (ratio, size, phase) each."""
    samples = noise * np.random.default_rng(1).normal(size=int((0.6 * count + 1.6) * rate_hz))
    for number in range(count):
        start = int((0.2 + 0.6 * number) * rate_hz)
        t = np.arange(samples.size - start) / rate_hz
        for ratio, size, phase in lines:
            wave = np.cos(2 * np.pi * hz * ratio * t + phase) * np.clip(t / 0.001, 0, 1)
            samples[start:] += 0.3 * size * np.exp(-6.9 * t / t60_s) * wave
    return samples


@pytest.mark.parametrize(("rate_hz", "hz"), [(96_000, 150), (96_000, 200), (192_000, 300), (44_100, 60)])
def test_the_crest_of_a_slow_wave_is_not_called_clipped(rate_hz: int, hz: float) -> None:
    """At a high rate three samples of a crest are alike; nothing is said, and the pitch is right."""
    hearing = listen(taps(hz, t60_s=0.5, rate_hz=rate_hz), rate_hz=rate_hz, near_hz=hz)

    assert hearing.remarks == ()
    assert hearing.reading is not None
    assert hearing.reading.hz == pytest.approx(hz, rel=1e-4)


@pytest.mark.parametrize(("rate_hz", "hz"), [(8000, 300), (8000, 500), (5000, 300)])
def test_a_tone_at_a_low_rate_is_not_called_wires(rate_hz: int, hz: float) -> None:
    """There is nothing above the band to tell wires by, so nothing is told."""
    assert listen(taps(hz, t60_s=0.5, rate_hz=rate_hz), rate_hz=rate_hz, near_hz=hz).remarks == ()


@pytest.mark.parametrize("seed", range(12))
def test_large_drums_ring_for_seconds_and_are_heard(seed: int) -> None:
    """Their lines beat: a stroke may be as loud 60 ms later, and is no tone that was switched on."""
    rng = np.random.default_rng(seed)
    hz, t60_s = float(rng.uniform(65, 130)), float(rng.uniform(2.0, 5.0))
    lines: Lines = tuple(
        (ratio, size, float(rng.uniform(0, 6))) for ratio, size in ((1, 1), (1.5, 0.7), (1.98, 0.5))
    )
    hearing = listen(taps(hz, t60_s=t60_s, rate_hz=22_050, lines=lines), rate_hz=22_050, near_hz=hz)

    assert hearing.reading is not None
    assert hearing.reading.hz == pytest.approx(hz, rel=2e-3)


def test_the_ring_of_the_tap_before_takes_no_line_away() -> None:
    """Five taps on a head that still rings, with nothing expected, are five times the same pitch."""
    samples = taps(110, t60_s=3.5, rate_hz=22_050, count=5, lines=((1.0, 1.0, 0.0),), noise=2e-3)
    hearing = listen(samples, rate_hz=22_050)

    assert [tap.hz for tap in hearing.taps] == pytest.approx([110.0] * 5, rel=2e-3)
