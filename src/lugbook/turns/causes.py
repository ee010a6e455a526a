"""Why a drum is not where its last readings and its turns put it: explanations weighed against each other.

By Bayes' rule, with d the shift of both heads (see `explanations`),

    P(explanation | d) ∝ P(explanation) · p(d | explanation) · p(what else was noticed | explanation)

A cause is named where it is likelier than `SURE`; else nobody can tell.

Source: model comparison, Bishop, Pattern Recognition and Machine Learning (2006), section 3.4, from memory.
"""

import math
from dataclasses import dataclass, replace
from typing import get_args

import numpy as np

from lugbook.turns.advice import SIDES, Side
from lugbook.turns.explanations import Cause, Explanations, Part, Seen
from lugbook.turns.response import Response

CAUSES: tuple[Cause, ...] = get_args(Cause)

PRIOR: dict[Cause, float] = {
    "nothing": 0.22,
    "crept": 0.20,
    "weather": 0.20,
    "slipped": 0.10,
    "miscounted": 0.12,
    "undamped": 0.05,
    "changed": 0.05,
    "other": 0.06,
}
"""How often each is expected before anything is read (judgement)."""

SURE = 0.65
"""A cause is named from this probability on."""

_UNEVEN = {"slipped": 0.75, "else": 0.08}
"""How often two pitches close together are heard in a head with a slipped rod, and in any other."""

_RANG = {"undamped": (0.6, 0.1), "else": (0.03, 0.6)}
"""How often a recording says that the other head rang, and that it was damped."""


@dataclass(frozen=True)
class Verdict:
    """What most likely happened."""

    cause: Cause | None
    """None where nobody can tell."""
    likely: Cause
    """The likeliest, sure or not."""
    probability: float
    """Of the likeliest, from 0 to 1."""
    side: Side | None
    """The head that it is about, where it is about one."""
    turns: float
    """Turns of the slip or the miscount, about; else 0."""


def verdict(response: Response, seen: Seen) -> Verdict | None:
    """Return why the pitches seen now are not those that the last readings and the turns since put there.

    Args:
        response: what was learned up to the readings before.
        seen: what is seen today.

    Returns:
        None where there is nothing to compare: no head was read now that was read before.
    """
    known = [hz if heard else None for hz, heard in zip(seen.hz, response.heard, strict=True)]
    if known == [None, None]:
        return None
    seen = replace(seen, hz=(known[0], known[1]))
    found = Explanations(response, seen)
    weights: dict[Cause, float] = {}
    best: dict[Cause, Part] = {}
    for cause in CAUSES:
        logs = []
        for part in found.of(cause):
            log = math.log(part.weight) + _log_density(found, part) + _log_noticed(seen, cause, part.side)
            logs.append((log, part))
        if logs:
            top = max(log for log, _ in logs)
            weights[cause] = (
                math.log(PRIOR[cause]) + top + math.log(sum(math.exp(log - top) for log, _ in logs))
            )
            best[cause] = max(logs, key=lambda one: one[0])[1]
    top = max(weights.values())
    shares = {cause: math.exp(log - top) for cause, log in weights.items()}
    likely = max(shares, key=lambda cause: shares[cause])
    probability = shares[likely] / sum(shares.values())
    sure = probability >= SURE and likely != "other"
    return Verdict(
        cause=likely if sure else None,
        likely=likely,
        probability=probability,
        side=best[likely].side,
        turns=best[likely].size,
    )


def _log_density(found: Explanations, part: Part) -> float:
    """Return the logarithm of the normal density of the shift, over the heads that were read."""
    read = found.read
    off = (found.shift - part.mean)[read]
    cov = part.cov[np.ix_(read, read)]
    _, log_det = np.linalg.slogdet(cov)
    return float(-0.5 * (off @ np.linalg.solve(cov, off) + log_det + len(read) * math.log(2 * math.pi)))


def _log_noticed(seen: Seen, cause: Cause, side: Side | None) -> float:
    """Return the logarithm of how likely what else was noticed is."""
    log = 0.0
    for head, uneven in enumerate(seen.uneven):
        if uneven is not None:
            slipped = cause == "slipped" and side == SIDES[head]
            often = _UNEVEN["slipped" if slipped else "else"]
            log += math.log(often if uneven else 1 - often)
    for rang in seen.rang:
        if rang is not None:
            log += math.log(_RANG["undamped" if cause == "undamped" else "else"][0 if rang else 1])
    return log
