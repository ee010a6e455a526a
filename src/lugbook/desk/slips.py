"""Readings that look like a slip: another octave, a misplaced point, a sound that no drum head makes.

Such a reading is not wrong for certain: a head that was let down may well sound an octave below its target.
So the player is asked, and may insist.
"""

import math
from collections.abc import Mapping

from lugbook.desk.asking import Taken
from lugbook.heads.ranges import HIGHEST_HZ, LOWEST_HZ
from lugbook.pitch import cents_between, offset_cents, parse_pitch
from lugbook.records import HeadSide, Preset, Reading

_NEAR_CENTS = 100.0
"""So near to a whole number of octaves, or to ten times the target, a reading looks like a slip."""

_TOO_HIGH_CENTS = 900.0
"""Nobody brings a head this far above its target without knowing (judgement)."""

_FAR_CENTS, _CLOSER = 150.0, 4.0
"""Heads so far off their own targets, and so much closer to each other's, look interchanged (judgement)."""

_TENFOLD_CENTS = 1200 * math.log2(10)

_TIMES = {1: "an octave", 2: "two octaves", 3: "three octaves"}


def slip(preset: Preset, side: HeadSide, taken: Taken) -> str:
    """Return why the reading of one head looks like a slip, in a sentence that asks; empty where it does not.

    Args:
        preset: what the head is on the way to; a target that names no octave is met in any.
        side: which head.
        taken: its reading.
    """
    return _slip(side, taken, preset.target(side), a4_hz=preset.a4, held="the target")


def slip_beside(side: HeadSide, taken: Taken, before: Reading, *, a4_hz: float) -> str:
    """Return why a reading looks like a slip beside the one of this head *before*, as `slip` does.

    Args:
        side: which head.
        taken: its reading.
        before: what was read of it last.
        a4_hz: the concert pitch that *before* is meant at, in Hz.
    """
    return _slip(side, taken, before, a4_hz=a4_hz, held="what was read before")


def slips_among(preset: Preset, taken: Mapping[HeadSide, Taken]) -> set[HeadSide]:
    """Return the heads whose reading looks like a slip; one that is written down was stood by.

    Args:
        preset: what the heads are on the way to.
        taken: their readings.
    """
    return {side for side, one in taken.items() if one.entry_id is None and slip(preset, side, one)}


def interchanged(preset: Preset, taken: Mapping[HeadSide, Taken]) -> str:
    """Return a sentence that asks where each head reads the other's target; empty where that is not so.

    Args:
        preset: what the heads are on the way to.
        taken: their readings.
    """
    off: dict[HeadSide, tuple[float, float]] = {}
    sides: tuple[tuple[HeadSide, HeadSide], ...] = (("top", "bottom"), ("bottom", "top"))
    for side, other in sides:
        one, own, others = taken.get(side), preset.target_hz(side), preset.target_hz(other)
        if one is None or one.hz is None or own is None or others is None:
            return ""
        off[side] = abs(cents_between(own, to_hz=one.hz)), abs(cents_between(others, to_hz=one.hz))
    if all(own > _FAR_CENTS and others < own / _CLOSER for own, others in off.values()):
        return "Each head reads about the other's target: are top and bottom interchanged?"
    return ""


def _slip(side: HeadSide, taken: Taken, held_against: Reading | None, *, a4_hz: float, held: str) -> str:
    """Return why a reading looks like a slip beside the one it is *held* against, in a sentence that asks."""
    if taken.hz is None:
        return ""
    if not LOWEST_HZ <= taken.hz <= HIGHEST_HZ:
        return f"{side.capitalize()} head: no drum head sounds at {taken.hz:.0f} Hz. Is it a slip?"
    if held_against is None or held_against.hz(a4_hz=a4_hz) is None:
        return ""
    off = offset_cents(
        taken.pitch,
        target=parse_pitch(held_against.pitch),
        measured_a4_hz=taken.a4_hz,
        target_a4_hz=a4_hz,
    )
    what = _looks_like(off, held=held)
    return f"{side.capitalize()} head: this is {what}?" if what else ""


def _looks_like(off_cents: float, *, held: str) -> str:
    """Return what a reading so far from what it is *held* against looks like, as the rest of a question."""
    way = "above" if off_cents > 0 else "below"
    far = abs(off_cents)
    octaves = round(far / 1200)
    if octaves in _TIMES and abs(far - 1200 * octaves) <= _NEAR_CENTS:
        return f"{_TIMES[octaves]} {way} {held}. Is it another octave, or a slip"
    if abs(far - _TENFOLD_CENTS) <= _NEAR_CENTS:
        return f"{'ten times' if off_cents > 0 else 'a tenth of'} {held}. Is the point in its place"
    if off_cents > _TOO_HIGH_CENTS:
        return f"{far / 100:.0f} semitones above {held}. Is it another sound of the head, or a slip"
    return ""
