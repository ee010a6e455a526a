"""What the concert screen shows, as text: the time left tall, the change to make, the running order."""

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from textual.content import Content
from textual.style import Style

from lugbook.desk.plans import PlannedItem
from lugbook.desk.rounds import OpenRound
from lugbook.desk.tonight import Step, Task, Tonight, title_of
from lugbook.desk.wording import minutes_text
from lugbook.plain import shown
from lugbook.tui.concert_tall import round_of
from lugbook.tui.keys import sign_of
from lugbook.tui.turning import (
    DONE,
    LEFT,
    NEXT,
    below_amount,
)
from lugbook.turns.amounts import show_turns

_FEW = 3
"""What speaks against the plan takes no more rows before the doors, beside the row that more is said."""

CURSOR = "›"
"""Stands before what the keys tick off."""


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


def turn_words(task: Task | None) -> Iterator[str]:
    """Yield what is said below: what to be careful of, and how to turn each head."""
    at_hand = round_of(task)
    if task is None or at_hand is None:
        return
    if below := below_amount(at_hand):
        yield below
    careful = (f"! {one.side}: {caution.short}" for one in task.rounds for caution in one.cautions)
    yield from dict.fromkeys(careful)
    yield from task.steps


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
        line = f"{NEXT} {time_words(tonight, now)} · {of}  {shown(item.row.name)}, tacet"
    elif step.rest is not None:
        bars = f", bars {step.bars}" if step.bars else ""
        line = f"{NEXT} {time_words(tonight, now)} · rest in {step.item} {shown(title_of(item))}{bars}"
    else:
        coming = f"before {after.row.number} {shown(title_of(after))}" if after is not None else "the end"
        line = f"{NEXT} {time_words(tonight, now)} · {coming}"
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


def warnings(tonight: Tonight, *, keys: Mapping[str, str], width: int) -> tuple[str, ...]:
    """Return what must be seen first: what is kept of another evening, what does not fit, what is not kept.

    It is said before the doors open, in so few rows that the drums are seen too; later the room is for the
    change. The whole stands at the end.

    Args:
        tonight: the evening.
        keys: the key of every command.
        width: columns to use.
    """
    anew = sign_of(keys["begin_anew"])
    stale = f"! {tonight.stale} {anew} begins anew." if tonight.stale else ""
    if tonight.step.kind == "doors":
        said = [f"! {shown(one)}" for one in _against(tonight, key=anew)]
        return tuple(filter(None, (stale, *_in_few_rows(said, more=sign_of(keys["more"]), width=width))))
    brief = (
        "the plan does not fit" if not tonight.plan.fits else "",
        "planned otherwise by now" if tonight.other else "",
        "kept nowhere" if tonight.nowhere else "",
    )
    said_brief = ", ".join(filter(None, brief))
    line = f"! {said_brief[0].upper()}{said_brief[1:]}: see below." if said_brief else ""
    return tuple(filter(None, (stale, line)))


def _in_few_rows(sentences: Sequence[str], *, more: str, width: int) -> Iterator[str]:
    """Yield the *sentences* that fit into a few rows, the first cut if need be, and how many are left."""
    room = _FEW
    for place, sentence in enumerate(sentences):
        rows = textwrap.wrap(sentence, max(width, 1))
        if len(rows) > room:
            left = len(sentences) - place
            if place == 0:
                yield f"{' '.join(rows[:room])[: room * width - 2]} …"
                left -= 1
            yield f"… {left} more ({more})" if left else f"… the whole of it below ({more})"
            return
        room -= len(rows)
        yield sentence


def closing_words(tonight: Tonight, *, key: str) -> str:
    """Return what stands at the end: remarks of the plan and the programme, and files that cannot be read.

    Args:
        tonight: the evening.
        key: the key that begins anew.
    """
    plan = tonight.plan
    lines = (
        *_against(tonight, key=key),
        *(said for one in plan.items for said in one.remarks),
        *plan.remarks,
        *plan.programme.remarks,
        *(problem.sentence() for problem in plan.programme.problems),
    )
    return "\n".join(map(shown, dict.fromkeys(lines)))


def _against(tonight: Tonight, *, key: str) -> tuple[str, ...]:
    """Return what speaks against the plan, or against going by it, in sentences."""
    short = tonight.plan.short or (() if tonight.plan.fits else ("The plan does not fit.",))
    other = f"{tonight.other} {key} twice begins anew." if tonight.other else ""
    return tuple(filter(None, (*short, other, tonight.nowhere)))


def _item_rows(tonight: Tonight, step: Step) -> Iterator[Content]:
    item = tonight.planned_item(step.item)
    if item is None:
        return
    here = tonight.step
    on = here.kind != "over" and here.item == step.item and (here.kind == "item" or here.rest is not None)
    past = not on and here.item >= step.item
    sign = NEXT if on else DONE if past else LEFT
    text = f"{sign} {step.item}  {shown(title_of(item))}   {with_what(tonight, item)}"
    yield Content.styled(text, "bold") if on else Content.styled(text, "dim") if past else Content(text)


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
    if change is None:
        return ""
    # Of what is done, how long it took as a whole.
    return "refused" if change.refused else minutes_text(change.seconds if task.done else task.seconds)


def _way(tonight: Tonight, task: Task) -> str:
    return f"{_called(tonight, task.drum)} → {_called(tonight, task.name)}"


def _sign(tonight: Tonight, task: Task) -> str:
    return DONE if task.done else "!" if tonight.late(task) else LEFT


def _called(tonight: Tonight, name: str) -> str:
    return shown(tonight.called(name))
