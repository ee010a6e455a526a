"""The plan of a concert: which drum in which preset for what, and the silent changes between."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json, whole
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Json, Output
    from lugbook.desk import Desk
    from lugbook.desk.changes import Change
    from lugbook.desk.plans import ConcertPlan, Other, PlannedChange, PlannedItem


def _options(parser: Parser) -> None:
    parser.add_argument("concert", metavar="CONCERT", help="the concert, as `lugbook concert list` lists it")
    parser.add_argument(
        "--changes",
        metavar="N",
        help="allow so many silent changes at the most; 0 finds states that serve a whole list",
    )
    parser.add_argument("--drums", metavar="N", help="use so many drums at the most; those that fit without")
    add_json(parser)
    parser.epilog = (
        "A drum is changed in one pause or rest, between its last use and its next; its time, at your pace, "
        "has to fit. Of all plans the one with the least work and risk is taken: a second drum that stands "
        "ready comes before a change. Exit code 1: not everything fits, and what would have to give is said."
    )


def _plan(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
    # Imported on use: it reckons with turns, and start-up time counts.
    from lugbook.desk.planning import plan_concert

    found = plan_concert(
        desk,
        arguments.concert,
        changes_most=None if arguments.changes is None else whole(arguments.changes, option="--changes"),
        drums_most=None if arguments.drums is None else whole(arguments.drums, option="--drums"),
        compare=True,
    )
    if arguments.json:
        out.json(shape(found))
    else:
        _told(found, out)
    nearest = (said for item in found.items for said in item.remarks)
    problems = (one.sentence() for one in found.programme.problems)
    out.words(*found.short, *nearest, *found.remarks, *problems)
    return ExitCode.FINE if found.fits else ExitCode.NO


_OF_A_CHANGE = (
    *("drum", "from", "to", "turns", "first", "orders", "steps", "seconds"),
    *("error_cents", "chance_within", "trusted", "why_not_trusted", "strainer"),
)
"""What a planned change has of the JSON of `lugbook change`."""


def shape(found: "ConcertPlan") -> "Json":
    """Return the JSON of a plan.

    ``changes`` are the silent ones, in the order in which they are made; ``after`` is the item after which,
    or with a ``rest`` inside which, one is made, and ``before`` the item that needs it. What is measured
    before the doors open stands in ``before_doors``. ``cost_s`` is work, risk and second choices in seconds,
    of which no plan that fits has less than ``cost_bound_s``; ``bound_s`` is the work, less how far the cost
    may be from the least.
    """
    names = {item.row.number: item.row.name for item in found.items}
    return {
        "concert": found.programme.id,
        "fits": found.fits,
        "items": [
            {
                "number": item.row.number,
                "name": item.row.name,
                "presets": list(item.presets),
                "tacet": item.row.item.tacet,
                "remarks": list(item.remarks),
            }
            for item in found.items
        ],
        "before_doors": [
            {
                "drum": one.drum,
                "to": one.preset,
                "before": names[one.before],
                "before_item": one.before,
                "silent": False,
            }
            for one in found.before_doors
        ],
        "changes": [_change(names, one) for one in found.changes],
        "work_s": round(found.work_s, 1),
        "bound_s": round(found.least_work_s, 1),
        "cost_s": round(found.cost_s, 1),
        "cost_bound_s": round(found.bound_s, 1),
        "exact": found.exact,
        "short": list(found.short),
        "others": [
            {
                "what": one.what,
                "fits": one.fits,
                "unserved": list(one.unserved),
                "missing_s": round(one.missing_s, 1),
                "changes": one.changes,
                "work_s": round(one.work_s, 1),
                "drums": list(one.drums),
            }
            for one in found.others
        ],
        "remarks": list(found.remarks),
        "problems": [one.sentence() for one in found.programme.problems],
    }


def _change(names: Mapping[int, str], one: "PlannedChange") -> "Json":
    from lugbook.cli.changing import shape as change_shape

    told = change_shape(one.change)
    return {
        "after": names[one.window.after],
        "before": names[one.before],
        "after_item": one.window.after,
        "rest": None if one.window.rest is None else one.window.rest + 1,
        "bars": one.window.bars or None,
        "before_item": one.before,
        "silent": True,
        "window_s": round(one.window.seconds, 1),
        **{key: told[key] for key in _OF_A_CHANGE},
    }


def _told(found: "ConcertPlan", out: "Output") -> None:
    """Show the plan: what is measured before, the items with the changes between, other plans."""
    from lugbook.desk.wording import day_text, minutes_text

    concert = found.programme.concert
    day = "" if concert.on is None else f", {day_text(concert.on)}"
    out.data(f"{concert.name}{day}", "")
    if found.before_doors:
        out.data("Before the doors open, measured:")
        out.table([(f"  {one.drum}", one.preset, f"for item {one.before}") for one in found.before_doors])
        out.data("")
    too_long = {one.window for one in found.missing}
    for item in found.items:
        out.data(f"{item.row.number}. {item.row.name}", f"   {_with(item)}")
        for one in found.changes:
            if one.window.after == item.row.number:
                out.data(*_between(one, too_long=one.window in too_long))
    if found.changes:
        changes = f"{len(found.changes)} silent change{'' if len(found.changes) == 1 else 's'}"
        out.data("", f"{changes}, {minutes_text(found.work_s)} of work.")
    elif found.fits:
        out.data("", "Nothing is changed between.")
    if found.others:
        out.data("", "Other ways:")
        out.table(
            [
                (
                    f"  {one.what}",
                    f"{one.changes} change{'' if one.changes == 1 else 's'}",
                    minutes_text(one.work_s) if one.changes else "",
                    _lacking(one),
                )
                for one in found.others
            ]
        )


def _lacking(other: "Other") -> str:
    from lugbook.desk.wording import minutes_text

    lacks = []
    if other.unserved:
        items = "item" if len(other.unserved) == 1 else "items"
        lacks.append(f"no drum for {items} {', '.join(map(str, other.unserved))}")
    if other.missing_s:
        lacks.append(f"{minutes_text(other.missing_s)} too long")
    return "; ".join(lacks)


def _with(item: "PlannedItem") -> str:
    if item.row.item.tacet:
        return "tacet"
    near = " (only the nearest)" if item.remarks else ""
    return f"{' and '.join(item.presets)}{near}" if item.presets else "no drum"


def _between(one: "PlannedChange", *, too_long: bool) -> Iterator[str]:
    from lugbook.desk.plans import window_text
    from lugbook.desk.wording import minutes_text

    room, need = minutes_text(one.window.seconds), minutes_text(one.change.seconds)
    yield f"   ┌ in {window_text(one.window)}: {one.drum} {one.from_preset} → {one.to_preset}"
    yield f"   │ {_turns(one.change)}; {need} of {room}{' – TOO LONG' if too_long else ''}"
    doubts = one.change.why_not_trusted
    yield f"   └ {f'not trusted: {doubts[0]}' if doubts else 'trusted'}"


def _turns(change: "Change") -> str:
    from lugbook.turns.amounts import show_turns

    moved = [
        f"{'rods' if change.single else f'{side} head'} {show_turns(amount, sign='always')}"
        for side, amount in change.moves.items()
    ]
    told = ", ".join(moved[:1] if change.single else moved) or "nothing to turn"
    return f"{told}, strainer {change.strainer}" if change.strainer else told


DEEDS = {"concert plan": Deed(_options, _plan)}
"""The commands of this family."""
