"""What is true of a real drum is found rightly: on drums whose settled pitch was put in."""

from types import ModuleType

import numpy as np
import numpy.typing as npt
import pytest

Floats = npt.NDArray[np.float64]

RATE_HZ = 44100.0
SETTLED_HZ = 111.4


def stroke(
    rng: np.random.Generator, *, hz: float = SETTLED_HZ, slide_cents: float, size: float, t60_s: float = 1.6
) -> Floats:
    """A drum that slides down to *hz* with the energy of the stroke, another mode, a click and noise."""
    time = np.arange(int(2.0 * RATE_HZ)) / RATE_HZ
    decay = 6.9 / t60_s
    now_hz = hz * 2 ** (slide_cents / 1200 * np.exp(-2 * decay * time))
    line = np.exp(-decay * time) * np.sin(2 * np.pi * np.cumsum(now_hz) / RATE_HZ + rng.uniform(0, 6))
    other = 0.4 * np.exp(-3 * decay * time) * np.sin(2 * np.pi * 1.62 * hz * time + rng.uniform(0, 6))
    click = np.exp(-time / 0.002) * rng.standard_normal(time.size)
    noise = 10 ** (-55 / 20) * rng.standard_normal(time.size)
    silence = np.zeros(int(rng.uniform(0.0, 0.03) * RATE_HZ))
    return size * np.concatenate([silence, line + other + 0.3 * click]) + np.append(silence, noise)


def strokes(rng: np.random.Generator, *hz: float) -> list[tuple[Floats, float]]:
    """Soft and hard strokes of a drum, one settling at each of these pitches."""
    slides = np.linspace(10.0, 150.0, len(hz))
    return [
        (stroke(rng, hz=own, slide_cents=slide, size=0.2 + slide / 200), RATE_HZ)
        for own, slide in zip(hz, slides, strict=True)
    ]


def test_strokes_that_slide_by_10_to_150_cents_settle_on_one_pitch(recorded: ModuleType) -> None:
    """Within two of the stated uncertainties, which are below 3 cents, on 8 drums of five strokes."""
    for seed in range(8):
        rng = np.random.default_rng([11, seed])
        hz = float(rng.uniform(60.0, 250.0))
        found = recorded.settled(strokes(rng, *[hz] * 5))
        assert found.strokes == 5
        assert found.uncertainty_cents < 3.0
        assert abs(recorded.cents(found.hz, hz)) < max(2 * found.uncertainty_cents, 0.5)


def test_a_plain_early_peak_is_off_on_the_same_strokes(recorded: ModuleType) -> None:
    """The slide is there: a spectrum from the stroke on reads a hard one tens of cents sharp."""
    hard = stroke(np.random.default_rng(5), slide_cents=150.0, size=1.0)
    early = recorded.after_stroke(hard)[: int(0.25 * RATE_HZ)]
    peak = recorded.spectrum_peaks(early, rate_hz=RATE_HZ)[0][0]
    assert recorded.cents(peak, SETTLED_HZ) > 30.0


def test_one_stroke_that_ends_elsewhere_does_not_move_the_others(recorded: ModuleType) -> None:
    """Four of five agree; the fifth, 30 cents lower, is not among them."""
    found = recorded.settled(
        strokes(np.random.default_rng(6), *[SETTLED_HZ] * 4, SETTLED_HZ * 2 ** (-30 / 1200))
    )
    assert (found.strokes, found.of) == (4, 5)
    assert abs(recorded.cents(found.hz, SETTLED_HZ)) < 2.0


@pytest.mark.parametrize("apart", [12.0, 25.0])
def test_strokes_that_do_not_agree_have_no_truth(recorded: ModuleType, apart: float) -> None:
    """Five pitches, each *apart* cents from the next: no three within 5 cents of a middle."""
    hz = [SETTLED_HZ * 2 ** (apart * step / 1200) for step in range(-2, 3)]
    assert recorded.settled(strokes(np.random.default_rng(7), *hz)) is None


def test_one_stroke_alone_has_no_truth_nor_has_its_louder_copy(recorded: ModuleType) -> None:
    """Agreement with oneself is none."""
    one = stroke(np.random.default_rng(8), slide_cents=40.0, size=0.3)
    assert recorded.settled([(one, RATE_HZ)]) is None
    assert (
        len(
            recorded.different(
                [(one, RATE_HZ), (-2.5 * one, RATE_HZ), (np.append(np.zeros(999), one), RATE_HZ)]
            )
        )
        == 1
    )
    assert recorded.settled([(one, RATE_HZ), (2.5 * one, RATE_HZ)]) is None


def test_a_line_that_still_slides_at_the_end_is_not_at_rest(recorded: ModuleType) -> None:
    """A siren that falls by an octave in two seconds as it dies away."""
    time = np.arange(int(2.0 * RATE_HZ)) / RATE_HZ
    siren = np.exp(-6.0 * time) * np.sin(2 * np.pi * np.cumsum(220.0 * 2**-time) / RATE_HZ)
    late = recorded.late_line(siren, rate_hz=RATE_HZ, near_hz=170.0)
    assert late is None or not late.at_rest


def test_a_declared_pitch_is_as_uncertain_as_its_line_wanders(recorded: ModuleType) -> None:
    """A steady line gives nearly none, one that slides by 60 cents some 20; a correction adds its half."""
    steady = stroke(np.random.default_rng(9), slide_cents=0.0, size=1.0, t60_s=3.0)
    sliding = stroke(np.random.default_rng(9), slide_cents=60.0, size=1.0, t60_s=3.0)
    told = [
        recorded.declared(one, rate_hz=RATE_HZ, declared_hz=SETTLED_HZ, corrected_cents=corrected)
        for one, corrected in ((steady, 0.0), (sliding, 0.0), (steady, 12.0))
    ]
    assert told[0].uncertainty_cents < 2.0
    assert 8.0 < told[1].uncertainty_cents < 30.0
    assert told[2].uncertainty_cents == pytest.approx(6.0, abs=2.0)
    assert recorded.cents(told[2].hz, SETTLED_HZ) == pytest.approx(-12.0)


def test_shares_count_refusals_as_misses(recorded: ModuleType) -> None:
    """Errors of 1, -7 and 80 cents and a refusal: a quarter within 5, half within 10; sds of 1, 2 and 50."""
    known = recorded.Known(
        np.array([1.0, -7.0, 80.0, np.nan]), np.array([1.0, 2.0, 50.0, np.nan]), np.zeros(4)
    )
    assert (known.within(5), known.within(10), known.gross, known.refused) == (0.25, 0.5, 0.25, 0.25)
    assert known.covered == pytest.approx(2 / 3)
    assert (known + known).errors.size == 8
