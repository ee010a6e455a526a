"""What the player does while a concert is played: the next item, the window, ticking off, taking back.

Where the evening stands lies in the user's own folder and is on disk before a function returns. What is
ticked off is a silent change by turns in the drum's logbook. The logbook leads: a change that was turned at
the bench is ticked off by it, and a tick whose entries are struck out is gone.
"""

from dataclasses import replace

from lugbook.desk import turning_rods
from lugbook.desk.bench import Bench, sit_down
from lugbook.desk.desk import Desk
from lugbook.desk.elsewhere import elsewhere
from lugbook.desk.evenings import check_here, keep
from lugbook.desk.refusing import why_not_by
from lugbook.desk.silent_bench import with_change
from lugbook.desk.ticking import WITHIN, caught_up, lost_of, tasks_of
from lugbook.desk.ticks import entries_of, without
from lugbook.desk.tonight import Task, Tonight
from lugbook.desk.trying import strike_out
from lugbook.errors import Doubtful, NotPossible
from lugbook.records import Reached, Ticked


def next_item(desk: Desk, tonight: Tonight) -> Tonight:
    """The next item begins; in a rest inside an item, that item goes on.

    Raises:
        NotPossible: the concert is over.
    """
    _refuse_stale(tonight)
    if not tonight.can_go_on:
        raise NotPossible("The concert is over.", hint="Go back a step if an item is still to come.")
    here = tonight.step
    return _reach(
        desk,
        tonight,
        next(
            index
            for index, step in enumerate(tonight.steps)
            if index > tonight.place
            and (step.kind != "window" or step.opens)
            and (here.kind == "window" or step.item > here.item or step.kind == "over")
        ),
    )


def window_begins(desk: Desk, tonight: Tonight) -> Tonight:
    """The item is over, or rests: the hands are free from now on.

    Raises:
        NotPossible: no item is on, or nothing comes after it.
    """
    _refuse_stale(tonight)
    if not tonight.can_rest:
        what = {
            "doors": "No item is on yet.",
            "window": "The time between runs already.",
            "over": "The concert is over.",
        }
        raise NotPossible(what[tonight.step.kind], hint="The next item comes first.")
    return _reach(desk, tonight, tonight.place + 1)


def step_back(desk: Desk, tonight: Tonight) -> Tonight:
    """Take the last step back: what went before goes on, with the time that it began at.

    Raises:
        NotPossible: nothing was begun yet.
    """
    _refuse_stale(tonight)
    if not tonight.can_go_back:
        raise NotPossible("Nothing was begun yet.")
    trail = tonight.evening.trail[:-1]
    return _shown(desk, keep(desk, tonight, tonight.evening.model_copy(update={"trail": trail})))


def tick(desk: Desk, tonight: Tonight, key: str) -> Tonight:
    """Tick something off; of a change the head that is to be turned next, whose turns go into the logbook.

    The change is done with its last head.

    That may be something that is not at hand (`Tonight.at_hand`): the order in which things are done is the
    player's, and a screen offers what is at hand.

    Raises:
        ChangedUnderneath: the evening went on in another window meanwhile; nothing was written.
        LugbookError: it cannot be made, or not be written down; then it is not ticked off.
        NotPossible: it is done, or partly done, by what the drum's logbook holds now; nothing was written.
    """
    _refuse_stale(tonight)
    seen = _task(tonight, key)
    if seen.done:
        raise NotPossible("This is ticked off already.")
    _refuse_lost(desk, tonight, seen)
    tonight = _by_now(desk, tonight)
    task = _task(tonight, key)
    if task.done:
        raise NotPossible("This was turned at the bench meanwhile, and is ticked off.")
    if [(one.side, one.amount) for one in task.rounds] != [(one.side, one.amount) for one in seen.rounds]:
        raise NotPossible(
            f"The {task.drum} was turned meanwhile, so that other turns are left.",
            hint="They are shown as they are now: turn them, and tick it off then.",
        )
    entries: tuple[str, ...] = ()
    others = task.rounds[1:]
    said = f"Done: {_whole_of(tonight, task)}."
    if others:
        said = f"Done: {_head_of(tonight, task)}. The {others[0].part} is next."
    off = ""
    if task.planned is None:
        off = elsewhere(desk, task.name)
        if not task.said.startswith(WITHIN):
            said = "Ticked off; no reading of the last 45 minutes is within."
    else:
        if task.change is not None and not entries_of(tonight.evening.ticked, key):
            off = elsewhere(desk, f"{task.drum}/{task.change.from_preset}")
        entries = _turn_next(desk, task)
    if off:
        stands = "it stands" if task.planned is None else "it stood"
        said += f" By the logbook {stands} elsewhere: {off}."
    done = Ticked(what=key, at=desk.now(), entries=entries, whole=not others)
    ticked = (*tonight.evening.ticked, done)
    return _shown(desk, keep(desk, tonight, tonight.evening.model_copy(update={"ticked": ticked})), said)


