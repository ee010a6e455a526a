"""The heads of a drum: putting one on, correcting its record, removing and restoring it.

A new head starts a new count: turns of older counts are void for that head alone, pitches stay.
"""

from datetime import date

from lugbook.desk.desk import Desk
from lugbook.desk.journal import next_id, write
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.recounting import NEW_HEAD, other_began_after, reference_of, with_new_count, write_count
from lugbook.errors import BadValue, NotFound
from lugbook.library import Stored
from lugbook.plain import shown
from lugbook.records import Count, Drum, Head, HeadSide


def add_head(
    desk: Desk, drum_id: str, side: HeadSide, values: Values, *, reference: str | None = None
) -> Head:
    """Put a new head on: the old one is retired, and a new count begins at its reference.

    Args:
        desk: the desk.
        drum_id: the drum.
        side: which side.
        values: fields of `Head`; ``on`` is today where missing.
        reference: the state that the new count starts from; the one that turns were counted from before
            where None.
    """
    stored = desk.library.drum(drum_id)
    drum = stored.record
    # The ids of a removed head and of its count stay taken, so that both can be restored.
    earlier = (drum, *desk.library.earlier_drums(drum_id))
    ids = [one.id for record in earlier for one in record.heads]
    head = checked(Head, {"on": desk.now().date(), **values, "id": next_id(side, ids), "side": side})
    if head.on > desk.now().date():
        raise BadValue(
            f"The new {side} head would be on since {head.on}, which is still to come.",
            hint=f"Today is {desk.now().date()}; leave the day out where it is today.",
        )
    previous = drum.head_on(side)
    if previous is not None and head.on < previous.on:
        raise BadValue(
            f"The new {side} head would be on since {head.on}, before the present one ({previous.on}).",
            hint="Give a later day, or correct the present head first.",
        )
    fitted = drum.model_copy(update={"heads": (*_retired(drum.heads, side, off=head.on), head)})
    if drum.turns_offered:
        taken = [one.id for record in earlier for one in record.counts]
        begins = reference_of(drum, side) if reference is None else reference
        fitted = with_new_count(desk, fitted, side, reference=begins, why=NEW_HEAD, taken=taken, head=head.id)
    saved = desk.library.save_drum(stored, fitted)
    if drum.turns_offered and desk.library.log(drum_id).entries:
        write_count(desk, drum_id, saved.record, side, note=f"new {side} head")
    return head


def edit_head(desk: Desk, drum_id: str, head_id: str, values: Values) -> Head:
    """Correct the record of a head; which side it is on stays."""
    stored = desk.library.drum(drum_id)
    old = _head(stored, head_id)
    new = merged(old, {key: value for key, value in values.items() if key not in ("id", "side")})
    heads = tuple(new if head.id == head_id else head for head in stored.record.heads)
    desk.library.save_drum(stored, stored.record.model_copy(update={"heads": heads}))
    return new


def remove_head(desk: Desk, drum_id: str, head_id: str) -> tuple[str, ...]:
    """Remove the record of a head that never was, and say what comes of it; the drum's old file is kept.

    Where it was the head that is on, the one before it is on again. The count that began with it ends with
    it, unless something was written down in it meanwhile: turns are never lost.
    """
    stored = desk.library.drum(drum_id)
    gone = _head(stored, head_id)
    drum = stored.record.model_copy(
        update={"heads": tuple(one for one in stored.record.heads if one.id != head_id)}
    )
    if gone.off is not None:
        desk.library.save_drum(stored, drum)
        return ()
    said: list[str] = []
    before = [one for one in drum.heads if one.side == gone.side and one.off == gone.on]
    if before:
        on_again = before[-1].model_copy(update={"off": None})
        heads = tuple(on_again if one.id == on_again.id else one for one in drum.heads)
        drum = drum.model_copy(update={"heads": heads})
        said.append(f"{on_again.id} is on again.")
    count = _count_begun_with(drum, gone)
    entries = desk.library.log(drum_id).entries
    own = [one for one in entries if count is not None and one.count.of(gone.side) == count.id]
    if count is None:
        pass
    elif all(one.kind == "count" for one in own) and not other_began_after(drum, gone.side):
        drum = drum.model_copy(update={"counts": tuple(one for one in drum.counts if one.id != count.id)})
        said.append("The count that began with it is over: turns count as before it.")
    else:
        said.append(f"Turns stay in its count {count.id}, in which entries were written.")
        count = None
    saved = desk.library.save_drum(stored, drum)
    for entry in own if count is not None else ():
        write(desk, drum_id, saved.record, {"kind": "count", "corrects": entry.id, "void": True})
    return tuple(said)


def _count_begun_with(drum: Drum, head: Head) -> Count | None:
    """Return the running count of a head's side, if it began with that head; None where it did not.

    Files that do not say with which head a count began tell only whether it began with one.
    """
    running = drum.count_of(head.side)
    if running is None or running.why != NEW_HEAD or running.head not in ("", head.id):
        return None
    return running


def restore_head(desk: Desk, drum_id: str, head_id: str) -> Head:
    """Bring back the record of a head that was removed, from the newest replaced file that has it.

    Where it was on, it is on again with the count that began with it, and the head that is on now is retired.

    Raises:
        BadValue: it is there already.
        NotFound: no file in the trash has it.
    """
    stored = desk.library.drum(drum_id)
    drum = stored.record
    if any(head.id == head_id for head in drum.heads):
        raise BadValue(
            f"{shown(drum_id)} has the head {shown(head_id)} already.", hint="Nothing needs restoring."
        )
    for earlier in desk.library.earlier_drums(drum_id):
        back = next((one for one in earlier.heads if one.id == head_id), None)
        if back is None:
            continue
        kept = _retired(drum.heads, back.side, off=back.on) if back.off is None else drum.heads
        heads = tuple(sorted((*kept, back), key=lambda one: (one.on, one.id)))
        known = {one.id for one in drum.counts}
        counts = [one for one in earlier.counts if one.id not in known and one.side in (back.side, "both")]
        update = {"heads": heads, "counts": (*drum.counts, *counts)}
        saved = desk.library.save_drum(stored, drum.model_copy(update=update))
        if counts:
            write_count(desk, drum_id, saved.record, back.side, note=f"{back.id} is on again")
        return back
    raise NotFound(f"No removed head {shown(head_id)!r} of {shown(drum_id)} is kept.")


def _retired(heads: tuple[Head, ...], side: HeadSide, *, off: date) -> tuple[Head, ...]:
    """Return *heads* with the one that is on the *side* taken off on that day."""
    return tuple(
        one.model_copy(update={"off": off}) if one.side == side and one.off is None else one for one in heads
    )


def head(desk: Desk, drum_id: str, head_id: str) -> Head:
    """Return one head of a drum."""
    return _head(desk.library.drum(drum_id), head_id)


def _head(stored: Stored[Drum], head_id: str) -> Head:
    for one in stored.record.heads:
        if one.id == head_id:
            return one
    ids = ", ".join(one.id for one in stored.record.heads) or "none yet"
    raise NotFound(f"{shown(stored.id)} has no head {shown(head_id)!r}.", hint=f"It has {ids}.")


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
