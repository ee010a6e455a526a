"""Before a rehearsal: is a drum where its preset says, and which of its presets is it nearest to?"""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, add_readings, readings_of
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Json, Output
    from lugbook.desk import Desk
    from lugbook.desk.checking import Nearest


def _options(parser: Parser) -> None:
    parser.add_argument(
        "preset", metavar="DRUM/PRESET", help="the preset, as `lugbook presets` lists it; DRUM with --all"
    )
    add_readings(parser)
    parser.add_argument("--all", action="store_true", help="against every preset of the drum")
    add_json(parser)
    parser.epilog = (
        "Where a drum is not within, what its logbook tells of the reason is said: the heads crept, the air "
        "moved both alike, a rod slipped, the turns were miscounted, the other head rang, a head was "
        "changed, or it stands elsewhere by its count. Where nobody can tell, that is said. Exit code 0: "
        "within."
    )


def _check(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    if arguments.all:
        return _check_all(arguments, desk, out)
    from lugbook.desk.checking import check

    found = check(desk, arguments.preset, **readings_of(arguments))
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.compared(found))
    else:
        from lugbook.cli import texts

        texts.compared(found, out)
    return ExitCode.FINE if found.within else ExitCode.NO


def _check_all(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.checking import check_all

    drum, slash, _ = arguments.preset.partition("/")
    if slash:
        raise BadValue(
            f"{arguments.preset} is one preset, and --all is for every preset of a drum.",
            hint=f"Give the drum alone: {drum} --all",
        )
    found = check_all(desk, drum, **readings_of(arguments))
    if arguments.json:
        out.json(shape(found))
    else:
        told(found, out)
    return ExitCode.FINE if found.nearest is not None and found.nearest.within else ExitCode.NO


def shape(found: "Nearest") -> "Json":
    """Return the JSON of `check --all`: ``presets`` holds a `check` each, the nearest first."""
    from lugbook.cli.shapes import compared

    near = found.nearest
    return {
        "drum": found.drum,
        "nearest": None if near is None else f"{near.drum}/{near.preset}",
        "within": None if near is None else near.within,
        "presets": [compared(one) for one in found.comparisons],
        "remarks": list(found.remarks),
    }


def told(found: "Nearest", out: "Output") -> None:
    """List the presets, the nearest first, with how far each head is off."""
    out.data(found.headline)
    if found.comparisons:
        out.data("")
        out.table(found.rows())
    if found.remarks:
        out.data("", *found.remarks)


DEEDS = {"check": Deed(_options, _check)}
"""The commands of this family."""
