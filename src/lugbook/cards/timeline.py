"""The upper two panels of a listening: level over time with the taps, and the pitch of each tap under it.

Both share one line of time. A tap that was used has a filled triangle above the level and a dot with a bar
for its uncertainty; one that was left out has a cross in both places. Where the numbers of taps would run
into each other, some are left away: the signs stay.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median_low
from typing import TYPE_CHECKING

from lugbook.cards.drawing import FAINT, INK, MARK, PALE, SOFT, Drawing, Point, text_width
from lugbook.cards.placing import Shelf, round_step
from lugbook.heads.hearing import Hearing, Tap
from lugbook.heads.wording import MINUTES_FROM_S, REACH_DB
from lugbook.pitch import MINUS, cents_between, signed

if TYPE_CHECKING:
    from lugbook.heads.levels import Levels

SIZE, HEAD = 15.0, 17.0
"""Sizes of labels and of a panel's name."""

_STEP_DB = 20.0
"""From one line drawn across to the next."""

_REACHES = (10.0, 20.0, 50.0, 100.0, 200.0, 600.0, 1200.0)
"""Cents to either side that the panel of pitches may show."""

_DASHES = "8 5"

_SIGN = 5.5
"""Half the width of a tap's sign."""


@dataclass(frozen=True, slots=True)
class Span:
    """The line of time: seconds to places."""

    left: float
    right: float
    seconds: float

    def at(self, seconds: float) -> float:
        """Return where a moment stands; what lies outside stands at the end."""
        share = seconds / self.seconds if self.seconds > 0 else 0.0
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


def draw_levels(
    drawing: Drawing, hearing: Hearing, levels: "Levels", *, span: Span, top: float, height: float
) -> None:
    """Draw the level over time, the taps' signs in the 30 units above *top*, the panel's name above them."""
    drawing.text(span.left, top - 42, "Level over time", size=HEAD, bold="bold")
    _draw_legend(drawing, span.right, top - 42)
    loudest = math.ceil(levels.peak_db / 10) * 10.0 if any(levels.db) else 0.0
    loudest = loudest if levels.peak_db > -REACH_DB * 2 else 0.0

    def y_of(db: float) -> float:
        return top + height * min(max((loudest - db) / REACH_DB, 0.0), 1.0)

    for tap in hearing.taps:
        x = span.at(tap.at_s)
        drawing.stroke(((x, top), (x, top + height)), colour=FAINT, dashes="" if tap.used else "3 3")
    _draw_area(drawing, levels.db, span, y_of)
    for line in range(round(REACH_DB / _STEP_DB) + 1):
        db = loudest - line * _STEP_DB
        y = y_of(db)
        drawing.stroke(((span.left - 5, y), (span.left, y)), colour=SOFT)
        drawing.text(span.left - 9, y + 5, _decibels(db), size=SIZE, anchor="end", fill=SOFT, most=80)
    drawing.stroke(((span.left, top + height), (span.right, top + height)), colour=SOFT)
    for tap in hearing.taps:
        _draw_sign(drawing, span.at(tap.at_s), top - 9, used=tap.used)
    _draw_numbers(drawing, hearing.taps, span, baseline=top - 19)


def draw_pitches(
    drawing: Drawing,
    hearing: Hearing,
    *,
    target_hz: float | None,
    span: Span,
    top: float,
    height: float,
) -> None:
    """Draw each tap's pitch in cents from the reading, and the time under it; the name stands above *top*."""
    drawing.text(span.left, top - 14, _pitch_heading(hearing), size=HEAD, bold="bold")
    heard = [(tap, tap.hz) for tap in hearing.taps if tap.hz is not None and tap.hz > 0]
    if heard:
        middle_hz = hearing.reading.hz if hearing.reading else median_low(hz for _, hz in heard)
        _draw_taps(drawing, hearing, heard, middle_hz, target_hz, span=span, top=top, height=height)
    _draw_time(drawing, span, y=top + height)


def _draw_taps(
    drawing: Drawing,
    hearing: Hearing,
    heard: Sequence[tuple[Tap, float]],
    middle_hz: float,
    target_hz: float | None,
    *,
    span: Span,
    top: float,
    height: float,
) -> None:
    offsets = [cents_between(middle_hz, to_hz=hz) for _, hz in heard]
    target = cents_between(middle_hz, to_hz=target_hz) if target_hz else None
    reach = _reach(hearing, heard, offsets, target)

    def y_of(cents: float) -> float:
        return top + height * (1 - min(max(cents / reach, -1.0), 1.0)) / 2

    if hearing.reading is not None:
        sd = min(hearing.reading.sd_cents, reach)
        drawing.box(span.left, y_of(sd), span.right - span.left, y_of(-sd) - y_of(sd), fill=PALE)
    drawing.stroke(((span.left, y_of(0)), (span.right, y_of(0))), colour=SOFT)
    for cents in (reach, 0.0, -reach):
        words = f"{signed(cents)}{' cents' if not cents else ''}"
        drawing.stroke(((span.left - 5, y_of(cents)), (span.left, y_of(cents))), colour=SOFT)
        drawing.text(span.left - 9, y_of(cents) + 5, words, size=SIZE, anchor="end", fill=SOFT)
    if target is not None:
        _draw_target(drawing, target, reach, y_of, span, baseline=top - 14)
    for (tap, _), cents in zip(heard, offsets, strict=True):
        x, y = span.at(tap.at_s), y_of(cents)
        if tap.sd_cents is not None and tap.used:
            drawing.stroke(((x, y_of(cents + tap.sd_cents)), (x, y_of(cents - tap.sd_cents))), width=1.6)
        if tap.used:
            drawing.dot(x, y, 4.2, fill=INK)
        else:
            _draw_sign(drawing, x, y, used=False)


