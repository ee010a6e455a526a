"""Turning to a state of a search: the rounds of the rods that lead there, one head after the other.

They are made and kept rod by rod as any round at the bench (`turning_rods`); their entries belong to the
search. Going back to the kept state is the same as going on: real turns, which the logbook keeps.
"""

from collections.abc import Mapping
from dataclasses import replace

from lugbook.desk import turning_rods
from lugbook.desk.bench import Bench
from lugbook.desk.cautions import cautions
from lugbook.desk.comparing import Comparison, IntervalResult
from lugbook.desk.desk import Desk
from lugbook.desk.proposing import moves_between
from lugbook.desk.retuning import Retuning
from lugbook.desk.rounds import OpenRound, taken_up
from lugbook.desk.searches import SearchNow
from lugbook.desk.turning import HeadTurn
from lugbook.errors import Doubtful, NotPossible
from lugbook.library import open_round_entry
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset, SnareSetting
from lugbook.turns.amounts import show_turns
from lugbook.turns.orders import star_order

BY_SEARCH = "the search"
"""What the turns of a search rest on."""


def turn_to(desk: Desk, now: SearchNow, moves: Mapping[HeadSide, float], *, insisted: bool = False) -> Bench:
    """Return the drum with the first round at hand that leads by *moves* to a state of a search.

    Args:
        desk: the desk.
        now: the search.
        moves: turns of each head from where the drum stands.
        insisted: whether the player goes past a limit knowing it.

    Raises:
        Doubtful: it goes past a limit, and the player did not insist.
        NotPossible: there is nothing to turn, or a round is open.
    """
    bench = bench_for(desk, now, moves)
    side = bench.next_side
    if now.unfinished:
        raise NotPossible("A round of the rods was stopped part-way.", hint="Finish it, or take it back.")
    if side is None or bench.retuning is None:
        raise NotPossible("There is nothing to turn: the drum stands there.")
    past = next((one for one in bench.retuning.cautions if one.past_limit), None)
    if past is not None and not insisted:
        # Asked before the first head is turned, whichever of them it is about.
        raise Doubtful(f"The turn goes {past.short}.")
    return turning_rods.begin(bench, side, insisted=True)


def on_to_next(bench: Bench, before: Bench) -> Bench:
    """Return the drum with the round of the second head at hand, once that of the first is done."""
    side = bench.next_side
    if bench.round is not None or side is None or bench.turned == before.turned:
        return bench
    return turning_rods.begin(bench, side, insisted=True)


def was_turned(bench: Bench) -> bool:
    """Tell whether the last round ended in a turn, rather than being taken back."""
    return bench.round is None and turning_rods.READ_AGAIN in bench.remarks


def back_to_kept(now: SearchNow) -> dict[HeadSide, float]:
    """Return the turns of each head from where the drum stands to the kept state.

    Raises:
        NotPossible: nothing is kept, or the drum stands there.
    """
    if now.search is None:
        raise NotPossible("There is no kept state to turn back to.", hint="Write down how the drum stands.")
    moves = moves_between(now.place, now.search.kept)
    if not moves:
        raise NotPossible("The drum stands in the kept state: there is nothing to undo.")
    return moves


def left_open(desk: Desk, now: SearchNow) -> Bench:
    """Return the drum with the round at hand that was stopped part-way, whatever it was begun for.

    Raises:
        NotPossible: none is open.
    """
    entries = desk.library.log(now.drum_id).entries
    entry = open_round_entry(entries)
    left = None if entry is None else taken_up(now.drum, entry)
    if left is None:
        raise NotPossible("No round of the rods is open.")
    careful = cautions(now.drum, _both(now.drum, left), entries, here=now.place)
    bench = bench_for(desk, now, {})
    return replace(bench, round=replace(left, cautions=careful), remarks=(left.unfinished(),))


def bench_for(desk: Desk, now: SearchNow, moves: Mapping[HeadSide, float]) -> Bench:
    """Return the state at the drum with *moves* as the advice, as the turning face shows any advice."""
    drum, entries = now.drum, desk.library.log(now.drum_id).entries
    heads = {
        side: HeadTurn(
            side=side,
            amount=amount,
            shown=show_turns(amount, sign="always"),
            sd=0.0,
            basis=BY_SEARCH,
            entries=(),
        )
        for side, amount in moves.items()
    }
    nothing_read = Comparison(now.drum_id, "", None, None, None, IntervalResult(None, None, None), ())
    advice = Retuning(
        comparison=nothing_read,
        on=now.drum_id,
        top=heads.get("top"),
        bottom=heads.get("bottom"),
        first=None,
        orders={side: star_order(drum.side(side).rods) if drum.turns_offered else () for side in SIDES},
        steps=(),
        expect=None,
        remarks=(),
        cautions=cautions(drum, moves, entries, here=now.place),
    )
    return Bench(
        drum_id=now.drum_id,
        drum=drum,
        preset_id="",
        preset=Preset(name=now.name or "search", snares=_snares(now)),
        position=now.here,
        retuning=advice,
        search=now.name,
    )


def _snares(now: SearchNow) -> SnareSetting:
    found: Entry | None = None if now.kept is None else now.kept.entry
    return SnareSetting() if found is None or found.snares is None else found.snares


def _both(drum: Drum, left: OpenRound) -> dict[HeadSide, float]:
    sides = SIDES if drum.tension == "single" else (left.side,)
    return dict.fromkeys(sides, left.amount)
