"""An encore is put in while the concert is on: what is over stays, and the rest is planned from there."""

from types import ModuleType

import pytest

from lugbook.desk import Desk, planning
from lugbook.desk.concerts import edit_concert
from lugbook.desk.opening import going_on, open_tonight
from lugbook.desk.performing import next_item, step_back, tick, undo, window_begins
from lugbook.desk.resuming import TAKEN_UP
from lugbook.desk.running import Alter, Change, Drop, Move, Put
from lugbook.desk.tonight import Tonight
from lugbook.library import position_of

from .conftest import Clock

SLUG = "winter-concert"
ENCORE = Put({"title": "Encore", "presets": ["snare/high"]})


@pytest.fixture
def begun(desk: Desk, night: ModuleType) -> Tonight:
    """The small concert, by the real planner, before the doors."""
    night.shelve(desk)
    night.plan(desk)
    edit_concert(desk, SLUG, {}, [Alter(2, {"presets": ["snare/high"], "after_s": 90.0})])
    return open_tonight(desk, planning.plan_concert(desk, SLUG))


def opened(desk: Desk) -> Tonight:
    assert going_on(desk, SLUG) is None, "it has to be planned"
    return open_tonight(desk, planning.plan_concert(desk, SLUG))


def changed(tonight: Tonight) -> list[tuple[str, str, int, int | None]]:
    return [(one.drum, one.to_preset, one.window.after, one.window.rest) for one in tonight.plan.changes]


def through(desk: Desk, tonight: Tonight) -> Tonight:
    """Tick all that is at hand."""
    while open_ := [task for task in tonight.at_hand if not task.done]:
        tonight = tick(desk, tonight, open_[0].key)
    return tonight


def test_an_encore_leaves_place_and_ticks(desk: Desk, begun: Tonight, clock: Clock) -> None:
    """In the pause after the overture, the snare changed: the encore is planned for, and what comes first."""
    tonight = through(desk, window_begins(desk, next_item(desk, tick(desk, begun, "doors 1"))))
    assert changed(tonight)[0] == ("snare", "high", 1, None)
    clock.forward(seconds=30)
    edit_concert(desk, SLUG, {}, [Alter(3, {"after_s": 90.0}), ENCORE])
    again = opened(desk)

    assert (again.stale, again.other, again.remarks) == ("", "", (TAKEN_UP,))
    assert (again.step.kind, again.step.item) == ("window", 1)
    assert again.left_s(desk.now()) == 60
    assert [one.what for one in again.evening.ticked] == [one.what for one in tonight.evening.ticked]
    assert again.task("doors 1") is not None
    assert again.plan.items[3].presets == ("snare/high",)
    assert changed(again) == [
        ("snare", "high", 1, None),
        ("snare", "low", 2, None),
        ("snare", "high", 3, None),
    ]
    assert all(task.done for task in again.at_hand)
    went_on = going_on(desk, SLUG)
    assert went_on is not None
    assert (went_on.evening, went_on.plan.changes) == (again.evening, again.plan.changes)

    tonight = again
    while tonight.can_go_on:
        tonight = through(desk, next_item(desk, tonight))
        if tonight.can_rest:
            tonight = through(desk, window_begins(desk, tonight)) if tonight.step.item < 4 else tonight
        assert not any(tonight.late(task) for task in tonight.at_hand)
    at = position_of(desk.library.drum("snare").record, desk.library.log("snare").entries)
    assert at.top is not None
    assert at.top.amount == 0.25


def test_before_the_doors_drums_that_stay_stay_ticked(desk: Desk, begun: Tonight) -> None:
    tonight = tick(desk, tick(desk, begun, "doors 1"), "doors 2")
    edit_concert(desk, SLUG, {}, [ENCORE])
    again = opened(desk)
    assert (again.stale, again.place) == ("", 0)
    assert len(again.evening.ticked) == len(tonight.evening.ticked) == 2
    assert all(task.done for task in again.at_hand)
    assert undo(desk, again).evening.ticked[0].what == "doors 1"


def test_half_a_change_is_still_to_be_finished(desk: Desk, begun: Tonight) -> None:
    tonight = window_begins(desk, next_item(desk, begun))
    tonight = tick(desk, tonight, "change 1")
    edit_concert(desk, SLUG, {}, [ENCORE])
    again = opened(desk)
    task = again.task("change 1")
    assert task is not None
    assert (task.done, [one.side for one in task.rounds]) == (False, ["top"])
    assert not undo(desk, again).evening.ticked


def test_a_concert_that_was_over_goes_on_with_the_encore(desk: Desk, begun: Tonight) -> None:
    """The snare was brought back to low for the march: it is changed in the pause after it."""
    tonight = through(desk, window_begins(desk, next_item(desk, begun)))
    tonight = through(desk, window_begins(desk, next_item(desk, tonight)))
    while tonight.can_go_on:
        tonight = through(desk, next_item(desk, tonight))
    edit_concert(desk, SLUG, {}, [Alter(3, {"after_s": 90.0}), ENCORE])
    again = opened(desk)
    assert (again.step.kind, again.step.item) == ("window", 3)
    assert [(task.name, task.done) for task in again.at_hand] == [("snare/high", False)]
    assert next_item(desk, again).step.item == 4


