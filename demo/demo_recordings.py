"""The demo's recordings: taps on three drums, made before the rehearsal of 23 November 2026.

Each drum stands where its logbook says, but for the field drum, whose bottom head somebody tightened by a
sixteenth without writing it down; and the films have crept since.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
import numpy.typing as npt

from demo_drums import DRUMS
from demo_log import TOUCH_UP, logbooks
from demo_steps import WINTER
from hidden_drum import HIDDEN
from lugbook.records import SIDES, HeadSide
from struck_head import StruckHead, Tap, strike

REHEARSAL = datetime(2026, 11, 23, 17, 40, tzinfo=WINTER)

_FILM_KG_M3 = 1390.0
"""Density of polyester film (maker's bulletin H-37232-3)."""

_INCH_M, _MIL_M = 0.0254, 25.4e-6


@dataclass(frozen=True)
class Recorded:
    """One drum as it was recorded: both heads, each with the other one damped and the wires off.

    Attributes:
        drum: its slug.
        preset: the preset that it is checked against.
        unwritten: turns (top, bottom) that nobody wrote down.
        in_tune: whether both heads are within the library's tolerance of the preset.
    """

    drum: str
    preset: str
    unwritten: tuple[float, float]
    in_tune: bool

    def file(self, side: HeadSide) -> str:
        """Return the name of the recording of the *side*."""
        return f"{self.drum}-{side}.wav"

    def true_hz(self) -> tuple[float, float]:
        """Return the pitches (top, bottom) in Hz that the heads really have."""
        entries = logbooks()[self.drum]
        last = entries[-1].position
        single = sum(TOUCH_UP / DRUMS[self.drum].top.rods for entry in entries if entry.touch_up is not None)
        position = (
            (last.top or 0.0) + single + self.unwritten[0],
            (last.bottom or 0.0) + self.unwritten[1],
        )
        return HIDDEN[self.drum].hz(position, at=REHEARSAL)


RECORDED = (
    Recorded("concert-snare", "dry-etude", unwritten=(0.0, 0.0), in_tune=False),
    Recorded("deep-maple", "big-tutti", unwritten=(0.0, 0.0), in_tune=True),
    Recorded("field-drum", "march-on-stage", unwritten=(0.0, 1 / 16), in_tune=False),
)

_TAPS = {
    "top": (
        Tap(at_s=0.22, level=0.9, radius=0.84, angle=0.70),
        Tap(at_s=0.93, level=1.0, radius=0.86, angle=0.95),
        Tap(at_s=1.61, level=0.8, radius=0.83, angle=0.62),
        Tap(at_s=2.30, level=0.9, radius=0.85, angle=0.86),
    ),
    "bottom": (
        Tap(at_s=0.31, level=1.0, radius=0.85, angle=0.88),
        Tap(at_s=1.18, level=0.8, radius=0.83, angle=0.66),
        Tap(at_s=2.04, level=0.9, radius=0.86, angle=0.81),
    ),
}
"""How the player taps: about 2.5 cm in from the hoop, softly, between the axes of the split."""


def true_hz() -> dict[str, float]:
    """Return the name of each recording → the pitch in Hz that it really holds."""
    return {
        recorded.file(side): hz
        for recorded in RECORDED
        for side, hz in zip(SIDES, recorded.true_hz(), strict=True)
    }


def recordings() -> dict[str, npt.NDArray[np.int16]]:
    """Return the name of each recording → its samples: mono, 16 bit, at `struck_head.RATE_HZ`."""
    made = {}
    for number, recorded in enumerate(RECORDED):
        for side, hz in zip(SIDES, recorded.true_hz(), strict=True):
            seed = 100 * number + SIDES.index(side)
            made[recorded.file(side)] = strike(struck(recorded.drum, side, hz), _TAPS[side], seed=seed)
    return made


def struck(slug: str, side: HeadSide, hz: float) -> StruckHead:
    """Return the head on the *side* of the drum *slug* as it sounds at *hz*."""
    drum = DRUMS[slug]
    head = drum.head_on(side)
    if head is None or head.film_mil is None or drum.depth_in is None:
        raise ValueError(f"{slug}: the {side} head's film and the shell's depth must be known")
    return StruckHead(
        hz=hz,
        film_kg_m2=head.film_mil * _MIL_M * _FILM_KG_M3,
        diameter_m=drum.diameter_in * _INCH_M,
        depth_m=drum.depth_in * _INCH_M,
        t60_s=0.5 if side == "top" else 0.42,
        split_cents=2.0 if side == "top" else 3.0,
        glide_cents=6.0,
    )
