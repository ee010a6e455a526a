"""What is to be written down of a state of a search, and the entry that comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lugbook.desk.asking import Taken
from lugbook.desk.cautions import cautions
from lugbook.desk.desk import Desk
from lugbook.desk.expecting import take_of
from lugbook.desk.journal import counts_now, moved
from lugbook.desk.keeping import checked
from lugbook.desk.replaying import STEP
from lugbook.desk.searches import AT_THE_DRUM, SearchNow
from lugbook.desk.turning import MOST_AT_ONCE
from lugbook.errors import BadValue, NotPossible
from lugbook.library import open_round_entry
from lugbook.records import SIDES, By, Drum, Entry, HeadSide, PerHead, Struck, TouchUp
from lugbook.turns.amounts import show_turns


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
    taken: Mapping[HeadSide, Taken] = field(default_factory=dict)
    """Readings that were taken already, such as one that was listened to for long."""
    by: By | None = None
    struck: Struck | None = None
    a4_hz: float | None = None
    values: Mapping[str, Any] = field(default_factory=dict)
    """Fields of `Entry` that were said: words, verdict, snares, context and so on."""

    @property
    def turned(self) -> bool:
        """Whether all rods of a head were turned."""
        return any(self.turn.of(side) for side in SIDES)

    @property
    def says(self) -> bool:
        """Whether something was said that is worth an entry: who played and when alone is not."""
        said = (value for key, value in self.values.items() if key not in ("at", "player"))
        return any(value not in (None, "", {}) and str(value).strip() != "" for value in said)

    @property
    def context(self) -> str:
        """The music that was named; empty where none was."""
        return str(self.values.get("context") or "")


def refuse(drum: Drum, state: State) -> None:
    """Refuse a state of which there is nothing to write, or with turns that *drum* cannot make.

    Raises:
        BadValue: there is nothing to write, no such rod, or two turns that do not go together.
        NotPossible: the drum has no rods to turn.
    """
    touched = state.touch_up
    read = state.top or state.bottom or state.taken
    if not (state.turned or touched is not None or read or state.says):
        raise BadValue(
            "There is nothing to write down.",
            hint="Give a turn, a reading, words or a verdict: --turn top=-1/4 --top A3+4 --words dry.",
        )
    if (state.turned or touched is not None) and not drum.turns_offered:
        raise NotPossible(
            f"{drum.name} is tensioned with rope: it has no rods to turn.",
            hint="Write down its pitches, words and snares without turns.",
        )
    if touched is not None and state.turned:
        raise BadValue(
            "All rods and a single one are two entries.", hint="Write the turn down first, then the rod."
        )
    if touched is not None and touched.rod > drum.side(touched.head).rods:
        raise BadValue(
            f"The {touched.head} head has no rod {touched.rod}.",
            hint=f"Its rods are 1 to {drum.side(touched.head).rods}.",
        )
    if touched is not None and state.values.get("verdict") is not None:
        raise NotPossible(NO_VERDICT, hint=IN_WORDS)
    if touched is not None and abs(touched.amount) > 1:
        raise BadValue(
            f"A single rod is not turned by {show_turns(touched.amount)}: the head would warp.",
            hint="A touch-up is a sixteenth or an eighth, at most one turn.",
        )
    if "context" in state.values and not state.context.strip():
        raise BadValue("An empty context names no music.", hint="Write for example --for tutti.")
    given = [amount for side in SIDES if (amount := state.turn.of(side))]
    if drum.tension == "single" and len(set(given)) > 1:
        raise BadValue(
            f"One rod pulls both heads: they cannot be turned by {' and '.join(map(show_turns, given))}.",
            hint="Give one turn.",
        )


def turn_of(drum: Drum, state: State) -> PerHead:
    """Return the turn that was made; in single tension that of both heads."""
    if drum.tension != "single" or not state.turned:
        return state.turn
    amount = state.turn.top or state.turn.bottom
    return PerHead(top=amount, bottom=amount)


def place_after(drum: Drum, here: PerHead, state: State) -> PerHead:
    """Return where both heads stand after the turn of a *state*, from where they stood *here*."""
    turn = turn_of(drum, state)
    for side in SIDES[:1] if drum.tension == "single" else SIDES:
        here = moved(drum, here, side=side, amount=turn.of(side) or 0.0)
    return here


def taken_of(desk: Desk, drum_id: str, state: State) -> dict[HeadSide, Taken]:
    """Take the readings of a *state*.

    Raises:
        BadValue: one is no pitch.
        SoundUnavailable, StrikeUnreadable: nothing can be read from a recording.
    """
    a4_hz, struck = state.a4_hz or desk.a4_hz(), state.struck or "rim"
    return {
        side: take_of(desk, drum_id, side, text, a4_hz=a4_hz, by=state.by, struck=struck)
        for side, text in zip(SIDES, (state.top, state.bottom), strict=True)
        if text
    } | dict(state.taken)


def said(state: State, taken: Mapping[HeadSide, Taken]) -> dict[str, Any]:
    """Return what was said and read, by the names of `Entry`."""
    return {**state.values, **{side: one.reading for side, one in taken.items()}}


def fields_of(
    desk: Desk,
    drum: Drum,
    entries: tuple[Entry, ...],
    state: State,
    now: SearchNow | None,
    taken: Mapping[HeadSide, Taken],
) -> dict[str, Any]:
    """Return what is written down of a state, by the names of `Entry`, without time, place and identity.

    Raises:
        NotPossible: rods were turned, and a round that was stopped part-way is open.
    """
    if (state.turned or state.touch_up is not None) and open_round_entry(entries) is not None:
        raise NotPossible(
            "A round of the rods was stopped part-way.", hint="Finish it at the bench, or take it back."
        )
    begun: dict[str, Any] = {"step": STEP, "heard": AT_THE_DRUM}
    if now is not None:
        begun = {"context": now.context, "heard": now.heard}
    fields = {**begun, "kind": _kind(state, taken), "a4": state.a4_hz or desk.a4_hz(), **said(state, taken)}
    if state.turned:
        fields["turn"] = turn_of(drum, state)
    if state.touch_up is not None:
        fields["touch_up"] = state.touch_up
    return fields


def against(
    drum: Drum, now: SearchNow | None, position: PerHead, state: State, *, entry_id: str | None = None
) -> dict[str, Any]:
    """Return the entry that a verdict holds the state against; none where it was not written down.

    Args:
        drum: the drum.
        now: the search, where it was begun.
        position: where the heads stand in the state.
        state: what is to be written down of it.
        entry_id: of the entry that it is added to; None for a new one.

    Raises:
        NotPossible: there is nothing to compare with.
    """
    if state.values.get("verdict") is None or state.touch_up is not None:
        return {}
    if now is not None and not drum.turns_offered:
        before = [row.entry.stands_for for row in now.rows if row.entry.stands_for != entry_id]
        if not before:
            raise _nothing_to_compare()
        return {"against": before[-1]}
    if now is None or now.search is None:
        if state.turned:
            return {}  # judged against how it stood before the turn
        raise _nothing_to_compare()
    if (position.top, position.bottom) == now.search.kept:
        raise NotPossible(
            "This is the kept state itself: there is nothing to compare it with.",
            hint="Turn a head first, or write down words alone.",
        )
    return {} if now.kept is None else {"against": now.kept.entry.stands_for}


def _nothing_to_compare() -> NotPossible:
    return NotPossible(
        "There is nothing to compare with yet.",
        hint="Write down the state as it is first, without a verdict; it is where the search starts.",
    )


def whole_entry(desk: Desk, drum: Drum, fields: Mapping[str, Any], position: PerHead) -> Entry:
    """Return the entry of these *fields* at a position.

    Raises:
        BadRecord: a value cannot be kept.
        BadValue: it lies in the future.
    """
    entry = checked(
        Entry,
        {
            "player": desk.user.player,
            "at": desk.now(),
            **fields,
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


NO_VERDICT = "A single rod stays beside the position: a verdict on it moves nothing in the search."
IN_WORDS = "Say in words how the drum speaks since."


def past_limits(
    drum: Drum,
    entries: tuple[Entry, ...],
    state: State,
    here: PerHead,
    taken: Mapping[HeadSide, Taken],
) -> tuple[str, ...]:
    """Return a caution for each limit that the turn of a *state*, made already from *here*, went past."""
    turn = turn_of(drum, state)
    moves = {side: amount for side in SIDES if (amount := turn.of(side))}
    place = (here.top or 0.0, here.bottom or 0.0)
    past = [one.sentence for one in cautions(drum, moves, entries, here=place) if one.past_limit]
    for side, one in taken.items():
        limit = drum.side(side).hz_max
        if one.hz is not None and limit is not None and one.hz > limit:
            past.append(f"Caution: {one.hz:.0f} Hz is above the {side} head's limit of {limit:.0f} Hz.")
    if any(abs(amount) > MOST_AT_ONCE for amount in moves.values()):
        most = show_turns(MOST_AT_ONCE)
        past.append(f"That is more than {most} turns at once: strike the entry out if it is a slip.")
    return tuple(past)


def _kind(state: State, taken: Mapping[HeadSide, Taken]) -> str:
    if state.turned:
        return "turn"
    if state.touch_up is not None:
        return "touch-up"
    return "reading" if taken else "remark"
