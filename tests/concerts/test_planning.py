"""The planner against every running order tried, and where the best order is plain to see."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from lugbook.concerts import Option, Piece, Plan, Work, plan
from lugbook.errors import BadValue

from .running_orders import LEFT_OUT, TOO_LONG, Best, Drawn, best_of, drawn


def piece(name: str, *states: str, after: float = 0.0, rests: tuple[float, ...] = ()) -> Piece:
    """A piece that any of *states*, ``drum/preset``, serves."""
    options = tuple(Option(drum, preset) for drum, _, preset in (state.partition("/") for state in states))
    return Piece(name, options, after_s=after, rests_s=rests)


def states(found: Plan) -> list[str]:
    return [" + ".join(f"{one.drum}/{one.preset}" for one in options) for options in found.chosen]


@pytest.mark.parametrize("first", range(0, 400, 40))
def test_a_small_concert_costs_what_the_best_of_all_its_orders_does(first: int) -> None:
    for seed in range(first, first + 40):
        rng = np.random.default_rng(seed + 1_000)
        order = drawn(
            seed,
            pieces=int(rng.integers(1, 6)),
            drums=2,
            presets=2,
            tight=float(rng.choice([0.3, 1])),
            share=float(rng.choice([0.35, 0.6])),
            twice=float(rng.choice([0, 0.3])),
        )
        drums_most = None if rng.random() < 0.6 else 1
        changes_most = None if rng.random() < 0.5 else int(rng.integers(0, 2))
        drum_s = float(rng.choice([0, 7]))

        found = plan(
            order.pieces,
            change_s=order.change_s,
            drums_most=drums_most,
            changes_most=changes_most,
            drum_s=drum_s,
        )

        best = best_of(order, drums_most=drums_most, changes_most=changes_most, drum_s=drum_s)
        is_as_good(order, found, best)


def is_as_good(order: Drawn, found: Plan, best: Best) -> None:
    """Check that a plan is as good as the best, and holds."""
    assert found.exact
    left_out = sum(
        sum(map(bool, music.needs)) - len(chosen)
        for music, chosen in zip(order.pieces, found.chosen, strict=True)
    )
    gives = LEFT_OUT * left_out + TOO_LONG * sum(one.seconds for one in found.short)
    assert (gives > 0) == best.gives
    if best.gives:
        assert gives + found.cost == pytest.approx(best.nearest, rel=1e-9)
    else:
        assert found.cost == pytest.approx(best.cost, abs=1e-6)
        assert found.bound == pytest.approx(best.cost, abs=1e-5)
    holds(order, found)


@pytest.mark.parametrize("first", range(0, 240, 24))
def test_changes_that_crowd_into_few_windows_cost_what_the_best_order_does(first: int) -> None:
    """Few states serve, so that much is changed, in windows that are too short for all of it."""
    for seed in range(first, first + 24):
        rng = np.random.default_rng(seed + 5_000)
        order = drawn(
            seed,
            pieces=int(rng.integers(4, 8)),
            drums=2,
            presets=3,
            tight=float(rng.choice([0.3, 0.6, 1])),
            share=0.22,
            twice=0.4,
        )
        changes_most = None if rng.random() < 0.5 else int(rng.integers(1, 4))

        found = plan(order.pieces, change_s=order.change_s, changes_most=changes_most)

        is_as_good(order, found, best_of(order, changes_most=changes_most))


@pytest.mark.parametrize("seed", range(4))
def test_no_bound_is_above_what_more_effort_finds(seed: int) -> None:
    order = drawn(seed, pieces=16, drums=5, presets=5, tight=0.5, share=0.12, twice=0.3)
    plans = [
        plan(order.pieces, change_s=order.change_s, effort=effort) for effort in (1, 9_000, 25_000, 90_000)
    ]

    best = min(one.cost for one in plans)
    assert all(one.bound <= best + 1e-6 for one in plans)
    assert all(one.exact == (one.cost <= one.bound + 1e-6) for one in plans)


@pytest.mark.parametrize("seed", range(6))
def test_twelve_pieces_four_drums_and_four_presets_are_exact(seed: int) -> None:
    order = drawn(seed, pieces=12, drums=4, presets=4, tight=(1.0, 0.5, 0.25)[seed % 3], share=0.2)

    found = plan(order.pieces, change_s=order.change_s)

    assert found.exact
    assert found.bound == pytest.approx(found.cost, abs=1e-5)
    holds(order, found)


def test_a_concert_too_large_to_prove_says_how_far_it_may_be_from_the_best() -> None:
    order = drawn(3, pieces=40, drums=8, presets=6, share=0.1)

    found = plan(order.pieces, change_s=order.change_s, effort=20_000)

    assert not found.exact
    assert 0 < found.bound < found.cost
    holds(order, found)
    assert plan(order.pieces, change_s=order.change_s, effort=60_000).cost <= found.cost


def holds(order: Drawn, found: Plan) -> None:
    """Check that a plan does what it says: states, changes in their windows, seconds, cost."""
    stands: dict[str, tuple[int, str]] = {}
    steps = list(found.steps)
    for number, (music, chosen) in enumerate(zip(order.pieces, found.chosen, strict=True)):
        assert len({one.drum for one in chosen}) == len(chosen)
        assert (len(chosen) < len(music.needs)) == (number in found.unserved)
        for option in chosen:
            assert any(option in need for need in music.needs)
            before = stands.get(option.drum)
            if before is not None and before[1] != option.preset:
                step = next(one for one in steps if (one.drum, one.before) == (option.drum, number))
                steps.remove(step)
                assert (step.begun, step.reached) == (before[1], option.preset)
                assert before[0] <= step.after < number
                assert step.after > before[0] or step.rest is None
            stands[option.drum] = (number, option.preset)
    assert not steps
    spent: dict[tuple[int, int | None], float] = {}
    for one in found.steps:
        change = order.change_s(one.drum, one.begun, one.reached)
        assert change is not None
        assert one.seconds == change.seconds
        music = order.pieces[one.after]
        assert one.window_s == (music.after_s if one.rest is None else music.rests_s[one.rest])
        spent[one.after, one.rest] = spent.get((one.after, one.rest), 0.0) + one.seconds
    late = {}
    for (after, rest), seconds in spent.items():
        music = order.pieces[after]
        room = music.after_s if rest is None else music.rests_s[rest]
        if seconds > room + 1e-6:
            late[after, rest] = seconds - room
    assert {(one.after, one.rest): one.seconds for one in found.short} == pytest.approx(late)
    assert found.fits == (not late and not found.unserved)
    assert found.work_s == pytest.approx(sum(one.seconds for one in found.steps))
    times = [(one.after, one.rest is None, one.rest or 0) for one in found.steps]
    assert all(a <= b for a, b in pairwise(times))


# ---- against general solvers


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.integers(2, 9), st.integers(2, 5))
def test_one_drum_alone_goes_the_shortest_way(seed: int, pieces: int, presets: int) -> None:
    """With one drum and time enough a plan is a shortest path (networkx, Bellman and Ford's algorithm)."""
    order = drawn(seed, pieces=pieces, drums=1, presets=presets, share=0.7)
    order = replace(order, pieces=tuple(replace(one, after_s=1e4, also=()) for one in order.pieces))
    graph = networkx.DiGraph()
    graph.add_node("begun")
    level: dict[object, str | None] = {"begun": None}
    for number, music in enumerate(order.pieces):
        if music.tacet or not music.options:
            continue
        here: dict[object, str | None] = {}
        for option in music.options:
            here[number, option.preset] = option.preset
            for before, preset in level.items():
                change = (
                    Work(0.0)
                    if preset in (None, option.preset)
                    else order.change_s(option.drum, str(preset), option.preset)
                )
                if change is not None:
                    cost = change.seconds + change.risk + option.cost
                    graph.add_edge(before, (number, option.preset), weight=cost)
        level = here
    for last in level:
        graph.add_edge(last, "over", weight=0.0)
    if "begun" in level or not networkx.has_path(graph, "begun", "over"):
        return  # nothing to serve, or something has to be left out
    shortest = networkx.shortest_path_length(graph, "begun", "over", weight="weight", method="bellman-ford")

    assert plan(order.pieces, change_s=order.change_s).cost == pytest.approx(shortest)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.integers(1, 6), st.integers(0, 2))
