"""Records of wires: list, show, add, edit, remove, restore."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import removing, restoring, showing
from lugbook.cli.values import NONE, add_json, given, number_or_none, one_of, something, whole
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.records import Record

_KINDS = ("coil", "cable", "gut", "mixed")
_PLACES = ("top", "bottom")


def _drum(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")


def _which(parser: Parser) -> None:
    _drum(parser)
    parser.add_argument(
        "wires", metavar="WIRES", help="the set, as `lugbook wires list DRUM` lists it, such as wires-2"
    )


def _fields(parser: Parser) -> None:
    add = parser.add_argument
    add("--kind", metavar="|".join(_KINDS), help="what the strands are (coil)")
    add("--strands", metavar="N", help="how many strands")
    add("--tied", metavar="TEXT", help="how it is tied: cord, strip, clamps")
    add("--since", metavar="DAY", help="the day it was put on, such as 2026-05-03 (today)")


def _values(arguments: Arguments) -> dict[str, Any]:
    from lugbook.desk.fitting import day

    values = given(kind=one_of(arguments.kind, _KINDS, option="--kind"), tied=arguments.tied)
    if arguments.strands is not None:
        known = number_or_none(arguments.strands, option="--strands")
        values["strands"] = None if known is None else whole(arguments.strands, option="--strands")
    if arguments.since is not None:
        values["since"] = day(arguments.since)
    return values


def _list_options(parser: Parser) -> None:
    _drum(parser)
    add_json(parser)


def _list(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.wiring import wires_rows
    from lugbook.desk.wording import NOTHING

    rows = wires_rows(desk, arguments.drum)
    days = [tuple(one.isoformat() if one else None for one in (row.since, row.off)) for row in rows]
    if arguments.json:
        shapes = [
            {"id": row.id, "place": row.place, "what": row.what, "since": since, "off": off}
            for row, (since, off) in zip(rows, days, strict=True)
        ]
        out.json({"drum": arguments.drum, "wires": shapes})
    elif rows:
        lines = [
            (row.id, f"{row.place} head", row.what, since or NOTHING, off or NOTHING)
            for row, (since, off) in zip(rows, days, strict=True)
        ]
        out.table([("wires", "under", "what", "since", "off"), *lines])
    else:
        out.words("No wires are written down.")
    return ExitCode.FINE


def _add_options(parser: Parser) -> None:
    _drum(parser)
    _fields(parser)
    parser.add_argument("--place", metavar="top|bottom", help="under which head it lies (bottom)")
    parser.add_argument(
        "--same-set",
        action="store_true",
        help="it is the set that is on, tied anew: kind and strands stay, its settings are void",
    )


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.wiring import add_wires, voided_presets

    place = one_of(arguments.place, _PLACES, option="--place")
    values = {**_values(arguments), **given(place=place)}
    added = add_wires(desk, arguments.drum, values, same_set=arguments.same_set)
    out.data(added.id)
    void = voided_presets(desk, arguments.drum)
    said = f": {', '.join(void)}." if void else "."
    out.words(f"Kept as {added.id}; settings of the snares found before are only where to begin{said}")
    return ExitCode.FINE


def _edit_options(parser: Parser) -> None:
    _which(parser)
    _fields(parser)
    parser.add_argument("--off", metavar="DAY", help="the day it was taken off, or none")
    parser.epilog = (
        "This corrects what was written down, and the settings found with the set stay. A set that was tied "
        "anew is a record of its own: lugbook wires add DRUM --same-set --tied TEXT."
    )


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.fitting import day
    from lugbook.desk.wiring import edit_wires

    values = _values(arguments)
    if arguments.off is not None:
        values["off"] = None if arguments.off == NONE else day(arguments.off)
    out.data(edit_wires(desk, arguments.drum, arguments.wires, something(values)).id)
    out.words("Changed; settings found with it stay.")
    return ExitCode.FINE


def _get(arguments: Arguments, desk: "Desk") -> "tuple[Record, dict[str, str]]":
    from lugbook.desk.wiring import wires

    return wires(desk, arguments.drum, arguments.wires), {"drum": arguments.drum}


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.wiring import remove_wires

    return remove_wires(desk, *typed)


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.wiring import restore_wires

    return restore_wires(desk, arguments.drum, arguments.wires).id


DEEDS = {
    "wires list": Deed(_list_options, _list),
    "wires show": showing(_which, _get),
    "wires add": Deed(_add_options, _add),
    "wires edit": Deed(_edit_options, _edit),
    "wires remove": removing("wires", _which, ("drum", "wires"), _remove),
    "wires restore": restoring(_which, _restore, back="Back in the drum's record."),
}
"""The commands of this family."""
