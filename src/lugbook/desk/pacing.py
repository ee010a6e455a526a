"""How long it takes to turn rods, at the player's own pace."""

from collections.abc import Mapping

from lugbook.desk.steps import passes
from lugbook.records import Drum, HeadSide, UserSettings

STRAINER_S = 5.0
"""Seconds to throw the strainer off or to set it (judgement)."""


def at_pace(player: UserSettings, pace: float | None) -> UserSettings:
    """Return the *player* turning so many seconds a rod; as they are where *pace* is None."""
    return player if pace is None else player.model_copy(update={"pace": pace})


def seconds_for(
    player: UserSettings, drum: Drum, turns: Mapping[HeadSide, float], *, set_snares: bool
) -> float:
    """Return the seconds that a change takes.

    It is the sum of

    - `UserSettings.pace` for each rod of each pass: one pass when tightening, two when loosening (below, and
      back up); in single tension the rods are those of the top, and are turned once for both heads;
    - `UserSettings.turn_over_s` twice, there and back, where the bottom head of a drum of separate tension is
      turned, and `STRAINER_S` to throw the strainer off before;
    - `STRAINER_S` to set the strainer, where it is to be set.

    Args:
        player: whose pace it is.
        drum: the drum.
        turns: of each head that is turned; plus tightens.
        set_snares: whether the strainer is set at the end.
    """
    single = drum.tension == "single"
    moved = {side: amount for side, amount in turns.items() if amount and not (single and side == "bottom")}
    rods = sum(drum.side(side).rods * len(passes(amount)) for side, amount in moved.items())
    over = 2 * player.turn_over_s + STRAINER_S if "bottom" in moved else 0.0
    return rods * player.pace + over + (STRAINER_S if set_snares else 0.0)
