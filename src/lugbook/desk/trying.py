"""Writing a state of a search down: the turn, the pitches, the snares, the words, the verdict.

What is known only later (words after the readings, a verdict after the words) is added to the same entry by
a correction, so that a row of the chart is one state and nothing waits in memory for the rest of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lugbook.desk.asking import Taken
from lugbook.desk.cautions import cautions
from lugbook.desk.desk import Desk
from lugbook.desk.expecting import take_of
from lugbook.desk.journal import counts_now, moved, position_after, with_counts
from lugbook.desk.keeping import checked
from lugbook.desk.searches import AT_THE_DRUM, STEP, SearchNow, search_in
from lugbook.errors import BadValue, ChangedUnderneath, NotPossible
from lugbook.library import open_round_entry
from lugbook.records import SIDES, By, Drum, Entry, HeadSide, PerHead, Struck, TouchUp
from lugbook.turns.amounts import show_turns

_TRIES = 5
"""So often an entry is worked out anew because another program wrote one meanwhile."""

SAID = ("words", "verdict", "snares", "passages", "bounce")
"""Fields of an entry that tell that a state was heard."""


@dataclass(frozen=True, slots=True)
class State:
    """What is to be written down of a state; everything may be missing."""

    turn: PerHead = field(default_factory=PerHead)
    """The turn just made, all rods of a head."""
    touch_up: TouchUp | None = None
    """A single rod that was turned."""
    top: str | None = None
    """Reading of the top head: note, frequency or the path of a recording."""
    bottom: str | None = None
    """Reading of the bottom head."""
    by: By | None = None
    struck: Struck | None = None
    a4_hz: float | None = None
    values: Mapping[str, Any] = field(default_factory=dict)
    """Fields of `Entry` that were said: words, verdict, snares, context and so on."""


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
        search: its name; where None, the present one, else the name of the context, else ``search``.

    Raises:
        BadValue, BadRecord: a value that cannot be used.
        NotPossible: there is nothing to write, a verdict has nothing to compare with, the drum has no such
            turns, or a round of the rods is open.
        StrikeUnreadable, SoundUnavailable: nothing can be read from a recording.
    """
    stored = desk.library.drum(drum_id)
    _refuse_nothing(state)
    _refuse_rods(stored.record, state)
    taken = _taken(desk, drum_id, state)
    for _ in range(_TRIES):
        log = desk.library.log(drum_id)
        entries = log.entries
        now = _search_of(desk, drum_id, stored.record, entries, search)
        name = now.name if now is not None else _new_name(search, state)
        fields = _fields(desk, stored.record, entries, state, now, taken) | {"search": name}
        drum = with_counts(desk, stored.record)
        position = _after(position_after(stored.record, entries), stored.record, state.turn)
        fields |= _against(drum, now, position, state)
        kept = _whole(desk, drum, fields, position)
        careful = _cautions(drum, entries, state, position)
        if drum is not stored.record:
            stored = desk.library.save_drum(stored, drum)
        try:
            entry = desk.library.append(drum_id, kept, unchanged=log)
        except ChangedUnderneath:
            continue
        return _tried(desk, drum_id, entry, name, (*_heard_remarks(taken), *careful))
    raise ChangedUnderneath(
        f"Other programs write into the logbook of {drum_id} all the time.", hint="Try again."
    )


