"""At the drum: naming a reading, listening to a recording, bringing a drum back.

Texts and shapes are imported on use, like the deeds: a command needs one of them, and start-up time counts.
"""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.rods import add_rods, rods_of
from lugbook.cli.values import a4_of, add_json, add_readings, add_struck, readings_of, struck_of
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from pathlib import Path

    from lugbook.cli.output import Output
    from lugbook.desk import Desk


def _note_options(parser: Parser) -> None:
    parser.add_argument("reading", metavar="R", help="a note, a frequency or a recording's path")
    parser.add_argument("--a4", metavar="HZ", help="concert pitch (the library's, or 440)")
    add_struck(parser)
    add_json(parser)


def _note(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.noting import note

    a4_hz = a4_of(arguments)
    a4_hz = _a4_hz(desk, out) if a4_hz is None else a4_hz
    noted = note(desk, arguments.reading, a4_hz=a4_hz, struck=struck_of(arguments) or "rim")
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.noted(noted))
    else:
        from lugbook.cli import texts

        texts.noted(noted, out)
    return ExitCode.FINE


def _listen_options(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="the recording of one tap or several")
    parser.add_argument("--near", metavar="R", help="the pitch to expect, a note with octave or a frequency")
    parser.add_argument("--picture", metavar="FILE.svg", help="draw what was heard into this file")
    add_struck(parser)
    add_rods(parser)
    add_json(parser)


def _listen(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.listening import listen_to

    struck = struck_of(arguments) or "rim"
    rods = rods_of(arguments)
    picture = _picture_path(arguments)
    a4_hz = _a4_hz(desk, out)
    heard = listen_to(desk, arguments.file, near=arguments.near, struck=struck, a4_hz=a4_hz, rods=rods)
    if picture is not None:
        from lugbook.desk.picturing import keep_picture

        keep_picture(heard, picture)
    if arguments.json:
        from lugbook.cli import shapes

        out.json({**shapes.heard(heard), "picture": None if picture is None else str(picture)})
    else:
        from lugbook.cli import texts

        texts.heard(heard, out)
        if heard.evening is not None:
            from lugbook.cli import rod_rows

            rod_rows.told(heard.evening, out)
    refused = heard.hearing.refused or (heard.evening and heard.evening.round.refused)
    if refused is not None:
        out.words(f"{heard.file}: {refused}")
    return ExitCode.FINE if refused is None else ExitCode.SOUND


def _picture_path(arguments: Arguments) -> "Path | None":
    """Return where a picture is to be kept, looked at before the listening, which may take long."""
    if arguments.picture is None:
        return None
    from lugbook.desk.picturing import picture_path

    return picture_path(arguments.picture)


def _retune_options(parser: Parser) -> None:
    parser.add_argument("preset", metavar="DRUM/PRESET", help="the preset, as `lugbook presets` lists it")
    add_readings(parser)
    add_json(parser)
    parser.add_argument("--on", metavar="DRUM", help="bring another drum to the same pitches")


def _retune(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.retuning import retune

    found = retune(
        desk,
        arguments.preset,
        **readings_of(arguments),
        on=arguments.on,
    )
    if arguments.json:
        from lugbook.cli import shapes

        out.json(shapes.retuned(found))
    else:
        from lugbook.cli import texts

        texts.retuned(found, out)
    return ExitCode.FINE if found.possible and found.worked_out else ExitCode.NO


def _a4_hz(desk: "Desk", out: "Output") -> float:
    """Return the library's concert pitch, or the standard one: naming a pitch needs no library."""
    from lugbook.pitch import A4_STANDARD_HZ

    if not desk.library.exists:
        return A4_STANDARD_HZ
    out.words(*(problem.sentence() for problem in desk.shared_problems()))
    return desk.shared().a4


def _no_library(_: Arguments) -> bool:
    return False


DEEDS = {
    "note": Deed(_note_options, _note, needs_library=_no_library),
    "listen": Deed(_listen_options, _listen, needs_library=lambda arguments: arguments.drum is not None),
    "retune": Deed(_retune_options, _retune),
}
"""The commands of this family."""