def undo(desk: Desk, tonight: Tonight) -> Tonight:
    """Take the last tick back, and its entries out of the logbook, whether it is at hand or not.

    What was turned at the bench stays.

    Raises:
        ChangedUnderneath: the evening went on in another window meanwhile; nothing was struck out.
        LugbookError: nothing was ticked off, or something was written into the logbook since.
    """
    _refuse_stale(tonight)
    last = tonight.last_tick
    if last is None:
        raise NotPossible("Nothing was ticked off yet.")
    check_here(desk, tonight)
    task = _task(tonight, last.what)
    for entry_id in reversed(last.entries):
        try:
            strike_out(desk, task.drum, entry_id)
        except NotPossible as error:
            raise NotPossible(
                f"The {tonight.called(task.drum)} was turned or read since, and that rests on this tick.",
                hint="Take that back first, at the bench or in the logbook.",
            ) from error
    left = tonight.evening.model_copy(update={"ticked": without(tonight.evening.ticked, last)})
    shown = _shown(desk, keep(desk, tonight, left))
    said = f"Taken back: {_whole_of(tonight, task)}."
    if last.entries:
        # Shown anew, so that the head that is to be turned again is the first.
        said = f"Taken back: {_head_of(shown, _task(shown, last.what))}."
        said += " By the logbook it stands where it stood before."
    return replace(shown, remarks=(said,))


def at_bench(desk: Desk, tonight: Tonight, key: str) -> Bench:
    """Return the bench for a task: of a change, with its first round begun, to be made rod by rod.

    A round that was stopped part-way comes first. What was turned of it since *tonight* was shown is not to
    be turned again.

    Raises:
        ChangedUnderneath: the evening went on in another window meanwhile.
        LugbookError: the change cannot be made, or its preset is not there.
    """
    tonight = _by_now(desk, tonight)
    task = _task(tonight, key)
    _refuse_lost(desk, tonight, task)
    bench = sit_down(desk, task.name)
    if task.planned is None:
        return bench
    if bench.round is not None:
        ours = any(one.entry_id is not None and one.entry_id == bench.round.entry_id for one in task.rounds)
        # Taken up as what it is, a round of this change, so that the other head comes after it.
        return _about_to(desk, bench, task, remarks=bench.remarks) if ours else bench
    if task.done:
        return replace(bench, remarks=("This change is ticked off: nothing is left to turn for it.",))
    bench = _about_to(desk, bench, task)
    if bench.next_side is None:
        return bench
    try:
        return turning_rods.begin(bench, bench.next_side)
    except Doubtful:
        # Asked about at the bench, where the key is pressed again.
        return bench


def _by_now(desk: Desk, tonight: Tonight) -> Tonight:
    """Return the evening as its file and the logbooks have it now; nothing is kept.

    Raises:
        ChangedUnderneath: it went on in another window meanwhile.
    """
    check_here(desk, tonight)
    evening = caught_up(desk, tonight)
    if evening == tonight.evening:
        return tonight
    now = replace(tonight, evening=evening)
    return replace(now, tasks=tasks_of(desk, now))


def _turn_next(desk: Desk, task: Task) -> tuple[str, ...]:
    """Write down the turn of the next head of a change, and return the entries that hold it."""
    bench = sit_down(desk, task.name)
    if bench.round is not None:
        raise NotPossible(bench.round.unfinished())
    bench = _about_to(desk, bench, task)
    before = {entry.stands_for for entry in desk.library.log(task.drum).entries}
    if (side := bench.next_side) is not None:
        # The player has made the turn: its cautions stood beside it.
        bench = turning_rods.begin(bench, side, insisted=True)
        while bench.round is not None:
            bench = turning_rods.all_done(desk, bench)
    return tuple(
        entry.stands_for
        for entry in desk.library.log(task.drum).entries
        if entry.stands_for not in before and entry.kind == "turn" and entry.preset == task.name
    )


def _about_to(desk: Desk, bench: Bench, task: Task, *, remarks: tuple[str, ...] = ()) -> Bench:
    """Return the bench about to make what is left of a change, with *remarks* before all else."""
    change = task.change
    if change is None:
        return bench
    if change.refused is not None:
        raise NotPossible(change.refused)
    for slug in (change.from_preset, change.to_preset):
        name = f"{change.drum}/{slug}"
        why = why_not_by(bench.drum, name, desk.library.preset(name).record, instead=task.name)
        if why is not None:
            raise NotPossible(why)
    left = {one.side for one in task.rounds}
    turned = tuple(side for side in change.moves if side not in left)
    return with_change(desk, bench, change, turned=turned, remarks=remarks)


def _whole_of(tonight: Tonight, task: Task) -> str:
    return f"{tonight.called(task.drum)}: {tonight.called(task.name)}"


def _head_of(tonight: Tonight, task: Task) -> str:
    """Return what is to be turned next for a task, such as ``Snare: High, bottom head``."""
    of = _whole_of(tonight, task)
    return f"{of}, {task.rounds[0].part}" if task.rounds else of


def _task(tonight: Tonight, key: str) -> Task:
    task = tonight.task(key)
    if task is None:
        raise NotPossible("There is nothing to do here.")
    return task


def _refuse_lost(desk: Desk, tonight: Tonight, task: Task) -> None:
    if (lost := lost_of(desk, tonight, task)) is not None:
        raise lost


def _refuse_stale(tonight: Tonight) -> None:
    if tonight.stale:
        raise NotPossible(tonight.stale, hint="Begin the evening anew first.")


def _reach(desk: Desk, tonight: Tonight, step: int) -> Tonight:
    trail = (*tonight.evening.trail, Reached(step=step, since=desk.now()))
    left_out = [task for task in tonight.at_hand if not task.done and task.step < step]
    after = keep(desk, tonight, tonight.evening.model_copy(update={"trail": trail}))
    said = ", ".join(_whole_of(tonight, task) for task in left_out)
    return _shown(desk, after, *((f"Not ticked off: {said}.",) if said else ()))


def _shown(desk: Desk, tonight: Tonight, *remarks: str) -> Tonight:
    return replace(tonight, tasks=tasks_of(desk, tonight), remarks=remarks)
