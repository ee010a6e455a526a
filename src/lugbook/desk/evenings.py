"""Where an evening is kept: written to the user's own folder, begun afresh, or left behind."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from lugbook.desk.coursing import course_of, same_items
from lugbook.desk.desk import Desk
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.programmes import ItemRow
from lugbook.desk.tonight import Tonight
from lugbook.desk.wording import day_text
from lugbook.errors import LibraryDamaged, LibraryMissing
from lugbook.library import keep_evening, load_evening, went_on
from lugbook.plain import shown
from lugbook.records import Evening, Reached

LASTS = timedelta(hours=6)
"""So long after its last step an evening goes on although the day is another: concerts end after midnight."""

NO_FIT = "What is kept of this evening does not fit its plan."
"""Why an evening that is kept does not go on where its steps are not those of its plan."""

OTHER_ITEMS = "The items have changed since this evening was begun."
"""Why an evening that is kept does not go on with the items of now."""

NOWHERE = "This evening is kept nowhere:"
"""Said before the reason."""


def kept_of(desk: Desk, concert: str) -> tuple[Evening | None, str]:
    """Return the evening that is kept of a concert, and why it cannot be told, in a sentence."""
    try:
        return load_evening(desk.user_folder, library=_library(desk), concert=concert), ""
    except LibraryDamaged as error:
        return None, f"{NOWHERE} {error}"


def check_here(desk: Desk, tonight: Tonight) -> None:
    """Make sure that the evening is the one that is kept, before anything is written for it.

    Raises:
        ChangedUnderneath: it went on in another window meanwhile.
    """
    kept, nowhere = kept_of(desk, tonight.plan.programme.id)
    if not nowhere and kept != tonight.kept:
        raise went_on()


def keep(desk: Desk, tonight: Tonight, evening: Evening) -> Tonight:
    """Keep the evening; where that cannot be, it lasts as long as the program runs, and that is said."""
    try:
        keep_evening(desk.user_folder, evening, before=tonight.kept)
    except (LibraryDamaged, LibraryMissing) as error:
        return replace(tonight, evening=evening, nowhere=f"{NOWHERE} {error}")
    return replace(tonight, evening=evening, kept=evening, nowhere="")


def fresh(desk: Desk, plan: ConcertPlan) -> Evening:
    """Return the evening that begins now, by a plan."""
    now = desk.now()
    return Evening(
        library=_library(desk),
        concert=plan.programme.id,
        on=now.date(),
        course=course_of(plan),
        begun=now,
        trail=(Reached(step=0, since=now),),
    )


def why_stale(desk: Desk, kept: Evening, rows: Sequence[ItemRow]) -> str:
    """Return why an evening that is kept does not go on with these items; empty where it does."""
    if not kept.trail:
        return NO_FIT
    now, last = desk.now(), kept.trail[-1]
    if kept.on != now.date() and now - last.since > LASTS:
        return f"What is kept is the evening of {day_text(kept.on)}."
    if not same_items(rows, kept.course):
        return OTHER_ITEMS
    return ""


def _library(desk: Desk) -> str:
    return shown(str(desk.library.root))
