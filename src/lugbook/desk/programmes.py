"""A concert with all that its items mean, and what does not fit together in it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from lugbook.desk.desk import Desk
from lugbook.desk.matching import Matcher, matcher
from lugbook.desk.pieces import preset_remarks
from lugbook.desk.wording import day_text, numbered
from lugbook.library import Problem
from lugbook.plain import shown
from lugbook.records import Concert, Item, Piece
from lugbook.records.pieces import Rest

_NEAREST = 3
"""So many presets are named where none is for an item."""


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
        past=is_past(desk, concert),
        rows=tuple(rows),
        drums=drums,
        remarks=tuple(_remarks(desk, concert, rows, there)),
        problems=tuple(dict.fromkeys((*desk.shared_problems(), *music.problems, *shelf.problems))),
    )


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


def is_past(desk: Desk, concert: Concert) -> bool:
    """Tell whether the day of a concert is over."""
    return concert.on is not None and concert.on < desk.now().date()


def _remarks(desk: Desk, concert: Concert, rows: Sequence[ItemRow], there: Sequence[str]) -> Iterator[str]:
    if is_past(desk, concert) and concert.on is not None:
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
