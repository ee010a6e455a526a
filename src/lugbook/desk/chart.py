"""The chart of a search: one row an entry, as a player would pencil it; and the map of what was heard."""

from collections.abc import Iterable
from dataclasses import dataclass

from lugbook.desk.asking import named
from lugbook.desk.desk import Desk
from lugbook.desk.proposing import Next
from lugbook.desk.replaying import place_of_entry
from lugbook.desk.searches import Row, SearchNow, find_search, was_heard
from lugbook.desk.wording import NOTHING
from lugbook.records import SIDES, Entry, HeadSide
from lugbook.trials.mapping import Map, map_of
from lugbook.turns.amounts import show_turns

HEADINGS = ("no.", "turn", "top", "bottom", "top head", "bottom head", "snares", "words", "verdict")
"""Over the columns of a chart; the two in the middle are sums of turns."""

HIDDEN = "hidden"
"""Stands for a pitch that the player wants to see only after words and verdict."""


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One entry as the chart shows it."""

    number: int
    id: str
    turn: str
    """What was turned just before, such as ``bottom +¼`` or ``top rod 3 +⅟₁₆``."""
    top_sum: str
    """Turns of the top head from its reference."""
    bottom_sum: str
    top: str
    """Pitch of the top head by its note, such as ``A3+4``; empty where it was not read."""
    bottom: str
    snares: str
    words: str
    verdict: str
    """``better``, ``same``, ``worse``, ``start``, or empty; with ``kept`` at the kept state."""
    kept: bool
    void: str
    """Why what was heard of it no longer counts; empty where it counts."""
    entry: Entry

    def cells(self) -> tuple[str, ...]:
        """Return the row under `HEADINGS`."""
        return (
            str(self.number),
            self.turn,
            self.top_sum,
            self.bottom_sum,
            self.top,
            self.bottom,
            self.snares,
            self.words,
            (self.void and f"({self.void})") or self.verdict,
        )


def chart(desk: Desk, now: SearchNow) -> tuple[ChartRow, ...]:
    """Return the chart of a search."""
    return tuple(row_of(desk, now, row) for row in now.rows)


def row_of(desk: Desk, now: SearchNow, row: Row) -> ChartRow:
    """Return one row of the chart of a search: a long one is made only as far as it is looked at."""
    kept = now.kept is not None and row.number == now.kept.number
    hide = desk.user.hide_pitches and _is_open(now, row)
    return chart_row(row, kept=kept, start=row.number == 1, hide=hide)


def whole_chart(desk: Desk, drum_id: str, entries: Iterable[Entry]) -> tuple[ChartRow, ...]:
    """Return the chart of a whole logbook, numbered from its first entry; nothing is kept or void in it."""
    now = find_search(desk, drum_id)
    hidden = {row.id for row in chart(desk, now) if HIDDEN in (row.top, row.bottom)} if now else frozenset()
    return tuple(
        chart_row(Row(number, entry), hide=entry.stands_for in hidden)
        for number, entry in enumerate(entries, 1)
    )


def chart_row(row: Row, *, kept: bool = False, start: bool = False, hide: bool = False) -> ChartRow:
    """Return one entry as the chart shows it.

    Args:
        row: the entry.
        kept: whether it tells of the kept state.
        start: whether the search starts there.
        hide: whether its pitches stay hidden.
    """
    entry = row.entry
    verdict: str = entry.verdict or ("start" if start else "")
    return ChartRow(
        number=row.number,
        id=entry.stands_for,
        turn=turned_text(entry),
        top_sum=_sum(entry, "top"),
        bottom_sum=_sum(entry, "bottom"),
        top=_pitch(entry, "top", hide=hide),
        bottom=_pitch(entry, "bottom", hide=hide),
        snares=entry.snares.text() if entry.snares is not None else "",
        words=entry.words,
        verdict=", ".join(filter(None, (verdict, "kept" if kept else ""))),
        kept=kept,
        void=row.void,
        entry=entry,
    )


def turned_text(entry: Entry) -> str:
    """Return what an entry turned, in a few words; empty where it turned nothing."""
    if entry.round is not None:
        done = len(entry.round.done())
        return f"{entry.round.head} {show_turns(entry.round.amount, sign='always')}, {done} rods"
    if entry.settled:
        return "ended"
    if entry.kind == "remark" and entry.step is not None and not was_heard(entry):
        return f"step {show_turns(entry.step)}"
    if entry.touch_up is not None:
        touched = entry.touch_up
        return f"{touched.head} rod {touched.rod} {show_turns(touched.amount, sign='always')}"
    turned = [(side, amount) for side in SIDES if (amount := entry.turn.of(side))]
    return ", ".join(f"{side} {show_turns(amount, sign='always')}" for side, amount in turned)


def search_map(found: Next) -> Map | None:
    """Return the map of a search with its proposal; None where no state counts."""
    now = found.now
    if now.search is None:
        return None
    numbers = {place: row.number for place, row in now.told.items()}
    return map_of(now.search, proposal=found.proposal, here=now.place, numbers=numbers)


def _is_open(now: SearchNow, row: Row) -> bool:
    """Tell whether words or verdict of an entry are still to come."""
    last = row.number == now.rows[-1].number
    if last and row.number > 1 and row.entry.verdict is None and now.search is not None:
        # Back in the kept state: nothing is said of it again.
        last = place_of_entry(row.entry) != now.search.kept
    return last and not (row.entry.words and (row.entry.verdict is not None or row.number == 1))


def _sum(entry: Entry, side: HeadSide) -> str:
    amount = entry.position.of(side)
    return NOTHING if amount is None else show_turns(amount)


def _pitch(entry: Entry, side: HeadSide, *, hide: bool) -> str:
    reading = entry.reading(side)
    if reading is None:
        return ""
    return HIDDEN if hide else named(reading.pitch, a4_hz=entry.a4)
