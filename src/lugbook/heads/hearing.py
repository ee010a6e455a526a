"""What was heard: the results of listening to a recording, as plain frozen values.

Conventions: frequencies in Hz; offsets, spreads and uncertainties in cents, one standard deviation where the
name says ``sd``; levels in dB relative to the strongest line of that tap, at the moment the drum is left to
itself; ``t60_s`` the seconds in which a line falls by 60 dB; ``at_s`` seconds from the start of the
recording. Nothing was heard: ``None``, never a made-up number. Sentences are written for a player.
"""

from dataclasses import dataclass
from typing import Literal

Struck = Literal["rim", "centre"]
"""Where the head was struck: 2 to 3 cm in from the hoop, or at its centre."""

OtherHead = Literal["damped", "free", "unknown"]
"""What the other head seems to have done meanwhile."""

RodWord = Literal["even", "flat", "sharp", "cannot tell", "not heard"]
"""How a rod stands among the others."""

FAR_FROM_OTHERS = "its pitch is far from the others"
"""Why a tap of another pitch is left out of a reading; in a round of the rods it may be a rod far off."""


@dataclass(frozen=True, slots=True)
class Partial:
    """One line of a tap's sound.

    Attributes:
        hz: settled frequency in Hz.
        level_db: level in dB relative to the strongest line of the tap, at most 0.
        t60_s: decay time in seconds for 60 dB.
        mode: its name among the drum's modes, such as ``"1,1"``; None where it fits none.
    """

    hz: float
    level_db: float
    t60_s: float
    mode: str | None


@dataclass(frozen=True, slots=True)
class Tap:
    """One stroke and its pitch.

    Attributes:
        at_s: when it was struck, in seconds from the start.
        hz: its settled pitch in Hz; None where none was found.
        sd_cents: standard deviation of that pitch in cents.
        note: nearest note at A4 = 440 Hz, such as ``"A3"``.
        cents: cents off that note, in [-50, 50).
        glide_cents: by how much the pitch fell after the stroke; negative where it rose.
        used: whether it entered the reading.
        why_not: why it did not, as a sentence; None where it did.
        partials: its lines, lowest first.
    """

    at_s: float
    hz: float | None
    sd_cents: float | None
    note: str | None
    cents: float | None
    glide_cents: float | None
    used: bool
    why_not: str | None
    partials: tuple[Partial, ...]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another pitch that the player may have meant.

    Attributes:
        hz: its frequency in Hz.
        why: what it would be, as a phrase.
    """

    hz: float
    why: str


@dataclass(frozen=True, slots=True)
class Reading:
    """The pitch of the head, from all taps together.

    Attributes:
        hz: settled pitch in Hz; of two pitches close together the mean, weighted by their energy.
        sd_cents: its standard deviation in cents.
        note: nearest note at A4 = 440 Hz.
        cents: cents off that note, in [-50, 50).
        mode: ``"1,1"`` near the hoop, ``"0,1"`` at the centre.
        sure: whether the choice of this line among the others is beyond doubt.
        taps_used: how many taps it rests on.
        split_cents: distance of two pitches close together; None where there is one.
        other_head: what the other head seems to have done.
        alternatives: other pitches that may have been meant, likeliest first.
    """

    hz: float
    sd_cents: float
    note: str
    cents: float
    mode: str
    sure: bool
    taps_used: int
    split_cents: float | None
    other_head: OtherHead
    alternatives: tuple[Alternative, ...]


@dataclass(frozen=True, slots=True)
class Rod:
    """One rod of a round of taps.

    Attributes:
        rod: its number, clockwise looking at the head, from 1.
        hz: the pitch heard near it; None where it was not heard.
        sd_cents: standard deviation in cents, with what a tap by hand differs by when it is made again.
        off_cents: cents from the median of the round; beside a snare bed, from that of the rods there.
        turn: turns to make at this rod, plus tightens; None where nothing should be turned.
        pair: the rod opposite, where the two are to be turned together.
        beside_bed: whether it lies beside a snare bed and is judged apart.
        even: whether it is as the others are; None where the taps cannot tell or there are none.
        move_cents: how far its pitch is to be moved; None where nothing should be turned.
    """

    rod: int
    hz: float | None
    sd_cents: float | None
    off_cents: float | None
    turn: float | None
    pair: int | None
    beside_bed: bool = False
    even: bool | None = None
    move_cents: float | None = None

    @property
    def word(self) -> RodWord:
        """How it stands, in a word."""
        if self.hz is None or self.off_cents is None:
            return "not heard"
        if self.even is None:
            return "cannot tell"
        if self.even:
            return "even"
        return "sharp" if self.off_cents > 0 else "flat"


@dataclass(frozen=True, slots=True)
class RodRound:
    """A round of taps, one near each rod.

    Attributes:
        rods: the rods by their numbers; empty where the round was refused.
        median_hz: the median of the pitches, the rods beside snare beds left out; None where refused.
        spread_cents: from the lowest of those pitches to the highest; None where refused.
        pairs_only: whether the rods are uneven and opposite ones sound alike all round, so that a single rod
            cannot be told.
        least_cents: what lies nearer to the median is not told from it by these taps.
        remarks: sentences for a player.
        refused: why the round says nothing, as a sentence; None where it does.
    """

    rods: tuple[Rod, ...]
    median_hz: float | None
    spread_cents: float | None
    pairs_only: bool
    least_cents: float | None
    remarks: tuple[str, ...]
    refused: str | None = None

    def rod(self, number: int) -> Rod:
        """Return the rod of that *number*."""
        return self.rods[number - 1]


@dataclass(frozen=True, slots=True)
class Hearing:
    """Everything that a recording said.

    Attributes:
        taps: the strokes found, in order of time.
        reading: the pitch of the head, or None.
        remarks: sentences about the taps, the most important first.
        refused: why no pitch is given, as a sentence; None where one is.
        rods: the rods of a round, where one was asked for.
    """

    taps: tuple[Tap, ...]
    reading: Reading | None
    remarks: tuple[str, ...]
    refused: str | None
    rods: tuple[Rod, ...] | None = None
