"""While a concert is played: the steps, the ticks in the logbooks, taking back, a crash, another day."""

from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.concerts import add_concert, edit_concert
from lugbook.desk.opening import begin_anew, look_again, open_tonight
from lugbook.desk.pacing import STRAINER_S
from lugbook.desk.performing import (
    at_bench,
    next_item,
    step_back,
    tick,
    undo,
    window_begins,
)
from lugbook.desk.plans import Between, ConcertPlan, PlannedItem
from lugbook.desk.programmes import programme
from lugbook.desk.recounting import recount
from lugbook.desk.repertoire import next_concert
from lugbook.desk.rounds import BY_TURNS_ALONE
from lugbook.desk.running import Put
from lugbook.desk.tonight import Tonight
from lugbook.desk.trying import strike_out
from lugbook.errors import ChangedUnderneath, LugbookError, NotPossible

from .conftest import Clock, stands, task_of, tick_all


def steps(tonight: Tonight) -> list[tuple[str, int, int | None]]:
    return [(one.kind, one.item, one.rest) for one in tonight.steps]


def test_the_steps_of_the_evening(desk: Desk, plan: ConcertPlan) -> None:
    """A rest in which something is changed is a step, and its item goes on after it."""
    assert steps(open_tonight(desk, plan)) == [
        ("doors", 0, None),
        ("item", 1, None),
        ("window", 1, None),
        ("item", 2, None),
        ("window", 2, 0),
        ("item", 2, None),
        ("window", 2, None),
        ("item", 3, None),
        ("over", 3, None),
    ]


def test_next_item_leaves_a_rest_out_and_back_undoes_it(desk: Desk, plan: ConcertPlan, clock: Clock) -> None:
    """From the symphony on to the march; back, the symphony is on as long as it was."""
    tonight = next_item(desk, next_item(desk, open_tonight(desk, plan)))
    assert (tonight.step.kind, tonight.step.item) == ("item", 2)
    clock.forward(seconds=100)
    tonight = next_item(desk, tonight)
    assert (tonight.step.kind, tonight.step.item) == ("item", 3)
    tonight = step_back(desk, tonight)
    assert (tonight.step.kind, tonight.step.item) == ("item", 2)
    assert tonight.elapsed_s(desk.now()) == 100


def test_after_its_rest_the_item_goes_on(desk: Desk, plan: ConcertPlan) -> None:
    tonight = window_begins(desk, next_item(desk, next_item(desk, open_tonight(desk, plan))))
    assert (tonight.step.rest, tonight.step.bars, tonight.step.seconds) == (0, "12-40", 40.0)
    tonight = next_item(desk, tonight)
    assert (tonight.place, tonight.step.item) == (5, 2)
    tonight = window_begins(desk, tonight)
    assert (tonight.step.rest, tonight.step.seconds) == (None, 60.0)


def test_the_end_and_the_beginning_say_so(desk: Desk, plan: ConcertPlan) -> None:
    tonight = open_tonight(desk, plan)
    with pytest.raises(NotPossible, match="Nothing was begun"):
        step_back(desk, tonight)
    with pytest.raises(NotPossible, match="No item is on yet"):
        window_begins(desk, tonight)
    for _ in range(4):
        tonight = next_item(desk, tonight)
    assert tonight.step.kind == "over"
    with pytest.raises(NotPossible, match="The concert is over"):
        next_item(desk, tonight)


def test_time_left_goes_on_below_nothing(desk: Desk, in_pause: Tonight, clock: Clock) -> None:
    clock.forward(seconds=30)
    assert in_pause.left_s(desk.now()) == 60
    clock.forward(seconds=72)
    assert in_pause.left_s(desk.now()) == -12
    clock.forward(seconds=-500)
    assert in_pause.left_s(desk.now()) == 90


