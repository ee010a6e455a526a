"""How near the planner of concerts comes to the best, and how its time grows with the concert.

Running orders are drawn at random (`tests/concerts/running_orders.py`). Twelve pieces on four drums of four
presets each are to be proven; forty are held against the bound that the planner proves. Times are ratios in
one run.

`python -m tests.bench.test_plans [concerts]` prints the table.
"""

import sys
import time
from collections.abc import Sequence
from statistics import median

import pytest
from tests.concerts.running_orders import Drawn, drawn

from lugbook.concerts import Plan, plan

SIZES = {
    "6 × 3 × 3": (6, 3, 3),
    "12 × 4 × 4": (12, 4, 4),
    "40 × 8 × 6": (40, 8, 6),
}
"""Pieces, drums, presets of each."""

SHARES = (0.35, 0.2, 0.1)
"""Of all states, those that serve a piece."""


def orders(size: str, number: int) -> list[Drawn]:
    pieces, drums, presets = SIZES[size]
    return [
        drawn(
            seed,
            pieces=pieces,
            drums=drums,
            presets=presets,
            tight=(1.0, 0.5)[seed % 2],
            share=SHARES[seed % len(SHARES)],
        )
        for seed in range(number)
    ]


def planned(order: Drawn) -> Plan:
    return plan(order.pieces, change_s=order.change_s)


def left_to_prove(plans: Sequence[Plan]) -> list[float]:
    """Return how far each may be from the best, where every change fits."""
    return [one.cost - one.bound for one in plans if not one.short]


@pytest.mark.long
def test_twelve_pieces_are_proven_and_forty_come_near() -> None:
    assert all(planned(one).exact for one in orders("12 × 4 × 4", 30))

    far = left_to_prove([planned(one) for one in orders("40 × 8 × 6", 6)])
    assert len(far) > 3
    assert median(far) < 200  # seconds of work, risk and second choices, over forty pieces


def main() -> None:
    """Print how many were proven, how far the others may be from the best, and the ratios of time."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    times = {}
    write = sys.stdout.write
    write("pieces × drums × presets   proven     left to prove   time\n")
    for size in ("12 × 4 × 4", "6 × 3 × 3", "40 × 8 × 6"):
        few = orders(size, number)
        begun = time.perf_counter()
        plans = [planned(one) for one in few]
        times[size] = time.perf_counter() - begun
        proven, left = sum(one.exact for one in plans), max(left_to_prove(plans), default=0.0)
        ratio = times[size] / times["12 × 4 × 4"]
        write(f"{size:24}   {proven:2} of {number:<3}   {left:9.0f} s   {ratio:.2g}\n")


if __name__ == "__main__":
    main()