def add_to(desk: Desk, drum_id: str, entry_id: str, state: State) -> Tried:
    """Add what is known by now to an entry of a search; turns stay as they are.

    Raises:
        NotFound: there is no such entry.
        NotPossible: the verdict has nothing to compare with.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    before = entry_of(entries, entry_id)
    taken = _taken(desk, drum_id, state)
    now = search_in(desk, drum_id, drum, entries, before.search) if before.search else None
    added = _said(state, taken) | _against(drum, now, before.position, state)
    keys = before.model_dump(exclude_unset=True)
    keys |= {**added, "id": desk.library.new_entry_id(), "corrects": before.stands_for}
    entry = desk.library.append(drum_id, checked(Entry, keys))
    return _tried(desk, drum_id, entry, before.search, _heard_remarks(taken))


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
        "at": desk.now(), "kind": entry.kind, "corrects": entry.stands_for, "void": True,
        "search": entry.search, "count": counts_now(drum), "id": desk.library.new_entry_id(),
    }  # fmt: skip
    desk.library.append(drum_id, checked(Entry, struck))
    return entry


def entry_of(entries: tuple[Entry, ...], entry_id: str) -> Entry:
    """Return the entry that is known by *entry_id*.

    Raises:
        NotFound: there is none.
    """
    from lugbook.library.folder import not_found  # on use: only this error needs it

    for entry in reversed(entries):
        if entry_id in (entry.id, entry.corrects):
            return entry
    raise not_found("entry", entry_id, known=[entry.stands_for for entry in entries[-5:]])


def _refuse_nothing(state: State) -> None:
    turned = any(state.turn.of(side) for side in SIDES) or state.touch_up is not None
    if not (turned or state.top or state.bottom or state.values):
        raise BadValue(
            "There is nothing to write down.",
            hint="Give a turn, a reading, words or a verdict: --turn top=-1/4 --top A3+4 --words dry.",
        )


def _refuse_rods(drum: Drum, state: State) -> None:
    turned = [side for side in SIDES if state.turn.of(side) is not None]
    if (turned or state.touch_up is not None) and not drum.turns_offered:
        raise NotPossible(
            f"{drum.name} is tensioned with rope: it has no rods to turn.",
            hint="Write down its pitches, words and snares without turns.",
        )
    touched = state.touch_up
    if touched is not None and touched.rod > drum.side(touched.head).rods:
        raise BadValue(
            f"The {touched.head} head has no rod {touched.rod}.",
            hint=f"Its rods are 1 to {drum.side(touched.head).rods}.",
        )
    if touched is not None and turned:
        raise BadValue(
            "All rods and a single one are two entries.", hint="Write the turn down first, then the rod."
        )


def _taken(desk: Desk, drum_id: str, state: State) -> dict[HeadSide, Taken]:
    a4_hz = state.a4_hz or desk.a4_hz()
    struck = state.struck or "rim"
    return {
        side: take_of(desk, drum_id, side, text, a4_hz=a4_hz, by=state.by, struck=struck)
        for side, text in zip(SIDES, (state.top, state.bottom), strict=True)
        if text
    }


def _search_of(
    desk: Desk, drum_id: str, drum: Drum, entries: tuple[Entry, ...], name: str | None
) -> SearchNow | None:
    found = search_in(desk, drum_id, drum, entries, name)
    if name is None and found is not None and found.ended:
        return None
    return found


def _new_name(search: str | None, state: State) -> str:
    return search or str(state.values.get("context") or "") or "search"


def _fields(
    desk: Desk,
    drum: Drum,
    entries: tuple[Entry, ...],
    state: State,
    now: SearchNow | None,
    taken: Mapping[HeadSide, Taken],
) -> dict[str, Any]:
    """Return what is written down, by the names of `Entry`, without time, place and identity."""
    turned = any(state.turn.of(side) for side in SIDES)
    left = open_round_entry(entries)
    if left is not None and (turned or state.touch_up is not None):
        raise NotPossible(
            "A round of the rods was stopped part-way.", hint="Finish it at the bench, or take it back."
        )
    kind = "turn" if turned else "touch-up" if state.touch_up is not None else "reading"
    if kind == "reading" and not taken:
        kind = "remark"
    begun: dict[str, Any] = {"step": STEP, "heard": AT_THE_DRUM}
    if now is not None:
        begun = {"context": now.context, "heard": now.heard}
    fields: dict[str, Any] = {**begun, "kind": kind, "a4": state.a4_hz or desk.a4_hz(), **_said(state, taken)}
    if turned:
        fields["turn"] = _both(drum, state.turn)
    if state.touch_up is not None:
        fields["touch_up"] = state.touch_up
    return fields


def _said(state: State, taken: Mapping[HeadSide, Taken]) -> dict[str, Any]:
    return {**state.values, **{side: one.reading for side, one in taken.items()}}


def _against(drum: Drum, now: SearchNow | None, position: PerHead, state: State) -> dict[str, Any]:
    """Return the entry that a verdict holds the state against; none where it was not written down."""
    if state.values.get("verdict") is None or state.touch_up is not None:
        return {}
    if now is not None and not drum.turns_offered:
        return {"against": now.rows[-1].entry.stands_for}
    if now is None or now.search is None:
        if any(state.turn.of(side) for side in SIDES):
            return {}  # judged against how it stood before the turn
        raise NotPossible(
            "There is nothing to compare with yet.",
            hint="Write down the state as it is first, without a verdict; it is where the search starts.",
        )
    if (position.top, position.bottom) == now.search.kept:
        raise NotPossible(
            "This is the kept state itself: there is nothing to compare it with.",
            hint="Turn a head first, or write down words alone.",
        )
    return {} if now.kept is None else {"against": now.kept.entry.stands_for}


def _both(drum: Drum, turn: PerHead) -> PerHead:
    if drum.tension != "single":
        return turn
    given = [one for side in SIDES if (one := turn.of(side)) is not None]
    if len(set(given)) > 1:
        raise BadValue(
            f"One rod pulls both heads: they cannot be turned by {' and '.join(map(show_turns, given))}.",
            hint="Give one turn.",
        )
    return PerHead(top=given[0], bottom=given[0])


def _after(here: PerHead, drum: Drum, turn: PerHead) -> PerHead:
    for side in SIDES if drum.tension != "single" else SIDES[:1]:
        amount = turn.of(side) if drum.tension != "single" else _both(drum, turn).top
        if amount:
            here = moved(drum, here, side=side, amount=amount)
    return here


def _whole(desk: Desk, drum: Drum, fields: Mapping[str, Any], position: PerHead) -> Entry:
    at = fields.get("at") or desk.now()
    entry = checked(
        Entry,
        {
            "player": desk.user.player,
            **fields,
            "at": at,
            "position": position if drum.turns_offered else PerHead(),
            "count": counts_now(drum),
            "id": desk.library.new_entry_id(),
        },
    )
    if entry.at > desk.now():
        raise BadValue(
            f"{entry.at:%Y-%m-%d %H:%M} lies in the future: it is {desk.now():%Y-%m-%d %H:%M} now.",
            hint="Write down when it was heard, or leave the time out.",
        )
    return entry


def _cautions(drum: Drum, entries: tuple[Entry, ...], state: State, position: PerHead) -> tuple[str, ...]:
    turn = _both(drum, state.turn) if any(state.turn.of(side) for side in SIDES) else state.turn
    moves = {side: amount for side in SIDES if (amount := turn.of(side))}
    here = (
        (position.top or 0.0) - moves.get("top", 0.0),
        (position.bottom or 0.0) - moves.get("bottom", 0.0),
    )
    return tuple(one.sentence for one in cautions(drum, moves, entries, here=here) if one.past_limit)


def _heard_remarks(taken: Mapping[HeadSide, Taken]) -> tuple[str, ...]:
    return tuple(f"{side.capitalize()} head: {one}" for side, got in taken.items() for one in got.remarks)


def _tried(desk: Desk, drum_id: str, entry: Entry, name: str, remarks: tuple[str, ...]) -> Tried:
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    now = search_in(desk, drum_id, drum, entries, name)
    if now is None:
        raise AssertionError(name)
    return Tried(entry, now, tuple(dict.fromkeys((*remarks, *now.remarks))))