@pytest.mark.parametrize("kind", ["item", "window"])
def test_a_later_item_taken_out_is_planned_without(desk: Desk, begun: Tonight, kind: str) -> None:
    """The march is gone: nothing is changed any more after the symphony."""
    tonight = through(desk, window_begins(desk, next_item(desk, begun)))
    if kind == "item":
        tonight = next_item(desk, tonight)
    edit_concert(desk, SLUG, {}, [Drop(3)])
    again = opened(desk)
    assert (again.stale, again.step.kind, again.step.item) == ("", kind, 1 if kind == "window" else 2)
    assert changed(again) == [("snare", "high", 1, None)]
    assert step_back(desk, again).step.item == 1


@pytest.mark.parametrize(
    "change",
    [Alter(1, {"title": "Prelude"}), Alter(1, {"presets": ["field/near"]}), Move(1, 3), Drop(1)],
    ids=["another title", "another preset", "another place", "taken out"],
)
def test_where_what_is_over_was_changed_it_is_begun_anew(desk: Desk, begun: Tonight, change: Change) -> None:
    window_begins(desk, next_item(desk, begun))
    edit_concert(desk, SLUG, {}, [change, ENCORE])
    assert "items have changed" in opened(desk).stale


def test_the_rest_is_planned_with_the_drums_on_the_stage(desk: Desk, begun: Tonight) -> None:
    """No drum is fetched in the middle of a concert; that nothing serves the encore is said."""
    assert begun.plan.drums == ("snare", "field")
    edit_concert(desk, SLUG, {}, [Alter(1, {"presets": ["snare/low"]}), Alter(3, {"presets": ["snare/low"]})])
    tonight = open_tonight(desk, planning.plan_concert(desk, SLUG))
    tonight = next_item(desk, tonight)
    edit_concert(desk, SLUG, {}, [Put({"title": "Encore", "presets": ["field/far"]})])
    again = opened(desk)
    assert not again.stale
    assert not again.plan.fits
    assert any(said.startswith("Item 4, Encore:") for said in again.plan.short)
    assert again.plan.drums == ("snare",)


@pytest.mark.parametrize("steps", range(9))
@pytest.mark.parametrize("ticked", [True, False], ids=["all done", "nothing done"])
def test_wherever_the_encore_is_put_in_every_item_finds_its_drums(
    desk: Desk, night: ModuleType, steps: int, ticked: bool
) -> None:
    """Two drums, a rest and a tacet item, from each step on: done as shown, all is where it should be."""
    night.shelve(desk)
    night.plan(desk)
    items: list[Change] = [
        Alter(2, {"presets": ["snare/high"], "after_s": 60.0}),
        Alter(3, {"presets": ["snare/high", "field/far"], "after_s": 90.0}),
        Put({"title": "Speech", "tacet": True, "seconds": 240.0, "after_s": 0.0}),
        Put({"title": "Last", "presets": ["snare/low", "field/far"], "seconds": 60.0, "after_s": 300.0}),
    ]
    edit_concert(desk, SLUG, {}, items)
    tonight = open_tonight(desk, planning.plan_concert(desk, SLUG))
    for index in range(steps):
        tonight = window_begins(desk, tonight) if tonight.can_rest else next_item(desk, tonight)
        # What the item that is on needs was done in any case.
        late = [task for task in tonight.at_hand if tonight.late(task)]
        if ticked or late or index < steps - 1:
            tonight = through(desk, tonight)
    edit_concert(desk, SLUG, {}, [Put({"title": "Encore", "presets": ["snare/high", "field/near"]})])
    before = [one.at for one in tonight.evening.ticked]
    here = (tonight.step.kind, tonight.step.item)
    tonight = open_tonight(desk, planning.plan_concert(desk, SLUG)) if not steps else opened(desk)
    assert (tonight.step.kind, tonight.step.item) == here
    assert [one.at for one in tonight.evening.ticked] == before
    assert tonight.plan.fits

    wanted = {preset: desk.library.preset(preset).record.turns for preset in desk.library.preset_ids()}
    seen = []
    while tonight.step.kind != "over":
        if tonight.step.kind != "item":
            tonight = through(desk, tonight)
        rests_to_come = tonight.can_rest and tonight.step.item < 6
        tonight = window_begins(desk, tonight) if rests_to_come else next_item(desk, tonight)
        if tonight.step.kind == "item" and tonight.item is not None:
            seen.append(tonight.step.item)
            for name in tonight.item.presets:
                drum = name.partition("/")[0]
                at = position_of(desk.library.drum(drum).record, desk.library.log(drum).entries)
                for side, turned in (("top", at.top), ("bottom", at.bottom)):
                    assert turned is not None
                    assert turned.amount == getattr(wanted[name], side).amount, name
    assert seen[-1] == 6
