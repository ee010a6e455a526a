"""The picture of how a drum answers to turns: a graph for each head, and what they did by themselves.

One page of fixed size. Each head has its cents a quarter turn, tall, with what they rest on, and beside them
f² over turns: the line, its band for nine readings in ten, the readings, where the head stands, and its
limit. Under both is the drift: how far each reading lay from where turns alone put it today, and what of
that creep alone explains.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from lugbook.cards.drawing import FAINT, INK, MARK, PALE, PAPER, SOFT, Drawing, text_width, wrapped
from lugbook.cards.graph import (
    DRIFT_CENTS,
    Scale,
    days_ago,
    pitch_labels,
    reach_of,
    squares_scale,
    turn_labels,
    turns_scale,
)
from lugbook.cards.pitches import hertz, note
from lugbook.cards.placing import Shelf
from lugbook.pitch import in_cents, signed
from lugbook.turns.amounts import show_turns
from lugbook.turns.curve import BAND_SD

if TYPE_CHECKING:
    from lugbook.turns.curve import Curve, Move

WIDTH, HEIGHT = 1000.0, 1220.0
"""The view box."""

_LEFT, _RIGHT, _GRAPH = 40.0, 960.0, 470.0
_WORDS_WIDTH, _MOST_LINES = 290.0, 10
_TOPS, _TALL = (130.0, 520.0), 290.0
"""Where the graphs of top and bottom begin, and how tall they are."""

_DRIFT, _DRIFT_TALL = 960.0, 180.0
_SIZE, _SMALL = 15.0, 13.0
_DASHES, _DOTS = "8 5", "2 4"


class Panel(NamedTuple):
    """One head on the page."""

    curve: "Curve"
    basis: str
    """What it rests on, in words."""
    limit_turns: float | None
    """The head's limit in turns from its reference."""


def response_picture(panels: Sequence[Panel], *, name: str, when: str, day: float, a4_hz: float) -> str:
    """Return the picture as the text of an SVG file.

    Args:
        panels: top and bottom.
        name: what the player calls the drum; any text.
        when: today in words.
        day: today, in the days of the curves.
        a4_hz: concert pitch that notes are named at, 392 to 470 Hz.
    """
    said = " ".join(f"{panel.curve.side.capitalize()} head: {_summary(panel)}." for panel in panels)
    drawing = Drawing(WIDTH, HEIGHT, title=f"How {name} answers to turns", description=said)
    drawing.text(_RIGHT, 44, when, size=16, anchor="end", fill=SOFT)
    room = _RIGHT - _LEFT - text_width(when, size=16) - 24
    drawing.text(_LEFT, 44, name, size=16, fill=SOFT, bold="bold", most=room)
    drawing.stroke(((_LEFT, 60), (_RIGHT, 60)), colour=FAINT)
    for panel, top in zip(panels, _TOPS, strict=True):
        _draw_words(drawing, panel, top=top, a4_hz=a4_hz)
        _draw_graph(drawing, panel, top=top, a4_hz=a4_hz)
    _draw_drift(drawing, panels, day=day)
    return drawing.svg()


def _draw_words(drawing: Drawing, panel: Panel, *, top: float, a4_hz: float) -> None:
    curve = panel.curve
    drawing.text(_LEFT, top - 30, f"{curve.side.capitalize()} head", size=19, bold="bold")
    if curve.up is None:
        drawing.text(_LEFT, top + 62, "slack", size=64, bold="bold")
    else:
        tall = f"{curve.up.cents:.0f}"
        drawing.text(_LEFT - 2, top + 62, tall, size=76, bold="bold", most=_WORDS_WIDTH)
    lines = ["cents a quarter turn tighter"]
    if curve.up is not None:
        lines += [f"± {in_cents(curve.up.sd_cents)}"]
        lines.append("looser: slack" if curve.down is None else f"looser: {_move(curve.down)}")
    if curve.of_other is not None:
        other = "bottom" if curve.side == "top" else "top"
        lines.append(f"a quarter turn of the {other}: {_move(curve.of_other)}")
    if curve.hz is not None:
        lines.append(f"now {note(curve.hz, a4_hz=a4_hz)}, {hertz(curve.hz)} Hz")
    lines.append(f"from {panel.basis}")
    for place in (curve.lowest, curve.highest):
        if place is not None and place.up is not None and place.turns != curve.turns:
            lines.append(f"tighter from {show_turns(place.turns)}: {_move(place.up)}")
    broken = [part for line in lines for part in wrapped(line, size=_SIZE, width=_WORDS_WIDTH)]
    for row, line in enumerate(broken[:_MOST_LINES]):
        drawing.text(_LEFT, top + 94 + row * 24, line, size=_SIZE, most=_WORDS_WIDTH)


