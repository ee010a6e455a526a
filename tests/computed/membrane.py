"""Shapes of a round head, from Bessel functions by their integrals: shared with nothing under test."""

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

Mode = tuple[int, int]
"""(m, n): m straight node lines, n round ones, the hoop among them."""


def bessel(m: int, x: Floats | float) -> Floats:
    """J_m(x) by Bessel's integral, (1/pi) int_0^pi cos(m s - x sin s) ds, with the trapezoid rule."""
    s = (np.arange(400) + 0.5) * math.pi / 400
    return np.asarray(np.mean(np.cos(m * s - np.multiply.outer(np.asarray(x), np.sin(s))), axis=-1))


def zero(m: int, n: int) -> float:
    """The n-th positive zero of J_m by bisection."""
    x = np.arange(0.5, 40.0, 0.05)
    y = bessel(m, x)
    crossings = np.flatnonzero(np.sign(y[:-1]) != np.sign(y[1:]))
    low, high = float(x[crossings[n - 1]]), float(x[crossings[n - 1] + 1])
    for _ in range(60):
        middle = (low + high) / 2
        if np.sign(bessel(m, middle)) == np.sign(bessel(m, low)):
            low = middle
        else:
            high = middle
    return (low + high) / 2


ZEROS: dict[Mode, float] = {(m, n): zero(m, n) for m in range(10) for n in (1, 2, 3)}

_NORM = {
    (m, n): abs(float(bessel(m + 1, z))) * (1.0 if m == 0 else math.sqrt(0.5)) for (m, n), z in ZEROS.items()
}
"""Root mean square of each shape over the head."""


def moved(mode: Mode, spot: float) -> float:
    """How far *mode* moves at *spot* of the radius from the centre, on the line where it moves most.

    The shape is scaled to a root mean square of 1 over the head, so that a blow there excites it by this.
    """
    return float(bessel(mode[0], ZEROS[mode] * spot)) / _NORM[mode]


def pushed(cycles: float) -> float:
    """Spectrum of a half-sine push that lasts *cycles* periods of a line; 1 for a very short one."""
    gap = 1 - (2 * cycles) ** 2
    return math.cos(math.pi * cycles) / gap if abs(gap) > 1e-6 else math.pi / 4
