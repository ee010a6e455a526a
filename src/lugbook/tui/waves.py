"""The level of a recording over time, drawn in block characters, with the taps above it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.heads.hearing import Tap
from lugbook.heads.wording import MINUTES_FROM_S, REACH_DB

if TYPE_CHECKING:
    from lugbook.heads.levels import Levels

USED, LEFT_OUT = "▼", "×"
"""The signs of a tap that was used, and of one that was left out."""

_EIGHTHS = " ▁▂▃▄▅▆▇█"


def waves(levels: "Levels", taps: Sequence[Tap], *, width: int, rows: int) -> list[str]:
    """Return the rows of the drawing: numbers and signs of the taps, the level, and the time under it.

    Args:
        levels: the level over time.
        taps: the taps, in order of time.
        width: columns to use.
        rows: rows for the level.
    """
    return [
        *_tap_rows(taps, levels.seconds, width=width),
        *_level_rows(levels, width=width, rows=rows),
        _time_row(levels.seconds, width=width),
    ]


def _level_rows(levels: "Levels", *, width: int, rows: int) -> list[str]:
    narrow = levels.narrowed(width)
    # Where there are fewer levels than columns, each is drawn over several.
    db = [narrow[column * len(narrow) // width] for column in range(width)] if narrow else []
    top = levels.peak_db
    heights = [
        round(max(0.0, 1 - (top - one) / REACH_DB) * rows * 8) if top > -REACH_DB * 2 else 0 for one in db
    ]
    return [
        "".join(_EIGHTHS[min(max(height - row * 8, 0), 8)] for height in heights).rstrip()
        for row in reversed(range(rows))
    ]


def _tap_rows(taps: Sequence[Tap], seconds: float, *, width: int) -> tuple[str, str]:
    """Return the numbers, as far as they find room, and under them the signs of all taps."""
    numbers, signs = [" "] * width, [" "] * width
    for number, tap in enumerate(taps, 1):
        share = min(max(tap.at_s / seconds, 0.0), 1.0) if seconds > 0 else 0.0
        column = min(int(share * width), width - 1)
        if signs[column] != LEFT_OUT:
            signs[column] = USED if tap.used else LEFT_OUT
        name = str(number)
        start = min(column, width - len(name))
        around = numbers[max(start - 1, 0) : start + len(name) + 1]
        if start >= 0 and not "".join(around).strip():
            numbers[start : start + len(name)] = name
    return "".join(numbers).rstrip(), "".join(signs).rstrip()


def _time_row(seconds: float, *, width: int) -> str:
    end = f"{seconds:.1f} s" if seconds < MINUTES_FROM_S else f"{seconds / 60:.1f} min"
    middle = f"{seconds / 2:.1f} s" if seconds < MINUTES_FROM_S else f"{seconds / 120:.1f} min"
    left = "0 s"
    row = f"{left}{middle:^{max(width - len(left) - len(end), 0)}}{end}"
    return row if len(row) <= width else f"{left} – {end}"
