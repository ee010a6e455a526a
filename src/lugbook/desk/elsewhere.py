"""That a drum stands elsewhere, by its logbook, than in the preset that it is said to be in."""

from collections.abc import Sequence

from lugbook.desk.asking import taken_from
from lugbook.desk.comparing import compare
from lugbook.desk.desk import Desk
from lugbook.desk.refusing import bare_sides
from lugbook.desk.standing import position_in, standing_of
from lugbook.desk.visits import void_sides
from lugbook.desk.wording import turned_part
from lugbook.errors import LugbookError
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset
from lugbook.turns.amounts import show_turns

_HAIR_TURNS = 1e-9
"""Two counts that differ by no more are the same."""


def elsewhere(desk: Desk, name: str) -> str:
    """Return how far off a drum stands by its count, such as ``top ¼ too high``; empty where it does not.

    A head that was last heard within, with its count as far off as it is now, is not named: what is heard
    leads, and its count has drifted.

    Args:
        desk: the desk.
        name: the ``drum/preset`` that it is said to be in.
    """
    try:
        preset = desk.library.preset(name).record
        drum_id = name.partition("/")[0]
        drum = desk.library.drum(drum_id).record
        log = desk.library.log(drum_id).entries
    except LugbookError:
        # Said where the drum itself is shown.
        return ""
    if not drum.turns_offered:
        return ""
    unknown = {*bare_sides(drum, preset), *void_sides(drum, preset)}
    standing = standing_of(drum, log, preset)
    found = {}
    for side in SIDES:
        off = standing.here[side] - standing.meant[side]
        if side in unknown or abs(off) < _HAIR_TURNS:
            continue
        heard = _heard(desk, drum_id, drum, log, side)
        if heard is None or abs(off - heard) >= _HAIR_TURNS:
            found[turned_part(drum.tension, side).removesuffix(" head")] = off
    return ", ".join(
        f"{part} {show_turns(abs(off))} too {'high' if off > 0 else 'low'}" for part, off in found.items()
    )


def was_within(desk: Desk, entry: Entry, side: HeadSide, preset: Preset) -> bool:
    """Tell whether a head was within the *preset* that it was read for, by the reading that an *entry* keeps.

    Args:
        desk: the desk.
        entry: of a logbook.
        side: the head.
        preset: the one that the entry names.
    """
    reading = entry.reading(side)
    taken = None if reading is None else taken_from(reading, a4_hz=entry.a4)
    top, bottom = (taken if one == side else None for one in SIDES)
    head = compare(desk, entry.preset, preset, top=top, bottom=bottom).head(side)
    return head is not None and head.within is True


def _heard(desk: Desk, drum_id: str, drum: Drum, log: Sequence[Entry], side: HeadSide) -> float | None:
    """Return how far off its preset the count of a head was when it was last read, within; else None."""
    entry = next((one for one in reversed(log) if one.reading(side) is not None), None)
    count = drum.count_of(side)
    if entry is None or count is None or entry.count.of(side) != count.id:
        return None
    at = entry.position.of(side)
    if at is None or entry.preset.partition("/")[0] != drum_id:
        return None
    try:
        preset = desk.library.preset(entry.preset).record
    except LugbookError:
        return None
    return at - position_in(drum, preset, side) if was_within(desk, entry, side, preset) else None
