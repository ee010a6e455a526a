"""The search: it ends at a proven best of the grid, asks for no state twice, and says why it asks."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.errors import BadValue, NotPossible
from lugbook.trials import Search
from lugbook.trials.search import Limits
from lugbook.turns.amounts import GRAIN

Pair = tuple[float, float]
Liking = Callable[[Pair], float]


def searched(search: Search, liking: Liking) -> list[Pair]:
    """Play a search to its end with an ear that never errs; return what was asked for, in order."""
    asked = []
    while (position := search.ask()) is not None:
        asked.append(position)
        assert len(asked) < 2_000
        gain = liking(position) - liking(search.kept)
        search.tell("better" if gain > 0 else "worse" if gain < 0 else "same")
    return asked


def four_beside(p: Pair, step: float) -> list[Pair]:
    """Return the four states a step away."""
    return [(p[0] + a, p[1] + b) for a, b in ((step, 0), (-step, 0), (0, step), (0, -step))]


def booth(p: Pair) -> float:
    """Booth: (x + 2y − 7)² + (2x + y − 5)², least at (1, 3)."""
    return -((p[0] + 2 * p[1] - 7) ** 2 + (2 * p[0] + p[1] - 5) ** 2)


BOX: Limits = ((-4.0, 4.0), (-4.0, 4.0))


@given(st.integers(-8, 8), st.integers(-8, 8))
@settings(max_examples=20, deadline=None)
def test_one_best_state_is_found_where_it_lies(top: int, bottom: int) -> None:
    best = (top / 4, bottom / 4)
    search = Search()
    searched(search, lambda p: -math.dist(p, best))

    assert search.kept == best


def test_a_finer_step_comes_nearer_in_a_skew_valley() -> None:
    """Booth's valley lies aslant, so that a coarse grid has minima beside the best state (1, 3)."""
    search = Search(limits=BOX)
    searched(search, booth)
    coarse = math.dist(search.kept, (1, 3))
    for _ in range(4):
        search.refine()
        searched(search, booth)

    assert search.step == 1 / 64
    assert math.dist(search.kept, (1, 3)) < coarse / 2


@given(st.integers(0, 10_000), st.sampled_from([0.25, 0.125]), st.booleans())
@settings(max_examples=25, deadline=None)
def test_no_state_is_asked_for_twice_and_the_end_is_proven(seed: int, step: float, ties: bool) -> None:
    """Whatever the ear likes: a smooth hill, with bumps, and states that speak alike."""
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(-1, 1, 2)
    bumps: dict[Pair, float] = {}

    def liking(p: Pair) -> float:
        bump = bumps.setdefault(p, float(rng.choice([0.0, 0.0, 0.3])))
        near = -math.hypot(p[0] - x, p[1] - y) + bump
        return float(round(near * 4) / 4 if ties else near)

    search = Search(step=step, limits=((-2, 2), (-2, 2)))
    asked = searched(search, liking)
    beside = [
        (search.kept[0] + a, search.kept[1] + b) for a, b in ((step, 0), (-step, 0), (0, step), (0, -step))
    ]

    assert len(asked) == len(set(asked))
    assert (0.0, 0.0) not in asked
    assert search.settled
    assert search.untried == ()
    assert all(one in search.heard for one in beside if max(map(abs, one)) <= 2)
    assert all(liking(one) <= liking(search.kept) for one in search.heard)
    assert search.contradictions == ()


def test_with_one_verdict_in_twenty_wrong_it_still_ends() -> None:
    for seed in range(12):
        rng = np.random.default_rng(seed)
        best = (float(rng.choice([-1.0, 0.5, 1.25])), float(rng.choice([-0.75, 0.25, 1.0])))
        search = Search(limits=((-2, 2), (-2, 2)))
        for _ in range(400):
            position = search.ask()
            if position is None:
                break
            better = math.dist(position, best) < math.dist(search.kept, best)
            search.tell("better" if better != (rng.random() < 0.05) else "worse")
        assert search.settled


def test_limits_close_a_side() -> None:
    search = Search(limits=((0.0, None), (None, 0.0)))

    assert set(search.untried) == {(0.25, 0.0), (0.0, -0.25)}
    searched(search, lambda p: -abs(p[0]) - abs(p[1]))
    assert search.settled
    assert min(p[0] for p in search.heard) == 0.0


def test_the_kept_state_follows_what_is_better() -> None:
    search = Search()
    first = search.ask()
    assert first is not None
    search.tell("better")

    assert search.kept == first
    assert search.here == first
    second = search.ask()
    assert second is not None
    search.tell("same")
    assert search.kept == first
    assert search.here == second
    assert search.alike == (second,)


