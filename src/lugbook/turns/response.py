"""How one drum answers to turns: the model that learns from each reading and advises the next turn.

Problem: given what was read after which turns on which day, say what pitch to expect at a position, and what
turns lead from a position to a pair of pitches. `Response` is that knowledge; it is immutable, and each
reading makes a new one.

Conventions: pairs are (top, bottom); turns are turns of the key on all rods, plus tightens; pitches are in
Hz, read with the other head damped; their standard deviations in cents; days are floats from any fixed
start. None stands for a head that was not read or has no target.

The model is described in `state` (what is kept), `prior` (before any data), `drift` (while nobody turns),
`learning` (a reading) and `advice` (the answers).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lugbook.pitch import signed
from lugbook.turns.advice import (
    SIDES,
    Advice,
    Difference,
    Forecast,
    HeadPair,
    Side,
    difference,
    forecast,
    towards,
)
from lugbook.turns.bounds import (
    checked_day,
    checked_position,
    checked_sd,
    checked_temperature,
    each_of_two,
)
from lugbook.turns.drift import creep_span
from lugbook.turns.kinship import Kin, akin
from lugbook.turns.learning import UNHEARD, FirstPitch, after_rough_days, begun, cents_from_guess, learned
from lugbook.turns.prior import Material, head_prior
from lugbook.turns.renewal import rebegun, recounted
from lugbook.turns.squares import SLACK_HZ, cents_of, check_reading_hz
from lugbook.turns.state import B, K, Pair, State, Y, first_state


@dataclass(frozen=True, eq=False)
class Response:
    """What is known of how a drum's two heads answer to turns. Made by `prior`, never directly."""

    state: State
    """The two heads at the last position and day."""
    firsts: tuple[FirstPitch | None, FirstPitch | None]
    """The pitch of each head while it has not been turned or aged since it was first read, else None."""
    heard: tuple[bool, bool]
    """Whether each head has ever been read."""
    remarks: tuple[str, ...] = ()
    """What the last reading gave cause to say."""

    @classmethod
    def prior(
        cls,
        *,
        diameter_in: float,
        thread_mm: float,
        film_mil: Pair = (10.0, 3.0),
        material: tuple[Material, Material] = ("film", "film"),
        day: float = 0.0,
        kin: tuple[Kin, Kin] = (Kin(), Kin()),
    ) -> "Response":
        """Return what is believed of a drum before anything was read.

        Args:
            diameter_in: diameter of the heads in inches, 6 to 40.
            thread_mm: travel of a rod per turn in mm, 0.2 to 3; 12-24 rods have 25.4/24.
            film_mil: thickness of top and bottom head in mil.
            material: what top and bottom head are made of.
            day: the day that the heads' creep counts from.
            kin: what other drums tell of top and bottom head.

        Raises:
            BadValue: a value out of range.
        """
        top, bottom = (
            akin(head_prior(diameter_in=diameter_in, thread_mm=thread_mm, film_mil=mil, material=stuff), told)
            for mil, stuff, told in zip(film_mil, material, kin, strict=True)
        )
        state = first_state((top, bottom), diameter_in=diameter_in, day=checked_day(day))
        for head in (0, 1):
            state = begun(state, head, UNHEARD)
        return cls(state=state, firsts=(None, None), heard=(False, False))

    def observe(
        self,
        position: Sequence[float],
        *,
        hz: HeadPair,
        sd_cents: float | HeadPair,
        day: float,
        temperature_c: float | None = None,
    ) -> "Response":
        """Return what is known after the heads were read at a position.

        Args:
            position: turns of top and bottom, any floats within ±64.
            hz: pitches of top and bottom in Hz, 20 to 20 000; None for a head that was not read.
            sd_cents: standard uncertainty of the readings in cents, 0 to 1200: one for both, or a pair.
            day: when, in days; a clock that went back counts as the same day, and a remark says so.
            temperature_c: the air's, in °C, −40 to 60; None where nobody looked.

        Raises:
            BadValue: a value out of range or not finite.
        """
        where, day = checked_position(position), checked_day(day)
        said = [] if day >= self.state.day else ["The clock went back; the reading counts for the last day."]
        state = self.state.at(where, day, checked_temperature(temperature_c))
        # Without a temperature beside this reading, the next one has nothing to be compared with.
        state = replace(state, temperature_c=temperature_c)
        readings = {
            head: (check_reading_hz(float(read_hz)), checked_sd(read_sd))
            for head, read_hz, read_sd in zip((0, 1), hz, each_of_two(sd_cents), strict=True)
            if read_hz is not None
        }
        turned = [here - before for here, before in zip(where, self.state.position, strict=True)]
        unturned = [(head, *one) for head, one in readings.items() if self.heard[head] and not turned[head]]
        state = after_rough_days(state, unturned, days=day - self.state.day)
        stayed = state.position == self.state.position and state.day == self.state.day
        firsts: list[FirstPitch | None] = list(self.firsts) if stayed else [None, None]
        heard = list(self.heard)
        for head, (pitch, sd) in readings.items():
            first = firsts[head] if heard[head] else UNHEARD
            if first is not None:
                cents = cents_from_guess(state.priors[head], pitch)
                if heard[head] and first.contradicts(cents, sd):
                    said.append(self._surprise(head, pitch, cents - first.cents, 0.0))
                first = first.sharpened(cents, sd)
                firsts[head], heard[head] = first, True
                state = begun(state, head, first)
                continue
            state, off = learned(state, head, hz=pitch, sd_cents=sd, turned=turned[head])
            if off is not None:
                said.append(self._surprise(head, pitch, off, turned[head]))
        return Response(state, (firsts[0], firsts[1]), (heard[0], heard[1]), tuple(said))

    def new_count(self, side: Side, *, day: float) -> "Response":
        """Return what is known after the count of one head was lost or begun anew: its turns stand at nought.

        The head keeps its slopes, the other head everything; the pitch is unknown until it is read.

        Raises:
            BadValue: the day is not finite.
        """
        head = SIDES.index(side)
        state = recounted(self.state.at(self.state.position, checked_day(day)), head)
        return replace(self, state=state, firsts=_without(self.firsts, head), remarks=())

    def new_head(self, side: Side, *, film_mil: float, material: Material = "film", day: float) -> "Response":
        """Return what is known after a new head was put on one side: a new count, a pitch not yet read.

        Its slope begins where that of the old head was, if anything was read of that; the other head keeps
        everything. The arguments are those of `prior`, for this head.

        Raises:
            BadValue: a value out of range.
        """
        head = SIDES.index(side)
        old = self.state.priors[head]
        new = head_prior(
            diameter_in=old.diameter_in, thread_mm=old.thread_mm, film_mil=film_mil, material=material
        )
        aged = self.state.at(self.state.position, checked_day(day))
        state = rebegun(aged, head, new, learned=self.heard[head])
        heard = (self.heard[0] and head != 0, self.heard[1] and head != 1)
        return replace(self, state=state, firsts=_without(self.firsts, head), heard=heard, remarks=())

    def predict(
        self, position: Sequence[float], *, day: float, temperature_c: float | None = None
    ) -> Forecast:
        """Return the pitches to expect at a position on a day, after turning there by hand.

        Args:
            position: where the heads will stand, in turns.
            day: when, in days.
            temperature_c: the air's then, in °C; it tells something where it was written down before too.

        Raises:
            BadValue: a value out of range or not finite.
        """
        there = forecast(self._state_at(position, day, temperature_c))
        return replace(there, remarks=there.remarks + self._unheard((0, 1)))

    def turns_to(
        self,
        hz: HeadPair,
        *,
        position: Sequence[float],
        day: float,
        temperature_c: float | None = None,
    ) -> Advice:
        """Return the turns that lead from a position to a pair of pitches.

        Args:
            hz: target of top and bottom in Hz; None for a head that is to stay as it is.
            position: where the heads stand, in turns.
            day: today.
            temperature_c: the air's today, in °C, where it is known.

        Raises:
            BadValue: a value out of range or not finite.
        """
        for pitch in hz:
            if pitch is not None:
                check_reading_hz(float(pitch))
        advice = towards(self._state_at(position, day, temperature_c), (hz[0], hz[1]))
        asked = tuple(head for head in (0, 1) if hz[head] is not None)
        return replace(advice, remarks=self.remarks + self._unheard(asked) + advice.remarks)

    def cents_per_turn(
        self, side: Side, *, hz: float, position: Sequence[float], day: float
    ) -> tuple[float, float]:
        """Return how far a turn of all rods of one head moves its own pitch, and the standard deviation.

        Args:
            side: the head.
            hz: what it reads now, in Hz, 20 to 20 000.
            position: where both heads stand, in turns.
            day: today.

        Raises:
            BadValue: a value out of range or not finite.
        """
        head = SIDES.index(side)
        prior, square = self.state.priors[head], check_reading_hz(hz) ** 2
        if not self.heard[head]:
            believed, believed_sd = prior.slope_at(square)
            return cents_of(believed, at=square), cents_of(believed_sd, at=square)
        state = self.state.at(checked_position(position), checked_day(day))
        slope = float(state.slopes()[head, head])
        return cents_of(slope, at=square), cents_of(math.sqrt(float(state.cov[B[head], B[head]])), at=square)

    def fall_cents(self, side: Side, *, day: float, days: float) -> float:
        """Return how far one head is expected to creep down in so many days from *day* on, in cents.

        Raises:
            BadValue: a day is not finite.
        """
        head, day, days = SIDES.index(side), checked_day(day), checked_day(days)
        square = float(self.state.mean[Y[head]])
        if square < SLACK_HZ**2:
            return 0.0
        span = creep_span(since=self.state.since[head], day=day, until=day + days)
        return max(cents_of(float(self.state.mean[K[head]]) * span, at=square), 0.0)

    def slope(self, side: Side) -> tuple[float, float]:
        """Return how far a turn of one head moves its own f² where it stands, in Hz², and the sd of that."""
        index = B[SIDES.index(side)]
        return float(self.state.mean[index]), float(self.state.cov[index, index]) ** 0.5

    def difference(self, position: Sequence[float], *, hz: HeadPair) -> Difference:
        """Return how much of the pitches read now differs by turns, and how much is drift.

        Args:
            position: where the heads stand now, in turns.
            hz: what they read now, in Hz; None for a head that was not read.

        Raises:
            BadValue: a value out of range or not finite.
        """
        for pitch in hz:
            if pitch is not None:
                check_reading_hz(float(pitch))
        return difference(self.state, self.state.at(checked_position(position), self.state.day), hz)

    def _state_at(self, position: Sequence[float], day: float, temperature_c: float | None) -> State:
        return self.state.at(checked_position(position), checked_day(day), checked_temperature(temperature_c))

    def _surprise(self, head: int, hz: float, off_cents: float, turned: float) -> str:
        """Return the sentence for a reading that neither the *turned* amount nor the days explain."""
        side = SIDES[head].capitalize()
        moved = abs(hz**2 - float(self.state.mean[Y[head]]))
        if turned and moved > abs(turned) * self.state.priors[head].slope_limit:
            return f"{side} head: the pitch moved more than rods and film allow; recheck its turns."
        return (
            f"{side} head: {signed(off_cents)} cents from what turns and days explain; "
            "was every turn written down, and is it the same note?"
        )

    def _unheard(self, heads: tuple[int, ...]) -> tuple[str, ...]:
        return tuple(
            f"{SIDES[head].capitalize()} head: never read; its pitch is a guess from the drum's size."
            for head in heads
            if not self.heard[head]
        )


def _without(
    firsts: tuple[FirstPitch | None, FirstPitch | None], head: int
) -> tuple[FirstPitch | None, FirstPitch | None]:
    return (None, firsts[1]) if head == 0 else (firsts[0], None)
