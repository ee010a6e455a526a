"""Contexts, pieces and concerts in aligned rows."""

from typing import TYPE_CHECKING

from lugbook.desk.wording import NOTHING, counted, day_text, minutes_text

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk.concerts import Concerts
    from lugbook.desk.contexts import Contexts
    from lugbook.desk.pieces import Pieces
    from lugbook.desk.programmes import ItemRow, Programme
    from lugbook.desk.suggesting import Suggestions
    from lugbook.records import Piece


def contexts(found: "Contexts", out: "Output") -> None:
    """List the words for music."""
    if not found.rows:
        out.words("No word.")
        return
    out.table(
        [
            ("context", "kind", "presets", "pieces", "concerts", "entries", "also"),
            *(
                (
                    row.word,
                    row.kind,
                    *(str(one or NOTHING) for one in (row.presets, row.pieces, row.concerts, row.entries)),
                    ", ".join(row.also) or NOTHING,
                )
                for row in found.rows
            ),
        ]
    )


def pieces(found: "Pieces", out: "Output") -> None:
    """List the pieces."""
    if not found.rows:
        out.words("No piece.")
        return
    out.table(
        [
            ("piece", "name", "for", "served", "played", "last"),
            *(
                (
                    row.slug,
                    row.piece.called,
                    ", ".join(row.piece.contexts) or NOTHING,
                    ", ".join(row.piece.served) or NOTHING,
                    str(row.played or NOTHING),
                    row.last_played.isoformat() if row.last_played is not None else NOTHING,
                )
                for row in found.rows
            ),
        ]
    )


def piece(slug: str, record: "Piece", out: "Output") -> None:
    """Show one piece: what it is, what it asks bar by bar, and when it was played."""
    part = record.part
    rows = [
        ("piece", slug),
        ("name", record.called),
        ("for", ", ".join(record.contexts) or NOTHING),
        ("dynamics", record.dynamics or NOTHING),
        ("served", ", ".join(record.presets) or NOTHING),
    ]
    if part is not None:
        lasts = NOTHING if part.seconds is None else minutes_text(part.seconds)
        bars = "" if part.bars is None else f", {counted(part.bars, 'bar')}"
        rows += [("lasts", f"{lasts}{bars}")]
        if part.name or part.file:
            rows.append(("part", ", from ".join(filter(None, (part.name, part.file)))))
    out.table([*rows, *_note(record.note)])
    blocks: dict[str, list[tuple[str, ...]]] = {
        "It asks:": [(one.bars or NOTHING, one.words) for one in record.passages],
        "You rest:": [
            (one.bars or NOTHING, minutes_text(one.seconds))
            for one in (part.rests if part is not None else ())
        ],
        "Played:": [
            (NOTHING if one.on is None else day_text(one.on), one.hall, one.preset or "", one.note)
            for one in record.performances
        ],
    }
    for heading, lines in blocks.items():
        if lines:
            out.data("", heading)
            out.table([("  " + first, *rest) for first, *rest in lines])


def suggestions(found: "Suggestions", out: "Output") -> None:
    """List the presets to begin a piece with, each with its reasons."""
    for number, one in enumerate(found.rows, 1):
        pitches = " over ".join(filter(None, (one.row.top, one.row.bottom)))
        out.data(f"{number}. {one.row.id}{f'  {pitches}' if pitches else ''}")
        out.data(*(f"   {reason}" for reason in one.reasons))


def concerts(found: "Concerts", out: "Output") -> None:
    """List the concerts."""
    if not found.rows:
        out.words("No concert.")
        return
    out.table(
        [
            ("concert", "name", "day", "hall", "items"),
            *(
                (
                    row.slug,
                    row.concert.name,
                    "" if row.concert.on is None else f"{row.concert.on}{' (past)' if row.past else ''}",
                    row.concert.hall,
                    str(len(row.concert.items)),
                )
                for row in found.rows
            ),
        ]
    )


def programme(found: "Programme", out: "Output") -> None:
    """Show one concert with its items."""
    concert = found.concert
    rows = [
        ("concert", found.id),
        ("name", concert.name),
        ("day", NOTHING if concert.on is None else day_text(concert.on)),
        ("hall", concert.hall or NOTHING),
        ("A4", f"{concert.a4:g} Hz"),
        ("drums", ", ".join(concert.drums) or f"all: {', '.join(found.drums) or NOTHING}"),
        ("on stage", str(concert.stage_drums or NOTHING)),
        ("pace", NOTHING if concert.pace is None else f"{concert.pace:g} s a rod"),
    ]
    out.table([*rows, *_note(concert.note)])
    if found.rows:
        out.data("")
        out.table(
            [
                ("", "item", "with", "for", "lasts", "rests", "then"),
                *(_item(row, last=row.number == len(found.rows)) for row in found.rows),
            ]
        )


def _note(note: str) -> list[tuple[str, str]]:
    return [("note" if not place else "", line) for place, line in enumerate(note.splitlines())]


def _item(row: "ItemRow", *, last: bool) -> tuple[str, ...]:
    open_to = f"open: {', '.join(row.candidates[:3])}{' …' if len(row.candidates) > 3 else ''}"
    played_with = "tacet" if row.item.tacet else open_to if row.candidates else NOTHING
    time = NOTHING if row.after_s is None else minutes_text(row.after_s)
    return (
        f"{row.number}.",
        f"{row.name}{'' if row.there else ' (no piece of the library)'}",
        ", ".join(row.presets) or played_with,
        ", ".join(row.contexts) or NOTHING,
        NOTHING if row.seconds is None else minutes_text(row.seconds),
        ", ".join(minutes_text(rest.seconds) + (f" ({rest.bars})" if rest.bars else "") for rest in row.rests)
        or NOTHING,
        "" if last and row.after_s is None else time,
    )
