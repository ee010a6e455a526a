"""One evening in two programs at once: nothing is turned twice by the logbook, and each says what it met."""

from dataclasses import replace
from pathlib import Path

import pytest

from lugbook.desk import Desk, turning_rods
from lugbook.desk.bench import Bench, read, sit_down
from lugbook.desk.opening import as_it_is, look_again, open_tonight
from lugbook.desk.performing import at_bench, next_item, tick, undo
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.tonight import Tonight
from lugbook.errors import ChangedUnderneath, NotPossible
from lugbook.library import Library

from .conftest import Clock, stands, tick_all


@pytest.fixture
def elsewhere(desk: Desk, tmp_path: Path, clock: Clock) -> Desk:
    """The desk of a second program on the same machine."""
    root = desk.library.root
    return replace(desk, library=Library(root, now=clock, writer="abcdef", lock_folder=tmp_path / "locks"))


def turns(desk: Desk) -> int:
    """Return how many turns the snare's logbook holds."""
    return sum(one.kind == "turn" for one in desk.library.log("snare").entries)


def turned_through(desk: Desk, bench: Bench) -> Bench:
    """Make all that is left of the change at the bench."""
    while bench.round is not None or bench.next_side is not None:
        if bench.round is None and bench.next_side is not None:
            bench = turning_rods.begin(bench, bench.next_side)
        bench = turning_rods.all_done(desk, bench)
    return bench


def test_ticked_in_both_windows_it_is_turned_once(
    desk: Desk, elsewhere: Desk, plan: ConcertPlan, in_pause: Tonight
) -> None:
    """The second key finds the evening gone on; undo of the one tick leaves the count where it was."""
    there = open_tonight(elsewhere, plan)
    tick_all(desk, in_pause, "change 1")
    with pytest.raises(ChangedUnderneath, match="another window"):
        tick(elsewhere, there, "change 1")
    assert (stands(desk), turns(desk)) == ((0.25, 0.25), 2)

    there = as_it_is(elsewhere, there)
    assert [task.done for task in there.at_hand] == [True, False]
    undo(elsewhere, undo(elsewhere, there))
    assert (stands(desk), turns(desk)) == ((0.0, 0.0), 0)


def test_undone_in_both_windows_it_is_taken_back_once(
    desk: Desk, elsewhere: Desk, plan: ConcertPlan, in_pause: Tonight
) -> None:
    ticked = tick_all(desk, tick(desk, in_pause, "change 2"), "change 1")
    there = open_tonight(elsewhere, plan)
    undo(elsewhere, there)
    again = tick_all(elsewhere, as_it_is(elsewhere, there), "change 1")
    with pytest.raises(ChangedUnderneath, match="another window"):
        undo(desk, ticked)
    assert (stands(desk), again.evening.ticked[-1].what) == ((0.25, 0.25), "change 1")


def test_turned_at_a_bench_elsewhere_it_is_not_turned_again(
    desk: Desk, elsewhere: Desk, in_pause: Tonight
) -> None:
    """The bench keeps no evening; the logbook tells."""
    turned_through(elsewhere, at_bench(elsewhere, in_pause, "change 1"))
    assert turns(desk) == 2
    with pytest.raises(NotPossible, match="turned at the bench meanwhile"):
        tick(desk, in_pause, "change 1")
    assert (stands(desk), turns(desk)) == ((0.25, 0.25), 2)
    assert look_again(desk, in_pause).at_hand[0].done


def test_half_turned_at_a_bench_elsewhere_the_tick_is_asked_for_again(
    desk: Desk, elsewhere: Desk, in_pause: Tonight
) -> None:
    turning_rods.all_done(elsewhere, at_bench(elsewhere, in_pause, "change 1"))
    with pytest.raises(NotPossible, match="other turns are left"):
        tick(desk, in_pause, "change 1")
    assert stands(desk) == (0.0, 0.25)
    tick_all(desk, look_again(desk, in_pause), "change 1")
    assert (stands(desk), turns(desk)) == ((0.25, 0.25), 2)


def test_a_bench_opened_before_the_tick_turns_nothing_more(
    desk: Desk, elsewhere: Desk, in_pause: Tonight
) -> None:
    bench = at_bench(elsewhere, in_pause, "change 1")
    tick_all(desk, in_pause, "change 1")
    for deed in (turning_rods.all_done, turning_rods.rod_done):
        with pytest.raises(NotPossible, match="turned elsewhere meanwhile"):
            deed(elsewhere, bench)
    assert (stands(desk), turns(desk)) == ((0.25, 0.25), 2)


@pytest.mark.parametrize("heads", [1, 2])
def test_the_bench_opens_with_what_is_left_by_now(
    desk: Desk, elsewhere: Desk, in_pause: Tonight, heads: int
) -> None:
    """Opened from a view in which nothing was turned yet, as on coming back from the logbook."""
    bench = turning_rods.all_done(elsewhere, at_bench(elsewhere, in_pause, "change 1"))
    if heads == 2:
        turned_through(elsewhere, bench)
    again = at_bench(desk, in_pause, "change 1")
    if heads == 1:
        assert again.round is not None
        assert again.round.side == "top"
    else:
        assert (again.round, again.next_side) == (None, None)
        assert "ticked off" in again.remarks[0]
    turned_through(desk, again)
    assert (stands(desk), turns(desk)) == ((0.25, 0.25), 2)


def test_the_bench_of_an_evening_that_went_on_elsewhere_says_so(
    desk: Desk, elsewhere: Desk, plan: ConcertPlan, in_pause: Tonight
) -> None:
    next_item(elsewhere, open_tonight(elsewhere, plan))
    with pytest.raises(ChangedUnderneath, match="another window"):
        at_bench(desk, in_pause, "change 1")


def test_a_window_that_looks_again_takes_up_what_was_done_in_the_other(
    desk: Desk, elsewhere: Desk, plan: ConcertPlan, in_pause: Tonight
) -> None:
    next_item(elsewhere, open_tonight(elsewhere, plan))
    with pytest.raises(ChangedUnderneath):
        look_again(desk, in_pause)
    assert as_it_is(desk, in_pause).step.item == 2


def test_a_drum_turned_for_something_else_meanwhile_begins_no_round(
    desk: Desk, elsewhere: Desk, plan: ConcertPlan
) -> None:
    """At any bench: its turns were counted from where the drum stood."""
    del plan
    at_drum = read_both(desk, sit_down(desk, "snare/high"))
    other = read_both(elsewhere, sit_down(elsewhere, "snare/high"))
    turning_rods.all_done(elsewhere, turning_rods.begin(other, "bottom", insisted=True))
    with pytest.raises(NotPossible, match="Snare was turned elsewhere"):
        turning_rods.rod_done(desk, turning_rods.begin(at_drum, "bottom", insisted=True))


def read_both(desk: Desk, bench: Bench) -> Bench:
    """Read both heads where they stand in the snare's lower preset."""
    return read(desk, read(desk, bench, "bottom", "E4"), "top", "A3")
