"""What listening must reach on computed strokes that nothing was tuned on: the limits of the bench."""

from types import ModuleType
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.bench.listening import Result, Tally

    Results = dict[str, Result]

pytestmark = pytest.mark.long

TARGETS = ("near", "alone")
"""With a target known to 60 cents, and without one."""


@pytest.fixture(scope="module")
def results(listening: ModuleType) -> "Results":
    """The whole bench, as the script runs it, the other trackers on a few strokes of each group."""
    measured: Results = listening.measured(their_cases=2)
    return measured


@pytest.fixture(scope="module")
def strokes(listening: ModuleType, drums: ModuleType, results: "Results") -> "dict[str, Tally]":
    """All strokes together, with a target and without."""
    return {
        target: listening.together(getattr(results[group], target) for group in drums.STROKES)
        for target in TARGETS
    }


@pytest.mark.parametrize("target", TARGETS)
def test_nearly_all_strokes_are_read_within_three_cents(strokes: "dict[str, Tally]", target: str) -> None:
    assert strokes[target].within(3) >= 0.92


@pytest.mark.parametrize("target", TARGETS)
def test_hardly_any_stroke_is_taken_for_another_pitch(strokes: "dict[str, Tally]", target: str) -> None:
    assert strokes[target].gross <= 0.01


@pytest.mark.parametrize("target", TARGETS)
def test_hardly_any_stroke_is_missed(strokes: "dict[str, Tally]", target: str) -> None:
    assert strokes[target].missing <= 0.02


@pytest.mark.parametrize("target", TARGETS)
def test_the_stated_uncertainty_is_true(strokes: "dict[str, Tally]", target: str) -> None:
    """The error lies within twice the stated standard deviation in 90 to 99 % of answers."""
    assert 0.90 <= strokes[target].covered <= 0.99


@pytest.mark.parametrize("target", TARGETS)
@pytest.mark.parametrize("noise", ["white 40 dB", "white 20 dB", "white 10 dB"])
def test_the_error_is_near_the_bound(results: "Results", noise: str, target: str) -> None:
    tally: Tally = getattr(results[noise], target)

    assert tally.over_bound <= 1.5


def test_what_is_no_drum_is_refused(results: "Results") -> None:
    """Neither with a target nor without; plucked strings and forks are counted, and not asked for."""
    tallies = {group: both for group, both in results.items() if group.startswith("no drum")}

    assert len(tallies) > 20
    assert [group for group, both in tallies.items() if both.alone.heard + both.near.heard] == []


def test_listening_takes_a_small_part_of_the_time_that_playing_takes(strokes: "dict[str, Tally]") -> None:
    """Ten times real time per second of the processor, with coverage being measured; more without."""
    for tally in strokes.values():
        assert tally.times_real_time >= 10


def test_another_head_that_rings_is_said(listening: ModuleType, strokes: "dict[str, Tally]") -> None:
    """Free, it is said in nine cases of ten; damped, it is said to be free in one of twenty at most."""
    both: Tally = listening.together(strokes.values())
    said, asked = both.said_free, both.asked_free

    assert said[True] >= 0.90 * asked[True]
    assert said[False] <= 0.05 * asked[False]


def test_other_trackers_are_not_near_it(listening: ModuleType, results: "Results") -> None:
    """Each of the other trackers reads fewer strokes within 10 cents, without a target too."""
    for name in listening.TRACKERS:
        theirs = listening.together(result.theirs[name] for result in results.values())
        ours = listening.together(result.alone for result in results.values())

        assert theirs.strokes > 20
        assert theirs.within(10) < ours.within(10)
