"""Two heads that both ring, against the two-mass three-spring model of the source in `coupled`."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.turns.coupled import pair

hertz = st.floats(80.0, 600.0)
shares = st.floats(0.0, 0.95)


@pytest.mark.parametrize(
    ("top", "bottom", "k", "lower", "upper"),
    [
        # Computed by hand from the formula for the drum of the source.
        (227.0, 299.0, 178.0, 183.177, 327.683),
        (227.0, 299.0, 0.0, 227.0, 299.0),
        (250.0, 250.0, 178.0, 175.545, 306.894),
    ],
)
def test_known_pairs(top: float, bottom: float, k: float, lower: float, upper: float) -> None:
    assert pair(top, bottom, k_hz=k) == pytest.approx((lower, upper), abs=0.001)


def test_the_drum_of_the_source_comes_out_within_two_per_cent() -> None:
    """182 and 330 Hz were measured (from memory); the heads alone 227 and 299 Hz."""
    assert pair(227, 299, k_hz=178) == pytest.approx((182, 330), rel=0.02)


def test_raising_one_head_moves_the_lower_pitch_most() -> None:
    """227 to 240 Hz alone, +96.4 cents: the lower pitch rises by 108.9, the upper one by 12.6 cents."""
    before, after = pair(227, 299, k_hz=178), pair(240, 299, k_hz=178)
    moved = [1200 * math.log2(b / a) for a, b in zip(before, after, strict=True)]
    assert moved == pytest.approx([108.9, 12.6], abs=0.1)


@given(hertz, hertz, shares)
def test_it_is_what_a_general_solver_of_eigenvalues_finds(top: float, bottom: float, share: float) -> None:
    k = share * math.sqrt(top * bottom)
    squares = np.linalg.eigvalsh(np.array([[top**2, -(k**2)], [-(k**2), bottom**2]]))
    assert pair(top, bottom, k_hz=k) == pytest.approx(tuple(np.sqrt(squares)), rel=1e-6)


@given(hertz, hertz, shares)
def test_the_sum_of_the_squares_stays(top: float, bottom: float, share: float) -> None:
    lower, upper = pair(top, bottom, k_hz=share * math.sqrt(top * bottom))
    assert lower**2 + upper**2 == pytest.approx(top**2 + bottom**2, rel=1e-9)
    assert lower <= min(top, bottom) * (1 + 1e-9)
    assert upper >= max(top, bottom) * (1 - 1e-9)


@pytest.mark.parametrize("k", [-1.0, 300.0, math.nan, math.inf])
def test_what_no_air_does_is_refused(k: float) -> None:
    with pytest.raises(BadValue, match="cannot be coupled"):
        pair(227, 299, k_hz=k)