def test_drums_for_one_piece_are_the_cheapest_assignment(seed: int, needs: int, more: int) -> None:
    """What several needs of one piece cost is an assignment problem (scipy's linear_sum_assignment)."""
    costs = np.random.default_rng(seed).integers(0, 100, size=(needs, needs + more))
    options = [
        tuple(Option(f"drum{drum}", "one", cost=float(cost)) for drum, cost in enumerate(row))
        for row in costs
    ]

    found = plan([Piece("all", options[0], also=tuple(options[1:]))], change_s=lambda *_: None)

    assert found.cost == pytest.approx(costs[linear_sum_assignment(costs)].sum())
    assert len(found.drums) == needs


# ---- by hand


def test_a_second_drum_that_stands_ready_is_preferred() -> None:
    order = [piece("overture", "a/dry", after=90), piece("march", "a/open", "b/open", after=0)]

    found = plan(order, change_s=lambda *_: 60.0)

    assert states(found) == ["a/dry", "b/open"]
    assert found.steps == ()


def test_with_one_drum_on_the_stage_it_is_changed() -> None:
    order = [piece("overture", "a/dry", after=90), piece("march", "a/open", "b/open")]

    found = plan(order, change_s=lambda *_: 60.0, drums_most=1)

    assert states(found) == ["a/dry", "a/open"]
    (step,) = found.steps
    assert (step.after, step.rest, step.before, step.window_s, step.seconds) == (0, None, 1, 90.0, 60.0)
    assert found.fits