def test_a_tick_writes_the_turns_of_one_head_and_undo_takes_them_back(desk: Desk, in_pause: Tonight) -> None:
    """Bottom first, as a silent change on the way to the preset; the change is done with its last head."""
    before = desk.library.log("snare").entries
    half = tick(desk, in_pause, "change 1")
    assert stands(desk, "snare") == (0.0, 0.25)
    assert half.remarks == ("Done: Snare: High, bottom head. The top head is next.",)
    task = task_of(half, "change 1")
    assert (task.done, [one.side for one in task.rounds]) == (False, ["top"])

    ticked = tick(desk, half, "change 1")
    assert stands(desk, "snare") == (0.25, 0.25)
    assert ticked.remarks == ("Done: Snare: High.",)
    bottom, top = desk.library.log("snare").entries[len(before) :]
    assert (bottom.turn.bottom, top.turn.top) == (0.25, 0.25)
    assert {one.note for one in (bottom, top)} == {BY_TURNS_ALONE}
    assert {one.preset for one in (bottom, top)} == {"snare/high"}
    assert task_of(ticked, "change 1").done
    assert [one.entries for one in ticked.evening.ticked] == [(bottom.stands_for,), (top.stands_for,)]

    back = undo(desk, ticked)
    assert stands(desk, "snare") == (0.0, 0.25)
    assert "Taken back: Snare: High, top head. By the logbook" in back.remarks[0]
    assert [one.side for one in task_of(back, "change 1").rounds] == ["top"]
    back = undo(desk, back)
    assert stands(desk, "snare") == (0.0, 0.0)
    assert desk.library.log("snare").entries == before
    assert not back.evening.ticked
    assert [one.side for one in task_of(back, "change 1").rounds] == ["bottom", "top"]
    assert "bottom head. By the logbook it stands where it stood before" in back.remarks[0]


def test_undo_goes_back_head_by_head_through_two_changes(desk: Desk, in_pause: Tonight) -> None:
    """One head of the snare, the field drum, the other head of the snare: the last one first."""
    tonight = tick(desk, in_pause, "change 1")
    tonight = tick(desk, tick(desk, tonight, "change 2"), "change 1")
    assert [task.done for task in tonight.at_hand] == [True, True]
    came_by = []
    while tonight.can_undo:
        tonight = undo(desk, tonight)
        came_by.append((stands(desk, "snare"), stands(desk, "field")))
    assert came_by == [((0.0, 0.25), (-0.125, 0.0)), ((0.0, 0.25), (0.0, 0.0)), ((0.0, 0.0), (0.0, 0.0))]


def test_what_is_left_of_a_change_and_its_time(desk: Desk, in_pause: Tonight) -> None:
    """One head done at the bench: its steps are gone, and so is the time to turn the drum over."""
    whole = task_of(in_pause, "change 1")
    assert whole.planned is not None
    assert (whole.steps, whole.seconds) == (whole.planned.change.steps, whole.planned.change.seconds)
    at_drum = at_bench(desk, in_pause, "change 1")
    at_drum = turning_rods.stopped_after(desk, at_drum, 3)
    begun = task_of(look_again(desk, in_pause), "change 1")
    assert whole.seconds - begun.seconds == 3 * desk.user.pace

    turning_rods.all_done(desk, at_drum)
    half = task_of(look_again(desk, in_pause), "change 1")
    assert not any("ottom head" in step or "over" in step for step in half.steps)
    assert half.steps[0].startswith("Top head: tighten every rod by")
    assert half.steps[1:] == whole.steps[4:]
    assert half.seconds == 8 * desk.user.pace + STRAINER_S


def test_loosening_and_two_changes_in_one_window(desk: Desk, in_pause: Tonight) -> None:
    """Below and back up is one turn; undo takes the later tick first."""
    tonight = tick(desk, tick_all(desk, in_pause, "change 1"), "change 2")
    assert [task.done for task in tonight.at_hand] == [True, True]
    assert stands(desk, "field") == (-0.125, 0.0)

    tonight = undo(desk, tonight)
    assert (stands(desk, "snare"), stands(desk, "field")) == ((0.25, 0.25), (0.0, 0.0))
    assert [task.done for task in tonight.at_hand] == [True, False]
    with pytest.raises(NotPossible, match="ticked off already"):
        tick(desk, tonight, "change 1")


