"""The sweep of the snares: loosen until they buzz free, tighten until they choke, and set between the two.

Free buzz is sought at pp near the edge, choke at ff (common practice, no source). One adjustment of the
strainer is swept, the others stay as they are where the sweep begins.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from lugbook.desk.adjusting import adjustment_of, adjustment_text, check_span, step_of
from lugbook.desk.desk import Desk
from lugbook.desk.keeping import checked
from lugbook.desk.snare_keeping import Written, keep_setting
from lugbook.desk.snare_starts import HALF_WAY, Start, share_chosen, suggested_start
from lugbook.errors import BadValue, NotPossible
from lugbook.plain import shown
from lugbook.records import Adjustment, Drum, SnareSetting, plain_number

Stage = Literal["free", "choke", "set", "done"]
"""What is sought next."""

_UNNAMED = "knob"
"""What the adjustment is called where neither the drum nor a setting names one."""


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sweep as far as it has come; each step gives the next one."""

    drum: str
    """What the player calls the drum."""
    adjustment: Adjustment
    known: tuple[str, ...] = ()
    """The names of all adjustments that the strainer has written down."""
    start: Start | None = None
    """Where to begin, from what was written down before."""
    share: float | None = None
    """How far up the span the player chose before; None where he never did."""
    wires: str = ""
    """The id of the set that is on under the bottom head."""
    free: float | None = None
    """Where the wires just buzz free, at pp near the edge."""
    choke: float | None = None
    """Where they choke, at ff."""
    chosen: float | None = None
    """Where they are set."""
    buzzes_with: tuple[str, ...] = ()
    """Notes of other instruments that set them off."""
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name of the adjustment."""
        return self.adjustment.name

    @property
    def step(self) -> float:
        """The least that the adjustment is set by."""
        return step_of(self.adjustment)

    @property
    def stage(self) -> Stage:
        """What is sought next."""
        if self.chosen is not None:
            return "done"
        return "free" if self.free is None else "choke" if self.choke is None else "set"

    @property
    def suggested(self) -> float | None:
        """Where to set it, between free and choke; None until both are known."""
        if self.free is None or self.choke is None:
            return None
        share = HALF_WAY if self.share is None else self.share
        exact = self.free + share * (self.choke - self.free)
        stepped = _plain(round(exact / self.step) * self.step)
        if self.free < stepped < self.choke:
            return stepped
        short = float(f"{exact:.4g}")  # between two steps it is said as it is
        return short if self._inside(short) else exact

    @property
    def why_suggested(self) -> str:
        """Where the suggestion comes from, in a sentence; empty where there is none."""
        if self.suggested is None:
            return ""
        if self.share is None:
            return "Half-way between free and choke: nothing else is known yet."
        return f"{round(100 * self.share)} % of the way from free to choke, as you chose before."

    def offered(self) -> float | None:
        """Return the number to begin with at this stage; None where there is none."""
        begun = None if self.start is None else self.start.setting
        if self.stage == "set":
            return self.suggested
        if self.stage == "free":
            limits = {} if begun is None else {**begun.values, **begun.free}
            return limits.get(self.name)
        if self.stage == "choke" and self.free is not None:
            known = None if begun is None else begun.choke.get(self.name)
            return known if known is not None and known > self.free else _plain(self.free + self.step)
        return None

    def others(self) -> dict[str, float]:
        """Return the values of the other adjustments, as the sweep begins with them."""
        values = {} if self.start is None else self.start.setting.values
        return {name: value for name, value in values.items() if name != self.name}

    def with_free(self, value: float) -> "Sweep":
        """Return the sweep with the value at which the wires just buzz free.

        Raises:
            BadValue: it is no such number, or not below where they choke.
        """
        check_span(self.name, free=value, choke=self.choke)
        return replace(self, free=value)

    def with_choke(self, value: float) -> "Sweep":
        """Return the sweep with the value at which the wires choke.

        Raises:
            BadValue: it is no such number, or not above where they are free.
        """
        check_span(self.name, free=self.free, choke=value)
        return replace(self, choke=value)

    def with_chosen(self, value: float) -> "Sweep":
        """Return the sweep with the value that the adjustment is set to.

        Raises:
            BadValue: it is no such number, or lies outside free and choke.
        """
        check_span(self.name, free=value, choke=None)
        if not self._inside(value):
            raise BadValue(
                f"{shown(self.name)} {plain_number(value)} does not lie between free and choke.",
                hint=f"It is {self.span()}; sweep again where that is no longer so.",
            )
        return replace(self, chosen=value)

    def with_buzzes(self, notes: Iterable[str]) -> "Sweep":
        """Return the sweep with notes of other instruments that set the wires off, beside those it has."""
        return replace(self, buzzes_with=tuple(dict.fromkeys((*self.buzzes_with, *notes))))

    def span(self) -> str:
        """Return what was found so far, such as ``free at 2, chokes at 5``."""
        found = (("free at", self.free), ("chokes at", self.choke))
        return ", ".join(f"{word} {plain_number(value)}" for word, value in found if value is not None)

    def setting(self) -> SnareSetting:
        """Return the setting that was found.

        Raises:
            BadValue: nothing was found yet.
        """
        found = {"values": self.chosen, "free": self.free, "choke": self.choke}
        said = {key: {self.name: value} for key, value in found.items() if value is not None}
        if not said and not self.buzzes_with:
            raise BadValue("Nothing of the snares was found yet.", hint=self.now())
        if self.chosen is not None:
            said["values"] = {**said["values"], **self.others()}
        values = {**said, "buzzes_with": self.buzzes_with or None, "wires": self.wires or None}
        return checked(SnareSetting, values)

    def steps(self) -> tuple[str, ...]:
        """Return the whole sweep in sentences."""
        begun = "" if self.start is None else _place(self.start.setting)
        first = (f"Set the snares to where to begin: {shown(begun)}.",) if begun else ()
        return (*first, *(self._do(stage) for stage in ("free", "choke", "set")))

    def now(self) -> str:
        """Return what to do now, in a sentence."""
        return self._do(self.stage)

    def _do(self, stage: Stage) -> str:
        name = shown(self.name)
        if stage == "free":
            return (
                f"Play pp near the edge and loosen {name} until the wires just buzz free; "
                "note the value where they do."
            )
        if stage == "choke":
            return f"Play ff and tighten {name} until the wires choke; note the value where they do."
        if stage == "done":
            return f"Set: {shown(self.setting().text())}."
        if self.suggested is None:
            return f"Set {name} between the two, and listen."
        return f"Set {name} to {plain_number(self.suggested)}, and listen. {self.why_suggested}"

    def _inside(self, value: float) -> bool:
        low = -math.inf if self.free is None else self.free
        high = math.inf if self.choke is None else self.choke
        return low <= value <= high


def begin(desk: Desk, drum_id: str, adjustment: str | None = None) -> Sweep:
    """Begin a sweep of the snares of a drum.

    Args:
        desk: the desk.
        drum_id: the drum.
        adjustment: which adjustment is swept; the first of the strainer's where None.

    Raises:
        BadValue: the strainer has no such adjustment.
        NotPossible: the drum has no wires on.
    """
    drum = desk.library.drum(drum_id).record
    if drum.wires and not any(one.off is None for one in drum.wires):
        raise NotPossible(
            f"{shown(drum.name)} has no wires on.", hint=f"Put a set on first: lugbook wires add {drum_id}"
        )
    swept, remarks = _swept(desk, drum_id, drum, adjustment)
    on = drum.wires_on("bottom")
    return Sweep(
        drum=drum.name,
        adjustment=swept,
        known=tuple(one.name for one in drum.strainer.adjustments),
        start=suggested_start(desk, drum_id, adjustment=swept.name),
        share=share_chosen(desk, drum_id, swept.name),
        wires=on.id if on is not None else "",
        remarks=remarks,
    )


def keep(
    desk: Desk, drum_id: str, sweep: Sweep, *, entry_id: str | None = None, search: str | None = None
) -> Written:
    """Write down what a sweep found.

    Where it goes is as in `keep_setting`.

    Args:
        desk: the desk.
        drum_id: the drum.
        sweep: what was found.
        entry_id: the entry of a search that it belongs to.
        search: the name of a search; the present one where None.

    Raises:
        BadValue: nothing was found yet.
        NotFound: there is no such entry or search.
    """
    return keep_setting(desk, drum_id, sweep.setting(), entry_id=entry_id, search=search)


def _place(setting: SnareSetting) -> str:
    """Return where the adjustments of a setting stand, in one line; its words where it names none."""
    return SnareSetting(values=setting.values).text() or setting.words


def _swept(desk: Desk, drum_id: str, drum: Drum, wanted: str | None) -> tuple[Adjustment, tuple[str, ...]]:
    """Return the adjustment to sweep, and what is to be said of the choice."""
    if wanted is not None:
        return adjustment_of(drum, wanted), ()
    known = drum.strainer.adjustments
    if known:
        others = " and ".join(shown(one.name) for one in known[1:])
        more = (f"Swept is {shown(adjustment_text(known[0]))}; not {others}.",) if others else ()
        return known[0], more
    begun = suggested_start(desk, drum_id)
    named = next(iter(begun.setting.values), _UNNAMED) if begun is not None else _UNNAMED
    how = f'lugbook drum edit {drum_id} --adjustment "{named}=clicks from all the way out"'
    return Adjustment(name=named), (f"No adjustment of the strainer is written down: {how}",)


def _plain(number: float) -> float:
    """Return a sum of steps as it is typed: three tenths, and not what binary fractions make of it."""
    return round(number, 9)
