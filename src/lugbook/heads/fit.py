"""Damped lines fitted to a tap by joint least squares, with their standard deviations.

Problem: lines found by shift invariance are near the truth but not at it, and their errors are not known. All
of them together are fitted to the samples:

    y(t) = sum over k of Re(A_k exp(-a_k t + 2 pi i f_k u(t))),    u(t) = t + g s (1 - exp(-t/s))

where u bends time for all lines alike, since a stroke raises the tension of the whole head: a line starts at
f (1 + g) and settles at f. With g = 0 time runs evenly.

Conventions: one channel at ``rate_hz``; t = 0 is the first sample; decays in 1/s; amplitudes complex and at
t = 0. Standard deviations come from the Jacobian and from the residual as each line sees it: the residual is
weighted like the line's own derivative and looked at beside the line, so that reverberation, which falls with
the sound and does not look like noise from afar, widens what is stated.

Sources: the bound that a fit of white noise reaches is Yao & Pandit, IEEE Trans. SP 43, 878 (1995), from
memory; the damped step is Levenberg (1944) and Marquardt (1963).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]

SLOWEST, FASTEST = 0.3, 400.0
"""Decays in 1/s between which a line is kept: 23 s and 17 ms for 60 dB."""

_BEND_SECONDS = (0.01, 0.3)
"""Time constants of a bend lie between these."""

_DAMPING, _TRIES, _ENOUGH = 1e-4, 5, 1e-5
"""First damping of a step, tries to find one that lowers the squares, and the least gain worth another."""


@dataclass(frozen=True, slots=True)
class Warp:
    """How time is bent: the pitch starts a fraction above the settled one and falls with a time constant."""

    start: float = 0.0
    seconds: float = 0.1
    sd: float = 0.0

    def bend(self, t: Floats) -> Floats:
        """Return the bent time at *t* in seconds."""
        return t + self.start * self.slope(t)

    def slope(self, t: Floats) -> Floats:
        """Return the derivative of the bent time by *start*."""
        return self.seconds * -np.expm1(-t / self.seconds)

    def stretch(self, t: Floats) -> Floats:
        """Return the derivative of the bent time by the logarithm of *seconds*."""
        return self.start * (self.slope(t) - t * np.exp(-t / self.seconds))


@dataclass(frozen=True, slots=True)
class Fit:
    """Lines of one tap, ascending in frequency; all arrays have shape (lines,)."""

    hz: Floats
    decay: Floats
    amplitude: Complexes
    sd_hz: Floats
    warp: Warp
    residual: Floats
    rate_hz: float

    @property
    def residual_power(self) -> float:
        """Mean square of what the lines do not explain."""
        return float(np.mean(self.residual**2)) if self.residual.size else 0.0

    @property
    def energy(self) -> Floats:
        """Energy of each line: the integral of its square over all time, in samples² · s."""
        return np.abs(self.amplitude) ** 2 / (4.0 * self.decay)


def fit_lines(
    samples: Floats,
    *,
    rate_hz: float,
    hz: Floats,
    decay: Floats,
    bend: Warp | None = None,
    rounds: int = 8,
    spread: bool = True,
) -> Fit:
    """Fit damped lines jointly, starting at *hz* and *decay*.

    Args:
        samples: shape (n,), n at least four times the lines.
        rate_hz: samples a second.
        hz: starting frequencies, shape (lines,).
        decay: starting decays in 1/s, shape (lines,).
        bend: where given, a bend of time is fitted too, starting from this one.
        rounds: the most steps.
        spread: whether standard deviations are wanted; without them they are zero.
    """
    if not hz.size:
        none = np.zeros(0)
        return Fit(none, none, none.astype(np.complex128), none, Warp(), samples, float(rate_hz))
    t = np.arange(samples.size) / rate_hz
    bending = bend is not None
    start = _Lines(
        2 * np.pi * np.clip(hz, 0.0, 0.5 * rate_hz),
        np.clip(decay, SLOWEST, FASTEST),
        np.zeros(hz.size, dtype=np.complex128),
        bend or Warp(),
    )
    found = _descended(samples, t, start, bending=bending, rounds=rounds)
    lines = found.lines
    sd_hz, warp = np.zeros(hz.size), lines.warp
    if spread:
        jacobian = _jacobian(t, lines, found.waves, bending=bending)
        sd_hz, sd_start = _spreads(jacobian, found.error, t, lines, bending=bending)
        warp = Warp(warp.start, warp.seconds, sd_start)
    order = np.argsort(lines.omega)
    return Fit(
        lines.omega[order] / (2 * np.pi),
        lines.decay[order],
        lines.amplitude[order],
        sd_hz[order],
        warp,
        found.error,
        float(rate_hz),
    )


@dataclass(frozen=True, slots=True)
class _Lines:
    """The numbers that are fitted."""

    omega: Floats
    decay: Floats
    amplitude: Complexes
    warp: Warp

    def stepped(self, step: Floats, *, bending: bool) -> "_Lines":
        """Return the lines after a step of all numbers, none of which may leap."""
        count = self.omega.size
        limit = 2.0 * self.decay + 20.0
        decay = self.decay + np.clip(step[3 * count : 4 * count], -limit, limit)
        warp = self.warp
        if bending:
            seconds = warp.seconds * float(np.exp(np.clip(step[-1], -0.5, 0.5)))
            warp = Warp(
                float(np.clip(warp.start + step[-2], -0.2, 0.2)), float(np.clip(seconds, *_BEND_SECONDS))
            )
        return _Lines(
            self.omega + np.clip(step[2 * count : 3 * count], -limit, limit),
            np.clip(decay, SLOWEST, FASTEST),
            self.amplitude + step[:count] + 1j * step[count : 2 * count],
            warp,
        )


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a descent stands: its lines, their waves, and what they leave."""

    lines: _Lines
    waves: Complexes
    error: Floats
    squares: float


