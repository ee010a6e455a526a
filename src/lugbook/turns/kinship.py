"""What other drums tell of one that has not been turned yet.

Drums that one player or section owns answer alike in part: makers, hoops and heads are the same. What can be
alike is the share e that hoop and collar leave of the slope that film and thread allow (see `prior`), which
depends on neither pitch nor size. Of drum i the logbook gives r_i = ln e_i with the standard deviation s_i.
All drums scatter about a common mean μ, of which little is believed before any is known:

    r_i ~ N(μ, τ² + s_i²),   μ ~ N(μ₀, σ²)

so that 1/v = 1/σ² + Σ 1/(τ² + s_i²) and m = v·(μ₀/σ² + Σ r_i/(τ² + s_i²)), and a drum that was never turned
has r ~ N(m, τ² + v): never surer than drums differ among each other.

Source: the normal hierarchical model with known variances, Gelman et al., Bayesian Data Analysis (3rd ed.
2013), section 5.4, from memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lugbook.turns.prior import CENTS_PER_TURN, USUAL_HZ, USUAL_IN, USUAL_THREAD_MM, HeadPrior, slope_limit
from lugbook.turns.squares import spread_of

AMONG_SD, COMMON_SD = 0.28, 0.5
"""Standard deviations τ among the drums of one shelf, and σ of what they share (judgement)."""

COMMON_LOG_SHARE = math.log(
    spread_of(CENTS_PER_TURN, at=USUAL_HZ**2) / slope_limit(diameter_in=USUAL_IN, thread_mm=USUAL_THREAD_MM)
)
"""μ₀: the usual drum at its usual pitch."""

LEAST_DRUMS = 2
"""One drum tells nothing of how drums differ (judgement)."""


@dataclass(frozen=True)
class Kin:
    """What other drums tell of one head of an unknown drum."""

    log_share: float = COMMON_LOG_SHARE
    """Mean of r."""
    sd: float = math.hypot(AMONG_SD, COMMON_SD)
    """Standard deviation of r."""
    drums: int = 0
    """How many drums that rests on; 0 where there are too few to tell."""


def kin_of(others: Sequence[tuple[float, float]]) -> Kin:
    """Return what *others* tell: r and its standard deviation (0 or more) of each drum.

    Example:
        >>> kin_of([]) == Kin()
        True
    """
    if len(others) < LEAST_DRUMS:
        return Kin()
    precision, weighted = COMMON_SD**-2, COMMON_LOG_SHARE * COMMON_SD**-2
    for log_share, sd in others:
        own = 1 / (AMONG_SD**2 + sd**2)
        precision, weighted = precision + own, weighted + own * log_share
    return Kin(weighted / precision, math.sqrt(AMONG_SD**2 + 1 / precision), len(others))


def akin(prior: HeadPrior, kin: Kin) -> HeadPrior:
    """Return *prior* with its slope as other drums tell it."""
    if not kin.drums:
        return prior
    slope = prior.slope_limit * math.exp(kin.log_share)
    return replace(prior, slope=slope, slope_sd=slope * kin.sd)


def log_share(slope: float, sd: float, *, prior: HeadPrior) -> tuple[float, float]:
    """Return r of a head whose *slope* (above 0) is known to *sd*, both in Hz² per turn; and its own sd."""
    return math.log(slope / prior.slope_limit), sd / slope
