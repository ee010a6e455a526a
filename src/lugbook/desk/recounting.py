"""Counts of turns: beginning a new one where the old one is lost, and taking back one begun by mistake.

A count is lost when a head was let down or taken off, when somebody else's key was at it, or when nobody
knows any more. Turns of the older count are void from then on, for that head alone; pitches stay.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lugbook.desk.desk import Desk
from lugbook.desk.journal import AS_IT_STOOD, next_id, position_now, write
from lugbook.desk.keeping import checked
from lugbook.desk.wording import turned_part
from lugbook.errors import BadValue, NotPossible
from lugbook.library import open_round_entry
from lugbook.plain import shown
from lugbook.records import SIDES, Count, CountSide, Drum, Entry, HeadSide, PerHead

NEW_HEAD = "new head"
"""Why a count begins with a head."""

LOST = "the count was lost"
"""Why a count begins where the player says nothing else."""

FINGER_TIGHT = "finger tight"
"""Where turns of a new head are counted from where nothing else is known."""

Which = Literal["top", "bottom", "both"]


@dataclass(frozen=True, slots=True)
class Recounted:
    """What a new count, or taking one back, led to."""

    counts: tuple[Count, ...]
    """The counts that run now for the heads it was about."""
    presets: tuple[str, ...]
    """The presets (``drum/preset``) whose turns are void now, or count again, for one of those heads."""
    remarks: tuple[str, ...]

    def sentences(self, *, undone: bool) -> tuple[str, ...]:
        """Say which counts run and whose turns are void, or count again where one was *undone*."""
        said = []
        for count in self.counts:
            whose = "both heads" if count.side == "both" else f"the {count.side} head"
            how = "runs again" if undone else "begins at 0"
            said.append(f"{count.id}: the count of {whose} {how}, from: {count.reference}")
        if self.presets and undone:
            said.append(f"Valid again: the turns in {', '.join(self.presets)}.")
        elif self.presets:
            said.append(f"Void now: the turns in {', '.join(self.presets)}.")
            said.append("Their pitches stay; `lugbook retune` brings the drum back by them.")
        return (*said, *self.remarks)


def recount(
    desk: Desk, drum_id: str, which: Which, *, reference: str = AS_IT_STOOD, why: str = LOST
) -> Recounted:
    """Begin a new count of turns: the head stands at nought, and turns of older counts are void for it.

    Args:
        desk: the desk.
        drum_id: the drum.
        which: the head, or both; in single tension one rod pulls both, whichever is named.
        reference: the state that the new count starts from, in words.
        why: why it begins.

    Raises:
        NotPossible: the drum has no rods.
        BadRecord: the reference or the reason is no single line of text.
    """
    drum = desk.library.drum(drum_id).record
    _refuse_rope(drum)
    sides = sides_of(drum, which)
    before = presets_that_count(desk, drum_id, drum, sides)
    remarks = ended_round(desk, drum_id, drum, sides)
    begun: list[Count] = []
    for side in sides if drum.tension == "separate" else sides[:1]:
        stored = desk.library.drum(drum_id)
        # The ids of counts that were taken back stay taken: their entries are in the logbook.
        taken = [one.id for record in desk.library.earlier_drums(drum_id) for one in record.counts]
        fresh = with_new_count(desk, stored.record, side, reference=reference, why=why, taken=taken)
        saved = desk.library.save_drum(stored, fresh)
        if desk.library.log(drum_id).entries:
            write_count(desk, drum_id, saved.record, side, note=why)
        begun.append(saved.record.counts[-1])
    return Recounted(tuple(begun), before, remarks)


def question(desk: Desk, drum_id: str, which: Which) -> str:
    """Return what a new count would mean, in a sentence, before it is begun.

    Raises:
        NotPossible: the drum has no rods.
    """
    drum = desk.library.drum(drum_id).record
    _refuse_rope(drum)
    sides = sides_of(drum, which)
    presets = presets_that_count(desk, drum_id, drum, sides)
    several = which == "both" and drum.tension == "separate"
    part = "heads" if several else turned_part(drum.tension, sides[0])
    if not presets:
        return f"No preset keeps turns of the {part}; the count begins at nought."
    return f"The turns of the {part} in {', '.join(presets)} will be void; pitches stay."


def _refuse_rope(drum: Drum) -> None:
    if not drum.turns_offered:
        raise NotPossible(
            f"{shown(drum.name)} is tensioned with rope: no turns are counted.", hint="Keep its pitches."
        )


def take_back(desk: Desk, drum_id: str, which: Which) -> Recounted:
    """Take back a count that was begun by mistake: turns count as before it.

    Of both heads, those whose count can be taken back are, and what is said of the other tells why not.

    Raises:
        NotPossible: there is no count before it, it began with a new head, or turns or pitches were written
            down in it.
    """
    drum = desk.library.drum(drum_id).record
    sides = sides_of(drum, which)
    # The latest count first: the entry that began it names the other head's count too.
    latest_first = sorted(sides, key=lambda side: _place(drum, side), reverse=True)
    mine = latest_first if drum.tension == "separate" else latest_first[:1]
    why_not = {side: why for side in mine if (why := _why_not_back(desk, drum_id, drum, side)) is not None}
    if len(why_not) == len(mine):
        raise why_not[mine[0]]
    mine = [side for side in mine if side not in why_not]
    if drum.tension == "separate" and len(mine) == 1 and other_began_after(drum, mine[0]):
        side, other = mine[0], "bottom" if mine[0] == "top" else "top"
        raise NotPossible(
            f"The count of the {other} head began after that of the {side} head.",
            hint=f"Take back both, or the {other} head's first.",
        )
    for side in mine:
        stored = desk.library.drum(drum_id)
        last = stored.record.count_of(side)
        kept = tuple(one for one in stored.record.counts if one != last)
        own = [
            entry
            for entry in desk.library.log(drum_id).entries
            if last is not None and entry.count.of(side) == last.id
        ]
        saved = desk.library.save_drum(stored, stored.record.model_copy(update={"counts": kept}))
        for entry in own:
            write(desk, drum_id, saved.record, {"kind": "count", "corrects": entry.id, "void": True})
    drum = desk.library.drum(drum_id).record
    back = [side for side in sides if side not in why_not]
    running = dict.fromkeys(count for side in back if (count := drum.count_of(side)) is not None)
    stays = tuple(f"The count of the {side} head stays as it is: {why}" for side, why in why_not.items())
    return Recounted(tuple(running), presets_that_count(desk, drum_id, drum, back), stays)


def other_began_after(drum: Drum, side: HeadSide) -> bool:
    """Tell whether the running count of the other head began after that of the *side*."""
    other: HeadSide = "bottom" if side == "top" else "top"
    return _place(drum, other) > _place(drum, side)


def _place(drum: Drum, side: HeadSide) -> int:
    count = drum.count_of(side)
    return drum.counts.index(count) if count is not None else -1


def _why_not_back(desk: Desk, drum_id: str, drum: Drum, side: HeadSide) -> NotPossible | None:
    """Return why the running count of one head cannot be taken back; None where it can."""
    counts = [one for one in drum.counts if one.side in (side, "both")]
    if len(counts) < 2:
        return NotPossible(
            f"The count of the {side} head is its first one: there is none to go back to.",
            hint="Nothing needs taking back.",
        )
    last = counts[-1]
    if last.why == NEW_HEAD:
        return NotPossible(
            f"The count of the {side} head began with a new head.",
            hint="Where that head never was, remove its record with `lugbook head remove`.",
        )
    if any(entry.count.of(side) == last.id and entry.kind != "count" for entry in _log(desk, drum_id)):
        return NotPossible(
            f"Turns or pitches of the {side} head were written down since its count {last.id} began.",
            hint="Nothing is lost: the older entries stay in the logbook, and pitches stay valid.",
        )
    return None


def reference_of(drum: Drum, side: HeadSide) -> str:
    """Return the state that turns of one head are counted from now, as far as it can be had again."""
    count = drum.count_of(side)
    return FINGER_TIGHT if count is None or count.reference == AS_IT_STOOD else count.reference


def sides_of(drum: Drum, which: Which) -> tuple[HeadSide, ...]:
    """Return the heads that *which* means; in single tension one rod pulls both."""
    if which == "both" or drum.tension == "single":
        return SIDES
    return (which,)


def presets_that_count(desk: Desk, drum_id: str, drum: Drum, sides: Sequence[HeadSide]) -> tuple[str, ...]:
    """Return the presets of a drum whose turns of one of the *sides* lie in the count that is running."""
    found = []
    for stored in desk.library.presets(drum_id).items.values():
        for side in sides:
            position, count = stored.record.position(side), drum.count_of(side)
            if position is not None and count is not None and position.count == count.id:
                found.append(stored.id)
                break
    return tuple(sorted(found))


def ended_round(desk: Desk, drum_id: str, drum: Drum, sides: Sequence[HeadSide]) -> tuple[str, ...]:
    """Say that a round of the rods that was stopped part-way ends with the count it belongs to."""
    entry = open_round_entry(_log(desk, drum_id))
    if entry is None or entry.round is None or entry.round.head not in sides:
        return ()
    part = turned_part(drum.tension, entry.round.head)
    return (f"The round of the {part} that was stopped part-way ends with its count.",)


def with_new_count(
    desk: Desk, drum: Drum, side: HeadSide, *, reference: str, why: str, taken: Sequence[str], head: str = ""
) -> Drum:
    """Return *drum* with a new count of one head; its id is none of the drum's own, nor of those *taken*.

    Args:
        desk: the desk.
        drum: as it is before.
        side: which head; in single tension the count is of both.
        reference: the state that it starts from, in words.
        why: why it begins.
        taken: ids that may not be used.
        head: the id of the head that it begins with; empty where it begins for another reason.
    """
    counted: CountSide = "both" if drum.tension == "single" else side
    if not reference.strip():
        raise BadValue(
            "A count needs the state it starts from.", hint='Say it in words, such as "finger tight".'
        )
    id_ = next_id(counted, [*(one.id for one in drum.counts), *taken])
    since = desk.now()
    count = checked(
        Count, {"id": id_, "side": counted, "since": since, "reference": reference, "why": why, "head": head}
    )
    return drum.model_copy(update={"counts": (*drum.counts, count)})


def write_count(desk: Desk, drum_id: str, drum: Drum, side: HeadSide, *, note: str) -> None:
    """Write the entry that begins a count: that head stands at 0, the other where it was."""
    here = position_now(desk, drum_id, drum)
    both = drum.tension == "single"
    after = PerHead(
        top=0.0 if both or side == "top" else here.top,
        bottom=0.0 if both or side == "bottom" else here.bottom,
    )
    write(desk, drum_id, drum, {"kind": "count", "note": note}, position=after)


def _log(desk: Desk, drum_id: str) -> tuple[Entry, ...]:
    return desk.library.log(drum_id).entries
