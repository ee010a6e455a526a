"""What the logbook screen says: its title, what to try, the entry under the cursor, the first run."""

from collections.abc import Mapping

from lugbook.cards.mapped import WHAT, map_lines
from lugbook.desk.chart import ChartRow, search_map
from lugbook.desk.proposing import Next
from lugbook.desk.searches import SearchNow
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, NoteNames
from lugbook.tui.chart_view import note_text
from lugbook.tui.heard import tap_hint
from lugbook.tui.keys import sign_of
from lugbook.tui.tall import LOW, drawn
from lugbook.tui.trial_line import Asking
from lugbook.turns.amounts import show_turns

Keys = Mapping[str, str]


def title_text(name: str, now: SearchNow | None, *, searches: int, sought: str = "") -> str:
    """Return drum, search, its music where that is named otherwise, what is sought, step, where heard."""
    parts = [name]
    if now is not None:
        parts.append(now.name)
        if now.context and now.context != now.name:
            parts.append(now.context)
        if sought:
            parts.append(f"only “{sought}”")
        if now.search is not None:
            parts.append(f"step {show_turns(now.search.step)}")
        parts.append(now.heard)
        if searches > 1:
            parts.append(f"{searches} searches")
    return shown(f"Logbook   {' · '.join(parts)}")


def first_run(drum: str, keys: Keys) -> str:
    """Return what a player reads before a drum has a search."""
    return (
        f"No search was begun on {shown(drum)} yet.\n\n"
        f"{sign_of(keys['new_search'])}   begin one: say for what music; where the drum stands now is its "
        "first state. Read both heads, set the snares, play, and say how it speaks. Then the logbook "
        "proposes one small turn after another, until none beside the kept state is better."
    )


def proposal_text(found: Next | None, now: SearchNow, keys: Keys) -> str:
    """Return what to try as a sentence, what was heard nearest to it, and what to heed."""
    if found is None:
        return "…"
    lines = [f"▶ {found.sentence()}"]
    if found.proposal is not None and not found.moves:
        lines[0] += " The drum stands there: read it."
    if found.near is not None and found.near.entry.words:
        lines.append(f"Nearest to it was entry {found.near.number}: {found.near.entry.words}.")
    if now.search is not None and now.settled:
        finer, keep = (sign_of(keys[one]) for one in ("finer", "keep_state"))
        lines.append(f"{finer} finer step · {keep} keep as a preset")
    return "\n".join(map(shown, (*lines, *found.remarks)))


def asked_tall(asking: Asking, now: SearchNow | None) -> str:
    """Return what is asked so that it can be read from standing: which head to tap, or what is kept."""
    question = asking.question
    if question is not None and question.side is not None:
        rows = drawn(f"{question.side.upper()} HEAD", signs=LOW).rows
        return "\n".join((*rows, tap_hint(question.side)))
    kept = None if now is None else now.kept
    if question is not None and question.about == "verdict" and kept is not None and kept.entry.words:
        return shown(f"Kept is entry {kept.number}: {kept.entry.words}")
    return ""


def detail_text(row: ChartRow | None, drum: Drum, *, language: NoteNames) -> str:
    """Return the whole entry under the cursor: nothing of it is cut off as in the chart."""
    if row is None:
        return ""
    entry = row.entry
    heads = [
        f"{side} {note_text(text, language=language)}"
        for side, text in zip(SIDES, (row.top, row.bottom), strict=True)
        if text
    ]
    sums = f"in sum top {row.top_sum}, bottom {row.bottom_sum}" if drum.turns_offered else ""
    marks = ", ".join(f"{name} {mark.replace('-', '−')}" for name, mark in entry.passages.items())
    verdict = row.verdict
    if entry.verdict is not None and entry.heard:
        verdict = f"{verdict} ({entry.heard})"
    parts = (
        row.turn,
        sums,
        ", ".join(heads),
        row.snares and f"snares {row.snares}",
        row.words and f"“{row.words}”",
        marks,
        verdict,
        row.void and f"no longer counts: {row.void}",
        entry.note,
    )
    return shown(" · ".join((f"{row.number}", *filter(None, parts))))


def map_text(found: Next | None, *, width: int) -> str:
    """Return the map with what its signs mean, for so many columns."""
    if found is None:
        return "…"
    map_ = search_map(found)
    if map_ is None:
        return "There is no map: no state of this search is counted in turns."
    return "\n".join((*map_lines(map_, width=width), "", WHAT))


def offers_text(words: tuple[str, ...], at: int | None, *, width: int) -> str:
    """Return the words said before in one line, the one that was taken in brackets and in view."""
    first = 0 if at is None else max(0, at - 2)
    line = "before: " if not first else "before: … "
    for index, word in enumerate(words[first:], first):
        part = f"[{shown(word)}]" if index == at else shown(word)
        if len(line) + len(part) + 4 > width:
            return f"{line}…"
        line += f"{part}  "
    return line.rstrip() if words else ""
