"""What is said about the taps, for a player."""

from collections.abc import Sequence

import numpy as np

from lugbook.heads.channel import Channel
from lugbook.heads.hearing import Reading, Tap
from lugbook.heads.strikes import Strike
from lugbook.heads.taps import HeardTap

_HARD_GLIDE_CENTS = 8.0
_SPLIT_WORTH_SAYING_CENTS = 5.0
_MOST_STRAYS_NAMED = 5

_WIRES_LEFT = 10 ** (-14 / 10)
"""Above the tone, a knock is gone after 60 ms; what has kept more than this of its energy is wires."""

_WIRES_OVER_FLOOR = 10.0

_WIRES_BESIDE_TONE = 10 ** (-7.5 / 10)
"""The tone itself leaves so little of its energy above its band; wires leave more."""


def remarks_on(
    reading: Reading, taps: Sequence[Tap], kept: Sequence[HeardTap], channel: Channel
) -> tuple[str, ...]:
    """Return sentences about a reading, the most important first."""
    said = []
    strikes = [tap.strike for tap in kept]
    if reading.other_head == "free":
        said.append("The other head rings too: damp it whole, it moves the pitch.")
    if any(_clipped(channel, strike) for strike in strikes):
        said.append("The recording is clipped at the stroke: turn the microphone down.")
    quiet = float(np.quantile(channel.bright**2, 0.1))
    if 2 * sum(_wires(channel, strike, quiet) for strike in strikes) > len(strikes):
        said.append("The wires sound along: take them off, and hold them off the head.")
    if not reading.sure:
        said.append("Another pitch of this drum may be meant: compare the alternatives.")
    if reading.split_cents is not None and reading.split_cents >= _SPLIT_WORTH_SAYING_CENTS:
        said.append(f"Two pitches close together (uneven): {reading.split_cents:.0f} cents apart.")
    glide = max((tap.glide_cents for tap in kept), default=0.0)
    if glide >= _HARD_GLIDE_CENTS:
        said.append(f"The pitch fell by {glide:.0f} cents after the stroke: tap more softly.")
    left_out = [tap for tap in taps if not tap.used]
    said += [
        f"The tap at {tap.at_s:.2f} s was left out: {tap.why_not}." for tap in left_out[:_MOST_STRAYS_NAMED]
    ]
    return tuple(said)


def _clipped(channel: Channel, strike: Strike) -> bool:
    since = channel.clips_s - strike.at_s
    return bool(np.any((since > -0.005) & (since < 0.1)))


def _wires(channel: Channel, strike: Strike, quiet: float) -> bool:
    """Return whether noise above the tone lasts as long as the tone; *quiet* is there without any stroke."""
    at, rate = int(strike.at_s * channel.rate_hz), channel.rate_hz
    knock = channel.bright[at : at + int(0.02 * rate)] ** 2
    later = slice(at + int(0.06 * rate), min(at + int(0.16 * rate), strike.limit))
    after = channel.bright[later] ** 2
    if not knock.size or not after.size:
        return False
    left = float(np.mean(after))
    tone = float(np.mean(channel.samples[later] ** 2))
    return (
        left > _WIRES_LEFT * float(np.mean(knock))
        and left > _WIRES_OVER_FLOOR * quiet
        and left > _WIRES_BESIDE_TONE * tone
    )
