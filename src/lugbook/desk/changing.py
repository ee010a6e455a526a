"""A silent change: from one preset of a drum to another by turns alone, where nobody may tap a drum.

The turns of each head are the difference of two kept positions, exactly; nothing is rounded and nothing is
heard. What the model of the drum expects at the new position, and how past returns by turns came out, say how
near each head will land (`landing`).

It is **trusted** only when all of these hold: the logbook says that the drum stands where the first preset
does; no single rod was turned since they were kept; every head that moves has a learned slope; the larger of
both expected errors is inside the tolerance, and that of the interval too where the preset says that it
decides; and both heads together land inside it at least two times in three. In simulated drums
(`tests/bench/test_silent_changes.py`) changes so called trusted land about as often as the chance beside them
says.
"""

from collections.abc import Mapping
from dataclasses import replace

from lugbook.desk.bench import Bench
from lugbook.desk.cautions import cautions
from lugbook.desk.changes import Change, SilentTurn
from lugbook.desk.desk import Desk
from lugbook.desk.landing import Landings, landings_at
from lugbook.desk.pacing import at_pace, seconds_for
from lugbook.desk.refusing import why_not_at_all, why_not_by, why_not_past
from lugbook.desk.responses import Memory
from lugbook.desk.silence import head_remarks, sets_snares, silent_steps, why_not_trusted
from lugbook.desk.silent_bench import with_change
from lugbook.desk.standing import (
    Standing,
    out_of_reach,
    past_limit_itself,
    position_in,
    standing_of,
    touched_up,
    turns_from_here,
)
from lugbook.desk.steps import turning_order
from lugbook.desk.wording import turned_part
from lugbook.errors import Doubtful, NotPossible
from lugbook.pitch import cents_between, in_cents
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset
from lugbook.turns.orders import star_order


def change(desk: Desk, from_name: str, to_name: str, *, off_stand: bool = False) -> Change:
    """Return the turns that lead from one preset of a drum to another, unheard.

    Args:
        desk: the desk.
        from_name: ``drum/preset`` that the drum is in.
        to_name: ``drum/preset`` of the same drum to reach.
        off_stand: whether the drum may be lifted off its stand, where a key does not reach all rods on it.
    """
    return _between(desk, from_name, to_name, planned=False, off_stand=off_stand, memory=Memory())


def planned_change(
    desk: Desk, from_name: str, to_name: str, *, pace: float | None = None, memory: Memory | None = None
) -> Change:
    """Return the change for a time when the drum will be in the first preset, wherever it stands now.

    A round of the rods that is open now will be finished by then, and the drum may be lifted off its stand.

    Args:
        desk: the desk.
        from_name: ``drum/preset`` that the drum will be in.
        to_name: ``drum/preset`` of the same drum to reach.
        pace: seconds for one rod there; the player's own where None.
        memory: what is learned of the drum is looked up there, and put there.
    """
    desk = replace(desk, user=at_pace(desk.user, pace))
    return _between(desk, from_name, to_name, planned=True, off_stand=True, memory=memory or Memory())


def _between(
    desk: Desk, from_name: str, to_name: str, *, planned: bool, off_stand: bool, memory: Memory
) -> Change:
    begun = desk.library.preset(from_name)
    reached = desk.library.preset(to_name)
    one, _, begun_id = begun.id.partition("/")
    drum_id, _, reached_id = reached.id.partition("/")
    blank = Change(drum_id, begun_id, reached_id, _tolerance(desk, reached.record))
    if one != drum_id:
        what = f"{begun.id} and {reached.id} are of two drums: a silent change stays on one drum."
        return replace(blank, refused=what)
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    if begun.id == reached.id:
        return _staying(desk, drum, entries, blank, reached.record)
    why = (
        why_not_at_all(drum, () if planned else entries)
        or why_not_by(drum, begun.id, begun.record, instead=reached.id)
        or why_not_by(drum, reached.id, reached.record, instead=reached.id)
    )
    if why is not None:
        return replace(blank, refused=why)
    turns = {
        side: position_in(drum, reached.record, side) - position_in(drum, begun.record, side)
        for side in SIDES
    }
    if planned:
        there = {side: position_in(drum, begun.record, side) for side in SIDES}
        standing = Standing(there, there)
    else:
        standing = standing_of(drum, entries, begun.record)
    return _turning(
        desk,
        drum,
        entries,
        blank,
        turns,
        begun.record,
        reached.record,
        standing,
        off_stand=off_stand,
        memory=memory,
    )


