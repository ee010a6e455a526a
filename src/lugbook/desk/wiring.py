"""The wires of a drum, kept like its heads: putting a set on, tying it anew, correcting, removing, restoring.

A new set takes the old one of its place off, and so does a set that is tied anew: it is a record of its own,
because settings found before it are only where to begin. A correction of a record voids nothing.
"""

from dataclasses import dataclass
from datetime import date

from lugbook.desk.desk import Desk
from lugbook.desk.journal import next_id
from lugbook.desk.keeping import Values, checked, merged
from lugbook.desk.voiding import is_void
from lugbook.errors import BadValue, NotFound, NotPossible
from lugbook.library import Stored
from lugbook.library.folder import not_found
from lugbook.plain import shown
from lugbook.records import Drum, HeadSide, Wires


@dataclass(frozen=True, slots=True)
class WiresRow:
    """One set of wires of a drum's history."""

    id: str
    place: HeadSide
    what: str
    """Kind, strands and how it is tied, in a phrase."""
    since: date | None
    off: date | None


def wires_text(wires: Wires) -> str:
    """Return a set of wires in a phrase such as ``cable, 12 strands, tied: cord``."""
    parts: list[str] = [wires.kind]
    if wires.strands is not None:
        parts.append(f"{wires.strands} strand{'' if wires.strands == 1 else 's'}")
    if wires.tied:
        parts.append(f"tied: {wires.tied}")
    return ", ".join(parts)


def wires_rows(desk: Desk, drum_id: str) -> tuple[WiresRow, ...]:
    """Return all sets of wires of one drum, oldest first."""
    return tuple(
        WiresRow(id=one.id, place=one.place, what=wires_text(one), since=one.since, off=one.off)
        for one in desk.library.drum(drum_id).record.wires
    )


def add_wires(desk: Desk, drum_id: str, values: Values, *, same_set: bool = False) -> Wires:
    """Put a set of wires on, and take the old one of that place off.

    Args:
        desk: the desk.
        drum_id: the drum.
        values: fields of `Wires`; ``since`` is today and ``place`` the bottom where missing.
        same_set: whether it is the set that is on, only tied anew: kind and strands stay.

    Raises:
        BadRecord, BadValue: a value cannot be kept, or its day does not fit.
        NotPossible: it is to be tied anew, and none is on.
    """
    stored = desk.library.drum(drum_id)
    drum = stored.record
    # The ids of removed sets stay taken, so that they can be restored.
    earlier = (drum, *desk.library.earlier_drums(drum_id))
    taken = [one.id for record in earlier for one in record.wires]
    given = {"since": desk.now().date(), **values, "id": next_id("wires", taken)}
    wires = checked(Wires, given)
    before = drum.wires_on(wires.place)
    if same_set:
        wires = _tied_anew(drum, wires, before, values)
    _refuse_day(desk, wires, before)
    off = wires.since or desk.now().date()
    kept = (*_retired(drum.wires, wires.place, off=off), wires)
    desk.library.save_drum(stored, drum.model_copy(update={"wires": kept}))
    return wires


def edit_wires(desk: Desk, drum_id: str, wires_id: str, values: Values) -> Wires:
    """Correct the record of a set; settings found with it stay. Where it lies stays too."""
    stored = desk.library.drum(drum_id)
    old = _wires(stored, wires_id)
    new = merged(old, {key: value for key, value in values.items() if key not in ("id", "place")})
    if new.since is not None and new.off is not None and new.off < new.since:
        raise BadValue(
            f"{new.id} would be off on {new.off}, before it was put on ({new.since}).",
            hint="Correct one of the two days.",
        )
    if new.off is None and (on := stored.record.wires_on(new.place)) is not None and on.id != new.id:
        raise BadValue(
            f"{on.id} lies under the {new.place} head now.", hint=f"Say first when {on.id} was taken off."
        )
    kept = tuple(new if one.id == wires_id else one for one in stored.record.wires)
    desk.library.save_drum(stored, stored.record.model_copy(update={"wires": kept}))
    return new


