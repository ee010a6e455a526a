"""Comparing measured pitches with a preset's: nearest note, cents off, within tolerance or not."""

from dataclasses import dataclass
from typing import Literal

from lugbook.desk.asking import Taken, named, note_of, renamed_pitch, told
from lugbook.desk.desk import Desk
from lugbook.desk.expecting import take_of
from lugbook.desk.slips import interchanged, slip
from lugbook.pitch import (
    Note,
    Pitch,
    interval_cents,
    interval_name,
    offset_cents,
    parse_pitch,
)
from lugbook.records import SIDES, By, HeadSide, Preset, Reading, Struck

Word = Literal["flat", "sharp", "in tune", "cannot tell"]
"""What is said of a head beside the number."""


@dataclass(frozen=True, slots=True)
class HeadResult:
    """One head against its target."""

    side: HeadSide
    target_hz: float | None
    """None for a note name without octave."""
    target: str
    """The target by its note, such as ``A3+4``."""
    target_note: Note
    """The nearest note of the target."""
    target_cents: float
    """How far the target lies from that note."""
    measured_hz: float | None
    note: Note
    """The nearest note of what was measured."""
    cents: float
    """How far from that note."""
    off_cents: float
    """Measured minus target, in cents; to the nearest octave where one of them names none."""
    tolerance_cents: float
    within: bool | None
    """None where the two were not had in the same way."""

    @property
    def word(self) -> Word:
        """The deviation in a word."""
        if self.within is None:
            return "cannot tell"
        if self.within:
            return "in tune"
        return "sharp" if self.off_cents > 0 else "flat"


@dataclass(frozen=True, slots=True)
class IntervalResult:
    """The interval from the top head to the bottom head, signed, in cents."""

    target_cents: float | None
    measured_cents: float | None
    name: str | None
    """The target's interval in words, such as ``diminished fifth``."""


