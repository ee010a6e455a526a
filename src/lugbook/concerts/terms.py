"""What a plan is made of, and what it comes to.

A **window** is a stretch of time in which the player's hands are free: the pause after a piece, or a long
rest inside one. In a rest inside a piece the drums of that piece stay as they are; any other may be changed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Option:
    """One state of one drum that would serve a piece."""

    drum: str
    preset: str
    cost: float = 0.0
    """What speaks against it, in seconds of work that one would rather do, ≥ 0; 0 for one that fits best."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of the running order."""

    name: str
    options: tuple[Option, ...]
    """The states that would serve it, one of which is needed; none is a piece that no drum can serve."""
    after_s: float = 0.0
    """Seconds of the window after it, until the drum of the next piece is needed, ≥ 0."""
    rests_s: tuple[float, ...] = ()
    """Seconds of each long rest inside it, in order, ≥ 0."""
    also: tuple[tuple[Option, ...], ...] = ()
    """Of each further drum that it needs at the same time, the states that would serve."""
    tacet: bool = False
    """Whether no drum is needed in it; then its rests are free for every drum."""

    @property
    def needs(self) -> tuple[tuple[Option, ...], ...]:
        """The states that would serve, for each drum that it needs."""
        return () if self.tacet else (self.options, *self.also)


@dataclass(frozen=True, slots=True)
class Work:
    """What it takes to bring a drum from one preset to another."""

    seconds: float
    """≥ 0."""
    risk: float = 0.0
    """What is to be feared of it, in seconds of work that one would rather do, ≥ 0."""


ChangeS: TypeAlias = Callable[[str, str, str], Work | float | None]
"""(drum, preset, preset) → what the change takes; seconds alone are work without risk, None is no change."""


@dataclass(frozen=True, slots=True)
class Step:
    """One change in the running order."""

    drum: str
    begun: str
    """The preset before."""
    reached: str
    """The preset after."""
    seconds: float
    after: int
    """The index of the piece after which it is made, or in which, where it is made in a rest."""
    rest: int | None
    """The index of the rest inside that piece; None in the pause after it."""
    before: int
    """The index of the piece that needs it."""
    window_s: float
    """Seconds of the window that it is made in."""


@dataclass(frozen=True, slots=True)
class Short:
    """A window that is too short for what is planned in it."""

    after: int
    """The index of the piece after which it lies, or in which."""
    rest: int | None
    """The index of the rest inside that piece; None in the pause after it."""
    seconds: float
    """So many seconds are missing."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The running order with its changes."""

    chosen: tuple[tuple[Option, ...], ...]
    """For each piece the states that serve it; fewer than it needs where it is among `unserved`."""
    steps: tuple[Step, ...]
    """The changes, in the order they are made."""
    fits: bool
    """Whether every piece is served and every change fits its window."""
    work_s: float
    """Seconds of all changes together."""
    cost: float
    """Work, risk and what speaks against the states and for fewer drums, in seconds of work."""
    bound: float
    """No plan that fits costs less. Where none was found that fits, and this is not exact, it is 0."""
    exact: bool
    """Whether it is proven to be the best; where it does not fit: that nothing fits or comes nearer."""
    short: tuple[Short, ...]
    """What would have to give: windows that are too short, in the plan that goes beyond them least."""
    unserved: tuple[int, ...]
    """Indices of pieces that lack a drum: none can serve them, or none that can comes there."""

    @property
    def drums(self) -> frozenset[str]:
        """The drums that it takes."""
        return frozenset(option.drum for options in self.chosen for option in options)
