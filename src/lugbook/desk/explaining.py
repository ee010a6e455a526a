"""Why a drum is not where its preset says: what the logbook, the count and the recordings tell together.

Two questions are kept apart. Where does the drum stand by its count: where the preset has it, or elsewhere?
And do the pitches agree with its last readings and the turns since (`turns.causes`)? The readings at hand
teach nothing here, even where they stand in the logbook: they are what is to be explained.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken
from lugbook.desk.comparing import Comparison, Why
from lugbook.desk.desk import Desk
from lugbook.desk.responses import Learned, learned_of
from lugbook.desk.standing import standing_of
from lugbook.desk.visits import void_sides
from lugbook.desk.wording import day_text, turns_text
from lugbook.pitch import in_cents
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.turns.causes import Verdict
    from lugbook.turns.explanations import Seen

BEFORE_TURNING = frozenset({"undamped", "slipped", "miscounted", "changed"})
"""Causes that are to be looked into before any rod is turned."""

_DRIFT = frozenset({"crept", "weather"})

_GRAIN = 1 / 64

_RECORDED = frozenset({"recording", "microphone"})

_SAYS = {
    "crept": "The heads gave way by themselves, as film under tension does.",
    "weather": "The air moved both heads alike: {air}.",
    "slipped": "One rod of the {part} has let go, by about {turns}.",
    "miscounted": "The {part} is not where its count of turns has it: it stands about {turns} {side_of} it.",
    "undamped": "The other head rang along, which moves both pitches.",
    "changed": "The {part} is not the one that the logbook knows, or was taken off since.",
    "turned": "It was not brought here: by its count it stands elsewhere, which is most of it.",
    "left": "Nothing happened to it: it was left so.",
}

_THEN = {
    "crept": "Bring it up again.",
    "weather": "Let the drum take on the air of the room; what is turned now has to be turned back later.",
    "slipped": "Tap that head round at the rods before you turn it, and mind a rod that goes by itself.",
    "miscounted": "Look which rods stand apart. Where the count is lost, begin a new one (head recount).",
    "undamped": "Damp the other head, and read again before you turn.",
    "changed": "If a new head went on, say so (head fit). Its old turns are void.",
    "turned": "Turn it to the preset, by pitch.",
    "left": "Turn it to the preset, by pitch.",
}


def why(
    desk: Desk,
    preset: Preset,
    comparison: Comparison,
    taken: Mapping[HeadSide, Taken],
    *,
    before: Learned | None = None,
) -> Why:
    """Return why a drum is not where *preset* has it.

    Args:
        desk: the desk.
        preset: what it was compared with.
        comparison: how the readings compare, of the drum that they were read on.
        taken: the readings at hand.
        before: what was known of the drum without them; looked up where None.
    """
    drum_id = comparison.drum
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    usable = {side: one for side, one in taken.items() if one.hz is not None}
    if not drum.turns_offered:
        return Why(None, "Nobody can tell why: turns of rope are not counted.", (), "")
    if not usable:
        return Why(None, "Nobody can tell why: no head was read with its octave.", (), "")
    struck = {one.reading.struck for one in usable.values()}
    if len(struck) > 1:
        return Why(None, "Nobody can tell why: the heads were not struck in the same way.", (), "")
    own = {one.entry_id for one in taken.values() if one.entry_id is not None}
    before = before or learned_of(desk, drum_id, struck=struck.pop(), without=own)
    # Imported on use, as everything that needs numpy.
    from lugbook.turns.causes import verdict

    found = verdict(before.response, _seen(drum, before, usable))
    doubts, elsewhere = _count_against(drum, entries, preset)
    if found is None:
        what = "Nobody can tell why: no pitch of this count of turns was written down before."
        return Why(None, what, doubts, "")
    cause = _cause(found, comparison, elsewhere=elsewhere)
    besides = (
        (f"Besides: {_said(found, found.cause)}",) if cause == "turned" and found.cause in _DRIFT else ()
    )
    evidence = (*doubts, *_shifts(before, found, usable), *besides, *_signs(found, usable), _odds(found))
    if cause is None:
        return Why(None, "Nobody can tell why.", evidence, "Read again, both heads and well damped.")
    return Why(cause, _said(found, cause), evidence, _THEN[cause])


def _cause(found: "Verdict", comparison: Comparison, *, elsewhere: bool) -> str | None:
    """Return the cause to name: where it stands elsewhere and its pitches agree, nothing else is needed."""
    if elsewhere and _mostly_turned(found, comparison):
        return "turned"
    return "left" if found.cause == "nothing" else found.cause


def _seen(drum: Drum, before: Learned, taken: Mapping[HeadSide, Taken]) -> "Seen":
    from lugbook.turns.explanations import Seen

    heard = [taken.get(side) for side in SIDES]
    hz, sd = (
        [one.hz if one else None for one in heard],
        [one.reading.sd_cents if one else 0.0 for one in heard],
    )
    uneven, rang = [_uneven(one) for one in heard], [_rang(one) for one in heard]
    return Seen(
        position=before.here,
        hz=(hz[0], hz[1]),
        sd_cents=(sd[0], sd[1]),
        day=before.day,
        rods=(drum.side("top").rods, drum.side("bottom").rods),
        uneven=(uneven[0], uneven[1]),
        rang=(rang[0], rang[1]),
    )


def _uneven(taken: Taken | None) -> bool | None:
    """Tell whether two pitches close together were heard; None where nobody listened for them."""
    reading = taken.heard.hearing.reading if taken is not None and taken.heard is not None else None
    return None if reading is None else reading.split_cents is not None


def _rang(taken: Taken | None) -> bool | None:
    """Tell whether the other head was heard to ring; what was only typed says nothing of it."""
    if taken is None or taken.reading.by not in _RECORDED or taken.reading.other_head == "unknown":
        return None
    return taken.reading.other_head == "free"


def _count_against(drum: Drum, entries: tuple[Entry, ...], preset: Preset) -> tuple[tuple[str, ...], bool]:
    """Say where the count of turns does not agree with the preset's, and whether it stands elsewhere."""
    if preset.turns.top is None and preset.turns.bottom is None:
        return ("The preset holds no turns to compare the count with.",), False
    void = void_sides(drum, preset)
    if void:
        heads = " and ".join(void)
        return (f"The preset's turns of the {heads} head belong to a count that is over.",), False
    standing = standing_of(drum, entries, preset)
    if standing.doubts:
        return standing.doubts, not standing.agrees
    return ("By its count the drum stands where the preset has it.",), False


