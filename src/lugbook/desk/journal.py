"""Writing entries: each is on disk before the function returns, with the position after it."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import timedelta

from lugbook.desk.desk import Desk
from lugbook.library import position_of
from lugbook.records import SIDES, Count, CountPerHead, CountSide, Drum, Entry, HeadSide, PerHead


def of_this_sitting(desk: Desk, entries: tuple[Entry, ...]) -> Iterator[Entry]:
    """Yield the entries since the heads were last turned that are younger than `READINGS_LAST`."""
    for entry in reversed(entries):
        if entry.kind in STATE_KINDS or desk.now() - entry.at > READINGS_LAST:
            return
        yield entry


def with_open_rounds(entries: Iterable[Entry]) -> Iterator[tuple[Entry, frozenset[HeadSide]]]:
    """Yield each entry with the heads that are amid a round of the rods at it.

    Such a head stands between two positions, and its reading tells of neither.
    """
    uneven: frozenset[HeadSide] = frozenset()
    for entry in entries:
        if entry.round is not None:
            uneven |= {entry.round.head}
        elif entry.kind in ("turn", "count"):
            uneven = frozenset()
        yield entry, uneven


def position_now(desk: Desk, drum_id: str, drum: Drum) -> PerHead:
    """Return where both heads stand, in turns from each count's reference; 0 where none was turned."""
    return position_after(drum, desk.library.log(drum_id).entries)


def position_after(drum: Drum, entries: Iterable[Entry]) -> PerHead:
    """Return where both heads stand after these *entries*, as `position_now` does."""
    positions = position_of(drum, entries)
    return PerHead(
        top=positions.top.amount if positions.top else 0.0,
        bottom=positions.bottom.amount if positions.bottom else 0.0,
    )


READINGS_LAST = timedelta(minutes=45)
"""Readings older than this say nothing of how the heads are now: heads and rooms change."""

STATE_KINDS = frozenset({"turn", "round", "touch-up", "count"})
"""Kinds of entry after which earlier readings no longer say where the heads are."""

AS_IT_STOOD = "as it stood when counting began"
"""The reference of a count whose player named none: the first entry of it stands at 0."""


def is_known(drum: Drum, entries: Iterable[Entry], side: HeadSide) -> bool:
    """Tell whether it is written down where one head stands: an entry lies in its present count."""
    count = drum.count_of(side)
    return count is not None and any(entry.count.of(side) == count.id for entry in entries)


def counting_from(drum: Drum, entries: tuple[Entry, ...]) -> tuple[str, ...]:
    """Say what turns are counted from, where no entry tells yet where a head stands."""
    counts = [drum.count_of(side) for side in SIDES if not is_known(drum, entries, side)]
    references = dict.fromkeys(count.reference for count in counts if count is not None)
    return tuple(
        "No turns are written down yet: they are counted from how the drum stands at the first entry."
        if reference == AS_IT_STOOD
        else f"No turns are written down yet: the drum is taken to stand at its reference, {reference}."
        for reference in references
    )


def moved(drum: Drum, position: PerHead, *, side: HeadSide, amount: float) -> PerHead:
    """Return *position* after all rods of the *side* were turned; one rod pulls both in single tension."""
    both = drum.tension == "single"
    return PerHead(
        top=(position.top or 0.0) + (amount if both or side == "top" else 0.0),
        bottom=(position.bottom or 0.0) + (amount if both or side == "bottom" else 0.0),
    )


def counts_now(drum: Drum) -> CountPerHead:
    """Return the ids of the counts that are running."""
    top, bottom = drum.count_of("top"), drum.count_of("bottom")
    return CountPerHead(top=top.id if top else None, bottom=bottom.id if bottom else None)


def with_counts(desk: Desk, drum: Drum, *, reference: str = AS_IT_STOOD) -> Drum:
    """Return *drum* with a count running for each head that can be turned."""
    if not drum.turns_offered:
        return drum
    sides: tuple[CountSide, ...] = ("both",) if drum.tension == "single" else ("top", "bottom")
    missing = [side for side in sides if not any(count.side == side for count in drum.counts)]
    if not missing:
        return drum
    begun = tuple(
        Count(
            id=next_id(side, [count.id for count in drum.counts]),
            side=side,
            since=desk.now(),
            reference=reference,
        )
        for side in missing
    )
    return drum.model_copy(update={"counts": drum.counts + begun})


def next_id(stem: str, taken: list[str]) -> str:
    """Return the first of ``stem-1``, ``stem-2`` … that is not *taken*."""
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return f"{stem}-{number}"


def write(
    desk: Desk, drum_id: str, drum: Drum, fields: Mapping[str, object], *, position: PerHead | None = None
) -> Entry:
    """Append an entry to the logbook of a drum.

    Args:
        desk: the desk.
        drum_id: the drum's slug.
        drum: its record.
        fields: what is to be written, by the names of `Entry`; at least ``kind``.
        position: the position after this entry; the present one where None.
    """
    after = position or position_now(desk, drum_id, drum)
    entry = Entry.model_validate(
        {
            "at": desk.now(),
            "position": after if drum.turns_offered else PerHead(),
            "count": counts_now(drum),
            "player": desk.user.player,
            **fields,
            "id": desk.library.new_entry_id(),
        }
    )
    return desk.library.append(drum_id, entry)
