"""The chart as rows for a spreadsheet: every field of an entry, numbers as numbers, texts that stay texts.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula, and a logbook may come
from anybody. So a text that begins so, or with a tab, or with an apostrophe, gets an apostrophe before it,
which is how a spreadsheet itself marks a text (common practice, no source). `plain_text` takes it away again.
"""

from collections.abc import Iterable

from lugbook.desk.chart import ChartRow
from lugbook.desk.wording import folded
from lugbook.records import SIDES, Entry, HeadSide

MARK = "'"
"""Stands before a text that a spreadsheet could take for a formula."""

_BEGINNINGS = ("=", "+", "-", "@", "\t", "\r", MARK)

HEADS = (
    *("number", "entry", "at", "kind", "search", "context"),
    *("turn_top", "turn_bottom", "rod_head", "rod", "rod_turns"),
    *("round_head", "round_turns", "rods_done", "rods_back"),
    *("position_top", "position_bottom", "count_top", "count_bottom", "a4_hz"),
    *(
        f"{side}_{name}"
        for side in SIDES
        for name in ("pitch", "hz", "sd_cents", "by", "struck", "other_head", "file", "chosen")
    ),
    *("snares", "words", "bounce", "passages", "verdict", "against", "kept", "void", "step", "ended"),
    *("preset", "muffling", "sticks", "playing_spot", "player", "heard"),
    *("temperature_c", "humidity_pct", "note", "corrects"),
)
"""The names of the columns; keys are added at the end, never changed."""


def spreadsheet(rows: Iterable[ChartRow]) -> list[tuple[str, ...]]:
    """Return the chart for a spreadsheet, its heading first; empty cells say nothing.

    Turns are exact decimals, hertz have 3 and cents 2 decimals, times are as ISO 8601 writes them.
    """
    return [HEADS, *(_row(row) for row in rows)]


def safe_text(text: str) -> str:
    """Return *text* as a cell that no spreadsheet takes for a formula.

    Example:
        >>> safe_text("=1+1"), safe_text("dry"), safe_text("'tis dry")
        ("'=1+1", 'dry', "''tis dry")
    """
    # A full-width sign of the kind counts as well, and so does one after blanks; the sign alone is looked at.
    first = folded(text)[:1] or text[:1]
    return MARK + text if first in _BEGINNINGS or text.startswith(_BEGINNINGS) else text


def plain_text(cell: str) -> str:
    """Return the text that `safe_text` made a *cell* of.

    Example:
        >>> plain_text(safe_text("=1+1")), plain_text(safe_text("dry"))
        ('=1+1', 'dry')
    """
    return cell.removeprefix(MARK)


def _row(row: ChartRow) -> tuple[str, ...]:
    entry = row.entry
    touched, stopped = entry.touch_up, entry.round
    return (
        *(str(row.number), row.id, entry.at.isoformat(), entry.kind),
        *map(safe_text, (entry.search, entry.context)),
        *(_number(entry.turn.of(side)) for side in SIDES),
        *(("", "", "") if touched is None else (touched.head, str(touched.rod), _number(touched.amount))),
        *(
            ("", "", "", "")
            if stopped is None
            else (stopped.head, _number(stopped.amount), stopped.rods_done, stopped.rods_back)
        ),
        *(_number(entry.position.of(side)) for side in SIDES),
        *(safe_text(entry.count.of(side) or "") for side in SIDES),
        f"{entry.a4:.3f}",
        *(cell for side in SIDES for cell in _reading(entry, side)),
        *map(safe_text, (row.snares, entry.words, entry.bounce, _passages(entry))),
        *(entry.verdict or "", entry.against or "", "yes" if row.kept else "", safe_text(row.void)),
        *(_number(entry.step), "yes" if entry.settled else ""),
        *map(safe_text, (entry.preset, entry.muffling, entry.sticks, entry.playing_spot, entry.player)),
        *(entry.heard, _number(entry.temperature_c), _number(entry.humidity_pct)),
        *(safe_text(entry.note), entry.corrects or ""),
    )


def _reading(entry: Entry, side: HeadSide) -> tuple[str, ...]:
    reading = entry.reading(side)
    if reading is None:
        return ("",) * 8
    hz = reading.hz(a4_hz=entry.a4)
    return (
        safe_text(reading.pitch),
        "" if hz is None else f"{hz:.3f}",
        f"{reading.uncertainty_cents:.2f}",
        *(reading.by, reading.struck, reading.other_head, safe_text(reading.file)),
        "yes" if reading.chosen else "",
    )


def _passages(entry: Entry) -> str:
    return "; ".join(f"{name}: {mark}" for name, mark in entry.passages.items())


def _number(value: float | None) -> str:
    """Return a number in full, without an exponent; empty where there is none."""
    return "" if value is None else f"{value:.6f}".rstrip("0").rstrip(".")
