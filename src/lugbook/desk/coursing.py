"""The plan that an evening goes by, kept so that it goes on by it.

A plan rests on what the logbooks say, and a concert writes into them: planned again in the middle of it, a
concert may come out otherwise. So what an evening was begun with is kept, and it goes on by that.
"""

from dataclasses import replace

from lugbook.desk import changing
from lugbook.desk.changes import Change
from lugbook.desk.desk import Desk
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem, Setting
from lugbook.records import Course, CourseChange, CourseDrum, CourseItem


def course_of(plan: ConcertPlan) -> Course:
    """Return what is kept of a plan."""
    return Course(
        items=tuple(CourseItem(name=one.row.name, presets=one.presets) for one in plan.items),
        drums=tuple(
            CourseDrum(drum=one.drum, preset=one.preset, before=one.before) for one in plan.before_doors
        ),
        changes=tuple(
            CourseChange(
                drum=one.drum,
                begun=one.from_preset,
                reached=one.to_preset,
                after=one.window.after,
                rest=one.window.rest,
                seconds=one.window.seconds,
                bars=one.window.bars,
                before=one.before,
            )
            for one in plan.changes
        ),
        short=plan.short,
    )


def same_items(plan: ConcertPlan, course: Course) -> bool:
    """Tell whether a plan is one of the items that a course goes through."""
    return [one.row.name for one in plan.items] == [one.name for one in course.items]


def same_deeds(plan: ConcertPlan, course: Course) -> bool:
    """Tell whether a plan asks for the same drums, presets and changes as a course; times may differ."""
    return _deeds(course_of(plan)) == _deeds(course)


def by_course(desk: Desk, plan: ConcertPlan, course: Course) -> ConcertPlan:
    """Return the plan of the same items that a course goes by.

    Args:
        desk: the desk.
        plan: a plan of the same items.
        course: what is kept of the other.

    Raises:
        LugbookError: a drum or a preset of it is not there any more.
    """
    changes = tuple(
        PlannedChange(
            one.drum,
            one.begun,
            one.reached,
            Between(one.after, one.rest, one.seconds, one.bars),
            one.before,
            planned_change(desk, plan, one.drum, one.begun, one.reached),
        )
        for one in course.changes
    )
    work_s = sum(one.change.seconds for one in changes)
    return replace(
        plan,
        items=tuple(
            PlannedItem(old.row, one.presets) for old, one in zip(plan.items, course.items, strict=True)
        ),
        before_doors=tuple(Setting(one.drum, one.preset, one.before) for one in course.drums),
        changes=changes,
        fits=not course.short,
        work_s=work_s,
        cost_s=work_s,
        missing=(),
        short=course.short,
        others=(),
        exact=False,
    )


def planned_change(desk: Desk, plan: ConcertPlan, drum: str, begun: str, reached: str) -> Change:
    """Return the silent change of a drum from one of its presets to another, at the pace of a concert.

    Raises:
        LugbookError: a preset is not there, or cannot be read.
    """
    pace = plan.programme.concert.pace
    return changing.planned_change(desk, f"{drum}/{begun}", f"{drum}/{reached}", pace=pace)


def _deeds(course: Course) -> tuple[object, ...]:
    return (
        [one.presets for one in course.items],
        [(one.drum, one.preset) for one in course.drums],
        [(one.drum, one.begun, one.reached, one.after, one.rest, one.before) for one in course.changes],
    )
