"""Records of presets: show, add, edit, remove, restore."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import removing, restoring, showing
from lugbook.cli.values import (
    a4_of,
    add_readings,
    by_of,
    given,
    number_or_none,
    one_of,
    pairs,
    sides,
    something,
    struck_of,
    turns,
    yes_or_no,
)
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.records import Record

_HEARD = ("at the drum", "in the hall", "")


def _which(parser: Parser) -> None:
    parser.add_argument("preset", metavar="DRUM/PRESET", help="the preset, as `lugbook presets` lists it")


def _fields(parser: Parser) -> None:
    add = parser.add_argument
    add(
        "--for",
        metavar="CONTEXT",
        dest="contexts",
        action="append",
        help="the music it is for; may be repeated",
    )
    add_readings(parser)
    add("--tolerance", metavar="CENTS", help="how far off each head may be, or none for the library's")
    add(
        "--interval-decides",
        metavar="yes|no",
        help="whether the interval between the heads must be within too",
    )
    add(
        "--turn",
        metavar="SIDE=TURNS",
        action="append",
        help="where a head stands, in turns from its reference",
    )
    add("--snares", metavar="TEXT", help="the snare setting in words")
    add(
        "--snare", metavar="NAME=VALUE", action="append", help="one adjustment of the snares; may be repeated"
    )
    add("--words", metavar="TEXT", help="how the drum speaks")
    add("--muffling", metavar="TEXT", help="muffling on the heads")
    add("--sticks", metavar="TEXT", help="sticks it is for")
    add("--playing-spot", metavar="TEXT", help="where the stick falls")
    add("--player", metavar="TEXT", help="who found it")
    add("--heard", metavar="at the drum|in the hall", help="where it was judged")
    add("--temperature", metavar="C", help="air temperature in degrees Celsius")
    add("--humidity", metavar="PCT", help="relative humidity in per cent")
    add("--note", metavar="TEXT", help="remarks")


def _values(arguments: Arguments, desk: "Desk", drum_id: str, *, a4_hz: float | None) -> dict[str, Any]:
    """Return what was typed.

    Args:
        arguments: the options.
        desk: the desk.
        drum_id: the preset's drum.
        a4_hz: concert pitch that typed notes are meant at where no option says so; the library's where None.
    """
    values = given(
        name=arguments.name,
        words=arguments.words,
        muffling=arguments.muffling,
        sticks=arguments.sticks,
        playing_spot=arguments.playing_spot,
        player=arguments.player,
        heard=one_of(arguments.heard, _HEARD, option="--heard"),
        note=arguments.note,
        a4=a4_of(arguments),
    )
    if arguments.contexts is not None:
        values["contexts"] = tuple(context for context in arguments.contexts if context != "none")
    for key, option in (
        ("tolerance_cents", "tolerance"),
        ("temperature_c", "temperature"),
        ("humidity_pct", "humidity"),
    ):
        if (text := getattr(arguments, option)) is not None:
            values[key] = number_or_none(text, option=f"--{option}")
    if arguments.interval_decides is not None:
        values["interval_decides"] = yes_or_no(arguments.interval_decides, option="--interval-decides")
    if snares := _snares(arguments):
        values["snares"] = snares
    if arguments.turn:
        values["turns"] = _turns(arguments, desk, drum_id)
    values |= _targets(arguments, desk, drum_id, a4_hz=values.get("a4") or a4_hz)
    return values


def _snares(arguments: Arguments) -> dict[str, Any]:
    setting = given(words=arguments.snares)
    adjusted = pairs(arguments.snare, option="--snare", form="NAME=VALUE, such as knob=3.5")
    if adjusted:
        setting["values"] = {
            name: number_or_none(value, option=f"--snare {name}") for name, value in adjusted
        }
    return setting


def _turns(arguments: Arguments, desk: "Desk", drum_id: str) -> dict[str, Any]:
    from lugbook.desk.keeping import position_values

    drum = desk.library.drum(drum_id).record
    return {
        side: position_values(drum, side, turns(text))
        for side, text in sides(arguments.turn, option="--turn", form="top=-1/4")
    }


def _targets(arguments: Arguments, desk: "Desk", drum_id: str, *, a4_hz: float | None) -> dict[str, Any]:
    from lugbook.desk.expecting import take_of
    from lugbook.desk.keeping import reading_values
    from lugbook.records import SIDES

    by, struck = by_of(arguments), struck_of(arguments)
    typed = given(top=arguments.top, bottom=arguments.bottom)
    if not typed and (by or struck):
        raise BadValue(
            "--by and --struck say how a reading was had.", hint="Give --top R or --bottom R with them."
        )
    values: dict[str, Any] = {}
    for side in SIDES:
        if (text := typed.get(side)) == "none":
            values[side] = None
        elif text is not None:
            a4 = a4_hz or desk.a4_hz()
            taken = take_of(desk, drum_id, side, text, a4_hz=a4, by=by, struck=struck or "rim")
            values[side] = reading_values(taken.reading)
    return values


def _add_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument("name", metavar="NAME", nargs="?", help="what you call it")
    parser.add_argument(
        "--start", metavar="SLUG", help="begin from this starting point of `lugbook presets --start`"
    )
    parser.add_argument("--like", metavar="DRUM/PRESET", help="carry the pitches of this preset over")
    _fields(parser)


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.keeping import add_preset

    begun = _begun(arguments, desk)
    typed = _values(arguments, desk, arguments.drum, a4_hz=begun.get("a4"))
    stored = add_preset(desk, arguments.drum, begun | typed)
    out.data(stored.id)
    out.words(f"Kept as {stored.id}.")
    if arguments.like is not None:
        from lugbook.desk.carrying import carrying_remarks

        out.words(*carrying_remarks(desk, arguments.like, arguments.drum))
    return ExitCode.FINE


def _begun(arguments: Arguments, desk: "Desk") -> dict[str, Any]:
    """Return what a new preset begins with: a starting point, another drum's preset, or nothing."""
    if arguments.start is not None and arguments.like is not None:
        raise BadValue("A preset begins with --start or with --like, not with both.", hint="Give one.")
    if arguments.start is not None:
        from lugbook.desk.keeping import start_values

        return start_values(arguments.start)
    if arguments.like is not None:
        from lugbook.desk.carrying import like_values

        return like_values(desk, arguments.like)
    if arguments.name is None:
        raise BadValue(
            "The preset needs a name.",
            hint="Write `lugbook preset add DRUM NAME`, --start SLUG or --like DRUM/PRESET.",
        )
    return {}


def _edit_options(parser: Parser) -> None:
    _which(parser)
    parser.add_argument("--name", metavar="NAME", help="what you call it; its slug stays")
    _fields(parser)


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.keeping import edit_preset

    old = desk.library.preset(arguments.preset)
    drum_id, _, _ = old.id.partition("/")
    typed = something(_values(arguments, desk, drum_id, a4_hz=old.record.a4))
    out.data(edit_preset(desk, arguments.preset, typed).id)
    out.words("Changed.")
    return ExitCode.FINE


def _get(arguments: Arguments, desk: "Desk") -> "tuple[Record, dict[str, str]]":
    stored = desk.library.preset(arguments.preset)
    return stored.record, {"preset": stored.id}


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.keeping import remove_preset

    remove_preset(desk, *typed)
    return ()


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.keeping import restore_preset

    return restore_preset(desk, arguments.preset).id


DEEDS = {
    "preset show": showing(_which, _get),
    "preset add": Deed(_add_options, _add),
    "preset edit": Deed(_edit_options, _edit),
    "preset remove": removing("preset", _which, ("preset",), _remove),
    "preset restore": restoring(_which, _restore, back="Back on the shelf."),
}
"""The commands of this family."""
