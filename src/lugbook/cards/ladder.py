"""The lower panel of a listening: the lines of the drum on a ladder of pitch, each with its name and note.

Every line is a rung: as high as its pitch, as long as it is loud. The foremost have a row of words beside
them, as near to their rung as there is room; a thin line leads from one to the other. The reading's rung is
thick and its row bold, an alternative's rung is hollow and its row says so.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lugbook.cards.drawing import FAINT, INK, MARK, PAPER, SOFT, Drawing, text_width
from lugbook.cards.pitches import hertz, note
from lugbook.cards.placing import spread
from lugbook.heads.gathering import Line, Role, foremost
from lugbook.heads.wording import mode_words
from lugbook.pitch import HZ_MAX, HZ_MIN, hz_of_midi, midi_of, nearest, signed

MOST_ROWS = 12
"""Lines that get a row of words; the others are drawn and counted."""

_ROLES: dict[Role, str] = {"reading": "the reading", "alternative": "may be meant instead"}

_SIZE, _HEAD = 16.0, 17.0
_DEAF_DB = 60.0
"""A rung this far below the strongest line has no length left."""

_LOWEST, _HIGHEST = 16, 111
"""Note numbers between which every pitch of a drum lies, from 20 to 5000 Hz at any concert pitch."""

_STEPS = (1, 2, 3, 4, 6, 12, 24)
"""Semitones between two marks of the ladder."""


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the columns of the rows begin or, for numbers, end."""

    sounds: float
    mode: float
    note: float
    hertz: float
    level: float
    rings: float
    taps: float


@dataclass(frozen=True, slots=True)
class _Scale:
    """Pitch to height, evenly in semitones."""

    low: float
    high: float
    top: float
    bottom: float

    def at(self, hz: float) -> float:
        """Return where a frequency stands; what lies outside stands at the end."""
        midi = min(max(midi_of(min(max(hz, HZ_MIN), HZ_MAX), a4_hz=self.a4_hz), self.low), self.high)
        return self.bottom - (midi - self.low) / (self.high - self.low) * (self.bottom - self.top)

    a4_hz: float = 440.0


def draw_ladder(
    drawing: Drawing,
    lines: Sequence[Line],
    *,
    of_taps: int,
    a4_hz: float,
    left: float,
    right: float,
    top: float,
    height: float,
) -> None:
    """Draw the lines between *left* and *right*; the headings stand above *top*.

    Args:
        drawing: the picture.
        lines: all lines, lowest first.
        of_taps: how many taps they were gathered from.
        a4_hz: concert pitch that the notes are named at, in Hz.
        left: of the ladder's rungs; its scale stands to the left of that.
        right: of the last column.
        top: of the ladder.
        height: of the ladder.
    """
    whose = "drum" if any(line.role == "reading" for line in lines) else "sound"
    drawing.text(left, top - 14, f"Lines of the {whose}", size=_HEAD, bold="bold")
    if not lines:
        drawing.text(left, top + 14, "No line rings on.", size=_SIZE)
        return
    columns = _Columns(left + 228, left + 388, left + 446, left + 606, left + 682, left + 770, right)
    _draw_headings(drawing, columns, baseline=top - 14, named=any(line.mode for line in lines))
    scale = _scale(lines, a4_hz=a4_hz, top=top, bottom=top + height)
    _draw_scale(drawing, scale, left)
    named = foremost(lines, most=MOST_ROWS)
    for line in lines:
        if line not in named:
            _draw_rung(drawing, line, scale.at(line.hz), left)
    falling = list(reversed(named))
    rungs = [scale.at(line.hz) for line in falling]
    gap = min(height / (MOST_ROWS - 1), 1.5 * _SIZE)
    rows = spread(rungs, gap=gap, low=top + 2, high=top + height - 2)
    for line, rung, row in zip(falling, rungs, rows, strict=True):
        _draw_rung(drawing, line, rung, left)
        # All leaders bend at the same two places, so that none crosses another.
        bend, end = left + _RUNG + 12, columns.sounds - (22 if line.role else 6)
        leader = ((left + _length(line) + 5, rung), (bend, rung), (columns.sounds - 30, row), (end, row))
        drawing.stroke(leader, colour=SOFT, width=0.7)
        _draw_row(drawing, line, columns, row + 5.5, of_taps=of_taps, a4_hz=a4_hz)
    _draw_legend(drawing, lines, left, baseline=top + height + 34)
    if len(lines) > len(named):
        drawing.text(
            right, top + height + 34, _others(len(lines) - len(named)), size=15, anchor="end", fill=SOFT
        )


_RUNG = 140.0
"""Length of the strongest line's rung."""