def _draw_target(
    drawing: Drawing,
    target: float,
    reach: float,
    y_of: Callable[[float], float],
    span: Span,
    *,
    baseline: float,
) -> None:
    """Draw where the pitch was expected; beyond the scale it is said."""
    words = "expected"
    if abs(target) > reach:
        words = f"expected {signed(target)} cents, off the scale"
    drawing.text(span.right, baseline, words, size=SIZE, anchor="end", fill=SOFT)
    if abs(target) <= reach:
        drawing.stroke(((span.left, y_of(target)), (span.right, y_of(target))), colour=MARK, dashes=_DASHES)
        start = span.right - text_width(words, size=SIZE) - 46
        drawing.stroke(((start, baseline - 5), (start + 36, baseline - 5)), colour=MARK, dashes=_DASHES)


def _pitch_heading(hearing: Hearing) -> str:
    if not any(tap.hz for tap in hearing.taps):
        return "Pitch of each tap: none was heard"
    around = "the reading" if hearing.reading is not None else "the middle one"
    return f"Pitch of each tap, in cents from {around}"


def _reach(
    hearing: Hearing, heard: Sequence[tuple[Tap, float]], offsets: Sequence[float], target: float | None
) -> float:
    """Return how many cents to either side are shown: all taps that were used, and a target that is near."""
    wanted = [10.0]
    for (tap, _), cents in zip(heard, offsets, strict=True):
        if tap.used or hearing.reading is None:
            wanted.append(abs(cents) + min(tap.sd_cents or 0.0, 100.0))
    if target is not None and abs(target) <= _REACHES[3]:
        wanted.append(abs(target) * 1.1)
    return next((reach for reach in _REACHES if reach >= max(wanted)), _REACHES[-1])


def _draw_area(drawing: Drawing, db: Sequence[float], span: Span, y_of: Callable[[float], float]) -> None:
    if not db:
        return
    wide = (span.right - span.left) / len(db)
    line: list[Point] = [(span.left, y_of(-math.inf))]
    line += [(span.left + (column + 0.5) * wide, y_of(one)) for column, one in enumerate(db)]
    drawing.area([*line, (span.right, y_of(-math.inf))], fill=FAINT, edge=SOFT, width=0.8)


def _draw_sign(drawing: Drawing, x: float, y: float, *, used: bool) -> None:
    """Draw a tap's sign around a place: a triangle that points down, or a cross."""
    if used:
        drawing.area(((x - _SIGN, y - _SIGN), (x + _SIGN, y - _SIGN), (x, y + _SIGN)), fill=INK)
    else:
        arm = _SIGN - 1
        lines = ((x - arm, y - arm), (x + arm, y + arm)), ((x - arm, y + arm), (x + arm, y - arm))
        drawing.stroke(*lines, colour=MARK, width=2.2)


def _draw_legend(drawing: Drawing, right: float, baseline: float) -> None:
    for words, used in (("left out", False), ("tap that was used", True)):
        drawing.text(right, baseline, words, size=SIZE, anchor="end", fill=SOFT)
        right -= text_width(words, size=SIZE) + 14
        _draw_sign(drawing, right, baseline - 5, used=used)
        right -= 26


def _draw_numbers(drawing: Drawing, taps: Sequence[Tap], span: Span, *, baseline: float) -> None:
    """Number the taps from 1, those left out first, then from both ends, as long as there is room."""
    shelf = Shelf(gap=7.0)
    numbered = list(enumerate(taps, 1))
    ends = numbered[:1] + numbered[-1:]
    for number, tap in dict.fromkeys([*(pair for pair in numbered if not pair[1].used), *ends, *numbered]):
        half = text_width(str(number), size=SIZE) / 2
        x = min(max(span.at(tap.at_s), span.left + half), span.right - half)
        if shelf.take(x - half, x + half):
            drawing.text(x, baseline, str(number), size=SIZE, anchor="middle")


def _draw_time(drawing: Drawing, span: Span, *, y: float) -> None:
    drawing.stroke(((span.left, y), (span.right, y)), colour=SOFT)
    if not (math.isfinite(span.seconds) and span.seconds > 0):
        return
    unit, name = (60.0, "min") if span.seconds > MINUTES_FROM_S else (1.0, "s")
    step = round_step(span.seconds / unit, most=8)
    for number in range(int(span.seconds / unit / step * (1 + 1e-9)) + 1):
        x = span.at(number * step * unit)
        drawing.stroke(((x, y), (x, y + 5)), colour=SOFT)
        words = f"{number * step:.6g} {name}"
        place = min(x, span.right - text_width(words, size=SIZE) / 2)
        drawing.text(place, y + 21, words, size=SIZE, anchor="middle", fill=SOFT)


def _decibels(db: float) -> str:
    return f"{db:g} dB".replace("-", MINUS)