def change_from_here(desk: Desk, to_name: str, *, off_stand: bool = False) -> Change:
    """Return the turns that lead from where the logbook says a drum stands to a preset of it, unheard.

    Args:
        desk: the desk.
        to_name: ``drum/preset`` to reach.
        off_stand: whether the drum may be lifted off its stand, where a key does not reach all rods on it.
    """
    reached = desk.library.preset(to_name)
    drum_id, _, reached_id = reached.id.partition("/")
    blank = Change(drum_id, None, reached_id, _tolerance(desk, reached.record))
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    why = why_not_at_all(drum, entries) or why_not_by(drum, reached.id, reached.record, instead=reached.id)
    if why is not None:
        return replace(blank, refused=why)
    standing = standing_of(drum, entries, None)
    if standing.doubts:
        return replace(blank, refused=f"{standing.doubts[0]} Read the drum, and retune it by pitch.")
    turns = {side: position_in(drum, reached.record, side) - standing.here[side] for side in SIDES}
    return _turning(desk, drum, entries, blank, turns, None, reached.record, standing, off_stand=off_stand)


def silently(desk: Desk, bench: Bench, *, off_stand: bool = False) -> Bench:
    """Return the bench about to turn from where the drum stands to its preset, by turns alone.

    The advice is that of the silent change (`Bench.silent`), and its rounds are made and kept rod by rod as
    any other (`turning_rods`). A reading ends it: from then on what was read leads.

    Args:
        desk: the desk.
        bench: the state at the drum.
        off_stand: whether the drum may be lifted off its stand, where a key does not reach all rods on it.

    Raises:
        Doubtful: rods that are to turn are out of reach on the stand, and it may not be lifted off.
        NotPossible: a round is open, or there is no silent change to the preset.
    """
    if bench.round is not None:
        raise NotPossible(bench.round.unfinished())
    found = change_from_here(desk, bench.name, off_stand=off_stand)
    if found.missed:
        part = turned_part(bench.drum.tension, found.missed[0])
        raise Doubtful(f"On its stand a key does not reach the {part}: the drum has to be lifted off.")
    if found.refused is not None:
        raise NotPossible(found.refused)
    nothing = () if found.moves else ("Nothing to turn: by the logbook the drum stands in this preset.",)
    return with_change(desk, bench, found, remarks=nothing)


def _staying(desk: Desk, drum: Drum, entries: tuple[Entry, ...], blank: Change, preset: Preset) -> Change:
    """Return the change from a preset to itself: nothing to do, whatever else is so."""
    name = f"{blank.drum}/{blank.to_preset}"
    if not drum.turns_offered:
        return replace(blank, refused=why_not_at_all(drum, entries))
    why = why_not_at_all(drum, entries) or why_not_by(drum, name, preset, instead=name)
    if why is None:
        turns = dict.fromkeys(SIDES, 0.0)
        standing = standing_of(drum, entries, preset)
        return _turning(desk, drum, entries, blank, turns, preset, preset, standing, off_stand=True)
    return replace(
        blank,
        single=drum.tension == "single",
        top=SilentTurn("top", 0.0),
        bottom=SilentTurn("bottom", 0.0),
        orders=_orders(drum),
        strainer=preset.snares.text(),
        why_not_trusted=(why,),
        remarks=("Nothing to turn: it is one preset.",),
    )


