"""Searches in words and rows: what was written down, the kept state, the chart with its long words broken."""

from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from lugbook.desk.chart import HEADINGS, chart
from lugbook.desk.wording import NOTHING
from lugbook.plain import shown
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.chart import ChartRow
    from lugbook.desk.finding import FoundEntry
    from lugbook.desk.proposing import Next
    from lugbook.desk.searches import SearchNow
    from lugbook.desk.trying import Tried
    from lugbook.trials.grid import Pair

_BROKEN = {"snares": 18, "words": 34, "verdict": 22}
"""Columns of the chart whose texts are broken, and how wide they are."""


_LISTED = 48
"""Characters of a text in a list of one line each."""


def place_words(pair: "Pair") -> str:
    """Return a state in words, such as ``top 1¼, bottom 2``."""
    return f"top {show_turns(pair[0])}, bottom {show_turns(pair[1])}"


def tried(found: "Tried", desk: "Desk", out: "Output") -> None:
    """Say what was written down, and what is kept after it."""
    now, entry = found.now, found.entry
    row = next(row for row in chart(desk, now) if row.id == entry.stands_for)
    turned = f"{row.turn}; " if row.turn else ""
    here = "" if entry.position.top is None else f"now {place_words(now.place)}"
    where = f": {turned}{here}" if turned or here else ""
    out.data(f"Entry {row.number} of the search {shown(now.name)}{where}.")
    pitches = [f"{side} {said}" for side, said in (("top", row.top), ("bottom", row.bottom)) if said]
    said = [
        ("Pitches", ", ".join(pitches)),
        ("Snares", row.snares),
        ("Words", row.words),
        ("Bounce", entry.bounce),
        ("Passages", ", ".join(f"{name} {mark}" for name, mark in entry.passages.items())),
        ("Verdict", entry.verdict or ""),
    ]
    out.table([(f"{what}:", words) for what, words in said if words])
    out.data(kept_line(now))


def kept_line(now: "SearchNow") -> str:
    """Say which state is kept."""
    if now.search is None:
        return "No state is kept: " + (
            "none counts any more." if now.drum.turns_offered else "a rope drum has no turns."
        )
    number = "" if now.kept is None else f"entry {now.kept.number}, "
    settled = "; the search is settled" if now.search.settled else ""
    if now.ended and not now.search.settled:
        left = len(now.search.untried)
        settled = f"; you ended the search with {left} side{'' if left == 1 else 's'} untried"
    return f"Kept: {number}{place_words(now.search.kept)}{settled}."


def chart_table(rows: "Sequence[ChartRow]", out: "Output") -> None:
    """Add the rows of a chart under their headings."""
    lines: list[Sequence[str]] = [HEADINGS]
    for row in rows:
        lines += broken(row.cells())
    out.table(lines)


def broken(cells: Sequence[str]) -> list[list[str]]:
    """Return one row as several, whose long texts go on beneath."""
    columns = [
        (wrap(shown(cell), _BROKEN[heading]) or [""]) if heading in _BROKEN else [cell]
        for heading, cell in zip(HEADINGS, cells, strict=True)
    ]
    height = max(map(len, columns))
    return [[column[line] if line < len(column) else "" for column in columns] for line in range(height)]


def next_line(found: "Next") -> str:
    """Return what to try next in one line; what else there is to do where nothing is proposed."""
    return found.sentence() if found.proposal is None else f"Next: {found.sentence()}"


def proposed(found: "Next", out: "Output") -> None:
    """Say what to try next, how, and what was heard near it."""
    now = found.now
    out.data(found.sentence())
    if found.steps:
        back = ["Back to the kept state:"] if found.proposal is None else []
        out.data("", *back, *(f"{number}. {step}" for number, step in enumerate(found.steps, 1)))
    lines = [kept_line(now)]
    if now.search is not None and now.search.untried:
        lines.append(f"Untried: {_places(now.search.untried)}.")
    if found.near is not None:
        entry = found.near.entry
        said = ", ".join(filter(None, (entry.verdict or "", entry.words)))
        lines.append(f"Heard nearest to it: entry {found.near.number}{f': {said}' if said else ''}.")
    if found.alike:
        lines.append(f"The same as the kept state: {_places(found.alike)}.")
    out.data("", *lines)
    if found.remarks:
        out.data("", *found.remarks)


def _places(pairs: Iterable["Pair"]) -> str:
    return "; ".join(place_words(pair) for pair in pairs)


def searches(found: "Sequence[SearchNow]", out: "Output") -> None:
    """List the searches of a drum."""
    if not found:
        out.words("No search was begun on this drum yet.")
        return
    rows = [("search", "for", "heard", "entries", "kept", "state")]
    for now in found:
        kept = NOTHING if now.search is None else place_words(now.search.kept)
        number = "" if now.kept is None else f" ({now.kept.number})"
        state = "ended" if now.ended else "settled" if now.settled else "going on"
        rows.append((now.name, now.context or NOTHING, now.heard, str(len(now.rows)), kept + number, state))
    out.table(rows)


def found_rows(entries: "Sequence[FoundEntry]") -> list[tuple[str, ...]]:
    """Return entries that were found, in rows under their headings."""
    rows: list[tuple[str, ...]] = [("entry", "drum", "top", "bottom", "for", "verdict", "words")]
    for one in entries:
        entry = one.entry
        said = "; ".join(filter(None, (entry.words, entry.note)))
        pitches = one.top or NOTHING, one.bottom or NOTHING
        music = ", ".join(one.contexts) or NOTHING
        rows.append((entry.stands_for, one.drum_id, *pitches, music, entry.verdict or NOTHING, cut(said)))
    return rows


def cut(text: str) -> str:
    """Return *text* with its end cut where it is long: a list has one line for each."""
    return text if len(text) <= _LISTED else f"{text[: _LISTED - 1].rstrip()}…"