def test_asking_again_asks_for_the_same() -> None:
    search = Search()

    assert search.ask() == search.ask()


def test_the_same_judgments_lead_to_the_same_proposal() -> None:
    one, other = Search(), Search()
    for verdict in ("better", "worse", "better"):
        assert one.ask() == other.ask()
        one.tell(verdict)
        other.tell(verdict)
    assert one.ask() == other.ask()


def test_a_move_of_the_players_own_is_taken_in() -> None:
    """Off the grid too; the neighbours are those of where it is kept from then on."""
    search = Search()
    search.tell("better", position=(1 / 64, 0.5))

    assert search.kept == (1 / 64, 0.5)
    assert set(search.untried) == {
        (0.25 + 1 / 64, 0.5),
        (-0.25 + 1 / 64, 0.5),
        (1 / 64, 0.75),
        (1 / 64, 0.25),
    }


def test_undo_takes_back_one_judgment_after_another() -> None:
    search = Search()
    asked = []
    for verdict in ("better", "worse", "same"):
        asked.append(search.ask())
        search.tell(verdict)
    assert search.undo().verdict == "same"
    assert search.ask() == asked[2]
    search.undo()
    search.undo()
    assert search.kept == (0.0, 0.0)
    assert search.heard == ((0.0, 0.0),)
    with pytest.raises(NotPossible, match="Nothing was judged"):
        search.undo()


def test_a_finer_step_goes_on_from_the_kept_state() -> None:
    search = Search()
    searched(search, lambda p: -math.dist(p, (0.3, 0.1)))
    assert search.kept == (0.25, 0.0)
    search.refine()

    assert search.step == 0.125
    assert not search.settled
    searched(search, lambda p: -math.dist(p, (0.3, 0.1)))
    assert search.kept == (0.25, 0.125)
    with pytest.raises(BadValue, match="no finer step"):
        search.refine(0.25)


def test_a_wrong_verdict_is_found_among_all_that_hang_together() -> None:
    """(¼, 0) over the start, the start over (0, ¼), and (0, ¼) over (¼, 0): three that cannot all be true."""
    search = Search()
    search.tell("better", position=(0.25, 0.0))
    search.tell("better", position=(0.0, 0.25))
    search.tell("better", position=(0.0, 0.0))
    search.tell("worse", position=(0.5, 0.0))

    ((first, second, third),) = search.contradictions
    assert (first.heard, second.heard, third.heard) == ((16, 0), (0, 16), (0, 0))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"step": 0.0}, "steps of 0 turns"),
        ({"step": 0.3}, "no multiple of 1/64"),
        ({"step": math.nan}, "steps of nan"),
        ({"start": (0.1, 0.0)}, "no multiple of 1/64"),
        ({"start": (math.inf, 0.0)}, "no number of turns"),
        ({"start": (1.0, 0.0), "limits": ((None, 0.5), (None, None))}, "past the limits"),
        ({"limits": ((1.0, -1.0), (None, None))}, "nothing between"),
    ],
)
def test_what_cannot_be_searched_is_refused(words: dict[str, object], said: str) -> None:
    with pytest.raises(BadValue, match=said):
        Search(**words)  # type: ignore[arg-type]  # bad values are what is tested


def test_a_verdict_needs_something_to_judge() -> None:
    search = Search()
    with pytest.raises(NotPossible, match="Nothing was asked"):
        search.tell("worse")
    with pytest.raises(NotPossible, match="is the kept state"):
        search.tell("worse", position=(0.0, 0.0))
    search.ask()
    with pytest.raises(BadValue, match="no verdict"):
        search.tell("bad")  # type: ignore[arg-type]  # a bad value is what is tested


def test_each_proposal_says_why_and_what_was_heard_nearest() -> None:
    search = Search()
    said = []
    best = (0.5, -0.5)
    while (proposal := search.propose()) is not None:
        said.append(proposal.why)
        turned = (proposal.position[0] - search.kept[0], proposal.position[1] - search.kept[1])
        assert turned == ((proposal.turn, 0.0) if proposal.side == "top" else (0.0, proposal.turn))
        assert proposal.nearest is None or proposal.nearest in search.heard
        better = math.dist(proposal.position, best) < math.dist(search.kept, best)
        search.tell("better" if better else "worse")

    assert any("helped" in one for one in said)
    assert "It is the last untried side of the kept state" in said[-1]


def test_places_are_whole_grains() -> None:
    """Turns are kept as 64ths, so that no state is two for a rounding."""
    search = Search(step=1 / 64)
    asked = searched(search, lambda p: -math.dist(p, (0.05, -0.03)))

    assert len(asked) > 4
    assert all(float(turns * GRAIN).is_integer() for position in asked for turns in position)
