"""The tall rows of the concert screen: what is on, the amount to turn, the first rod, the time left."""

import math
from collections.abc import Sequence
from datetime import datetime

from lugbook.desk.rounds import OpenRound
from lugbook.desk.tonight import Task, Tonight, title_of
from lugbook.desk.wording import folded, minutes_text
from lugbook.tui.tall import LOW, TALL, drawn
from lugbook.tui.turning import amount_block, beside, rod_block, rods_in_signs, way_of

_MINUTES_FROM_S = 600
"""From here on the time left is counted in minutes."""


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
        called = (name, title_of(tonight.item), f"item {step.item}")
        return _first_that_fits(called, width=width)
    at_hand = round_of(task)
    if at_hand is None:
        return ()
    head, way = at_hand.part.removesuffix(" head"), way_of(at_hand)
    if one := _first_that_fits((f"{head} {way}",), width=width):
        return one
    return (*_first_that_fits((head,), width=width), "", *_first_that_fits((way,), width=width))


def window_rows(tonight: Tonight, task: Task | None, now: datetime, *, width: int) -> tuple[str, ...]:
    """Return the tall rows of a window: the amount to turn, the time left, the first rod where it fits."""
    at_hand, time = round_of(task), tall_time(tonight, now)
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
    at_hand = round_of(task)
    return "" if at_hand is None else " ".join(f"{sign}{rod}" for sign, rod in rods_in_signs(at_hand))


def round_of(task: Task | None) -> OpenRound | None:
    """Return the round to make first of what is left of a task; None where nothing is."""
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
