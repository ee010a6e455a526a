"""What is known of how a drum answers to turns: its prior, taught by every logbook entry that fits."""

from collections.abc import Container
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.desk.head_history import first_head, head_of_count, material_of, mil_of
from lugbook.desk.journal import position_after, with_open_rounds
from lugbook.desk.learned import Earlier, Learned
from lugbook.pitch import pitch_hz
from lugbook.records import (
    SIDES,
    Count,
    Drum,
    Entry,
    Head,
    HeadSide,
    Struck,
    TouchUp,
)

if TYPE_CHECKING:
    from lugbook.turns import Response
    from lugbook.turns.kinship import Kin

    KinPair = tuple[Kin, Kin]

_MOST_KIN, _MOST_KIN_ENTRIES = 8, 40
"""So many other drums are asked, and so many of their latest entries: enough to tell, and quick."""

_LEAST_KIN_ENTRIES, _KNOWN_SHARE = 4, 0.15
"""A head tells of others once its slope rests on so many entries and is known to this share."""

GUESS_SHARE = 0.2
"""A slope known no better than this share of itself is a guess."""


@dataclass(frozen=True, slots=True)
class Memory:
    """What was learned of drums so far, for one deed that asks often; a logbook is then played once."""

    learned: dict[tuple[str, Struck], Learned] = field(default_factory=dict)
    """(drum, where it is struck) → what its logbook teaches."""
    told: dict[tuple[str, Struck], dict[HeadSide, list[tuple[float, float]]]] = field(default_factory=dict)
    """The same → what it tells of other drums (`_told_by`)."""


def remembered(desk: Desk, drum_id: str, memory: Memory, *, struck: Struck) -> Learned:
    """Return what `learned_of` does, from *memory* where it was asked before."""
    key = (drum_id, struck)
    if key not in memory.learned:
        memory.learned[key] = learned_of(desk, drum_id, struck=struck, memory=memory)
    return memory.learned[key]


