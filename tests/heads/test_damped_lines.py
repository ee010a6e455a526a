"""Damped lines: found, fitted, and as sure as they say."""

import math
from types import ModuleType

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.heads.fit import Warp, fit_lines
from lugbook.heads.pencil import damped_lines

Floats = npt.NDArray[np.float64]

RATE = 2000.0


def damped(t: Floats, hz: float, tau: float, size: float, phase: float) -> Floats:
    """One damped cosine."""
    return np.asarray(size * np.exp(-t / tau) * np.cos(2 * math.pi * hz * t + phase))


def test_clean_pair_is_found_exactly() -> None:
    """Without noise both frequencies and both decays come out to the last digits."""
    t = np.arange(800) / RATE
    hz, decay = damped_lines(damped(t, 182, 0.1, 1, 0.3) + damped(t, 330, 0.06, 0.5, -1), rate_hz=RATE)

    assert pytest.approx(list(hz), abs=1e-5) == [182, 330]
    assert pytest.approx(list(decay), abs=1e-3) == [10, 1 / 0.06]


def test_pair_in_noise_reaches_the_bound(drums: ModuleType) -> None:
    """182 and 330 Hz at 30 dB: over 100 seeds the error is near the Cramér-Rao bound, and as stated."""
    t = np.arange(800) / RATE
    lines = [(182.0, 0.1, 1.0, 0.3), (330.0, 0.06, 0.5, -1.0)]
    clean = np.sum([damped(t, *line) for line in lines], axis=0)
    sd = math.sqrt(0.5 * 10 ** (-30 / 10))
    errors, stated = [], []
    for seed in range(100):
        noisy = clean + np.random.default_rng(seed).normal(0, sd, t.size)
        hz, decay = damped_lines(noisy, rate_hz=RATE, most=2)
        fit = fit_lines(noisy, rate_hz=RATE, hz=hz, decay=decay)
        assert fit.hz.size == 2
        errors.append(fit.hz - [182, 330])
        stated.append(fit.sd_hz)
    rms = np.sqrt(np.mean(np.square(errors), axis=0))
    least = drums.least_sd_hz(
        [drums.Line((1, 1), hz, tau * math.log(1000), size, phase) for hz, tau, size, phase in lines],
        t,
        noise_sd=sd,
    )

    assert np.all(rms < 1.3 * least)
    assert np.all(np.mean(stated, axis=0) < 1.4 * least)
    assert np.all(np.mean(stated, axis=0) > 0.7 * least)


def test_a_slide_is_fitted_with_bent_time() -> None:
    """A pitch that falls by 20 cents is given settled, with its fall."""
    t = np.arange(1600) / RATE
    fall = 2 ** (20 / 1200) - 1
    bent = t + fall * 0.09 * (1 - np.exp(-t / 0.09))
    samples = np.exp(-12 * t) * np.cos(2 * math.pi * 300 * bent) + 0.5 * np.exp(-15 * t) * np.cos(
        880 * math.pi * bent
    )
    fit = fit_lines(
        samples,
        rate_hz=RATE,
        hz=np.array([301.0, 441.5]),
        decay=np.array([12.0, 15.0]),
        bend=Warp(0.002, 0.05),
        rounds=20,
    )

    assert pytest.approx(list(fit.hz), abs=0.02) == [300, 440]
    assert fall == pytest.approx(fit.warp.start, rel=0.02)
    assert fit.warp.seconds == pytest.approx(0.09, rel=0.02)


def test_more_noise_never_narrows_the_stated_spread() -> None:
    """The standard deviation grows with the noise."""
    t = np.arange(900) / RATE
    clean = damped(t, 250, 0.08, 1, 0)
    noise = np.random.default_rng(5).normal(0, 1, t.size)
    stated = [
        float(
            fit_lines(clean + sd * noise, rate_hz=RATE, hz=np.array([250.0]), decay=np.array([12.0])).sd_hz[0]
        )
        for sd in (0.001, 0.01, 0.1)
    ]

    assert stated == sorted(stated)
    assert stated[2] > 30 * stated[0]


@pytest.mark.parametrize("count", [0, 5, 23])
def test_too_few_samples_hold_no_lines(count: int) -> None:
    """Below 24 samples nothing is found, and nothing raises."""
    hz, decay = damped_lines(np.ones(count), rate_hz=RATE)

    assert hz.size == 0
    assert decay.size == 0


def test_silence_holds_no_lines() -> None:
    """Zeros have no poles."""
    assert damped_lines(np.zeros(300), rate_hz=RATE)[0].size == 0
