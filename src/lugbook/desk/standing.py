"""Where the heads of a drum stand by its logbook, against where a preset has them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lugbook.desk.refusing import bare_sides
from lugbook.desk.responses import day_of
from lugbook.desk.visits import is_touched_up, position_known
from lugbook.desk.wording import turned_part, turns_text
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset
from lugbook.turns.amounts import show_turns


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the heads stand, and how that agrees with the preset that the drum is said to be in."""

    here: Mapping[HeadSide, float]
    """By the logbook; as the preset has it where no entry says so."""
    meant: Mapping[HeadSide, float]
    """As the preset has it; by the logbook where none is named."""
    doubts: tuple[str, ...] = ()
    """What does not agree, in sentences."""
    agrees: bool = True
    """Whether no entry says that a head stands elsewhere."""


def standing_of(drum: Drum, entries: tuple[Entry, ...], begun: Preset | None) -> Standing:
    """Return where the heads of *drum* stand, against where the preset *begun* has them.

    Args:
        drum: the drum.
        entries: of its logbook, in order.
        begun: the preset that it is said to be in; None where only the logbook is asked.
    """
    here: dict[HeadSide, float] = {}
    meant: dict[HeadSide, float] = {}
    said: dict[str, None] = {}
    agrees = True
    for side in SIDES:
        known = position_known(drum, entries, side)
        meant[side] = position_in(drum, begun, side) if begun is not None else known or 0.0
        here[side] = meant[side] if known is None else known
        part, verb = turned_part(drum.tension, side), "stand" if drum.tension == "single" else "stands"
        if known is None:
            said[f"No entry of the logbook says where the {part} {verb}."] = None
        elif begun is not None and side not in bare_sides(drum, begun) and known != meant[side]:
            agrees = False
            said[
                f"By the logbook the {part} {verb} at {turns_text(known)}, "
                f"not at {turns_text(meant[side])} as in {begun.name}."
            ] = None
    return Standing(here, meant, tuple(said), agrees)


def turns_from_here(
    drum: Drum, standing: Standing, reached: Preset
) -> tuple[dict[HeadSide, float] | None, tuple[str, ...]]:
    """Return the turns from where the drum stands to *reached*, and the sentence that tells them.

    Where the drum stands in the preset it is said to be in there is nothing to tell.
    """
    if standing.agrees:
        return None, ()
    turns = {side: position_in(drum, reached, side) - standing.here[side] for side in SIDES}
    told = {side: show_turns(amount, sign="always") for side, amount in turns.items()}
    which = (
        f"the rods {told['top']}"
        if drum.tension == "single"
        else ", ".join(f"{side} head {told[side]}" for side in SIDES)
    )
    return turns, (f"From where it stands by the logbook the turns are: {which}.",)


def position_in(drum: Drum, preset: Preset, side: HeadSide) -> float:
    """Return where a head stands in *preset*; in single tension the one count stands for both heads."""
    position = preset.position(side)
    if position is None and drum.tension == "single":
        position = preset.turns.top or preset.turns.bottom
    return position.amount if position is not None else 0.0


def out_of_reach(drum: Drum, turns: Mapping[HeadSide, float]) -> tuple[HeadSide, ...]:
    """Return the heads that are to turn and whose rods no key reaches while the drum is on its stand."""
    if drum.tension == "single":
        return SIDES if turns["top"] and not drum.top.reached_on_stand else ()
    return tuple(side for side in SIDES if turns[side] and not drum.side(side).reached_on_stand)


def past_limit_itself(drum: Drum, preset: Preset, *, after: Mapping[HeadSide, float]) -> tuple[HeadSide, ...]:
    """Return the heads that stand past a limit in *preset* itself, which so many turns *after* lead to."""
    return tuple(side for side in SIDES if _is_past_itself(drum, preset, side, after=after[side]))


def touched_up(drum: Drum, entries: tuple[Entry, ...], presets: Iterable[Preset]) -> tuple[str, ...]:
    """Return a sentence for each head of which single rods were turned since the first of *presets*."""
    made = [day_of(preset.made) for preset in presets if preset.made is not None]
    if not made:
        return ()
    return tuple(
        f"Single rods of the {side} head were turned since, which its count of turns does not hold."
        for side in SIDES
        if is_touched_up(drum, entries, side, since=min(made))
    )


def _is_past_itself(drum: Drum, preset: Preset, side: HeadSide, *, after: float) -> bool:
    limits, hz = drum.side(side), preset.target_hz(side)
    over = limits.turns_max is not None and after > limits.turns_max
    under = limits.turns_min is not None and after < limits.turns_min
    if over or under:
        return after == position_in(drum, preset, side)
    return hz is not None and limits.hz_max is not None and hz > limits.hz_max
