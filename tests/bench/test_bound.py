"""The Cramér-Rao bound that the bench measures against, itself checked: formula, laws, and an estimator."""

import math
import tomllib
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pytest

if TYPE_CHECKING:
    from tests.computed import Line, Lines

Floats = npt.NDArray[np.float64]

RATE = 2000.0

COPIES = 400

SPREAD = (0.7956, 1.2329)
"""Central 99.8 % of a chi-square of 400 degrees of freedom, divided by 400.

By Wilson and Hilferty, (1 - 2/(9n) ± 3.090 sqrt(2/(9n)))^3 with n = 400; scipy.stats.chi2.ppf agrees.
"""


def printed() -> list[dict[str, Any]]:
    """Rows of outside values of the bound."""
    table = Path(__file__).parents[1] / "reference" / "heads.toml"
    rows: list[dict[str, Any]] = tomllib.loads(table.read_text(encoding="utf-8"))["bound"]
    return rows


def closed_sd_hz(tau_s: float, snr: float, rate_hz: float) -> float:
    """The closed form for one line, sqrt(8 a^3 / (SNR rate)) / 2 pi, with SNR = A^2 / (2 sd^2)."""
    return math.sqrt(8 / tau_s**3 / (snr * rate_hz)) / (2 * math.pi)


def one(drums: ModuleType, hz: float, tau_s: float, size: float = 1.0, phase: float = 0.4) -> "Line":
    """A line that falls to 1/e in *tau_s*."""
    line: Line = drums.Line((1, 1), hz, tau_s * math.log(1000), size, phase)
    return line


def times(tau_s: float, rate_hz: float) -> Floats:
    """Sample times until nothing is left."""
    return np.arange(int(9 * tau_s * rate_hz)) / rate_hz


@pytest.mark.parametrize("row", printed(), ids=lambda row: f"{row['tau_s']} s")
def test_one_line_has_the_printed_bound(drums: ModuleType, row: dict[str, Any]) -> None:
    """The Fisher matrix of one line gives the closed form and the values printed from it."""
    snr, tau_s, rate_hz = 10 ** (row["snr_db"] / 10), row["tau_s"], row["rate_hz"]
    line = one(drums, 200.0, tau_s)
    (least,) = drums.least_sd_hz((line,), times(tau_s, rate_hz), noise_sd=math.sqrt(1 / (2 * snr)))

    assert row["sd_hz"] == pytest.approx(closed_sd_hz(tau_s, snr, rate_hz), rel=0.005)
    # The closed form is that of many turns and many samples.
    assert float(least) == pytest.approx(row["sd_hz"], rel=0.02)


@pytest.mark.parametrize(
    ("change", "factor"),
    [
        ({"tau_s": 0.05}, 2**1.5),
        ({"noise_sd": 0.01}, 0.1),
        ({"rate_hz": 4 * 8000.0}, 0.5),
        ({"hz": 400.0}, 1.0),
        ({"phase": 1.9}, 1.0),
    ],
    ids=["half the decay time", "20 dB less noise", "four times the rate", "an octave up", "another phase"],
)
def test_bound_follows_its_laws(drums: ModuleType, change: dict[str, float], factor: float) -> None:
    """Half the decay time is 2^1.5, 20 dB a tenth, four times the rate a half; no more."""

    def least(
        *,
        hz: float = 200.0,
        tau_s: float = 0.1,
        noise_sd: float = 0.1,
        rate_hz: float = 8000,
        phase: float = 0.4,
    ) -> float:
        lines = (one(drums, hz, tau_s, phase=phase),)
        return float(drums.least_sd_hz(lines, times(tau_s, rate_hz), noise_sd=noise_sd)[0])

    assert least(**change) / least() == pytest.approx(factor, rel=0.02)


def test_a_second_line_never_helps(drums: ModuleType) -> None:
    """Another line raises the bound of the first, much when it is near, hardly when it is far."""
    t, line = times(0.1, RATE), one(drums, 200.0, 0.1)
    alone = float(drums.least_sd_hz((line,), t, noise_sd=0.01)[0])
    raised = [
        float(drums.least_sd_hz((line, one(drums, 200.0 + apart, 0.1)), t, noise_sd=0.01)[0]) / alone
        for apart in (1.0, 5.0, 20.0, 200.0)
    ]

    assert raised == sorted(raised, reverse=True)
    assert raised[0] > 10
    assert 1 <= raised[-1] < 1.01


