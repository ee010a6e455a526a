"""The two steps of a Kalman filter, on plain arrays.

With the state x ~ N(m, P):

    a linear change  x' = F·x + e,  e ~ N(0, Q)   gives  m' = F·m,  P' = F·P·Fᵀ + Q
    a reading        z  = h·x + v,  v ~ N(0, r)   gives  k = P·hᵀ/(h·P·hᵀ + r),
            m' = m + k·(z − h·m),  P' = (I − k·h)·P·(I − k·h)ᵀ + k·r·kᵀ

The last form of P' (Joseph's) stays symmetric and positive where rounding errors would break the shorter one.
Without the first step this is Bayesian linear regression one datum at a time, and equal to the batch form.

Sources:
    R. E. Kalman, Trans. ASME J. Basic Eng. 82 (1960) 35, from memory. C. M. Bishop, Pattern Recognition and
    Machine Learning (2006), section 3.3, from memory.
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.float64]


def changed(mean: Array, cov: Array, *, change: Array, noise: Array) -> tuple[Array, Array]:
    """Return mean and covariance after the linear change F with process noise Q.

    Args:
        mean: shape (n,).
        cov: shape (n, n), symmetric, not negative.
        change: F, shape (n, n).
        noise: Q, shape (n, n), symmetric, not negative.
    """
    after = change @ cov @ change.T + noise
    return change @ mean, (after + after.T) / 2


def informed(mean: Array, cov: Array, *, row: Array, value: float, variance: float) -> tuple[Array, Array]:
    """Return mean and covariance after one reading z = h·x + v.

    Args:
        mean: shape (n,).
        cov: shape (n, n), symmetric, not negative.
        row: h, shape (n,).
        value: z.
        variance: r, above 0, in the square of the unit of *value*.
    """
    spread = cov @ row
    gain = spread / (row @ spread + variance)
    keep = np.eye(len(mean)) - np.outer(gain, row)
    after = keep @ cov @ keep.T + variance * np.outer(gain, gain)
    return mean + gain * (value - row @ mean), (after + after.T) / 2
