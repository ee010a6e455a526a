"""What other drums tell of one that was never turned."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.turns import Response
from lugbook.turns.kinship import AMONG_SD, COMMON_LOG_SHARE, COMMON_SD, Kin, akin, kin_of, log_share
from lugbook.turns.prior import head_prior

shares = st.lists(st.tuples(st.floats(-4, 0), st.floats(0, 0.3)), min_size=2, max_size=9)
PRIOR = head_prior(diameter_in=14, thread_mm=25.4 / 24, film_mil=10, material="film")


def test_it_is_the_posterior_of_the_normal_model_by_brute_force() -> None:
    """The mean of μ over a fine grid, each drum's likelihood weighted in, is the closed form's."""
    drums = [(-1.5, 0.05), (-2.1, 0.1), (-1.8, 0.2)]
    grid = [k / 1000 for k in range(-6000, 2000)]
    weights = []
    for mu in grid:
        log = -((mu - COMMON_LOG_SHARE) ** 2) / (2 * COMMON_SD**2)
        log -= sum((r - mu) ** 2 / (2 * (AMONG_SD**2 + s**2)) for r, s in drums)
        weights.append(math.exp(log))
    mean = sum(w * mu for w, mu in zip(weights, grid, strict=True)) / sum(weights)
    spread = sum(w * (mu - mean) ** 2 for w, mu in zip(weights, grid, strict=True)) / sum(weights)
    found = kin_of(drums)
    assert found.log_share == pytest.approx(mean, abs=1e-3)
    assert found.sd == pytest.approx(math.sqrt(AMONG_SD**2 + spread), abs=1e-3)


@pytest.mark.parametrize("others", [[], [(-1.0, 0.1)]])
def test_too_few_drums_tell_nothing(others: list[tuple[float, float]]) -> None:
    assert kin_of(others) == Kin()
    assert akin(PRIOR, kin_of(others)) == PRIOR


@given(shares)
def test_a_drum_is_never_surer_than_drums_differ(others: list[tuple[float, float]]) -> None:
    found = kin_of(others)
    assert found.sd >= AMONG_SD
    assert found.drums == len(others)
    low, high = min(r for r, _ in others), max(r for r, _ in others)
    assert min(low, COMMON_LOG_SHARE) - 1e-9 <= found.log_share <= max(high, COMMON_LOG_SHARE) + 1e-9


@given(shares, st.integers(0, 8))
def test_another_drum_never_widens(others: list[tuple[float, float]], more: int) -> None:
    assert kin_of([*others, others[more % len(others)]]).sd <= kin_of(others).sd + 1e-12


def test_a_share_is_one_of_the_limit_whatever_the_size() -> None:
    small = head_prior(diameter_in=13, thread_mm=1.0, film_mil=7.5, material="film")
    assert log_share(0.2 * small.slope_limit, 1.0, prior=small)[0] == pytest.approx(math.log(0.2))


def test_a_stiff_shelf_makes_the_unknown_drum_stiff() -> None:
    """Three drums at a fifth of the limit: an unknown one is believed there at any pitch, unsurely."""
    kin = kin_of([(math.log(0.2), 0.05)] * 3)
    drum = Response.prior(diameter_in=14, thread_mm=25.4 / 24, kin=(kin, kin))
    for hz in (160.0, 280.0):
        slope, sd = drum.observe((0, 0), hz=(hz, None), sd_cents=3.0, day=0).slope("top")
        assert slope == pytest.approx(0.2 * PRIOR.slope_limit, rel=0.1)
        assert 0.25 * slope < sd < 0.4 * slope
