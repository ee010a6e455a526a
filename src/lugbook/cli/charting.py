"""The logbook as a chart, in the terminal, for a spreadsheet and on paper; and the map of a search."""

from shutil import get_terminal_size
from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.searching import add_search
from lugbook.cli.values import add_json
from lugbook.errors import BadValue, ExitCode, NotPossible

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.chart import ChartRow
    from lugbook.desk.searches import SearchNow

_LEAST_WIDTH = 42
"""The map is drawn in this many columns at the least."""


def _log_options(parser: Parser) -> None:
    add_search(parser)
    parser.add_argument("--all", action="store_true", help="the whole logbook of the drum")
    parser.add_argument("--csv", action="store_true", help="every field, for a spreadsheet")
    parser.add_argument("--blank", action="store_true", help="a chart without data, to print and pencil in")
    add_json(parser)
    parser.epilog = (
        "Without --search and --all the present search is shown, and the whole logbook where there is none. "
        "With --csv a text that begins with = + - @, a tab or an apostrophe has an apostrophe before it, "
        "so that no spreadsheet takes it for a formula; --csv and --json show hidden pitches too."
    )


def _log(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    forms = [f"--{one}" for one in ("csv", "blank", "json") if getattr(arguments, one)]
    if len(forms) > 1:
        raise BadValue(f"{' and '.join(forms)} are two answers.", hint="Give one of them.")
    if arguments.all and arguments.search is not None:
        raise BadValue("--all is the whole logbook, and --search a part of it.", hint="Give one of the two.")
    if arguments.blank:
        from lugbook.desk.paper import paper_chart

        out.data(*paper_chart(desk, arguments.drum))
        return ExitCode.FINE
    now, rows = _rows(arguments, desk)
    out.words(*(problem.sentence() for problem in desk.library.log(arguments.drum).problems))
    if arguments.csv:
        from lugbook.desk.spreadsheet import spreadsheet

        out.csv(spreadsheet(rows))
    elif arguments.json:
        _json(arguments.drum, now, rows, desk, out)
    else:
        _say(now, rows, desk, out)
    return ExitCode.FINE


def _rows(arguments: Arguments, desk: "Desk") -> "tuple[SearchNow | None, tuple[ChartRow, ...]]":
    """Return the search that was asked for with its chart; no search and the whole logbook elsewhere."""
    from lugbook.desk.chart import chart, whole_chart
    from lugbook.desk.searches import present_search

    now = None if arguments.all else present_search(desk, arguments.drum, arguments.search)
    if now is not None:
        return now, chart(desk, now)
    entries = desk.library.log(arguments.drum).entries
    return None, whole_chart(desk, arguments.drum, entries)


def _json(
    drum_id: str, now: "SearchNow | None", rows: "tuple[ChartRow, ...]", desk: "Desk", out: "Output"
) -> None:
    from lugbook.cli import search_shapes
    from lugbook.desk.proposing import next_of

    out.json(
        {
            "drum": drum_id,
            "search": None if now is None else now.name,
            "entries": [search_shapes.charted(row) for row in rows],
            "next": None if now is None else search_shapes.proposed(next_of(desk, now)),
        }
    )


def _say(now: "SearchNow | None", rows: "tuple[ChartRow, ...]", desk: "Desk", out: "Output") -> None:
    from lugbook.cli import search_texts
    from lugbook.desk.proposing import next_of

    if not rows:
        out.words("The logbook of this drum is empty.")
        return
    search_texts.chart_table(rows, out)
    if now is None:
        return
    found = next_of(desk, now)
    out.data("", search_texts.kept_line(now), search_texts.next_line(found))
    if found.remarks:
        out.data("", *found.remarks)


def _map_options(parser: Parser) -> None:
    add_search(parser)
    parser.add_argument(
        "--svg",
        metavar="FILE.svg",
        nargs="?",
        const="",
        help="draw it, into this file, or without one to stdout; written last, or FILE takes the drum",
    )
    add_json(parser)


def _map(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.cards.mapped import WHAT, map_lines
    from lugbook.desk.chart import search_map
    from lugbook.desk.proposing import next_trial

    to_stdout = arguments.svg == ""
    if to_stdout and arguments.json:
        raise BadValue("--svg and --json both go to stdout.", hint="Name a file: --svg map.svg")
    if arguments.svg:
        from lugbook.desk.picturing import picture_path

        path = picture_path(arguments.svg)
    else:
        path = None
    found = next_trial(desk, arguments.drum, search=arguments.search)
    map_ = search_map(found)
    if map_ is None:
        raise NotPossible("There is no map: no state of this search counts.", hint=found.why)
    if to_stdout or path is not None:
        from lugbook.desk.mapping import map_svg
        from lugbook.desk.picturing import keep_svg

        drawn = map_svg(desk, found, map_)
        if path is None:
            out.data(*drawn.splitlines())
            return ExitCode.FINE
        keep_svg(drawn, path)
    if arguments.json:
        from lugbook.cli import search_shapes

        shape = {"drum": arguments.drum, "search": found.now.name, **search_shapes.mapped(map_)}
        out.json({**shape, "picture": None if path is None else str(path)})
        return ExitCode.FINE
    out.data(*map_lines(map_, width=max(get_terminal_size().columns, _LEAST_WIDTH)))
    from lugbook.cli import search_texts

    out.data("", WHAT, search_texts.next_line(found))
    return ExitCode.FINE


DEEDS = {"log": Deed(_log_options, _log), "map": Deed(_map_options, _map)}
"""The commands of this family."""
