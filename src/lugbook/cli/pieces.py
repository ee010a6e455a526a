"""Records of pieces: list, show, add, edit, remove, restore; and which presets to begin one with."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import removing, restoring, tell
from lugbook.cli.spans import TIME_HELP, day_of, passage_of, rest_of, seconds_of
from lugbook.cli.values import NONE, add_json, given, something, whole
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.records import Piece


def _which(parser: Parser) -> None:
    parser.add_argument("piece", metavar="PIECE", help="the piece, as `lugbook piece list` lists it")


def _list(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes, repertoire_texts
    from lugbook.desk.pieces import pieces

    tell(pieces(desk), arguments, out, shape=repertoire_shapes.pieces, text=repertoire_texts.pieces)
    return ExitCode.FINE


def _show_options(parser: Parser) -> None:
    _which(parser)
    add_json(parser)


def _show(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_texts
    from lugbook.desk.pieces import piece_remarks

    stored = desk.library.piece(arguments.piece)
    remarks = piece_remarks(desk, stored.record)
    if arguments.json:
        shape = stored.record.model_dump(mode="json")
        out.json({**shape, "piece": stored.id, "remarks": list(remarks)})
    else:
        repertoire_texts.piece(stored.id, stored.record, out)
    out.words(*remarks)
    return ExitCode.FINE


def _fields(parser: Parser) -> None:
    add = parser.add_argument
    add("--composer", metavar="NAME", help="who wrote it")
    add("--movement", metavar="TEXT", help="which movement or number of it")
    add(
        "--for",
        metavar="CONTEXT",
        dest="contexts",
        action="append",
        help="the music it is; may be repeated, takes the place of what was there",
    )
    add("--dynamics", metavar="TEXT", help="from how soft to how loud, such as 'pp to ff'")
    add(
        "--passage",
        metavar="BARS=WORDS",
        action="append",
        help="a place and what it asks, such as '12-20=soft roll'; repeatable; '12-20=none' takes it out",
    )
    add("--served", metavar="DRUM/PRESET", action="append", help="a preset that served; none takes all away")
    add("--played", metavar="DATE", help="add a performance on that day; none takes all away")
    add("--hall", metavar="TEXT", help="where that performance was")
    add("--with", metavar="DRUM/PRESET", dest="played_with", help="what it was played with")
    add("--went", metavar="TEXT", help="how it went")
    add("--lasts", metavar="TIME", help=f"how long the piece is: {TIME_HELP}")
    add("--bars", metavar="N", help="how many bars it has")
    add(
        "--rest",
        metavar="BARS=TIME",
        action="append",
        help="where you rest, and how long; '20-60=none' takes it out",
    )
    add("--note", metavar="TEXT", help="remarks")


def _values(arguments: Arguments, desk: "Desk", old: "Piece | None") -> dict[str, Any]:
    """Return what was typed, put into what the piece *old* has."""
    from lugbook.desk.pieces import with_passages, with_presets

    values = given(
        title=arguments.title,
        composer=arguments.composer,
        movement=arguments.movement,
        dynamics=arguments.dynamics,
        note=arguments.note,
    )
    if arguments.contexts is not None:
        values["contexts"] = [one for one in arguments.contexts if one != NONE]
    if arguments.passage is not None:
        typed = [passage_of(text, option="--passage") for text in arguments.passage if text != NONE]
        kept = () if old is None or NONE in arguments.passage else old.passages
        values["passages"] = with_passages(kept, typed)
    if arguments.served is not None:
        served = () if old is None or NONE in arguments.served else old.presets
        values["presets"] = with_presets(served, [one for one in arguments.served if one != NONE])
    if (performances := _performances(arguments, desk, old)) is not None:
        values["performances"] = performances
    if part := _part(arguments, old):
        values["part"] = part
    return values


def _performances(
    arguments: Arguments, desk: "Desk", old: "Piece | None"
) -> "Sequence[Mapping[str, Any]] | None":
    from lugbook.desk.pieces import with_performance

    told = given(hall=arguments.hall, preset=arguments.played_with, note=arguments.went)
    if arguments.played is None:
        if told:
            raise BadValue(
                "--hall, --with and --went tell of a performance.", hint="Give --played 2026-11-08 with them."
            )
        return None
    if arguments.played == NONE:
        return ()
    played = {"on": day_of(arguments.played, option="--played"), **told}
    return with_performance(desk, () if old is None else old.performances, played)


def _part(arguments: Arguments, old: "Piece | None") -> dict[str, Any]:
    from lugbook.desk.pieces import with_passages

    values: dict[str, Any] = {}
    if arguments.lasts is not None:
        values["seconds"] = seconds_of(arguments.lasts, option="--lasts")
    if arguments.bars is not None:
        values["bars"] = None if arguments.bars == NONE else whole(arguments.bars, option="--bars")
    if arguments.rest is not None:
        typed = [rest_of(text, option="--rest") for text in arguments.rest if text != NONE]
        part = old.part if old is not None and NONE not in arguments.rest else None
        values["rests"] = with_passages(part.rests if part is not None else (), typed)
    return values


def _add_options(parser: Parser) -> None:
    parser.add_argument("title", metavar="TITLE", help="what it is called")
    _fields(parser)


def _add(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.pieces import add_piece

    kept = add_piece(desk, _values(arguments, desk, None))
    out.data(kept.id)
    out.words(f"Kept as {kept.id}; `lugbook piece suggest {kept.id}` says what to begin with.", *kept.remarks)
    return ExitCode.FINE


def _edit_options(parser: Parser) -> None:
    _which(parser)
    parser.add_argument("--title", metavar="TITLE", help="what it is called; its slug stays")
    _fields(parser)


def _edit(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.pieces import edit_piece

    old = desk.library.piece(arguments.piece)
    kept = edit_piece(desk, old.id, something(_values(arguments, desk, old.record)), since=old)
    out.data(kept.id)
    out.words("Changed.", *kept.remarks)
    return ExitCode.FINE


def _remove(desk: "Desk", typed: Sequence[str]) -> Sequence[str]:
    from lugbook.desk.pieces import remove_piece

    return remove_piece(desk, *typed)


def _restore(arguments: Arguments, desk: "Desk") -> str:
    from lugbook.desk.pieces import restore_piece

    return restore_piece(desk, arguments.piece).id


def _suggest_options(parser: Parser) -> None:
    _which(parser)
    parser.add_argument("--most", metavar="N", help="so many at the most (5)")
    add_json(parser)
    parser.epilog = (
        "What served in the piece counts most, then what served in pieces of the same music or composer, "
        "then what is for its music. Exit code 1: there is nothing to suggest."
    )


def _suggest(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes, repertoire_texts
    from lugbook.desk.suggesting import suggest

    most = 5 if arguments.most is None else whole(arguments.most, option="--most")
    if most < 1:
        raise BadValue(f"--most: {most} is below the limit of 1.", hint="Give a number such as 5.")
    found = suggest(desk, arguments.piece, most=most)
    shape, text = repertoire_shapes.suggestions, repertoire_texts.suggestions
    tell(found, arguments, out, shape=shape, text=text, remarks=found.remarks)
    if found.rows:
        return ExitCode.FINE
    out.words(
        f"Nothing served in {found.piece} or in pieces like it, and nothing is for its music. "
        f"Say what it is: `lugbook piece edit {found.piece} --for CONTEXT`."
    )
    return ExitCode.NO


DEEDS = {
    "piece list": Deed(add_json, _list),
    "piece show": Deed(_show_options, _show),
    "piece add": Deed(_add_options, _add),
    "piece edit": Deed(_edit_options, _edit),
    "piece remove": removing("piece", _which, ("piece",), _remove),
    "piece restore": restoring(_which, _restore, back="Back in the library."),
    "piece suggest": Deed(_suggest_options, _suggest),
}
"""The commands of this family."""
