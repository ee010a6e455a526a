"""The graphs of f² over turns and of drift over days in plain text, for the shell and for the program's page.

Readings are ``●``, several in one place their number; the line is ``·``, where the head stands ``◆``, and its
limit ``┆``. In the drift ``●`` is the top head, ``×`` the bottom one, ``*`` both in one place. Neither has
colour, and both have any width from 30 columns on.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.cards.graph import (
    DRIFT_CENTS,
    Scale,
    days_ago,
    pitch_labels,
    reach_of,
    square_at,
    squares_scale,
    turn_labels,
    turns_scale,
)
from lugbook.pitch import signed

if TYPE_CHECKING:
    from lugbook.turns.curve import Curve

READING, LINE, NOW, LIMIT = "●", "·", "◆", "┆"
TOP, BOTTOM, BOTH = "●", "×", "*"

SIGNS = f"{READING} read, {LINE} the line, {NOW} now"
DRIFT_WORDS = (
    f"Drift: how far each reading lay from where turns alone put it. {TOP} top, {BOTTOM} bottom, {BOTH} both"
)
"""What stands above the graphs."""

_LABELS = 15
"""Columns of the scale of pitches."""

LEAST_WIDTH, LEAST_HEIGHT = 30, 5


def plotted(
    curve: "Curve", *, width: int = 72, height: int = 14, a4_hz: float, limit_turns: float | None = None
) -> list[str]:
    """Return the graph of one head as lines of text.

    Args:
        curve: how the head answers.
        width: columns, at least 30.
        height: rows of the graph itself, at least 5.
        a4_hz: concert pitch that notes are named at, 392 to 470 Hz.
        limit_turns: the head's limit in turns from its reference.
    """
    if not curve.points:
        return ["Not read in this count yet: no graph."]
    if len(curve.line) < 2:
        return ["The head is slack: no graph."]
    columns, rows = max(width, LEAST_WIDTH) - _LABELS - 2, max(height, LEAST_HEIGHT)
    across = turns_scale(curve, start=0, stop=columns - 1)
    up = squares_scale(curve, start=rows - 1, stop=0)
    cells = [[" "] * columns for _ in range(rows)]

    def put(turns: float, square: float, sign: str) -> None:
        cells[round(up.at(square))][round(across.at(turns))] = sign

    if limit_turns is not None and across.low <= limit_turns <= across.high:
        for row in cells:
            row[round(across.at(limit_turns))] = LIMIT
    for column in range(columns):
        turns = across.low + (across.high - across.low) * column / (columns - 1)
        put(turns, square_at(curve, turns), LINE)
    heard: dict[tuple[int, int], int] = {}
    for one in curve.points:
        place = (round(up.at(one.square)), round(across.at(one.turns)))
        heard[place] = heard.get(place, 0) + 1
    put(curve.turns, curve.square, NOW)
    for (row_at, column), count in heard.items():
        taken = cells[row_at][column] == NOW
        cells[row_at][column] = NOW if taken else READING if count == 1 else str(min(count, 9))
    labels = {round(up.at(label.value)): label.words for label in pitch_labels(up, room=2, a4_hz=a4_hz)}
    lines = [f"{labels.get(row, ''):>{_LABELS}} │{''.join(cells[row])}".rstrip() for row in range(rows)]
    ruler, words = ["─"] * columns, [" "] * (columns + 8)
    for tick in turn_labels(across, room=7):
        column = round(across.at(tick.value))
        ruler[column] = "┴"
        start = max(column - len(tick.words) // 2, 0)
        words[start : start + len(tick.words)] = tick.words
    return [
        *lines,
        f"{'':>{_LABELS}} └{''.join(ruler)}",
        f"{'turns':>{_LABELS}}  {''.join(words)}".rstrip(),
    ]


def drifted(curves: Sequence["Curve"], *, day: float, width: int = 72, height: int = 9) -> list[str]:
    """Return how far each reading lay from where turns alone put it today, over the days, as lines of text.

    Args:
        curves: those of top and bottom.
        day: today, in the days of the curves.
        width: columns, at least 30.
        height: rows of the graph itself, at least 5; an even number gets one row more.
    """
    points = [point for one in curves for point in one.points]
    if not points:
        return ["No reading in this count yet."]
    columns, rows = max(width, LEAST_WIDTH) - _LABELS - 2, max(height, LEAST_HEIGHT) // 2 * 2 + 1
    first = min(point.day for point in points)
    across = Scale(first, max(day, first + 1.0), 0, columns - 1)
    reach = reach_of([point.drift_cents for point in points], DRIFT_CENTS)
    up = Scale(-reach, reach, rows - 1, 0)
    cells = [[" "] * columns for _ in range(rows)]
    cells[rows // 2] = [LINE] * columns
    for curve in curves:
        sign = TOP if curve.side == "top" else BOTTOM
        for point in curve.points:
            row, column = cells[round(up.at(point.drift_cents))], round(across.at(point.day))
            row[column] = sign if row[column] in (" ", LINE, sign) else BOTH
    labels = {0: f"{signed(reach)} cents", rows // 2: "as turned", rows - 1: f"{signed(-reach)} cents"}
    ago = days_ago(day - first)
    room = columns - len(ago)
    today = f"{'today':>{room}}" if ago != "today" and room > len("today") else ""
    return [
        *(f"{labels.get(row, ''):>{_LABELS}} │{''.join(cells[row])}".rstrip() for row in range(rows)),
        f"{'':>{_LABELS}} └{'─' * columns}",
        f"{'':>{_LABELS}}  {ago}{today}",
    ]
