"""How concerts, pieces and items are written in rows, and a piece with what to begin it with."""

import textwrap
from collections.abc import Iterable

from rich.cells import cell_len, set_cell_size
from textual.content import Content

from lugbook.desk.concerts import ConcertRow
from lugbook.desk.items import Choice
from lugbook.desk.pieces import PieceRow
from lugbook.desk.programmes import ItemRow, Programme
from lugbook.desk.repertoire import Repertoire, holds
from lugbook.desk.suggesting import Suggestion
from lugbook.desk.wording import counted, day_text, minutes_text
from lugbook.plain import shown
from lugbook.records import NoteNames, Piece
from lugbook.records.pieces import Passage, Rest
from lugbook.tui.pages import broken
from lugbook.tui.rows import cell, count_rest, pitch_text

_WIDE = 70
"""From this many columns on a concert or a piece takes one row, else two."""

_OPEN_TO = 2
"""So many presets are named where an item is open to several."""

_FEW = 2
"""So many remarks are said at once."""


def concert_text(row: ConcertRow, *, width: int) -> Content:
    """Return the row of a concert: name, day, how many items, whether it is past, hall."""
    concert = row.concert
    name, hall = shown(concert.name), shown(concert.hall)
    day = day_text(concert.on) if concert.on is not None else "no day yet"
    items = counted(len(concert.items), "item")
    where = " · ".join(filter(None, ("past" if row.past else "", hall)))
    room = 22 + (width - _WIDE) // 2
    if width >= _WIDE and cell_len(name) < room:
        cells = (cell(name, room), cell(day, 18), cell(items, 10), cell(where, width - 30 - room))
        return Content("  " + "".join(cells))
    return _two_rows(name, (day, items, where), width=width)


def piece_text(row: PieceRow, *, width: int) -> Content:
    """Return the row of a piece: composer and title, how often it was played, for what music it is."""
    name, music = shown(row.piece.called), shown(", ".join(row.piece.contexts))
    played = f"played {row.played}×" if row.played else ""
    room = 47 + (width - _WIDE) // 2
    if width >= _WIDE and cell_len(name) < room:
        return Content(f"  {cell(name, room)}{cell(played, 11)}" + cell(music, width - 13 - room))
    return _two_rows(name, (played, music), width=width)


def count_text(found: Repertoire, words: str, *, problems_key: str) -> str:
    """Return what is shown, in words: how many concerts and pieces, the filter, files that cannot be read."""
    groups: tuple[tuple[tuple[ConcertRow | PieceRow, ...], str], ...] = (
        (found.concerts, "concert"),
        (found.pieces, "piece"),
    )
    parts = []
    for rows, noun in groups:
        kept = sum(holds(row, words) for row in rows)
        parts.append(
            counted(len(rows), noun) if kept == len(rows) else f"{kept} of {counted(len(rows), noun)}"
        )
    return " · ".join((*parts, *count_rest(words, found.problems, problems_key=problems_key)))


def item_text(row: ItemRow, *, last: bool, width: int) -> Content:
    """Return an item: its number and name, and below it what it is played with and the time after it."""
    name = f"{row.number}. {row.name}{'' if row.there else ' (no piece of the library)'}"
    then = "" if row.after_s is None and last else f"then {_time(row.after_s)}"
    lasts = f"lasts {minutes_text(row.seconds)}" if row.seconds is not None else ""
    music = f"for {', '.join(row.contexts)}" if row.contexts else ""
    details = filter(None, (with_text(row), then, lasts, music))
    head = Content.styled("\n".join(broken((name,), width=width)), "bold")
    return head + Content("".join(f"\n{line}" for line in _packed(details, width=width)))


def with_text(row: ItemRow) -> str:
    """Return what an item is played with, in words: its presets, or those it is open to, or none."""
    if row.item.tacet:
        return "tacet"
    if row.presets:
        return f"with {' and '.join(row.presets)}"
    if row.candidates:
        more = len(row.candidates) - _OPEN_TO
        named = ", ".join(row.candidates[:_OPEN_TO]) + (f" and {more} more" if more > 0 else "")
        return f"open: {named}"
    return "! no preset yet"


def programme_text(found: Programme, *, remarks_key: str) -> str:
    """Return what is shown of a concert, in words: how many items and drums, and how much is remarked on."""
    parts = [counted(len(found.rows), "item"), counted(len(found.drums), "drum")]
    if found.past:
        parts.append("past")
    number = len(found.remarks) + len(found.problems)
    if number:
        parts.append(f"! {counted(number, 'remark')} ({remarks_key})")
    return " · ".join(parts)


