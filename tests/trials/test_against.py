"""What was held against another state than the kept one; limits; one rod for both heads; many verdicts."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.errors import NotPossible
from lugbook.trials import Search, belief
from lugbook.trials.belief import Belief, Told
from lugbook.trials.grid import Pair
from lugbook.trials.judgments import Verdict
from lugbook.trials.mapping import map_of

QUARTERS = ((0.25, 0.0), (-0.25, 0.0), (0.0, 0.25), (0.0, -0.25))


def test_kept_follows_only_what_is_known_to_be_better() -> None:
    """Better than a beaten state is not yet better than the one that beat it."""
    search = Search()
    search.tell("better", position=(0.25, 0.0))
    search.tell("better", position=(0.0, 0.25), against=(0.0, 0.0))
    assert search.kept == (0.25, 0.0)

    search.tell("better", position=(0.0, 0.25))
    assert search.kept == (0.0, 0.25)


def test_a_side_that_was_never_held_against_the_kept_state_is_asked_for_again() -> None:
    search = Search()
    search.tell("better", position=(0.25, 0.0))
    search.tell("better", position=(0.25, 0.25), against=(0.0, 0.0))
    assert search.kept == (0.25, 0.0)
    assert (0.25, 0.25) in search.heard
    assert (0.25, 0.25) in search.untried

    asked = {}
    while (found := search.propose()) is not None:
        asked[found.position] = found.why
        search.tell("worse")
    assert "never held against the kept state" in asked[0.25, 0.25]


def test_a_worse_state_said_of_the_kept_one_makes_the_other_kept() -> None:
    search = Search()
    search.tell("worse", position=(0.0, 0.0), against=(0.25, 0.0))

    assert search.kept == (0.25, 0.0)
    assert (0.0, 0.0) not in search.untried


def test_what_is_better_than_an_equal_of_the_kept_state_is_kept() -> None:
    search = Search()
    search.tell("same", position=(0.25, 0.0))
    search.tell("better", position=(0.25, 0.25), against=(0.25, 0.0))

    assert search.kept == (0.25, 0.25)


def test_what_is_only_no_worse_than_the_kept_state_is_not_kept() -> None:
    search = Search()
    search.tell("same", position=(0.25, 0.0))
    search.tell("worse", position=(0.5, 0.0), against=(0.25, 0.0))

    assert search.kept == (0.0, 0.0)


def test_alike_are_neighbours_only() -> None:
    search = Search()
    search.tell("same", position=(1.0, 0.0))
    search.tell("same", position=(0.0, 0.25))

    assert search.alike == ((0.0, 0.25),)


def test_taking_back_after_a_finer_step_leaves_the_step_as_it_was() -> None:
    said, never = Search(), Search()
    for search in (said, never):
        search.tell("better", position=(0.25, 0.0))
        search.refine()
        search.tell("worse", position=(0.375, 0.0))
    said.tell("worse", position=(0.25, 0.125))
    said.undo()

    assert said.step == never.step == 0.125
    assert said.propose() == never.propose()


def test_nothing_is_held_against_itself() -> None:
    with pytest.raises(NotPossible, match="held against itself"):
        Search().tell("better", position=(0.25, 0.0), against=(0.25, 0.0))


def test_sides_past_a_limit_are_told_and_never_asked_for() -> None:
    search = Search(limits=((None, 0.0), (0.0, None)))
    assert set(search.past_limits) == {(0.25, 0.0), (0.0, -0.25)}
    asked = set()
    while (position := search.ask()) is not None:
        asked.add(position)
        search.tell("worse")

    assert asked == {(-0.25, 0.0), (0.0, 0.25)}
    assert search.settled


def test_one_rod_for_both_heads_leaves_two_neighbours() -> None:
    search = Search(together=True)
    asked = []
    while (found := search.propose()) is not None:
        asked.append(found.position)
        assert found.side == "both"
        assert found.why
        search.tell("better" if found.position[0] > search.kept[0] and found.position[0] < 0.6 else "worse")

    assert all(top == bottom for top, bottom in asked)
    assert search.kept == (0.5, 0.5)
    assert len(asked) == len(set(asked))
    assert {place for place, cell in map_of(search).cells.items() if cell.standing == "worse"} >= {
        (0.75, 0.75)
    }


def test_the_state_that_the_drum_stands_in_is_heard_first() -> None:
    for place in QUARTERS:
        search = Search()
        found = search.propose(here=place)
        assert found is not None
        assert found.position == place


def test_where_the_drum_stands_does_not_change_what_is_kept() -> None:
    search = Search()
    search.tell("worse", position=(0.25, 0.0))
    found = search.propose(here=(3.0, -2.0))

    assert found is not None
    assert search.here == (3.0, -2.0)
    assert (search.kept, search.heard) == ((0.0, 0.0), ((0.0, 0.0), (0.25, 0.0)))


@pytest.mark.parametrize("verdicts", [3, 8, belief.LATEST + 1, belief.LATEST + 12])
def test_told_at_once_or_one_by_one_it_asks_for_the_same(verdicts: int) -> None:
    """As the program does, which plays its logbook again each time; also when the oldest are left out."""
    asking, replayed = Search(step=1 / 16), Search(step=1 / 16)
    told = []
    for _ in range(verdicts):
        position = asking.ask()
        assert position is not None
        better = math.dist(position, (1.8, -1.6)) < math.dist(asking.kept, (1.8, -1.6))
        told.append((position, asking.tell("better" if better else "worse").verdict))
    for position, verdict in told:
        replayed.tell(verdict, position=position)

    assert replayed.propose() == asking.propose()


def test_verdicts_are_weighed_when_something_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A long logbook is quick to play again; of many verdicts the latest are weighed."""
    learned: list[int] = []
    learn = Belief.learn

    def counting(self: Belief, told: tuple[Told, ...]) -> None:
        learned.append(len(told))
        learn(self, told)

    monkeypatch.setattr(Belief, "learn", counting)
    search = Search()
    for step in range(1, 201):
        search.tell("better", position=(step / 4, 0.0))
    assert not learned
    assert search.ask() is not None
    assert learned == list(range(1, belief.LATEST + 1))


