"""Writing a state of a search down, in one line: turn, pitches, snares, words, verdict."""

from typing import TYPE_CHECKING, Any

from lugbook.cli.parser import Arguments, Deed, Parser, cut
from lugbook.cli.values import (
    NONE,
    a4_of,
    add_json,
    add_readings,
    by_of,
    given,
    number_or_none,
    one_of,
    pairs,
    side_of,
    sides,
    struck_of,
    whole,
)
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk
    from lugbook.desk.stating import State
    from lugbook.desk.trying import Tried
    from lugbook.records import Drum, HeadSide, PerHead, SnareSetting, TouchUp

_VERDICTS = ("better", "same", "worse")
_WHERE = ("drum", "hall")


def _options(parser: Parser) -> None:
    add = parser.add_argument
    add("drum", metavar="DRUM", help="the drum, as `lugbook drums` lists it")
    add("--search", metavar="S", help="the search; else that of the music, else the present one")
    add("--turn", metavar="SIDE=TURNS", action="append", help="all rods of a head, turned: top=-1/4")
    add("--rod", metavar="SIDE.ROD=TURNS", action="append", help="one rod, touched up: top.3=+1/16")
    add_readings(parser)
    add("--snares", metavar="TEXT", help="how the snares were set")
    add("--words", metavar="TEXT", help="how the drum speaks")
    add("--bounce", metavar="TEXT", help="how the stick comes back")
    add(
        "--passage",
        metavar="NAME=MARK",
        action="append",
        help="a test passage: + speaks well, 0 so-so, - badly; may be repeated",
    )
    add("--verdict", metavar="better|same|worse", help="against the kept state")
    add("--for", metavar="CONTEXT", dest="context", help="the music; it begins or goes on with its search")
    add("--where", metavar="drum|hall", help="where it was heard")
    add("--muffling", metavar="TEXT", help="muffling on the heads")
    add("--sticks", metavar="TEXT", help="sticks used")
    add("--spot", metavar="TEXT", help="where the stick fell")
    add("--player", metavar="NAME", help="who played, where that was not you")
    add("--at", metavar="TIME", help="when: 14:05, or 2026-11-25 14:05 (now)")
    add("--temperature", metavar="C", help="air temperature in degrees Celsius")
    add("--humidity", metavar="PCT", help="relative humidity in per cent")
    add("--note", metavar="TEXT", help="remarks")
    add("--entry", metavar="ID", help="add to this entry, or correct it: an id, a number in the search, last")
    add("--strike-out", metavar="ID", help="strike out an entry that was written by mistake")
    add_json(parser)
    parser.epilog = (
        "The first state of a search begins it. Words, readings and a verdict that come later go into the "
        "same entry with --entry last. A verdict holds the state against the kept one. Exit code 0: written."
    )


