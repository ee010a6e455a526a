"""What to try next, and the searches of a drum: listed, shown, gone on with, ended, kept as a preset."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, add_readings, given, readings_of
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk


def add_search(parser: Parser) -> None:
    """Add the arguments that name a search."""
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument("--search", metavar="S", help="the search by its name; else the present one")


def _next_options(parser: Parser) -> None:
    add_search(parser)
    parser.add_argument("--step", metavar="TURNS", help="go on by this finer step, such as 1/8")
    add_json(parser)
    parser.epilog = (
        "One small turn on one head at a time, never a state that was heard, until no neighbour of the kept "
        "state is better. Exit code 0 whenever it answers, also when the search is settled."
    )


def _next(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.proposing import next_trial

    if arguments.step is not None:
        from lugbook.desk.settling import refine
        from lugbook.turns.amounts import parse_turns

        refine(desk, arguments.drum, search=arguments.search, step=parse_turns(arguments.step))
    found = next_trial(desk, arguments.drum, search=arguments.search)
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json(search_shapes.proposed(found))
    else:
        from lugbook.cli import search_texts

        search_texts.proposed(found, out)
    return ExitCode.FINE


def _list_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    add_json(parser)


def _list(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.searches import every_search

    found = every_search(desk, arguments.drum)
    if arguments.json:
        from lugbook.cli import search_shapes

        searches = [search_shapes.listed(one) for one in found]
        out.json({"drum": arguments.drum, "searches": searches})
    else:
        from lugbook.cli import search_texts

        search_texts.searches(found, out)
    return ExitCode.FINE


def _show_options(parser: Parser) -> None:
    add_search(parser)
    add_json(parser)


def _show(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.proposing import next_trial

    found = next_trial(desk, arguments.drum, search=arguments.search)
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json({**search_shapes.proposed(found), **search_shapes.listed(found.now)})
    else:
        from lugbook.cli import search_texts

        search_texts.searches((found.now,), out)
        out.data("")
        search_texts.proposed(found, out)
    return ExitCode.FINE


def _resume_options(parser: Parser) -> None:
    add_search(parser)
    add_readings(parser)
    add_json(parser)
    parser.epilog = (
        "Read the pitches where the drum was left: where a head drifted past the tolerance, what was heard "
        "before no longer counts, and the search goes on from where the drum stands."
    )


def _resume(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.proposing import contradicted
    from lugbook.desk.settling import resume
    from lugbook.desk.stating import State

    state = State(**readings_of(arguments))
    found = resume(desk, arguments.drum, state, search=arguments.search)
    remarks = (*found.tried.remarks, *contradicted(found.tried.now))
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json(search_shapes.resumed(found, remarks))
        return ExitCode.FINE
    from lugbook.cli import search_texts
    from lugbook.desk.proposing import next_of

    out.data(found.sentence)
    if found.void:
        numbers = ", ".join(str(row.number) for row in found.void)
        out.data(f"No longer counts: {numbers}. The search goes on from here.")
    search_texts.tried(found.tried, desk, out)
    out.data(search_texts.next_line(next_of(desk, found.tried.now)))
    if remarks:
        out.data("", *remarks)
    return ExitCode.FINE


def _settle_options(parser: Parser) -> None:
    add_search(parser)
    parser.add_argument("--preset", metavar="NAME", help="keep the kept state as a preset of this name")
    add_json(parser)


def _settle(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.settling import settle, settle_as

    preset = None
    if arguments.preset is None:
        now = settle(desk, arguments.drum, search=arguments.search)
    else:
        now, stored = settle_as(desk, arguments.drum, arguments.preset, search=arguments.search)
        preset = stored.id
    if arguments.json:
        from lugbook.cli import search_shapes

        shape = {"search": now.name, "settled": now.settled, "kept": search_shapes.kept_place(now)}
        out.json({**shape, "preset": preset, "remarks": list(now.remarks)})
        return ExitCode.FINE
    from lugbook.cli import search_texts

    out.data(f"The search {now.name} ends here; an entry that follows goes on with it.")
    out.data(search_texts.kept_line(now))
    if preset is not None:
        out.data(f"Kept as {preset}.")
    elif now.kept is not None:
        out.words(f"Keep it: `lugbook preset from {arguments.drum} {now.kept.entry.stands_for} NAME`.")
    return ExitCode.FINE


def _from_options(parser: Parser) -> None:
    parser.add_argument("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    parser.add_argument("entry", metavar="ENTRY", help="an id, a number in the search, kept or last")
    parser.add_argument("name", metavar="NAME", nargs="?", help="what you call it; else after its music")
    parser.add_argument(
        "--for",
        metavar="CONTEXT",
        dest="contexts",
        action="append",
        help="the music it is for, in place of the search's; may be repeated",
    )
    parser.add_argument("--search", metavar="S", help="the search of the number; else the present one")


def _from(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.settling import preset_of_state

    contexts = None if arguments.contexts is None else tuple(arguments.contexts)
    values = given(name=arguments.name, contexts=contexts)
    stored = preset_of_state(desk, arguments.drum, arguments.entry, values, search=arguments.search)
    out.data(stored.id)
    out.words(f"Kept as {stored.id}.")
    return ExitCode.FINE


DEEDS = {
    "next": Deed(_next_options, _next),
    "search list": Deed(_list_options, _list),
    "search show": Deed(_show_options, _show),
    "search resume": Deed(_resume_options, _resume),
    "search settle": Deed(_settle_options, _settle),
    "preset from": Deed(_from_options, _from),
}
"""The commands of this family."""