def _draw_graph(drawing: Drawing, panel: Panel, *, top: float, a4_hz: float) -> None:
    curve, bottom = panel.curve, top + _TALL
    drawing.stroke(((_GRAPH, top), (_GRAPH, bottom), (_RIGHT, bottom)), colour=SOFT)
    if len(curve.line) < 2:
        drawing.text((_GRAPH + _RIGHT) / 2, top + _TALL / 2, "slack", size=20, anchor="middle", fill=SOFT)
        return
    across = turns_scale(curve, start=_GRAPH, stop=_RIGHT)
    up = squares_scale(curve, start=bottom, stop=top)
    over = [(across.at(p.turns), up.at(p.square + BAND_SD * p.sd_square)) for p in curve.line]
    under = [(across.at(p.turns), up.at(p.square - BAND_SD * p.sd_square)) for p in curve.line]
    drawing.area([*over, *reversed(under)], fill=PALE)
    drawing.stroke(over, under, colour=FAINT, dashes=_DOTS)
    for label in pitch_labels(up, room=22, a4_hz=a4_hz):
        y = up.at(label.value)
        drawing.stroke(((_GRAPH - 5, y), (_GRAPH, y)), colour=SOFT)
        drawing.text(_GRAPH - 9, y + 5, label.words, size=_SIZE, anchor="end", fill=SOFT, most=130)
    for label in turn_labels(across, room=44):
        x = across.at(label.value)
        drawing.stroke(((x, bottom), (x, bottom + 5)), colour=SOFT)
        drawing.text(x, bottom + 22, label.words, size=_SIZE, anchor="middle", fill=SOFT)
    drawing.text(_RIGHT, bottom + 44, "turns from the reference", size=_SIZE, anchor="end", fill=SOFT)
    drawing.text(_GRAPH, bottom + 44, "upwards: Hz squared", size=_SMALL, fill=SOFT)
    drawing.stroke([(across.at(p.turns), up.at(p.square)) for p in curve.line], width=2)
    for point in curve.points:
        x, y = across.at(point.turns), up.at(point.square)
        low, high = up.at(point.square - point.sd_square), up.at(point.square + point.sd_square)
        drawing.stroke(((x, low), (x, high)), colour=INK)
        drawing.dot(x, y, 4, fill=INK)
    _draw_marks(drawing, panel, across, up, top=top, bottom=bottom)


def _draw_marks(
    drawing: Drawing, panel: Panel, across: Scale, up: Scale, *, top: float, bottom: float
) -> None:
    """Draw where the head stands, and its limit where the graph reaches it; their words share a row."""
    curve, shelf = panel.curve, Shelf(gap=8)
    x, y = across.at(curve.turns), up.at(curve.square)
    drawing.area([(x, y - 9), (x + 9, y), (x, y + 9), (x - 9, y)], fill=PAPER, edge=MARK, width=2.5)
    marks = [(x, "now")]
    limit = panel.limit_turns
    if limit is not None and across.low <= limit <= across.high:
        at = across.at(limit)
        drawing.stroke(((at, top), (at, bottom)), colour=MARK, width=1.5, dashes=_DASHES)
        marks.append((at, "limit"))
    for at, words in marks:
        half = text_width(words, size=_SIZE) / 2
        middle = min(max(at, _GRAPH + half), _RIGHT - half)
        if shelf.take(middle - half, middle + half):
            drawing.text(middle, top - 8, words, size=_SIZE, anchor="middle", fill=MARK)


def _draw_drift(drawing: Drawing, panels: Sequence[Panel], *, day: float) -> None:
    top, bottom = _DRIFT, _DRIFT + _DRIFT_TALL
    drawing.text(
        _LEFT,
        top - 30,
        "Drift: how far each reading lay from where turns alone put it today",
        size=19,
        bold="bold",
    )
    points = [point for panel in panels for point in panel.curve.points]
    if not points:
        drawing.text(_LEFT, top + 20, "No reading in this count yet.", size=_SIZE, fill=SOFT)
        return
    drawing.text(_RIGHT, top - 8, "● ─ top, × ┄ bottom; lines: creep", size=_SIZE, anchor="end", fill=SOFT)
    first = min(point.day for point in points)
    across = Scale(first, max(day, first + 1.0), 130.0, _RIGHT)
    creeps = [one.cents for panel in panels for one in panel.curve.creep]
    reach = reach_of([point.drift_cents for point in points] + creeps, DRIFT_CENTS)
    up = Scale(-reach, reach, bottom, top)
    for cents in (reach, 0.0, -reach):
        y = up.at(cents)
        drawing.stroke(((130.0, y), (_RIGHT, y)), colour=SOFT if not cents else FAINT)
        words = f"{signed(cents)} cents" if cents else "as turned"
        drawing.text(122, y + 5, words, size=_SIZE, anchor="end", fill=SOFT, most=110)
    for panel, filled in zip(panels, (True, False), strict=True):
        creep = [(across.at(one.day), up.at(one.cents)) for one in panel.curve.creep]
        drawing.stroke(creep, colour=SOFT, width=1.5, dashes="" if filled else _DASHES)
        for point in panel.curve.points:
            _draw_sign(drawing, across.at(point.day), up.at(point.drift_cents), filled=filled)
    ago = max(day - first, 0.0)
    drawing.text(130, bottom + 24, days_ago(ago), size=_SIZE, fill=SOFT)
    drawing.text(_RIGHT, bottom + 24, "today", size=_SIZE, anchor="end", fill=SOFT)
    falls = [
        f"{panel.curve.side} {in_cents(panel.curve.fall_week_cents)}" for panel in panels if panel.curve.hz
    ]
    if falls:
        words = f"Creep to expect in the next week: {', '.join(falls)}."
        drawing.text((130 + _RIGHT) / 2, bottom + 24, words, size=_SIZE, anchor="middle", fill=SOFT)


def _draw_sign(drawing: Drawing, x: float, y: float, *, filled: bool) -> None:
    if filled:
        drawing.dot(x, y, 4.5, fill=INK)
    else:
        drawing.stroke(((x - 5, y - 5), (x + 5, y + 5)), ((x - 5, y + 5), (x + 5, y - 5)), width=1.8)


def _summary(panel: Panel) -> str:
    curve = panel.curve
    if curve.up is None:
        return "slack"
    return f"a quarter turn tighter moves it by {_move(curve.up)}, from {panel.basis}"


def _move(move: "Move") -> str:
    return f"{signed(move.cents)} ± {in_cents(move.sd_cents)}"