def test_a_change_of_no_turns_is_ticked_without_an_entry(desk: Desk, plan: ConcertPlan) -> None:
    planned = plan.changes[0]
    still = replace(planned.change, top=None, bottom=None, first=None)
    plan = replace(plan, changes=(replace(planned, change=still), *plan.changes[1:]))
    tonight = window_begins(desk, next_item(desk, open_tonight(desk, plan)))
    before = desk.library.log("snare").entries
    tonight = tick_all(desk, tonight, "change 1")

    assert task_of(tonight, "change 1").done
    assert desk.library.log("snare").entries == before
    assert not undo(desk, tonight).evening.ticked


def test_after_a_crash_it_goes_on(desk: Desk, plan: ConcertPlan, in_pause: Tonight, clock: Clock) -> None:
    """The step, its time and the ticks are on disk; the logbook is not written twice."""
    tick_all(desk, in_pause, "change 1")
    clock.forward(seconds=20)
    again = open_tonight(desk, plan)

    assert not again.stale
    assert (again.step.kind, again.step.item) == ("window", 1)
    assert again.left_s(desk.now()) == 70
    assert [task.done for task in again.at_hand] == [True, False]


def test_a_crash_between_logbook_and_tick_loses_nothing(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight
) -> None:
    """The turns were written and the tick was not: the logbook leads, either way."""
    kept = (desk.user_folder / "evenings.toml").read_bytes()
    ticked = tick_all(desk, in_pause, "change 1")
    (desk.user_folder / "evenings.toml").write_bytes(kept)
    again = open_tonight(desk, plan)
    assert task_of(again, "change 1").done
    both = tuple(entry for one in ticked.evening.ticked for entry in one.entries)
    assert again.evening.ticked[-1].entries == both

    for entry in reversed(both):
        strike_out(desk, "snare", entry)
    assert not open_tonight(desk, plan).evening.ticked


def test_after_midnight_it_goes_on_and_next_day_it_is_begun_anew(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight, clock: Clock
) -> None:
    tick_all(desk, in_pause, "change 1")
    clock.forward(hours=5, minutes=30)
    assert open_tonight(desk, plan).place == 2
    clock.forward(hours=18)
    again = open_tonight(desk, plan)

    assert again.stale == "What is kept is the evening of 25 November 2026."
    assert (again.place, again.evening.ticked) == (0, ())
    for deed in (next_item, step_back, undo):
        with pytest.raises(NotPossible, match="evening of 25 November"):
            deed(desk, again)
    anew = next_item(desk, begin_anew(desk, again))
    assert (anew.place, anew.stale) == (1, "")
    assert open_tonight(desk, plan).place == 1
    assert stands(desk, "snare") == (0.25, 0.25), "what the logbooks hold stays"


def test_planned_otherwise_it_goes_on_as_it_was_begun(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight, night: ModuleType
) -> None:
    """Step, ticks and changes are those of before; begun anew, it goes by the plan of now."""
    tick_all(desk, in_pause, "change 1")
    again = open_tonight(desk, night.without_last(plan))

    assert "goes on as it was begun" in again.other
    assert not again.stale
    assert again.place == 2
    assert [task.done for task in again.at_hand] == [True, False]
    assert [one.change.moves for one in again.plan.changes] == [one.change.moves for one in plan.changes]
    assert again.plan.changes[2].window == plan.changes[2].window
    assert steps(again) == steps(in_pause)
    assert task_of(tick_all(desk, again, "change 4"), "change 4").done

    anew = begin_anew(desk, open_tonight(desk, night.without_last(plan)))
    assert (len(anew.plan.changes), anew.other, anew.place) == (3, "", 0)
    assert not open_tonight(desk, night.without_last(plan)).other


