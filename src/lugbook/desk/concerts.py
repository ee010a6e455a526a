"""The concerts: adding, editing, removing and restoring them."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.pieces import Kept, check_presets, said_of_alike
from lugbook.desk.programmes import is_past, programme
from lugbook.desk.running import Change, changed
from lugbook.desk.wording import folded
from lugbook.library import Problem, Stored
from lugbook.plain import shown
from lugbook.records import Concert


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


def concerts(desk: Desk) -> Concerts:
    """Return all concerts: those without a day first, then by day."""
    found = desk.library.concerts()
    rows = [ConcertRow(slug, one.record, is_past(desk, one.record)) for slug, one in found.items.items()]
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


_ALIKE = 0.75
"""From here on a title may be a slip of the pen for a piece's (difflib's ratio; judgement)."""


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
