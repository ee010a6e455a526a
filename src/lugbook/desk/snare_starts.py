"""Where to begin setting the snares, from what the player wrote down before; and how far up the span he goes.

A setting belongs to the wires it was found with and to how the bottom head stood. Of the settings with the
same wires, the one whose bottom head stood nearest is where to begin: by turns in the same count, else by
pitch. After a bottom turn, and with other wires, it is no more than that.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from lugbook.desk.desk import Desk
from lugbook.desk.journal import is_known, position_after
from lugbook.desk.voiding import of_other_wires
from lugbook.desk.wording import day_text
from lugbook.pitch import cents_between, in_cents, pitch_hz
from lugbook.records import Drum, Entry, PerHead, SnareSetting
from lugbook.turns.amounts import show_turns

HALF_WAY = 1 / 2
"""Where between free and choke to begin, where the player never chose (judgement)."""


@dataclass(frozen=True, slots=True)
class Start:
    """Where to begin."""

    setting: SnareSetting
    why: str
    """Where it comes from and how far it holds, in sentences."""
    source: str
    """The id of the entry, or ``drum/preset``, that it comes from."""
    sure: bool
    """Whether it was found with these wires and with the bottom head where it stands."""


@dataclass(frozen=True, slots=True)
class _Past:
    """A setting that was written down."""

    setting: SnareSetting
    source: str
    at: datetime | None
    other_wires: bool
    turns: float | None
    """Of the bottom head, in the count that is running."""
    hz: float | None
    """Pitch of the bottom head."""


def suggested_start(
    desk: Desk, drum_id: str, position: PerHead | None = None, *, adjustment: str | None = None
) -> Start | None:
    """Return where to begin setting the snares, and why; None where no setting was written down.

    Args:
        desk: the desk.
        drum_id: the drum.
        position: where the heads stand; by the logbook where None.
        adjustment: settings with a value or limits of this one go before those without.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    here = position
    if here is None and is_known(drum, entries, "bottom"):
        here = position_after(drum, entries)
    turns = None if here is None else here.bottom
    hz = _bottom_hz(drum, entries, turns)
    nearest = _nearest(list(_past(desk, drum_id, drum, entries)), adjustment, turns, hz)
    return None if nearest is None else _start(nearest, turns=turns, hz=hz)


def share_chosen(desk: Desk, drum_id: str, adjustment: str) -> float | None:
    """Return how far up the span from free to choke the player set an adjustment of a drum before.

    It is the median of what was chosen; a setting that was written down more than once counts once.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    found = set()
    for one in _past(desk, drum_id, drum, entries):
        value, free, choke = (
            values.get(adjustment) for values in (one.setting.values, one.setting.free, one.setting.choke)
        )
        if value is not None and free is not None and choke is not None and free <= value <= choke > free:
            found.add((value, free, choke))
    shares = [(value - free) / (choke - free) for value, free, choke in found]
    return median(shares) if shares else None


def _past(desk: Desk, drum_id: str, drum: Drum, entries: Iterable[Entry]) -> Iterator[_Past]:
    """Yield the settings of the logbook, oldest first, and of the presets."""
    count = drum.count_of("bottom")
    running = None if count is None else count.id
    for entry in entries:
        if entry.snares is None or not entry.snares.text():
            continue
        yield _Past(
            entry.snares,
            entry.stands_for,
            entry.at,
            of_other_wires(drum, entry.snares, found=entry.at.date()),
            entry.position.bottom if running is not None and entry.count.bottom == running else None,
            None if entry.bottom is None else pitch_hz(entry.bottom.pitch, a4_hz=entry.a4),
        )
    for stored in desk.library.presets(drum_id).items.values():
        preset = stored.record
        if not preset.snares.text():
            continue
        stood = preset.turns.bottom
        yield _Past(
            preset.snares,
            stored.id,
            preset.made,
            of_other_wires(drum, preset.snares, found=None if preset.made is None else preset.made.date()),
            stood.amount if stood is not None and stood.count == running else None,
            preset.target_hz("bottom"),
        )


def _bottom_hz(drum: Drum, entries: Iterable[Entry], turns: float | None) -> float | None:
    """Return the pitch that the bottom head was last read at where it stands; None where it was not."""
    count = drum.count_of("bottom")
    for entry in reversed(tuple(entries)):
        if count is not None and (entry.count.bottom != count.id or entry.position.bottom != turns):
            continue
        if entry.bottom is not None and (hz := pitch_hz(entry.bottom.pitch, a4_hz=entry.a4)) is not None:
            return hz
    return None


def _nearest(
    past: list[_Past], adjustment: str | None, turns: float | None, hz: float | None
) -> _Past | None:
    """Return the setting to begin from; the latest of those that are equally near."""

    def farness(indexed: tuple[int, _Past]) -> tuple[bool, bool, int, float, int]:
        index, one = indexed
        kind, far = 2, 0.0
        if turns is not None and one.turns is not None:
            kind, far = 0, abs(one.turns - turns)
        elif hz is not None and one.hz is not None:
            kind, far = 1, abs(cents_between(one.hz, to_hz=hz))
        return one.other_wires, not _says(one.setting, adjustment), kind, far, -index

    in_time = sorted(past, key=lambda one: (one.at is not None, one.at.timestamp() if one.at else 0.0))
    return min(enumerate(in_time), key=farness)[1] if in_time else None


def _says(setting: SnareSetting, adjustment: str | None) -> bool:
    said = {**setting.values, **setting.free, **setting.choke}
    return bool(said) if adjustment is None else adjustment in said


def _start(past: _Past, *, turns: float | None, hz: float | None) -> Start:
    when = f" on {day_text(past.at.date())}" if past.at is not None else ""
    where = f" in {past.source}" if "/" in past.source else ""
    said, caveat = _bottom(past, turns=turns, hz=hz)
    caveat = "It is of other wires: only where to begin." if past.other_wires else caveat
    why = " ".join(filter(None, (f"Written down{when}{where}{said}.", caveat)))
    return Start(past.setting, why, past.source, sure=not caveat)


def _bottom(past: _Past, *, turns: float | None, hz: float | None) -> tuple[str, str]:
    """Return how the bottom head stood then, in words, and why the setting is only where to begin."""
    moved = "After a bottom turn it is only where to begin."
    if turns is not None and past.turns is not None:
        if past.turns == turns:
            return ", with the bottom head as it stands", ""
        way = "higher" if past.turns > turns else "lower"
        return f", with the bottom head {show_turns(abs(past.turns - turns))} {way}", moved
    if hz is not None and past.hz is not None:
        off = cents_between(hz, to_hz=past.hz)
        if round(off):
            return f", with the bottom head {in_cents(off)} {'higher' if off > 0 else 'lower'}", moved
        return ", with the bottom head at its pitch of now", ""
    return "", "How the bottom head stood then is not known: it is only where to begin."
