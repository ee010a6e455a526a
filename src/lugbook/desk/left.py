"""What is left to do of a change of a concert whose heads may be half turned: rounds, steps and seconds."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lugbook.desk.changes import Change
from lugbook.desk.desk import Desk
from lugbook.desk.pacing import at_pace, seconds_for
from lugbook.desk.plans import ConcertPlan, PlannedChange
from lugbook.desk.rounds import OpenRound, new_round, taken_up
from lugbook.desk.silence import last_steps, sets_snares
from lugbook.desk.steps import turning_order
from lugbook.library import open_round_entry
from lugbook.records import Drum, Entry, HeadSide


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a change."""

    rounds: tuple[OpenRound, ...] = ()
    """What is still to be turned, the head to turn first before the other."""
    steps: tuple[str, ...] = ()
    """What is still to be done, one sentence a step."""
    seconds: float = 0.0
    """How long that takes at the pace of the concert."""
    said: str = ""
    """That a round was stopped part-way; empty where none was."""


def what_is_left(
    desk: Desk,
    plan: ConcertPlan,
    planned: PlannedChange,
    change: Change,
    log: Sequence[Entry],
    *,
    turned: frozenset[HeadSide],
) -> Left:
    """Return what is left of the *change* to make for a planned one.

    A round of it that was stopped part-way is taken up as far as it has come.

    Args:
        desk: the desk.
        plan: the plan of the concert.
        planned: what was planned.
        change: what is made for it, from where the drum stands.
        log: the entries of the drum's logbook.
        turned: the heads that were turned for it already.

    Raises:
        LugbookError: the drum or the preset cannot be read.
    """
    name = f"{planned.drum}/{planned.to_preset}"
    drum = desk.library.drum(planned.drum).record
    reached = desk.library.preset(name).record
    sides = [side for side in turning_order(drum) if side in change.moves and side not in turned]
    if drum.tension == "single":
        sides = sides[:1]
    rounds = tuple(_round(drum, side, change, preset=name) for side in sides)
    entry = open_round_entry(log)
    halted = None if entry is None else taken_up(drum, entry)
    said = ""
    if halted is not None:
        said = "a round was stopped part-way; the bench goes on with it"
        if halted.preset == name and halted.side in sides:
            said = f"half done, {halted.progress()}; the bench goes on with it"
            # Its head comes first, whichever was to be turned first.
            rounds = (
                *(replace(halted, cautions=one.cautions) for one in rounds if one.side == halted.side),
                *(one for one in rounds if one.side != halted.side),
            )
    if change.refused is not None:
        return Left(rounds, change.steps, change.seconds, said)
    begun = None
    if change.from_preset is not None:
        begun = desk.library.preset(f"{change.drum}/{change.from_preset}").record
    last = last_steps(drum, change.moves, begun=begun, preset=reached)
    player = at_pace(desk.user, plan.programme.concert.pace)
    seconds = seconds_for(
        player,
        drum,
        {side: change.moves[side] for side in sides},
        set_snares=sets_snares(drum, change.moves, begun=begun, preset=reached),
    )
    if said and rounds and rounds[0].entry_id is not None:
        seconds = max(0.0, seconds - len(rounds[0].done) * player.pace)
    return Left(rounds, (*(step for one in rounds for step in one.steps), *last), seconds, said)


def _round(drum: Drum, side: HeadSide, change: Change, *, preset: str) -> OpenRound:
    careful = [one for one in change.cautions if one.side == side or drum.tension == "single"]
    return new_round(drum, side, change.moves[side], preset=preset, cautions=careful, tapped=False)
