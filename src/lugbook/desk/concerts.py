"""The concerts: adding, editing, removing and restoring them, and a concert with all that its items mean."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.matching import Matcher, matcher
from lugbook.desk.pieces import Kept, check_presets, preset_remarks, said_of_alike
from lugbook.desk.running import Change, changed
from lugbook.desk.wording import day_text, folded, numbered
from lugbook.library import Problem, Stored
from lugbook.plain import shown
from lugbook.records import Concert, Item, Piece
from lugbook.records.pieces import Rest


@dataclass(frozen=True, slots=True)
class ConcertRow:
    """One concert in a list."""

    slug: str
    concert: Concert
    past: bool
    """Whether its day is over."""


@dataclass(frozen=True, slots=True)
class Concerts:
    """Concerts, and what could not be read."""

    rows: tuple[ConcertRow, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class ItemRow:
    """One item with what its piece says where the item itself says nothing."""

    number: int
    """From 1."""
    item: Item
    name: str
    """Composer and title, or the plain title."""
    there: bool
    """Whether the piece that it names is in the library; a plain title always is."""
    contexts: tuple[str, ...]
    presets: tuple[str, ...]
    """The presets that are fixed, all needed at once."""
    candidates: tuple[str, ...]
    """Where none is fixed: presets of drums that travel, which served in the piece or are for its music, the
    best first; one of them is needed."""
    nearest: tuple[str, ...]
    """Where there is none of these either: presets that are for a part of it."""
    seconds: float | None
    after_s: float | None
    """None where nobody said, and after the last item where it does not matter."""
    rests: tuple[Rest, ...]


@dataclass(frozen=True, slots=True)
class Programme:
    """A concert with all that its items mean."""

    id: str
    concert: Concert
    past: bool
    rows: tuple[ItemRow, ...]
    drums: tuple[str, ...]
    """The drums that travel and are in the library; all of it where the concert names none."""
    remarks: tuple[str, ...]
    """What does not fit together, or is not known, in sentences."""
    problems: tuple[Problem, ...]


def concerts(desk: Desk) -> Concerts:
    """Return all concerts: those without a day first, then by day."""
    found = desk.library.concerts()
    rows = [ConcertRow(slug, one.record, _is_past(desk, one.record)) for slug, one in found.items.items()]
    rows.sort(key=lambda row: (row.concert.on is not None, row.concert.on or desk.now().date(), row.slug))
    return Concerts(tuple(rows), found.problems)


def add_concert(desk: Desk, values: Values, changes: Sequence[Change] = ()) -> Kept:
    """Keep a new concert.

    Args:
        desk: the desk.
        values: fields of `Concert` but for its items; the library's concert pitch where it names none.
        changes: what puts its items in.

    Raises:
        BadRecord: they make no concert.
        NotFound: a drum or preset that they name is not there.
    """
    given = {"a4": desk.a4_hz()} | {key: value for key, value in values.items() if value is not None}
    record = _with_items(checked(Concert, given), changes)
    _check_names(desk, record, before=None)
    called = {slug: one.record.name for slug, one in desk.library.concerts().items.items()}
    kept = _kept(desk, desk.library.add_concert(record), before=None)
    return Kept(kept.id, (*said_of_alike("concert", record.name, called), *kept.remarks))


def edit_concert(
    desk: Desk,
    slug: str,
    values: Values,
    changes: Sequence[Change] = (),
    *,
    stored: Stored[Concert] | None = None,
) -> Kept:
    """Change what is kept of a concert, as it was read where *stored* is given; its slug stays.

    Only names that are new have to be there.
    """
    stored = stored or desk.library.concert(slug)
    record = _with_items(merged(stored.record, values), changes)
    _check_names(desk, record, before=stored.record)
    return _kept(desk, desk.library.save_concert(stored, record), before=stored.record)


def remove_concert(desk: Desk, slug: str) -> None:
    """Take a concert away; it can be restored."""
    desk.library.remove_concert(slug)


def restore_concert(desk: Desk, slug: str) -> Stored[Concert]:
    """Bring back a concert that was removed, or what it was before it was last changed."""
    return desk.library.restore_concert(slug)


def programme(desk: Desk, slug: str) -> Programme:
    """Return the concert *slug* with all that its items mean.

    Raises:
        LibraryDamaged: its file cannot be read.
        NotFound: there is no such concert.
    """
    concert = desk.library.concert(slug).record
    music, shelf = desk.library.pieces(), desk.library.presets()
    there = desk.library.drum_slugs()
    drums = tuple(one for one in (concert.drums or there) if one in there)
    travelling = {
        name: stored.record.contexts
        for name, stored in shelf.items.items()
        if name.partition("/")[0] in drums
    }
    match = matcher(desk)
    # Many items of a long list are for the same.
    fitting = cache(lambda contexts: _fitting(match, travelling, contexts))

    rows = []
    for number, item in enumerate(concert.items, 1):
        stored = music.items.get(item.piece) if item.piece else None
        piece = None if stored is None else stored.record
        contexts = item.contexts or (piece.contexts if piece is not None else ())
        fit, near = ((), ()) if item.presets or item.tacet else fitting(contexts)
        if piece is not None and not item.presets and not item.tacet:
            fit = tuple(dict.fromkeys((*(one for one in piece.served if one in travelling), *fit)))
        rows.append(_row(number, item, piece, contexts, fit=fit, near=() if fit else near))
    return Programme(
        id=slug,
        concert=concert,
        past=_is_past(desk, concert),
        rows=tuple(rows),
        drums=drums,
        remarks=tuple(_remarks(desk, concert, rows, there)),
        problems=tuple(dict.fromkeys((*desk.shared_problems(), *music.problems, *shelf.problems))),
    )


_ALIKE = 0.75
"""From here on a title may be a slip of the pen for a piece's (difflib's ratio; judgement)."""

_NEAREST = 3
"""So many presets are named where none is for an item."""


def _fitting(
    match: Matcher, presets: Mapping[str, Sequence[str]], contexts: tuple[str, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return which of *presets* are for all of *contexts*, and those that come nearest, the best first."""
    if not contexts:
        return (), ()
    fits = {name: match.fit(words, contexts) for name, words in presets.items()}
    ranked = sorted(fits, key=lambda name: (-fits[name].score, name))
    fitting = tuple(name for name in ranked if fits[name].fits)
    return fitting, tuple(name for name in ranked if fits[name].score)[:_NEAREST]