def test_with_other_items_it_is_begun_anew(desk: Desk, plan: ConcertPlan, in_pause: Tonight) -> None:
    edit_concert(desk, "winter-concert", {}, [Put({"title": "Fanfare"}, at=1)])
    rows = programme(desk, "winter-concert").rows
    again = open_tonight(desk, replace(plan, items=tuple(PlannedItem(row, row.presets) for row in rows)))

    assert "items have changed" in again.stale
    with pytest.raises(NotPossible, match="items have changed"):
        tick(desk, again, "doors 1")
    assert open_tonight(desk, plan).evening == in_pause.evening, "the kept one was left alone"


def test_a_refused_change_is_not_ticked(desk: Desk, night: ModuleType) -> None:
    night.shelve(desk)
    night.calf(desk)
    tonight = window_begins(desk, next_item(desk, open_tonight(desk, night.plan(desk))))
    before = desk.library.log("snare").entries

    assert task_of(tonight, "change 1").said.startswith("The top head is calf")
    with pytest.raises(NotPossible, match="calf"):
        tick(desk, tonight, "change 1")
    assert desk.library.log("snare").entries == before


def test_at_the_bench_rod_by_rod_ticks_it_off(desk: Desk, in_pause: Tonight) -> None:
    """The bottom head turned at the bench, then back here: the top is left, and the tick writes it alone."""
    at_drum = at_bench(desk, in_pause, "change 1")
    assert at_drum.round is not None
    assert (at_drum.round.side, at_drum.round.tapped) == ("bottom", False)
    for _ in range(8):
        at_drum = turning_rods.rod_done(desk, at_drum)

    half = look_again(desk, in_pause)
    task = half.task("change 1")
    assert task is not None
    assert not task.done
    assert [one.side for one in task.rounds] == ["top"]
    whole = tick_all(desk, half, "change 1")
    assert stands(desk, "snare") == (0.25, 0.25)
    assert [(len(one.entries), one.here) for one in whole.evening.ticked] == [(1, False), (1, True)]

    back = undo(desk, whole)
    assert stands(desk, "snare") == (0.0, 0.25), "the turn made at the bench stays"
    task = task_of(back, "change 1")
    assert (task.done, [one.side for one in task.rounds]) == (False, ["top"])
    with pytest.raises(NotPossible, match="Nothing was ticked off"):
        undo(desk, back)
    assert stands(desk, "snare") == (0.0, 0.25)


def test_a_head_ticked_before_the_bench_turned_the_other_is_not_taken_back(
    desk: Desk, in_pause: Tonight
) -> None:
    """Its place in the logbook is held by the later turn, which is said; nothing is struck out."""
    tick(desk, in_pause, "change 1")
    tonight = look_again(desk, open_tonight(desk, in_pause.plan))
    turning_rods.all_done(desk, at_bench(desk, tonight, "change 1"))
    tonight = look_again(desk, tonight)
    assert task_of(tonight, "change 1").done
    with pytest.raises(NotPossible, match="Snare was turned or read since"):
        undo(desk, tonight)
    assert stands(desk, "snare") == (0.25, 0.25)
    assert task_of(look_again(desk, tonight), "change 1").done


def test_a_round_stopped_part_way_is_not_ticked_over(desk: Desk, in_pause: Tonight) -> None:
    turning_rods.stopped_after(desk, at_bench(desk, in_pause, "change 1"), 5)

    with pytest.raises(NotPossible, match="stopped part-way"):
        tick(desk, in_pause, "change 1")
    again = at_bench(desk, in_pause, "change 1")
    assert again.round is not None
    assert again.round.done


def test_after_a_crash_amid_a_round_it_is_finished_and_the_rest_is_left(
    desk: Desk, in_pause: Tonight, night: ModuleType
) -> None:
    """Planned with the round open it is the same plan; ticked off it is once the round is done."""
    turning_rods.stopped_after(desk, at_bench(desk, in_pause, "change 1"), 5)
    again = open_tonight(desk, night.plan(desk))
    assert not task_of(again, "change 1").done
    with pytest.raises(NotPossible, match="stopped part-way"):
        tick(desk, again, "change 1")
    turning_rods.all_done(desk, at_bench(desk, again, "change 1"))

    half = look_again(desk, again)
    task = half.task("change 1")
    assert task is not None
    assert (task.done, task.said) == (False, "")
    assert [one.side for one in task.rounds] == ["top"]
    assert task_of(tick_all(desk, half, "change 1"), "change 1").done
    assert stands(desk, "snare") == (0.25, 0.25)


