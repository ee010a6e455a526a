"""Printed cards: of a preset, a drum or a concert, and a chart to pencil in; as a page or as plain text."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, one_of
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cards.card_pages import PaperName
    from lugbook.cards.facts import Card
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.library import Problem

    _Made = tuple[Card, tuple[Problem, ...]]

_PAPERS: "tuple[PaperName, ...]" = ("a6", "a5", "a4", "letter")


def _options(parser: Parser) -> None:
    add = parser.add_argument
    add(
        "--paper",
        metavar="|".join(_PAPERS),
        help="what it is printed on, upright (a6; a4 for a chart or a concert)",
    )
    add("--text", action="store_true", help="in plain text of 42 columns, rather than as a page")
    add("--qr", action="store_true", help="with a QR code that holds its essentials")
    add("--out", metavar="FILE", help="into this file, .html or with --text .txt; else to stdout")
    add("--replace", action="store_true", help="even where that file is there already")
    add_json(parser)
    parser.epilog = "A page is one HTML file: open it in a browser and print it at its own size (100 %)."


def _preset_options(parser: Parser) -> None:
    parser.add_argument("preset", metavar="DRUM/PRESET", help="the preset, as `lugbook presets` lists it")
    _options(parser)


def _drum_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    _options(parser)


def _concert_options(parser: Parser) -> None:
    parser.add_argument("concert", metavar="CONCERT", help="the concert, as `lugbook concert list` lists it")
    _options(parser)


def _preset(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.carding import preset_card, unread

    def make() -> "_Made":
        card = preset_card(desk, arguments.preset)
        return card, unread(desk, card.id.partition("/")[0])

    return _give(arguments, make, out, kind="preset", paper="a6")


def _drum(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.carding import drum_card, unread

    def make() -> "_Made":
        return drum_card(desk, arguments.drum), unread(desk, arguments.drum)

    return _give(arguments, make, out, kind="drum", paper="a6")


def _blank(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.carding import blank_card

    return _give(arguments, lambda: (blank_card(desk, arguments.drum), ()), out, kind="blank", paper="a4")


def _concert(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.concert_carding import concert_card

    return _give(arguments, lambda: concert_card(desk, arguments.concert), out, kind="concert", paper="a4")


def _give(
    arguments: Arguments, make: "Callable[[], _Made]", out: "Output", *, kind: str, paper: "PaperName"
) -> ExitCode:
    """Make a card and give it: as JSON, into a file or to stdout; what cannot be read goes to stderr."""
    _check(arguments)
    path = None
    if arguments.out is not None:
        from lugbook.desk.picturing import card_path

        suffix = ".txt" if arguments.text else ".html"
        path = card_path(arguments.out, suffix=suffix, replace=arguments.replace)
    sheet = one_of(arguments.paper, _PAPERS, option="--paper") or paper
    card, unread = make()
    lines = [] if arguments.json and path is None else _lines(arguments, card, sheet)
    if path is not None:
        from lugbook.desk.picturing import keep_card

        keep_card("\n".join((*lines, "")), path)
    if arguments.json:
        from lugbook.cli.card_shapes import card_shape
        from lugbook.cli.shapes import problems

        file = None if path is None else str(path)
        out.json({"card": kind, **card_shape(card), "problems": problems(unread), "file": file})
    elif path is None:
        out.data(*lines)
    else:
        out.words(f"Written to {path}.")
    out.words(*(problem.sentence() for problem in unread))
    if lines and not arguments.text:
        _tell_left_out(card, sheet, out, qr=arguments.qr)
    return ExitCode.FINE


def _tell_left_out(card: "Card", paper: "PaperName", out: "Output", *, qr: bool) -> None:
    """Say what of a card does not stand on its page."""
    from lugbook.cards.card_pages import left_out

    left = left_out(card, paper=paper, qr=qr)
    if left:
        out.words(f"Left out on {paper}, for there is no room: {', '.join(left)}; --text has everything.")


def _check(arguments: Arguments) -> None:
    for option in ("paper", "qr"):
        if arguments.text and getattr(arguments, option):
            raise BadValue(
                f"--{option} is for a page, and --text is none.", hint="Leave one of the two away."
            )
    if arguments.replace and arguments.out is None:
        raise BadValue("--replace names no file.", hint="Write --out FILE with it.")


def _lines(arguments: Arguments, card: "Card", paper: "PaperName") -> list[str]:
    if arguments.text:
        from lugbook.cards.card_text import text_card

        return text_card(card)
    from lugbook.cards.card_pages import card_page

    return card_page(card, paper=paper, qr=arguments.qr).splitlines()


DEEDS = {
    "card preset": Deed(_preset_options, _preset),
    "card drum": Deed(_drum_options, _drum),
    "card blank": Deed(_drum_options, _blank),
    "card concert": Deed(_concert_options, _concert),
}
"""The commands of this family."""
