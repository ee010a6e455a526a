"""Judgments: contradictions against a general sorter, circles of three against the published count."""

import graphlib
import itertools
import tomllib
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.trials import Judgment, contradictions
from lugbook.trials.grid import Place
from lugbook.trials.judgments import Verdict, circular_triads

places = st.tuples(st.integers(0, 3), st.integers(0, 1))
verdicts = st.sampled_from(["better", "worse", "same"])


def over(better: Place, worse: Place) -> Judgment:
    return Judgment(better, worse, "better")


@given(st.lists(st.tuples(places, places, st.sampled_from(["better", "worse"])), max_size=14))
def test_a_contradiction_is_a_circle_of_the_standard_library(
    told: list[tuple[Place, Place, Verdict]],
) -> None:
    """`graphlib` (Python's standard library) sorts what has no circle, and refuses what has one."""
    judgments = [Judgment(*one) for one in told if one[0] != one[1]]
    sorter: graphlib.TopologicalSorter[Place] = graphlib.TopologicalSorter()
    for better, worse in (one.order for one in judgments if one.order is not None):
        sorter.add(better, worse)
    try:
        sorter.prepare()
        circle = False
    except graphlib.CycleError:
        circle = True

    assert bool(contradictions(judgments)) == circle


def test_states_that_speak_alike_share_what_is_said_of_them() -> None:
    """A is like B, B over C, C over A."""
    a, b, c = (0, 0), (1, 0), (2, 0)
    told = [Judgment(a, b, "same"), over(b, c), over(c, a)]

    assert contradictions(told) == (tuple(told),)
    assert contradictions(told[:2]) == ()


def test_better_and_worse_of_one_pair_contradict() -> None:
    told = [Judgment((1, 0), (0, 0), "better"), Judgment((1, 0), (0, 0), "worse")]

    assert contradictions(told) == (tuple(told),)


def test_two_circles_are_two_contradictions() -> None:
    first = [over((0, 0), (1, 0)), over((1, 0), (0, 0))]
    second = [over((5, 0), (6, 0)), over((6, 0), (7, 0)), over((7, 0), (5, 0))]

    assert contradictions([*first, over((0, 0), (5, 0)), *second]) == (tuple(first), tuple(second))


@given(st.permutations(range(6)), st.lists(st.booleans(), min_size=15, max_size=15))
def test_circles_of_three_are_as_many_as_kendall_and_babington_smith_count(
    order: list[int], flipped: list[bool]
) -> None:
    """n(n − 1)(2n − 1)/12 − ½Σw² where each of n states was held against each other (1940, from memory)."""
    wins = dict.fromkeys(order, 0)
    told = []
    for (one, other), flip in zip(itertools.combinations(order, 2), flipped, strict=True):
        better, worse = (other, one) if flip else (one, other)
        wins[better] += 1
        told.append(over((better, 0), (worse, 0)))
    n = len(order)

    assert circular_triads(told) == n * (n - 1) * (2 * n - 1) / 12 - sum(w * w for w in wins.values()) / 2


def test_circles_of_three_by_how_many_each_is_better_than() -> None:
    """In every tournament in which the states are better than so many of the others."""
    file = Path(__file__).parent.parent / "reference" / "trials.toml"
    rows = tomllib.loads(file.read_text(encoding="utf-8"))["circles"]
    assert len(rows) >= 5
    for row in rows:
        wanted = row["better_than"]
        pairs = list(itertools.combinations(range(len(wanted)), 2))
        found = 0
        for flipped in itertools.product([False, True], repeat=len(pairs)):
            told = [
                over((b, 0), (a, 0)) if flip else over((a, 0), (b, 0))
                for (a, b), flip in zip(pairs, flipped, strict=True)
            ]
            better = Counter(one.order[0][0] for one in told if one.order is not None)
            if [better[n] for n in range(len(wanted))] == wanted:
                found += 1
                assert circular_triads(told) == row["circles"]
                assert bool(contradictions(told)) == bool(row["circles"])
        assert found


def test_one_order_has_no_circle() -> None:
    told = [over((one, 0), (other, 0)) for one, other in itertools.combinations(range(7), 2)]

    assert circular_triads(told) == 0
    assert contradictions(told) == ()


@pytest.mark.parametrize("length", [3, 2_000])
def test_a_circle_of_any_length_is_found(length: int) -> None:
    """Without recursion: a logbook may be long."""
    told = [over((one, 0), ((one + 1) % length, 0)) for one in range(length)]

    assert contradictions(told) == (tuple(told),)
