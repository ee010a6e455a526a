"""Any numbers in any shape: heard or refused in words, and what must not matter does not."""

import dataclasses
import math
import warnings
from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from lugbook.errors import BadValue
from lugbook.heads import Hearing, Reading, Struck, listen

Floats = npt.NDArray[np.float64]

RATES = [4000, 4801.5, 5400, 8000, 11_025, 22_050, 44_100, 48_000, 96_000, 192_000, 400_000]


def assert_finite(thing: object, where: str = "hearing") -> None:
    """Every number in a result, however deep, is a plain finite one."""
    if dataclasses.is_dataclass(thing):
        for field in dataclasses.fields(thing):
            assert_finite(getattr(thing, field.name), f"{where}.{field.name}")
    elif isinstance(thing, tuple):
        for index, one in enumerate(thing):
            assert_finite(one, f"{where}[{index}]")
    elif isinstance(thing, float):
        assert math.isfinite(thing), where
    assert not isinstance(thing, np.generic), where


def assert_sound(
    samples: npt.NDArray[Any], *, rate_hz: float, near_hz: float | None = None, struck: Struck = "rim"
) -> Hearing:
    """Listening neither raises nor warns nor changes the samples, and says a pitch or why there is none."""
    kept = samples.copy()
    hearing = listen(samples, rate_hz=rate_hz, near_hz=near_hz, struck=struck)

    assert_finite(hearing)
    assert (hearing.reading is None) == (hearing.refused is not None)
    assert hearing.refused is None or hearing.refused.endswith(".")
    assert samples.tobytes() == kept.tobytes()
    return hearing


def reading(hearing: Hearing) -> Reading:
    """The reading of a hearing that must have one."""
    assert hearing.reading is not None, hearing.refused
    return hearing.reading


def scaled(samples: Floats, size: float) -> Floats:
    """The samples at another size; what leaves the range of numbers becomes infinite."""
    with np.errstate(over="ignore"):
        return samples * size


def shaped(kind: str, rng: np.random.Generator, t: Floats) -> Floats:
    """Numbers of one kind at the times *t*."""
    hz = rng.uniform(20, 2000, 6)[:, None]
    shapes: dict[str, Callable[[], Floats]] = {
        "noise": lambda: rng.normal(0, 1, t.size),
        "bits": lambda: np.sign(rng.normal(0, 1, t.size)),
        "few bits": lambda: np.round(rng.normal(0, 0.7, t.size)),
        "walk": lambda: np.cumsum(rng.normal(0, 1, t.size)),
        "clicks": lambda: np.where(rng.uniform(0, 1, t.size) < 1e-3, rng.normal(0, 1, t.size), 0.0),
        "tone": lambda: np.sin(2 * np.pi * hz[0] * t),
        "ring": lambda: np.sum(np.exp(-t / rng.uniform(0.01, 0.3)) * np.sin(2 * np.pi * hz * t), axis=0),
        "cauchy": lambda: rng.standard_cauchy(t.size),
    }
    return shapes[kind]()


