"""Records of concerts: list, show, add, edit, remove, restore, and how their items are typed."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser, cut
from lugbook.cli.records import removing, restoring, tell
from lugbook.cli.spans import TIME_HELP, InOrder, day_of, rest_of, seconds_of
from lugbook.cli.values import NONE, a4_of, add_json, given, number_or_none, whole
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.running import Alter, Change, Put, Titles


def _which(parser: Parser) -> None:
    parser.add_argument("concert", metavar="CONCERT", help="the concert, as `lugbook concert list` lists it")


def _fields(parser: Parser) -> None:
    add = parser.add_argument
    add("--date", metavar="DATE", help="the day, such as 2026-12-05, or none")
    add("--hall", metavar="TEXT", help="where")
    add("--a4", metavar="HZ", help="concert pitch there")
    add("--drum", metavar="DRUM", action="append", help="a drum that travels; may be repeated; none for all")
    add("--stage", metavar="N", help="how many drums fit on the stage, or none")
    add("--pace", metavar="S", help="seconds for one rod there, or none for your own pace")
    add("--note", metavar="TEXT", help="remarks")


def _items(parser: Parser, *, edits: bool) -> None:
    def add(name: str, metavar: str, told: str) -> None:
        parser.add_argument(name, metavar=metavar, action=InOrder, dest="steps", help=told)

    add(
        "--item",
        "NAME=WHAT",
        "a piece or a title, and its presets (all of them at once) or its music, with commas, or tacet",
    )
    if edits:
        add("--change", "N", "tell of item N with the options that follow")
        add("--move", "N=M", "let item N be number M")
        add("--drop", "N", "take item N out")
        add("--as", "NAME=WHAT", "what the item is instead; =WHAT leaves its name")
    add("--at", "N", "the number of a new item; the last without")
    add("--after", "TIME", f"the time after it: {TIME_HELP}")
    add("--lasts", "TIME", "how long it lasts")
    add("--rest", "[BARS=]TIME", "where you rest inside it; may be repeated, none takes all away")
    add("--said", "TEXT", "remarks on the item")
    parser.epilog = (
        'Such as: --item "Overture=concert-snare/dry-etude" --after 90 --item "bolero=soft rolls". '
        "Options tell of the item before them. "
        "N is a number of `lugbook concert show`, whatever else the same command changes."
    )


def _values(arguments: Arguments) -> dict[str, Any]:
    values = given(name=arguments.name, hall=arguments.hall, note=arguments.note, a4=a4_of(arguments))
    if arguments.date is not None:
        values["on"] = day_of(arguments.date, option="--date")
    if arguments.drum is not None:
        values["drums"] = list(dict.fromkeys(one for one in arguments.drum if one != NONE))
    if arguments.stage is not None:
        values["stage_drums"] = None if arguments.stage == NONE else whole(arguments.stage, option="--stage")
    if arguments.pace is not None:
        values["pace"] = number_or_none(arguments.pace, option="--pace")
    return values


def _changes(desk: "Desk", steps: Iterable[tuple[str, str]]) -> "list[Change]":
    """Return the changes of the items that were typed, in the order they were typed."""
    from lugbook.desk.running import Alter, Drop, Move, Put, Titles, item_values

    titles = Titles(desk)
    found: list[Change] = []
    for option, text in steps:
        if option == "--item":
            found.append(Put(item_values(titles, text)))
        elif option == "--change":
            found.append(Alter(whole(text, option=option), {}))
        elif option == "--drop":
            found.append(Drop(whole(text, option=option)))
        elif option == "--move":
            number, sign, to = text.partition("=")
            if not sign:
                raise BadValue(f"--move: {cut(text)} names no place.", hint="Write --move 3=1.")
            found.append(Move(whole(number, option=option), whole(to, option=option)))
        else:
            last = found[-1] if found else None
            if not isinstance(last, Put | Alter):
                raise BadValue(f"{option} tells of no item.", hint="Write it after --item or --change.")
            found[-1] = _told(titles, last, option, text)
    return found


def _told(titles: "Titles", item: "Put | Alter", option: str, text: str) -> "Put | Alter":
    """Return the new or changed *item* with what one more option tells of it."""
    from dataclasses import replace

    from lugbook.desk.running import Put, item_values

    if option == "--at":
        if not isinstance(item, Put):
            raise BadValue("--at is the place of a new item.", hint="Write --move N=M for one that is there.")
        return replace(item, at=whole(text, option=option))
    if option == "--as":
        named: dict[str, Any] = item_values(titles, text)
    elif option == "--rest":
        before = [] if text == NONE else list(item.values.get("rests") or ())
        named = {"rests": before if text == NONE else [*before, rest_of(text, option=option)]}
    elif option == "--said":
        named = {"note": text}
    else:
        named = {"after_s" if option == "--after" else "seconds": seconds_of(text, option=option)}
    return replace(item, values={**item.values, **named})


def _list(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes, repertoire_texts
    from lugbook.desk.concerts import concerts

    tell(concerts(desk), arguments, out, shape=repertoire_shapes.concerts, text=repertoire_texts.concerts)
    return ExitCode.FINE


def _show_options(parser: Parser) -> None:
    _which(parser)
    add_json(parser)


def _show(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes, repertoire_texts
    from lugbook.desk.programmes import programme

    found = programme(desk, arguments.concert)
    shape, text = repertoire_shapes.programme, repertoire_texts.programme
    tell(found, arguments, out, shape=shape, text=text, remarks=found.remarks)
    return ExitCode.FINE


def _add_options(parser: Parser) -> None:
    parser.add_argument("name", metavar="NAME", help="what you call it")
    _fields(parser)
    _items(parser, edits=False)


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.concerts import add_concert

    kept = add_concert(desk, _values(arguments), _changes(desk, arguments.steps or ()))
    out.data(kept.id)
    out.words(f"Kept as {kept.id}.", *kept.remarks)
    return ExitCode.FINE


def _edit_options(parser: Parser) -> None:
    _which(parser)
    parser.add_argument("--name", metavar="NAME", help="what you call it; its slug stays")
    _fields(parser)
    _items(parser, edits=True)


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.concerts import edit_concert

    values, changes = _values(arguments), _changes(desk, arguments.steps or ())
    if not values and not changes:
        raise BadValue("Nothing to change was named.", hint="Give an option; --help lists them.")
    kept = edit_concert(desk, arguments.concert, values, changes)
    out.data(kept.id)
    out.words("Changed.", *kept.remarks)
    return ExitCode.FINE


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.concerts import remove_concert

    remove_concert(desk, *typed)
    return ()


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.concerts import restore_concert

    return restore_concert(desk, arguments.concert).id


DEEDS = {
    "concert list": Deed(add_json, _list),
    "concert show": Deed(_show_options, _show),
    "concert add": Deed(_add_options, _add),
    "concert edit": Deed(_edit_options, _edit),
    "concert remove": removing("concert", _which, ("concert",), _remove),
    "concert restore": restoring(_which, _restore, back="Back in the library."),
}
"""The commands of this family."""
