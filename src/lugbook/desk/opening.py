"""Opening the evening of a concert: as it was left, as the logbooks have it by now, or begun anew.

An evening goes on by the plan that it was begun with. So the concert is planned only where no evening goes
on, or where something that its plan was made of has changed since.
"""

from dataclasses import replace

from lugbook.desk import planning, resuming
from lugbook.desk.coursing import as_begun, asked_of, by_course, same_deeds
from lugbook.desk.desk import Desk
from lugbook.desk.evenings import NO_FIT, OTHER_ITEMS, check_here, fresh, keep, kept_of, why_stale
from lugbook.desk.lost import why_lost
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.programmes import programme
from lugbook.desk.ticking import caught_up, tasks_of
from lugbook.desk.tonight import Tonight, steps_of
from lugbook.errors import ChangedUnderneath, LugbookError
from lugbook.plain import shown
from lugbook.records import Course, Evening


def open_tonight(desk: Desk, plan: ConcertPlan) -> Tonight:
    """Return the evening of a planned concert as it was left, or about to begin.

    An evening goes on by the plan that it was begun with, also where the concert is planned otherwise by now.
    Where other items were put in further on, the rest is planned from where it stands.
    """
    kept, nowhere = kept_of(desk, plan.programme.id)
    rows = [one.row for one in plan.items]
    stale = "" if kept is None else why_stale(desk, kept, rows)
    if kept is not None and stale == OTHER_ITEMS and (found := _taken_up(desk, kept, plan)) is not None:
        return found
    going, other = plan, ""
    if kept is not None and not stale:
        if same_deeds(plan, kept.course):
            going = replace(plan, items=as_begun(plan.items, kept.course))
        else:
            other = "Planned again it would go otherwise; it goes on as it was begun."
            try:
                going = by_course(desk, plan.programme, rows, kept.course)
            except LugbookError as error:
                lost = _what_is_lost(desk, kept.course) or error.sentence
                stale, other = f"The plan that this evening was begun with is lost: {lost}", ""
        if not stale and not _fits(going, kept):
            stale = NO_FIT
    evening = fresh(desk, plan) if kept is None or stale else kept
    begun = Tonight(
        going,
        plan,
        steps_of(going),
        (),
        evening,
        kept,
        _names(desk),
        stale=stale,
        other=other,
        nowhere=nowhere,
    )
    return look_again(desk, begun)


def going_on(desk: Desk, slug: str) -> Tonight | None:
    """Return the evening of a concert that goes on, without planning it; None where it has to be planned.

    That is where no evening goes on, or where the items, what serves them or the limits have changed since.

    Raises:
        LibraryDamaged: the concert's file cannot be read.
        NotFound: there is no such concert.
    """
    music = programme(desk, slug)
    kept, _ = kept_of(desk, slug)
    if kept is None or kept.course.asked != asked_of(music) or why_stale(desk, kept, music.rows):
        return None
    try:
        going = by_course(desk, music, music.rows, kept.course)
    except LugbookError:
        # Said when it is planned.
        return None
    if not _fits(going, kept):
        return None
    return look_again(desk, Tonight(going, None, steps_of(going), (), kept, kept, _names(desk)))


def look_again(desk: Desk, tonight: Tonight) -> Tonight:
    """Return the evening as the logbooks have it now: what was turned at the bench is ticked off.

    Raises:
        ChangedUnderneath: it went on in another window meanwhile.
    """
    check_here(desk, tonight)
    evening = caught_up(desk, tonight)
    if evening != tonight.evening:
        tonight = keep(desk, tonight, evening)
    return replace(tonight, tasks=tasks_of(desk, tonight), remarks=())


def as_it_is(desk: Desk, tonight: Tonight) -> Tonight:
    """Return the evening as it is by now, also where it went on in another window, which is remarked on."""
    try:
        return look_again(desk, tonight)
    except ChangedUnderneath as error:
        slug, newest = tonight.plan.programme.id, tonight.newest
        found = None if newest is not None else going_on(desk, slug)
        if found is None:
            found = open_tonight(desk, newest or planning.plan_concert(desk, slug))
        return replace(found, remarks=(error.sentence,))


def planned(desk: Desk, tonight: Tonight) -> Tonight:
    """Return the evening with the plan that it would begin anew by, made now; nothing is kept."""
    return replace(tonight, newest=planning.plan_concert(desk, tonight.plan.programme.id))


def begin_anew(desk: Desk, tonight: Tonight) -> Tonight:
    """Begin the evening anew, before the doors; what the logbooks hold stays."""
    plan = tonight.newest or planning.plan_concert(desk, tonight.plan.programme.id)
    afresh = replace(tonight, plan=plan, newest=plan, steps=steps_of(plan), stale="", other="")
    begun = keep(desk, afresh, fresh(desk, plan))
    return replace(begun, tasks=tasks_of(desk, begun), remarks=("The evening begins anew.",))


def _what_is_lost(desk: Desk, course: Course) -> str:
    """Return which drum or preset of a course was removed, and what brings it back; else nothing."""
    changed = [f"{one.drum}/{slug}" for one in course.changes for slug in (one.begun, one.reached)]
    for name in dict.fromkeys((*changed, *(f"{one.drum}/{one.preset}" for one in course.drums))):
        drum, _, preset = name.partition("/")
        lost = why_lost(desk, name, drum_called=shown(drum), called=shown(preset))
        if lost is not None:
            return str(lost)
    return ""


def _taken_up(desk: Desk, kept: Evening, plan: ConcertPlan) -> Tonight | None:
    """Return the evening with other items further on, kept so; None where it does not go on."""
    try:
        found = resuming.taken_up(desk, kept, plan)
    except LugbookError:
        # That the items have changed is said, and it begins anew.
        return None
    if found is None:
        return None
    going, evening = found
    begun = Tonight(going, plan, steps_of(going), (), kept, kept, _names(desk))
    return replace(look_again(desk, keep(desk, begun, evening)), remarks=(resuming.TAKEN_UP,))


def _fits(plan: ConcertPlan, kept: Evening) -> bool:
    """Tell whether the steps that were reached are there."""
    return max(one.step for one in kept.trail) < len(steps_of(plan))


def _names(desk: Desk) -> dict[str, str]:
    """Return what the player calls each drum and each preset."""
    names = {slug: one.record.name for slug, one in desk.library.drums().items.items()}
    return names | {name: one.record.name for name, one in desk.library.presets().items.items()}
