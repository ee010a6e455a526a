"""Why a drum is not where its preset says: what the logbook, the count and the recordings tell together.

Two questions are kept apart. Where does the drum stand by its count: where the preset has it, or elsewhere?
And do the pitches agree with its last readings and the turns since (`turns.causes`)? Readings of this sitting
teach nothing here, even where they stand in the logbook: they are what is to be explained.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from lugbook.desk.asking import Taken
from lugbook.desk.comparing import Comparison, Why
from lugbook.desk.desk import Desk
from lugbook.desk.journal import of_this_sitting
from lugbook.desk.learned import Learned
from lugbook.desk.refusing import bare_sides
from lugbook.desk.responses import learned_of
from lugbook.desk.slips import interchanged, slips_among
from lugbook.desk.standing import standing_of, touched_up
from lugbook.desk.visits import void_sides
from lugbook.desk.wording import day_text, turned_part, turns_text
from lugbook.pitch import cents_between, in_cents, pitch_hz
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset
from lugbook.turns.amounts import GRAIN, show_turns

if TYPE_CHECKING:
    from lugbook.turns.causes import Verdict
    from lugbook.turns.explanations import Seen

BEFORE_TURNING = frozenset({"undamped", "slipped", "miscounted", "changed"})
"""Causes that are to be looked into before any rod is turned."""

_DRIFT = frozenset({"crept", "weather"})

_RECORDED = frozenset({"recording", "microphone"})

_THEN = {
    "crept": "Bring it up again.",
    "weather": "Let the drum take on the air of the room; what is turned now has to be turned back later.",
    "slipped": "Tap the rods round before you turn them, and mind a rod that goes by itself.",
    "miscounted": "Look which rods stand apart. Where the count is lost, begin a new one (head recount).",
    "undamped": "Damp the other head, and read again before you turn.",
    "changed": "If a new head went on, say so (head fit). Its old turns are void.",
    "turned": "Turn it to the preset, by pitch.",
    "left": "Turn it to the preset, by pitch.",
}

_LIKELY = {
    "nothing": "nothing happened to it",
    "crept": "the heads gave way",
    "weather": "the air moved both",
    "slipped": "a rod let go",
    "miscounted": "a turn was miscounted",
    "undamped": "the other head rang",
    "changed": "a head was changed",
    "other": "something else",
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
        taken: the readings at hand; what looks like a slip explains nothing.
        before: what is known of the drum by its whole logbook; looked up where None.
    """
    drum_id = comparison.drum
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    slips = slips_among(preset, taken)
    usable = {side: one for side, one in taken.items() if one.hz is not None and side not in slips}
    if not drum.turns_offered:
        return _nobody("turns of rope are not counted")
    if interchanged(preset, usable):
        return _nobody("each head reads about the other's target")
    if not usable:
        return _nobody("no head was read that could be told")
    struck = {one.reading.struck for one in usable.values()}
    if len(struck) > 1:
        return _nobody("the heads were not struck in the same way")
    before = _before(desk, drum_id, entries, usable, known=before)
    known = {side: one for side, one in usable.items() if before.entries[side]}
    doubts, elsewhere = _count_against(drum, entries, preset)
    fresh = tuple(
        f"Of the {side} head no pitch was written down in its present count."
        for side in usable
        if side not in known
    )
    # Imported on use, as everything that needs numpy.
    from lugbook.turns.causes import verdict

    found = verdict(before.response, _seen(drum, before, known))
    if found is None:
        return _nobody("no pitch of these counts was written down before", *doubts)
    shifts = {side: _shift(before, side, one) for side, one in known.items()}
    cause = _cause(found, comparison, shifts, elsewhere=elsewhere)
    besides = (
        (f"Besides: {_said(drum, found, found.cause, shifts)}",)
        if cause == "turned" and found.cause in _DRIFT
        else ()
    )
    evidence = (
        *doubts,
        *fresh,
        *(_shifted(before, side, cents) for side, cents in shifts.items()),
        *besides,
        *_signs(found, known, shifts),
        _odds(found),
    )
    if cause is None:
        return Why(None, "Nobody can tell why.", evidence, "Read again, both heads and well damped.")
    return Why(cause, _said(drum, found, cause, shifts), evidence, _THEN[cause])


def _before(
    desk: Desk,
    drum_id: str,
    entries: tuple[Entry, ...],
    usable: Mapping[HeadSide, Taken],
    *,
    known: Learned | None,
) -> Learned:
    """Return what was known of the drum before this sitting; where that is nothing, before these readings."""
    struck = next(iter(usable.values())).reading.struck
    own = {one.entry_id for one in usable.values() if one.entry_id is not None}
    sitting = {entry.stands_for for entry in of_this_sitting(desk, entries)}
    if known is not None and not own and not sitting:
        return known
    before = learned_of(desk, drum_id, struck=struck, without=own | sitting)
    if any(before.entries[side] for side in usable):
        return before
    return learned_of(desk, drum_id, struck=struck, without=own)


def _nobody(reason: str, *evidence: str) -> Why:
    return Why(None, f"Nobody can tell why: {reason}.", evidence, "")


def _cause(
    found: "Verdict", comparison: Comparison, shifts: Mapping[HeadSide, float], *, elsewhere: bool
) -> str | None:
    """Return the cause to name: where it stands elsewhere and its pitches agree, nothing else is needed."""
    if elsewhere and found.cause not in BEFORE_TURNING and _mostly_turned(comparison, shifts):
        return "turned"
    return "left" if found.cause == "nothing" else found.cause


