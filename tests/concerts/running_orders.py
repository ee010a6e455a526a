"""Running orders drawn at random, and the best of each found by trying every one."""

from dataclasses import dataclass
from itertools import product
from math import inf

import numpy as np

from lugbook.concerts import Option, Piece, Work

LEFT_OUT, TOO_LONG = 1e9, 1e5


@dataclass(frozen=True)
class Drawn:
    """A running order, and what its changes take."""

    pieces: tuple[Piece, ...]
    changes: dict[tuple[str, str, str], Work | None]

    def change_s(self, drum: str, begun: str, reached: str) -> Work | None:
        return self.changes[drum, begun, reached]


def drawn(
    seed: int,
    *,
    pieces: int,
    drums: int,
    presets: int,
    tight: float = 1.0,
    share: float = 0.35,
    twice: float = 0.0,
) -> Drawn:
    """Draw a running order.

    Args:
        seed: of the random numbers.
        pieces: so many.
        drums: so many.
        presets: so many of each drum.
        tight: what the windows are multiplied by.
        share: of all states, those that serve a piece.
        twice: of all pieces, the share that needs a second drum.
    """
    rng = np.random.default_rng(seed)
    states = [(f"drum{d}", f"preset{p}") for d, p in product(range(drums), range(presets))]
    changes: dict[tuple[str, str, str], Work | None] = {}
    for drum in range(drums):
        for one, other in product(range(presets), repeat=2):
            takes = Work(float(rng.integers(20, 150)), risk=float(rng.choice([0, 0, 10, 40])))
            changes[f"drum{drum}", f"preset{one}", f"preset{other}"] = takes if rng.random() < 0.9 else None

    def options() -> tuple[Option, ...]:
        return tuple(
            Option(*state, cost=float(rng.choice([0, 0, 5, 10, 30])))
            for state in states
            if rng.random() < share
        )

    return Drawn(
        tuple(
            Piece(
                f"piece {number}",
                options(),
                after_s=float(rng.choice([0, 20, 40, 60, 90, 120, 300])) * tight,
                rests_s=tuple(
                    float(one) * tight for one in rng.choice([30, 60, 100], size=rng.integers(0, 2))
                ),
                also=(options(),) if rng.random() < twice else (),
                tacet=bool(rng.random() < 0.1),
            )
            for number in range(pieces)
        ),
        changes,
    )


@dataclass(frozen=True, order=True)
class Best:
    """How good a running order is; the least is the best."""

    gives: bool
    """Whether something has to give."""
    nearest: float
    """What is left out and too long, where something has to give."""
    cost: float


def best_of(
    order: Drawn, *, drums_most: int | None = None, changes_most: int | None = None, drum_s: float = 0.0
) -> Best:
    """Return how good the best plan is: every choice of states is tried, for each every choice of windows.

    Nothing here is shared with the planner but the meaning of its words.
    """
    needs = [(i, options) for i, piece in enumerate(order.pieces) for options in piece.needs if options]
    windows: list[tuple[int, float]] = []  # (twice the piece, and one more for the pause after it), seconds
    for i, piece in enumerate(order.pieces):
        windows += [(2 * i, seconds) for seconds in piece.rests_s]
        windows.append((2 * i + 1, piece.after_s))
    best = Best(gives=True, nearest=inf, cost=inf)
    for choice in product(*([*options, None] for _, options in needs)):
        used = {one.drum for one in choice if one is not None}
        if drums_most is not None and len(used) > drums_most:
            continue
        left_out = sum(one is None for one in choice) * LEFT_OUT
        cost = sum(one.cost for one in choice if one is not None) + drum_s * len(used)
        wanted = _changes_of(order, needs, choice)
        if wanted is None or (changes_most is not None and len(wanted) > changes_most):
            continue
        cost += sum(change.seconds + change.risk for change, _, _ in wanted)
        if Best(gives=left_out > 0, nearest=left_out + cost if left_out else 0, cost=cost) < best:
            gives = left_out + _least_too_long([(c.seconds, a, b) for c, a, b in wanted], windows)
            # Where something gives, what gives and what it costs are weighed against each other.
            best = min(best, Best(gives=gives > 0, nearest=gives + cost if gives else 0, cost=cost))
    return best


def _changes_of(
    order: Drawn, needs: list[tuple[int, tuple[Option, ...]]], choice: tuple[Option | None, ...]
) -> list[tuple[Work, int, int]] | None:
    """Return each change with the pieces that it lies between; None where there is none."""
    last: dict[str, tuple[int, str]] = {}
    wanted = []
    for (piece, _), option in zip(needs, choice, strict=True):
        if option is None:
            continue
        if option.drum in last:
            before, preset = last[option.drum]
            if before == piece:
                return None
            if preset != option.preset:
                change = order.change_s(option.drum, preset, option.preset)
                if change is None:
                    return None
                wanted.append((change, before, piece))
        last[option.drum] = (piece, option.preset)
    return wanted


def _least_too_long(wanted: list[tuple[float, int, int]], windows: list[tuple[int, float]]) -> float:
    places = [
        [w for w, (at, _) in enumerate(windows) if 2 * before < at < 2 * piece] for _, before, piece in wanted
    ]
    least = inf
    for choice in product(*places):
        loads: dict[int, float] = {}
        for (seconds, _, _), window in zip(wanted, choice, strict=True):
            loads[window] = loads.get(window, 0.0) + seconds
        least = min(least, sum(max(0.0, load - windows[w][1]) for w, load in loads.items()) * TOO_LONG)
    return least
