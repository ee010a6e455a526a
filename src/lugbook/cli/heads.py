"""Records of heads: show, add, edit, remove, restore."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import removing, restoring, showing
from lugbook.cli.values import NONE, given, number_or_none, one_of, side_of, something, whole
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.records import Record

_MATERIALS = ("film", "aramid", "calf")


def _which(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument(
        "head", metavar="HEAD", help="the head, as `lugbook heads DRUM` lists it, such as top-2"
    )


def add_fields(parser: Parser) -> None:
    """Add the options for what a head is."""
    add = parser.add_argument
    add("--material", metavar="|".join(_MATERIALS), help="what it is made of (film)")
    add("--mil", metavar="MIL", help="whole thickness in mil, a thousandth of an inch")
    add("--plies", metavar="N", help="number of layers")
    add("--name", metavar="TEXT", help="what is printed on it")
    add("--on", metavar="DAY", help="the day it was put on, such as 2026-05-03 (today)")
    add("--note", metavar="TEXT", help="remarks")


def head_values(arguments: Arguments) -> dict[str, Any]:
    """Return what was typed of a head."""
    from lugbook.desk.fitting import day

    values = given(
        material=one_of(arguments.material, _MATERIALS, option="--material"),
        name=arguments.name,
        note=arguments.note,
    )
    if arguments.mil is not None:
        values["film_mil"] = number_or_none(arguments.mil, option="--mil")
    if arguments.plies is not None:
        values["plies"] = whole(arguments.plies, option="--plies")
    if arguments.on is not None:
        values["on"] = day(arguments.on)
    return values


def add_options(parser: Parser) -> None:
    """Add the options of a head that is put on."""
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument("side", metavar="top|bottom", help="which side it is put on")
    add_fields(parser)
    parser.add_argument("--reference", metavar="TEXT", help="the state that turns are counted from, in words")


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.fitting import add_head

    side = side_of(arguments.side, option="The side")
    added = add_head(
        desk, arguments.drum, side, head_values(arguments), **given(reference=arguments.reference)
    )
    out.data(added.id)
    out.words(f"Kept as {added.id}; pitches carry over, turns counted before are void.")
    return ExitCode.FINE


def _edit_options(parser: Parser) -> None:
    _which(parser)
    add_fields(parser)
    parser.add_argument("--off", metavar="DAY", help="the day it was taken off, or none")


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.fitting import day, edit_head

    values = head_values(arguments)
    if arguments.off is not None:
        values["off"] = None if arguments.off == NONE else day(arguments.off)
    out.data(edit_head(desk, arguments.drum, arguments.head, something(values)).id)
    out.words("Changed.")
    return ExitCode.FINE


def _get(arguments: Arguments, desk: "Desk") -> "tuple[Record, dict[str, str]]":
    from lugbook.desk.fitting import head

    return head(desk, arguments.drum, arguments.head), {"drum": arguments.drum}


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.fitting import remove_head

    return remove_head(desk, *typed)


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.fitting import restore_head

    return restore_head(desk, arguments.drum, arguments.head).id


DEEDS = {
    "head show": showing(_which, _get),
    "head add": Deed(add_options, _add),
    "head edit": Deed(_edit_options, _edit),
    "head remove": removing("head", _which, ("drum", "head"), _remove),
    "head restore": restoring(_which, _restore, back="Back in the drum's record."),
}
"""The commands of this family."""
