"""The words for music: listing them, and renaming one throughout the library."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.records import tell
from lugbook.cli.values import add_json
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk


def _list_options(parser: Parser) -> None:
    parser.add_argument(
        "--kind", metavar="KIND", help="setting, texture, dynamics, articulation, hall, or own for your own"
    )
    parser.add_argument("--used", action="store_true", help="only words that something is for")
    add_json(parser)
    parser.epilog = "The words of the five kinds come with the program: common practice, no source."


def _list(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes, repertoire_texts
    from lugbook.desk.contexts import contexts

    found = contexts(desk, kind=arguments.kind, used=arguments.used)
    tell(found, arguments, out, shape=repertoire_shapes.contexts, text=repertoire_texts.contexts)
    return ExitCode.FINE


def _rename_options(parser: Parser) -> None:
    parser.add_argument("old", metavar="OLD", help="the word as it stands")
    parser.add_argument("new", metavar="NEW", help="what to call it")
    parser.add_argument(
        "--join",
        action="store_true",
        help="NEW may stand already; both become one, which nothing parts again",
    )
    add_json(parser)
    parser.epilog = (
        "Presets, pieces, concerts and the section's list are rewritten. "
        "The logbooks are not: the old word in them is found by the new one."
    )


def _rename(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cli import repertoire_shapes
    from lugbook.desk.contexts import rename
    from lugbook.desk.wording import counted

    done = rename(desk, arguments.old, arguments.new, join=arguments.join)
    if arguments.json:
        out.json(repertoire_shapes.renamed(done))
    else:
        out.data(done.new)
    parts = [(done.presets, "preset"), (done.pieces, "piece"), (done.concerts, "concert")]
    told = ", ".join(counted(number, noun) for number, noun in parts)
    out.words(f"Renamed in {told}.")
    if done.entries:
        entries = "1 entry" if done.entries == 1 else f"{done.entries} entries"
        out.words(f"{entries} of the logbooks keep the old word, which is still found by either.")
    out.words(*(f"Not renamed: {problem.sentence()}" for problem in done.problems))
    return ExitCode.FINE


DEEDS = {
    "context list": Deed(_list_options, _list),
    "context rename": Deed(_rename_options, _rename),
}
"""The commands of this family."""
