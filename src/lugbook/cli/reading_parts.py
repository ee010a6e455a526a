"""A part read into the record of a piece: shown in words, asked about, and kept after a yes."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.spans import TIME_HELP, seconds_of
from lugbook.cli.values import add_json, number
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.reading_parts import Proposal


def _options(parser: Parser) -> None:
    add = parser.add_argument
    # "part" is the option's, which says which part of a score is meant.
    add("file", metavar="PART", help="the part: a MusicXML (.musicxml, .xml, .mxl) or MIDI file")
    add("--piece", metavar="PIECE", help="add it to this piece; without it a new one is made")
    add("--part", metavar="NAME", help="which part of a score, by its name or number")
    add("--tempo", metavar="N", help="quarters a minute where the part gives no number (120)")
    add("--least", metavar="TIME", help=f"leave out shorter rests (20): {TIME_HELP}")
    add("--title", metavar="TEXT", help="what the piece is called, where the file does not say it well")
    add(
        "--for",
        metavar="CONTEXT",
        dest="contexts",
        action="append",
        default=[],
        help="the music it is; may be repeated, is added to what is there",
    )
    add("--yes", action="store_true", help="keep it without asking")
    add_json(parser)
    parser.epilog = (
        "What you wrote yourself stays, but for rests without bars: the part fills what is empty, and takes "
        "the place of what was read before. On a terminal you are asked before anything is kept; elsewhere, "
        "and with --json, nothing is kept without --yes. Exit code 1: nothing was kept, or there is no part "
        "for percussion."
    )


def _read(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.reading_parts import keep

    found = _proposal(arguments, desk, out)
    # None where nobody was asked.
    agreed: bool | None = arguments.yes or None
    if not arguments.json:
        from lugbook.cli.part_texts import reading as say

        say(found, out)
        if found.anything and not agreed:
            agreed = out.asked(_question(found))
    kept = keep(desk, found) if agreed and found.anything else None
    if arguments.json:
        from lugbook.cli.part_shapes import reading

        # All that is said of it is in the answer.
        out.json(reading(found, piece=found.slug if kept is None else kept.id, kept=kept is not None))
        out.words(*() if kept is None else kept.remarks)
    elif kept is not None:
        out.data(kept.id)
        out.words(f"Kept as {kept.id}.", *kept.remarks, *_offered(found, kept.id))
    if not found.anything:
        out.words("All of that is kept already.")
        return ExitCode.FINE
    if kept is None:
        out.words(_UNASKED if agreed is None else "Nothing was kept.")
        return ExitCode.NO
    return ExitCode.FINE


_UNASKED = "Nothing was kept: give --yes to keep it without being asked."


def _proposal(arguments: Arguments, desk: "Desk", out: "Output") -> "Proposal":
    """Read the part; what the player has to name is said with the option that names it."""
    from lugbook.cli.output import ProgressLine
    from lugbook.desk.reading_parts import LEAST_REST_S, propose
    from lugbook.scores import ManyParts, NoPercussion

    tempo = None if arguments.tempo is None else number(arguments.tempo, option="--tempo", finite=False)
    least = None if arguments.least is None else seconds_of(arguments.least, option="--least")
    try:
        return propose(
            desk.telling(ProgressLine(out, doing="Reading")),
            arguments.file,
            to=arguments.piece,
            part=arguments.part,
            tempo=tempo,
            least_rest_s=LEAST_REST_S if least is None else least,
            title=arguments.title,
            contexts=arguments.contexts,
        )
    except ManyParts as error:
        hint = f'Name the one to read, such as --part "{error.parts[0]}".'
        raise BadValue(error.sentence, hint=hint) from error
    except NoPercussion as error:
        raise NoPercussion(error.sentence, hint=f"{error.hint} (--part NAME)", parts=error.parts) from error


def _question(found: "Proposal") -> str:
    if found.slug is None:
        return f"Keep this as a new piece, {found.piece.called}?"
    return f"Put this into the piece {found.slug}?"


def _offered(found: "Proposal", slug: str) -> tuple[str, ...]:
    """Return the line that says what music it is, as the part suggests."""
    if not found.suggested:
        return ()
    # Imported on use: only a suggestion is quoted.
    from shlex import join

    words = [word for one in (*found.piece.contexts, *found.suggested) for word in ("--for", one)]
    return (f"To take what the part suggests: `{join(['lugbook', 'piece', 'edit', slug, *words])}`.",)


DEEDS = {"piece read": Deed(_options, _read)}
"""The command of this family."""
