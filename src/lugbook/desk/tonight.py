"""A concert while it is played: the steps of the evening, what is on now, and what is to be ticked off."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from lugbook.desk.changes import Change
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem
from lugbook.desk.rounds import OpenRound
from lugbook.desk.wording import day_text
from lugbook.records import Evening, Ticked

StepKind = Literal["doors", "item", "window", "over"]
"""Before the doors open, an item on, a time in which the hands are free, or the end."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the evening."""

    kind: StepKind
    item: int = 0
    """The number of the item that is on, or after which or in which the window lies; 0 before the doors."""
    rest: int | None = None
    """The index of the rest that the window is; None in the pause after the item."""
    seconds: float | None = None
    """How long it lasts; None where nobody said."""
    bars: str = ""
    """The bars of the rest, where they are known."""
    opens: bool = False
    """Whether the item begins with it: it is tacet, and all of it is a window."""


@dataclass(frozen=True, slots=True)
class Task:
    """Something to tick off: a drum to bring to its first preset, or a change."""

    key: str
    """What it is ticked off as, such as ``change 3``."""
    drum: str
    preset: str
    """The slug of the preset to reach."""
    before: int
    """The number of the first item that needs it."""
    step: int
    """The step that it is made in."""
    planned: PlannedChange | None = None
    """None before the doors, where the drum is measured."""
    change: Change | None = None
    """The change to make: the planned one, unless one before it was left out."""
    done: bool = False
    rounds: tuple[OpenRound, ...] = ()
    """What is still to be turned, the head to turn first before the other."""
    steps: tuple[str, ...] = ()
    """What is still to be done of the change, one sentence a step."""
    seconds: float = 0.0
    """How long that takes."""
    said: str = ""
    """How far the drum has come, or why the change cannot be made; may be empty."""

    @property
    def name(self) -> str:
        """The ``drum/preset`` to reach."""
        return f"{self.drum}/{self.preset}"


@dataclass(frozen=True, slots=True)
class Tonight:
    """The whole evening as it stands."""

    plan: ConcertPlan
    """What the evening goes by."""
    newest: ConcertPlan | None
    """The plan as it is made now, which an evening that begins anew goes by; None until it is planned."""
    steps: tuple[Step, ...]
    tasks: tuple[Task, ...]
    evening: Evening
    kept: Evening | None
    """What is on disk of this concert; None where nothing is."""
    names: Mapping[str, str] = field(default_factory=dict)
    """What the player calls each drum and each ``drum/preset``."""
    stale: str = ""
    """Why the evening that is kept does not go on, in a sentence; nothing is done until one begins anew."""
    other: str = ""
    """That the concert planned again would go otherwise, in a sentence; empty where it would not."""
    nowhere: str = ""
    """Why this evening is kept nowhere, in a sentence; empty where it is kept."""
    remarks: tuple[str, ...] = ()
    """What came of the last deed, in sentences."""

    @property
    def place(self) -> int:
        """The index of the present step."""
        return self.evening.trail[-1].step

    @property
    def step(self) -> Step:
        """The present step."""
        return self.steps[self.place]

    @property
    def item(self) -> PlannedItem | None:
        """The item that is on, or after which the window lies; None before the doors."""
        return self.planned_item(self.step.item)

    def planned_item(self, number: int) -> PlannedItem | None:
        """Return the item of that *number*."""
        return next((one for one in self.plan.items if one.row.number == number), None)

    @property
    def reach(self) -> int:
        """The last step whose changes are at hand: while an item is on, those of the window after it too."""
        ahead = self.place + 1
        nears = self.step.kind == "item" and ahead < len(self.steps) and self.steps[ahead].kind == "window"
        return ahead if nears else self.place

    @property
    def at_hand(self) -> tuple[Task, ...]:
        """What can be ticked off now: of this step, and what was left out before."""
        if self.step.kind == "doors":
            return tuple(task for task in self.tasks if task.planned is None)
        return tuple(
            task
            for task in self.tasks
            if task.planned is not None
            and (task.step in (self.place, self.reach) or (task.step < self.place and not task.done))
            and not self._passed_over(task)
        )

    @property
    def can_go_on(self) -> bool:
        """Whether an item is still to begin, or to go on after a rest."""
        return self.step.kind != "over"

    @property
    def can_rest(self) -> bool:
        """Whether an item is on after which, or in which, the hands can be free."""
        return self.step.kind == "item" or self.step.opens

    @property
    def can_go_back(self) -> bool:
        """Whether a step was begun that can be taken back."""
        return len(self.evening.trail) > 1

    @property
    def can_undo(self) -> bool:
        """Whether something was ticked off that can be taken back."""
        return self.last_tick is not None

    @property
    def last_tick(self) -> Ticked | None:
        """What the player ticked off last; turns made at the bench are taken back there."""
        return next((one for one in reversed(self.evening.ticked) if one.here), None)

    def task(self, key: str) -> Task | None:
        """Return the task of that *key*."""
        return next((task for task in self.tasks if task.key == key), None)

    def late(self, task: Task) -> bool:
        """Tell whether a *task* was left out in its own step."""
        return not task.done and task.step < self.place

    def _passed_over(self, task: Task) -> bool:
        """Tell whether a task was left out and the time of the drum's next change has come."""
        if task.done:
            return False
        later = self.tasks[self.tasks.index(task) + 1 :]
        return any(one.drum == task.drum and (one.done or one.step <= self.place) for one in later)

    def called(self, name: str) -> str:
        """Return what the player calls a drum or a ``drum/preset``; its slug where it is not there."""
        return self.names.get(name) or name.rpartition("/")[2]

    def not_its_day(self, now: datetime) -> str:
        """Return that the evening would begin on another day than the concert's; empty once it has begun."""
        day = self.plan.programme.concert.on
        if day is None or day == now.date() or self.stale or self.can_go_back or self.evening.ticked:
            return ""
        return f"Not its day: {day_text(day)}."

    def elapsed_s(self, now: datetime) -> float:
        """Return the seconds since the present step began; never less than 0, whatever the clock does."""
        return max(0.0, (now - self.evening.trail[-1].since).total_seconds())

    def left_s(self, now: datetime) -> float | None:
        """Return the seconds left of the present step, below 0 past its time; None where nobody said."""
        return None if self.step.seconds is None else self.step.seconds - self.elapsed_s(now)


