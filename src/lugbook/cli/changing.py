"""The silent change: from one preset of a drum to another by turns alone, where nobody may tap."""

from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Json, Output
    from lugbook.desk import Desk
    from lugbook.desk.changes import Change, SilentTurn
    from lugbook.records import HeadSide


def _options(parser: Parser) -> None:
    parser.add_argument("begun", metavar="DRUM/PRESET", help="the preset that the drum is in")
    parser.add_argument("reached", metavar="DRUM/PRESET", help="the preset of the same drum to reach")
    parser.add_argument(
        "--off-stand",
        action="store_true",
        help="the drum may be lifted off its stand, where a key does not reach all rods on it",
    )
    add_json(parser)
    parser.epilog = (
        "The expected error is the root mean square error, in cents, of the head that lands worse: what the "
        "model of the drum expects there today against the target, and how past returns by turns came out. "
        "A change is trusted when that lies inside the tolerance (10 cents, or the preset's), both heads "
        "land inside it two times in three, the slopes are learned, and the logbook says that the drum is "
        "in the first preset. Exit code 1: refused."
    )


def _change(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    # Imported on use: it reckons with turns, and start-up time counts.
    from lugbook.desk.changing import change

    found = change(desk, arguments.begun, arguments.reached, off_stand=arguments.off_stand)
    if arguments.json:
        out.json(shape(found))
    elif found.refused is None:
        told(found, out)
    if found.refused is not None:
        out.words(found.refused, *found.remarks)
    return ExitCode.FINE if found.refused is None else ExitCode.NO


def shape(found: "Change") -> "Json":
    """Return the JSON of `change`.

    Keys beside the plain ones: ``error_cents`` is the root mean square error to expect of the head that lands
    worse, ``errors`` that of each head, ``expect.sd_cents`` the standard deviation of the less certain pitch;
    ``chance_within`` the probability that both heads land within ``tolerance_cents``; ``returns`` the number
    of past returns by turns that they rest on; ``from_here`` the turns from where the logbook says the drum
    stands, or null where that is in the first preset. What is not known is null.
    """
    from lugbook.cli.shapes import cents, hertz
    from lugbook.records import SIDES

    landings, here = found.landings, found.from_here
    chance = found.chance
    return {
        "drum": found.drum,
        "from": found.from_preset,
        "to": found.to_preset,
        "turns": {side: _turn(found.turn(side)) for side in SIDES},
        "first": found.first,
        "orders": {side: list(found.orders.get(side, ())) for side in SIDES},
        "steps": list(found.steps),
        "seconds": round(found.seconds, 1) if found.refused is None else None,
        "error_cents": cents(found.error_cents),
        "errors": {
            side: cents(landings.of(side).error_cents if landings is not None else None) for side in SIDES
        },
        "expect": {
            "top_hz": hertz(landings.top.hz if landings is not None else None),
            "bottom_hz": hertz(landings.bottom.hz if landings is not None else None),
            "sd_cents": cents(landings.sd_cents if landings is not None else None),
        },
        "tolerance_cents": cents(found.tolerance_cents),
        "chance_within": None if chance is None else round(chance, 3),
        "returns": landings.returns if landings is not None else 0,
        "trusted": found.trusted,
        "why_not_trusted": " ".join(found.why_not_trusted) or found.refused,
        "from_here": None if here is None else {side: here[side] for side in SIDES},
        "strainer": found.strainer or None,
        "cautions": [
            {"head": caution.side, "past_limit": caution.past_limit, "sentence": caution.sentence}
            for caution in found.cautions
        ],
        "remarks": list(found.remarks),
        "refused": found.refused,
    }


def _turn(turn: "SilentTurn | None") -> "Json | None":
    return None if turn is None else {"amount": turn.amount, "shown": turn.shown}


def told(found: "Change", out: "Output") -> None:
    """Show the change: a line a head, what to do in order, how long it takes, how near it lands."""
    from lugbook.records import SIDES

    out.data(f"{found.drum}: {found.from_preset} → {found.to_preset}, by turns alone", "")
    out.table([(side, _to_do(found.turn(side)), _error(found, side)) for side in SIDES])
    if found.single:
        out.data("One rod pulls both heads: turn it once.")
    if found.steps:
        out.data("", *(f"{number}. {step}" for number, step in enumerate(found.steps, 1)))
    out.data("", *found.promise)
    remarks = [one for one in found.remarks if one not in found.why_not_trusted]
    if remarks:
        out.data("", *remarks)


def _to_do(turn: "SilentTurn | None") -> str:
    from lugbook.turns.amounts import show_turns

    if turn is None:
        return "stays: out of reach"
    if not turn.amount:
        return "leave"
    return f"{'tighten' if turn.amount > 0 else 'loosen'} {show_turns(abs(turn.amount))}"


def _error(found: "Change", side: "HeadSide") -> str:
    from lugbook.pitch import in_cents

    error = found.landings.of(side).error_cents if found.landings is not None else None
    return "" if error is None else f"± {in_cents(error)}"


DEEDS = {"change": Deed(_options, _change)}
"""The commands of this family."""
