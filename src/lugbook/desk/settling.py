"""Going on with a search, taking finer steps, and ending it; and the preset that comes of a state."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lugbook.desk.appending import append
from lugbook.desk.desk import Desk
from lugbook.desk.drifting import drift_words, tolerances
from lugbook.desk.journal import position_after
from lugbook.desk.keeping import add_preset
from lugbook.desk.replaying import place_of_entry
from lugbook.desk.searches import Row, SearchNow, search_now, was_heard
from lugbook.desk.stating import State, whole_entry
from lugbook.desk.trying import Tried, entry_of, in_order, try_state
from lugbook.errors import BadValue, LugbookError, NotPossible
from lugbook.library import Log, Stored
from lugbook.plain import shown
from lugbook.records import SIDES, Entry, Preset
from lugbook.trials.grid import Pair
from lugbook.turns.amounts import show_turns

_FINEST = 1 / 64
"""Turns are counted in no finer steps."""


@dataclass(frozen=True, slots=True)
class Resumed:
    """A search that is gone on with after its pitches were read again."""

    tried: Tried
    before: Row | None
    """The entry of the same place that it was compared with; None where that had no pitch."""
    drifted: bool
    sentence: str
    """How far the heads moved since, in words."""
    void: tuple[Row, ...] = ()
    """What no longer counts since just now."""


def resume(desk: Desk, drum_id: str, state: State, *, search: str | None = None) -> Resumed:
    """Go on with a search: read the pitches where the drum was left, and say whether it is still there.

    Args:
        desk: the desk.
        drum_id: the drum.
        state: the readings of the heads.
        search: its name; where None, the present one.

    Raises:
        BadValue: neither head was read.
        NotFound: there is no such search.
    """
    if not (state.top or state.bottom):
        raise BadValue("Neither head was read.", hint="Give --top R, --bottom R or both.")
    now = search_now(desk, drum_id, search)
    known = now.read.knows(now.place)
    tried = try_state(desk, drum_id, state, search=now.name)
    counted = {row.number for row in now.rows if not row.void}
    void = tuple(row for row in tried.now.rows if row.void and row.number in counted)
    if not known:
        return Resumed(tried, None, False, "No pitch of this place was written down before.", void)
    moved = now.read.moved(now.place, tried.entry)
    past = any(one.past(tolerances(desk)) for one in moved)
    return Resumed(tried, now.told.get(now.place), past, drift_words(moved), void)


def refine(desk: Desk, drum_id: str, *, search: str | None = None, step: float | None = None) -> SearchNow:
    """Go on by a finer step, half of the present one where none is named.

    Raises:
        BadValue: the step is not finer.
        NotPossible: nothing of the search counts, so that there is no step.
    """
    now = search_now(desk, drum_id, search)
    if now.search is None:
        raise NotPossible("No state of this search counts, so that it has no step.")
    finer = now.search.step / 2 if step is None else step
    if not _FINEST <= finer < now.search.step:
        raise BadValue(
            f"{show_turns(finer)} is no finer step than {show_turns(now.search.step)}.",
            hint=f"Steps go down to {show_turns(_FINEST)}.",
        )
    return _marked(desk, now, {"step": finer, "note": f"Steps of {show_turns(finer)} from here on."})


def settle(desk: Desk, drum_id: str, *, search: str | None = None) -> SearchNow:
    """End a search, proven or not; an entry that follows goes on with it.

    Raises:
        NotFound: there is no such search.
        NotPossible: it was ended already.
    """
    now = search_now(desk, drum_id, search)
    if now.ended:
        raise _ended(now)
    return _marked(desk, now, {"settled": True, "note": "The search ends here."})


def settle_as(
    desk: Desk, drum_id: str, name: str, *, search: str | None = None
) -> tuple[SearchNow, Stored[Preset]]:
    """End a search and keep its kept state as a preset, both or none.

    Raises:
        BadRecord: the name cannot be kept.
        NotFound: there is no such search.
        NotPossible: it was ended already, or nothing is kept in it.
    """
    now = search_now(desk, drum_id, search)
    if now.ended:
        raise _ended(now)
    preset = preset_of_state(desk, drum_id, "kept", {"name": name}, search=now.name)
    try:
        return settle(desk, drum_id, search=now.name), preset
    except LugbookError:
        desk.library.remove_preset(preset.id)
        raise


def preset_of_state(
    desk: Desk, drum_id: str, which: str, values: Mapping[str, Any], *, search: str | None = None
) -> Stored[Preset]:
    """Keep a state of the logbook as a preset: pitches, turns, snares, words, and what it was heard with.

    Args:
        desk: the desk.
        drum_id: the drum.
        which: the id of an entry, its number in the search, ``kept`` or ``last``.
        values: fields of `Preset` that go before those of the entry, such as its name.
        search: the search of the number; where None, the present one.

    Raises:
        NotFound: there is no such entry or search.
    """
    entry = state_entry(desk, drum_id, which, search=search)
    drum = desk.library.drum(drum_id).record
    context = entry.context or entry.search
    turns: dict[str, Any] = {}
    for side in SIDES:
        count, amount = entry.count.of(side), entry.position.of(side)
        if count is not None and amount is not None:
            turns[side] = {"amount": amount, "count": count}
    name = context[:1].upper() + context[1:] or f"{drum.name} {entry.at:%Y-%m-%d}"
    of_entry = {
        "name": name,
        "contexts": (context,) if context else (),
        "a4": entry.a4,
        "top": entry.top,
        "bottom": entry.bottom,
        "turns": turns,
        "snares": entry.snares,
        **{key: None if (said := getattr(entry, key)) == "" else said for key in _SHARED},
        "made": entry.at,
        "entry": entry.stands_for,
    }
    return add_preset(desk, drum_id, {**of_entry, **values})


_SHARED = (
    *("words", "muffling", "sticks", "playing_spot", "player", "heard"),
    *("temperature_c", "humidity_pct"),
)
"""Fields that entry and preset have in common."""

_SAID_ONCE = ("snares", "muffling", "sticks", "playing_spot")
"""Fields of a state that are not said again with each entry of it."""


def state_entry(desk: Desk, drum_id: str, which: str, *, search: str | None = None) -> Entry:
    """Return the entry of *which*: an id, a number in a search, ``last``, or ``kept`` with its pitches.

    Raises:
        NotFound: there is no such entry or search.
        NotPossible: nothing is kept in the search.
    """
    if which not in ("kept", "last") and not which.isdecimal():
        return entry_of(desk.library.log(drum_id).entries, which)
    now = search_now(desk, drum_id, search)
    if which == "last":
        states = [row.entry for row in now.rows if row.entry.kind != "remark" or was_heard(row.entry)]
        return (states or [now.rows[-1].entry])[-1]
    if which.isdecimal():
        rows = {str(row.number): row.entry for row in now.rows}
        if which not in rows:
            raise BadValue(
                f"The search {shown(now.name)} has no entry {which}.", hint=f"It has 1 to {len(rows)}."
            )
        return rows[which]
    if now.search is None or now.kept is None:
        raise NotPossible(f"Nothing is kept in the search {shown(now.name)}.")
    kept, place = now.kept.entry, now.search.kept
    filled: dict[str, Any] = {}
    for row in _rows_at(now, place):  # of what is said more than once, the latest counts
        filled |= {key: said for key in _SAID_ONCE if (said := getattr(row.entry, key))}
    filled = {key: said for key, said in filled.items() if not getattr(kept, key)}
    read = _read_at(now, place)
    if read is not None and kept.top is None and kept.bottom is None:
        filled |= {"top": read.entry.top, "bottom": read.entry.bottom, "a4": read.entry.a4}
    return kept.model_copy(update=filled)


def _read_at(now: SearchNow, place: Pair) -> Row | None:
    """Return the latest entry of a place that has a pitch."""
    rows = _rows_at(now, place)
    read = [row for row in rows if row.entry.top is not None or row.entry.bottom is not None]
    return read[-1] if read else None


def _rows_at(now: SearchNow, place: Pair) -> list[Row]:
    return [row for row in now.rows if not row.void and place_of_entry(row.entry) == place]


def _marked(desk: Desk, now: SearchNow, fields: Mapping[str, Any]) -> SearchNow:
    drum = desk.library.drum(now.drum_id).record
    common = {"kind": "remark", "search": now.name, "context": now.context, "heard": now.heard}

    def mark(log: Log) -> Entry:
        entry = whole_entry(desk, drum, {**common, **fields}, position_after(drum, log.entries))
        return in_order(log.entries, entry)

    append(desk, now.drum_id, mark)
    return search_now(desk, now.drum_id, now.name)


def _ended(now: SearchNow) -> NotPossible:
    return NotPossible(f"The search {shown(now.name)} was ended already.")
