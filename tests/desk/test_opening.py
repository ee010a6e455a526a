"""Opening an evening: by its own plan and at once, planned where something changed, as it was begun."""

from dataclasses import replace
from types import ModuleType

import pytest

from lugbook.desk import Desk
from lugbook.desk.concerts import edit_concert
from lugbook.desk.opening import as_it_is, begin_anew, going_on, open_tonight, planned
from lugbook.desk.performing import next_item, window_begins
from lugbook.desk.plans import Between, ConcertPlan, PlannedItem
from lugbook.desk.programmes import programme
from lugbook.desk.running import Alter, Move
from lugbook.desk.tonight import Tonight
from lugbook.errors import NotFound
from lugbook.records import LONGEST_LINE

from .conftest import Clock, tick_all

SLUG = "winter-concert"


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, night: ModuleType) -> list[str]:
    """The concerts that were planned; the planner is the one of the tests."""
    slugs: list[str] = []

    def plan_concert(desk: Desk, slug: str) -> ConcertPlan:
        slugs.append(slug)
        found: ConcertPlan = night.plan(desk)
        return found

    monkeypatch.setattr("lugbook.desk.planning.plan_concert", plan_concert)
    return slugs


def test_an_evening_goes_on_without_being_planned(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight, asked: list[str]
) -> None:
    """It is the one that opening it with its plan gives."""
    again = going_on(desk, SLUG)
    assert again is not None
    assert replace(again, newest=plan) == replace(open_tonight(desk, plan), plan=again.plan)
    assert again.plan.changes == plan.changes

    ticked = tick_all(desk, in_pause, "change 1")
    again = going_on(desk, SLUG)
    assert again is not None
    assert (again.evening, again.steps) == (ticked.evening, ticked.steps)
    assert [task.done for task in again.at_hand] == [True, False]
    assert again.newest is None
    assert not asked


def test_what_an_evening_goes_on_by_claims_nothing_of_other_plans(desk: Desk, plan: ConcertPlan) -> None:
    """How good its plan is among all is not known any more; what was said of it is."""
    items = tuple(replace(one, remarks=("Only the nearest.",)) for one in plan.items)
    begun = replace(plan, items=items, remarks=(*plan.programme.remarks, "Where no time is said, none is."))
    next_item(desk, open_tonight(desk, begun))
    newer = replace(plan, changes=plan.changes[:-1], bound_s=300.0, remarks=("No plan costs less than 300.",))
    for again in (going_on(desk, SLUG), open_tonight(desk, newer)):
        assert again is not None
        assert again.plan.remarks == ("Where no time is said, none is.",)
        assert (again.plan.bound_s, again.plan.exact) == (0.0, False)
        assert again.plan.items[0].remarks == ("Only the nearest.",)


def test_nothing_begun_is_planned(desk: Desk, plan: ConcertPlan) -> None:
    assert going_on(desk, SLUG) is None
    open_tonight(desk, plan)
    assert going_on(desk, SLUG) is None
    with pytest.raises(NotFound):
        going_on(desk, "summer-concert")


@pytest.mark.parametrize(
    "change",
    [
        Alter(1, {"after_s": 20.0}),
        Alter(2, {"presets": ["snare/low"]}),
        Move(1, 3),
    ],
    ids=["a shorter pause", "another preset", "another order"],
)
def test_with_items_that_say_something_else_it_is_planned(
    desk: Desk, in_pause: Tonight, change: Alter | Move
) -> None:
    del in_pause
    assert going_on(desk, SLUG) is not None
    edit_concert(desk, SLUG, {}, [change])
    assert going_on(desk, SLUG) is None


@pytest.mark.parametrize("values", [{"stage_drums": 1}, {"drums": ["snare"]}, {"pace": 2.0}])
def test_with_other_limits_it_is_planned(desk: Desk, in_pause: Tonight, values: dict[str, object]) -> None:
    del in_pause
    edit_concert(desk, SLUG, values)
    assert going_on(desk, SLUG) is None