def test_a_tacet_item_is_a_window_from_its_beginning(desk: Desk, plan: ConcertPlan, clock: Clock) -> None:
    """A speech of four minutes in which a drum is changed: its time runs as soon as it begins."""
    speech = {"title": "Speech", "tacet": True, "seconds": 240.0, "after_s": 20.0}
    edit_concert(desk, "winter-concert", {}, [Put(speech, at=2)])
    rows = programme(desk, "winter-concert").rows
    within = replace(plan.changes[0], window=Between(2, 0, 240.0), before=3)
    tonight = open_tonight(
        desk,
        replace(plan, items=tuple(PlannedItem(row, row.presets) for row in rows), changes=(within,)),
    )
    tonight = next_item(desk, next_item(desk, tonight))
    clock.forward(seconds=10)

    assert (tonight.step.item, tonight.left_s(desk.now())) == (2, 230)
    assert [task.key for task in tonight.at_hand] == ["change 1"]
    assert window_begins(desk, tonight).step.seconds == 20.0
    tonight = open_tonight(desk, tonight.plan)
    assert next_item(desk, tonight).step.item == 3


def test_a_drum_brought_there_by_pitch_is_not_turned_twice(desk: Desk, in_pause: Tonight) -> None:
    """Read and retuned at the bench for the preset to reach: the logbook is not given the turns again."""
    at_drum = bench.sit_down(desk, "snare/high")
    at_drum = bench.read(desk, bench.read(desk, at_drum, "bottom", "E4"), "top", "A3")
    while at_drum.next_side is not None:
        at_drum = turning_rods.begin(at_drum, at_drum.next_side, insisted=True)
        while at_drum.round is not None:
            at_drum = turning_rods.all_done(desk, at_drum)
    heard = desk.library.log("snare").entries
    tonight = look_again(desk, in_pause)

    assert task_of(tonight, "change 1").done
    with pytest.raises(NotPossible, match="ticked off already"):
        tick(desk, tonight, "change 1")
    assert desk.library.log("snare").entries == heard


def turned_by_pitch(desk: Desk, *, top: str, bottom: str, rounds: int) -> None:
    """Read both heads at the bench for the snare's higher preset, and turn so many of them."""
    at_drum = bench.sit_down(desk, "snare/high")
    at_drum = bench.read(desk, bench.read(desk, at_drum, "bottom", bottom), "top", top)
    for _ in range(rounds):
        assert at_drum.next_side is not None
        at_drum = turning_rods.begin(at_drum, at_drum.next_side, insisted=True)
        while at_drum.round is not None:
            at_drum = turning_rods.all_done(desk, at_drum)


def test_a_drum_half_retuned_by_pitch_is_half_done(desk: Desk, in_pause: Tonight) -> None:
    """Both heads were off, and the bottom one alone was turned: the top is left, here as at the bench."""
    turned_by_pitch(desk, top="A3", bottom="E4", rounds=1)
    half = look_again(desk, in_pause)
    task = task_of(half, "change 1")
    assert (task.done, [one.side for one in task.rounds]) == (False, ["top"])

    bench.read(desk, bench.sit_down(desk, "snare/high"), "bottom", "E4+65")
    assert not task_of(look_again(desk, half), "change 1").done, "the top was not read again"
    bench.read(desk, bench.sit_down(desk, "snare/high"), "top", "A3+40")
    assert not task_of(look_again(desk, half), "change 1").done, "it is off"
    bench.read(desk, bench.sit_down(desk, "snare/high"), "top", "A3+75")
    whole = look_again(desk, half)
    assert task_of(whole, "change 1").done
    assert len(whole.evening.ticked[-1].entries) == 1


