"""What the concert screen shows, as text: the time left tall, the change to make, the running order."""

import math
from collections.abc import Iterator, Sequence
from datetime import datetime

from textual.content import Content
from textual.style import Style

from lugbook.desk.plans import PlannedItem
from lugbook.desk.rounds import OpenRound
from lugbook.desk.tonight import Step, Task, Tonight
from lugbook.desk.wording import folded, minutes_text
from lugbook.plain import shown
from lugbook.tui.tall import LOW, TALL, drawn
from lugbook.tui.turning import (
    DONE,
    LEFT,
    NEXT,
    amount_block,
    below_amount,
    beside,
    rod_block,
    rods_in_signs,
    way_of,
)
from lugbook.turns.amounts import show_turns

CURSOR = "›"
"""Stands before what the keys tick off."""

_MINUTES_FROM_S = 600
"""From here on the time left is counted in minutes."""


def time_words(tonight: Tonight, now: datetime) -> str:
    """Return how the time stands, such as ``0:47 of 1:30 left``; with a sign and a word past its end."""
    step, gone = tonight.step, tonight.elapsed_s(now)
    if step.kind in ("doors", "over"):
        return ""
    if step.kind == "item":
        # In whole minutes: nothing should flicker while one plays.
        whole = "" if step.seconds is None else f" of about {minutes_text(step.seconds)}"
        return f"on for {gone // 60:.0f} min{whole}"
    left = tonight.left_s(now)
    if left is None or step.seconds is None:
        return f"for {minutes_text(gone)}; nobody said how long"
    if left < 0:
        return f"! over by {minutes_text(-left)}"
    return f"{minutes_text(left)} of {minutes_text(step.seconds)} left"


def tall_time(tonight: Tonight, now: datetime) -> tuple[str, ...]:
    """Return seven rows with the time left of a window, tall, and what it is."""
    left = tonight.left_s(now)
    seconds = tonight.elapsed_s(now) if left is None else abs(left)
    past = left is not None and left < 0
    in_minutes = seconds >= _MINUTES_FROM_S
    number = math.ceil(seconds / 60) if in_minutes else round(seconds)
    if past:
        caption = f"! over by {minutes_text(seconds)}"
    else:
        caption = f"{'minutes' if in_minutes else 'seconds'} {'gone' if left is None else 'left'}"
    return (caption, *drawn(f"{'−' if past else ''}{number}", signs=TALL).rows, "")


def heading(tonight: Tonight, task: Task | None, *, width: int) -> tuple[str, ...]:
    """Return what is on in low letters: the head and the way to turn it, or the item."""
    step = tonight.step
    if step.kind == "doors":
        return _first_that_fits(("before the doors", "doors"), width=width)
    if step.kind == "over":
        return _first_that_fits(("over",), width=width)
    if step.kind == "item":
        name = tonight.item.row.name if tonight.item is not None else ""
        called = (name, _title(tonight.item), f"item {step.item}")
        return _first_that_fits(called, width=width)
    at_hand = _round_of(task)
    if at_hand is None:
        return ()
    head, way = at_hand.part.removesuffix(" head"), way_of(at_hand)
    if one := _first_that_fits((f"{head} {way}",), width=width):
        return one
    return (*_first_that_fits((head,), width=width), "", *_first_that_fits((way,), width=width))


def window_rows(tonight: Tonight, task: Task | None, now: datetime, *, width: int) -> tuple[str, ...]:
    """Return the tall rows of a window: the amount to turn, the time left, the first rod where it fits."""
    at_hand, time = _round_of(task), tall_time(tonight, now)
    if at_hand is None:
        return time
    rows = amount_block(at_hand)
    rod = rod_block(at_hand, caption="first rod")
    widest = sum(max(map(len, block)) for block in (rows, time, rod))
    if widest + 6 <= width:
        rows = beside(rows, rod, width=width - max(map(len, time)) - 2)
    both = max(map(len, rows)) + max(map(len, time)) + 2
    if both > width:
        # The amount stands in words below as well; the time does not.
        return (*time[:-1], *rows)
    return beside(rows, time, width=width)