def learned_of(
    desk: Desk,
    drum_id: str,
    *,
    struck: Struck = "rim",
    without: Container[str] = (),
    memory: Memory | None = None,
) -> Learned:
    """Return the response of a drum as its logbook teaches it, and where the drum stands today.

    A new head or count voids what was read of that head's pitch and keeps its slope as a first guess; the
    other head keeps everything. Only readings had in the same way teach: rim and centre sound different
    modes, and a free other head moves a reading by more than a turn does.

    Args:
        desk: the desk.
        drum_id: the drum.
        struck: where the heads are struck now.
        without: ids of entries that teach nothing, such as those of the readings at hand.
        memory: what the other drums tell is looked up there, and put there.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    taught = tuple(one for one in entries if one.id not in without and one.corrects not in without)
    standing = position_after(drum, entries)
    position = (standing.top or 0.0, standing.bottom or 0.0)
    return _replayed(
        desk,
        drum,
        taught,
        position,
        struck=struck,
        kin=_kin(desk, drum_id, memory or Memory(), struck=struck),
    )


def _replayed(
    desk: Desk,
    drum: Drum,
    entries: tuple[Entry, ...],
    position: tuple[float, float],
    *,
    struck: Struck,
    kin: "KinPair",
) -> Learned:
    now = desk.now()
    replay = _Replay(drum, struck=struck, day=_first_day(drum, entries, now), kin=kin)
    for entry, uneven in with_open_rounds(entries):
        replay.take(entry, uneven=uneven)
    return replay.learned(position, day=day_of(now))


def _kin(desk: Desk, drum_id: str, memory: Memory, *, struck: Struck) -> "KinPair":
    """Return what the other drums of the library tell of one; those that cannot be read tell nothing."""
    # Imported on use, as everything that needs numpy.
    from lugbook.turns.kinship import Kin, kin_of

    told: dict[HeadSide, list[tuple[float, float]]] = {"top": [], "bottom": []}
    others = [one for slug, one in desk.library.drums().items.items() if slug != drum_id]
    for stored in [one for one in others if one.record.turns_offered][:_MOST_KIN]:
        key = (stored.id, struck)
        if key not in memory.told:
            entries = desk.library.log(stored.id).entries[-_MOST_KIN_ENTRIES:]
            learned = _replayed(desk, stored.record, entries, (0.0, 0.0), struck=struck, kin=(Kin(), Kin()))
            memory.told[key] = {side: _told_by(learned, side) for side in SIDES}
        for side in SIDES:
            told[side] += memory.told[key][side]
    return kin_of(told["top"]), kin_of(told["bottom"])


def _told_by(learned: Learned, side: HeadSide) -> list[tuple[float, float]]:
    """Return what one head tells of others: the logarithm of its share of the limit with its sd, if known."""
    from lugbook.turns.kinship import log_share

    slope, sd = learned.response.slope(side)
    if len(learned.entries[side]) < _LEAST_KIN_ENTRIES or sd > _KNOWN_SHARE * slope:
        return []
    return [log_share(slope, sd, prior=learned.response.state.priors[SIDES.index(side)])]


class _Replay:
    """The logbook of one drum played again, entry by entry."""

    def __init__(self, drum: Drum, *, struck: Struck, day: float, kin: "KinPair") -> None:
        # Imported on use: numpy is needed where turns are asked for, not by `check` or `presets`.
        from lugbook.turns import Response

        first = {side: first_head(drum, side, day=day) for side in SIDES}
        self.response = Response.prior(
            diameter_in=drum.diameter_in,
            thread_mm=drum.thread_mm,
            film_mil=(mil_of(first["top"], "top"), mil_of(first["bottom"], "bottom")),
            material=(material_of(first["top"]), material_of(first["bottom"])),
            day=day,
            kin=kin,
        )
        self.drum, self.kin = drum, kin
        self.struck: Struck = struck
        self.counts = {side: [one for one in drum.counts if one.side in (side, "both")] for side in SIDES}
        self.running: dict[HeadSide, int] = dict.fromkeys(SIDES, 0)
        self.used: dict[HeadSide, list[tuple[Entry, tuple[float, float]]]] = {"top": [], "bottom": []}
        self.earlier: dict[HeadSide, Earlier] = dict.fromkeys(SIDES, Earlier())
        self.touched: dict[HeadSide, float] = dict.fromkeys(SIDES, 0.0)
        """Touch-ups of single rods in the running count, in turns of all rods."""

    def take(self, entry: Entry, *, uneven: frozenset[HeadSide]) -> None:
        """Learn from *entry*, unless it belongs to a count that is over or to none.

        Args:
            entry: of the logbook.
            uneven: heads amid a round of the rods.
        """
        places = {side: _place(entry.count.of(side), self.counts[side]) for side in SIDES}
        if any(place is None or place < self.running[side] for side, place in places.items()):
            return
        for side, place in places.items():
            self._begin(side, place or 0)
        if entry.touch_up is not None:
            self._touch_up(entry.touch_up)
        hz, sd = _readings(entry, self.struck, but=uneven)
        if hz == (None, None):
            return
        where = self.place((entry.position.top or 0.0, entry.position.bottom or 0.0))
        self.response = self.response.observe(
            where, hz=hz, sd_cents=sd, day=day_of(entry.at), temperature_c=entry.temperature_c
        )
        for side, heard in zip(SIDES, hz, strict=True):
            if heard is not None:
                self.used[side].append((entry, where))

    def place(self, position: tuple[float, float]) -> tuple[float, float]:
        """Return where heads of a counted *position* stand, touch-ups of single rods included."""
        return position[0] + self.touched["top"], position[1] + self.touched["bottom"]

    def learned(self, position: tuple[float, float], *, day: float) -> Learned:
        """Return what was learned, once the counts that run now have begun."""
        for side in SIDES:
            self._begin(side, len(self.counts[side]) - 1)
        return Learned(
            self.response,
            entries={side: tuple(entry for entry, _ in those) for side, those in self.used.items()},
            places={side: tuple(place for _, place in those) for side, those in self.used.items()},
            earlier=self.earlier,
            counted=position,
            touched=(self.touched["top"], self.touched["bottom"]),
            day=day,
            kin=self.kin,
        )

    def _touch_up(self, touch_up: TouchUp) -> None:
        """One rod of n moves its head by about an n-th of what all rods do."""
        sides = SIDES if self.drum.tension == "single" else (touch_up.head,)
        for side in sides:
            self.touched[side] += touch_up.amount / (self.drum.side(touch_up.head).rods or 1)

    def _begin(self, side: HeadSide, place: int) -> None:
        """Let the counts of one head begin, up to the one at *place*; what they void is forgotten."""
        while self.running[side] < place:
            self.running[side] += 1
            count = self.counts[side][self.running[side]]
            head = head_of_count(self.drum, side, count)
            self.response = _with_count(self.response, head, side, day=day_of(count.since))
            before = self.earlier[side].entries + len(self.used[side])
            self.earlier[side] = Earlier(
                before, same_head=head is None and (bool(self.used[side]) or self.earlier[side].same_head)
            )
            self.used[side].clear()
            self.touched[side] = 0.0


def _with_count(response: "Response", head: Head | None, side: HeadSide, *, day: float) -> "Response":
    """Return the response once a count has begun: a new head keeps the old one's slope as its first guess."""
    if head is None:
        return response.new_count(side, day=day)
    return response.new_head(side, film_mil=mil_of(head, side), material=head.material, day=day)


def _place(count_id: str | None, counts: list[Count]) -> int | None:
    """Return which of *counts* it is, or None where it is none of them."""
    return next((place for place, count in enumerate(counts) if count.id == count_id), None)


def day_of(moment: datetime) -> float:
    """Return *moment* in days since 1970 (UTC)."""
    return moment.timestamp() / 86_400


def _first_day(drum: Drum, entries: tuple[Entry, ...], now: datetime) -> float:
    days = [day_of(count.since) for count in drum.counts] + [day_of(entry.at) for entry in entries]
    return min([*days, day_of(now)])


def _readings(
    entry: Entry, struck: Struck, *, but: frozenset[HeadSide]
) -> tuple[tuple[float | None, float | None], tuple[float, float]]:
    hz: list[float | None] = []
    sd: list[float] = []
    for side in SIDES:
        reading = entry.reading(side)
        # Amid a round of the rods the head stands between two positions, and its reading teaches nothing.
        usable = (
            reading is not None
            and side not in but
            and reading.struck == struck
            and reading.other_head != "free"
        )
        hz.append(pitch_hz(reading.pitch, a4_hz=entry.a4) if reading is not None and usable else None)
        sd.append(reading.uncertainty_cents if reading is not None else 0.0)
    return (hz[0], hz[1]), (sd[0], sd[1])
