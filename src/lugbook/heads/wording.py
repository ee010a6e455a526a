"""What a hearing says, in a player's words: where a line sounds, and the facts beside the pitch.

Conventions: as in `lugbook.heads.hearing`; phrases without a full stop.
"""

from statistics import median

from lugbook.heads.hearing import Hearing, OtherHead, Struck
from lugbook.pitch import in_cents

_PLACES = {"1,1": "near the hoop", "0,1": "centre"}

_HIGHER = "higher"
"""What every line above the two that a player taps for is called."""

REACH_DB = 60.0
"""How far below its loudest moment a recording is shown."""

MINUTES_FROM_S = 150.0
"""From here on a time is written in minutes."""

LEAST_CENTS = 0.5
"""What is smaller than this is none, in whole cents."""


def mode_words(mode: str | None) -> str:
    """Return where a line of the drum sounds, such as ``near the hoop``; empty for one without a name."""
    return "" if mode is None else _PLACES.get(mode, _HIGHER)


def struck_words(struck: Struck) -> str:
    """Return where the head was struck."""
    return "struck near the hoop" if struck == "rim" else "struck at the centre"


def facts(hearing: Hearing) -> tuple[tuple[str, str], ...]:
    """Return what was heard beside the pitch, each with its heading: glide, split, other head, sureness."""
    reading = hearing.reading
    if reading is None:
        return ()
    glides = [tap.glide_cents for tap in hearing.taps if tap.used and tap.glide_cents is not None]
    return (
        ("after the stroke", _glide(median(glides)) if glides else "cannot be told"),
        ("evenness", _split(reading.split_cents)),
        ("other head", _OTHER_HEAD[reading.other_head]),
        ("this line", "sure" if reading.sure else "not sure: another may be meant"),
    )


def taps_words(hearing: Hearing) -> str:
    """Return how many of the taps the reading rests on, such as ``from 3 of 4 taps``."""
    used = hearing.reading.taps_used if hearing.reading is not None else 0
    return "from 1 tap" if used == len(hearing.taps) == 1 else f"from {used} of {len(hearing.taps)} taps"


_OTHER_HEAD: dict[OtherHead, str] = {
    "damped": "damped",
    "free": "rang too",
    "unknown": "cannot be told",
}


def _glide(cents: float) -> str:
    if abs(cents) < LEAST_CENTS:
        return "holds its pitch"
    return f"{'falls' if cents > 0 else 'rises'} by {in_cents(cents)}"


def _split(cents: float | None) -> str:
    if cents is None or abs(cents) < LEAST_CENTS:
        return "one pitch"
    return f"two pitches {in_cents(cents)} apart"
