"""Taking up an evening whose concert was given other items further on, such as an encore.

What is over stays as it was: its presets, its ticks, and where the evening stands. The drums stand where the
evening left them, and the rest is planned from there.
"""

from collections.abc import Sequence
from dataclasses import replace

from lugbook.desk import planning
from lugbook.desk.asked import SoFar
from lugbook.desk.coursing import changes_by, course_of, doors_by, item_by, window_by
from lugbook.desk.desk import Desk
from lugbook.desk.plans import ConcertPlan, Setting
from lugbook.desk.programmes import ItemRow
from lugbook.desk.tonight import Step, change_key, doors_key, steps_of, steps_through
from lugbook.records import Course, Evening, Reached, Ticked

TAKEN_UP = "The items have changed further on: what is over stays, and the rest is planned from here."
"""Said of an evening that was taken up so."""


def taken_up(desk: Desk, kept: Evening, plan: ConcertPlan) -> tuple[ConcertPlan, Evening] | None:
    """Return the plan by which an evening goes on with other items, and where it stands in it.

    Args:
        desk: the desk.
        kept: the evening as it was left.
        plan: the whole concert, planned as it is now.

    Returns:
        None where the items that are over, or the one that is on, are others by now.

    Raises:
        LugbookError: it cannot be planned, or a preset of what was done is not there any more.
    """
    course, music, rows = kept.course, plan.programme, [one.row for one in plan.items]
    before = _steps_by(course, rows)
    if not rows or not kept.trail or kept.trail[-1].step >= len(before):
        return None
    here = before[kept.trail[-1].step]
    if not _same_so_far(rows, course, here.item):
        return None
    if here.kind == "doors":
        return plan, _with(kept, plan, kept.trail[-1:], _doors_again(kept, plan.before_doors))
    # What was begun counts as done here: it is finished before the drum is changed again.
    numbers = [
        number
        for number in range(1, len(course.changes) + 1)
        if any(one.what == change_key(number) for one in kept.ticked)
    ]
    done = [course.changes[number - 1] for number in numbers]
    stands = {one.drum: one.preset for one in course.drums} | {one.drum: one.reached for one in done}
    sofar = _so_far(course, before, kept.trail[-1].step, stands)
    onward = planning.plan_concert(desk, music.id, sofar=sofar) if stands else plan
    past = zip(rows[: here.item], course.items, strict=False)
    changes = (*changes_by(desk, music, done), *onward.changes)
    going = replace(
        onward,
        items=(*(item_by(row, one) for row, one in past), *onward.items[here.item :]),
        before_doors=doors_by(course),
        changes=changes,
        work_s=sum(one.change.seconds for one in changes),
    )
    after = steps_of(going)
    trail = tuple(
        one.model_copy(update={"step": step})
        for one in kept.trail[:-1]
        if (step := _same_step(before, one.step, after)) is not None
    )
    place = _same_step(before, kept.trail[-1].step, after)
    if place is None:
        # Nothing is changed in that rest any more; or the concert was over, and goes on after a pause.
        own = [index for index, step in enumerate(after) if step.item == here.item]
        place = own[-1] if here.kind == "over" else own[0]
    renamed = {change_key(number): change_key(new) for new, number in enumerate(numbers, 1)}
    ticked = [one.model_copy(update={"what": renamed.get(one.what, one.what)}) for one in kept.ticked]
    last = kept.trail[-1].model_copy(update={"step": place})
    return going, _with(kept, going, (*trail, last), ticked)


def _with(kept: Evening, plan: ConcertPlan, trail: Sequence[Reached], ticked: Sequence[Ticked]) -> Evening:
    now = {"course": course_of(plan), "trail": tuple(trail), "ticked": tuple(ticked)}
    return kept.model_copy(update=now)


def _so_far(course: Course, steps: Sequence[Step], place: int, stands: dict[str, str]) -> SoFar:
    """Return how far the concert has come, with the drums as they stand."""
    here = steps[place]
    names = tuple(f"{drum}/{preset}" for drum, preset in stands.items())
    on = course.items[here.item - 1].presets
    rests = [one.rest for one in steps[:place] if one.item == here.item and one.rest is not None]
    over = here.kind == "over" or (here.kind == "window" and here.rest is None)
    if over or not set(on) <= set(names):
        # A drum that was changed for what comes after is not turned back.
        return SoFar(here.item, names)
    return SoFar(here.item, names, on, max(rests, default=-1) + 1)


def _same_so_far(rows: Sequence[ItemRow], course: Course, number: int) -> bool:
    """Tell whether the items up to that *number* are those of a course, played with the same presets."""
    pairs = list(zip(rows[:number], course.items[:number], strict=False))
    return len(pairs) == number and all(
        (row.name, row.item.tacet) == (one.name, one.tacet) and row.presets in ((), one.presets)
        for row, one in pairs
    )


def _doors_again(kept: Evening, doors: Sequence[Setting]) -> list[Ticked]:
    """Return the ticks of drums that are still brought to the same presets before the doors."""
    before = [(one.drum, one.preset) for one in kept.course.drums]
    keys = {doors_key(number): one for number, one in enumerate(before, 1)}
    again = {(one.drum, one.preset): doors_key(number) for number, one in enumerate(doors, 1)}
    return [
        one.model_copy(update={"what": again[keys[one.what]]})
        for one in kept.ticked
        if keys.get(one.what) in again
    ]


def _steps_by(course: Course, rows: Sequence[ItemRow]) -> tuple[Step, ...]:
    """Return the steps of a course; items that are gone by now stand as any other."""
    last = len(rows) - 1
    items = [
        item_by(replace(rows[min(index, last)], number=index + 1), one)
        for index, one in enumerate(course.items)
        if rows
    ]
    return steps_through(items, map(window_by, course.changes))


def _same_step(before: Sequence[Step], place: int, after: Sequence[Step]) -> int | None:
    """Return where the step of that *place* is now; None where it is none any more."""

    def like(steps: Sequence[Step]) -> list[int]:
        wanted = _name(before[place])
        return [index for index, one in enumerate(steps) if _name(one) == wanted]

    which, there = like(before).index(place), like(after)
    return there[min(which, len(there) - 1)] if there else None


def _name(step: Step) -> tuple[object, ...]:
    return step.kind, step.item, step.rest, step.opens
