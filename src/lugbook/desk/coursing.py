"""The plan that an evening goes by, kept so that it goes on by it.

A plan rests on what the logbooks say, and a concert writes into them: planned again in the middle of it, a
concert may come out otherwise. So what an evening was begun with is kept, and it goes on by that.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from lugbook.desk import changing
from lugbook.desk.changes import Change
from lugbook.desk.desk import Desk
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem, Setting
from lugbook.desk.programmes import ItemRow, Programme
from lugbook.desk.responses import Memory
from lugbook.records import LONGEST_LINE, Course, CourseChange, CourseDrum, CourseItem


def course_of(plan: ConcertPlan) -> Course:
    """Return what is kept of a plan."""
    of_programme = plan.programme.remarks
    return Course(
        items=tuple(
            CourseItem(
                name=one.row.name,
                presets=one.presets,
                tacet=one.row.item.tacet,
                seconds=one.row.seconds,
                remarks=_lines(one.remarks),
            )
            for one in plan.items
        ),
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
        short=_lines(plan.short),
        remarks=_lines([one for one in plan.remarks if one not in of_programme]),
        asked=asked_of(plan.programme),
    )


def asked_of(music: Programme) -> str:
    """Return a fingerprint of what a programme asks of a plan: other items or presets make another one."""
    concert = music.concert
    asked = (music.rows, music.drums, concert.drums, concert.stage_drums, concert.pace)
    return hashlib.sha256(repr(asked).encode()).hexdigest()


def same_items(rows: Sequence[ItemRow], course: Course) -> bool:
    """Tell whether these items are those that a course goes through."""
    return [row.name for row in rows] == [one.name for one in course.items]


def same_deeds(plan: ConcertPlan, course: Course) -> bool:
    """Tell whether a plan asks for the same drums, presets and changes as a course; times may differ."""
    return _deeds(course_of(plan)) == _deeds(course)


def as_begun(items: Sequence[PlannedItem], course: Course) -> tuple[PlannedItem, ...]:
    """Return the same *items*, tacet and as long as a course has them: its steps are counted by that."""
    return tuple(replace(one, row=_row(one.row, kept)) for one, kept in zip(items, course.items, strict=True))


def by_course(desk: Desk, music: Programme, rows: Sequence[ItemRow], course: Course) -> ConcertPlan:
    """Return the plan that a course goes by; how good it is among all plans is not known any more.

    Args:
        desk: the desk.
        music: the concert as it is now.
        rows: its items, which are those of the course.
        course: what is kept of the plan.

    Raises:
        LugbookError: a drum or a preset of it is not there any more.
    """
    changes = changes_by(desk, music, course.changes)
    work_s = sum(one.change.seconds for one in changes)
    return ConcertPlan(
        programme=music,
        items=tuple(item_by(row, one) for row, one in zip(rows, course.items, strict=True)),
        before_doors=doors_by(course),
        changes=changes,
        fits=not course.short,
        work_s=work_s,
        cost_s=work_s,
        bound_s=0.0,
        exact=False,
        missing=(),
        short=course.short,
        others=(),
        remarks=course.remarks,
    )


def changes_by(desk: Desk, music: Programme, kept: Sequence[CourseChange]) -> tuple[PlannedChange, ...]:
    """Return changes that are *kept* of a plan.

    Raises:
        LugbookError: a drum or a preset of them is not there any more.
    """
    memory = Memory()
    return tuple(
        PlannedChange(
            one.drum,
            one.begun,
            one.reached,
            window_by(one),
            one.before,
            _change(desk, music, one.drum, one.begun, one.reached, memory=memory),
        )
        for one in kept
    )


def doors_by(course: Course) -> tuple[Setting, ...]:
    """Return what the drums of a course are brought to before the doors."""
    return tuple(Setting(one.drum, one.preset, one.before) for one in course.drums)


def window_by(kept: CourseChange) -> Between:
    """Return the window of a change that is kept of a plan."""
    return Between(kept.after, kept.rest, kept.seconds, kept.bars)


def item_by(row: ItemRow, kept: CourseItem) -> PlannedItem:
    """Return an item as it was planned, tacet and as long as it was then."""
    return PlannedItem(_row(row, kept), kept.presets, kept.remarks)


def planned_change(desk: Desk, plan: ConcertPlan, drum: str, begun: str, reached: str) -> Change:
    """Return the silent change of a drum from one of its presets to another, at the pace of a concert.

    Raises:
        LugbookError: a preset is not there, or cannot be read.
    """
    return _change(desk, plan.programme, drum, begun, reached, memory=Memory())


def _change(desk: Desk, music: Programme, drum: str, begun: str, reached: str, *, memory: Memory) -> Change:
    pace = music.concert.pace
    return changing.planned_change(desk, f"{drum}/{begun}", f"{drum}/{reached}", pace=pace, memory=memory)


def _row(row: ItemRow, kept: CourseItem) -> ItemRow:
    return replace(row, seconds=kept.seconds, item=row.item.model_copy(update={"tacet": kept.tacet}))


def _lines(sentences: Sequence[str]) -> tuple[str, ...]:
    """Return *sentences* as a record can hold them: one that names very many presets is cut."""
    return tuple(
        one if len(one) <= LONGEST_LINE else f"{one[: LONGEST_LINE - 2]} …"
        for one in (" ".join(sentence.splitlines()) for sentence in sentences)
    )


def _deeds(course: Course) -> tuple[object, ...]:
    return (
        [one.presets for one in course.items],
        [(one.drum, one.preset) for one in course.drums],
        [(one.drum, one.begun, one.reached, one.after, one.rest, one.before) for one in course.changes],
    )
