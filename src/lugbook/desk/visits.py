"""Where a drum has been and what was read there, from its logbook and its presets."""

from collections.abc import Iterable

from lugbook.desk.journal import with_open_rounds
from lugbook.desk.responses import day_of
from lugbook.library import position_of
from lugbook.pitch import pitch_hz
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset, Reading, Struck
from lugbook.turns.returns import Visit


def visits_of(
    drum: Drum, entries: Iterable[Entry], presets: Iterable[Preset], *, struck: Struck
) -> tuple[Visit, ...]:
    """Return the visits in the counts that run now, in order of time.

    A touch-up of a single rod moves the head by so much over its rods, so that it is nowhere where it was
    before. What was read amid a round of the rods is left out. A preset whose entry is not in the log stands
    for a visit of the day it was made.

    Args:
        drum: the drum.
        entries: of its logbook, in order.
        presets: of the drum.
        struck: where the heads are struck; other readings are not compared.
    """
    found: list[Visit] = []
    touched: dict[HeadSide, float] = dict.fromkeys(SIDES, 0.0)
    known: set[str] = set()
    for entry, uneven in with_open_rounds(entries):
        counts = [drum.count_of(side) for side in SIDES]
        if any(
            count is None or entry.count.of(side) != count.id
            for side, count in zip(SIDES, counts, strict=True)
        ):
            continue
        known.update((entry.id, entry.stands_for))
        if entry.touch_up is not None:
            one = entry.touch_up
            for side in SIDES if drum.tension == "single" else (one.head,):
                touched[side] += one.amount / (drum.side(one.head).rods or 1)
        if entry.kind == "round":
            continue
        stands = entry.position
        if stands.top is None or stands.bottom is None:
            continue
        found.append(
            _visit(
                day_of(entry.at),
                (stands.top + touched["top"], stands.bottom + touched["bottom"]),
                (
                    None if "top" in uneven else entry.top,
                    None if "bottom" in uneven else entry.bottom,
                ),
                a4_hz=entry.a4,
                struck=struck,
            )
        )
    kept = [
        _visit(
            day_of(preset.made),
            (top.amount, bottom.amount),
            (preset.top, preset.bottom),
            a4_hz=preset.a4,
            struck=struck,
            kept=True,
        )
        for preset in presets
        if preset.made is not None
        and preset.entry not in known
        and (top := preset.turns.top) is not None
        and (bottom := preset.turns.bottom) is not None
        and not void_sides(drum, preset)
    ]
    return tuple(sorted((*found, *kept), key=lambda visit: visit.day))


def void_sides(drum: Drum, preset: Preset) -> tuple[HeadSide, ...]:
    """Return the heads whose turns in *preset* belong to another count, or to a head before this one."""
    return tuple(side for side in SIDES if _is_void(drum, preset, side))


def is_touched_up(drum: Drum, entries: Iterable[Entry], side: HeadSide, *, since: float) -> bool:
    """Tell whether a single rod of one head was turned after the day *since*, in its present count."""
    count = drum.count_of(side)
    return count is not None and any(
        entry.touch_up is not None
        and entry.touch_up.head == side
        and entry.count.of(side) == count.id
        and day_of(entry.at) > since
        for entry in entries
    )


def position_known(drum: Drum, entries: Iterable[Entry], side: HeadSide) -> float | None:
    """Return where one head stands by the last entry of its present count; None where no entry says so."""
    kept, count = tuple(entries), drum.count_of(side)
    position = position_of(drum, kept)
    here = position.top if side == "top" else position.bottom
    if here is None or count is None or not any(entry.count.of(side) == count.id for entry in kept):
        return None
    return here.amount


def _is_void(drum: Drum, preset: Preset, side: HeadSide) -> bool:
    position, count, head = preset.position(side), drum.count_of(side), drum.head_on(side)
    if position is None:
        return False
    if count is None or position.count != count.id:
        return True
    return head is not None and preset.made is not None and head.on > preset.made.date()


def _visit(
    day: float,
    position: tuple[float, float],
    readings: tuple[Reading | None, Reading | None],
    *,
    a4_hz: float,
    struck: Struck,
    kept: bool = False,
) -> Visit:
    hz = [
        pitch_hz(one.pitch, a4_hz=a4_hz)
        if one is not None and one.struck == struck and one.other_head != "free"
        else None
        for one in readings
    ]
    sd = [one.uncertainty_cents if one is not None else 0.0 for one in readings]
    return Visit(day, position, (hz[0], hz[1]), (sd[0], sd[1]), kept=kept)