def test_a_change_is_made_while_another_drum_plays() -> None:
    """The pause before the march is too short; the rest in the waltz, which the other drum plays, is not."""
    order = [
        piece("overture", "a/dry", after=5),
        piece("waltz", "b/soft", after=5, rests=(20, 70)),
        piece("march", "a/open"),
    ]

    found = plan(order, change_s=lambda *_: 60.0)

    assert [(step.after, step.rest) for step in found.steps] == [(1, 1)]
    assert found.fits


def test_no_drum_is_changed_in_a_rest_of_its_own_piece() -> None:
    order = [
        piece("overture", "a/dry", after=5, rests=(300,)),
        piece("march", "a/open", rests=(300,)),
    ]

    found = plan(order, change_s=lambda *_: 60.0)

    assert not found.fits
    assert [(one.after, one.rest, one.seconds) for one in found.short] == [(0, None, 55.0)]


def test_two_changes_in_one_window_take_the_time_of_both() -> None:
    """One player has two hands: each alone would fit."""
    order = [
        replace(piece("overture", "a/dry", after=100), also=(piece("", "b/dry").options,)),
        replace(piece("march", "a/open"), also=(piece("", "b/open").options,)),
    ]

    found = plan(order, change_s=lambda *_: 60.0)

    assert not found.fits
    assert [one.seconds for one in found.short] == [20.0]
    assert plan([replace(order[0], after_s=120), order[1]], change_s=lambda *_: 60.0).fits


def test_changes_are_told_in_the_order_in_which_they_are_made() -> None:
    """What is needed last is changed first: only the first pause is long enough for it."""
    order = [
        replace(piece("overture", "a/dry", after=100), also=(piece("", "b/dry").options,)),
        piece("waltz", "c/soft", after=50),
        piece("march", "a/open", after=0),
        piece("ballad", "b/open"),
    ]
    seconds = {"a": 45.0, "b": 90.0}

    found = plan(order, change_s=lambda drum, *_: seconds[drum])

    assert [(step.drum, step.after) for step in found.steps] == [("b", 0), ("a", 1)]
    assert found.fits