@st.composite
def noises(draw: st.DrawFn) -> tuple[npt.NDArray[Any], float]:
    """Noise, steps, walks, clicks, tones and rings of any size, about any offset, and a rate."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    rate = float(draw(st.sampled_from(RATES)))
    count = draw(st.sampled_from([1, 2, 100, 1000, int(0.13 * rate), int(0.4 * rate), int(rate)]))
    t = np.arange(min(count, 50_000)) / rate
    kind = draw(st.sampled_from(["noise", "bits", "few bits", "walk", "clicks", "tone", "ring", "cauchy"]))
    samples = shaped(kind, rng, t)
    samples = scaled(samples, 10.0 ** draw(st.integers(-320, 305)))
    samples += draw(st.sampled_from([0.0, 1.0, -1e6, 1e100]))
    with np.errstate(all="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        samples = samples.astype(
            draw(st.sampled_from(["f8", "f8", "f4", "f2", ">f8", "i2", "u1", "i8", "?"]))
        )
    if draw(st.booleans()):
        columns = [samples, samples[::-1], np.zeros_like(samples)]
        samples = np.column_stack(columns[: draw(st.integers(1, 3))])
    return samples, rate


@st.composite
def arrays(draw: st.DrawFn) -> tuple[npt.NDArray[Any], float]:
    """Arrays of any numbers at all, in one to three dimensions."""
    kinds = st.one_of(
        hnp.floating_dtypes(),
        hnp.integer_dtypes(),
        hnp.unsigned_integer_dtypes(),
        hnp.boolean_dtypes(),
    )
    shape = draw(hnp.array_shapes(min_dims=1, max_dims=3, min_side=0, max_side=2500).filter(few))
    return draw(hnp.arrays(draw(kinds), shape)), float(draw(st.sampled_from(RATES)))


def few(shape: tuple[int, ...]) -> bool:
    """Whether an array of that shape is quickly filled."""
    return math.prod(shape) <= 6000


EXPECTED = st.none() | st.floats(20, 5000)
STRUCK: st.SearchStrategy[Struck] = st.sampled_from(["rim", "centre"])
SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]


def listened(drawn: tuple[npt.NDArray[Any], float], near_hz: float | None, struck: Struck) -> None:
    """Listen to what was drawn; three dimensions are the only thing that may be a bad value."""
    samples, rate_hz = drawn
    if samples.ndim > 2:
        with pytest.raises(BadValue, match="dimensions"):
            listen(samples, rate_hz=rate_hz)
    else:
        assert_sound(samples, rate_hz=rate_hz, near_hz=near_hz, struck=struck)


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=SLOW)
@given(drawn=noises() | arrays(), near_hz=EXPECTED, struck=STRUCK)
def test_no_numbers_are_too_much(
    drawn: tuple[npt.NDArray[Any], float], near_hz: float | None, struck: Struck
) -> None:
    """Any kind, size and shape of numbers gives words or a finite reading, without a warning."""
    listened(drawn, near_hz, struck)


@pytest.mark.long
@settings(max_examples=3000, deadline=None, suppress_health_check=SLOW)
@given(drawn=noises() | arrays(), near_hz=EXPECTED, struck=STRUCK)
def test_no_numbers_are_too_much_at_length(
    drawn: tuple[npt.NDArray[Any], float], near_hz: float | None, struck: Struck
) -> None:
    """The same, many times."""
    listened(drawn, near_hz, struck)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(rate_hz=st.floats() | st.integers(), near_hz=st.none() | st.floats())
def test_senseless_rates_and_expectations_are_bad_values(rate_hz: float, near_hz: float | None) -> None:
    """Out of range or no number at all: one sentence; in range: a refusal of so few samples."""
    sensible = 4000 <= rate_hz <= 400_000 and (near_hz is None or 20 <= near_hz <= 5000)
    if sensible:
        assert listen(np.zeros(10), rate_hz=rate_hz, near_hz=near_hz).refused
    else:
        with pytest.raises(BadValue):
            listen(np.zeros(10), rate_hz=rate_hz, near_hz=near_hz)


KINDS: dict[str, dict[str, Any]] = {
    "clean": {"snr_db": 40.0},
    "noisy": {"snr_db": 10.0},
    "room": {"rt60_s": 0.4, "direct_db": 6.0},
    "slide": {"glide_cents": 15.0},
    "uneven": {"split_cents": 30.0},
    "clipped": {"clip_db": 3.0, "peak": 0.999},
    "8 kHz": {"rate_hz": 8000},
}
"""Strokes of which some things must not matter."""


@dataclasses.dataclass(frozen=True)
class Heard:
    """A stroke, and what was heard of it as it is."""

    samples: Floats
    rate_hz: float
    hearing: Hearing


@pytest.fixture(params=list(KINDS), scope="module")
def stroke(request: pytest.FixtureRequest, drums: ModuleType) -> Heard:
    """A computed stroke of each kind."""
    made = drums.stroke(np.random.default_rng(6), hz=263.0, **KINDS[request.param])
    return Heard(made.samples, made.rate_hz, listen(made.samples, rate_hz=made.rate_hz))


def cents_off(stroke: Heard, hearing: Hearing) -> float:
    """How far the pitch of *hearing* lies from that of the stroke as it is, in cents."""
    return 1200 * math.log2(reading(hearing).hz / reading(stroke.hearing).hz)


def assert_as_before(stroke: Heard, changed: npt.NDArray[Any], *, later_s: float = 0.0) -> None:
    """What is heard in a changed recording is what was heard before, to 0.01 cents, *later_s* later."""
    after = listen(changed, rate_hz=stroke.rate_hz)

    assert cents_off(stroke, after) == pytest.approx(0, abs=0.01)
    assert reading(after).sd_cents == pytest.approx(reading(stroke.hearing).sd_cents, rel=0.02, abs=0.01)
    assert [tap.at_s - later_s for tap in after.taps] == pytest.approx(
        [tap.at_s for tap in stroke.hearing.taps], abs=1e-6
    )


@pytest.mark.parametrize("size", [1e-300, 1e-30, 3e-5, -1.0, math.pi, 1e5, 1e300])
def test_size_and_sign_do_not_matter(stroke: Heard, size: float) -> None:
    """From the smallest numbers there are to the largest, and turned upside down."""
    assert_as_before(stroke, stroke.samples * size)


@pytest.mark.parametrize(
    ("size", "offset"), [(1.0, 0.3), (1.0, -1.0), (1.0, 1e4), (1e-3, 50.0), (1e200, -1e203)]
)
def test_an_offset_does_not_matter(stroke: Heard, size: float, offset: float) -> None:
    """A constant on top, up to fifty thousand times as large as the stroke."""
    assert_as_before(stroke, stroke.samples * size + offset)


def test_the_order_of_channels_does_not_matter(stroke: Heard) -> None:
    """Left and right, one of them dead, humming, softer or of opposed sign."""
    own = stroke.samples
    hum = 0.3 * np.sin(2 * np.pi * 50 * np.arange(own.size) / stroke.rate_hz)
    for other in (np.zeros(own.size), np.full(own.size, 0.7), -own, 0.4 * own, -0.4 * own, hum):
        assert_as_before(stroke, np.column_stack((own, other)))
        assert_as_before(stroke, np.column_stack((other, own)))


@pytest.mark.parametrize("seconds", [0.5, 3.0, 20.0])
def test_silence_before_it_only_moves_it(stroke: Heard, seconds: float) -> None:
    """Digital silence before a recording moves the stroke, and nothing else."""
    # A whole number of steps of the slow channel, so that it holds the very same samples.
    step = max(int(stroke.rate_hz // 2700), 1)
    count = int(seconds * stroke.rate_hz) // step * step

    assert_as_before(
        stroke, np.concatenate((np.zeros(count), stroke.samples)), later_s=count / stroke.rate_hz
    )


@pytest.mark.parametrize("count", [1, 777, 12_345])
def test_silence_of_any_length_moves_it_within_its_uncertainty(stroke: Heard, count: int) -> None:
    """Where other samples are kept of the same sound, the noise in them differs."""
    changed = listen(np.concatenate((np.zeros(count), stroke.samples)), rate_hz=stroke.rate_hz)

    assert abs(cents_off(stroke, changed)) < 0.02 + reading(stroke.hearing).sd_cents


@pytest.mark.parametrize(
    ("samples", "said"),
    [
        (np.random.default_rng(1).choice([-1.0, 1.0], 44_100), "clipped"),
        (np.random.default_rng(1).choice([0, 1], 44_100).astype(np.int16), "clipped"),
        (np.full(44_100, 0.3, dtype=np.float32), "silent"),
        (np.full(44_100, -32_768, dtype=np.int16), "silent"),
        (np.clip(1e4 * np.sin(np.arange(44_100) * 0.03), -1, 1), "clipped"),
        (np.where(np.arange(44_100) == 700, np.nan, 0.1), "no numbers"),
        (np.where(np.arange(44_100) == 700, -np.inf, 0.1), "no numbers"),
        (np.column_stack((np.sin(np.arange(44_100) * 0.03), np.full(44_100, np.nan))), "no numbers"),
        (np.sin(np.arange(4000) * 0.03), "too short"),
    ],
)
def test_what_is_no_recording_is_refused(samples: npt.NDArray[Any], said: str) -> None:
    """One-bit noise, a constant, clipping throughout, numbers that are none: each has its sentence."""
    refused = assert_sound(samples, rate_hz=44_100).refused

    assert refused is not None
    assert said in refused


@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(44_100, dtype=np.complex128),
        np.array(["1", "2"] * 30_000),
        np.array(["2026-11-25"] * 30_000, dtype="datetime64[D]"),
        np.zeros(44_100, dtype=[("left", "f4"), ("right", "f4")]),
        [10**400] * 30_000,
        [[1.0, 2.0], [3.0]],
        object(),
    ],
    ids=["complex", "texts", "days", "records", "whole numbers past all floats", "ragged", "object"],
)
def test_what_is_no_number_is_a_bad_value(samples: Any) -> None:  # noqa: ANN401  # anything at all
    """Texts, days, complex numbers and other things are told from numbers."""
    with pytest.raises(BadValue, match="no array of numbers"):
        listen(samples, rate_hz=44_100)


def test_numbers_wider_than_usual_are_heard(stroke: Heard) -> None:
    """Long doubles are numbers; those past the usual range are refused like infinite ones."""
    wide = stroke.samples.astype(np.longdouble)
    assert_as_before(stroke, wide)
    if np.finfo(np.longdouble).maxexp > np.finfo(np.float64).maxexp:
        assert "no numbers" in (listen(wide * np.longdouble("1e400"), rate_hz=stroke.rate_hz).refused or "")


def test_a_random_walk_leaves_no_line() -> None:
    """Where every line is dropped as noise there is no pitch, and no fault."""
    for seed in (126, 246, 301, 436):
        walk = np.cumsum(np.random.default_rng(seed).normal(0, 1, 650))
        assert_sound(walk, rate_hz=5400)
