"""What is believed of a head before any of its turns has been read.

No figure for the pitch of a quarter turn has been published. Players agree on some tens of cents to a
semitone or two (common practice, no source). Two things bound and scale it:

- Slope. The film's strain per turn is at most d/R (thread travel d, radius R), and f² = (j01/(π·D))²·σ/ρ
  for film stress σ and density ρ, so for Young's modulus E and Poisson's ratio ν

      d(f²)/d(turn) ≤ E/((1 − ν)·ρ) · d/R · (j01/(π·D))²

  whatever the film's thickness: 39 200 Hz² for a quarter turn on 14 in with 12-24 rods. Hoop, rods and collar
  take up most of it. A slope beyond the bound means that the turns were miscounted.
- Cents. Nobody knows the share that hoop and collar take. The slope in cents per turn depends on the pitch it
  starts from, so the belief is held in cents per turn and becomes a slope in Hz² when the head's first pitch
  is known. Drums of one make are tuned to about one film stress (f ∝ 1/D), which leaves cents per turn ∝ d/D.
  A slope that an earlier head or other drums tell is believed in Hz², which no pitch changes.

Sources:
    Polyester film: maker's bulletin H-37232-3 (E 4.8 and 5.0 GPa, ν 0.38, ρ 1390 kg/m³). j01 = 2.40483:
    Abramowitz & Stegun 1964, table 9.5. 12-24 UNC: 24 threads to the inch.
"""

import math
from dataclasses import dataclass
from typing import Literal

from lugbook.errors import BadValue
from lugbook.turns.squares import spread_of

Material = Literal["film", "aramid", "calf"]
"""What a head is made of."""

_MM_PER_IN = 25.4
_J01_OVER_PI = 0.7654797
_MODULUS, _POISSON, _DENSITY = 4.9e9, 0.38, 1390.0

USUAL_IN, USUAL_THREAD_MM = 14.0, _MM_PER_IN / 24
"""The drum that the figures below are stated for: 14 in with 12-24 rods."""

CENTS_PER_TURN, CENTS_PER_TURN_SD = 300.0, 110.0
"""Belief for the usual drum: a quarter turn moves the pitch by 75 ± 28 cents (common practice)."""

CROSS_SHARE, CROSS_SHARE_SD = 0.05, 0.05
"""A turn of the other head moves this head by so much of its own slope (judgement; shell and hoops give)."""

USUAL_HZ, USUAL_MIL, PITCH_SD_CENTS = 250.0, 10.0, 500.0
"""A 10 mil head on 14 in sounds about a B3; thinner heads are tuned higher (common practice, no source)."""

_LEAST_SHARE_OF_LIMIT = 0.01
"""A slope below this share of the bound means turns that did not reach the head, or the wrong sign."""


@dataclass(frozen=True)
class Stuff:
    """How a material differs from polyester film; factors, all judgement from common practice."""

    limit: float
    """Bound of the slope against film's."""
    creep: float
    """Creep against film's."""
    rest_cents: float
    """Standard deviation of what wanders in a day without a known reason, in cents."""


STUFF: dict[Material, Stuff] = {
    "film": Stuff(limit=1.0, creep=1.0, rest_cents=1.0),
    # Woven aramid is several times stiffer than polyester and hardly creeps (from memory).
    "aramid": Stuff(limit=4.0, creep=0.3, rest_cents=1.0),
    # Skin follows the damp of the air within hours.
    "calf": Stuff(limit=1.0, creep=1.0, rest_cents=60.0),
}


@dataclass(frozen=True)
class HeadPrior:
    """What is believed of one head before its first reading."""

    diameter_in: float
    """Diameter in inches."""
    thread_mm: float
    """Travel of a rod per turn in mm."""
    hz: float
    """A guess of its pitch in Hz, good to `PITCH_SD_CENTS`."""
    cents_per_turn: float
    """Mean of its own slope at its first pitch, in cents per turn."""
    cents_per_turn_sd: float
    """Standard deviation of that."""
    slope_limit: float
    """What film and thread allow at the most, in Hz² per turn."""
    stuff: Stuff
    """What it is made of."""
    slope: float | None = None
    """Its own slope in Hz² per turn, where the head before it or other drums tell it: it holds at any pitch,
    and the cents above count for nothing then."""
    slope_sd: float = 0.0
    """Standard deviation of that."""

    def slope_at(self, square: float) -> tuple[float, float]:
        """Return what is believed of its slope at the pitch f² = *square* (Hz²), and the standard deviation.

        Both in Hz² per turn, the slope within what film and thread allow, the deviation at most the slope.
        """
        mean, sd = self.slope, self.slope_sd
        if mean is None:
            mean = spread_of(self.cents_per_turn, at=square)
            sd = spread_of(self.cents_per_turn_sd, at=square)
        mean = min(max(mean, self.slope_floor), self.slope_limit)
        return mean, min(sd, mean)

    @property
    def slope_floor(self) -> float:
        """What a turn does at the least, in Hz² per turn."""
        return self.slope_limit * _LEAST_SHARE_OF_LIMIT


def slope_limit(*, diameter_in: float, thread_mm: float) -> float:
    """Return the most that one turn of all rods can raise f² of a film head, in Hz² per turn.

    Args:
        diameter_in: diameter of the head in inches, above 0.
        thread_mm: travel of a rod per turn in mm, above 0.

    Example:
        >>> round(slope_limit(diameter_in=14, thread_mm=25.4 / 24) / 4, -2)
        39200.0
    """
    diameter_mm = diameter_in * _MM_PER_IN
    strain = thread_mm / (diameter_mm / 2)
    return _MODULUS / ((1 - _POISSON) * _DENSITY) * strain * (_J01_OVER_PI / (diameter_mm / 1000)) ** 2


def head_prior(*, diameter_in: float, thread_mm: float, film_mil: float, material: Material) -> HeadPrior:
    """Return what is believed of a head of this size, thread and film.

    Raises:
        BadValue: a size out of range (6 to 40 in, 0.2 to 3 mm, 0 to 60 mil) or an unknown material.
    """
    for value, least, most, what, unit in (
        (diameter_in, 6.0, 40.0, "a head's diameter", "in"),
        (thread_mm, 0.2, 3.0, "the travel of a rod per turn", "mm"),
        (film_mil, 0.1, 60.0, "a head's thickness", "mil"),
    ):
        if not (math.isfinite(value) and least <= value <= most):
            raise BadValue(f"{value:g} {unit} cannot be {what}.", hint=f"Give {least:g} to {most:g} {unit}.")
    if material not in STUFF:
        raise BadValue(f"A head of {material!r} is not known.", hint=f"Use one of {', '.join(STUFF)}.")
    scale = (thread_mm / USUAL_THREAD_MM) * (USUAL_IN / diameter_in)
    return HeadPrior(
        diameter_in=diameter_in,
        thread_mm=thread_mm,
        hz=USUAL_HZ * (USUAL_IN / diameter_in) * (USUAL_MIL / film_mil) ** 0.2,
        cents_per_turn=CENTS_PER_TURN * scale,
        cents_per_turn_sd=CENTS_PER_TURN_SD * scale,
        slope_limit=slope_limit(diameter_in=diameter_in, thread_mm=thread_mm) * STUFF[material].limit,
        stuff=STUFF[material],
    )
