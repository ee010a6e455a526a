"""Writing a state of a search down: the turn, the pitches, the snares, the words, the verdict.

What is known only later (words after the readings, a verdict after the words) is added to the same entry by
a correction, so that a row of the chart is one state and nothing waits in memory for the rest of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from lugbook.desk.appending import append
from lugbook.desk.asking import Taken, renamed_pitch
from lugbook.desk.desk import Desk
from lugbook.desk.journal import counts_now, position_after, with_counts
from lugbook.desk.keeping import checked
from lugbook.desk.searches import SearchNow, by_search, search_in, search_now
from lugbook.desk.stating import (
    IN_WORDS,
    NO_VERDICT,
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
from lugbook.errors import BadValue, NotPossible
from lugbook.library import Log
from lugbook.library.folder import not_found
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, Entry, HeadSide


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
    begun: tuple[str, ...] = ()
    careful: tuple[str, ...] = ()

    def state_entry(log: Log) -> Entry:
        nonlocal stored, begun, careful
        drum = with_counts(desk, stored.record)
        now = _search_of(desk, drum_id, stored.record, log.entries, state, search)
        name = now.name if now is not None else new_name(log.entries, search, state)
        here = position_after(stored.record, log.entries)
        after = place_after(stored.record, here, state)
        fields = fields_of(desk, stored.record, log.entries, state, now, taken) | {"search": name}
        entry = whole_entry(desk, drum, fields | against(drum, now, after, state), after)
        entry = in_order(log.entries, entry, timed="at" in state.values)
        careful = past_limits(drum, log.entries, state, here, taken)
        begun = () if now is not None else (f"A new search begins: {shown(name)}.",)
        if drum is not stored.record:
            stored = desk.library.save_drum(stored, drum)
        return entry

    kept = append(desk, drum_id, state_entry)
    return _tried(desk, drum_id, kept, kept.search, (*begun, *_heard_remarks(taken), *careful))


def add_to(desk: Desk, drum_id: str, entry_id: str, state: State) -> Tried:
    """Add what is known by now to an entry of a search, or correct it; its turn stays as it is.

    Passages are added one by one, and notes are kept at the concert pitch of the entry.

    Raises:
        BadRecord: a value cannot be kept.
        BadValue: there is nothing to add, or something that stays as it is.
        NotFound: there is no such entry.
        NotPossible: the entry belongs to no search, or the verdict has nothing to compare with.
    """
    drum = desk.library.drum(drum_id).record
    if state.turned or state.touch_up is not None or "at" in state.values:
        raise BadValue(
            "Turn and time of an entry stay as they are: the places of later ones rest on them.",
            hint="Strike it out and write it down anew, or write the turn down as an entry of its own.",
        )
    if not (state.top or state.bottom or state.values):
        refuse(drum, state)
    taken = taken_of(desk, drum_id, state)

    def grown(log: Log) -> Entry:
        before = entry_of(log.entries, entry_id)
        now = search_in(desk, drum_id, drum, log.entries, before.search)
        if now is None:
            raise NotPossible(
                f"The entry {before.stands_for} belongs to no search.", hint="Only states of a search grow."
            )
        if state.values.get("verdict") is not None:
            _refuse_verdict(now, before)
        added = _added(before, state, taken)
        if before.verdict is None:  # a verdict that is corrected holds against the same state
            added |= against(drum, now, before.position, state, entry_id=before.stands_for)
        keys = before.model_dump(exclude_unset=True)
        keys |= {**added, "id": desk.library.new_entry_id(), "corrects": before.stands_for}
        return checked(Entry, keys)

    entry = append(desk, drum_id, grown)
    return _tried(desk, drum_id, entry, entry.search, _heard_remarks(taken))


def strike_out(desk: Desk, drum_id: str, entry_id: str) -> Entry:
    """Strike an entry out that was written by mistake, and return it; it stays in the file.

    Raises:
        NotFound: there is no such entry.
        NotPossible: the heads were turned in it and something was written since, whose place rests on it; or
            it is a round of the rods or the beginning of a count, which have a way back of their own.
    """
    drum = desk.library.drum(drum_id).record
    found: list[Entry] = []

    def struck(log: Log) -> Entry:
        entry = entry_of(log.entries, entry_id)
        _refuse_striking(drum_id, log.entries, entry)
        found.append(entry)
        return checked(
            Entry,
            {
                "at": desk.now(),
                "kind": entry.kind,
                "corrects": entry.stands_for,
                "void": True,
                "search": entry.search,
                "count": counts_now(drum),
                "id": desk.library.new_entry_id(),
            },
        )

    append(desk, drum_id, struck)
    return found[-1]


def entry_of(entries: tuple[Entry, ...], entry_id: str) -> Entry:
    """Return the entry that is known by *entry_id*.

    Raises:
        NotFound: there is none.
    """
    for entry in reversed(entries):
        if entry_id in (entry.id, entry.corrects):
            return entry
    raise not_found("entry", entry_id, known=[entry.stands_for for entry in entries[-5:]])


def in_order(entries: tuple[Entry, ...], entry: Entry, *, timed: bool = False) -> Entry:
    """Return an entry that is read after those it was worked out from.

    Logs of several machines are read by time, then by writer: where another machine wrote in the same second,
    or its clock is ahead, the entry takes a time just after that one's.

    Args:
        entries: what it was worked out from.
        entry: with the time of this machine, or the player's.
        timed: whether its time is the player's, which is not moved.

    Raises:
        BadValue: the time that the player gave lies before another machine's entry.
    """
    last = entries[-1] if entries else None
    if timed and last is not None and entry.at < last.at:
        raise BadValue(
            f"{entry.at:%Y-%m-%d %H:%M} lies before the last entry, of {last.at:%Y-%m-%d %H:%M}.",
            hint="Write states down in the order they were heard; --note can say when it was.",
        )
    if last is None or last.writer == entry.writer:
        return entry
    # An entry is read no earlier than those that its writer made before it.
    theirs = max(one.at for one in entries if one.writer == last.writer)
    ours = max([entry.at, *(one.at for one in entries if one.writer == entry.writer)])
    if (ours, entry.writer) > (theirs, last.writer):
        return entry
    if timed:
        raise BadValue(
            f"{entry.at:%Y-%m-%d %H:%M} lies before the last entry, of {theirs:%Y-%m-%d %H:%M}, "
            "which another machine wrote.",
            hint="Leave the time out, and say in --note when it was heard.",
        )
    after = theirs if entry.writer > last.writer else theirs + timedelta(seconds=1)
    return entry.model_copy(update={"at": after.astimezone(entry.at.tzinfo)})


def _search_of(
    desk: Desk, drum_id: str, drum: Drum, entries: tuple[Entry, ...], state: State, name: str | None
) -> SearchNow | None:
    """Return the search that a state belongs to: the one named, or of that music, or the present one."""
    if name is None and state.context:
        wanted = folded(state.context)
        for key, of_it in reversed(by_search(entries).items()):
            is_for = key == wanted or any(folded(one.context) == wanted for one in of_it)
            if is_for and not of_it[-1].settled:
                return search_in(desk, drum_id, drum, entries, of_it[-1].search)
        return None
    found = search_in(desk, drum_id, drum, entries, name)
    return None if name is None and found is not None and found.ended else found


def new_name(entries: tuple[Entry, ...], search: str | None, state: State) -> str:
    """Return the name of a search that begins: the one given, else its music, numbered where it is taken."""
    if search is not None:
        if not search.strip():
            raise BadValue("A search needs a name.", hint="Leave --search out, or name its music.")
        return search.strip()
    stem, taken, number = state.context or "search", by_search(entries), 1
    while folded(name := stem if number == 1 else f"{stem} {number}") in taken:
        number += 1
    return name


def _added(before: Entry, state: State, taken: Mapping[HeadSide, Taken]) -> dict[str, Any]:
    """Return what is put into an entry, in its own terms: its concert pitch, its passages and these.

    An entry that had no pitch yet takes the concert pitch of its first; a remark that grows one is a reading.
    """
    added = said(state, taken)
    unread = all(before.reading(side) is None for side in SIDES)
    for side, one in taken.items():
        if unread:
            added["a4"] = one.a4_hz
        pitch = renamed_pitch(one.reading.pitch, old_a4_hz=one.a4_hz, a4_hz=added.get("a4", before.a4))
        added[side] = one.reading.model_copy(update={"pitch": pitch})
    if taken and before.kind == "remark":
        added["kind"] = "reading"
    if "passages" in added:
        added["passages"] = {**before.passages, **added["passages"]}
    return added


def _refuse_verdict(now: SearchNow, before: Entry) -> None:
    """Refuse a verdict of a state that nothing can be held against."""
    row = next(one for one in now.rows if one.entry.stands_for == before.stands_for)
    if row.void:
        raise NotPossible(
            f"Entry {row.number} no longer counts ({row.void}).", hint="Write down how the drum stands now."
        )
    if row.number == 1 and before.verdict is None and not any(before.turn.of(side) for side in SIDES):
        raise NotPossible(
            "The search starts with this entry: nothing was heard before it.",
            hint="Judge a later state against it.",
        )
    if before.touch_up is not None:
        raise NotPossible(NO_VERDICT, hint=IN_WORDS)


def _refuse_striking(drum_id: str, entries: tuple[Entry, ...], entry: Entry) -> None:
    if entry.kind == "count":
        raise NotPossible(
            "A count begins with this entry.", hint=f"Take it back: lugbook head recount {drum_id} --undo"
        )
    if entry.kind == "round":
        raise NotPossible(
            "A round of the rods was stopped part-way here.",
            hint="Finish it at the bench, or take it back there.",
        )
    if entry is not entries[-1] and any(entry.turn.of(side) for side in SIDES):
        raise NotPossible(
            "The places of later entries rest on the turn of this one.",
            hint="Strike out the later ones first, or correct what was said of it.",
        )


def _heard_remarks(taken: Mapping[HeadSide, Taken]) -> tuple[str, ...]:
    return tuple(f"{side.capitalize()} head: {one}" for side, got in taken.items() for one in got.remarks)


def _tried(desk: Desk, drum_id: str, entry: Entry, name: str, remarks: tuple[str, ...]) -> Tried:
    now = search_now(desk, drum_id, name)
    return Tried(entry, now, tuple(dict.fromkeys((*remarks, *now.remarks))))
