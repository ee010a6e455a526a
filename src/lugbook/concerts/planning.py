"""The plan of a running order, told by piece and window."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import comb, inf

from lugbook.concerts.orders import Order, Search
from lugbook.concerts.terms import ChangeS, Option, Piece, Plan, Short, Step
from lugbook.concerts.ways import RunningOrder, seconds_checked
from lugbook.errors import BadValue

EFFORT = 160_000
"""So many beginnings are looked at before the best order found is returned with its bound."""

_SETS = 240
"""Choices of drums are each searched while there are no more than this, times what is needed."""


def plan(
    pieces: Sequence[Piece],
    *,
    change_s: ChangeS,
    drums_most: int | None = None,
    changes_most: int | None = None,
    drum_s: float = 0.0,
    effort: int = EFFORT,
) -> Plan:
    """Return the running order with the least work and risk.

    Every need of a piece is met by one state of one drum. A drum that is needed in another state is changed
    whole, in one window between its last use and its next; the changes in a window take no longer than it
    lasts, all together: one player makes them. What a drum is set to before its first piece costs nothing.
    Needs that no drum can meet are told, and the rest is planned.

    Where nothing fits, as few needs as possible are left out, and after that windows are too short by as
    little as possible; a need is left out sooner than that windows are too short by more than 10,000 seconds.

    Args:
        pieces: in order.
        change_s: what a change takes.
        drums_most: so many drums may be used, if that is limited.
        changes_most: so many changes are allowed, if that is limited; 0 finds one state of a drum for all.
        drum_s: what each drum that is used costs, in seconds of work that one would rather do.
        effort: so many beginnings are looked at; past it the plan is the best that was found.

    Raises:
        BadValue: a number is below 0, or none.
    """
    _check(pieces, {"drums": drums_most, "changes": changes_most}, drum_s)
    # With no change allowed none leads anywhere, which the bound then knows too.
    changing: ChangeS = (lambda *_: None) if changes_most == 0 else change_s
    order = RunningOrder(tuple(pieces), changing, drum_s)
    if not order.needs:
        return _told(order, None, bound=0.0, exact=True)
    found, bound = _best(order, drums_most, changes_most, effort)
    if found is not None:
        return _told(order, found, bound=bound, exact=found.cost <= bound + 1e-6)
    nothing_fits = bound == inf
    found, bound = _best(replace(order, strict=False), drums_most, changes_most, effort)
    nearest = found is not None and found.cost <= bound + 1e-6
    return _told(order, found, bound=None, exact=nothing_fits and nearest)


def _best(
    order: RunningOrder, drums_most: int | None, changes_most: int | None, effort: int
) -> tuple[Order | None, float]:
    """Return the best order that was found, and what none costs less than; None and ∞ where there is none."""
    sets = tuple(_drum_sets(order, drums_most))
    searches = [
        Search(order, among, effort=effort // len(sets), drums_most=drums_most, changes_most=changes_most)
        for among in sets
    ]
    searches.sort(key=lambda search: search.bound)
    best, cost = None, inf
    for search in searches:
        if search.good is not None and search.good.cost < cost:
            best, cost = search.good, search.good.cost
    for search in searches:
        if search.bound < cost - 1e-6:
            found = search.best(below=cost)
            if found is not None and found.cost < cost:
                best, cost = found, found.cost
    return best, min(cost, *(search.bound for search in searches))


def _drum_sets(order: RunningOrder, drums_most: int | None) -> Iterator[tuple[str, ...]]:
    """Yield the drums that may be used together, all sets of them where these are few."""
    drums = order.drums
    if (
        drums_most is None
        or drums_most >= len(drums)
        or comb(len(drums), drums_most) * len(order.needs) > _SETS
    ):
        yield drums
    else:
        yield from combinations(drums, drums_most)


def _check(pieces: Sequence[Piece], limits: dict[str, int | None], drum_s: float) -> None:
    """Raise where a number cannot be reckoned with."""
    for name, limit in limits.items():
        if limit is not None and limit < 0:
            raise BadValue(
                f"The most {name} must be 0 or more, not {limit}.", hint="Give a number such as 2."
            )
    seconds_checked("cost of a drum", drum_s)
    for piece in pieces:
        for seconds in (piece.after_s, *piece.rests_s):
            seconds_checked(f"window at {piece.name}", seconds)
        for option in (option for need in piece.needs for option in need):
            seconds_checked(f"cost of {option.drum}/{option.preset}", option.cost)


def _told(order: RunningOrder, found: Order | None, *, bound: float | None, exact: bool) -> Plan:
    pieces, windows, needs = order.pieces, order.windows, order.needs
    chosen: list[list[Option]] = [[] for _ in pieces]
    steps: list[Step] = []
    stands: dict[str, str] = {}
    cost = 0.0
    for need, one in zip(needs, found.chosen if found is not None else (), strict=True):
        if one.option is None:
            continue
        drum, preset = one.option.drum, one.option.preset
        chosen[need.piece].append(one.option)
        cost += one.option.cost + (order.drum_s if drum not in stands else 0.0)
        if one.window is not None:
            after, rest, room = windows[one.window]
            steps.append(Step(drum, stands[drum], preset, one.seconds, after, rest, need.piece, room))
            work = order.change(drum, stands[drum], preset)
            cost += one.seconds + (work.risk if work is not None else 0.0)
        stands[drum] = preset
    loads = found.loads if found is not None else ()
    short = tuple(
        Short(windows[window][0], windows[window][1], load - windows[window][2])
        for window, load in loads
        if load > windows[window][2] + 1e-6
    )
    unserved = tuple(index for index, piece in enumerate(pieces) if len(chosen[index]) < len(piece.needs))
    place = {(after, rest): number for number, (after, rest, _) in enumerate(windows)}
    return Plan(
        chosen=tuple(map(tuple, chosen)),
        steps=tuple(sorted(steps, key=lambda step: (place[step.after, step.rest], step.before))),
        fits=not short and not unserved,
        work_s=sum(step.seconds for step in steps),
        cost=cost,
        bound=bound if bound is not None else cost if exact else 0.0,
        exact=exact,
        short=short,
        unserved=unserved,
    )