def _mostly_turned(comparison: Comparison, shifts: Mapping[HeadSide, float]) -> bool:
    """Tell whether no head lies further from its count than half of what it is off its target."""
    return all(
        (head := comparison.head(side)) is None
        or abs(cents) <= max(abs(head.off_cents) / 2, head.tolerance_cents)
        for side, cents in shifts.items()
    )


def _seen(drum: Drum, before: Learned, taken: Mapping[HeadSide, Taken]) -> "Seen":
    from lugbook.turns.explanations import Seen

    heard = [taken.get(side) for side in SIDES]
    hz = [one.hz if one else None for one in heard]
    sd = [one.reading.uncertainty_cents if one else 0.0 for one in heard]
    uneven, rang = [_uneven(one) for one in heard], [_rang(one) for one in heard]
    turned = [before.turned(side) if before.entries[side] else 0.0 for side in SIDES]
    return Seen(
        position=before.here,
        hz=(hz[0], hz[1]),
        sd_cents=(sd[0], sd[1]),
        day=before.day,
        rods=(drum.side("top").rods, drum.side("bottom").rods),
        turned=(turned[0], turned[1]),
        single=drum.tension == "single",
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
    if len(bare_sides(drum, preset)) == len(SIDES):
        return ("The preset holds no turns to compare the count with.",), False
    void = void_sides(drum, preset)
    if void:
        heads = " and ".join(void)
        return (f"The preset's turns of the {heads} head belong to a count that is over.",), False
    standing = standing_of(drum, entries, preset)
    single_rods = touched_up(drum, entries, (preset,))
    if standing.doubts or single_rods:
        return (*standing.doubts, *single_rods), not standing.agrees
    return ("By its count the drum stands where the preset has it.",), False


def _shift(before: Learned, side: HeadSide, taken: Taken) -> float:
    """Return how far a head lies from where its last reading and the turns since put it, in cents."""
    from lugbook.turns.squares import SLACK_HZ

    entry, head = before.entries[side][-1], SIDES.index(side)
    reading = entry.reading(side)
    last = pitch_hz(reading.pitch, a4_hz=entry.a4) if reading is not None else None
    if last is None or taken.hz is None:
        return 0.0
    was = before.places[side][-1]
    own, other = before.response.state.slopes()[head][[head, 1 - head]]
    moved = own * (before.here[head] - was[head]) + other * (before.here[1 - head] - was[1 - head])
    return cents_between(max(last**2 + float(moved), SLACK_HZ**2) ** 0.5, to_hz=taken.hz)


def _shifted(before: Learned, side: HeadSide, cents: float) -> str:
    """Say how far a head lies from where its last reading and the turns since put it."""
    turned = before.counted_since(side)
    since = "unturned since" if abs(turned) < 1 / GRAIN / 2 else f"{show_turns(turned, sign='always')} since"
    day = day_text(before.entries[side][-1].at.date())
    where = f"where its last reading ({day}, {since}) puts it"
    if abs(cents) < 0.5:
        return f"The {side} head reads just {where}."
    return f"The {side} head reads {in_cents(abs(cents))} {'above' if cents > 0 else 'below'} {where}."


def _signs(
    found: "Verdict", taken: Mapping[HeadSide, Taken], shifts: Mapping[HeadSide, float]
) -> Iterator[str]:
    """Yield what else speaks for the cause."""
    if found.cause == "slipped":
        for side in taken if found.side is None else (found.side,):
            if _uneven(taken.get(side)):
                yield f"Two pitches close together were heard in the {side} head."
    if found.cause == "undamped":
        for heard, one in taken.items():
            if _rang(one):
                yield f"In the recording of the {heard} head the other head is heard to ring."
        lower, *upper = sorted(shifts, key=lambda side: taken[side].hz or 0.0)
        if shifts[lower] < 0 and all(shifts[side] > 0 for side in upper) and upper:
            yield "Two heads that ring together pull their pitches apart: the lower falls, the upper rises."
    if found.cause == "weather":
        yield "Both moved alike in the square of the frequency, as air moves film of any thickness."


def _odds(found: "Verdict") -> str:
    """Say how likely the likeliest thing that happened by itself is."""
    percent = min(5 * int(20 * found.probability + 1e-9), 95)
    return f"Likeliest by what the logbook has taught: {_LIKELY[found.likely]}, about {percent} in 100."


def _said(drum: Drum, found: "Verdict", cause: str | None, shifts: Mapping[HeadSide, float]) -> str:
    """Return a cause in a sentence."""
    single = drum.tension == "single"
    part = turned_part(drum.tension, found.side) if found.side is not None else "rods"
    turns = turns_text(max(round(abs(found.turns) * GRAIN), 1) / GRAIN)
    if cause == "crept":
        return "The heads gave way by themselves, as film under tension does."
    if cause == "weather":
        warmer = sum(shifts.values()) < 0
        air = "warmer or damper than before" if warmer else "cooler or drier than before"
        return f"The air moved both heads alike: {air}."
    if cause == "slipped":
        of = "" if single or found.side is None else f" of the {found.side} head"
        return f"One rod{of} has let go, by about {turns}."
    if cause == "miscounted":
        way = "above" if found.turns > 0 else "below"
        if single or found.side is None:
            return f"The rods are not where their count of turns has them: they stand about {turns} {way} it."
        return f"The {part} is not where its count of turns has it: it stands about {turns} {way} it."
    if cause == "undamped":
        return "The other head rang along, which moves the pitch."
    if cause == "changed":
        if found.side is None:
            return "Both heads are not those that the logbook knows, or were taken off since."
        return f"The {found.side} head is not the one that the logbook knows, or was taken off since."
    if cause == "turned":
        return "It was not brought here: by its count it stands elsewhere, which is most of it."
    return "Nothing happened to it: it was left so."
