"""The sweep of the snares: where they are free, where they choke, and where to set them between."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Json, Output
    from lugbook.desk import Desk
    from lugbook.desk.snare_keeping import Written
    from lugbook.desk.sweeping import Sweep


def _options(parser: Parser) -> None:
    add = parser.add_argument
    add("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    add("--adjustment", metavar="NAME", help="what is swept (the first of the strainer's)")
    add("--free", metavar="X", help="where the wires just buzz free, at pp near the edge")
    add("--choke", metavar="Y", help="where they choke, at ff")
    add("--set", metavar="Z", dest="chosen", help="where they are set; written down")
    add(
        "--buzzes",
        metavar="NOTES",
        action="append",
        default=[],
        help="notes of other instruments that set them off, such as 'horn Bb3, clarinet D4'; written down",
    )
    add("--search", metavar="S", help="the search that the setting belongs to (the present one)")
    add_json(parser)
    parser.epilog = (
        "Without values it prints the steps and where to begin; with --free and --choke where to set; with "
        "--set it writes the setting down. Values grow as the wires are tightened."
    )


def _sweep(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    # Imported on use, as everywhere: a command loads what it needs.
    from lugbook.desk.snare_keeping import keep_buzzes
    from lugbook.desk.snare_words import notes_of
    from lugbook.desk.sweeping import begin, keep

    notes = [note for text in arguments.buzzes for note in notes_of(text)]
    if arguments.buzzes and not notes:
        raise BadValue("--buzzes names no note.", hint="Write --buzzes 'horn Bb3, clarinet D4'.")
    sweep = _with_values(arguments, begin(desk, arguments.drum, arguments.adjustment)).with_buzzes(notes)
    written = None
    if arguments.chosen is not None:
        written = keep(desk, arguments.drum, sweep, search=arguments.search)
    elif notes:
        if arguments.free is not None or arguments.choke is not None:
            raise BadValue("Nothing was set yet.", hint="Give --set too, or --buzzes alone.")
        written = keep_buzzes(desk, arguments.drum, notes, search=arguments.search)
    if arguments.json:
        out.json(shape(sweep, written))
    else:
        _told(sweep, written, out)
    return ExitCode.FINE


def _with_values(arguments: Arguments, sweep: "Sweep") -> "Sweep":
    from lugbook.desk.adjusting import parse_number

    if arguments.free is not None:
        sweep = sweep.with_free(parse_number(arguments.free, what="--free"))
    if arguments.choke is not None:
        sweep = sweep.with_choke(parse_number(arguments.choke, what="--choke"))
    if arguments.chosen is not None:
        sweep = sweep.with_chosen(parse_number(arguments.chosen, what="--set"))
    return sweep


def shape(sweep: "Sweep", written: "Written | None") -> "Json":
    """Return the JSON of `sweep`; what is not known is null."""
    start, adjustment = sweep.start, sweep.adjustment
    return {
        "drum": sweep.drum,
        "adjustment": {
            "name": adjustment.name,
            "unit": adjustment.unit or None,
            "zero": adjustment.zero or None,
            "step": sweep.step,
        },
        "start": None
        if start is None
        else {
            "snares": start.setting.text(),
            "values": start.setting.values,
            "from": start.source,
            "sure": start.sure,
            "why": start.why,
        },
        "free": sweep.free,
        "choke": sweep.choke,
        "suggested": sweep.suggested,
        "why": sweep.why_suggested or None,
        "set": sweep.chosen,
        "buzzes_with": list(sweep.buzzes_with),
        "now": None if written is not None else sweep.now(),
        "steps": list(sweep.steps()),
        "entry": None if written is None else written.entry.stands_for,
        "search": (written.search or None) if written is not None else None,
        "snares": None if written is None else written.setting.text(),
        "remarks": list(sweep.remarks),
    }


def _told(sweep: "Sweep", written: "Written | None", out: "Output") -> None:
    if written is not None:
        out.data(written.sentence())
        return
    out.words(*sweep.remarks)
    if sweep.stage != "free":
        out.data(*filter(None, (sweep.span(), sweep.now())))
        return
    out.data(*(f"{number}. {step}" for number, step in enumerate(sweep.steps(), 1)))
    if sweep.start is not None:
        out.data("", f"Where to begin: {sweep.start.why}")


DEEDS = {"sweep": Deed(_options, _sweep)}
"""The commands of this family."""
