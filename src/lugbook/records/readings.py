"""A reading: a pitch together with how it was had.

Two readings of one head can be compared only where they were had in the same way: a tap near the hoop and a
stroke at the centre sound different modes, and an undamped other head moves both.
"""

from typing import Annotated, Literal

from pydantic import Field

from lugbook.pitch import pitch_hz
from lugbook.records.base import Line, PitchText, Record

By = Literal["ear", "typed", "recording", "microphone"]
"""How a pitch was had."""

Struck = Literal["rim", "centre"]
"""Where the head was struck: 2 to 3 cm in from the hoop, or at its centre."""

OtherHead = Literal["damped", "free", "unknown"]
"""What the other head did meanwhile."""

EAR_SD_CENTS = 25.0
"""Standard uncertainty of a pitch found by ear, in cents (common practice, no source)."""

TYPED_SD_CENTS = 10.0
"""Standard uncertainty of a typed pitch, in cents (common practice, no source)."""

LEAST_SD_CENTS = 3.0
"""No recording is believed to be better than this, in cents: strokes differ more than that."""


class Reading(Record):
    """A pitch of one head, and how it was had."""

    pitch: PitchText
    """``A3+4``, ``A`` (any octave) or ``221.3 Hz``."""

    by: By = "typed"
    """How it was had."""

    struck: Struck = "rim"
    """Where the head was struck."""

    other_head: OtherHead = "damped"
    """What the other head did."""

    sd_cents: Annotated[float, Field(ge=0, le=1200)] = TYPED_SD_CENTS
    """Standard uncertainty in cents."""

    file: Line = ""
    """Name of the recording it was read from, without its folder."""

    chosen: bool = False
    """Whether the player chose this pitch among those that were heard in the recording."""

    @property
    def uncertainty_cents(self) -> float:
        """Its standard uncertainty in cents, never less than one had in this way can have."""
        return max(self.sd_cents, least_sd_cents(self.by))

    def hz(self, *, a4_hz: float) -> float | None:
        """Return the frequency in Hz at the concert pitch *a4_hz*; None for a note name without octave."""
        return pitch_hz(self.pitch, a4_hz=a4_hz)


def least_sd_cents(by: By) -> float:
    """Return the standard uncertainty in cents that a reading had in this way has at the least."""
    return {"ear": EAR_SD_CENTS, "typed": TYPED_SD_CENTS}.get(by, LEAST_SD_CENTS)
