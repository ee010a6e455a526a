"""How near a head comes when it is brought back by turns alone, learned from the returns of the past.

Problem: a model says that a head will land *bias* cents off its target, give or take a standard deviation.
How far should that be believed of this drum, these rods and this hand? A **return** tells: a head was read at
a position, turned away, turned back to the same position, and read again; nothing but the hand, the days and
the two readings explains how far apart the pitches d lie.

Model: d ~ N(0, v) with

    v = r + h·H + g·G

r the variance of both readings; H = n·(σ·b)² that of n turns made by hand, each out by σ turns of b cents;
G that of the days between: weather, which is alike in f² and is forgotten with time (`drift`), the wandering
rest, and creep. h and g say how this drum's hand and days compare with what is usual; both are 1 before any
return. Each takes one step of Fisher scoring from there,

    h = (ν + Σ H·(d² − r − G)/v²) / (ν + Σ (H/v)²),    v at h = g = 1,

and g likewise with h known, so that a return counts by how much it can tell: one within the hour tells of the
hand, one after weeks of the days. The prior (an inverse gamma with mode near 1) is worth ν returns that tell
of one part alone. The expected square of the error is then

    error² = bias² + sd² + h·H − H' + (g − 1)·G

with H and G of the change at hand, and H' that part of H which the model's sd has counted.

Conventions: cents, turns of all rods, days; positions are (top, bottom), in turns from running counts.

Sources:
    Scoring for variance components: S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992),
    chapter 6, from memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.turns.drift import CREEP_CENTS, CREEP_CENTS_SD, WEATHER_HZ2, weather_keeps
from lugbook.turns.prior import STUFF, USUAL_IN, Material
from lugbook.turns.squares import SLACK_HZ, cents_of

_PRIOR_RETURNS = 3.0
"""So many returns is the model's own belief worth (judgement)."""

_LEAST, _MOST = 0.5, 25.0
"""No hand and no room is held to scatter less than 0.7 or more than 5 times the usual (judgement)."""

_SLIP_CENTS, _SLIP_SD = 100.0, 5.0
"""Pitches further apart than both of these are no return: a turn was not written down, or is another mode."""

_LEAST_SHARE = 0.25
"""What is left of the model's variance at the least: half its standard deviation."""


@dataclass(frozen=True, slots=True)
class Visit:
    """The drum at one position: a turn that led there, or pitches that were read there."""

    day: float
    """In days from any fixed start."""
    position: tuple[float, float]
    """Turns of top and bottom."""
    hz: tuple[float | None, float | None] = (None, None)
    """Pitches in Hz; None for a head that was not read."""
    sd_cents: tuple[float, float] = (0.0, 0.0)
    """Standard uncertainty of each pitch."""
    kept: bool = False
    """A preset's pitches, which stand for a visit that the log does not hold."""


@dataclass(frozen=True, slots=True)
class Film:
    """What the days do to one head."""

    hz: float
    """Its pitch in Hz."""
    cents_per_turn: float
    """How far a turn moves it."""
    diameter_in: float
    material: Material = "film"

    def hand_cents2(self, turns: float, *, key_turns: float) -> float:
        """Return the variance of so many *turns* made by hand, each out by *key_turns*, in cents²."""
        return turns * (key_turns * self.cents_per_turn) ** 2

    def days_cents2(self, days: float) -> float:
        """Return the variance of the pitch against itself after *days*, in cents²."""
        days, stuff = max(days, 0.0), STUFF[self.material]
        weather_hz2 = WEATHER_HZ2 * (USUAL_IN / self.diameter_in) ** 2
        weather = cents_of(weather_hz2, at=max(self.hz, SLACK_HZ) ** 2) ** 2 * 2 * (1 - weather_keeps(days))
        creep = (CREEP_CENTS**2 + CREEP_CENTS_SD**2) * (stuff.creep * math.log1p(days)) ** 2
        return weather + stuff.rest_cents**2 * days + creep


@dataclass(frozen=True, slots=True)
class Return:
    """One return of one head by turns."""

    cents: float
    """The pitch now against the pitch then."""
    read_cents2: float
    """Variance of both readings, in cents²."""
    turns: int
    """How many times the head was turned between them."""
    days: float
    """How many days lie between them."""


@dataclass(frozen=True, slots=True)
class Scatter:
    """What the returns of one head say of the hand and of the days."""

    hand: float = 1.0
    """Variance of a turn by hand against what is usual: h."""
    days: float = 1.0
    """Variance of the days against what is usual: g."""
    returns: int = 0
    """How many returns it rests on."""