@dataclass(frozen=True, slots=True)
class Why:
    """Why a drum is not where its preset says, as far as its logbook can tell."""

    cause: str | None
    """In a word: ``crept``, ``weather``, ``slipped``, ``miscounted``, ``undamped``, ``changed``, ``turned``
    (it stands elsewhere by its count) or ``left`` (it was so already); None where nobody can tell."""
    says: str
    """The cause in a sentence."""
    evidence: tuple[str, ...]
    """What that rests on, in sentences."""
    then: str
    """What to do about it; empty where there is nothing but to read again."""

    def sentences(self) -> tuple[str, ...]:
        """Return the cause, what it rests on, and what to do."""
        return tuple(filter(None, (self.says, *self.evidence, self.then)))


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both heads against a preset."""

    drum: str
    preset: str
    within: bool | None
    """None where it cannot be told."""
    top: HeadResult | None
    bottom: HeadResult | None
    interval: IntervalResult
    remarks: tuple[str, ...]
    why: Why | None = None
    """None where it is within, or was not asked."""

    def head(self, side: HeadSide) -> HeadResult | None:
        """Return the result of the *side*."""
        return self.top if side == "top" else self.bottom

    @property
    def verdict(self) -> str:
        """Whether it is within tolerance, in words."""
        return {True: "within", False: "not within", None: "cannot tell"}[self.within]


def take_for(
    desk: Desk,
    preset: Preset,
    side: HeadSide,
    text: str,
    *,
    drum_id: str,
    by: By | None = None,
    struck: Struck | None = None,
    a4_hz: float | None = None,
) -> Taken:
    """Take the reading *text* of one head on the way to *preset*, whose target says what to expect."""
    target = preset.target(side)
    return take_of(
        desk,
        drum_id,
        side,
        text,
        a4_hz=a4_hz or preset.a4,
        by=by,
        struck=struck or (target.struck if target else "rim"),
        near_hz=preset.target_hz(side),
        like=_note_of(target.pitch, a4_hz=preset.a4) if target else None,
    )


def take_both(
    desk: Desk,
    preset: Preset,
    top: str | None,
    bottom: str | None,
    *,
    drum_id: str,
    by: By | None,
    struck: Struck | None,
    a4_hz: float | None,
) -> dict[HeadSide, Taken]:
    """Take the readings that were given; a head that was not read is not in the result."""
    return {
        side: take_for(desk, preset, side, text, drum_id=drum_id, by=by, struck=struck, a4_hz=a4_hz)
        for side, text in zip(SIDES, (top, bottom), strict=True)
        if text is not None
    }


def compare(desk: Desk, name: str, preset: Preset, *, top: Taken | None, bottom: Taken | None) -> Comparison:
    """Compare readings that were taken with a preset."""
    drum_id, _, preset_id = name.partition("/")
    remarks = [
        f"The library's own tolerance does not count: {problem.sentence(root=desk.library.root)}"
        for problem in (desk.shared_problems() if preset.tolerance_cents is None else ())
    ]
    results: dict[HeadSide, HeadResult | None] = {}
    for side, taken in zip(SIDES, (top, bottom), strict=True):
        if taken is not None:
            remarks += [f"{side.capitalize()} head: {remark}" for remark in taken.remarks]
        results[side] = _head(desk, side, preset, taken, remarks)
    both: dict[HeadSide, Taken] = {"top": top, "bottom": bottom} if top and bottom else {}
    if doubt := interchanged(preset, both):
        remarks.append(doubt)
    interval = _interval(preset, top, bottom)
    return Comparison(
        drum=drum_id,
        preset=preset_id,
        within=_overall(desk, preset, results, interval),
        top=results["top"],
        bottom=results["bottom"],
        interval=interval,
        remarks=tuple(remarks),
    )


def _head(
    desk: Desk, side: HeadSide, preset: Preset, taken: Taken | None, remarks: list[str]
) -> HeadResult | None:
    target = preset.target(side)
    if target is None:
        remarks.append(f"The preset has no pitch for the {side} head.")
        return None
    if taken is None:
        remarks.append(f"The {side} head was not read.")
        return None
    pitch = parse_pitch(target.pitch)
    off = offset_cents(taken.pitch, target=pitch, measured_a4_hz=taken.a4_hz, target_a4_hz=preset.a4)
    tolerance = desk.tolerance_cents(preset.tolerance_cents, by_ear="ear" in (taken.reading.by, target.by))
    if taken.alone:
        remarks.append(f"{side.capitalize()} head: a note name alone spans 100 cents; its middle is taken.")
    if taken.entry_id is None and (doubt := slip(preset, side, taken)):
        # What stands in the logbook was asked about before it was written down.
        remarks.append(doubt)
    unlike = _had_unlike(target, taken.reading)
    if unlike:
        remarks.append(f"The {side} head cannot be compared: {unlike}.")
    # Both are named at the concert pitch of the reading: names of two cannot be compared by eye.
    a4_hz, target_hz = taken.a4_hz, preset.target_hz(side)
    called = renamed_pitch(target.pitch, old_a4_hz=preset.a4, a4_hz=a4_hz)
    return HeadResult(
        side=side,
        target_hz=target_hz,
        target=named(called, a4_hz=a4_hz),
        target_note=_note_of(called, a4_hz=a4_hz),
        target_cents=parse_pitch(called).cents if target_hz is None else told(target_hz, a4_hz=a4_hz).cents,
        measured_hz=taken.hz,
        note=taken.note,
        cents=taken.cents,
        off_cents=off,
        tolerance_cents=tolerance,
        # A tenth of a cent is less than any reading can tell, and keeps rounding from deciding.
        within=None if unlike else abs(off) <= tolerance + 0.05,
    )


def _had_unlike(target: Reading, measured: Reading) -> str:
    """Say why two readings may not be compared; empty where they may."""
    if target.struck != measured.struck:
        return f"the target was read at the {target.struck}, this one at the {measured.struck}"
    heads = {target.other_head, measured.other_head}
    if heads == {"free", "damped"}:
        return f"the other head was {target.other_head} for the target and {measured.other_head} now"
    return ""


def _note_of(text: str, *, a4_hz: float) -> Note:
    pitch = parse_pitch(text)
    hz = pitch.hz_at(a4_hz)
    return note_of(pitch) if hz is None else told(hz, a4_hz=a4_hz, like=pitch.note).note


def _interval(preset: Preset, top: Taken | None, bottom: Taken | None) -> IntervalResult:
    measured = None
    if top is not None and bottom is not None:
        if top.hz is not None and bottom.hz is not None:
            measured = interval_cents(top.hz, bottom_hz=bottom.hz)
        else:
            measured = _within_an_octave(top.pitch, top.a4_hz, bottom.pitch, bottom.a4_hz)
    if preset.top is None or preset.bottom is None:
        return IntervalResult(target_cents=None, measured_cents=measured, name=None)
    target = target_interval_cents(preset)
    octaves = [preset.target_hz(side) for side in SIDES] + [taken and taken.hz for taken in (top, bottom)]
    if measured is not None and target is not None and None in octaves:
        # Where a name stands for any octave, the interval is meant in the one nearest to its target.
        measured = target + (measured - target + 600) % 1200 - 600
    return IntervalResult(target_cents=target, measured_cents=measured, name=target_interval_name(preset))


def target_interval_cents(preset: Preset) -> float | None:
    """Return the preset's interval from top to bottom in cents; None where a target is missing."""
    if preset.top is None or preset.bottom is None:
        return None
    top_hz, bottom_hz = preset.target_hz("top"), preset.target_hz("bottom")
    if top_hz is not None and bottom_hz is not None:
        return interval_cents(top_hz, bottom_hz=bottom_hz)
    return _within_an_octave(
        parse_pitch(preset.top.pitch), preset.a4, parse_pitch(preset.bottom.pitch), preset.a4
    )


def target_interval_name(preset: Preset) -> str | None:
    """Return the preset's interval in words; None where a target is missing."""
    if preset.top is None or preset.bottom is None:
        return None
    top, bottom = (_note_of(reading.pitch, a4_hz=preset.a4) for reading in (preset.top, preset.bottom))
    if top.octave is None or bottom.octave is None:
        top, bottom = (Note(note.letter, note.alter, None) for note in (top, bottom))
    return interval_name(top, bottom)


def _within_an_octave(top: Pitch, top_a4_hz: float, bottom: Pitch, bottom_a4_hz: float) -> float:
    """Return the ascending interval from *top* to *bottom* in cents, 0 to under 1200: one names no octave."""
    up = offset_cents(bottom, target=top, measured_a4_hz=bottom_a4_hz, target_a4_hz=top_a4_hz)
    return up % 1200


def _overall(
    desk: Desk, preset: Preset, results: dict[HeadSide, HeadResult | None], interval: IntervalResult
) -> bool | None:
    verdicts: list[bool | None] = [
        result.within if (result := results[side]) else None
        for side in SIDES
        if preset.target(side) is not None
    ]
    if preset.interval_decides:
        verdicts.append(_interval_within(desk, preset, interval))
    if False in verdicts:
        return False
    return None if None in verdicts or not verdicts else True


def _interval_within(desk: Desk, preset: Preset, interval: IntervalResult) -> bool | None:
    if interval.target_cents is None or interval.measured_cents is None:
        return None
    tolerance = desk.tolerance_cents(preset.tolerance_cents, by_ear=False)
    return abs(interval.measured_cents - interval.target_cents) <= tolerance + 0.05
