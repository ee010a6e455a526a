"""What of a concert is ticked off, as the logbooks of its drums have it."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from lugbook.desk.bench import sit_down
from lugbook.desk.desk import Desk
from lugbook.desk.plans import PlannedChange, Setting
from lugbook.desk.rounds import BY_TURNS_ALONE, OpenRound, new_round
from lugbook.desk.steps import turning_order
from lugbook.desk.tonight import Task, Tonight, step_for
from lugbook.errors import LugbookError
from lugbook.records import SIDES, Entry, Evening, HeadSide, Ticked

WITHIN = "within"
"""Said of a drum that reads as its first preset wants it."""

Logs = Mapping[str, tuple[Entry, ...]]
"""The entries of each drum that is changed; a drum whose logbook cannot be read is missing."""


def caught_up(desk: Desk, tonight: Tonight) -> Evening:
    """Return the evening with what the logbooks hold: more ticks from the bench, fewer where struck out."""
    evening, logs = tonight.evening, _logs(desk, tonight)
    if tonight.stale:
        return evening
    changes = {_change_key(number): one for number, one in enumerate(tonight.plan.changes, 1)}
    ticked = {}
    for one in evening.ticked:
        planned = changes.get(one.what)
        log = None if planned is None else logs.get(planned.drum)
        there = one.entries if log is None else _among(log, one.entries)
        if there or not one.entries:
            ticked[one.what] = one if there == one.entries else one.model_copy(update={"entries": there})
    claimed = {entry for one in ticked.values() for entry in one.entries}
    # The latest window first: a change that was left out long ago is not what was turned just now.
    for key, planned in reversed(changes.items()):
        log = logs.get(planned.drum, ())
        before = ticked.get(key)
        if step_for(tonight.steps, planned.window, before=planned.before) > tonight.reach or _is_done(
            planned, before, log
        ):
            continue
        new = [one.stands_for for one in _turned_for(planned, log, evening) if one.stands_for not in claimed]
        if new:
            claimed |= set(new)
            entries = (*(before.entries if before is not None else ()), *new)
            ticked.pop(key, None)
            ticked[key] = Ticked(what=key, at=desk.now(), entries=entries)
    found = tuple(ticked.values())
    return evening if found == evening.ticked else evening.model_copy(update={"ticked": found})


def tasks_of(desk: Desk, tonight: Tonight) -> tuple[Task, ...]:
    """Return everything that is to be ticked off, in order."""
    logs = _logs(desk, tonight)
    ticked = {one.what: one for one in tonight.evening.ticked}
    doors = [
        _door(desk, tonight, number, one, ticked) for number, one in enumerate(tonight.plan.before_doors, 1)
    ]
    changes = []
    for number, planned in enumerate(tonight.plan.changes, 1):
        key = _change_key(number)
        log = logs.get(planned.drum)
        done = _is_done(planned, ticked.get(key), log)
        heads = frozenset() if log is None else heads_turned(ticked.get(key), log)
        rounds, fault = ((), "") if done else _rounds(desk, planned, without=heads)
        changes.append(
            Task(
                key,
                planned.drum,
                planned.to_preset,
                planned.before,
                step_for(tonight.steps, planned.window, before=planned.before),
                planned,
                done=done,
                rounds=rounds,
                said=planned.change.refused or fault,
            )
        )
    return (*doors, *changes)


def heads_turned(ticked: Ticked | None, log: Sequence[Entry]) -> frozenset[HeadSide]:
    """Return the heads that the entries of a tick turned."""
    wanted = () if ticked is None else ticked.entries
    entries = [one for one in log if one.stands_for in wanted]
    return frozenset(side for side in SIDES if any(one.turn.of(side) for one in entries))


def _is_done(planned: PlannedChange, ticked: Ticked | None, log: Sequence[Entry] | None) -> bool:
    """Tell whether a change is made: every head that moves was turned, or it was brought there heard."""
    if ticked is None:
        return False
    if log is None:
        return True
    heard = any(one.stands_for in ticked.entries and one.note != BY_TURNS_ALONE for one in log)
    return heard or set(planned.change.moves) <= heads_turned(ticked, log)


def _turned_for(planned: PlannedChange, log: Sequence[Entry], evening: Evening) -> list[Entry]:
    """Return the turns on the way to the preset of a change since the doors opened."""
    since: datetime | None = evening.trail[1].since if len(evening.trail) > 1 else None
    if since is None:
        return []
    name = f"{planned.drum}/{planned.to_preset}"
    return [one for one in log if one.kind == "turn" and one.preset == name and one.at >= since]


def _door(desk: Desk, tonight: Tonight, number: int, setting: Setting, ticked: Mapping[str, Ticked]) -> Task:
    key = f"doors {number}"
    task = Task(key, setting.drum, setting.preset, setting.before, 0, done=key in ticked)
    # Asked of the drum only while it can still be measured.
    said = _as_read(desk, task.name) if tonight.step.kind == "doors" else ""
    return Task(key, task.drum, task.preset, task.before, 0, done=task.done, said=said)


def _as_read(desk: Desk, name: str) -> str:
    """Say how the drum reads for its first preset, in a word or two; a sentence where it cannot be told."""
    try:
        bench = sit_down(desk, name)
    except LugbookError as error:
        return error.sentence
    if bench.round is not None:
        return "a round was stopped part-way"
    if bench.comparison is None:
        return "not read yet"
    within = bench.comparison.within
    return WITHIN if within else "off" if within is False else "read, cannot tell"


def _rounds(
    desk: Desk, planned: PlannedChange, *, without: frozenset[HeadSide]
) -> tuple[tuple[OpenRound, ...], str]:
    """Return what is left to turn, and why that cannot be told."""
    name = f"{planned.drum}/{planned.to_preset}"
    try:
        drum = desk.library.drum(planned.drum).record
        desk.library.preset(name)
    except LugbookError as error:
        return (), error.sentence
    moves, careful = planned.change.moves, planned.change.cautions
    sides = [side for side in turning_order(drum) if side in moves and side not in without]
    if drum.tension == "single":
        sides = sides[:1]
    return tuple(
        new_round(
            drum,
            side,
            moves[side],
            preset=name,
            cautions=[one for one in careful if one.side == side or drum.tension == "single"],
            tapped=False,
        )
        for side in sides
    ), ""


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


def _change_key(number: int) -> str:
    return f"change {number}"
