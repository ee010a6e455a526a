"""The ideal drum head, and two heads with the air between them.

Problem: which frequencies belong together, and how tension, thickness and diameter set them.

Conventions: mode (m, n) has m nodal diameters and n nodal circles, the hoop counted, so n starts at 1.
Tension in N/m, surface density in kg/m², diameters in m, thickness in mil (1 mil = 25.4 µm), frequencies in
Hz. Real heads carry air with them, so do not turn a heard frequency into newtons with these formulas.

Sources: Fletcher & Rossing, *The Physics of Musical Instruments*, ch. 3 and 18 (membrane, two heads);
Abramowitz & Stegun 1964, table 9.5 (zeros of the Bessel functions).
"""

import math

from lugbook.errors import BadValue

BESSEL_ZEROS: tuple[tuple[float, float, float], ...] = (
    (2.4048255577, 5.5200781103, 8.6537279129),
    (3.8317059702, 7.0155866698, 10.1734681351),
    (5.1356223018, 8.4172441404, 11.6198411721),
    (6.3801618959, 9.7610231300, 13.0152007217),
    (7.5883424345, 11.0647094885, 14.3725366716),
    (8.7714838160, 12.3386041975, 15.7001740797),
)
"""``BESSEL_ZEROS[m][n - 1]`` is the n-th positive zero of J_m (Abramowitz & Stegun 1964, table 9.5)."""

_METRES_PER_MIL = 25.4e-6


def bessel_zero(m: int, n: int) -> float:
    """Return the n-th positive zero of the Bessel function J_m, for m from 0 to 5 and n from 1 to 3.

    Raises:
        BadValue: m or n is outside the table.
    """
    if not (0 <= m < len(BESSEL_ZEROS) and 1 <= n <= len(BESSEL_ZEROS[0])):
        raise BadValue(f"Mode ({m},{n}) is outside the table.", hint="m goes from 0 to 5, n from 1 to 3.")
    return BESSEL_ZEROS[m][n - 1]


def mode_ratio(m: int, n: int) -> float:
    """Return the frequency of mode (m, n) of an ideal membrane divided by that of (0, 1).

    Raises:
        BadValue: m or n is outside the table.

    Example:
        >>> round(mode_ratio(1, 1), 6)
        1.593341
    """
    return bessel_zero(m, n) / BESSEL_ZEROS[0][0]


def fundamental_hz(tension: float, surface_density: float, diameter: float) -> float:
    """Return the frequency in Hz of mode (0, 1) of an ideal membrane in a vacuum.

    Args:
        tension: N/m, above zero.
        surface_density: kg/m², above zero.
        diameter: m, above zero.

    Raises:
        BadValue: a value is not finite or not above zero.
    """
    for name, value in (("tension", tension), ("surface density", surface_density), ("diameter", diameter)):
        _check_positive(name, value)
    return BESSEL_ZEROS[0][0] / (math.pi * diameter) * math.sqrt(tension / surface_density)


def surface_density(mil: float, kg_m3: float) -> float:
    """Return the mass of a film of *mil* thousandths of an inch and density *kg_m3*, in kg/m².

    Raises:
        BadValue: a value is not finite or not above zero.
    """
    _check_positive("thickness", mil)
    _check_positive("density", kg_m3)
    return mil * _METRES_PER_MIL * kg_m3


def coupled_pair(f_top: float, f_bottom: float, k: float) -> tuple[float, float]:
    """Return the lower and upper frequency in Hz of two heads coupled by the air between them.

    Args:
        f_top: one head with the other held still, Hz, above zero.
        f_bottom: the other head likewise.
        k: strength of the coupling in Hz, not negative, k² at most f_top·f_bottom.

    The squares are the eigenvalues of [[f_top², -k²], [-k², f_bottom²]], so their sum is f_top² + f_bottom²
    (the two-mass, three-spring model of Rossing, Bork, Zhao & Fystrom, J. Acoust. Soc. Am. 92, 84 (1992)).

    Raises:
        BadValue: a value is out of range.
    """
    _check_positive("frequency", f_top)
    _check_positive("frequency", f_bottom)
    if not (math.isfinite(k) and 0.0 <= k * k <= f_top * f_bottom):
        raise BadValue(
            f"A coupling of {k} Hz is out of range.",
            hint=f"Between 0 and {math.sqrt(f_top * f_bottom):.1f} Hz for these heads.",
        )
    mean = (f_top**2 + f_bottom**2) / 2
    half = math.hypot((f_top**2 - f_bottom**2) / 2, k * k)
    return math.sqrt(max(mean - half, 0.0)), math.sqrt(mean + half)


def _check_positive(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise BadValue(f"A {name} of {value} cannot be.", hint="It must be above zero.")
