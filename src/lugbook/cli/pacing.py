"""The player's own pace: seconds a rod, from one timed star, and seconds to turn a drum over."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.spans import seconds_of
from lugbook.cli.values import add_json, number, whole
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk


def _options(parser: Parser) -> None:
    add = parser.add_argument
    add("seconds", metavar="S", nargs="?", help="seconds for one rod, going to the next one included")
    add("--star", metavar="TIME", help="what one whole star took: every rod of a head by an eighth, say")
    add("--rods", metavar="N", help="how many rods that head has")
    add("--turn-over", metavar="S", help="seconds to turn the drum over once")
    add_json(parser)
    parser.epilog = (
        "Such as: lugbook pace --star 31 --rods 10. Silent changes and plans of concerts reckon with it; "
        "a concert may have a pace of its own (lugbook concert edit CONCERT --pace S)."
    )


def _pace(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    from lugbook.desk.own_settings import change_settings

    values: dict[str, float] = {}
    if arguments.star is not None:
        if arguments.seconds is not None or arguments.rods is None:
            raise BadValue("--star is one star with --rods.", hint="Such as --star 31 --rods 10.")
        rods, star = whole(arguments.rods, option="--rods"), seconds_of(arguments.star, option="--star")
        if rods < 1 or star is None:
            raise BadValue("A star of no rods or no time has no pace.", hint="Such as --star 31 --rods 10.")
        values["pace"] = round(star / rods, 2)
    elif arguments.rods is not None:
        raise BadValue("--rods goes with --star.", hint="Such as --star 31 --rods 10.")
    elif arguments.seconds is not None:
        values["pace"] = number(arguments.seconds, option="S")
    if arguments.turn_over is not None:
        values["turn_over_s"] = number(arguments.turn_over, option="--turn-over")
    user = change_settings(desk, values).user if values else desk.user
    if arguments.json:
        out.json({"pace_s": user.pace, "turn_over_s": user.turn_over_s})
    else:
        out.data(f"{user.pace:g} s a rod, {user.turn_over_s:g} s to turn the drum over")
    return ExitCode.FINE


DEEDS = {"pace": Deed(_options, _pace)}
"""The commands of this family."""
