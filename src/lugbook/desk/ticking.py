"""What of a concert is ticked off, as the logbooks of its drums have it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from lugbook.desk.bench import sit_down
from lugbook.desk.changes import Change
from lugbook.desk.coursing import planned_change
from lugbook.desk.desk import Desk
from lugbook.desk.elsewhere import elsewhere, was_within
from lugbook.desk.journal import READINGS_LAST
from lugbook.desk.left import what_is_left
from lugbook.desk.lost import why_lost
from lugbook.desk.plans import ConcertPlan, PlannedChange
from lugbook.desk.rounds import BY_TURNS_ALONE
from lugbook.desk.ticks import entries_of, heads_turned, is_whole, not_whole
from lugbook.desk.tonight import Task, Tonight, change_key, doors_key, step_for
from lugbook.errors import LugbookError, NotPossible
from lugbook.records import SIDES, Entry, Evening, HeadSide, Preset, Ticked

WITHIN = "within"
"""Said of a drum that reads as its first preset wants it."""

Logs = Mapping[str, tuple[Entry, ...]]
"""The entries of each drum that is changed; a drum whose logbook cannot be read is missing."""


def caught_up(desk: Desk, tonight: Tonight) -> Evening:
    """Return the evening with what the logbooks hold: more ticks from the bench, fewer where struck out."""
    evening = tonight.evening
    if tonight.stale:
        return evening
    logs = _logs(desk, tonight)
    drums = {change_key(number): planned.drum for number, planned in enumerate(tonight.plan.changes, 1)}
    ticked: list[Ticked] = []
    lost: set[str] = set()
    for one in evening.ticked:
        log = logs.get(drums.get(one.what, ""))
        there = one.entries if log is None else _among(log, one.entries)
        if there != one.entries:
            lost.add(one.what)
        if there or there == one.entries:
            ticked.append(one.model_copy(update={"entries": there}))
    ticked = [not_whole(one) if one.what in lost else one for one in ticked]
    claimed = {entry for one in ticked for entry in one.entries}
    # The latest window first: a change that was left out long ago is not what was turned just now.
    for number, planned in reversed(tuple(enumerate(tonight.plan.changes, 1))):
        key, log = change_key(number), logs.get(planned.drum, ())
        before = entries_of(ticked, key)
        step = step_for(tonight.steps, planned.window, before=planned.before)
        if step > tonight.reach or is_whole(ticked, key):
            continue
        new = [one for one in _turned_for(planned, log, evening, step) if one.stands_for not in claimed]
        turned = tuple(one.stands_for for one in new)
        entries = (*before, *turned)
        if not entries:
            continue
        claimed.update(entries)
        heads = heads_turned(entries, log)
        whole = _heard_there(desk, planned, log, entries, new) or (
            bool(new) and _all_turned(desk, tonight.plan, ticked, number, heads)
        )
        if new:
            ticked.append(Ticked(what=key, at=desk.now(), entries=turned, whole=whole, here=False))
        elif whole:
            last = max(place for place, one in enumerate(ticked) if one.what == key)
            ticked[last] = ticked[last].model_copy(update={"whole": True})
    found = tuple(ticked)
    return evening if found == evening.ticked else evening.model_copy(update={"ticked": found})


def tasks_of(desk: Desk, tonight: Tonight) -> tuple[Task, ...]:
    """Return everything that is to be ticked off, in order."""
    logs = _logs(desk, tonight)
    ticked = tonight.evening.ticked
    doors = [_door(desk, tonight, number, ticked) for number in range(1, len(tonight.plan.before_doors) + 1)]
    changes = [
        _task(desk, tonight, number, ticked, logs) for number in range(1, len(tonight.plan.changes) + 1)
    ]
    return (*doors, *changes)


def lost_of(desk: Desk, tonight: Tonight, task: Task) -> NotPossible | None:
    """Return that the drum or the preset of a task was removed; None where they were not."""
    drum, preset = tonight.called(task.drum), tonight.called(task.name)
    return why_lost(desk, task.name, drum_called=drum, called=preset)


def _task(desk: Desk, tonight: Tonight, number: int, ticked: Sequence[Ticked], logs: Logs) -> Task:
    planned, key = tonight.plan.changes[number - 1], change_key(number)
    done = is_whole(ticked, key)
    task = Task(
        key,
        planned.drum,
        planned.to_preset,
        planned.before,
        step_for(tonight.steps, planned.window, before=planned.before),
        planned,
        planned.change,
        done=done,
    )
    if done:
        return task
    try:
        said, change = _change_to_make(desk, tonight.plan, ticked, number)
        log = logs.get(planned.drum, ())
        turned = heads_turned(entries_of(ticked, key), log)
        left = what_is_left(desk, tonight.plan, planned, change, log, turned=turned)
    except LugbookError as error:
        lost = lost_of(desk, tonight, task)
        said = error.sentence if lost is None else str(lost)
        blank = replace(planned.change, refused=planned.change.refused or said)
        return replace(task, change=blank, said=blank.refused or "")
    return replace(
        task,
        change=change,
        rounds=left.rounds,
        steps=left.steps,
        seconds=left.seconds,
        said=" · ".join(filter(None, (left.said, change.refused or said))),
    )


def _all_turned(
    desk: Desk, plan: ConcertPlan, ticked: Sequence[Ticked], number: int, heads: frozenset[HeadSide]
) -> bool:
    """Tell whether these *heads* are all that the change of that *number* turns."""
    try:
        change = _change_to_make(desk, plan, ticked, number)[1]
    except LugbookError:
        return False
    return change.refused is None and set(change.moves) <= heads


def _heard_there(
    desk: Desk, planned: PlannedChange, log: Sequence[Entry], entries: Sequence[str], new: Sequence[Entry]
) -> bool:
    """Tell whether the drum is where it should be by what was read at the bench, whatever the count says.

    Either both heads were read again after the turns, and are within; or those that were turned just now were
    turned by pitch, and the others were within when they were read.
    """
    name = f"{planned.drum}/{planned.to_preset}"
    try:
        preset = desk.library.preset(name).record
    except LugbookError:
        return False
    heads = heads_turned(entries, log)
    last = max((place for place, one in enumerate(log) if one.stands_for in entries), default=-1)
    wanted = [side for side in SIDES if preset.target(side) is not None]
    again = [_is_within(desk, name, preset, log[last + 1 :], side) for side in wanted]
    if again and all(again):
        return True
    since = new[0].at - READINGS_LAST if new else None
    if since is None or all(one.note == BY_TURNS_ALONE for one in new):
        return False
    recent = [one for one in log if one.at >= since]
    return all(side in heads or _is_within(desk, name, preset, recent, side) for side in wanted)


def _is_within(desk: Desk, name: str, preset: Preset, log: Sequence[Entry], side: HeadSide) -> bool:
    """Tell whether the last reading of a head on the way to a preset, if any, is within."""
    on_the_way = (one for one in reversed(log) if one.preset == name and one.reading(side) is not None)
    entry = next(on_the_way, None)
    return entry is not None and was_within(desk, entry, side, preset)


def _change_to_make(
    desk: Desk, plan: ConcertPlan, ticked: Sequence[Ticked], number: int
) -> tuple[str, Change]:
    """Return the change of that *number*, from where the drum was left, and what is said of that.

    Where the drum's change before it was left out, the drum stands in an earlier preset, and the turns are
    those from there.

    Raises:
        LugbookError: the change left out was begun, or a preset is not there any more.
    """
    planned, begun = plan.changes[number - 1], plan.changes[number - 1]
    for earlier in range(number - 1, 0, -1):
        before, key = plan.changes[earlier - 1], change_key(earlier)
        if before.drum != planned.drum:
            continue
        if is_whole(ticked, key):
            break
        if entries_of(ticked, key):
            way = f"{before.from_preset} to {before.to_preset}"
            raise NotPossible(
                f"The change of {before.drum} from {way} was begun: finish it first, or undo it."
            )
        begun = before
    if begun is planned and planned.change.refused is None:
        return "", planned.change
    # Also where it was refused: what stood against it may be gone by now.
    found = planned_change(desk, plan, planned.drum, begun.from_preset, planned.to_preset)
    left_out = f"counted from {begun.from_preset}, as the change before was left out"
    return "" if begun is planned else left_out, found


def _turned_for(planned: PlannedChange, log: Sequence[Entry], evening: Evening, step: int) -> list[Entry]:
    """Return the turns on the way to the preset of a change, made since it came to hand.

    That is since its own step, or the item before it, was first reached: what turned the drum to that
    preset before, as for the doors, was for something else.
    """
    since = next((one.since for one in evening.trail if one.step >= max(1, step - 1)), None)
    if since is None:
        return []
    name = f"{planned.drum}/{planned.to_preset}"
    return [one for one in log if one.kind == "turn" and one.preset == name and one.at >= since]


def _door(desk: Desk, tonight: Tonight, number: int, ticked: Sequence[Ticked]) -> Task:
    setting, key = tonight.plan.before_doors[number - 1], doors_key(number)
    task = Task(key, setting.drum, setting.preset, setting.before, 0, done=is_whole(ticked, key))
    # Asked of the drum only while it can still be measured.
    if tonight.step.kind != "doors":
        return task
    lost = lost_of(desk, tonight, task)
    return replace(task, said=_as_read(desk, task.name) if lost is None else str(lost))


def _as_read(desk: Desk, name: str) -> str:
    """Say how the drum reads for its first preset, in a word or two; a sentence where it cannot be told."""
    try:
        bench = sit_down(desk, name)
    except LugbookError as error:
        return error.sentence
    if bench.round is not None:
        return "a round was stopped part-way"
    off = elsewhere(desk, name)
    within = None if bench.comparison is None else bench.comparison.within
    read = WITHIN if within else "off" if within is False else "read, cannot tell"
    return " · ".join(
        filter(
            None,
            (
                "not read yet" if bench.comparison is None else read,
                f"by the logbook it stands elsewhere: {off}" if off else "",
            ),
        )
    )


def _logs(desk: Desk, tonight: Tonight) -> dict[str, tuple[Entry, ...]]:
    found = {}
    for drum in dict.fromkeys(one.drum for one in tonight.plan.changes):
        try:
            desk.library.drum(drum)
            found[drum] = desk.library.log(drum).entries
        except LugbookError:
            # Said where the drum itself is shown; what was ticked off stays.
            continue
    return found


def _among(log: Sequence[Entry], wanted: Sequence[str]) -> tuple[str, ...]:
    there = {one.stands_for for one in log}
    return tuple(one for one in wanted if one in there)
