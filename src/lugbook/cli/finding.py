"""Finding entries and presets again; and the player's own test passages."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, add_music, yes_or_no
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.finding import Found


def _find_options(parser: Parser) -> None:
    parser.add_argument("words", metavar="WORDS", nargs="*", help="words, notes or frequencies, all of them")
    add_music(parser)
    parser.add_argument("--drum", metavar="DRUM", help="of one drum only")
    add_json(parser)
    parser.epilog = (
        "Found are presets and entries of every logbook, the newest first, and pieces. "
        "A note is found where it is the "
        "nearest one of a reading, a frequency within 25 cents. Exit code 1: nothing was found."
    )


def _find(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.finding import find

    found = find(desk, arguments.words, contexts=arguments.contexts, drum=arguments.drum)
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json(search_shapes.found(found))
    else:
        _say(found, out)
    out.words(*(problem.sentence() for problem in found.problems))
    if not found.nothing:
        return ExitCode.FINE
    there_is = (
        f"The nearest music there is: {', '.join(found.contexts)}."
        if found.contexts
        else "There is such music, and nothing of it has these words."
        if arguments.contexts
        else "No music is named."
    )
    out.words(f"Nothing was found. {there_is}")
    return ExitCode.NO


def _say(found: "Found", out: "Output") -> None:
    from lugbook.cli.search_texts import cut, found_rows

    if found.presets:
        out.table(
            [
                ("preset", "name", "top", "bottom", "for", "words"),
                *(
                    (
                        one.row.id,
                        one.row.name,
                        one.row.top,
                        one.row.bottom,
                        ", ".join(one.row.contexts),
                        cut(one.preset.words),
                    )
                    for one in found.presets
                ),
            ]
        )
    if found.presets and found.entries:
        out.data("")
    if found.entries:
        out.table(found_rows(found.entries))
    if found.pieces and (found.presets or found.entries):
        out.data("")
    if found.pieces:
        rows = ((one.slug, one.piece.called, ", ".join(one.piece.contexts)) for one in found.pieces)
        out.table([("piece", "name", "for"), *rows])


def _passages_options(parser: Parser) -> None:
    parser.add_argument("names", metavar="NAME", nargs="*", help="your passages, three to six")
    parser.add_argument("--none", action="store_true", help="have none")
    parser.add_argument(
        "--hide-pitches",
        metavar="yes|no",
        help="keep the pitches of a state hidden until its words and verdict are in",
    )
    add_json(parser)
    parser.epilog = (
        "They lie in your own settings, not in the library. Each is marked in an entry of a search with "
        '`lugbook try DRUM --passage "NAME=+"`.'
    )


def _passages(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.passages import passages, set_passages

    if arguments.none and arguments.names:
        raise BadValue("--none and names of passages are two things.", hint="Give one of them.")
    hide = arguments.hide_pitches
    names = () if arguments.none else arguments.names or None
    if names is None and hide is None:
        found = passages(desk)
    else:
        hidden = None if hide is None else yes_or_no(hide, option="--hide-pitches")
        found = set_passages(desk, names=names, hide_pitches=hidden)
    if arguments.json:
        shape = {"passages": list(found.names), "hide_pitches": found.hide_pitches}
        out.json({**shape, "remarks": list(found.remarks)})
        return ExitCode.FINE
    out.data(*found.names)
    if not found.names:
        out.words("No test passages. List three to six: `lugbook passages drags flams rolls`.")
    if found.hide_pitches:
        out.words("Pitches of a state stay hidden until its words and verdict are in.")
    out.words(*found.remarks)
    return ExitCode.FINE


DEEDS = {
    "find": Deed(_find_options, _find),
    "passages": Deed(_passages_options, _passages, needs_library=lambda _: False),
}
"""The commands of this family."""