def programme_title(found: Programme) -> str:
    """Return the name of a concert, with its day."""
    day = f" · {day_text(found.concert.on)}" if found.concert.on is not None else ""
    return f"Items   {found.concert.name}{day}"


def choice_text(choice: Choice, *, width: int, language: NoteNames) -> Content:
    """Return a preset that an item can be played with: its name and drum, then why, and its pitches."""
    row = choice.row
    mark = "✓ " if choice.taken else "  "
    why = ", ".join(filter(None, ("taken" if choice.taken else "", choice.why)))
    music = shown(", ".join(row.contexts))
    details = " · ".join(filter(None, (why, _pitches(row.top, row.bottom, language=language), music)))
    head = Content.styled(set_cell_size(f"{mark}{shown(row.id)}", width).rstrip(), "bold")
    return head + Content("\n" + cell(f"    {details}", width).rstrip())


def piece_facts(piece: Piece) -> list[str]:
    """Return what is kept of a piece, in lines: what it asks, how long it is, what served in it."""
    facts = [("For", ", ".join(piece.contexts)), ("Dynamics", piece.dynamics)]
    facts += [("Asks", f"{_bars(one)}: {one.words}" if one.bars else one.words) for one in piece.passages]
    if piece.part is not None:
        part = piece.part
        lasts = [minutes_text(part.seconds)] if part.seconds is not None else []
        lasts += [f"{part.bars} bars"] if part.bars is not None else []
        rests = [minutes_text(one.seconds) + (f" in {_bars(one)}" if one.bars else "") for one in part.rests]
        facts += [("Part", part.name), ("Lasts", ", ".join(lasts)), ("You rest", "; ".join(rests))]
    facts.append(("Served", ", ".join(piece.presets)))
    for one in sorted(piece.performances, key=lambda one: (one.on is not None, one.on or 0), reverse=True):
        said = (day_text(one.on) if one.on is not None else "", one.hall, one.preset or "", one.note)
        facts.append(("Played", ", ".join(filter(None, said))))
    facts += [("Note", line) for line in piece.note.splitlines()]
    return [f"{what}: {said}" for what, said in facts if said]


def suggestion_text(number: int, one: Suggestion, *, width: int, language: NoteNames) -> Content:
    """Return a preset to begin a piece with: its id and pitches, and the reasons below."""
    pitches = _pitches(one.row.top, one.row.bottom, language=language)
    head = broken((f"{number}. {one.row.id}   {pitches}".rstrip(),), width=width)
    reasons = broken(tuple(f"   {reason}" for reason in one.reasons), width=width)
    return Content.styled("\n".join(head), "bold") + Content("".join(f"\n{line}" for line in reasons))


def few(remarks: Iterable[str], *, more: str) -> str:
    """Return the first of *remarks*; where there are others, *more* says how to see them."""
    said = list(remarks)
    left = len(said) - _FEW
    return " ".join((*said[:_FEW], *([f"{left} more: {more}."] if left > 0 else [])))


def _bars(one: Passage | Rest) -> str:
    return f"bar{'s' if '-' in one.bars else ''} {one.bars}"


def _time(seconds: float | None) -> str:
    if seconds is None:
        return "?"
    return minutes_text(seconds) if seconds else "at once"


def _pitches(top: str, bottom: str, *, language: NoteNames) -> str:
    return " over ".join(pitch_text(text, language=language) for text in (top, bottom) if text)


def _packed(parts: Iterable[str], *, width: int) -> list[str]:
    """Return *parts* side by side in indented lines, broken between them where one is not too long itself."""
    lines: list[str] = []
    for part in map(shown, parts):
        longer = f"{lines[-1]} · {part}" if lines else ""
        if longer and cell_len(longer) <= width:
            lines[-1] = longer
        else:
            lines += textwrap.wrap(
                part, width, initial_indent=" " * 5, subsequent_indent=" " * 7, break_on_hyphens=False
            )
    return lines


def _two_rows(name: str, details: Iterable[str], *, width: int) -> Content:
    second = "    " + " · ".join(filter(None, details))
    lines = broken((f"  {name}",), width=width)
    return Content("\n".join((*lines, *([cell(second, width).rstrip()] if second.strip() else []))))