def test_a_window_that_is_too_short_already_counts_only_what_is_added() -> None:
    """Three changes of 60 s in 100 s: 80 s are missing, however they are added up."""
    first = Piece("all", piece("", "a/dry").options, after_s=100, also=_each("b/dry", "c/dry"))
    then = Piece("all", piece("", "a/open").options, also=_each("b/open", "c/open"))

    found = plan([first, then], change_s=lambda *_: 60.0)

    assert [one.seconds for one in found.short] == [80.0]
    assert found.cost == 180.0
    assert found.exact


def _each(*states: str) -> tuple[tuple[Option, ...], ...]:
    return tuple(piece("", state).options for state in states)


def test_of_very_many_drums_no_more_are_taken_than_fit() -> None:
    """Four of twelve drums are 495 sets."""
    order = [piece(f"piece {number}", f"drum{number}/one") for number in range(12)]

    found = plan(order, change_s=lambda *_: None, drums_most=4)

    assert len(found.drums) == 4
    assert len(found.unserved) == 8


def test_a_window_is_kept_free_for_what_only_fits_there() -> None:
    """To change the second drum costs less than its worse state, but takes the time that the first needs."""
    order = [
        Piece("overture", (Option("a", "dry"),), 60.0, also=((Option("b", "x"), Option("b", "y", 30.0)),)),
        piece("waltz", "b/y"),
        piece("march", "a/open"),
    ]
    seconds = {"a": 50.0, "b": 20.0}

    found = plan(order, change_s=lambda drum, *_: seconds[drum])

    assert found.fits
    assert states(found)[0] == "a/dry + b/y"
    assert found.cost == 80.0


def test_where_nothing_fits_the_time_that_is_missing_is_the_least() -> None:
    order = [
        piece("overture", "a/dry", "a/warm", after=30),
        piece("march", "a/open"),
    ]
    seconds = {"dry": 90.0, "warm": 50.0}

    found = plan(order, change_s=lambda _, begun, __: seconds[begun])

    assert states(found)[0] == "a/warm"
    assert [one.seconds for one in found.short] == [20.0]


def test_a_piece_that_no_drum_can_serve_is_told_and_the_rest_is_planned() -> None:
    order = [piece("overture", "a/dry", after=90), piece("ballad", after=10), piece("march", "a/open")]

    found = plan(order, change_s=lambda *_: 95.0)

    assert found.unserved == (1,)
    assert not found.fits
    assert states(found) == ["a/dry", "", "a/open"]
    assert plan(order, change_s=lambda *_: 80.0).short == ()


def test_a_piece_that_no_change_leads_to_is_left_out() -> None:
    """As where the preset is from before a head was changed."""
    order = [
        piece("overture", "a/dry", after=900),
        piece("march", "a/old", after=900),
        piece("waltz", "a/dry"),
    ]

    found = plan(order, change_s=lambda *_: None)

    assert found.unserved == (1,)
    assert states(found) == ["a/dry", "", "a/dry"]


def test_with_no_change_allowed_one_state_serves_the_whole_list() -> None:
    """An audition: every excerpt on one drum in one state."""
    excerpts = [
        piece("one", "a/dry", "a/open", "b/dry", after=600),
        piece("two", "a/open", "a/warm", "b/dry", after=600),
        piece("three", "a/open", "a/dry", "b/warm"),
    ]

    found = plan(excerpts, change_s=lambda *_: 10.0, changes_most=0, drums_most=1)

    assert set(states(found)) == {"a/open"}
    assert found.steps == ()
    assert found.fits


def test_fewer_changes_than_are_needed_leave_something_out() -> None:
    order = [piece(name, f"a/{name}", after=100) for name in ("one", "two", "three")]

    assert plan(order, change_s=lambda *_: 50.0, changes_most=2).fits
    assert len(plan(order, change_s=lambda *_: 50.0, changes_most=1).unserved) == 1


