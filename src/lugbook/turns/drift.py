"""What moves a head's pitch while nobody turns it.

Four parts, each as a change of y = f² over the days between two readings:

- Creep. Film under tension gives way, fast at first and ever slower: between the ages u and v (in days since
  the head went on or was last raised) y falls by k · (ln(1 + v) − ln(1 + u)). The rate k of each head is
  learned; it begins as `CREEP_CENTS` ± `CREEP_CENTS_SD` (judgement).
- Weather. Warm or damp air changes the film's strain. The strain is the same for a thick and a thin film, so
  both heads move alike **in f²** and the lower head by more cents. It comes and goes about a mean
  (Ornstein-Uhlenbeck process): over t days its value w becomes w·e^(−t/τ) plus noise of variance
  σ²·(1 − e^(−2t/τ)). From the film's thermal expansion (1.7e-5 per K, maker's bulletin H-37232-3) 10 K are
  29 cents at 200 Hz on a steel shell, 71 on a wooden one, less what hoops and rods give way; σ stands for a
  few kelvin.
- Temperature. Where it is written down, a kelvin changes y of both heads by h Hz², which is learned. A shell
  that grows α_s per K under film that grows α_f makes h ≤ E/((1 − ν)·ρ)·(j01/(π·D))²·(α_s − α_f): on 14 in
  316 Hz² downward for wood (5e-6) and 158 upward for aluminium (2.3e-5; both from memory). Hoops and rods
  take part of it.
- The rest: a random walk, small for film, large for calf (`prior.STUFF`).
"""

import math

CREEP_CENTS, CREEP_CENTS_SD = 2.5, 2.5
"""Fall of a film head for each e-fold of 1 + age in days, in cents."""

WEATHER_HZ2, WEATHER_DAYS = 650.0, 5.0
"""Standard deviation σ of the weather on a 14 in drum in Hz² (12 cents at 220 Hz) and its time τ in days."""

KELVIN_HZ2 = 120.0
"""Standard deviation of h on a 14 in drum, in Hz² per K; its mean is 0 (judgement)."""

_RAISE_THAT_RENEWS = 0.25
"""Raising the head by so many turns starts its creep anew; less does so in proportion (judgement)."""


def creep_span(*, since: float, day: float, until: float) -> float:
    """Return ln(1 + v) − ln(1 + u) for the ages on *day* and *until* of a head raised on the day *since*."""
    return math.log1p(max(until - since, 0.0)) - math.log1p(max(day - since, 0.0))


def renewed(*, since: float, day: float, raised: float) -> float:
    """Return the day that creep counts from after the head was raised by *raised* turns on *day*."""
    share = min(max(raised, 0.0) / _RAISE_THAT_RENEWS, 1.0)
    return since + share * max(day - since, 0.0)


def weather_keeps(days: float) -> float:
    """Return the share e^(−t/τ) of today's weather that is left after *days*."""
    return math.exp(-max(days, 0.0) / WEATHER_DAYS)