def test_on_another_day_or_without_its_preset_it_is_planned(
    desk: Desk, in_pause: Tonight, clock: Clock
) -> None:
    del in_pause
    file = desk.library.root / "drums" / "snare" / "presets" / "high.toml"
    kept = file.read_bytes()
    file.unlink()
    assert going_on(desk, SLUG) is None
    file.write_bytes(kept)
    assert going_on(desk, SLUG) is not None
    clock.forward(days=1)
    assert going_on(desk, SLUG) is None


def test_it_is_planned_before_it_begins_anew(desk: Desk, in_pause: Tonight, asked: list[str]) -> None:
    del in_pause
    again = going_on(desk, SLUG)
    assert again is not None
    ready = planned(desk, again)
    assert (asked, ready.place) == ([SLUG], 2)
    anew = begin_anew(desk, ready)
    assert (anew.place, anew.plan, asked) == (0, ready.newest, [SLUG])
    assert begin_anew(desk, anew).place == 0


def test_what_went_on_elsewhere_is_shown_by_the_plan_of_now(
    desk: Desk, plan: ConcertPlan, in_pause: Tonight, night: ModuleType
) -> None:
    """The evening goes by an older plan; begun anew after the other window was noticed, by the newest."""
    here = open_tonight(desk, night.without_last(plan))
    assert len(here.plan.changes) == 4
    next_item(desk, in_pause)
    anew = begin_anew(desk, as_it_is(desk, here))
    assert len(anew.plan.changes) == 3


def test_seconds_taken_off_a_tacet_item_leave_the_steps(desk: Desk, plan: ConcertPlan, clock: Clock) -> None:
    """A speech of four minutes was a window from its beginning, and stays one this evening."""
    evening = with_speech(desk, plan)
    tonight = window_begins(desk, next_item(desk, next_item(desk, open_tonight(desk, evening))))
    tonight = next_item(desk, tonight)
    assert (tonight.step.item, tonight.planned_item(3)) == (3, tonight.item)
    clock.forward(seconds=5)

    for values in ({"seconds": None}, {"tacet": None, "title": "Speech", "presets": ["snare/low"]}):
        edit_concert(desk, SLUG, {}, [Alter(2, values)])
        again = open_tonight(desk, with_rows(desk, evening))
        assert not again.stale
        assert (again.steps, again.step.item, again.item) == (tonight.steps, 3, tonight.item)


def test_a_very_long_sentence_is_cut(desk: Desk, plan: ConcertPlan) -> None:
    """It names some hundred presets: the evening begins all the same, and goes on."""
    names = " or ".join(f"snare/preset-number-{number}" for number in range(200))
    sentence = f"Item 1 has no drum: {names} would take one drum more."
    assert len(sentence) > LONGEST_LINE
    short = replace(plan, fits=False, short=(sentence, "Two\nlines."))
    tonight = next_item(desk, open_tonight(desk, short))

    again = going_on(desk, SLUG)
    assert again is not None
    assert tonight.plan.short[0] == sentence
    assert sentence.startswith(again.plan.short[0].removesuffix(" …"))
    assert len(again.plan.short[0]) == LONGEST_LINE
    assert again.plan.short[1] == "Two lines."


def with_speech(desk: Desk, plan: ConcertPlan) -> ConcertPlan:
    """Make the symphony a speech in which the snare is changed, and return the plan."""
    speech = {
        "title": "Speech",
        "tacet": True,
        "presets": [],
        "rests": [],
        "seconds": 240.0,
        "after_s": 20.0,
    }
    edit_concert(desk, SLUG, {}, [Alter(2, speech)])
    within = replace(plan.changes[0], window=Between(2, 0, 240.0), before=3)
    return with_rows(desk, replace(plan, changes=(within,)))


def with_rows(desk: Desk, plan: ConcertPlan) -> ConcertPlan:
    """Return the plan with the items as the concert has them now, played as they were planned."""
    found = programme(desk, SLUG)
    items = tuple(
        PlannedItem(row, () if row.number == 2 else old.presets)
        for row, old in zip(found.rows, plan.items, strict=True)
    )
    return replace(plan, programme=found, items=items)
