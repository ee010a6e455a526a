"""The order of the rods: sourced orders and what holds for every count."""

import itertools
import math
from collections.abc import Callable
from typing import Any

import pytest

from lugbook.errors import BadValue
from lugbook.turns.orders import MOST_RODS, star_order

Rows = Callable[[str], list[dict[str, Any]]]

ALL = range(MOST_RODS + 1)
EVEN = range(2, MOST_RODS + 1, 2)
ODD = range(3, MOST_RODS + 1, 2)


def test_orders_are_those_of_the_trade(rows: Rows) -> None:
    for row in rows("turns_orders"):
        assert tuple(row["order"]) == star_order(row["rods"])


@pytest.mark.parametrize("rods", ALL)
def test_each_rod_is_turned_once(rods: int) -> None:
    assert sorted(star_order(rods)) == list(range(1, rods + 1))


@pytest.mark.parametrize("rods", EVEN)
def test_every_second_rod_is_opposite_the_one_before(rods: int) -> None:
    order = star_order(rods)
    assert all((b - a) % rods == rods // 2 for a, b in zip(order[::2], order[1::2], strict=True))


@pytest.mark.parametrize("rods", EVEN)
def test_after_each_pair_the_head_is_pulled_evenly(rods: int) -> None:
    """The rods turned so far, as arrows from the centre, add up to nothing."""
    order = star_order(rods)
    for done in range(2, rods + 1, 2):
        angles = [2 * math.pi * rod / rods for rod in order[:done]]
        assert abs(sum(map(math.cos, angles))) < 1e-9
        assert abs(sum(map(math.sin, angles))) < 1e-9


@pytest.mark.parametrize("rods", ODD)
def test_odd_counts_skip_round_by_half(rods: int) -> None:
    """Common practice, no source: each step goes on by half the count, rounded down."""
    order = star_order(rods)
    assert {(b - a) % rods for a, b in itertools.pairwise(order)} == {rods // 2}


@pytest.mark.parametrize("rods", range(1, MOST_RODS + 1))
def test_rod_one_is_first(rods: int) -> None:
    assert star_order(rods)[0] == 1


@pytest.mark.parametrize("rods", [-1, 25])
def test_counts_that_no_drum_has_are_refused(rods: int) -> None:
    with pytest.raises(BadValue, match="rods"):
        star_order(rods)
