"""Damped lines of a short piece of sound, by shift invariance (ESPRIT).

Problem: a struck head sounds as a sum of damped sinusoids, some of them closer together than the piece of
sound can resolve as spectrum peaks. The columns of a Hankel matrix of its samples span a space in which one
step in time is a linear map; the eigenvalues of that map are the poles exp(-decay + i*angle).

Conventions: samples are real, one channel, evenly spaced at ``rate_hz``. Decays are 1/s (amplitude falls as
exp(-decay*t)). Only poles with positive frequency are given.

Sources: Roy & Kailath, IEEE Trans. ASSP 37, 984 (1989); Hua & Sarkar, IEEE Trans. ASSP 38, 814 (1990), for
the size of the Hankel matrix (a third to a half of the samples).
"""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

_EDGE = 4.5
"""Eigenvalues of noise reach (1 + sqrt(1/2))^2 = 2.9 times its power (Marchenko & Pastur 1967, from memory);
a Hankel matrix repeats its samples and spreads them further."""

_FEWEST_SAMPLES = 24
"""Below this no Hankel matrix of use can be made."""


def damped_lines(samples: Floats, *, rate_hz: float, most: int = 40) -> tuple[Floats, Floats]:
    """Return the frequencies and decays of the damped lines in *samples*.

    Args:
        samples: real samples, shape (n,).
        rate_hz: samples a second.
        most: the most lines to return.

    Returns:
        Frequencies in Hz, ascending, and decays in 1/s (may be negative: a growing line).
    """
    none = np.zeros(0)
    if samples.size < _FEWEST_SAMPLES:
        return none, none
    rows = samples.size // 3
    hankel = np.lib.stride_tricks.sliding_window_view(samples, rows)
    powers, vectors = np.linalg.eigh(hankel.T @ hankel)
    floor = max(float(np.median(powers[: rows // 2])), float(powers[-1]) * 1e-13)
    order = min(int(np.count_nonzero(powers > _EDGE * floor)), 2 * most, rows // 2)
    if order < 1:
        return none, none
    signal = vectors[:, rows - order :]
    upper, last = signal[:-1], signal[-1]
    # (I - v v')^-1 = I + v v' / (1 - v'v): least squares without a solver, the columns being orthonormal.
    step = upper.T @ signal[1:]
    slack = max(1.0 - float(last @ last), 1e-12)
    step += np.outer(last, last @ step) / slack
    poles = np.linalg.eigvals(step)
    poles = poles[(poles.imag > 0) & (np.abs(poles) > 1e-6)]
    logs = np.log(poles) * rate_hz
    by_hz = np.argsort(logs.imag)
    return logs.imag[by_hz] / (2 * np.pi), -logs.real[by_hz]
