"""What is on the shelf, in rows: presets, starting points, drums, heads; and what every file says.

Texts and shapes are imported on use, like the deeds: a command needs one of them, and start-up time counts.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, add_music
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.library import Problem


def _presets_options(parser: Parser) -> None:
    parser.add_argument("--drum", metavar="DRUM", help="of one drum only")
    add_music(parser)
    parser.add_argument("--start", action="store_true", help="the starting points that come with the program")
    add_json(parser)
    parser.epilog = (
        "With --for the best fit comes first, and why. "
        "Exit code 1: nothing fits all of it, and the nearest is shown."
    )


def _presets(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk import shelf

    if not arguments.start:
        found = shelf.presets(desk, drum=arguments.drum, contexts=arguments.contexts)
    elif arguments.drum is None:
        found = shelf.start_rows(desk, contexts=arguments.contexts)
    else:
        raise BadValue("Starting points belong to no drum.", hint="Give either --start or --drum.")
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.presets(found))
    else:
        from lugbook.cli import texts

        texts.presets(found, out)
    _with_problems(found.problems, out)
    if found.rows or not arguments.contexts:
        return ExitCode.FINE
    # The nearest is shown, and is no answer to what was asked.
    kinds = shelf.start_contexts() if arguments.start else shelf.contexts_in_use(desk)
    strange = shelf.unheard_of(desk, arguments.contexts, kinds=kinds)
    if strange:
        there_is = f"There is {', '.join(kinds)}." if kinds else "No preset names its music yet."
        out.words(f"Nothing is for {' or '.join(strange)}. {there_is}")
    return ExitCode.NO


def _drums(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk import shelf

    found = shelf.drums(desk)
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.drums(found))
    else:
        from lugbook.cli import texts

        texts.drums(found, out)
    return _with_problems(found.problems, out)


def _heads_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    add_json(parser)


def _heads(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk import shelf

    rows = shelf.heads(desk, arguments.drum)
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.heads(arguments.drum, rows))
    else:
        from lugbook.cli import texts

        texts.heads(rows, out)
    return ExitCode.FINE


def _verify(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.verifying import verify

    found = verify(desk)
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.verified(found))
    else:
        from lugbook.cli import texts

        out.data(*texts.problems(found.problems))
        number = len(found.problems)
        out.data(f"{found.files} files read, {number or 'no'} problem{'' if number == 1 else 's'}.")
    return ExitCode.LIBRARY if found.problems else ExitCode.FINE


def _with_problems(problems: "Sequence[Problem]", out: "Output") -> ExitCode:
    """Tell what could not be read; one bad file among good ones is no failure of a list."""
    if problems:
        from lugbook.cli import texts

        out.words(*texts.problems(problems))
    return ExitCode.FINE


_PRESETS = Deed(_presets_options, _presets, needs_library=lambda arguments: not arguments.start)
_DRUMS = Deed(add_json, _drums)
_HEADS = Deed(_heads_options, _heads)

DEEDS = {
    "presets": _PRESETS,
    "preset list": _PRESETS,
    "drums": _DRUMS,
    "drum list": _DRUMS,
    "heads": _HEADS,
    "head list": _HEADS,
    "verify": Deed(add_json, _verify),
}
"""The commands of this family."""