def rods_in_order(task: Task | None) -> str:
    """Return the rods in the order to turn them, the first one marked."""
    at_hand = _round_of(task)
    return "" if at_hand is None else " ".join(f"{sign}{rod}" for sign, rod in rods_in_signs(at_hand))


def turn_words(task: Task | None) -> Iterator[str]:
    """Yield what is said below: what to be careful of, and how to turn each head."""
    at_hand = _round_of(task)
    if task is None or at_hand is None:
        return
    if below := below_amount(at_hand):
        yield below
    careful = (f"! {one.side}: {caution.short}" for one in task.rounds for caution in one.cautions)
    yield from dict.fromkeys(careful)
    yield from (sentence for one in task.rounds for sentence in one.steps)
    if task.change is not None:
        turned = {sentence for one in task.rounds for sentence in one.steps}
        yield from (step for step in task.change.steps if step not in turned)


def now_words(tonight: Tonight, task: Task | None, now: datetime) -> str:
    """Return what is on in a line or two: the item and its drums, or the change; and how the time stands."""
    step = tonight.step
    item, after = tonight.item, tonight.planned_item(step.item + 1)
    if step.kind == "doors":
        return "Bring each drum to its first preset, measured."
    if step.kind == "over" or item is None:
        return "The concert is over."
    if step.kind == "item":
        of = f"{NEXT} {step.item} of {len(tonight.plan.items)}  {shown(item.row.name)}"
        return f"{of}\n  {with_what(tonight, item)} · {time_words(tonight, now)}"
    if step.opens:
        of = f"{step.item} of {len(tonight.plan.items)}"
        line = f"{NEXT} {of}  {shown(item.row.name)}, tacet · {time_words(tonight, now)}"
    elif step.rest is not None:
        bars = f", bars {step.bars}" if step.bars else ""
        line = f"{NEXT} Rest in {step.item} {shown(item.row.name)}{bars} · {time_words(tonight, now)}"
    else:
        coming = f"before {after.row.number} {shown(after.row.name)}" if after is not None else "the end"
        line = f"{NEXT} {coming} · {time_words(tonight, now)}"
    todo = "" if task is None else f"{_way(tonight, task)} · {_needs(task)}"
    if not todo:
        todo = "Nothing is to be changed." if not tonight.at_hand else "All is done."
    return f"{line}\n  {todo}"


def with_what(tonight: Tonight, item: PlannedItem) -> str:
    """Return what an item is played with, such as ``Snare: Dry étude``."""
    if item.row.item.tacet:
        return "tacet"
    drums = [f"{_called(tonight, one.partition('/')[0])}: {_called(tonight, one)}" for one in item.presets]
    return " + ".join(drums) or "! nothing serves it"


def task_rows(tonight: Tonight, at: Task | None) -> Content:
    """Return what can be ticked off now, a row each; each knows its task, so that a click finds it."""
    rows = []
    for task in tonight.at_hand:
        cursor = CURSOR if at is not None and task.key == at.key else " "
        text = f"{cursor} {_sign(tonight, task)} {_task_words(tonight, task)}"
        style = "bold" if cursor == CURSOR else "dim" if task.done else ""
        row = Content.styled(text, style) if style else Content(text)
        rows.append(row.stylize(Style.from_meta({"task": task.key})))
    return Content("\n").join(rows)


def order_rows(tonight: Tonight) -> Content:
    """Return the running order: the items, between them the windows with their changes."""
    rows: list[Content] = []
    seen: set[int] = set()
    over = tonight.step.item - 2
    if over > 0:
        rows.append(Content.styled(f"{DONE} 1{f' to {over}' if over > 1 else ''}  over", "dim"))
    for index, step in enumerate(tonight.steps):
        on = index == tonight.place
        if step.item <= over:
            continue
        if (step.kind == "item" or step.opens) and step.item not in seen:
            seen.add(step.item)
            rows += _item_rows(tonight, step)
        if step.kind == "window":
            changes = [
                f"{_sign(tonight, task)} {_way(tonight, task)} · {_needs(task)}"
                for task in tonight.tasks
                if task.planned is not None and task.step == index
            ]
            if changes or on:
                time = "–:––" if step.seconds is None else minutes_text(step.seconds)
                bars = f"rest, bars {step.bars} " if step.bars else "rest " if step.rest is not None else ""
                bars = "in it " if step.opens else bars
                text = f"{NEXT if on else ' '}    {bars}{time}  {'   '.join(changes)}"
                rows.append(Content.styled(text, "bold") if on else Content(text))
    return Content("\n").join(rows)


