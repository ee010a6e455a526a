"""The picture of one listening: what was read, the level over time with the taps, and the lines of the drum.

One page of fixed size: on top the pitch, tall, and what else was heard in words; then level and pitches over
one line of time; then the ladder of the lines. A recording that was refused has the same page with the reason
in place of the pitch.
"""

from typing import TYPE_CHECKING

from lugbook.cards.drawing import FAINT, MARK, SOFT, Drawing, fitting, text_width, wrapped
from lugbook.cards.ladder import draw_ladder
from lugbook.cards.pitches import hertz, note, off
from lugbook.cards.timeline import Span, draw_levels, draw_pitches
from lugbook.heads.gathering import lines_of
from lugbook.heads.hearing import Hearing, Struck
from lugbook.heads.wording import facts, struck_words, taps_words
from lugbook.pitch import in_cents

if TYPE_CHECKING:
    from lugbook.heads.levels import Levels

WIDTH, HEIGHT = 1000.0, 1080.0
"""The view box, in the proportion of a page with room for a heading."""

_LEFT, _RIGHT = 40.0, 960.0
_PANEL = 112.0
"""Left end of the panels: their scales stand before it."""

_WORDS, _WORD_SIZE, _WORD_STEP, _FACTS = 530.0, 16.0, 23.0, 146.0
"""Where the words begin, their size, the step from line to line, and how far the facts are set in."""

_WORDS_END = 300.0
"""The lowest baseline of the words."""


def listening_picture(
    hearing: Hearing,
    *,
    levels: "Levels",
    file: str,
    a4_hz: float,
    struck: Struck = "rim",
    near_hz: float | None = None,
) -> str:
    """Return a picture of what was heard in a recording, as the text of an SVG file.

    Args:
        hearing: what was heard; its numbers may have any finite size.
        levels: the level over time.
        file: the recording's name; any text.
        a4_hz: concert pitch that notes are named at, 392 to 470 Hz.
        struck: where the head was struck.
        near_hz: the pitch that was expected, in Hz, or None.
    """
    drawing = Drawing(
        WIDTH, HEIGHT, title=f"What was heard in {file}", description=_described(hearing, a4_hz=a4_hz)
    )
    lasts = _duration(levels.seconds)
    drawing.text(_RIGHT, 44, lasts, size=_WORD_SIZE, anchor="end", fill=SOFT)
    room = _RIGHT - _LEFT - text_width(lasts, size=_WORD_SIZE) - 24
    drawing.text(_LEFT, 44, file, size=_WORD_SIZE, fill=SOFT, bold="bold", most=room)
    drawing.stroke(((_LEFT, 60), (_RIGHT, 60)), colour=FAINT)
    _draw_reading(drawing, hearing, a4_hz=a4_hz, struck=struck, near_hz=near_hz)
    _draw_words(drawing, hearing)
    span = Span(_PANEL, _RIGHT, levels.seconds)
    draw_levels(drawing, hearing, levels, span=span, top=372, height=150)
    draw_pitches(drawing, hearing, target_hz=near_hz, span=span, top=572, height=100)
    taps = sum(tap.used for tap in hearing.taps) or len(hearing.taps)
    draw_ladder(
        drawing,
        lines_of(hearing),
        of_taps=taps,
        a4_hz=a4_hz,
        left=_PANEL,
        right=_RIGHT,
        top=748,
        height=270,
    )
    return drawing.svg()


def _draw_reading(
    drawing: Drawing, hearing: Hearing, *, a4_hz: float, struck: Struck, near_hz: float | None
) -> None:
    """Draw the pitch, tall, and under it hertz, uncertainty, taps and target."""
    reading, room = hearing.reading, _WORDS - _LEFT - 30
    if reading is None:
        drawing.text(_LEFT - 2, 152, "No pitch", size=76, bold="bold", most=room)
        y = 196.0
        for line in wrapped(hearing.refused or "No pitch was found.", size=20, width=room)[:3]:
            drawing.text(_LEFT, y, line, size=20, fill=MARK)
            y += 27
        return
    name = note(reading.hz, a4_hz=a4_hz) or f"{hertz(reading.hz)} Hz"
    tall = fitting(name, size=92, width=room, bold="bold")
    drawing.text(_LEFT - 2, 162, name, size=tall, bold="bold")
    drawing.text(_LEFT, 208, f"{hertz(reading.hz)} Hz  ± {in_cents(reading.sd_cents)}", size=26, most=room)
    taps = f"{taps_words(hearing)}, {struck_words(struck)}"
    drawing.text(_LEFT, 242, taps, size=18, fill=SOFT, most=room)
    if near_hz is not None:
        words = f"{off(reading.hz, near_hz)} {_named(near_hz, a4_hz=a4_hz)}"
        drawing.text(_LEFT, 276, words, size=20, fill=MARK, bold="bold", most=room)


def _draw_words(drawing: Drawing, hearing: Hearing) -> None:
    """Write the facts with their headings, then the remarks; those that find no room are counted."""
    y, width = 94.0, _RIGHT - _WORDS
    for heading, fact in facts(hearing):
        drawing.text(_WORDS, y, heading, size=_WORD_SIZE, fill=SOFT)
        drawing.text(_WORDS + _FACTS, y, fact, size=_WORD_SIZE, most=width - _FACTS)
        y += _WORD_STEP
    if hearing.reading is not None:
        y += 10
    room = int((_WORDS_END - y) / _WORD_STEP) + 1
    lines: list[str] = []
    for place, remark in enumerate(hearing.remarks):
        broken = wrapped(remark, size=_WORD_SIZE, width=width)
        left = len(hearing.remarks) - place
        if len(lines) + len(broken) > room - (left > 1):
            lines.append(f"… and {left} more remark{'' if left == 1 else 's'}.")
            break
        lines += broken
    for place, line in enumerate(lines):
        drawing.text(_WORDS, y + place * _WORD_STEP, line, size=_WORD_SIZE, fill=MARK)


def _described(hearing: Hearing, *, a4_hz: float) -> str:
    reading = hearing.reading
    if reading is None:
        said = [f"No pitch: {hearing.refused or 'none was found.'}"]
    else:
        pitch = f"{_named(reading.hz, a4_hz=a4_hz)}, ± {in_cents(reading.sd_cents)}"
        said = [f"{pitch}, {taps_words(hearing)}."]
    said += [f"{heading.capitalize()}: {fact}." for heading, fact in facts(hearing)]
    return " ".join([*said, *hearing.remarks])


def _named(hz: float, *, a4_hz: float) -> str:
    name = note(hz, a4_hz=a4_hz)
    return f"{name} ({hertz(hz)} Hz)" if name else f"{hertz(hz)} Hz"


def _duration(seconds: float) -> str:
    if seconds < 120:
        return f"{seconds:.1f} seconds"
    return f"{seconds / 60:.1f} minutes"