def test_a_head_that_was_within_need_not_be_turned(desk: Desk, in_pause: Tonight) -> None:
    turned_by_pitch(desk, top="A3+75", bottom="E4", rounds=1)
    assert task_of(look_again(desk, in_pause), "change 1").done


def test_where_no_silent_change_is_made_both_heads_are_turned_by_pitch(desk: Desk, night: ModuleType) -> None:
    night.shelve(desk)
    night.calf(desk)
    tonight = window_begins(desk, next_item(desk, open_tonight(desk, night.plan(desk))))
    assert task_of(tonight, "change 1").said.startswith("The top head is calf")
    turned_by_pitch(desk, top="A3", bottom="E4", rounds=1)
    tonight = look_again(desk, tonight)
    assert not task_of(tonight, "change 1").done
    turned_by_pitch(desk, top="A3", bottom="E4+65", rounds=1)
    assert task_of(look_again(desk, tonight), "change 1").done


@pytest.mark.parametrize("on", [0, 1], ids=["before the doors", "during the overture"])
def test_a_drum_turned_to_its_present_preset_ticks_no_later_change(
    desk: Desk, plan: ConcertPlan, clock: Clock, on: int
) -> None:
    """The snare is retuned to low at the bench; the change back to low comes much later."""
    tonight = open_tonight(desk, plan)
    for _ in range(on):
        tonight = next_item(desk, tonight)
    at_drum = bench.read(desk, bench.sit_down(desk, "snare/low"), "top", "A3-60")
    at_drum = turning_rods.begin(at_drum, "top", insisted=True)
    while at_drum.round is not None:
        at_drum = turning_rods.all_done(desk, at_drum)
    assert desk.library.log("snare").entries[-1].kind == "turn"
    clock.forward(minutes=1)
    tonight = look_again(desk, tonight)
    assert not tonight.evening.ticked

    while tonight.step.item < 2:
        tonight = next_item(desk, tonight)
    assert not task_of(look_again(desk, tonight), "change 1").done
    tonight = window_begins(desk, next_item(desk, window_begins(desk, tonight)))
    assert (tonight.step.item, tonight.step.rest) == (2, None)
    assert not task_of(look_again(desk, tonight), "change 4").done


def test_a_count_that_was_lost_since_is_refused(desk: Desk, in_pause: Tonight) -> None:
    """Its turns are void by now: nothing is written."""
    recount(desk, "snare", "top")
    before = desk.library.log("snare").entries
    with pytest.raises(NotPossible, match="another count"):
        tick(desk, in_pause, "change 1")
    assert desk.library.log("snare").entries == before


def test_what_was_left_out_stays_at_hand(desk: Desk, in_pause: Tonight) -> None:
    tonight = next_item(desk, tick_all(desk, in_pause, "change 1"))

    assert tonight.remarks == ("Not ticked off: Field: Far.",)
    assert [(task.key, tonight.late(task)) for task in tonight.at_hand] == [
        ("change 2", True),
        ("change 3", False),
    ]
    assert [task.key for task in tick(desk, tonight, "change 2").at_hand] == ["change 3"]


def test_after_a_change_left_out_the_next_is_counted_from_where_the_drum_stands(
    desk: Desk, in_pause: Tonight
) -> None:
    """Far was left out, so that the way back to near is none; made late, it is one again."""
    tonight = next_item(desk, tick_all(desk, in_pause, "change 1"))
    back = tonight.task("change 3")
    assert back is not None
    assert back.change is not None
    assert back.change.moves == {}
    assert "left out" in back.said

    tonight = tick(desk, tonight, "change 2")
    late = tonight.task("change 3")
    assert late is not None
    assert late.change is not None
    assert late.change.moves == {"top": 0.125}

    tonight = window_begins(desk, undo(desk, tonight))
    assert [task.key for task in tonight.at_hand] == ["change 3"], "its own time is over"
    before = desk.library.log("field").entries
    tonight = tick(desk, tonight, "change 3")
    assert task_of(tonight, "change 3").done
    assert desk.library.log("field").entries == before
    assert [task.key for task in next_item(desk, tonight).at_hand] == ["change 4"]