def _row(
    number: int,
    item: Item,
    piece: Piece | None,
    contexts: tuple[str, ...],
    *,
    fit: tuple[str, ...],
    near: tuple[str, ...],
) -> ItemRow:
    part = piece.part if piece is not None else None
    seconds = item.seconds if item.seconds is not None or part is None else part.seconds
    return ItemRow(
        number=number,
        item=item,
        name=piece.called if piece is not None else item.title or item.piece,
        there=piece is not None or not item.piece,
        contexts=contexts,
        presets=item.presets,
        candidates=fit,
        nearest=near,
        seconds=seconds,
        after_s=item.after_s,
        rests=item.rests or (part.rests if part is not None else ()),
    )


def _with_items(record: Concert, changes: Sequence[Change]) -> Concert:
    if not changes:
        return record
    items = [one.model_dump(exclude_unset=True) for one in changed(record.items, changes)]
    return merged(record, {"items": items})


def _check_names(desk: Desk, record: Concert, *, before: Concert | None) -> None:
    """Raise where something that is named anew is not in the library."""
    known_drums = before.drums if before is not None else ()
    known = {preset for item in before.items for preset in item.presets} if before is not None else set()
    for drum in record.drums:
        if drum not in known_drums and drum not in desk.library.drum_slugs():
            desk.library.drum(drum)  # raises, with the nearest there are
    check_presets(desk, [one for item in record.items for one in item.presets if one not in known])


def _kept(desk: Desk, stored: Stored[Concert], *, before: Concert | None) -> Kept:
    """Return what was kept, with the plain titles that are new: a piece may have been meant."""
    import difflib  # on use: no other deed of concerts needs it

    old = {item.title for item in before.items} if before is not None else set()
    pieces = desk.library.pieces().items
    names = {folded(name): slug for slug, one in pieces.items() for name in (slug, one.record.title)}
    said = []
    for title in dict.fromkeys(item.title for item in stored.record.items if item.title not in old):
        near = difflib.get_close_matches(folded(title), names, n=3, cutoff=_ALIKE) if title else []
        if near:
            alike = ", ".join(dict.fromkeys(names[one] for one in near))
            said.append(f"{shown(title)!r} is kept as a plain title; pieces called alike: {alike}.")
    return Kept(stored.id, (*said, *programme(desk, stored.id).remarks))


def _is_past(desk: Desk, concert: Concert) -> bool:
    return concert.on is not None and concert.on < desk.now().date()


def _remarks(desk: Desk, concert: Concert, rows: Sequence[ItemRow], there: Sequence[str]) -> Iterator[str]:
    if _is_past(desk, concert) and concert.on is not None:
        yield f"{day_text(concert.on)} is past; it is kept as it is."
    lost = [one for one in concert.drums if one not in there]
    yield from (f"The drum {shown(one)} is to travel and is not in the library." for one in lost)
    travel = len(concert.drums) - len(lost)
    if concert.stage_drums is not None and concert.stage_drums < travel:
        fit = concert.stage_drums
        yield f"{travel} drums travel, and {fit} of them fit on the stage: no more are planned."
    if not rows:
        yield "It has no items yet."
    yield from preset_remarks(desk, (preset for row in rows for preset in row.presets))
    for row in rows:
        yield from (f"Item {row.number}: {said}" for said in _item_remarks(concert, row))
    unsaid = [row.number for row in rows[:-1] if row.after_s is None]
    if unsaid:
        yield f"No time is said after {numbered(unsaid)}."
    at_once = [row.number for row in rows[:-1] if row.after_s == 0]
    if at_once:
        yield f"There is no time at all after {numbered(at_once)}: nothing can be changed there."


def _item_remarks(concert: Concert, row: ItemRow) -> Iterator[str]:
    if not row.there:
        yield f"the piece {shown(row.item.piece)} is not in the library."
    drums = [one.partition("/")[0] for one in row.presets]
    if concert.drums:
        yield from (f"the drum {shown(one)} does not travel." for one in drums if one not in concert.drums)
    if concert.stage_drums is not None and len(drums) > concert.stage_drums:
        yield f"it takes {len(drums)} drums, and {concert.stage_drums} fit on the stage."
    if not row.presets and not row.candidates and not row.item.tacet:
        music = ", ".join(map(shown, row.contexts))
        near = f" The nearest: {', '.join(row.nearest)}." if row.nearest else ""
        yield f"no preset that travels is for {music}.{near}" if music else "nobody said what it is for."
    if row.seconds is not None and sum(rest.seconds for rest in row.rests) > row.seconds:
        yield "its rests are longer than the whole of it."
