"""An evening whose drums stand elsewhere than it takes for granted, or that stopped amid a round."""

from types import ModuleType

import pytest

from lugbook.desk import Desk, bench, planning, turning_rods
from lugbook.desk.journal import position_now, write
from lugbook.desk.opening import begin_anew, going_on, look_again, open_tonight, planned
from lugbook.desk.performing import at_bench, next_item, tick, undo, window_begins
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.tonight import Tonight
from lugbook.errors import NotPossible
from lugbook.records import PerHead

from .conftest import Clock, task_of, tick_all

SLUG = "winter-concert"


def turned(desk: Desk, drum_id: str, *, top: float, bottom: float) -> None:
    """Turn both heads for something else."""
    drum = desk.library.drum(drum_id).record
    here = position_now(desk, drum_id, drum)
    at = PerHead(top=(here.top or 0.0) + top, bottom=(here.bottom or 0.0) + bottom)
    write(
        desk,
        drum_id,
        drum,
        {"kind": "turn", "turn": PerHead(top=top or None, bottom=bottom or None)},
        position=at,
    )


def test_before_the_doors_it_is_said_where_a_drum_stands_elsewhere(desk: Desk, plan: ConcertPlan) -> None:
    turned(desk, "snare", top=0.25, bottom=-0.125)
    tonight = open_tonight(desk, plan)
    elsewhere = "by the logbook it stands elsewhere: top ¼ too high, bottom ⅛ too low"
    assert [task.said for task in tonight.at_hand] == [f"not read yet · {elsewhere}", "not read yet"]
    ticked = tick(desk, tonight, "doors 1")
    assert ticked.remarks[0].endswith("By the logbook it stands elsewhere: top ¼ too high, bottom ⅛ too low.")
    assert "elsewhere" not in tick(desk, ticked, "doors 2").remarks[0]


def test_at_the_tick_of_a_change_it_is_remarked_on_once(desk: Desk, plan: ConcertPlan) -> None:
    turned(desk, "snare", top=0.25, bottom=0.0)
    tonight = window_begins(desk, next_item(desk, open_tonight(desk, plan)))
    half = tick(desk, tonight, "change 1")
    assert half.remarks[0].endswith("By the logbook it stood elsewhere: top ¼ too high.")
    whole = tick(desk, half, "change 1")
    assert "elsewhere" not in whole.remarks[0]
    assert "elsewhere" not in tick(desk, whole, "change 2").remarks[0]


def test_a_drum_heard_within_stands_where_it_should_whatever_its_count_says(
    desk: Desk, plan: ConcertPlan
) -> None:
    """The count drifted before the concert; the heads were read before the doors, and again it drifts."""
    turned(desk, "snare", top=0.25, bottom=0.0)
    tonight = open_tonight(desk, plan)
    at_drum = bench.read(desk, at_bench(desk, tonight, "doors 1"), "top", "A3")
    bench.read(desk, at_drum, "bottom", "E4")
    tonight = look_again(desk, tonight)
    assert tonight.at_hand[0].said == "within"
    tonight = tick(desk, tonight, "doors 1")
    tonight = window_begins(desk, next_item(desk, tonight))
    tonight = tick(desk, tonight, "change 1")
    assert tonight.remarks == ("Done: Snare: High, bottom head. The top head is next.",)

    turned(desk, "field", top=-0.125, bottom=0.0)
    assert "elsewhere: top ⅛ too low" in tick(desk, look_again(desk, tonight), "change 2").remarks[0]


@pytest.mark.parametrize("rods", [3, 5])
def test_stopped_amid_a_round_it_is_half_done_and_planned_as_before(
    desk: Desk, in_pause: Tonight, rods: int
) -> None:
    at_drum = at_bench(desk, in_pause, "change 1")
    for _ in range(rods):
        at_drum = turning_rods.rod_done(desk, at_drum)
    again = going_on(desk, SLUG)
    assert again is not None
    task = task_of(again, "change 1")
    assert not again.other
    assert task.said == f"half done, {rods} of 8 rods done; the bench goes on with it"
    assert task.change is not None
    assert task.change.refused is None
    assert [(one.side, len(one.done)) for one in task.rounds] == [("bottom", rods), ("top", 0)]


def test_the_real_planner_plans_the_same_amid_a_round(desk: Desk, night: ModuleType) -> None:
    """Nothing is planned otherwise because a round was stopped, nor once it is finished."""
    night.shelve(desk)
    night.plan(desk)
    tonight = window_begins(desk, next_item(desk, open_tonight(desk, planning.plan_concert(desk, SLUG))))
    key = next(task.key for task in tonight.at_hand if task.drum == "snare")
    at_drum = turning_rods.stopped_after(desk, at_bench(desk, tonight, key), 3)
    assert not open_tonight(desk, planning.plan_concert(desk, SLUG)).other
    turning_rods.all_done(desk, at_drum)
    again = open_tonight(desk, planning.plan_concert(desk, SLUG))
    assert (again.other, again.place) == ("", tonight.place)


