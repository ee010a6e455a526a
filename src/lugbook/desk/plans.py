"""The running order of a concert as it is told: which drum in which preset, and the changes between."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.desk.changes import Change
from lugbook.desk.programmes import ItemRow, Programme


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One item with the presets that it is played with."""

    row: ItemRow
    presets: tuple[str, ...]
    """``drum/preset`` of each drum that it takes; empty where it is tacet or nothing serves it."""
    remarks: tuple[str, ...] = ()
    """What is to be known of that, in sentences: only the nearest, or why there is none."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What one drum is brought to before the doors open, measured."""

    drum: str
    preset: str
    """Its slug."""
    before: int
    """The number of the first item that needs it."""


@dataclass(frozen=True, slots=True)
class Between:
    """One window, a time in which the player's hands are free."""

    after: int
    """The number of the item after which it lies, or in which, where `rest` is given."""
    rest: int | None
    """The index of the rest inside that item; None in the pause after it."""
    seconds: float
    bars: str = ""
    """The bars of the rest, such as ``12-40``; empty where they are not known."""


@dataclass(frozen=True, slots=True)
class PlannedChange:
    """One silent change in the running order."""

    drum: str
    from_preset: str
    """Its slug."""
    to_preset: str
    """Its slug."""
    window: Between
    before: int
    """The number of the item that needs it."""
    change: Change
    """Turns, steps, order of the rods, seconds and how far to trust it."""


@dataclass(frozen=True, slots=True)
class Missing:
    """What is too short in the plan that comes nearest."""

    window: Between
    seconds: float
    """So many seconds are missing in it."""


@dataclass(frozen=True, slots=True)
class Other:
    """Another plan, for comparison."""

    what: str
    """What is asked of it, such as ``with 2 drums on the stage``."""
    fits: bool
    unserved: tuple[int, ...]
    """Numbers of the items that would be without a drum."""
    missing_s: float
    """So many seconds would be missing in windows."""
    changes: int
    work_s: float
    drums: tuple[str, ...]
    """The drums that it takes."""


@dataclass(frozen=True, slots=True)
class ConcertPlan:
    """The running order with all that is to be done."""

    programme: Programme
    items: tuple[PlannedItem, ...]
    before_doors: tuple[Setting, ...]
    changes: tuple[PlannedChange, ...]
    """In the order in which they are made."""
    fits: bool
    """Whether every item is served and every change fits into its window."""
    work_s: float
    """Seconds of all changes together."""
    cost_s: float
    """Work, risk, what speaks against the presets and for fewer drums, in seconds of work."""
    bound_s: float
    """No plan that fits costs less; 0 where none was found that fits and that is not proven."""
    exact: bool
    """Whether it is proven to be the best, or the nearest where nothing fits."""
    missing: tuple[Missing, ...]
    short: tuple[str, ...]
    """The smallest things that would have to give where nothing fits, in sentences; empty where it fits."""
    others: tuple[Other, ...]
    remarks: tuple[str, ...]

    @property
    def drums(self) -> tuple[str, ...]:
        """The drums that it takes."""
        return tuple(one.drum for one in self.before_doors)

    @property
    def least_work_s(self) -> float:
        """The work, less how far the cost may be from the least; the work itself where it is the best."""
        return max(0.0, self.work_s - (self.cost_s - self.bound_s))

    def in_window(self, window: Between) -> tuple[PlannedChange, ...]:
        """Return the changes that are made in one window."""
        return tuple(one for one in self.changes if one.window == window)


def between(rows: Sequence[ItemRow], after: int, rest: int | None, seconds: float) -> Between:
    """Return a window, by the index of its item and of the rest in it."""
    rests = rows[after].rests
    bars = rests[rest].bars if rest is not None and not rows[after].item.tacet and rest < len(rests) else ""
    return Between(after + 1, rest, seconds, bars)


def window_text(window: Between) -> str:
    """Return where a window lies, such as ``the pause after item 3``."""
    if window.rest is None:
        return f"the pause after item {window.after}"
    bars = f", bars {window.bars}" if window.bars else ""
    return f"the rest in item {window.after}{bars}"