def warnings(tonight: Tonight, *, key: str) -> tuple[str, ...]:
    """Return what must be seen first: what is kept of another evening, what does not fit, what is not kept.

    Args:
        tonight: the evening.
        key: the key that begins anew.
    """
    stale = f"! {tonight.stale} {key} begins anew." if tonight.stale else ""
    if tonight.other:
        stale = f"! {tonight.other} {key} twice begins anew."
    short = [f"! {sentence}" for sentence in tonight.plan.short]
    if not tonight.plan.fits and not short:
        short = ["! The plan does not fit."]
    nowhere = f"! {tonight.nowhere}" if tonight.nowhere else ""
    return tuple(map(shown, filter(None, (stale, *short, nowhere))))


def closing_words(tonight: Tonight) -> str:
    """Return what stands at the end: remarks of the plan and the programme, and files that cannot be read."""
    plan = tonight.plan
    lines = (
        *(f"Item {one.row.number}: {said}" for one in plan.items for said in one.remarks),
        *plan.remarks,
        *plan.programme.remarks,
        *(problem.sentence() for problem in plan.programme.problems),
    )
    return "\n".join(map(shown, dict.fromkeys(lines)))


def _item_rows(tonight: Tonight, step: Step) -> Iterator[Content]:
    item = tonight.planned_item(step.item)
    if item is None:
        return
    here = tonight.step
    on = here.kind != "over" and here.item == step.item and (here.kind == "item" or here.rest is not None)
    past = not on and here.item >= step.item
    sign = NEXT if on else DONE if past else LEFT
    text = f"{sign} {step.item}  {shown(_title(item))}   {with_what(tonight, item)}"
    yield Content.styled(text, "bold") if on else Content.styled(text, "dim") if past else Content(text)


def _title(item: PlannedItem | None) -> str:
    """Return what an item is called, without the composer of a piece."""
    if item is None:
        return ""
    name = item.row.name
    return name.partition(": ")[2] or name if item.row.item.piece else name


def _task_words(tonight: Tonight, task: Task) -> str:
    late = "left out: " if tonight.late(task) else ""
    said = f" · {shown(task.said)}" if task.said else ""
    if task.change is None:
        drum, preset = _called(tonight, task.drum), _called(tonight, task.name)
        return f"{drum}: {preset} · for item {task.before}{said}"
    if task.change.refused is not None:
        return f"{late}{_way(tonight, task)}{said}"
    turns = [f"{one.part.removesuffix(' head')} {_signed(one)}" for one in task.rounds]
    what = "done" if task.done else ", ".join(turns) or "nothing to turn"
    doubt = "" if task.change.trusted else " · not trusted"
    return f"{late}{_way(tonight, task)} · {what} · {_needs(task)}{doubt}{said}"


def _signed(at_hand: OpenRound) -> str:
    return show_turns(at_hand.amount, sign="always")


def _needs(task: Task) -> str:
    change = task.change
    return "" if change is None else "refused" if change.refused else minutes_text(change.seconds)


def _way(tonight: Tonight, task: Task) -> str:
    return f"{_called(tonight, task.drum)} → {_called(tonight, task.name)}"


def _sign(tonight: Tonight, task: Task) -> str:
    return DONE if task.done else "!" if tonight.late(task) else LEFT


def _called(tonight: Tonight, name: str) -> str:
    return shown(tonight.called(name))


def _round_of(task: Task | None) -> OpenRound | None:
    return task.rounds[0] if task is not None and task.rounds else None


def _first_that_fits(texts: Sequence[str], *, width: int) -> tuple[str, ...]:
    """Return the first of *texts* whose every letter can be drawn and that fits; no rows where none does."""
    for text in texts:
        letters = "".join(one for one in folded(text).upper() if one.isalnum() or one == " ").strip()
        if letters and all(one in LOW or one == " " for one in letters):
            line = drawn(letters, signs=LOW)
            if line.width <= width:
                return line.rows
    return ()