def _descended(samples: Floats, t: Floats, start: _Lines, *, bending: bool, rounds: int) -> _Place:
    """Return the place that damped Gauss-Newton steps reach from *start*, whose amplitudes are not used."""
    waves = _waves(t, start.omega, start.decay, start.warp)
    amplitude, error = _amplitudes(samples, waves)
    place = _Place(
        _Lines(start.omega, start.decay, amplitude, start.warp), waves, error, float(error @ error)
    )
    damping = _DAMPING
    for _ in range(rounds):
        normal, scale, slope = _normal(_jacobian(t, place.lines, place.waves, bending=bending), place.error)
        for _ in range(_TRIES):
            step = np.linalg.solve(normal + damping * np.eye(scale.size), slope) * scale
            lines = place.lines.stepped(step, bending=bending)
            waves = _waves(t, lines.omega, lines.decay, lines.warp)
            error = samples - (lines.amplitude @ waves).real
            squares = float(error @ error)
            if squares <= place.squares * (1 + 1e-12):
                break
            damping = max(damping * 30.0, 1e-3)
        else:
            return place
        gain = 1.0 - squares / max(place.squares, 1e-300)
        place = _Place(lines, waves, error, squares)
        damping = max(damping * 0.1, 1e-9)
        if gain < _ENOUGH:
            break
    return place


def gain_by_bending(fit: Fit, seconds: float) -> float:
    """Return by how much bent time would lower the squares of *fit*'s residual, to first order.

    It is what the residual holds of the bend's derivative, less what the other parameters can imitate.
    """
    t = np.arange(fit.residual.size) / fit.rate_hz
    omega = 2 * np.pi * fit.hz
    flat = Warp(seconds=seconds)
    waves = _waves(t, omega, fit.decay, flat)
    lines = _Lines(omega, fit.decay, fit.amplitude, flat)
    # Where time runs evenly, how fast a bend would end makes no difference: its derivative is left out.
    jacobian = _jacobian(t, lines, waves, bending=True)[:-1]
    normal, _, slope = _normal(jacobian, fit.residual)
    normal = normal + 1e-9 * np.eye(slope.size)
    inner = np.linalg.solve(normal[:-1, :-1], np.column_stack((normal[:-1, -1], slope[:-1])))
    left = 1.0 + 1e-9 - float(normal[-1, :-1] @ inner[:, 0])
    return float((slope[-1] - normal[-1, :-1] @ inner[:, 1]) ** 2 / max(left, 1e-9))


