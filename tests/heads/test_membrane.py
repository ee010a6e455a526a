"""The ideal head against outside values."""

import math
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.heads.membrane import (
    BESSEL_ZEROS,
    bessel_zero,
    coupled_pair,
    fundamental_hz,
    mode_ratio,
    surface_density,
)

Outside = dict[str, list[dict[str, Any]]]

above_zero = st.floats(1e-3, 1e5)
head_hz = st.floats(40, 900)


def test_ratios_are_those_of_the_printed_zeros(outside: Outside) -> None:
    """Mode ratios agree with the published zeros to 1e-5."""
    for row in outside["ratio"]:
        assert row["value"] == pytest.approx(mode_ratio(row["m"], row["n"]), abs=1e-5)


def test_zeros_are_zeros_of_bessel_functions(drums: ModuleType) -> None:
    """Every entry of the table is a zero of J_m, computed from Bessel's integral."""
    for m, row in enumerate(BESSEL_ZEROS):
        for n, zero in enumerate(row, start=1):
            assert float(drums.bessel(m, zero)) == pytest.approx(0.0, abs=1e-9)
            assert drums.ZEROS[m, n] == pytest.approx(zero, abs=1e-8)


def test_fundamental_of_a_fourteen_inch_head(outside: Outside) -> None:
    """A 10 mil head of 14 in at 3048 N/m sounds at 200 Hz in a vacuum."""
    for row in outside["fundamental"]:
        hz = fundamental_hz(row["tension"], row["surface_density"], row["diameter"])

        assert row["hz"] == pytest.approx(hz, rel=row["relative"])


def test_surface_density_of_film(outside: Outside) -> None:
    """Thickness in mil times density is mass per area."""
    for row in outside["density"]:
        assert row["value"] == pytest.approx(surface_density(row["mil"], row["kg_m3"]), rel=1e-6)


def test_two_heads_push_each_other_apart(outside: Outside) -> None:
    """The coupled pair has the published frequencies."""
    for row in outside["pair"]:
        low, high = coupled_pair(row["top"], row["bottom"], row["k"])

        assert (row["low"], row["high"]) == (pytest.approx(low, abs=1e-3), pytest.approx(high, abs=1e-3))


@given(head_hz, head_hz, st.floats(0, 1))
def test_sum_of_squares_is_kept(top: float, bottom: float, share: float) -> None:
    """Coupling moves no energy: the squares of the pair add up to those of the heads."""
    low, high = coupled_pair(top, bottom, share * math.sqrt(top * bottom) * 0.999)

    assert top**2 + bottom**2 == pytest.approx(low**2 + high**2, rel=1e-9)
    assert low <= min(top, bottom) * (1 + 1e-12)
    assert high >= max(top, bottom) * (1 - 1e-12)


@given(above_zero, above_zero, st.floats(0.05, 2), st.floats(1.01, 3))
def test_tension_raises_and_mass_and_size_lower(t: float, sigma: float, d: float, more: float) -> None:
    """More tension is higher; a heavier film or a larger head is lower."""
    hz = fundamental_hz(t, sigma, d)

    assert hz * math.sqrt(more) == pytest.approx(fundamental_hz(t * more, sigma, d))
    assert hz / math.sqrt(more) == pytest.approx(fundamental_hz(t, sigma * more, d))
    assert hz / more == pytest.approx(fundamental_hz(t, sigma, d * more))


def test_one_per_cent_of_tension_is_8_6_cents() -> None:
    """F goes with the square root of T: 1 % more is 8.613 cents."""
    cents = 1200 * math.log2(fundamental_hz(1010, 0.3, 0.35) / fundamental_hz(1000, 0.3, 0.35))

    assert cents == pytest.approx(8.613, abs=1e-3)


@pytest.mark.parametrize(("m", "n"), [(-1, 1), (6, 1), (0, 0), (0, 4)])
def test_modes_outside_the_table_are_refused(m: int, n: int) -> None:
    """The table ends at (5,3)."""
    with pytest.raises(BadValue, match="outside the table"):
        bessel_zero(m, n)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_senseless_values_are_refused(bad: float) -> None:
    """Nothing physical is zero, negative or not a number."""
    with pytest.raises(BadValue, match="cannot be"):
        fundamental_hz(bad, 0.3, 0.35)
    with pytest.raises(BadValue, match="cannot be"):
        surface_density(10, bad)
    with pytest.raises(BadValue, match="cannot be"):
        coupled_pair(bad, 300, 10)


@pytest.mark.parametrize("bad", [400.0, math.nan, math.inf])
def test_a_coupling_stronger_than_the_heads_is_refused(bad: float) -> None:
    """K above sqrt(f_top f_bottom) would make the lower mode imaginary."""
    with pytest.raises(BadValue, match="out of range"):
        coupled_pair(227, 299, bad)
