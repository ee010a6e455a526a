"""Records of drums: show, add, edit, remove, restore."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import removing, restoring, showing
from lugbook.cli.values import (
    given,
    number_or_none,
    one_of,
    sides,
    thread_mm,
    turns,
    whole,
    yes_or_no,
)
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.records import Record, Strainer

_TENSIONS = ("separate", "single", "rope")


def _which(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")


def _fields(parser: Parser) -> None:
    add = parser.add_argument
    add("--diameter", metavar="IN", help="diameter of the heads in inches")
    add("--depth", metavar="IN", help="depth of the shell in inches")
    add("--rods", metavar="N", help="rods on each side; with --rods-bottom, on top")
    add("--rods-bottom", metavar="N", help="rods on the bottom side")
    add("--tension", metavar="|".join(_TENSIONS), help="how the heads are pulled")
    add("--thread", metavar="MM", help="travel of a rod per turn in mm, or its thread, such as 12-24")
    add("--maker", metavar="TEXT", help="who made it")
    add("--shell", metavar="TEXT", help="what the shell is made of")
    add("--strainer", metavar="TEXT", help="what kind of strainer it has")
    add(
        "--adjustment",
        metavar="NAME=UNIT from ZERO",
        action="append",
        help="what can be set on the strainer, such as 'knob=clicks from all the way out'; "
        "NAME=none takes it away; may be repeated",
    )
    add("--loan", metavar="yes|no", help="whether it belongs to somebody else")
    add(
        "--limit",
        metavar="SIDE=TURNS",
        action="append",
        help="do not turn that head past this, such as top=2 1/2",
    )
    add("--limit-low", metavar="SIDE=TURNS", action="append", help="do not let that head down below this")
    add("--limit-hz", metavar="SIDE=HZ", action="append", help="do not tune that head above this")
    add(
        "--bed-rods",
        metavar="SIDE=RODS",
        action="append",
        help="rods beside the snare beds, such as bottom=1,2",
    )
    add(
        "--reached",
        metavar="SIDE=yes|no",
        action="append",
        help="whether a key reaches those rods on the stand",
    )
    add("--note", metavar="TEXT", help="remarks")


def _values(arguments: Arguments) -> dict[str, Any]:
    values = given(
        name=arguments.name,
        maker=arguments.maker,
        shell=arguments.shell,
        tension=one_of(arguments.tension, _TENSIONS, option="--tension"),
        note=arguments.note,
    )
    if arguments.diameter is not None:
        values["diameter_in"] = number_or_none(arguments.diameter, option="--diameter")
    if arguments.depth is not None:
        values["depth_in"] = number_or_none(arguments.depth, option="--depth")
    if arguments.thread is not None:
        values["thread_mm"] = thread_mm(arguments.thread, option="--thread")
    if arguments.loan is not None:
        values["loan"] = yes_or_no(arguments.loan, option="--loan")
    for side, built in _built(arguments).items():
        if built:
            values[side] = built
    return values


def _strainer(arguments: Arguments, strainer: "Strainer") -> dict[str, Any]:
    """Return what was typed of the strainer, which is *strainer* until now."""
    from lugbook.desk.adjusting import adjusted

    values = given(name=arguments.strainer)
    if arguments.adjustment:
        values["adjustments"] = adjusted(strainer, arguments.adjustment)
    return {"strainer": values} if values else {}


def _built(arguments: Arguments) -> dict[str, dict[str, Any]]:
    """Return what was typed of each side."""
    built: dict[str, dict[str, Any]] = {"top": {}, "bottom": {}}
    if arguments.rods is not None:
        built["top"]["rods"] = built["bottom"]["rods"] = whole(arguments.rods, option="--rods")
    if arguments.rods_bottom is not None:
        built["bottom"]["rods"] = whole(arguments.rods_bottom, option="--rods-bottom")
    for side, text in sides(arguments.limit, option="--limit", form="top=2 1/2"):
        built[side]["turns_max"] = turns(text)
    for side, text in sides(arguments.limit_low, option="--limit-low", form="top=-1"):
        built[side]["turns_min"] = turns(text)
    for side, text in sides(arguments.limit_hz, option="--limit-hz", form="top=300"):
        built[side]["hz_max"] = number_or_none(text, option="--limit-hz")
    for side, text in sides(arguments.bed_rods, option="--bed-rods", form="bottom=1,2"):
        rods = [] if text == "none" else text.replace(",", " ").split()
        built[side]["snare_bed_rods"] = tuple(whole(rod, option="--bed-rods") for rod in rods)
    for side, text in sides(arguments.reached, option="--reached", form="bottom=no"):
        built[side]["reached_on_stand"] = yes_or_no(text, option="--reached")
    return built


def _add_options(parser: Parser) -> None:
    parser.add_argument("name", metavar="NAME", help="what you call it")
    _fields(parser)
    parser.add_argument(
        "--reference", metavar="TEXT", help="the state that turns are counted from (as it stands)"
    )


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.keeping import add_drum, assumed
    from lugbook.records import Strainer

    if arguments.diameter is None:
        raise BadValue("The drum needs its diameter.", hint="Write it in inches, such as --diameter 14.")
    values = {
        **_values(arguments),
        **_strainer(arguments, Strainer()),
        **given(reference=arguments.reference),
    }
    stored = add_drum(desk, values)
    out.data(stored.id)
    out.words(f"Kept as {stored.id} in {desk.library.root}.", *assumed(values))
    return ExitCode.FINE


def _edit_options(parser: Parser) -> None:
    _which(parser)
    parser.add_argument("--name", metavar="NAME", help="what you call it; its slug stays")
    _fields(parser)


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli.values import something
    from lugbook.desk.keeping import edit_drum

    strainer = desk.library.drum(arguments.drum).record.strainer
    values = {**_values(arguments), **_strainer(arguments, strainer)}
    stored = edit_drum(desk, arguments.drum, something(values))
    out.data(stored.id)
    out.words("Changed.")
    return ExitCode.FINE


def _get(arguments: Arguments, desk: "Desk") -> "tuple[Record, dict[str, str]]":
    stored = desk.library.drum(arguments.drum)
    return stored.record, {"drum": stored.id}


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.keeping import remove_drum

    remove_drum(desk, *typed)
    return ()


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.keeping import restore_drum

    return restore_drum(desk, arguments.drum).id


DEEDS = {
    "drum show": showing(_which, _get),
    # The first drum begins the library.
    "drum add": Deed(_add_options, _add, needs_library=lambda _: False),
    "drum edit": Deed(_edit_options, _edit),
    "drum remove": removing("drum", _which, ("drum",), _remove),
    "drum restore": restoring(_which, _restore, back="Back on the shelf."),
}
"""The commands of this family."""
