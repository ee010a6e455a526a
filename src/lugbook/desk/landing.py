"""Where a head is expected to land when it is turned without being heard, and how far that may be trusted."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.desk.responses import GUESS_SHARE, Memory, remembered
from lugbook.desk.visits import visits_of
from lugbook.errors import BadValue
from lugbook.pitch import Pitch, offset_cents, parse_pitch
from lugbook.records import SIDES, Drum, Entry, HeadSide, Material, Preset, Struck
from lugbook.turns.returns import (
    Film,
    Visit,
    chance_within,
    corrected_sd_cents,
    error_cents,
    returns_among,
    scatter_of,
    turns_unheard,
)

if TYPE_CHECKING:
    from lugbook.turns import Response


@dataclass(frozen=True, slots=True)
class Landing:
    """One head after a silent change, against its target."""

    side: HeadSide
    hz: float | None
    """The pitch to expect in Hz; None for a head that would be slack."""
    bias_cents: float | None
    """How far off its target the model expects it; None where there is no pitch to compare with."""
    sd_cents: float | None
    """Standard deviation of the pitch, as past returns correct it."""
    returns: int
    """How many past returns of this head that rests on."""
    learned: bool
    """Whether the head's slope is learned rather than guessed, and its pitch was read in this count."""

    @property
    def error_cents(self) -> float | None:
        """The root mean square error to expect, in cents."""
        if self.bias_cents is None or self.sd_cents is None:
            return None
        return error_cents(self.bias_cents, self.sd_cents)

    def chance(self, tolerance_cents: float) -> float:
        """Return the probability of landing within the tolerance; 0 where there is nothing to compare."""
        if self.bias_cents is None or self.sd_cents is None:
            return 0.0
        return chance_within(self.bias_cents, self.sd_cents, tolerance_cents=tolerance_cents)


@dataclass(frozen=True, slots=True)
class Landings:
    """Both heads after a silent change."""

    top: Landing
    bottom: Landing

    def of(self, side: HeadSide) -> Landing:
        """Return the landing of one head."""
        return self.top if side == "top" else self.bottom

    @property
    def error_cents(self) -> float | None:
        """The error to expect of the worse head, as a root mean square; None where one is not known."""
        top, bottom = self.top.error_cents, self.bottom.error_cents
        return None if top is None or bottom is None else max(top, bottom)

    @property
    def interval_error_cents(self) -> float | None:
        """The error to expect of the interval between the heads, taken to err each for itself.

        Weather moves both heads alike, so that this is rather too wide.
        """
        top, bottom = self.top, self.bottom
        if top.bias_cents is None or bottom.bias_cents is None:
            return None
        sd = error_cents(top.sd_cents or 0.0, bottom.sd_cents or 0.0)
        return error_cents(bottom.bias_cents - top.bias_cents, sd)

    @property
    def sd_cents(self) -> float | None:
        """Standard deviation of the pitch of the less certain head."""
        return max(
            (one for one in (self.top.sd_cents, self.bottom.sd_cents) if one is not None), default=None
        )

    @property
    def returns(self) -> int:
        """How many past returns they rest on, of both heads."""
        return self.top.returns + self.bottom.returns

    def chance(self, tolerance_cents: float) -> float:
        """Return the probability that both heads land within the tolerance, each for itself."""
        return self.top.chance(tolerance_cents) * self.bottom.chance(tolerance_cents)


