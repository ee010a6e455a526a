"""What is known of how a drum answers to turns: its prior, taught by every logbook entry that fits."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken
from lugbook.pitch import cents_between, pitch_hz
from lugbook.records import SIDES, Drum, Entry, Head, HeadSide, Struck, least_sd_cents

if TYPE_CHECKING:
    from lugbook.turns import Response

_USUAL_MIL: dict[HeadSide, float] = {"top": 10.0, "bottom": 3.0}
"""Thickness of a head that is not recorded, in mil (common practice, no source)."""


_SMALL_TURN = 1 / 16
"""Half the turn over which a slope is taken."""

_SLACK_CENTS_PER_TURN = 600.0
"""Taken for the slope of a head too slack to have one: large, so that the smallest step is advised."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A drum's response and what it rests on."""

    response: "Response"
    entries: dict[HeadSide, tuple[Entry, ...]]
    """The entries that taught it, for each head."""

    def with_reading(
        self, position: tuple[float, float], taken: Mapping[HeadSide, Taken], *, day: float
    ) -> "Learned":
        """Return what is known once readings that stand in no logbook are heard too."""
        heard = [taken.get(side) for side in SIDES]
        hz = (heard[0].hz if heard[0] else None, heard[1].hz if heard[1] else None)
        sd = (_sd_cents(heard[0]), _sd_cents(heard[1]))
        return Learned(self.response.observe(position, hz=hz, sd_cents=sd, day=day), self.entries)

    def cents_per_turn(self, position: tuple[float, float], side: HeadSide, *, day: float) -> float:
        """Return how far a turn of one head moves its own pitch near *position*, in cents."""
        pitches = []
        for step in (-_SMALL_TURN, _SMALL_TURN):
            near = (position[0] + step, position[1]) if side == "top" else (position[0], position[1] + step)
            pitches.append(self.response.predict(near, day=day).hz[SIDES.index(side)])
        low, high = pitches
        if low is None or high is None:
            return _SLACK_CENTS_PER_TURN
        return cents_between(low, to_hz=high) / (2 * _SMALL_TURN)


def learn(drum: Drum, entries: tuple[Entry, ...], *, struck: Struck, now: datetime) -> Learned:
    """Return the response of *drum* as its logbook teaches it.

    Only entries of the running counts teach: turns of older counts are void. Only readings had in the same
    way teach: rim and centre sound different modes, and a free other head moves more than a turn does.

    Args:
        drum: the drum.
        entries: of its logbook, in order.
        struck: where the heads are struck now.
        now: the time.
    """
    # Imported on use: numpy is needed where turns are asked for, not by `check` or `presets`.
    from lugbook.turns import Response

    top, bottom = drum.head_on("top"), drum.head_on("bottom")
    response = Response.prior(
        diameter_in=drum.diameter_in,
        thread_mm=drum.thread_mm,
        film_mil=(_mil(top, "top"), _mil(bottom, "bottom")),
        material=(top.material if top else "film", bottom.material if bottom else "film"),
        day=_first_day(drum, entries, now),
    )
    used: dict[HeadSide, list[Entry]] = {"top": [], "bottom": []}
    uneven: set[HeadSide] = set()
    for entry in entries:
        if entry.round is not None:
            uneven.add(entry.round.head)
        elif entry.kind in ("turn", "count"):
            uneven.clear()
        position = _position(drum, entry)
        if position is None:
            continue
        hz, sd = _readings(entry, struck, but=uneven)
        if hz == (None, None):
            continue
        response = response.observe(position, hz=hz, sd_cents=sd, day=day_of(entry.at))
        for side, heard in zip(SIDES, hz, strict=True):
            if heard is not None:
                used[side].append(entry)
    return Learned(response=response, entries={side: tuple(those) for side, those in used.items()})


def day_of(moment: datetime) -> float:
    """Return *moment* in days since 1970 (UTC)."""
    return moment.timestamp() / 86_400


def _mil(head: Head | None, side: HeadSide) -> float:
    return head.film_mil if head is not None and head.film_mil is not None else _USUAL_MIL[side]


def _first_day(drum: Drum, entries: tuple[Entry, ...], now: datetime) -> float:
    days = [day_of(count.since) for count in drum.counts] + [day_of(entry.at) for entry in entries]
    return min([*days, day_of(now)])


def _position(drum: Drum, entry: Entry) -> tuple[float, float] | None:
    """Return the position of *entry*, or None where a head's turns belong to an older count."""
    running = [drum.count_of(side) for side in SIDES]
    for side, count in zip(SIDES, running, strict=True):
        if count is None or entry.count.of(side) != count.id:
            return None
    return (entry.position.top or 0.0, entry.position.bottom or 0.0)


def _readings(
    entry: Entry, struck: Struck, *, but: set[HeadSide]
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
        sd.append(max(reading.sd_cents, least_sd_cents(reading.by)) if reading is not None else 0.0)
    return (hz[0], hz[1]), (sd[0], sd[1])


def _sd_cents(taken: Taken | None) -> float:
    return taken.reading.sd_cents if taken is not None else 0.0
