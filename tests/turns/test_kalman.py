"""The filter against closed forms, batch regression and scikit-learn."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from sklearn.linear_model import BayesianRidge, LinearRegression  # type: ignore[import-untyped]  # it ships no types

from lugbook.turns.kalman import Array, changed, informed

Rows = Callable[[str], list[dict[str, Any]]]


def one_by_one(mean: Array, cov: Array, design: Array, values: Array, variance: float) -> tuple[Array, Array]:
    for row, value in zip(design, values, strict=True):
        mean, cov = informed(mean, cov, row=row, value=float(value), variance=variance)
    return mean, cov


@pytest.fixture
def problem() -> tuple[Array, Array]:
    rng = np.random.default_rng(5)
    design = np.column_stack([np.ones(30), rng.normal(size=(30, 2))])
    return design, design @ np.array([50.0, 20.0, 3.0]) + rng.normal(0, 2.0, 30)


def test_a_slope_is_learned_as_in_the_closed_form(rows: Rows) -> None:
    for row in rows("turns_regression"):
        mean, cov = one_by_one(
            np.array([row["prior_mean"]]),
            np.array([[row["prior_sd"] ** 2]]),
            np.array([row["x"]]).T,
            np.array(row["y"]),
            row["noise_sd"] ** 2,
        )
        assert row["mean"] == pytest.approx(mean[0], abs=row["within"])
        assert row["sd"] == pytest.approx(cov[0, 0] ** 0.5, abs=row["within"])
        assert row["predictive_sd"] == pytest.approx(
            (cov[0, 0] + row["noise_sd"] ** 2) ** 0.5, abs=row["within"]
        )


def test_one_by_one_equals_all_at_once(problem: tuple[Array, Array]) -> None:
    """Batch form: S = (S0⁻¹ + XᵀX/r)⁻¹, m = S·(S0⁻¹·m0 + Xᵀy/r). Bishop 2006, section 3.3 (from memory)."""
    design, values = problem
    m0, s0, r = np.array([40.0, 10.0, 0.0]), np.diag([100.0, 25.0, 4.0]), 4.0
    cov = np.linalg.inv(np.linalg.inv(s0) + design.T @ design / r)
    mean = cov @ (np.linalg.solve(s0, m0) + design.T @ values / r)
    got_mean, got_cov = one_by_one(m0, s0, design, values, r)
    np.testing.assert_allclose(got_mean, mean, rtol=1e-9)
    np.testing.assert_allclose(got_cov, cov, rtol=1e-9, atol=1e-12)


def test_the_order_of_readings_does_not_matter(problem: tuple[Array, Array]) -> None:
    design, values = problem
    m0, s0 = np.array([40.0, 10.0, 0.0]), np.diag([100.0, 25.0, 4.0])
    there, back = one_by_one(m0, s0, design, values, 4.0), one_by_one(m0, s0, design[::-1], values[::-1], 4.0)
    np.testing.assert_allclose(there[0], back[0], rtol=1e-9)
    np.testing.assert_allclose(there[1], back[1], rtol=1e-9, atol=1e-12)


def test_without_a_prior_it_is_least_squares(problem: tuple[Array, Array]) -> None:
    """scikit-learn's LinearRegression gives the limit of a prior that says nothing."""
    design, values = problem
    mean, _ = one_by_one(np.zeros(3), np.eye(3) * 1e9, design, values, 4.0)
    fit = LinearRegression().fit(design[:, 1:], values)
    np.testing.assert_allclose(mean, [fit.intercept_, *fit.coef_], rtol=1e-6)


def test_with_a_prior_it_is_bayesian_ridge(problem: tuple[Array, Array]) -> None:
    """scikit-learn's BayesianRidge finds its own prior and noise; with those the filter must agree."""
    design, values = problem
    fit = BayesianRidge(fit_intercept=False).fit(design, values)
    mean, cov = one_by_one(np.zeros(3), np.eye(3) / fit.lambda_, design, values, 1 / fit.alpha_)
    np.testing.assert_allclose(mean, fit.coef_, rtol=1e-6)
    np.testing.assert_allclose(cov, fit.sigma_, rtol=1e-6, atol=1e-9)


def test_a_reading_never_widens_and_a_change_adds_its_noise() -> None:
    mean, cov = np.zeros(2), np.diag([4.0, 9.0])
    _, after = informed(mean, cov, row=np.array([1.0, 0.5]), value=3.0, variance=2.0)
    assert np.trace(after) < np.trace(cov)
    moved, wider = changed(mean + 1, cov, change=np.array([[1.0, 2.0], [0.0, 1.0]]), noise=np.eye(2))
    np.testing.assert_allclose(moved, [3.0, 1.0])
    np.testing.assert_allclose(wider, [[41.0, 18.0], [18.0, 10.0]])
