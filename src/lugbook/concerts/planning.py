"""The plan of a running order, told by piece and window."""

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import comb

from lugbook.concerts.orders import Order, Search
from lugbook.concerts.programme import ChangeS, Option, Piece, Plan, Short, Step
from lugbook.concerts.ways import Programme

EFFORT = 160_000
"""So many beginnings are looked at before the best order found is returned with its bound."""

_SETS = 80
"""Up to so many choices of drums are each searched; of more, any drums are taken until they are enough."""


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
    Where nothing fits, as few needs as possible are left out, and after that windows are too short by as
    little as possible.

    Args:
        pieces: in order.
        change_s: what a change takes.
        drums_most: so many drums may be used, if that is limited.
        changes_most: so many changes are allowed, if that is limited; 0 finds one state of a drum for all.
        drum_s: what each drum that is used costs, in seconds of work that one would rather do.
        effort: so many beginnings are looked at; past it the plan is the best that was found.
    """
    # With no change allowed none leads anywhere, which the bound then knows too.
    changing: ChangeS = (lambda *_: None) if changes_most == 0 else change_s
    programme = Programme(tuple(pieces), changing, drum_s)
    if not programme.needs:
        return _told(programme, None, bound=0.0)
    searches = sorted(
        (
            Search(programme, among, drums_most=drums_most, changes_most=changes_most)
            for among in _drum_sets(programme, drums_most)
        ),
        key=lambda search: search.bound,
    )
    best = min((search.good for search in searches), key=lambda order: order.cost)
    made = 0
    for search in searches:
        if search.bound < best.cost - 1e-6:
            found = search.best(effort=max(1, effort - made), below=best.cost)
            best, made = min(found, best, key=lambda order: order.cost), made + search.made
    return _told(programme, best, bound=min(best.cost, *(search.bound for search in searches)))


def _drum_sets(programme: Programme, drums_most: int | None) -> Iterator[tuple[str, ...]]:
    """Yield the drums that may be used together, all sets of them where these are few."""
    drums = programme.drums
    if drums_most is None or drums_most >= len(drums) or comb(len(drums), drums_most) > _SETS:
        yield drums
    else:
        yield from combinations(drums, drums_most)


def _told(programme: Programme, found: Order | None, *, bound: float) -> Plan:
    pieces, windows, needs = programme.pieces, programme.windows, programme.needs
    chosen: list[list[Option]] = [[] for _ in pieces]
    steps: list[Step] = []
    stands: dict[str, str] = {}
    for need, one in zip(needs, found.chosen if found is not None else (), strict=True):
        if one.option is None:
            continue
        drum, preset = one.option.drum, one.option.preset
        chosen[need.piece].append(one.option)
        if one.window is not None:
            after, rest, room = windows[one.window]
            steps.append(Step(drum, stands[drum], preset, one.seconds, after, rest, need.piece, room))
        stands[drum] = preset
    loads = found.loads if found is not None else ()
    short = tuple(
        Short(windows[window][0], windows[window][1], load - windows[window][2])
        for window, load in loads
        if load > windows[window][2] + 1e-6
    )
    unserved = tuple(index for index, piece in enumerate(pieces) if len(chosen[index]) < len(piece.needs))
    order = {(after, rest): number for number, (after, rest, _) in enumerate(windows)}
    return Plan(
        chosen=tuple(map(tuple, chosen)),
        steps=tuple(sorted(steps, key=lambda step: (order[step.after, step.rest], step.before))),
        fits=not short and not unserved,
        work_s=sum(step.seconds for step in steps),
        cost=found.cost if found is not None else 0.0,
        bound=bound,
        exact=found is None or found.cost <= bound + 1e-6,
        short=short,
        unserved=unserved,
    )