def test_a_change_left_out_half_way_comes_first(desk: Desk, in_pause: Tonight) -> None:
    """One head of the snare was turned: the change after it cannot be counted."""
    at_drum = at_bench(desk, in_pause, "change 1")
    turning_rods.all_done(desk, at_drum)
    tonight = look_again(desk, in_pause)
    assert not tonight.evening.ticked[-1].whole
    with pytest.raises(NotPossible, match="was begun: finish it first"):
        tick(desk, tonight, "change 4")
    tonight = tick_all(desk, tonight, "change 1")
    assert stands(desk, "snare") == (0.25, 0.25)
    assert task_of(tick_all(desk, tonight, "change 4"), "change 4").done
    assert stands(desk, "snare") == (0.0, 0.0)


def test_before_the_doors_drums_are_measured(desk: Desk, plan: ConcertPlan) -> None:
    tonight = open_tonight(desk, plan)
    assert [(task.name, task.said) for task in tonight.at_hand] == [
        ("snare/low", "not read yet"),
        ("field/near", "not read yet"),
    ]
    at_drum = at_bench(desk, tonight, "doors 1")
    at_drum = bench.read(desk, at_drum, "top", "A3")
    bench.read(desk, at_drum, "bottom", "E4+40")
    assert look_again(desk, tonight).at_hand[0].said == "off"
    bench.read(desk, at_drum, "bottom", "E4")
    tonight = tick(desk, look_again(desk, tonight), "doors 1")

    assert (tonight.at_hand[0].said, tonight.at_hand[0].done) == ("within", True)
    assert tonight.remarks == ("Done: Snare: Low.",)
    assert "no reading" in tick(desk, tonight, "doors 2").remarks[0]


def test_another_window_of_the_program_is_noticed(desk: Desk, plan: ConcertPlan, in_pause: Tonight) -> None:
    """Two programs with the same evening: the one that comes second is told, and reads it again."""
    elsewhere = next_item(desk, open_tonight(desk, plan))
    with pytest.raises(ChangedUnderneath, match="another window"):
        next_item(desk, in_pause)
    assert open_tonight(desk, plan).evening == elsewhere.evening


def test_a_damaged_file_is_left_alone_and_the_evening_goes_on(desk: Desk, plan: ConcertPlan) -> None:
    file = desk.user_folder / "evenings.toml"
    desk.user_folder.mkdir(parents=True, exist_ok=True)
    file.write_text("evenings = 5\n", encoding="utf-8")
    tonight = next_item(desk, open_tonight(desk, plan))

    assert tonight.step.item == 1
    assert tonight.nowhere.startswith("This evening is kept nowhere: ")
    assert file.read_text(encoding="utf-8") == "evenings = 5\n"
    assert task_of(tick_all(desk, window_begins(desk, tonight), "change 1"), "change 1").done


@pytest.mark.parametrize("lost", ["presets/high.toml", "drum.toml"])
def test_a_preset_or_a_drum_that_is_gone_is_said(desk: Desk, in_pause: Tonight, lost: str) -> None:
    Path(desk.library.root / "drums" / "snare" / lost).unlink()
    tonight = look_again(desk, in_pause)

    assert task_of(tonight, "change 1").said
    for deed in (tick, at_bench):
        with pytest.raises(LugbookError):
            deed(desk, tonight, "change 1")
    assert task_of(tick(desk, tonight, "change 2"), "change 2").done


def test_the_next_concert_is_the_first_from_today_on(desk: Desk, plan: ConcertPlan, clock: Clock) -> None:
    assert next_concert(desk) == plan.programme.id
    clock.forward(days=3)
    add_concert(desk, {"name": "Audition"})
    assert next_concert(desk) == "audition"
    add_concert(desk, {"name": "Later", "on": (clock.moment.date()).replace(day=30)})
    assert next_concert(desk) == "later"


def test_without_a_concert_there_is_none(desk: Desk, night: ModuleType) -> None:
    night.shelve(desk)
    assert next_concert(desk) is None