def _mostly_turned(found: "Verdict", comparison: Comparison) -> bool:
    """Tell whether no head lies further from its count than half of what it is off its target."""
    heads = [(comparison.head(side), cents) for side, cents in zip(SIDES, found.shift_cents, strict=True)]
    return found.cause not in BEFORE_TURNING and all(
        head is None or cents is None or abs(cents) <= max(abs(head.off_cents) / 2, head.tolerance_cents)
        for head, cents in heads
    )


def _shifts(before: Learned, found: "Verdict", taken: Mapping[HeadSide, Taken]) -> Iterator[str]:
    """Yield for each head how far it lies from where its last reading and the turns since put it."""
    for head, side in enumerate(SIDES):
        cents, entries = found.shift_cents[head], before.entries[side]
        if cents is None or side not in taken or not entries:
            continue
        turned = before.here[head] - before.places[side][-1][head]
        since = "unturned since" if abs(turned) < _GRAIN / 2 else f"{show_turns(turned, sign='always')} since"
        day = day_text(entries[-1].at.date())
        where = f"where its last reading ({day}, {since}) puts it"
        if abs(cents) < 0.5:
            yield f"The {side} head reads just {where}."
        else:
            yield f"The {side} head reads {in_cents(abs(cents))} {'above' if cents > 0 else 'below'} {where}."


def _signs(found: "Verdict", taken: Mapping[HeadSide, Taken]) -> Iterator[str]:
    """Yield what else speaks for the cause."""
    side = found.side
    if found.cause == "slipped" and side is not None and _uneven(taken.get(side)):
        yield f"Two pitches close together were heard in the {side} head."
    if found.cause == "undamped":
        for heard, one in taken.items():
            if _rang(one):
                yield f"In the recording of the {heard} head the other head is heard to ring."
        if len(taken) == len(SIDES):
            yield "Two heads that ring together pull their pitches apart: the lower falls, the upper rises."
    if found.cause == "weather":
        yield "Both moved alike in the square of the frequency, as air moves film of any thickness."


def _odds(found: "Verdict") -> str:
    """Say how likely the likeliest thing that happened by itself is."""
    tenths = min(round(10 * found.probability), 9)
    likely = {"nothing": "nothing happened to it", "other": "something else"}.get(found.likely, found.likely)
    return f"By what the logbook has taught: {likely}, about {tenths} in 10."


def _said(found: "Verdict", cause: str) -> str:
    falls = [cents for cents in found.shift_cents if cents is not None]
    amount = round(abs(found.turns) / _GRAIN) * _GRAIN
    return _SAYS[cause].format(
        part=f"{found.side} head" if found.side is not None else "drum's heads",
        turns=turns_text(amount),
        side_of="above" if found.turns > 0 else "below",
        air="warmer or damper than before" if sum(falls) < 0 else "cooler or drier than before",
    )
