"""What a plan is made of, and what it comes to.

A **window** is a stretch of time in which the player's hands are free: the pause after a piece, with whatever
rests lie at its end and at the beginning of the next, or a long rest inside a piece. In a rest inside a piece
the drum of that piece stays as it is; any other may be changed.
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
    """What speaks against it, in seconds of work that one would rather do; 0 for one that fits best."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of the running order."""

    name: str
    options: tuple[Option, ...]
    """The states that would serve it; none is a piece that no drum can serve."""
    after_s: float = 0.0
    """Seconds of the window after it, until the drum of the next piece is needed."""
    rests_s: tuple[float, ...] = ()
    """Seconds of each long rest inside it, in order."""


@dataclass(frozen=True, slots=True)
class Change:
    """What it takes to bring a drum from one preset to another."""

    seconds: float
    risk: float = 0.0
    """What is to be feared of it, in seconds of work that one would rather do."""


ChangeS: TypeAlias = Callable[[str, str, str], Change | float | None]
"""(drum, preset, preset) → what the change takes; seconds alone are a change without risk, None is none."""


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
class Unserved:
    """A piece that no drum can serve; the others are planned without it."""

    piece: int


@dataclass(frozen=True, slots=True)
class Short:
    """A window that is too short for what is planned in it."""

    after: int
    rest: int | None
    seconds: float
    """So many seconds are missing."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The running order with its changes."""

    chosen: tuple[Option | None, ...]
    """The state for each piece; None where it has none."""
    steps: tuple[Step, ...]
    """The changes, in the order they are made."""
    fits: bool
    """Whether every piece is served and every change fits its window."""
    work_s: float
    """Seconds of all changes together."""
    cost: float
    """Work, risk and what speaks against the states, in seconds; the least that is possible where exact."""
    bound: float
    """No plan can cost less than this."""
    exact: bool
    """Whether it is proven to be the best."""
    short: tuple[Short, ...]
    """What would have to give: windows that are too short in the plan that comes nearest."""
    unserved: tuple[int, ...]
    """Indices of pieces that no drum can serve."""
