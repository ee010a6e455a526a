"""The options of a round of the rods."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Parser
from lugbook.cli.values import NONE, pairs, side_of, turns, whole
from lugbook.errors import BadValue

if TYPE_CHECKING:
    from lugbook.desk.rod_rounds import RodsAsked

_OTHERS = ("start", "order", "head", "beds", "before", "turned")
"""Options that mean something with --rods alone, as does --drum."""


def add_rods(parser: Parser) -> None:
    """Add the options of a round of the rods."""
    add = parser.add_argument
    add("--rods", metavar="N", help="one tap near each of N rods: how even is the head, and what to turn")
    add("--start", metavar="strainer|ROD", help="the rod tapped first; strainer is rod 1, the first past it")
    add("--order", metavar="clockwise|star|RODS", help="in which order they were tapped (clockwise)")
    add("--drum", metavar="DRUM", help="the drum whose rods these are")
    add("--head", metavar="top|bottom", help="which head; on the bottom some rods lie beside the snare beds")
    add("--beds", metavar="RODS|none", help="rods beside the snare beds, such as 1,5,6,10")
    add("--before", metavar="FILE", help="the round before, where rods were turned since")
    add(
        "--turned",
        metavar="ROD=TURNS",
        action="append",
        help="what was turned since, such as 3=-1/16; as was advised where left out",
    )


def rods_of(arguments: Arguments) -> "RodsAsked | None":
    """Return the round of the rods that was asked for; None where none was.

    Raises:
        BadValue: an option cannot be used.
    """
    if arguments.rods is None:
        for name in (*_OTHERS, "drum"):
            if getattr(arguments, name) is not None:
                raise BadValue(f"--{name} is about a round of the rods.", hint="Say how many with --rods N.")
        return None
    from lugbook.desk.rod_rounds import RodsAsked, order_of, rods_listed

    rods = whole(arguments.rods, option="--rods")
    if arguments.turned is not None and arguments.before is None:
        raise BadValue("--turned needs the round before the turns.", hint="Give its recording with --before.")
    beds = None
    if arguments.beds is not None:
        beds = () if arguments.beds == NONE else rods_listed(arguments.beds, what="Beds lie beside")
    return RodsAsked(
        rods=rods,
        order=order_of(rods, start=arguments.start, order=arguments.order),
        side=None if arguments.head is None else side_of(arguments.head, option="--head"),
        drum=arguments.drum,
        beds=beds,
        before=arguments.before,
        turned=None if arguments.turned is None else _turned(arguments.turned),
    )


def _turned(texts: list[str]) -> dict[int, float]:
    found: dict[int, float] = {}
    for rod, amount in pairs(texts, option="--turned", form="3=-1/16"):
        number = whole(rod, option="--turned")
        found[number] = found.get(number, 0.0) + (turns(amount) or 0.0)
    return found
