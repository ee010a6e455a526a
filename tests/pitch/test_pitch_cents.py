"""Cents as a player reads them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.pitch import in_cents, signed, whole


@pytest.mark.parametrize(
    ("cents", "text"), [(3.6, "+4"), (-12.4, "−12"), (0.4, "0"), (-0.4, "0"), (0.5, "+1"), (-0.5, "−1")]
)
def test_cents_are_whole_and_signed(cents: float, text: str) -> None:
    """Half a cent goes away from nought; nought has no sign."""
    assert signed(cents) == text


@given(st.floats(-2400, 2400))
def test_flat_and_sharp_are_rounded_alike(cents: float) -> None:
    """A deviation and its opposite are opposite whole numbers, at most half a cent away."""
    assert whole(-cents) == -whole(cents)
    assert abs(whole(cents) - cents) <= 0.5


def test_a_size_has_its_unit() -> None:
    """One is one; what is under one cent is said as one."""
    assert [in_cents(cents) for cents in (0.0, 0.4, 1.4, -2.6)] == ["1 cent", "1 cent", "1 cent", "3 cents"]