def _try(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.proposing import contradicted
    from lugbook.desk.settling import state_entry
    from lugbook.desk.trying import add_to, try_state

    if arguments.strike_out is not None:
        return _strike_out(arguments, desk, out)
    drum = desk.library.drum(arguments.drum).record
    state, remarks = _state(arguments, desk, drum)
    if arguments.entry is None:
        tried = try_state(desk, arguments.drum, state, search=arguments.search)
    else:
        entry = state_entry(desk, arguments.drum, arguments.entry, search=arguments.search)
        tried = add_to(desk, arguments.drum, entry.stands_for, state)
    said = (*remarks, *tried.remarks, *contradicted(tried.now))
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json(search_shapes.tried(tried, said))
    else:
        _say(tried, said, desk, out)
    return ExitCode.FINE


def _say(tried: "Tried", remarks: tuple[str, ...], desk: "Desk", out: "Output") -> None:
    from lugbook.cli import search_texts
    from lugbook.desk.proposing import next_of

    search_texts.tried(tried, desk, out)
    out.data(search_texts.next_line(next_of(desk, tried.now)))
    if remarks:
        out.data("", *remarks)


def _strike_out(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.journal import position_now
    from lugbook.desk.searches import find_search
    from lugbook.desk.settling import state_entry
    from lugbook.desk.trying import strike_out

    apart = {"drum", "search", "strike_out", "json", "library"}
    if others := [key for key, value in vars(arguments).items() if value is not None and key not in apart]:
        raise BadValue(
            f"--strike-out goes alone, and --{others[0]} stands beside it.",
            hint="Strike the entry out first, then write the right one down.",
        )
    drum_id = arguments.drum
    which = state_entry(desk, drum_id, arguments.strike_out, search=arguments.search)
    entry = strike_out(desk, drum_id, which.stands_for)
    drum = desk.library.drum(drum_id).record
    now = find_search(desk, drum_id, entry.search) if entry.search else None
    if arguments.json:
        from lugbook.cli import search_shapes

        out.json(search_shapes.struck(entry, now, position_now(desk, drum_id, drum)))
    else:
        from lugbook.cli import search_texts

        out.data(f"Struck out: {entry.stands_for}. It stays in the file and counts no more.")
        if now is not None:
            out.data(search_texts.kept_line(now), *now.remarks)
    return ExitCode.FINE


def _state(arguments: Arguments, desk: "Desk", drum: "Drum") -> "tuple[State, tuple[str, ...]]":
    """Return what was typed of a state, and remarks on it."""
    from lugbook.desk.passages import marked
    from lugbook.desk.stating import State

    values: dict[str, Any] = given(
        words=arguments.words,
        bounce=arguments.bounce,
        verdict=one_of(arguments.verdict, _VERDICTS, option="--verdict"),
        context=arguments.context,
        muffling=arguments.muffling,
        sticks=arguments.sticks,
        playing_spot=arguments.spot,
        player=arguments.player,
        note=arguments.note,
    )
    remarks: tuple[str, ...] = ()
    if arguments.snares is not None:
        values["snares"] = snares_of(drum, arguments.snares)
    if arguments.passage:
        typed = pairs(arguments.passage, option="--passage", form="NAME=+, NAME=0 or NAME=-")
        values["passages"], remarks = marked(desk, typed)
    if (where := one_of(arguments.where, _WHERE, option="--where")) is not None:
        values["heard"] = {"drum": "at the drum", "hall": "in the hall"}[where]
    if arguments.at is not None:
        from lugbook.desk.moments import moment_of

        values["at"] = moment_of(desk, arguments.at)
    for key, option in (("temperature_c", "temperature"), ("humidity_pct", "humidity")):
        if (text := getattr(arguments, option)) is not None:
            values[key] = number_or_none(text, option=f"--{option}")
    state = State(
        turn=_turn(arguments),
        touch_up=_touch_up(arguments),
        top=arguments.top,
        bottom=arguments.bottom,
        by=by_of(arguments),
        struck=struck_of(arguments),
        a4_hz=a4_of(arguments),
        values=values,
    )
    return state, remarks


def snares_of(drum: "Drum", text: str) -> "SnareSetting | None":
    """Return the snare setting that *text* says; None for the word none."""
    from lugbook.desk.snare_words import parse_setting

    return None if text == NONE else parse_setting(drum, text)


def _turn(arguments: Arguments) -> "PerHead":
    from lugbook.records import PerHead
    from lugbook.turns.amounts import parse_turns

    found: dict[HeadSide, float] = {}
    for side, text in sides(arguments.turn, option="--turn", form="top=-1/4"):
        if side in found:
            raise BadValue(f"The turn of the {side} head is named twice.", hint="Give the sum of the two.")
        found[side] = parse_turns(text)
    return PerHead(**found)


def _touch_up(arguments: Arguments) -> "TouchUp | None":
    from lugbook.records import TouchUp
    from lugbook.turns.amounts import parse_turns

    form = "top.3=+1/16"
    typed = pairs(arguments.rod, option="--rod", form=form)
    if not typed:
        return None
    if len(typed) > 1:
        raise BadValue(
            "One entry holds one rod.", hint="Write each rod down with a `lugbook try` of its own."
        )
    where, text = typed[0]
    side, point, number = where.partition(".")
    if not point:
        raise BadValue(f"--rod: {cut(where)} names no rod.", hint=f"Write --rod {form}.")
    head, rod, amount = side_of(side, option="--rod"), whole(number, option="--rod"), parse_turns(text)
    if not amount:
        raise BadValue("--rod: a turn of 0 turns nothing.", hint=f"Write --rod {form}.")
    if not 1 <= rod <= 24:
        raise BadValue(f"There is no rod {rod}.", hint="Rods are counted from 1.")
    return TouchUp(head=head, rod=rod, amount=amount)


DEEDS = {"try": Deed(_options, _try)}
"""The commands of this family."""