def landings_at(
    desk: Desk,
    drum_id: str,
    drum: Drum,
    preset: Preset,
    *,
    to: tuple[float, float],
    memory: Memory | None = None,
) -> Landings:
    """Return where both heads are expected to land at the position *to*, against the targets of *preset*.

    Args:
        desk: the desk.
        drum_id: the drum.
        drum: its record.
        preset: whose targets are meant.
        to: counted turns of top and bottom after the change.
        memory: what is learned of the drum is looked up there, and put there.
    """
    entries = desk.library.log(drum_id).entries
    kept = [one.record for one in desk.library.presets(drum_id).items.values()]
    memory = memory or Memory()
    found: list[Landing] = []
    for side in SIDES:
        target, head = preset.target(side), drum.head_on(side)
        struck: Struck = target.struck if target is not None else "rim"
        learned = remembered(desk, drum_id, memory, struck=struck)
        read = {one: bool(learned.entries[one]) for one in SIDES}
        touched = learned.touched
        found.append(
            landing_of(
                _taught(learned.response, drum, entries, kept, struck=struck, read=read),
                side,
                to=(to[0] + touched[0], to[1] + touched[1]),
                day=learned.day,
                visits=visits_of(drum, entries, kept, struck=struck),
                off_cents=_off_target(preset, side),
                read=read[side],
                diameter_in=drum.diameter_in,
                material=head.material if head is not None else "film",
            )
        )
    return Landings(*found)


def _taught(
    response: "Response",
    drum: Drum,
    entries: Sequence[Entry],
    presets: Iterable[Preset],
    *,
    struck: Struck,
    read: Mapping[HeadSide, bool],
) -> "Response":
    """Return the *response*, taught by the presets' own pitches where no head was *read* in these counts."""
    if any(read.values()):
        return response
    for visit in visits_of(drum, entries, presets, struck=struck):
        if visit.kept and visit.hz != (None, None):
            response = response.observe(visit.position, hz=visit.hz, sd_cents=visit.sd_cents, day=visit.day)
    return response


def _off_target(preset: Preset, side: HeadSide) -> Callable[[float], float | None]:
    """Return what tells how far a pitch in Hz lies above the target; None where they cannot be compared."""
    target = preset.target(side)
    if target is None or target.other_head == "free":
        return lambda _: None
    aim, a4_hz = parse_pitch(target.pitch), preset.a4

    def off(hz: float) -> float | None:
        try:
            pitch = Pitch(note=None, hz=hz)
        except BadValue:
            # No head is as high as a wild guess of a slope may make it.
            return None
        return offset_cents(pitch, target=aim, measured_a4_hz=a4_hz, target_a4_hz=a4_hz)

    return off


def landing_of(
    response: "Response",
    side: HeadSide,
    *,
    to: tuple[float, float],
    day: float,
    visits: Sequence[Visit],
    off_cents: Callable[[float], float | None],
    read: bool,
    diameter_in: float,
    material: Material = "film",
) -> Landing:
    """Return where one head is expected to land at the position *to*.

    Args:
        response: what is known of the drum.
        side: the head.
        to: turns of top and bottom after the change.
        day: today, in days since 1970.
        visits: where the drum has been and what was read there, in order.
        off_cents: tells how far a pitch in Hz lies above the target, in cents; None where there is none.
        read: whether its pitch was read in this count.
        diameter_in: diameter of the head in inches.
        material: what it is made of.
    """
    # Imported on use: numpy is needed where turns are asked for, not by `check` or `presets`.
    from lugbook.turns.state import KEY_TURNS

    head = SIDES.index(side)
    there = response.predict(to, day=day)
    hz, sd = there.hz[head], there.sd_cents[head]
    if hz is None or sd is None:
        return Landing(side, None, None, None, 0, learned=False)
    slope, slope_sd = response.cents_per_turn(side, hz=hz, position=to, day=day)
    film = Film(hz=hz, cents_per_turn=slope, diameter_in=diameter_in, material=material)
    scatter = scatter_of(returns_among(visits, head), film, key_turns=KEY_TURNS)
    turned, read_day = turns_unheard(visits, head, to=to[head])
    counted = response.state.position[head] != to[head]
    return Landing(
        side,
        hz,
        off_cents(hz),
        corrected_sd_cents(
            sd,
            scatter,
            hand_cents2=film.hand_cents2(turned, key_turns=KEY_TURNS),
            counted_cents2=film.hand_cents2(counted, key_turns=KEY_TURNS),
            days_cents2=0.0 if read_day is None else film.days_cents2(day - read_day),
        ),
        scatter.returns,
        learned=read and slope_sd <= GUESS_SHARE * slope,
    )