def steps_of(plan: ConcertPlan) -> tuple[Step, ...]:
    """Return the steps of the evening of a plan."""
    return steps_through(plan.items, (change.window for change in plan.changes))


def steps_through(items: Sequence[PlannedItem], changed_in: Iterable[Between]) -> tuple[Step, ...]:
    """Return the steps of the evening: the doors, each item with its windows, and the end.

    A rest inside an item is a step of its own only where something is changed in it. A tacet item in which
    something is changed is a window from its beginning.

    Args:
        items: what is played.
        changed_in: the windows in which something is changed.
    """
    windows = dict.fromkeys(changed_in)
    steps = [Step("doors")]
    for place, item in enumerate(items):
        number, seconds = item.row.number, item.row.seconds
        inside = sorted(
            (one for one in windows if one.after == number and one.rest is not None),
            key=lambda one: one.rest or 0,
        )
        on = Step("item", number, seconds=seconds)
        if inside and item.row.item.tacet and seconds is not None:
            steps.append(Step("window", number, inside[0].rest, seconds, opens=True))
        else:
            steps.append(on)
            for rest in inside:
                steps += [Step("window", number, rest.rest, rest.seconds, rest.bars), on]
        planned = next((one for one in windows if one.after == number and one.rest is None), None)
        if planned is not None:
            steps.append(Step("window", number, None, planned.seconds))
        elif place + 1 < len(items):
            steps.append(Step("window", number, None, item.row.after_s))
    return (*steps, Step("over", len(items)))


def step_for(steps: tuple[Step, ...], window: Between, *, before: int) -> int:
    """Return the index of the step that a *window* is; else of the last one before the item *before*."""
    for index, step in enumerate(steps):
        if step.kind == "window" and (step.item, step.rest) == (window.after, window.rest):
            return index
    return max((index for index, step in enumerate(steps) if step.item < before), default=0)


def doors_key(number: int) -> str:
    """Return what the drum of that *number* is ticked off as before the doors."""
    return f"doors {number}"


def change_key(number: int) -> str:
    """Return what the change of that *number* is ticked off as."""
    return f"change {number}"


def title_of(item: PlannedItem | None) -> str:
    """Return what an item is called, without the composer of a piece; empty where there is none."""
    if item is None:
        return ""
    name = item.row.name
    return name.partition(": ")[2] or name if item.row.item.piece else name
