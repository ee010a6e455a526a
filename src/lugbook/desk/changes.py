"""A silent change as it is told: turns, steps, time, where the heads are expected to land, trusted or not."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from lugbook.desk.cautions import Caution
from lugbook.desk.landing import Landings
from lugbook.desk.silence import tenths
from lugbook.desk.wording import minutes_text
from lugbook.pitch import in_cents
from lugbook.records import SIDES, HeadSide
from lugbook.turns.amounts import show_turns


@dataclass(frozen=True, slots=True)
class SilentTurn:
    """The turn to make on all rods of one head."""

    side: HeadSide
    amount: float
    """Turns, plus tightens; exact, 0 is nothing to do."""

    @property
    def shown(self) -> str:
        """The amount as a player reads it, such as ``−¼``."""
        return show_turns(self.amount, sign="always")


@dataclass(frozen=True, slots=True)
class Change:
    """One silent change."""

    drum: str
    from_preset: str | None
    """The slug of the preset that the drum is in; None where it is counted from where it stands."""
    to_preset: str
    tolerance_cents: float
    single: bool = False
    """Whether one rod pulls both heads, so that the turns of both are one turn."""
    top: SilentTurn | None = None
    """None where the head is not turned by this change, or the change is refused."""
    bottom: SilentTurn | None = None
    first: HeadSide | None = None
    """The head to turn first; None where there is nothing to turn."""
    orders: Mapping[HeadSide, tuple[int, ...]] = field(default_factory=dict)
    """Rod order of each head."""
    steps: tuple[str, ...] = ()
    seconds: float = 0.0
    """How long it takes at the player's pace (`pacing`)."""
    landings: Landings | None = None
    """Where the heads are expected to land; None where that is not known."""
    why_not_trusted: tuple[str, ...] = ()
    """Why the change is not to be trusted, a sentence for each reason."""
    strainer: str = ""
    """The setting of the snares in the preset to reach, as text."""
    from_here: Mapping[HeadSide, float] | None = None
    """The turns from where the logbook says the drum stands, where that is not in the first preset."""
    cautions: tuple[Caution, ...] = ()
    """What to be careful of; their sentences stand among the remarks too."""
    remarks: tuple[str, ...] = ()
    missed: tuple[HeadSide, ...] = ()
    """Heads that are to turn and whose rods no key reaches on the stand; empty where it may be lifted off."""
    refused: str | None = None
    """Why there is no silent change, in a sentence or two."""

    def turn(self, side: HeadSide) -> SilentTurn | None:
        """Return the turn of the *side*."""
        return self.top if side == "top" else self.bottom

    @property
    def trusted(self) -> bool:
        """Whether it is trustworthy enough for the concert."""
        return self.refused is None and not self.why_not_trusted

    @property
    def error_cents(self) -> float | None:
        """The root mean square error to expect of the worse head, in cents; None where it is not known."""
        return self.landings.error_cents if self.landings is not None else None

    @property
    def chance(self) -> float | None:
        """The probability that both heads land within the tolerance; None where that is not known."""
        if self.landings is None or self.landings.error_cents is None:
            return None
        return self.landings.chance(self.tolerance_cents)

    @property
    def promise(self) -> tuple[str, ...]:
        """How long it takes, how near it lands, and whether that is to be trusted, in sentences."""
        trust = "Trusted for the concert."
        if not self.trusted:
            trust = f"Not trusted: {' '.join(self.why_not_trusted)}"
        time = f"Time: {minutes_text(self.seconds)}."
        if self.error_cents is None or self.landings is None or self.chance is None:
            return time, "Expected error: not known.", trust
        past = self.landings.returns
        returns = f"{past or 'no'} past return{'' if past == 1 else 's'} by turns"
        cents = in_cents(self.error_cents)
        error = f"Expected error of the worse head: {cents}, from its logbook with {returns}."
        odds = f"Both heads within {in_cents(self.tolerance_cents)}: {_odds(tenths(self.chance))}."
        return time, error, odds, trust

    @property
    def landed(self) -> tuple[str, ...]:
        """What is said once the drum was turned: where the heads should be, and how far to trust that."""
        if self.error_cents is None:
            return ("Turned by turns alone. How far off it landed is not known.",)
        trust = "" if self.trusted else " Do not trust it for the concert until it is read."
        return (f"Turned by turns alone. Expected error: {in_cents(self.error_cents)}.{trust}",)

    @property
    def moves(self) -> dict[HeadSide, float]:
        """The turns of the heads that are moved."""
        turns = {side: turn.amount for side in SIDES if (turn := self.turn(side)) is not None}
        return {side: amount for side, amount in turns.items() if amount}


def _odds(times: int) -> str:
    if times < 1:
        return "less than once in ten"
    return "about once in ten" if times == 1 else f"about {times} times in ten"