@pytest.mark.parametrize("pink", [False, True], ids=["white", "pink"])
def test_the_best_estimator_reaches_the_bound(drums: ModuleType, *, pink: bool) -> None:
    """A maximum-likelihood fit, begun at the truth, has the bound's variance over 400 copies of two lines.

    The sum of 400 squared errors over the bound's variance is chi-square of 400 degrees of freedom.
    """
    lines = (one(drums, 182.0, 0.1, 1.0, 0.3), one(drums, 330.0, 0.06, 0.5, -1.0))
    t, sd = np.arange(900) / RATE, math.sqrt(0.5 * 10**-3.0)
    least = drums.least_sd_hz(lines, t, noise_sd=sd, pink=pink)
    rng = np.random.default_rng(1)
    clean = drawn(lines, t)
    # The stroke falls in the middle of a longer recording, so that its noise is known before and after.
    whole = np.zeros((COPIES, 3 * t.size))
    whole[:, t.size : 2 * t.size] = clean
    whole += sd * np.array([drums.noise(rng, whole.shape[1], rate_hz=RATE, pink=pink) for _ in range(COPIES)])
    errors = np.array(
        [fitted(drums, lines, t, whitened(drums, copy, pink=pink), pink=pink) for copy in whole]
    )
    squares = np.mean((errors / least) ** 2, axis=0)

    assert np.all(squares > SPREAD[0])
    assert np.all(squares < SPREAD[1])


def test_pink_noise_is_worst_for_low_lines(drums: ModuleType) -> None:
    """In pink noise the bound falls with the square root of the frequency."""
    t = times(0.1, 8000.0)
    low, high = (
        float(drums.least_sd_hz((one(drums, hz, 0.1),), t, noise_sd=0.01, pink=True)[0])
        for hz in (200.0, 800.0)
    )

    assert low / high == pytest.approx(2, rel=0.03)


def test_bound_of_a_stroke_is_that_of_its_line_and_a_little_more(drums: ModuleType) -> None:
    """The (1,1) of a whole drum has at least the bound that it has alone."""
    stroke = drums.stroke(np.random.default_rng(1), snr_db=20)
    line = next(line for line in stroke.lines if line.mode == (1, 1))
    snr = line.size**2 / (2 * stroke.noise_sd**2)
    alone = closed_sd_hz(line.t60_s / math.log(1000), snr, stroke.rate_hz)

    assert 0.95 < drums.bound_cents(stroke) / (1200 / math.log(2) * alone / stroke.hz) < 1.5


def drawn(lines: "Lines", t: Floats) -> Floats:
    """The sum of *lines*."""
    waves = [
        line.size * 1000 ** (-t / line.t60_s) * np.cos(2 * math.pi * line.hz * t + line.phase)
        for line in lines
    ]
    return np.asarray(np.sum(waves, axis=0))


def whitened(drums: ModuleType, samples: Floats, *, pink: bool) -> Floats:
    """*samples*, shape (..., n), with the spectrum of pink noise made flat."""
    if not pink:
        return samples
    power = drums.pink_power(np.fft.rfftfreq(samples.shape[-1], 1 / RATE))
    # As `noise` scales it: by the mean over all frequencies, those below zero too.
    both = np.concatenate((power, power[1:-1]))
    return np.asarray(
        np.fft.irfft(np.fft.rfft(samples) / np.sqrt(power / np.mean(both)), samples.shape[-1], axis=-1)
    )


def fitted(drums: ModuleType, truth: "Lines", t: Floats, samples: Floats, *, pink: bool) -> Floats:
    """Errors in Hz of a Gauss-Newton fit of all unknowns to whitened *samples*, begun at the *truth*."""

    def placed(part: Floats) -> Floats:
        whole = np.zeros((*part.shape[:-1], samples.size))
        whole[..., t.size : 2 * t.size] = part
        return whitened(drums, whole, pink=pink)

    lines = list(truth)
    for _round in range(3):
        rows = placed(drums.derivatives(tuple(lines), t))
        step = np.linalg.solve(rows @ rows.T, rows @ (samples - placed(drawn(tuple(lines), t)))).reshape(
            -1, 4
        )
        lines = [
            drums.Line(
                line.mode,
                line.hz + turned / (2 * math.pi),
                math.log(1000) / (math.log(1000) / line.t60_s + faster),
                line.size * (1 + louder),
                line.phase + later,
            )
            for line, (turned, faster, louder, later) in zip(lines, step, strict=True)
        ]
    return np.array([line.hz - true.hz for line, true in zip(lines, truth, strict=True)])
