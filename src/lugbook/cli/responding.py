"""How a drum answers to turns: cents a quarter turn, the line that the logbook draws, and the drift."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, add_struck, struck_of
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.cli.shapes import Shape
    from lugbook.desk import Desk
    from lugbook.desk.answering import DrumAnswer, HeadAnswer
    from lugbook.turns.curve import Move, Place


def _options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument("--picture", metavar="FILE.svg", help="draw it into this file")
    add_struck(parser)
    add_json(parser)


def _response(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.answering import answer, keep_answer
    from lugbook.desk.picturing import picture_path

    struck = struck_of(arguments) or "rim"
    picture = None if arguments.picture is None else picture_path(arguments.picture)
    found = answer(desk, arguments.drum, struck=struck)
    if picture is not None:
        keep_answer(found, picture)
    if arguments.json:
        out.json({**_shape(found), "picture": None if picture is None else str(picture)})
    else:
        _say(found, out)
    return ExitCode.FINE


def _shape(found: "DrumAnswer") -> "Shape":
    """Return the JSON of `response`."""
    return {
        "drum": found.drum_id,
        "heads": {"top": _head_shape(found.top), "bottom": _head_shape(found.bottom)},
        "remarks": list(found.remarks),
    }


def _head_shape(head: "HeadAnswer") -> "Shape":
    from lugbook.cli.shapes import cents, hertz

    curve = head.curve
    return {
        "cents_per_quarter": None if curve.up is None else cents(curve.up.cents),
        "sd_cents": None if curve.up is None else cents(curve.up.sd_cents),
        "down": _move_shape(curve.down),
        "of_other_cents": None if curve.of_other is None else cents(curve.of_other.cents),
        "of_other_sd_cents": None if curve.of_other is None else cents(curve.of_other.sd_cents),
        "position": curve.turns,
        "lowest": _place_shape(curve.lowest),
        "highest": _place_shape(curve.highest),
        "hz": hertz(curve.hz),
        "limit": {"turns": head.turns_max, "hz": hertz(head.hz_max)},
        "line": {
            "hz2_at_position": hertz(curve.square),
            "hz2_per_turn": hertz(curve.slope),
            "sd_hz2_per_turn": hertz(curve.slope_sd),
        },
        "points": [
            {
                "turns": point.turns,
                "hz": hertz(point.hz),
                "hz2": hertz(point.square),
                "sd_cents": cents(point.sd_cents),
                "day": round(point.day, 4),
                "drift_cents": cents(point.drift_cents),
                "entry": entry,
                "count": count,
            }
            for point, entry, count in zip(curve.points, head.entries, head.counts, strict=True)
        ],
        "drift": {
            "day_cents": cents(-curve.fall_day_cents),
            "week_cents": cents(-curve.fall_week_cents),
            "weather": _move_shape(curve.weather),
        },
        "basis": head.basis,
        "guess": head.guess,
        "remarks": list(head.remarks),
    }


def _move_shape(move: "Move | None") -> "Shape | None":
    from lugbook.cli.shapes import cents

    return None if move is None else {"cents": cents(move.cents), "sd_cents": cents(move.sd_cents)}


def _place_shape(place: "Place | None") -> "Shape | None":
    if place is None:
        return None
    return {"turns": place.turns, "up": _move_shape(place.up), "down": _move_shape(place.down)}


def _say(found: "DrumAnswer", out: "Output") -> None:
    from lugbook.cards.plot import DRIFT_WORDS, SIGNS, drifted, plotted

    heads = (found.top, found.bottom)
    out.table(found.rows())
    for one in heads:
        out.data("", f"{one.side.capitalize()} head: {one.basis}", SIGNS)
        out.data(*plotted(one.curve, a4_hz=found.a4_hz, limit_turns=one.turns_max))
    out.data("", DRIFT_WORDS)
    out.data(*drifted([one.curve for one in heads], day=found.day))
    if remarks := [*found.remarks, *found.top.remarks, *found.bottom.remarks]:
        out.data("", *remarks)


DEEDS = {"response": Deed(_options, _response)}
"""The commands of this family."""