def test_a_verdict_that_goes_ill_together_with_the_others_is_doubted() -> None:
    """Far out up the top every step is better, but one is said to be worse, gone past on the other head."""
    search = Search()
    for step in range(1, 7):
        search.tell("better", position=(step / 4, 0.0))
    search.tell("worse", position=(1.75, 0.0))
    assert not search.doubted
    search.tell("better", position=(1.5, 0.25))
    for step in range(7, 14):
        search.tell("better", position=(step / 4, 0.25))

    assert [(one.heard, one.verdict) for one in search.doubted] == [((112, 0), "worse")]
    assert search.contradictions == ()


def test_past_many_verdicts_most_that_are_told_are_learned_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """All that is weighed is learned anew only where the oldest were left out, not each time."""
    learned: list[int] = []
    learn = Belief.learn

    def counting(self: Belief, told: tuple[Told, ...]) -> None:
        learned.append(len(told))
        learn(self, told)

    monkeypatch.setattr(Belief, "learn", counting)
    search = Search()
    often = []
    for step in range(1, 101):
        search.tell("better", position=(step / 4, 0.0))
        before = len(learned)
        search.ask()
        often.append(len(learned) - before)

    assert max(learned) <= belief.LATEST
    assert sum(one == 1 for one in often) >= 90
    assert sum(often) < 3 * len(often)


def test_what_was_taken_back_is_as_if_never_said() -> None:
    said, never = Search(), Search()
    for search in (said, never):
        search.tell("better", position=(0.25, 0.0))
    said.tell("worse", position=(0.25, 0.25))
    said.undo()

    assert said.judgments == never.judgments
    assert (said.kept, said.heard, said.untried) == (never.kept, never.heard, never.untried)
    assert said.propose() == never.propose()


places = st.tuples(st.integers(-2, 2), st.integers(-2, 2)).map(lambda steps: (steps[0] / 4, steps[1] / 4))
said = st.lists(
    st.tuples(places, places, st.sampled_from(["better", "same", "worse"])).filter(
        lambda one: one[0] != one[1]
    ),
    max_size=8,
)


@given(said, said)
@settings(max_examples=40, deadline=None)
def test_taking_back_whatever_was_said_leaves_what_was_before(
    before: list[tuple[Pair, Pair, Verdict]], after: list[tuple[Pair, Pair, Verdict]]
) -> None:
    undone, never = Search(), Search()
    for search in (undone, never):
        for position, against, verdict in before:
            search.tell(verdict, position=position, against=against)
    for position, against, verdict in after:
        undone.tell(verdict, position=position, against=against)
    for _ in after:
        undone.undo()

    assert undone.judgments == never.judgments
    assert (undone.kept, undone.here, undone.heard) == (never.kept, never.here, never.heard)
    assert undone.propose() == never.propose()


@given(said)
@settings(max_examples=60, deadline=None)
def test_the_kept_state_changes_only_for_one_that_is_known_to_be_better(
    told: list[tuple[Pair, Pair, Verdict]],
) -> None:
    """A new kept state has a chain of "better" or "same" down to the old one, in what was said so far."""
    search = Search()
    over: dict[Pair, set[Pair]] = {}
    for position, against, verdict in told:
        old = search.kept
        search.tell(verdict, position=position, against=against)
        if verdict != "worse":
            over.setdefault(position, set()).add(against)
        if verdict != "better":
            over.setdefault(against, set()).add(position)
        reached = {search.kept}
        while new := {low for high in reached for low in over.get(high, ())} - reached:
            reached |= new

        assert old in reached