def test_a_drum_that_costs_more_than_a_change_stays_at_home() -> None:
    order = [piece("overture", "a/dry", after=90), piece("march", "a/open", "b/open")]

    assert plan(order, change_s=lambda *_: 60.0, drum_s=10.0).drums == {"a", "b"}
    assert plan(order, change_s=lambda *_: 60.0, drum_s=70.0).drums == {"a"}


def test_a_risky_change_gives_way_to_a_longer_one() -> None:
    order = [piece("overture", "a/dry", "b/dry", after=90), piece("march", "a/open", "b/open")]
    changes = {"a": Work(40.0, risk=60.0), "b": Work(80.0)}

    found = plan(order, change_s=lambda drum, *_: changes[drum], drums_most=1)

    assert found.drums == {"b"}
    assert found.work_s == 80.0


def test_in_a_piece_without_the_drum_every_drum_is_free() -> None:
    order = [
        piece("overture", "a/dry", after=5),
        Piece("speech", (), after_s=5, rests_s=(240,), tacet=True),
        piece("march", "a/open"),
    ]

    found = plan(order, change_s=lambda *_: 60.0)

    assert found.fits
    assert [(step.after, step.rest) for step in found.steps] == [(1, 0)]


def test_a_window_of_no_time_holds_no_change() -> None:
    order = [piece("overture", "a/dry", after=0), piece("march", "a/open")]

    assert [one.seconds for one in plan(order, change_s=lambda *_: 30.0).short] == [30.0]
    assert plan(order, change_s=lambda *_: 0.0).fits


def test_where_something_fits_nothing_gives_however_much_it_costs() -> None:
    """A change that is half a millisecond too long against one of three hours that fits."""
    order = [piece("overture", "a/dry", "b/dry", after=10_800), piece("march", "a/open", "b/open")]
    seconds = {"a": 10_800.0005, "b": 10_800.0}

    found = plan(order, change_s=lambda drum, *_: Work(seconds[drum], risk=1e6), drums_most=1)

    assert found.fits
    assert found.drums == {"b"}
    assert found.cost == found.bound == 10_800 + 1e6


def test_a_hair_too_long_fits() -> None:
    order = [piece("overture", "a/dry", after=0.3), piece("march", "a/open")]

    found = plan(order, change_s=lambda *_: 0.1 + 0.2)

    assert found.fits
    assert found.bound == found.cost == 0.1 + 0.2


@pytest.mark.parametrize(
    ("order", "more"),
    [
        ([piece("overture", "a/dry", after=-1)], {}),
        ([piece("overture", "a/dry", after=float("nan"))], {}),
        ([piece("overture", "a/dry", rests=(float("inf"),))], {}),
        ([Piece("overture", (Option("a", "dry", cost=-5.0),))], {}),
        ([piece("overture", "a/dry")], {"drums_most": -1}),
        ([piece("overture", "a/dry")], {"changes_most": -1}),
        ([piece("overture", "a/dry")], {"drum_s": float("nan")}),
    ],
)
def test_what_cannot_be_reckoned_with_is_refused(order: list[Piece], more: dict[str, Any]) -> None:
    with pytest.raises(BadValue, match=r"must be"):
        plan(order, change_s=lambda *_: 30.0, **more)


@pytest.mark.parametrize("seconds", [-5.0, float("nan"), float("inf")])
@pytest.mark.parametrize("risky", [False, True])
def test_a_change_of_no_time_is_refused(seconds: float, risky: bool) -> None:
    order = [piece("overture", "a/dry", after=60), piece("march", "a/open")]
    work = Work(10.0, risk=seconds) if risky else Work(seconds)

    with pytest.raises(BadValue, match=r"a from dry to open must be a number from 0"):
        plan(order, change_s=lambda *_: work)


def test_nothing_to_plan_is_a_plan() -> None:
    for order in ([], [Piece("speech", (), tacet=True)]):
        found = plan(order, change_s=lambda *_: 1.0)
        assert found.fits
        assert found.exact
        assert found.steps == ()
