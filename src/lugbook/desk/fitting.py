"""The heads of a drum: putting one on, correcting its record, removing and restoring it.

A new head starts a new count: turns of older counts are void for that head alone, pitches stay.
"""

from datetime import date

from lugbook.desk.desk import Desk
from lugbook.desk.journal import next_id, position_now, write
from lugbook.desk.keeping import Values, checked, merged
from lugbook.errors import BadValue, NotFound
from lugbook.library import Stored
from lugbook.plain import shown
from lugbook.records import Count, CountSide, Drum, Head, HeadSide, PerHead


def add_head(
    desk: Desk, drum_id: str, side: HeadSide, values: Values, *, reference: str = "finger tight"
) -> Head:
    """Put a new head on: the old one is retired, and a new count begins at its reference.

    Args:
        desk: the desk.
        drum_id: the drum.
        side: which side.
        values: fields of `Head`; ``on`` is today where missing.
        reference: the state that the new count starts from.
    """
    stored = desk.library.drum(drum_id)
    drum = stored.record
    # The id of a removed head stays taken, so that it can be restored.
    earlier = (drum, *desk.library.earlier_drums(drum_id))
    ids = [one.id for record in earlier for one in record.heads]
    head = checked(Head, {"on": desk.now().date(), **values, "id": next_id(side, ids), "side": side})
    previous = drum.head_on(side)
    if previous is not None and head.on < previous.on:
        raise BadValue(
            f"The new {side} head would be on since {head.on}, before the present one ({previous.on}).",
            hint="Give a later day, or correct the present head first.",
        )
    retired = tuple(
        old.model_copy(update={"off": head.on}) if old.side == side and old.off is None else old
        for old in drum.heads
    )
    fitted = drum.model_copy(update={"heads": (*retired, head)})
    if drum.turns_offered:
        fitted = _new_count(desk, fitted, side, reference=reference, why="new head")
    saved = desk.library.save_drum(stored, fitted)
    if drum.turns_offered and desk.library.log(drum_id).entries:
        _write_count(desk, drum_id, saved.record, side)
    return head


def edit_head(desk: Desk, drum_id: str, head_id: str, values: Values) -> Head:
    """Correct the record of a head; which side it is on stays."""
    stored = desk.library.drum(drum_id)
    old = _head(stored, head_id)
    new = merged(old, {key: value for key, value in values.items() if key not in ("id", "side")})
    heads = tuple(new if head.id == head_id else head for head in stored.record.heads)
    desk.library.save_drum(stored, stored.record.model_copy(update={"heads": heads}))
    return new


def remove_head(desk: Desk, drum_id: str, head_id: str) -> None:
    """Remove the record of a head that never was; the drum's file as it was goes to the trash."""
    stored = desk.library.drum(drum_id)
    _head(stored, head_id)
    heads = tuple(head for head in stored.record.heads if head.id != head_id)
    desk.library.save_drum(stored, stored.record.model_copy(update={"heads": heads}))


def restore_head(desk: Desk, drum_id: str, head_id: str) -> Head:
    """Bring back the record of a head that was removed, from the newest replaced file that has it.

    Raises:
        BadValue: it is there already.
        NotFound: no file in the trash has it.
    """
    stored = desk.library.drum(drum_id)
    if any(head.id == head_id for head in stored.record.heads):
        raise BadValue(
            f"{shown(drum_id)} has the head {shown(head_id)} already.", hint="Nothing needs restoring."
        )
    for earlier in desk.library.earlier_drums(drum_id):
        for head in earlier.heads:
            if head.id == head_id:
                heads = tuple(sorted((*stored.record.heads, head), key=lambda one: (one.on, one.id)))
                desk.library.save_drum(stored, stored.record.model_copy(update={"heads": heads}))
                return head
    raise NotFound(f"No removed head {shown(head_id)!r} of {shown(drum_id)} is kept.")


def head(desk: Desk, drum_id: str, head_id: str) -> Head:
    """Return one head of a drum."""
    return _head(desk.library.drum(drum_id), head_id)


def _head(stored: Stored[Drum], head_id: str) -> Head:
    for one in stored.record.heads:
        if one.id == head_id:
            return one
    ids = ", ".join(one.id for one in stored.record.heads) or "none yet"
    raise NotFound(f"{shown(stored.id)} has no head {shown(head_id)!r}.", hint=f"It has {ids}.")


def _new_count(desk: Desk, drum: Drum, side: HeadSide, *, reference: str, why: str) -> Drum:
    counted: CountSide = "both" if drum.tension == "single" else side
    count = Count(
        id=next_id(counted, [one.id for one in drum.counts]),
        side=counted,
        since=desk.now(),
        reference=reference,
        why=why,
    )
    return drum.model_copy(update={"counts": (*drum.counts, count)})


def _write_count(desk: Desk, drum_id: str, drum: Drum, side: HeadSide) -> None:
    """Write the entry that begins a count: that head stands at 0, the other where it was."""
    here = position_now(desk, drum_id, drum)
    both = drum.tension == "single"
    after = PerHead(
        top=0.0 if both or side == "top" else here.top,
        bottom=0.0 if both or side == "bottom" else here.bottom,
    )
    write(desk, drum_id, drum, {"kind": "count", "note": f"new {side} head"}, position=after)


def day(text: str) -> date:
    """Return the day that *text* names, such as ``2026-05-03``.

    Raises:
        BadValue: it is no day.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadValue(
            f"{shown(text[:40])!r} is no day.", hint="Write year-month-day, such as 2026-05-03."
        ) from None
