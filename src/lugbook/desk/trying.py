"""Writing a state of a search down: the turn, the pitches, the snares, the words, the verdict.

What is known only later (words after the readings, a verdict after the words) is added to the same entry by
a correction, so that a row of the chart is one state and nothing waits in memory for the rest of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from lugbook.desk.asking import Taken
from lugbook.desk.desk import Desk
from lugbook.desk.journal import counts_now, position_after, with_counts
from lugbook.desk.keeping import checked
from lugbook.desk.searches import SearchNow, by_search, search_in
from lugbook.desk.stating import (
    State,
    against,
    fields_of,
    past_limits,
    place_after,
    refuse,
    said,
    taken_of,
    whole_entry,
)
from lugbook.desk.wording import folded
from lugbook.errors import ChangedUnderneath, NotPossible
from lugbook.library.folder import not_found
from lugbook.records import SIDES, Drum, Entry, HeadSide

TRIES = 5
"""So often an entry is worked out anew because another program wrote one meanwhile."""


@dataclass(frozen=True, slots=True)
class Tried:
    """What was written down, and how the search stands after it."""

    entry: Entry
    now: SearchNow
    remarks: tuple[str, ...] = ()


def try_state(desk: Desk, drum_id: str, state: State, *, search: str | None = None) -> Tried:
    """Write a state down in a search of a drum; the first of a search begins it.

    Args:
        desk: the desk.
        drum_id: the drum.
        state: what was turned, read and said.
        search: its name; where None, that of the music, else the present one, else a new one.

    Raises:
        BadValue, BadRecord: a value that cannot be used, or there is nothing to write.
        NotPossible: a verdict has nothing to compare with, the drum has no such turns, or a round of the rods
            is open.
        StrikeUnreadable, SoundUnavailable: nothing can be read from a recording.
    """
    stored = desk.library.drum(drum_id)
    refuse(stored.record, state)
    taken = taken_of(desk, drum_id, state)
    for _ in range(TRIES):
        log = desk.library.log(drum_id)
        drum = with_counts(desk, stored.record)
        now = _search_of(desk, drum_id, stored.record, log.entries, state, search)
        name = now.name if now is not None else _new_name(log.entries, search, state)
        here = position_after(stored.record, log.entries)
        after = place_after(stored.record, here, state)
        fields = fields_of(desk, stored.record, log.entries, state, now, taken) | {"search": name}
        entry = whole_entry(desk, drum, fields | against(drum, now, after, state), after)
        careful = past_limits(drum, log.entries, state, here)
        if drum is not stored.record:
            stored = desk.library.save_drum(stored, drum)
        try:
            kept = desk.library.append(drum_id, entry, unchanged=log)
        except ChangedUnderneath:
            continue
        return _tried(desk, drum_id, kept, name, (*_heard_remarks(taken), *careful))
    raise _busy(drum_id)


def add_to(desk: Desk, drum_id: str, entry_id: str, state: State) -> Tried:
    """Add what is known by now to an entry of a search, or correct it; its turn stays as it is.

    Raises:
        BadRecord: a value cannot be kept.
        NotFound: there is no such entry.
        NotPossible: the entry belongs to no search, or the verdict has nothing to compare with.
    """
    drum = desk.library.drum(drum_id).record
    taken = taken_of(desk, drum_id, state)
    for _ in range(TRIES):
        log = desk.library.log(drum_id)
        before = entry_of(log.entries, entry_id)
        now = search_in(desk, drum_id, drum, log.entries, before.search)
        if now is None:
            raise NotPossible(
                f"The entry {before.stands_for} belongs to no search.", hint="Only states of a search grow."
            )
        added = said(state, taken)
        if before.verdict is None:  # a verdict that is corrected holds against the same state
            added |= against(drum, now, before.position, state)
        keys = before.model_dump(exclude_unset=True)
        keys |= {**added, "id": desk.library.new_entry_id(), "corrects": before.stands_for}
        try:
            entry = desk.library.append(drum_id, checked(Entry, keys), unchanged=log)
        except ChangedUnderneath:
            continue
        return _tried(desk, drum_id, entry, before.search, _heard_remarks(taken))
    raise _busy(drum_id)


def strike_out(desk: Desk, drum_id: str, entry_id: str) -> Entry:
    """Strike an entry out that was written by mistake, and return it; it stays in the file.

    Raises:
        NotFound: there is no such entry.
        NotPossible: the heads were turned in it and something was written since, whose place rests on it.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    entry = entry_of(entries, entry_id)
    if entry is not entries[-1] and any(entry.turn.of(side) for side in SIDES):
        raise NotPossible(
            "The places of later entries rest on the turn of this one.",
            hint="Strike out the later ones first, or correct what was said of it.",
        )
    struck = {
        "at": desk.now(),
        "kind": entry.kind,
        "corrects": entry.stands_for,
        "void": True,
        "search": entry.search,
        "count": counts_now(drum),
        "id": desk.library.new_entry_id(),
    }
    desk.library.append(drum_id, checked(Entry, struck))
    return entry


def entry_of(entries: tuple[Entry, ...], entry_id: str) -> Entry:
    """Return the entry that is known by *entry_id*.

    Raises:
        NotFound: there is none.
    """
    for entry in reversed(entries):
        if entry_id in (entry.id, entry.corrects):
            return entry
    raise not_found("entry", entry_id, known=[entry.stands_for for entry in entries[-5:]])


def _search_of(
    desk: Desk, drum_id: str, drum: Drum, entries: tuple[Entry, ...], state: State, name: str | None
) -> SearchNow | None:
    """Return the search that a state belongs to: the one named, or of that music, or the present one."""
    if name is None and state.context:
        of_it = by_search(entries).get(folded(state.context))
        if of_it is None or of_it[-1].settled:
            return None
        name = state.context
    found = search_in(desk, drum_id, drum, entries, name)
    return None if name is None and found is not None and found.ended else found


def _new_name(entries: tuple[Entry, ...], search: str | None, state: State) -> str:
    """Return the name of a search that begins: the one given, else its music, numbered where it is taken."""
    if search:
        return search
    stem, taken, number = state.context or "search", by_search(entries), 1
    while folded(name := stem if number == 1 else f"{stem} {number}") in taken:
        number += 1
    return name


def _busy(drum_id: str) -> ChangedUnderneath:
    return ChangedUnderneath(
        f"Other programs write into the logbook of {drum_id} all the time.", hint="Try again."
    )


def _heard_remarks(taken: Mapping[HeadSide, Taken]) -> tuple[str, ...]:
    return tuple(f"{side.capitalize()} head: {one}" for side, got in taken.items() for one in got.remarks)


def _tried(desk: Desk, drum_id: str, entry: Entry, name: str, remarks: tuple[str, ...]) -> Tried:
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    now = search_in(desk, drum_id, drum, entries, name)
    if now is None:
        raise AssertionError(name)
    return Tried(entry, now, tuple(dict.fromkeys((*remarks, *now.remarks))))