def test_a_round_taken_up_again_is_followed_by_the_other_head(desk: Desk, in_pause: Tonight) -> None:
    """As after a crash: the bench is opened anew from the logbook, and the change is made to its end."""
    turning_rods.stopped_after(desk, at_bench(desk, in_pause, "change 1"), 3)
    again = going_on(desk, SLUG)
    assert again is not None
    at_drum = at_bench(desk, again, "change 1")
    assert at_drum.round is not None
    assert "stopped part-way" in at_drum.remarks[0]
    at_drum = turning_rods.all_done(desk, at_drum)
    assert (at_drum.round, at_drum.next_side) == (None, "top")
    at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, "top"))
    assert at_drum.next_side is None
    assert task_of(look_again(desk, again), "change 1").done
    at = position_now(desk, "snare", at_drum.drum)
    assert (at.top, at.bottom) == (0.25, 0.25)


def test_a_round_for_something_else_is_left_what_it_is(desk: Desk, in_pause: Tonight) -> None:
    at_drum = bench.read(desk, bench.sit_down(desk, "snare/low"), "top", "A3-60")
    turning_rods.stopped_after(desk, turning_rods.begin(at_drum, "top", insisted=True), 5)
    tonight = look_again(desk, in_pause)
    assert task_of(tonight, "change 1").said == "a round was stopped part-way; the bench goes on with it"
    again = at_bench(desk, tonight, "change 1")
    assert again.round is not None
    assert (again.round.preset, again.silent) == ("snare/low", None)
    with pytest.raises(NotPossible, match="stopped part-way"):
        tick(desk, tonight, "change 1")


def test_it_begins_anew_by_a_plan_made_then(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight, night: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not by the one that was made when it was opened: what stood against it then may be finished."""
    tonight = tick_all(desk, open_tonight(desk, night.without_last(plan)), "change 1")
    del in_pause
    assert tonight.newest is not None
    monkeypatch.setattr("lugbook.desk.planning.plan_concert", lambda desk, _: night.plan(desk))
    assert len(begin_anew(desk, planned(desk, tonight)).plan.changes) == 4


@pytest.mark.parametrize("at", ["doors", "pause"])
def test_a_drum_that_was_removed_is_named_with_what_brings_it_back(
    desk: Desk, plan: ConcertPlan, at: str
) -> None:
    tonight = open_tonight(desk, plan)
    key = "doors 1"
    if at == "pause":
        tonight, key = window_begins(desk, next_item(desk, tonight)), "change 1"
    desk.library.remove_drum("snare")
    tonight = look_again(desk, tonight)
    said = "Snare was removed. `lugbook drum restore snare` brings it back."
    assert task_of(tonight, key).said == said
    for deed in (tick, at_bench):
        with pytest.raises(NotPossible) as raised:
            deed(desk, tonight, key)
        assert str(raised.value) == said
    desk.library.restore_drum("snare")
    assert tick(desk, look_again(desk, tonight), key).evening.ticked


def test_an_evening_opened_without_its_drum_says_what_brings_it_back(desk: Desk, in_pause: Tonight) -> None:
    """Brought back, it goes on where it was."""
    desk.library.remove_drum("snare")
    assert going_on(desk, SLUG) is None
    again = open_tonight(desk, planning.plan_concert(desk, SLUG))
    assert again.stale.endswith("snare was removed. `lugbook drum restore snare` brings it back.")
    desk.library.restore_drum("snare")
    back = going_on(desk, SLUG)
    assert back is not None
    assert back.evening == in_pause.evening


def test_a_preset_that_was_removed_is_named_with_what_brings_it_back(desk: Desk, in_pause: Tonight) -> None:
    desk.library.remove_preset("snare/high")
    tonight = look_again(desk, in_pause)
    with pytest.raises(NotPossible, match=r"High of Snare was removed. `lugbook preset restore snare/high`"):
        tick(desk, tonight, "change 1")
    desk.library.restore_preset("snare/high")
    assert tick(desk, look_again(desk, tonight), "change 1").evening.ticked


def test_on_another_day_it_is_said_until_the_evening_is_begun(
    desk: Desk, plan: ConcertPlan, clock: Clock
) -> None:
    tonight = open_tonight(desk, plan)
    assert not tonight.not_its_day(desk.now())
    clock.forward(days=-10)
    early = open_tonight(desk, plan)
    assert early.not_its_day(desk.now()) == "Not its day: 25 November 2026."
    begun = tick(desk, early, "doors 1")
    assert not begun.not_its_day(desk.now())
    again = undo(desk, begun)
    assert again.not_its_day(desk.now())
    assert not next_item(desk, again).not_its_day(desk.now())
