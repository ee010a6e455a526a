"""At the drum: read both heads, turn the rods of one and then the other, read again.

This is the state at the drum and the readings; `turning_rods` has the rounds. Each step is an entry of the
logbook before the function returns, so that after a crash the bench stands as it was left.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken, taken_from
from lugbook.desk.cautions import Caution, cautions
from lugbook.desk.comparing import Comparison, compare, take_for
from lugbook.desk.desk import Desk
from lugbook.desk.journal import READINGS_LAST, STATE_KINDS, counting_from, position_now, write
from lugbook.desk.retuning import Retuning, advise
from lugbook.desk.rounds import OpenRound, taken_up
from lugbook.desk.slips import slip
from lugbook.desk.steps import turning_order
from lugbook.errors import Doubtful, LibraryMissing
from lugbook.library import open_round_entry
from lugbook.records import SIDES, By, Drum, Entry, HeadSide, PerHead, Preset, Struck

if TYPE_CHECKING:
    # The deed of the silent change makes a bench of one, and so imports this module.
    from lugbook.desk.changes import Change


@dataclass(frozen=True, slots=True)
class Bench:
    """The state at the drum."""

    drum_id: str
    drum: Drum
    preset_id: str
    """The preset's slug; with the drum's it makes ``drum/preset``."""
    preset: Preset
    position: PerHead
    top: Taken | None = None
    bottom: Taken | None = None
    comparison: Comparison | None = None
    """None until a head was read."""
    retuning: Retuning | None = None
    """The advice that the present readings lead to, or that of a silent change."""
    silent: "Change | None" = None
    """The silent change that the advice is, made by turns alone; None where readings lead to it."""
    turned: tuple[HeadSide, ...] = ()
    """Heads whose round of this advice is done."""
    round: OpenRound | None = None
    """The round at hand."""
    search: str = ""
    """The search whose next state is turned to; the preset then holds its snares alone. Else empty."""
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """``drum/preset``."""
        return f"{self.drum_id}/{self.preset_id}"

    @property
    def next_side(self) -> HeadSide | None:
        """The head to turn next by the advice: bottom first; None when nothing is left to turn."""
        if self.retuning is None:
            return None
        return next((side for side in turning_order(self.drum) if self.turnable(side)), None)

    def turnable(self, side: HeadSide) -> bool:
        """Tell whether the advice asks for a turn of one head that is still to be made."""
        turn = self.retuning.head(side) if self.retuning is not None else None
        return turn is not None and bool(turn.amount) and side not in self.turned

    def out_of_turn(self, side: HeadSide) -> bool:
        """Tell whether one head can be turned before the one that the advice names."""
        apart = self.drum.tension != "single"
        return apart and self.next_side not in (None, side) and self.turnable(side)

    def cautions(self, side: HeadSide) -> tuple[Caution, ...]:
        """Return what to be careful of before the turn that the advice asks of one head."""
        found = self.retuning.cautions if self.retuning is not None else ()
        return tuple(one for one in found if one.side == side or self.drum.tension == "single")

    @property
    def readings(self) -> dict[HeadSide, Taken]:
        """The present readings of the heads that were read."""
        return {side: taken for side in SIDES if (taken := self.taken(side)) is not None}

    def taken(self, side: HeadSide) -> Taken | None:
        """Return the present reading of the *side*."""
        return self.top if side == "top" else self.bottom


def sit_down(desk: Desk, name: str) -> Bench:
    """Open the bench for the preset *name* (``drum/preset``), as it was left.

    A round that was stopped part-way is taken up again, and so are readings of the last 45 minutes after
    which nothing was turned.
    """
    preset = desk.library.preset(name)
    drum_id, _, preset_id = preset.id.partition("/")
    drum = desk.library.drum(drum_id).record
    log = desk.library.log(drum_id)
    bench = Bench(
        drum_id=drum_id,
        drum=drum,
        preset_id=preset_id,
        preset=preset.record,
        position=position_now(desk, drum_id, drum),
        remarks=(*(problem.sentence() for problem in log.problems), *counting_from(drum, log.entries)),
    )
    left = _left_open(bench, log.entries)
    if left is not None:
        elsewhere = left.preset not in ("", name)
        way = (f"It was begun on the way to {left.preset}.",) if elsewhere else ()
        return replace(bench, round=left, remarks=(*bench.remarks, left.unfinished(), *way))
    top, bottom = (_last_reading(desk, name, log.entries, side) for side in SIDES)
    return compared(desk, replace(bench, top=top, bottom=bottom))


def read(
    desk: Desk,
    bench: Bench,
    side: HeadSide,
    text: str,
    *,
    by: By | None = None,
    struck: Struck | None = None,
    insisted: bool = False,
) -> Bench:
    """Take a reading of one head and keep it.

    Raises:
        BadValue: it is no pitch.
        Doubtful: it looks like a slip, and the player did not insist.
        SoundUnavailable, StrikeUnreadable: nothing can be read from the recording.
    """
    taken = take(desk, bench, side, text, by=by, struck=struck)
    return keep(desk, bench, side, taken, insisted=insisted)


def take(
    desk: Desk, bench: Bench, side: HeadSide, text: str, *, by: By | None = None, struck: Struck | None = None
) -> Taken:
    """Take a reading of one head, as `read` does, and keep nothing: it may be stopped at any moment."""
    return take_for(desk, bench.preset, side, text, drum_id=bench.drum_id, by=by, struck=struck)


def keep(desk: Desk, bench: Bench, side: HeadSide, taken: Taken, *, insisted: bool = False) -> Bench:
    """Write a reading of one head down, and compare.

    In a library that cannot be written it is compared all the same, and said to be kept nowhere.

    Raises:
        Doubtful: it looks like a slip, and the player did not insist.
    """
    doubt = slip(bench.preset, side, taken)
    if doubt and not insisted:
        raise Doubtful(doubt)
    kept = {"kind": "reading", side: taken.reading, "a4": taken.a4_hz, "preset": bench.name}
    drum = desk.library.drum(bench.drum_id).record
    try:
        entry = write(desk, bench.drum_id, drum, kept)
    except LibraryMissing as error:
        return replace(with_taken(desk, bench, side, taken), remarks=(f"This reading is not kept: {error}",))
    return with_taken(desk, bench, side, replace(taken, entry_id=entry.id))


def with_taken(desk: Desk, bench: Bench, side: HeadSide, taken: Taken) -> Bench:
    """Return the bench with *taken* as the reading of one head, compared."""
    fresh = replace(bench, top=taken) if side == "top" else replace(bench, bottom=taken)
    return compared(desk, replace(fresh, turned=(), remarks=()))


def compared(desk: Desk, bench: Bench) -> Bench:
    """Return the bench with its readings compared, and the advice that they lead to."""
    if bench.top is None and bench.bottom is None:
        return bench
    comparison = compare(desk, bench.name, bench.preset, top=bench.top, bottom=bench.bottom)
    retuning = advise(desk, bench.drum_id, bench.preset, comparison, bench.readings)
    return replace(bench, comparison=comparison, retuning=retuning, silent=None)


def _left_open(bench: Bench, entries: tuple[Entry, ...]) -> OpenRound | None:
    """Return the round that was stopped part-way, if the last thing done at the rods was one."""
    entry = open_round_entry(entries)
    left = None if entry is None else taken_up(bench.drum, entry)
    if left is None:
        return None
    here = (bench.position.top or 0.0, bench.position.bottom or 0.0)
    sides = SIDES if bench.drum.tension == "single" else (left.side,)
    careful = cautions(bench.drum, dict.fromkeys(sides, left.amount), entries, here=here)
    return replace(left, cautions=careful)


def _last_reading(desk: Desk, name: str, entries: tuple[Entry, ...], side: HeadSide) -> Taken | None:
    for entry in reversed(entries):
        if entry.kind in STATE_KINDS or desk.now() - entry.at > READINGS_LAST:
            return None
        reading = entry.reading(side)
        if reading is not None:
            if entry.preset != name:
                return None
            taken = taken_from(reading, a4_hz=entry.a4)
            return replace(taken, entry_id=entry.stands_for)
    return None