def _scale(lines: Sequence[Line], *, a4_hz: float, top: float, bottom: float) -> _Scale:
    midis = [midi_of(min(max(line.hz, HZ_MIN), HZ_MAX), a4_hz=a4_hz) for line in lines]
    low = max(math.floor(min(midis)) - 1, _LOWEST)
    high = min(math.ceil(max(midis)) + 1, _HIGHEST)
    missing = max(12 - (high - low), 0)
    low = min(max(low - missing // 2, _LOWEST), _HIGHEST - 12)
    return _Scale(low, max(high, low + 12), top, bottom, a4_hz)


def _draw_scale(drawing: Drawing, scale: _Scale, left: float) -> None:
    drawing.stroke(((left, scale.top), (left, scale.bottom)), colour=SOFT)
    span = scale.high - scale.low
    step = next((step for step in _STEPS if span / step <= 9), _STEPS[-1])
    for midi in range(math.ceil(scale.low / step) * step, math.floor(scale.high) + 1, step):
        y = scale.bottom - (midi - scale.low) / span * (scale.bottom - scale.top)
        hz = hz_of_midi(midi, a4_hz=scale.a4_hz)
        drawing.stroke(((left - 5, y), (left, y)), colour=SOFT)
        name = nearest(hz, a4_hz=scale.a4_hz, digits=0).note.sign()
        drawing.text(left - 9, y + 5, name, size=15, anchor="end", fill=SOFT)


def _length(line: Line) -> float:
    level = line.level_db if line.level_db is not None else -_DEAF_DB
    return max(_RUNG * (1 + min(max(level, -_DEAF_DB), 0.0) / _DEAF_DB), 4.0)


def _draw_rung(drawing: Drawing, line: Line, y: float, left: float) -> None:
    length = _length(line)
    if line.role:
        _draw_role(drawing, line.role, left, y, length)
    else:
        drawing.stroke(((left, y), (left + length, y)), colour=INK if line.mode else FAINT, width=2.4)


def _draw_role(drawing: Drawing, role: Role, left: float, y: float, length: float) -> None:
    """Draw the bar that says what a line is: full for the reading, hollow for an alternative."""
    if role == "reading":
        drawing.box(left, y - 3.5, length, 7, fill=MARK)
    else:
        drawing.box(left, y - 3, length, 6, fill=INK)
        drawing.box(left + 1.2, y - 1.8, max(length - 2.4, 0.5), 3.6, fill=PAPER)


def _draw_legend(drawing: Drawing, lines: Sequence[Line], left: float, *, baseline: float) -> None:
    roles = {line.role for line in lines}
    for role, words in _ROLES.items():
        if role in roles:
            _draw_role(drawing, role, left, baseline - 5, 28)
            left += 36
            drawing.text(left, baseline, words, size=15, fill=SOFT)
            left += text_width(words, size=15) + 24


def _others(number: int) -> str:
    return f"and {number} fainter line{'' if number == 1 else 's'}"


def _draw_headings(drawing: Drawing, columns: _Columns, *, baseline: float, named: bool) -> None:
    write = _writer(drawing, baseline, size=14.0, fill=SOFT)
    write(columns.sounds, "sounds" if named else "", "start")
    write(columns.note, "note", "start")
    write(columns.hertz, "hertz", "end")
    write(columns.level, "level", "end")
    write(columns.rings, "rings", "end")
    write(columns.taps, "in taps", "end")


def _draw_row(
    drawing: Drawing, line: Line, columns: _Columns, baseline: float, *, of_taps: int, a4_hz: float
) -> None:
    reading = line.role == "reading"
    fill = MARK if reading else INK
    bold = "bold" if reading else ""
    write = _writer(drawing, baseline, size=_SIZE, fill=fill, bold=bold)
    if line.role:
        _draw_role(drawing, line.role, columns.sounds - 18, baseline - 5.5, 12)
    write(columns.sounds, mode_words(line.mode) or "–", "start", columns.mode - columns.sounds - 8)
    if line.mode:
        small = f"({line.mode})"
        drawing.text(columns.mode, baseline, small, size=13, fill=SOFT, most=columns.note - columns.mode - 8)
    write(columns.note, note(line.hz, a4_hz=a4_hz) or "–", "start", 88)
    write(columns.hertz, hertz(line.hz), "end", 66)
    if line.level_db is not None:
        write(columns.level, f"{signed(max(line.level_db, -999.0))} dB", "end", 76)
    if line.t60_s is not None:
        write(columns.rings, _seconds(line.t60_s), "end", 78)
    if line.taps:
        write(columns.taps, f"{line.taps} of {of_taps}", "end", columns.taps - columns.rings - 8)


def _writer(
    drawing: Drawing, baseline: float, *, size: float, fill: str, bold: str = ""
) -> Callable[..., None]:
    """Return what writes one cell of a row: place, words, anchor, and the width that there is."""

    def write(x: float, words: str, anchor: str, most: float | None = None) -> None:
        drawing.text(x, baseline, words, size=size, anchor=anchor, fill=fill, bold=bold, most=most)

    return write


def _seconds(t60_s: float) -> str:
    return f"{t60_s:.2f} s" if t60_s < 100 else f"{t60_s:.3g} s"
