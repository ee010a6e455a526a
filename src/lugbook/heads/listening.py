"""Listening: from the samples of a recording to the pitch of a drum head.

Problem: a player taps a head near the hoop, the other head damped, and wants its pitch to a few cents. This
module puts the steps together: one channel, its strokes, the lines of each tap, the line that is the pitch,
the taps joined, and what is to be said about them.

Conventions: results as in `lugbook.heads.hearing`. Samples may have any scale and any finite or non-finite
values: what cannot be heard is refused in a sentence, only a senseless rate or expectation raises.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
from threadpoolctl import ThreadpoolController

from lugbook.errors import BadValue
from lugbook.heads import refusing
from lugbook.heads.channel import Channel, loudest, slowed
from lugbook.heads.hearing import FAR_FROM_OTHERS, Alternative, Hearing, OtherHead, Reading, Struck, Tap
from lugbook.heads.joining import STRAY_CENTS, join
from lugbook.heads.ranges import LEAST_RATE_HZ, MOST_RATE_HZ
from lugbook.heads.remarks import remarks_on
from lugbook.heads.strikes import Strike, find_strikes
from lugbook.heads.taps import HeardTap, hear_tap
from lugbook.pitch import cents_between, nearest
from lugbook.progress import Progress, part_of

LEAST_NEAR_HZ, MOST_NEAR_HZ = 20.0, 5000.0
"""Where a pitch may be expected."""

_MOST_TAPS = 400
"""No more strokes than this are read, the first ones."""

_FAR_CENTS = 130.0
"""A pitch this far from the expected one is not what was expected."""

_FEWEST_THAT_AGREE = 3
"""Fewer taps say nothing about what another ought to be."""

_SLOWING = 0.3
"""The share of the work that is done when the channel has been slowed."""


def listen(
    samples: npt.ArrayLike,
    *,
    rate_hz: float,
    near_hz: float | None = None,
    struck: Struck = "rim",
    progress: Progress | None = None,
) -> Hearing:
    """Return the pitch of the drum head that is struck in *samples*.

    Args:
        samples: shape (n,) or (n, channels), any scale; not changed.
        rate_hz: samples a second, from 4000 to 400 000.
        near_hz: about where the pitch is expected, from 20 to 5000 Hz: a target or an earlier reading.
        struck: ``"rim"``, 2 to 3 cm in from the hoop, or ``"centre"``.
        progress: is told the share that is done, from 0 to 1; what it raises ends the listening.

    Raises:
        BadValue: *rate_hz*, *near_hz*, *struck* or the shape of *samples* is out of range.
    """
    _check(rate_hz, near_hz, struck)
    array = _as_array(samples)
    if array.shape[0] < refusing.SHORTEST_S * rate_hz or array.size == 0:
        return _refused(refusing.TOO_SHORT)
    mono = loudest(array)
    if not mono.finite:
        return _refused(refusing.NOT_A_NUMBER)
    channel = slowed(mono, rate_hz=float(rate_hz), progress=part_of(progress, 0.0, _SLOWING))
    why = refusing.why_not_channel(channel)
    if why is not None:
        return _refused(why)
    found = find_strikes(channel)
    strikes = found[:_MOST_TAPS]
    if not strikes:
        return _refused(refusing.NO_STROKE)
    told = part_of(progress, _SLOWING, 1.0)
    heard: list[HeardTap] = []
    # The products are small: a second thread waits for the first longer than it helps.
    with _threads().limit(limits=1, user_api="blas"):
        for strike in strikes:
            if told is not None:
                told(len(heard) / len(strikes))
            heard.append(hear_tap(channel, strike, struck=struck, near_hz=near_hz))
        if near_hz is None:
            heard = _heard_again(heard, channel, struck=struck)
    hearing = _joined(heard, channel, struck=struck)
    return replace(hearing, remarks=(*_beforehand(hearing, found, near_hz=near_hz), *hearing.remarks))


def _beforehand(hearing: Hearing, found: Sequence[Strike], *, near_hz: float | None) -> Iterator[str]:
    """Yield what is to be said first: what was not listened to, and what was not where it was expected."""
    if len(found) > _MOST_TAPS:
        until = found[_MOST_TAPS - 1].at_s
        yield f"Only the first {_MOST_TAPS} taps were taken, up to {until // 60:.0f}:{until % 60:02.0f}."
    if near_hz is not None and hearing.reading is not None:
        off = abs(cents_between(near_hz, to_hz=hearing.reading.hz))
        others = (abs(cents_between(near_hz, to_hz=other.hz)) for other in hearing.reading.alternatives)
        if off > _FAR_CENTS:
            nearest = ": nothing rings nearer to it" if off <= min(others, default=off) else ""
            yield f"The pitch lies {off:.0f} cents from what was expected{nearest}."


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()


def _heard_again(heard: list[HeardTap], channel: Channel, *, struck: Struck) -> list[HeardTap]:
    """Return the taps, those far from the rest heard again near it: they may have sounded another line more.

    Where most taps agree, what they say is an expectation like any other.
    """
    pitches = [tap.hz for tap in heard if tap.hz is not None and refusing.why_not_tap(tap) is None]
    if len(pitches) < _FEWEST_THAT_AGREE:
        return heard
    centre = float(np.median(pitches))
    far = [tap.hz is None or abs(cents_between(centre, to_hz=tap.hz)) > STRAY_CENTS for tap in heard]
    if 2 * sum(far) >= len(heard):
        return heard
    again = (
        hear_tap(channel, tap.strike, struck=struck, near_hz=centre) if is_far else tap
        for tap, is_far in zip(heard, far, strict=True)
    )
    return [
        new if new.hz is not None and abs(cents_between(centre, to_hz=new.hz)) < STRAY_CENTS else old
        for new, old in zip(again, heard, strict=True)
    ]


def _joined(heard: list[HeardTap], channel: Channel, *, struck: Struck) -> Hearing:
    reasons = [refusing.why_not_tap(tap) for tap in heard]
    good = [tap for tap, reason in zip(heard, reasons, strict=True) if reason is None and tap.hz is not None]
    refused = refusing.why_not_together(heard, good)
    if refused is not None:
        return _none_of(heard, reasons, refused)
    pitches = np.array([tap.hz for tap in good], dtype=np.float64)
    hz, sd_cents, used = join(pitches, np.array([tap.sd_cents for tap in good]))
    refused = refusing.why_not_joined(1200 * np.log2(pitches / hz), sd_cents)
    if refused is not None:
        return _none_of(heard, reasons, refused)
    kept = [tap for tap, use in zip(good, used, strict=True) if use]
    strays = {id(tap) for tap, use in zip(good, used, strict=True) if not use}
    taps = tuple(
        _tap(tap, FAR_FROM_OTHERS if id(tap) in strays else reason)
        for tap, reason in zip(heard, reasons, strict=True)
    )
    near = nearest(hz)
    splits = [tap.split_cents for tap in kept if tap.split_cents is not None]
    split = float(np.median(splits)) if 2 * len(splits) > len(kept) else None
    surest = min(kept, key=lambda tap: (not tap.sure, tap.sd_cents))
    reading = Reading(
        hz,
        sd_cents,
        near.note.text(),
        near.cents,
        "1,1" if struck == "rim" else "0,1",
        all(tap.sure for tap in kept),
        len(kept),
        split,
        _other_head(kept),
        tuple(Alternative(other, _phrase(mode)) for other, mode in surest.others),
    )
    return Hearing(taps, reading, remarks_on(reading, taps, kept, channel), None)


def _none_of(heard: list[HeardTap], reasons: list[str | None], refused: str) -> Hearing:
    taps = (
        _tap(tap, reason or "the recording was refused") for tap, reason in zip(heard, reasons, strict=True)
    )
    return Hearing(tuple(taps), None, (), refused)


def _tap(tap: HeardTap, reason: str | None) -> Tap:
    if tap.hz is None:
        return Tap(tap.strike.at_s, None, None, None, None, None, False, reason, tap.partials)
    near = nearest(tap.hz)
    return Tap(
        tap.strike.at_s,
        tap.hz,
        tap.sd_cents,
        near.note.text(),
        near.cents,
        tap.glide_cents,
        reason is None,
        reason,
        tap.partials,
    )


def _other_head(kept: list[HeardTap]) -> OtherHead:
    said = [tap.other_head for tap in kept]
    if said.count("free") * 2 > len(said):
        return "free"
    return "damped" if said.count("damped") * 2 > len(said) else "unknown"


def _phrase(mode: str) -> str:
    return {
        "0,1": "what a stroke at the centre sounds",
        "1,1": "what a tap near the hoop sounds",
    }.get(mode, "another pitch of the same drum")


def _refused(sentence: str) -> Hearing:
    return Hearing((), None, (), sentence)


def _check(rate_hz: float, near_hz: float | None, struck: str) -> None:
    if not (math.isfinite(rate_hz) and LEAST_RATE_HZ <= rate_hz <= MOST_RATE_HZ):
        raise BadValue(
            f"A rate of {rate_hz} samples a second cannot be listened to.",
            hint=f"It must lie between {LEAST_RATE_HZ} and {MOST_RATE_HZ}.",
        )
    if near_hz is not None and not (math.isfinite(near_hz) and LEAST_NEAR_HZ <= near_hz <= MOST_NEAR_HZ):
        raise BadValue(
            f"A pitch near {near_hz} Hz cannot be expected.",
            hint=f"It must lie between {LEAST_NEAR_HZ:.0f} and {MOST_NEAR_HZ:.0f} Hz.",
        )
    if struck not in ("rim", "centre"):
        raise BadValue(f"A head is not struck at {struck!r}.", hint='Say "rim" or "centre".')


def _as_array(samples: npt.ArrayLike) -> npt.NDArray[Any]:
    """Return *samples* as an array of real numbers of any kind; what is one already is not copied."""
    try:
        array = np.asarray(samples)
        if array.dtype.kind == "O":
            array = array.astype(np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise BadValue("The samples are no array of numbers.", hint="Give floats of shape (n,).") from error
    if array.dtype.kind not in "biuf":
        raise BadValue("The samples are no array of numbers.", hint="Give floats of shape (n,).")
    if array.ndim not in (1, 2):
        raise BadValue(
            f"Samples with {array.ndim} dimensions cannot be heard.",
            hint="Give them as (n,) or (n, channels).",
        )
    return array
