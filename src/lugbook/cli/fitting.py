"""A new head and a lost count: what is void, how a head is seated, how far to turn it at first."""

from typing import TYPE_CHECKING

from lugbook.cli.heads import add_options, head_values
from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, given, one_of, side_of
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.cli.shapes import Shape
    from lugbook.desk import Desk
    from lugbook.desk.recounting import Recounted, Which
    from lugbook.desk.seating import Fitted


def _fit_options(parser: Parser) -> None:
    add_options(parser)
    add_json(parser)


def _fit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.seating import fit

    side = side_of(arguments.side, option="The side")
    reference = given(reference=arguments.reference)
    fitted = fit(desk, arguments.drum, side, head_values(arguments), **reference)
    if arguments.json:
        out.json(_fitted_shape(fitted))
    else:
        _say_fitted(fitted, out)
    return ExitCode.FINE


def _fitted_shape(fitted: "Fitted") -> "Shape":
    """Return the JSON of `head fit`."""
    from lugbook.cli.shapes import hertz
    from lugbook.turns.amounts import show_turns

    return {
        "head": fitted.head.id,
        "count": fitted.count.id if fitted.count else None,
        "side": fitted.head.side,
        "void": list(fitted.void),
        "presets": [
            {
                "id": row.preset,
                "target": row.target or None,
                "target_hz": hertz(row.target_hz),
                "first_turns": None
                if row.amount is None
                else {"amount": row.amount, "shown": show_turns(row.amount, sign="always")},
                "basis": row.basis,
            }
            for row in fitted.presets
        ],
        "reminders": list(fitted.reminders),
        "remarks": list(fitted.remarks),
    }


def _say_fitted(fitted: "Fitted", out: "Output") -> None:
    out.data(*fitted.lines())
    if fitted.presets and fitted.count is not None:
        first, side = fitted.presets[0].preset, fitted.head.side
        out.words(f"Then read it: `lugbook retune {first} --{side} R` says how far on.")


def _recount_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument(
        "side", metavar="top|bottom|both", nargs="?", default="both", help="whose count is lost (both)"
    )
    parser.add_argument("--reference", metavar="TEXT", help="the state that turns are counted from now")
    parser.add_argument("--why", metavar="TEXT", help="why: let down, another key (the count was lost)")
    parser.add_argument("--undo", action="store_true", help="take back a count that was begun by mistake")
    add_json(parser)


def _recount(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.recounting import recount, take_back

    words: tuple[Which, ...] = ("top", "bottom", "both")
    side = one_of(arguments.side, words, option="The side") or "both"
    named = given(reference=arguments.reference, why=arguments.why)
    if arguments.undo and named:
        raise BadValue("--undo takes no reference and no reason.", hint="Give --undo alone.")
    done = (
        take_back(desk, arguments.drum, side)
        if arguments.undo
        else recount(desk, arguments.drum, side, **named)
    )
    if arguments.json:
        out.json(_recounted_shape(done, undone=arguments.undo))
    else:
        out.data(*done.sentences(undone=arguments.undo))
    return ExitCode.FINE


def _recounted_shape(done: "Recounted", *, undone: bool) -> "Shape":
    """Return the JSON of `head recount`."""
    return {
        "counts": [{"id": one.id, "side": one.side, "reference": one.reference} for one in done.counts],
        "void": [] if undone else list(done.presets),
        "valid": list(done.presets) if undone else [],
        "remarks": list(done.remarks),
    }


DEEDS = {
    "head fit": Deed(_fit_options, _fit),
    "head recount": Deed(_recount_options, _recount),
}
"""The commands of this family."""
