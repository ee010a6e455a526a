"""The pieces: adding, editing, removing and restoring them, and what of them needs a word."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.wording import contexts_once, day_text, folded
from lugbook.errors import LibraryDamaged, NotFound
from lugbook.library import Problem, Stored
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, Piece, Preset
from lugbook.records.pieces import Performance


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece in a list."""

    slug: str
    piece: Piece
    played: int
    """How often it was played."""
    last_played: date | None


@dataclass(frozen=True, slots=True)
class Pieces:
    """Pieces, and what could not be read."""

    rows: tuple[PieceRow, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept, and what has to be said of it."""

    id: str
    remarks: tuple[str, ...] = ()


def pieces(desk: Desk) -> Pieces:
    """Return all pieces, by composer and title."""
    found = desk.library.pieces()
    rows = [
        PieceRow(
            slug=slug,
            piece=stored.record,
            played=len(stored.record.performances),
            last_played=max((one.on for one in stored.record.performances if one.on), default=None),
        )
        for slug, stored in found.items.items()
    ]
    rows.sort(key=lambda row: (folded(row.piece.composer), folded(row.piece.name), row.slug))
    return Pieces(tuple(rows), found.problems)


def add_piece(desk: Desk, values: Values) -> Kept:
    """Keep a new piece.

    Args:
        desk: the desk.
        values: fields of `Piece`.

    Raises:
        BadRecord: they make no piece.
        NotFound: a preset that they name is not there.
    """
    record = checked(Piece, contexts_once(values))
    check_presets(desk, record.served)
    called = {slug: one.record.called for slug, one in desk.library.pieces().items.items()}
    kept = _kept(desk, desk.library.add_piece(record))
    return Kept(kept.id, (*said_of_alike("piece", record.called, called), *kept.remarks))


def said_of_alike(what: str, name: str, called: Mapping[str, str]) -> tuple[str, ...]:
    """Return what is to be said where others are called alike; nothing where none is.

    Args:
        what: ``piece`` or ``concert``.
        name: what the new one is called.
        called: what each of those that are there is called, by its slug.
    """
    alike = [slug for slug, other in called.items() if folded(other) == folded(name)]
    return (f"There is a {what} of that name already: {', '.join(alike)}.",) if alike else ()


def edit_piece(desk: Desk, slug: str, values: Values, *, since: Stored[Piece] | None = None) -> Kept:
    """Change what is kept of a piece; its slug stays, whatever its title becomes.

    Only presets that were not named before have to be there.

    Args:
        desk: the desk.
        slug: of the piece.
        values: fields of `Piece`.
        since: the piece that rows among the *values* were put into; None reads it now.

    Raises:
        ChangedUnderneath: it was changed *since*.
    """
    stored = desk.library.piece(slug) if since is None else since
    record = _still_read(stored.record, merged(stored.record, contexts_once(values)))
    check_presets(desk, [one for one in record.served if one not in stored.record.served])
    return _kept(desk, desk.library.save_piece(stored, record))


def add_performance(desk: Desk, slug: str, values: Values) -> Kept:
    """Keep that the piece *slug* was played.

    Args:
        desk: the desk.
        slug: of the piece.
        values: fields of `Performance`; today where they name no day.

    Raises:
        BadRecord: they make no performance.
        NotFound: the preset that they name is not there, or there is no such piece.
    """
    stored = desk.library.piece(slug)
    rows = with_performance(desk, stored.record.performances, values)
    return edit_piece(desk, slug, {"performances": rows}, since=stored)


def with_performance(desk: Desk, kept: Sequence[Performance], values: Values) -> tuple[Values, ...]:
    """Return the rows of the performances of a piece with one more.

    Args:
        desk: the desk.
        kept: those it has.
        values: fields of `Performance`; today where they name no day.

    Raises:
        BadRecord: they make no performance.
    """
    said = {key: value for key, value in values.items() if value is not None}
    played = checked(Performance, {"on": desk.now().date(), **said})
    return tuple(one.model_dump(exclude_unset=True) for one in (*kept, played))


def with_presets(kept: Sequence[str], named: Iterable[str]) -> tuple[str, ...]:
    """Return the presets that served in a piece with those that are *named*, each once."""
    return tuple(dict.fromkeys((*kept, *named)))


def remove_piece(desk: Desk, slug: str) -> tuple[str, ...]:
    """Take a piece away; it can be restored. Return what comes of it, in sentences."""
    desk.library.remove_piece(slug)
    return tuple(
        f"The concert {name} names it; there it is a piece that is not in the library now."
        for name, stored in desk.library.concerts().items.items()
        if any(item.piece == slug for item in stored.record.items)
    )


def restore_piece(desk: Desk, slug: str) -> Stored[Piece]:
    """Bring back a piece that was removed, or what it was before it was last changed."""
    return desk.library.restore_piece(slug)


def with_passages(kept: Sequence[Any], typed: Iterable[Values]) -> tuple[Values, ...]:
    """Return the passages or rests of a piece with those that were *typed*, in order of their bars.

    Args:
        kept: those it has; all with the bars of one that was typed give way, those without bars stay.
        typed: fields of each new one; without words or seconds it only takes out those at its bars.
    """
    new = list(typed)
    places = {place_of(one) for one in new} - {None}
    rows = [one.model_dump(exclude_unset=True) for one in kept]
    rows = [one for one in rows if place_of(one) not in places]
    rows += [dict(one) for one in new if one.get("words") is not None or one.get("seconds") is not None]
    return tuple(sorted(rows, key=lambda row: place_of(row) or (0, 0)))


def place_of(row: Values) -> tuple[int, int] | None:
    """Return the first and the last bar of a passage or rest, or None where it names none."""
    first, last = row.get("bar_from"), row.get("bar_to")
    return None if first is None else (first, first if last is None else last)


def _still_read(old: Piece, new: Piece) -> Piece:
    """Return the *new* piece, in which rests that were read from the part and stay are known as read."""
    if old.part is None or new.part is None:
        return new
    read = {(one.bars, one.seconds) for one in old.part.rests if one.read}
    rests = tuple(
        one.model_copy(update={"read": True}) if (one.bars, one.seconds) in read else one
        for one in new.part.rests
    )
    if rests == new.part.rests:
        return new
    return new.model_copy(update={"part": new.part.model_copy(update={"rests": rests})})


def check_presets(desk: Desk, names: Iterable[str]) -> None:
    """Raise where one of these presets is not in the library.

    Raises:
        NotFound: with the nearest there are; a preset whose file is damaged is there.
    """
    known = None
    for name in names:
        if known is None:
            known = set(desk.library.presets().items)
        if name not in known:
            desk.library.preset(name)


def piece_remarks(desk: Desk, piece: Piece) -> tuple[str, ...]:
    """Return what does not fit together in a piece, and what is to be said of its presets."""
    said = [
        f"It was played on {day_text(one.on)}, which is to come."
        for one in piece.performances
        if one.on is not None and one.on > desk.now().date()
    ]
    part = piece.part
    if (
        part is not None
        and part.seconds is not None
        and sum(one.seconds for one in part.rests) > part.seconds
    ):
        said.append("Its rests are longer than the whole of it.")
    return (*said, *preset_remarks(desk, piece.served))


def preset_remarks(desk: Desk, names: Iterable[str]) -> tuple[str, ...]:
    """Return what is to be said of these presets: gone, or from before a head was changed."""
    said = []
    for name in dict.fromkeys(names):
        drum_id = name.partition("/")[0]
        try:
            drum = desk.library.drum(drum_id).record
            preset = desk.library.preset(name).record
        except NotFound as error:
            said.append(f"{shown(name)}: {error.sentence}")
            continue
        except LibraryDamaged:
            # Its sentence has the path of the file, which is nothing for the card of a concert.
            said.append(f"{shown(name)} cannot be read; `lugbook verify` says why.")
            continue
        said += [f"{shown(name)} {older}." for older in _older(drum, preset)]
    return tuple(said)


def _older(drum: Drum, preset: Preset) -> list[str]:
    """Return what of *preset* is from before a head or a count of the *drum* began, in words."""
    new: dict[date, list[str]] = {}
    lost = []
    for side in SIDES:
        head, count, position = drum.head_on(side), drum.count_of(side), preset.position(side)
        if head is not None and preset.made is not None and preset.made.date() < head.on:
            new.setdefault(head.on, []).append(side)
        elif position is not None and (count is None or count.id != position.count):
            lost.append(side)
    found = [
        f"was found before the {' and '.join(sides)} head{'s' * (len(sides) > 1)} of {day_text(day)} "
        "went on; its pitches hold, its turns do not"
        for day, sides in new.items()
    ]
    return [*found, *(f"has turns of an older count of the {side} head; its pitches hold" for side in lost)]


def _kept(desk: Desk, stored: Stored[Piece]) -> Kept:
    return Kept(stored.id, piece_remarks(desk, stored.record))