def returns_among(visits: Sequence[Visit], head: int) -> tuple[Return, ...]:
    """Return the returns of one *head* (0 top, 1 bottom) among *visits*, which are in order.

    Both heads must stand where they stood, as each moves the other a little; and the head itself must have
    been turned between the two readings. A pitch is compared with the last one before the head left.
    """
    found: list[Return] = []
    for now, visit in enumerate(visits):
        pitch = visit.hz[head]
        if pitch is None or visit.kept:
            continue
        turned, where = 0, visit.position[head]
        for then in range(now - 1, -1, -1):
            before = visits[then]
            if not before.kept:
                turned += before.position[head] != where
                where = before.position[head]
            there = before.hz[head]
            if before.position != visit.position or there is None:
                continue
            if before.kept and where != before.position[head]:
                turned += 1
            if turned:
                read = before.sd_cents[head] ** 2 + visit.sd_cents[head] ** 2
                apart = 1200 * math.log2(pitch / there)
                found.append(Return(apart, read, turned, visit.day - before.day))
            break
    return tuple(found)


def scatter_of(returns: Sequence[Return], film: Film, *, key_turns: float) -> Scatter:
    """Return what *returns* of a head like *film* say of the hand and of the days.

    A pair of pitches that is a slip (`_SLIP_CENTS`) tells of neither.

    Args:
        returns: of one head.
        film: the head.
        key_turns: what a turn by hand is usually out by (standard deviation), in turns.
    """
    parts = [
        (
            one.cents**2,
            one.read_cents2,
            film.hand_cents2(one.turns, key_turns=key_turns),
            film.days_cents2(one.days),
        )
        for one in returns
    ]
    parts = [one for one in parts if one[0] <= max(_SLIP_CENTS**2, _SLIP_SD**2 * sum(one[1:]))]
    h = _scored([(hand, square - read - days, read + hand + days) for square, read, hand, days in parts])
    g = _scored(
        [(days, square - read - h * hand, read + h * hand + days) for square, read, hand, days in parts]
    )
    return Scatter(h, g, len(parts))


def _scored(terms: Sequence[tuple[float, float, float]]) -> float:
    """Return one factor from (variance it scales, square left for it, whole variance) of each return."""
    gain = _PRIOR_RETURNS + sum(part * left / whole**2 for part, left, whole in terms if whole)
    weight = _PRIOR_RETURNS + sum((part / whole) ** 2 for part, _, whole in terms if whole)
    return min(max(gain / weight, _LEAST), _MOST)


def turns_unheard(visits: Sequence[Visit], head: int, *, to: float) -> tuple[int, float | None]:
    """Return how often a *head* is turned from its last reading until it stands at *to*, and the day of that.

    The day is None where it was never read. The turn that leads to *to* counts, where there is one.
    """
    turned, where = 0, to
    for visit in reversed(visits):
        if visit.kept:
            continue
        turned += visit.position[head] != where
        where = visit.position[head]
        if visit.hz[head] is not None:
            return turned, visit.day
    return turned, None


def error_cents(bias_cents: float, sd_cents: float) -> float:
    """Return the root mean square of an error with this mean and standard deviation, in cents.

    Example:
        >>> error_cents(3.0, 4.0)
        5.0
    """
    return math.hypot(bias_cents, sd_cents)


def corrected_sd_cents(
    sd_cents: float,
    scatter: Scatter,
    *,
    hand_cents2: float,
    counted_cents2: float,
    days_cents2: float,
) -> float:
    """Return the model's *sd_cents* as the returns of the past correct it (module text).

    Args:
        sd_cents: what the model says, for a hand and days as usual.
        scatter: what the returns say.
        hand_cents2: the part H of this change, in cents².
        counted_cents2: so much of H as the model has counted: it takes several turns unheard for one.
        days_cents2: the part G of this change, in cents².
    """
    variance = sd_cents**2 + scatter.hand * hand_cents2 - counted_cents2 + (scatter.days - 1) * days_cents2
    return math.sqrt(max(variance, _LEAST_SHARE * sd_cents**2))


def chance_within(bias_cents: float, sd_cents: float, *, tolerance_cents: float) -> float:
    """Return the probability that a normal error with this mean and sd stays inside ±*tolerance_cents*.

    Example:
        >>> round(chance_within(0.0, 10.0, tolerance_cents=10.0), 4)
        0.6827
    """
    if sd_cents <= 0:
        return float(abs(bias_cents) <= tolerance_cents)
    low, high = (
        math.erf((edge - bias_cents) / (sd_cents * math.sqrt(2)))
        for edge in (-tolerance_cents, tolerance_cents)
    )
    return (high - low) / 2