def remove_wires(desk: Desk, drum_id: str, wires_id: str) -> tuple[str, ...]:
    """Remove the record of a set that never was, and say what comes of it; the drum's old file is kept.

    Where it was the set that is on, the one before it is on again.
    """
    stored = desk.library.drum(drum_id)
    gone = _wires(stored, wires_id)
    kept = tuple(one for one in stored.record.wires if one.id != wires_id)
    before = [
        one for one in kept if one.place == gone.place and one.off is not None and one.off == gone.since
    ]
    said: tuple[str, ...] = ()
    if gone.off is None and before:
        on_again = before[-1].model_copy(update={"off": None})
        kept = tuple(on_again if one.id == on_again.id else one for one in kept)
        said = (f"{on_again.id} is on again: settings found with it count.",)
    desk.library.save_drum(stored, stored.record.model_copy(update={"wires": kept}))
    return said


def restore_wires(desk: Desk, drum_id: str, wires_id: str) -> Wires:
    """Bring back the record of a set that was removed, from the newest replaced file that has it.

    Where it was on, it is on again, and the set that is on now is taken off.

    Raises:
        BadValue: it is there already.
        NotFound: no file in the trash has it.
    """
    stored = desk.library.drum(drum_id)
    drum = stored.record
    if any(one.id == wires_id for one in drum.wires):
        raise BadValue(
            f"{shown(drum_id)} has the wires {shown(wires_id)} already.", hint="Nothing needs restoring."
        )
    for earlier in desk.library.earlier_drums(drum_id):
        back = next((one for one in earlier.wires if one.id == wires_id), None)
        if back is None:
            continue
        off = back.since or desk.now().date()
        kept = _retired(drum.wires, back.place, off=off) if back.off is None else drum.wires
        ordered = tuple(sorted((*kept, back), key=lambda one: (one.since or date.min, one.id)))
        desk.library.save_drum(stored, drum.model_copy(update={"wires": ordered}))
        return back
    raise NotFound(f"No removed wires {shown(wires_id)!r} of {shown(drum_id)} are kept.")


def wires(desk: Desk, drum_id: str, wires_id: str) -> Wires:
    """Return one set of wires of a drum."""
    return _wires(desk.library.drum(drum_id), wires_id)


def voided_presets(desk: Desk, drum_id: str) -> tuple[str, ...]:
    """Return the presets of a drum whose setting of the snares is of wires that are no longer on."""
    drum = desk.library.drum(drum_id).record
    found = desk.library.presets(drum_id).items.values()
    return tuple(one.id for one in found if is_void(drum, one.record))


def _tied_anew(drum: Drum, wires: Wires, before: Wires | None, values: Values) -> Wires:
    if before is None:
        raise NotPossible(
            f"{shown(drum.name)} has no wires under its {wires.place} head to tie anew.",
            hint="Leave out that it is the same set.",
        )
    others = [key for key in ("kind", "strands") if values.get(key) is not None]
    if others:
        raise BadValue(
            f"The same set has no other {others[0]}.", hint="Correct its record first, or put another set on."
        )
    same = before.model_dump(exclude_unset=True, exclude={"off"})
    own = wires.model_dump(exclude_unset=True, exclude_none=True)
    return checked(Wires, {**same, **own})


def _refuse_day(desk: Desk, wires: Wires, before: Wires | None) -> None:
    today = desk.now().date()
    if wires.since is None:
        return
    if wires.since > today:
        raise BadValue(
            f"The wires would be on since {wires.since}, which is still to come.",
            hint=f"Today is {today}; leave the day out where it is today.",
        )
    if before is not None and before.since is not None and wires.since < before.since:
        raise BadValue(
            f"The wires would be on since {wires.since}, before the present ones ({before.since}).",
            hint="Give a later day, or correct the present ones first.",
        )


def _retired(wires: tuple[Wires, ...], place: HeadSide, *, off: date) -> tuple[Wires, ...]:
    """Return *wires* with the set that lies there taken off on that day."""
    return tuple(
        one.model_copy(update={"off": off}) if one.place == place and one.off is None else one
        for one in wires
    )


def _wires(stored: Stored[Drum], wires_id: str) -> Wires:
    for one in stored.record.wires:
        if one.id == wires_id:
            return one
    if not stored.record.wires:
        raise NotFound(f"{shown(stored.id)} has no wires written down yet.")
    raise not_found("set of wires", wires_id, known=[one.id for one in stored.record.wires])