def _turning(
    desk: Desk,
    drum: Drum,
    entries: tuple[Entry, ...],
    blank: Change,
    turns: dict[HeadSide, float],
    begun: Preset | None,
    reached: Preset,
    standing: Standing,
    *,
    off_stand: bool,
    memory: Memory | None = None,
) -> Change:
    """Return the change by *turns*, judged from where the drum stands."""
    missed = () if off_stand else out_of_reach(drum, turns)
    made = {side: 0.0 if side in missed else turns[side] for side in SIDES}
    if missed and not any(made.values()):
        part = turned_part(drum.tension, missed[0])
        what = f"On the stand a key does not reach the rods of the {part}, which is to be turned."
        if drum.tension == "single":
            what = "On the stand a key does not reach the rods."
        what = f"{what} With --off-stand the drum may be lifted off."
        return replace(blank, missed=missed, refused=what)
    from_here, told_here = turns_from_here(drum, standing, reached)
    to = {side: standing.meant[side] + made[side] for side in SIDES}
    landings = landings_at(desk, blank.drum, drum, reached, to=(to["top"], to["bottom"]), memory=memory)
    careful = cautions(
        drum,
        {side: amount for side, amount in made.items() if amount},
        entries,
        here=(standing.here["top"], standing.here["bottom"]),
        expect_hz=(landings.top.hz, landings.bottom.hz),
    )
    if from_here is not None and not any(from_here.values()):
        told_here = ("By the logbook it stands in this preset already: there is nothing to turn.", *told_here)
        careful = ()
    after = {side: standing.here[side] + made[side] for side in SIDES}
    refused = why_not_past(
        careful, own=past_limit_itself(drum, reached, after=after), name=f"{blank.drum}/{blank.to_preset}"
    )
    if refused is not None:
        return replace(blank, from_here=from_here, remarks=(*standing.doubts, *told_here), refused=refused)
    set_snares = sets_snares(drum, made, begun=begun, preset=reached)
    order = [side for side in turning_order(drum) if made[side]]
    presets = [one for one in (begun, reached) if one is not None]
    return replace(
        blank,
        missed=missed,
        single=drum.tension == "single",
        top=None if "top" in missed else SilentTurn("top", made["top"]),
        bottom=None if "bottom" in missed else SilentTurn("bottom", made["bottom"]),
        first=order[0] if order else None,
        orders=_orders(drum),
        steps=silent_steps(drum, made, begun=begun, preset=reached),
        seconds=seconds_for(desk.user, drum, made, set_snares=set_snares),
        landings=landings,
        why_not_trusted=why_not_trusted(
            landings,
            moved=order,
            tolerance_cents=blank.tolerance_cents,
            interval_decides=reached.interval_decides,
            elsewhere=(
                *standing.doubts,
                *touched_up(drum, entries, presets),
                *(f"The {side} head is not turned." for side in missed),
            ),
        ),
        strainer=reached.snares.text(),
        from_here=from_here,
        cautions=careful,
        remarks=(
            *standing.doubts,
            *told_here,
            *(_stays(desk, drum, reached, blank, side, to, turns, landings) for side in missed),
            *head_remarks(landings, tolerance_cents=blank.tolerance_cents, leave_out=missed),
            *(caution.sentence for caution in careful),
        ),
    )


def _tolerance(desk: Desk, preset: Preset) -> float:
    targets = [target for side in SIDES if (target := preset.target(side)) is not None]
    return desk.tolerance_cents(preset.tolerance_cents, by_ear=any(one.by == "ear" for one in targets))


def _orders(drum: Drum) -> dict[HeadSide, tuple[int, ...]]:
    return {side: star_order(drum.side(side).rods) if drum.turns_offered else () for side in SIDES}


def _stays(
    desk: Desk,
    drum: Drum,
    preset: Preset,
    blank: Change,
    side: HeadSide,
    to: Mapping[HeadSide, float],
    turns: Mapping[HeadSide, float],
    landings: Landings,
) -> str:
    """Say how far off a head is left that no key reaches on the stand, by its slope."""
    whole = {**to, side: to[side] + turns[side]}
    there = landings_at(desk, blank.drum, drum, preset, to=(whole["top"], whole["bottom"])).of(side).hz
    stays = landings.of(side).hz
    far = ""
    if there is not None and stays is not None:
        cents = cents_between(there, to_hz=stays)
        far = f", about {in_cents(cents)} {'sharp' if cents > 0 else 'flat'} of where turns would bring it"
    return (
        f"On the stand a key does not reach the rods of the {side} head: it stays where it is{far}. "
        "With --off-stand the drum may be lifted off, and both heads are turned."
    )