def seen_power(residual: Floats, t: Floats, omega: Floats, decay: Floats) -> Floats:
    """Return the power of a white noise that would disturb each line as *residual* does.

    The residual is weighted with t·exp(-decay·t), the envelope of a line's derivative by its frequency, and
    its spectrum read at a few places on both sides of the line, close enough to be what the line meets and
    far enough not to have been fitted away.
    """
    flat = float(np.mean(residual**2))
    span = t[-1] - t[0] if t.size > 1 else 1.0
    powers = np.empty(omega.size)
    size = 1 << int(np.ceil(np.log2(4 * t.size)))
    per_bin = 2 * np.pi / size / (t[1] - t[0])
    apart = np.concatenate((np.linspace(-4.5, -1.5, 7), np.linspace(1.5, 4.5, 7)))
    for k in range(omega.size):
        rate = max(decay[k], 1.5 / span)
        weight = t * np.exp(-rate * t)
        bins = np.rint((omega[k] + apart * rate) / per_bin).astype(int)
        seen = np.abs(np.fft.rfft(residual * weight, size)[np.clip(np.abs(bins), 0, size // 2)]) ** 2
        powers[k] = float(np.mean(seen)) / float(weight @ weight)
    return np.maximum(powers, 0.5 * flat)


def _spreads(
    jacobian: Floats, error: Floats, t: Floats, lines: _Lines, *, bending: bool
) -> tuple[Floats, float]:
    """Return the standard deviations of the frequencies in Hz, and of the start of the bend."""
    normal, scale, _ = _normal(jacobian, error)
    # A parameter that nothing depends on has no scale and no known spread: it is held within finite numbers.
    inverse = np.diag(np.linalg.inv(normal + 1e-12 * np.eye(scale.size)))
    variance = np.clip(inverse, 0.0, 1e12) * np.minimum(scale, 1e100) ** 2
    count = lines.omega.size
    power = np.maximum(seen_power(error, t, lines.omega, lines.decay), 1e-300)
    sd_hz = np.sqrt(variance[2 * count : 3 * count] * power) / (2 * np.pi)
    return sd_hz, float(np.sqrt(variance[4 * count] * np.median(power))) if bending else 0.0


def _waves(t: Floats, omega: Floats, decay: Floats, warp: Warp) -> Complexes:
    """Return exp(-decay t + i omega u(t)), shape (lines, samples)."""
    if warp.start:
        return np.exp(-np.outer(decay, t) + 1j * np.outer(omega, warp.bend(t)))
    # Evenly running time: blocks of powers cost two short exponentials and one product a sample.
    rate = -decay + 1j * omega
    block = max(int(np.sqrt(t.size)), 1)
    blocks = -(-t.size // block)
    inner = np.exp(np.outer(rate, t[:block]))
    outer = np.exp(np.outer(rate, t[::block][:blocks]))
    waves: Complexes = (outer[:, :, None] * inner[:, None, :]).reshape(rate.size, blocks * block)[:, : t.size]
    return waves


def _amplitudes(samples: Floats, waves: Complexes) -> tuple[Complexes, Floats]:
    columns = np.concatenate((waves.real, -waves.imag))
    gram = columns @ columns.T
    gram[np.diag_indices_from(gram)] *= 1.0 + 1e-10
    parts = np.linalg.solve(gram + 1e-300 * np.eye(len(gram)), columns @ samples)
    count = len(waves)
    return parts[:count] + 1j * parts[count:], samples - parts @ columns


def _jacobian(t: Floats, lines: _Lines, waves: Complexes, *, bending: bool) -> Floats:
    """Return the derivatives of the model, shape (4 lines [+ 2], samples)."""
    count = lines.omega.size
    jacobian = np.empty((4 * count + 2 * int(bending), t.size))
    jacobian[:count] = waves.real
    np.negative(waves.imag, out=jacobian[count : 2 * count])
    sounding = lines.amplitude[:, None] * waves
    np.multiply(sounding.imag, -lines.warp.bend(t), out=jacobian[2 * count : 3 * count])
    np.multiply(sounding.real, -t, out=jacobian[3 * count : 4 * count])
    if bending:
        turning = -(lines.omega @ sounding.imag)
        np.multiply(turning, lines.warp.slope(t), out=jacobian[-2])
        np.multiply(turning, lines.warp.stretch(t), out=jacobian[-1])
    return jacobian


def _normal(jacobian: Floats, error: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the normal matrix with unit diagonal, the scale of each parameter, and the scaled gradient."""
    gram = jacobian @ jacobian.T
    scale = 1.0 / np.sqrt(np.maximum(np.diag(gram), 1e-300))
    return gram * np.outer(scale, scale), scale, (jacobian @ error) * scale
