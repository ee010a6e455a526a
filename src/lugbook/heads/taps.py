"""One tap: its lines, which of them is the pitch, and how far the answer holds.

Problem: put the parts together for one stroke. Where the lines explain the sound, their joint fit gives the
pitch to the limit of what the noise allows. Where they do not (a room, a slide of the head, lines that beat),
the line that sustains is followed instead, and its uncertainty is what such lines have, not what a fit says.

Conventions: as in `lugbook.heads.hearing`.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lugbook.heads.channel import Channel
from lugbook.heads.fit import Fit
from lugbook.heads.follow import LEAST_SD, Followed, follow
from lugbook.heads.hearing import OtherHead, Partial, Struck
from lugbook.heads.lines import fit_tap
from lugbook.heads.modes import Choice, choices, expecting, other_head_beside
from lugbook.heads.settled import SPLIT_CENTS, DrumLines, drum_lines, explained, holds, leaves_noise, settled
from lugbook.heads.strikes import Strike
from lugbook.heads.sustaining import line_to_follow, shows_ladder, sounding
from lugbook.pitch import cents_between

Floats = npt.NDArray[np.float64]

_NEARLY_ALL, _SAME_PITCH = 0.999, 0.5
"""Lines that explain this share of the energy are the tap but for a faint one; and two readings of one pitch
are the same within so many cents."""

_REAL_SD = 2.0
"""Soft taps on one real head differ by about so many cents (judgement)."""

_ANOTHER_CENTS = 400.0
"""The nearest other step of a head's ladder is further off than this."""

_EXPECTED_CENTS = 60.0
"""A line this near to what is expected is the one that was meant."""

_SURE = 1.0
"""A choice is beyond doubt when its score is greater than the next by this."""


@dataclass(frozen=True, slots=True)
class HeardTap:
    """One tap before the taps are joined.

    Attributes:
        strike: the stroke.
        hz: its pitch; None where no line can be it.
        sd_cents: standard deviation of *hz*.
        glide_cents: how far the pitch fell.
        split_cents: distance of two pitches close together, or None.
        explained: share of the energy in its sound that its lines explain, from 0 to 1.
        clear_db: how far the line that was followed stands above what is beside it; None where the lines
            explain the sound and none was followed.
        sounds_s: for how long the pitch sounds: to fall by 60 dB, or as long as it could be followed.
        sure: whether the choice of the line is beyond doubt.
        others: other lines that may be the pitch: frequency and mode.
        other_head: what the other head seems to have done.
        partials: its lines.
    """

    strike: Strike
    hz: float | None = None
    sd_cents: float = 0.0
    glide_cents: float = 0.0
    split_cents: float | None = None
    explained: float = 0.0
    clear_db: float | None = None
    sounds_s: float = 0.0
    sure: bool = False
    others: tuple[tuple[float, str], ...] = ()
    other_head: OtherHead = "unknown"
    partials: tuple[Partial, ...] = ()


def hear_tap(channel: Channel, strike: Strike, *, struck: Struck, near_hz: float | None) -> HeardTap:
    """Return what the tap *strike* says."""
    fit = fit_tap(channel, strike)
    lines = drum_lines(fit) if fit is not None else None
    if fit is None or lines is None:
        expected = near_hz or line_to_follow(channel, strike, None, struck=struck)
        return _followed(channel, strike, None, [], 0.0, near_hz=expected)
    unasked = choices(lines.hz, lines.heard_db, lines.t60_s, struck=struck)
    share = explained(fit, channel, strike)
    held = holds(fit, strike, share)
    expected = near_hz
    if near_hz is None and struck == "rim" and not shows_ladder(unasked, held=held):
        expected = line_to_follow(channel, strike, (lines.hz, unasked), struck=struck)
    ranked = unasked if expected is None else expecting(unasked, lines.hz, near_hz=expected)
    fitted = None
    if ranked and (held or share > _NEARLY_ALL):
        fitted = _believed(_fitted(strike, fit, lines, ranked, share), fit)
        if near_hz is not None:
            fitted = _unless_another(fitted, lines, unasked)
        if held and fitted.sd_cents < LEAST_SD:
            return fitted
    if expected is None:
        expected = (
            fitted.hz
            if fitted is not None
            else line_to_follow(channel, strike, (lines.hz, unasked), struck=struck)
        )
    followed = _followed(channel, strike, lines, ranked, share, near_hz=expected)
    followed = replace(followed, sure=followed.sure or _apart(followed.hz, near_hz) < _EXPECTED_CENTS)
    return followed if fitted is None else _better(fitted, followed, held=held)


def _better(fitted: HeardTap, followed: HeardTap, *, held: bool) -> HeardTap:
    """Return which to believe of a fit that is no better than what sustains, and the line that sustains."""
    if not held:
        # All but a faint line is explained: where what sustains says the same, the fit says it more sharply,
        # but a real head that is nearly so is known no better for it.
        alike = _apart(fitted.hz, followed.hz) < _SAME_PITCH
        return replace(fitted, sd_cents=max(fitted.sd_cents, LEAST_SD)) if alike else followed
    return followed if followed.hz is not None and followed.sd_cents < fitted.sd_cents else fitted


def _believed(tap: HeardTap, fit: Fit) -> HeardTap:
    """Return *tap* as far as its lines may be believed.

    Where what they leave is no noise it belongs to the drum: a real one, known no better than its next tap.
    """
    return tap if leaves_noise(fit, tap.strike) else replace(tap, sd_cents=max(tap.sd_cents, _REAL_SD))


def _unless_another(tap: HeardTap, lines: DrumLines, unasked: list[Choice]) -> HeardTap:
    """Return *tap*, in doubt where the lines by themselves name another one as the pitch beyond doubt.

    A head far from its target has a higher line near it, and what is said of the head would be wrong too.
    """
    if not unasked:
        return tap
    own = float(lines.hz[unasked[0].index])
    # Nearer lines are the other (1,1) of two free heads, or a pair.
    if tap.hz is None or _apart(own, tap.hz) < _ANOTHER_CENTS:
        return tap
    if not shows_ladder(unasked, held=False) or not _beyond_doubt(unasked, lines.hz, own):
        return tap
    others = [other for other in tap.others if not _same(other[0], own)]
    return replace(
        tap, sure=False, other_head="unknown", others=((own, unasked[0].names[unasked[0].index]), *others)
    )


def _fitted(strike: Strike, fit: Fit, lines: DrumLines, ranked: list[Choice], share: float) -> HeardTap:
    """Return the tap where its lines explain it."""
    best = ranked[0]
    found = settled(fit, lines, best.index)
    return HeardTap(
        strike,
        found.hz,
        found.sd_cents,
        found.glide_cents,
        found.split_cents,
        share,
        None,
        float(lines.t60_s[best.index]),
        _beyond_doubt(ranked, lines.hz, found.hz),
        _others(ranked, lines.hz, found.hz),
        best.other_head,
        _partials(lines, best.names),
    )


def _followed(
    channel: Channel,
    strike: Strike,
    lines: DrumLines | None,
    ranked: list[Choice],
    share: float,
    *,
    near_hz: float | None,
) -> HeardTap:
    """Return the tap where its lines do not explain it: the line that sustains near *near_hz*."""
    line = follow(channel, strike, near_hz=near_hz) if near_hz is not None else None
    if line is None:
        return HeardTap(strike, explained=share, partials=_partials(lines, {}))
    return HeardTap(
        strike,
        line.hz,
        line.sd_cents,
        line.glide_cents,
        None,
        share,
        line.clear_db,
        line.seconds,
        _agreed(line, ranked, lines),
        _others(ranked, lines.hz, line.hz) if lines is not None else (),
        other_head_beside(line.hz, *sounding(channel, strike)),
        _partials(lines, _names_of(line, ranked, lines)),
    )


def _agreed(line: Followed, ranked: list[Choice], lines: DrumLines | None) -> bool:
    """Return whether the modes name the line that was followed, and no other."""
    if lines is None or not ranked or not _same(lines.hz[ranked[0].index], line.hz):
        return False
    return _beyond_doubt(ranked, lines.hz, line.hz)


def _names_of(line: Followed, ranked: list[Choice], lines: DrumLines | None) -> dict[int, str]:
    """Return the names that the lines have where the one that was followed is the pitch."""
    if lines is not None:
        for choice in ranked:
            if _same(lines.hz[choice.index], line.hz):
                return choice.names
    return {}


def _partials(lines: DrumLines | None, names: dict[int, str]) -> tuple[Partial, ...]:
    if lines is None:
        return ()
    return tuple(
        Partial(float(hz), float(min(level, 0.0)), float(t60_s), names.get(place))
        for place, (hz, level, t60_s) in enumerate(zip(lines.hz, lines.level_db, lines.t60_s, strict=True))
    )


def _others(ranked: list[Choice], hz: Floats, chosen_hz: float) -> tuple[tuple[float, str], ...]:
    """Return up to three other lines that may be meant, each well apart from the others."""
    names = ranked[0].names if ranked else {}
    found: list[tuple[float, str]] = []
    for choice in ranked:
        own = float(hz[choice.index])
        if not any(_same(own, one) for one in (chosen_hz, *(other for other, _ in found))):
            found.append((own, names.get(choice.index, "")))
        if len(found) == 3:
            break
    return tuple(found)


def _beyond_doubt(ranked: list[Choice], hz: Floats, chosen_hz: float) -> bool:
    for choice in ranked[1:]:
        if not _same(hz[choice.index], chosen_hz):
            return ranked[0].score - choice.score > _SURE
    return True


def _same(hz: float, other_hz: float) -> bool:
    return _apart(hz, other_hz) < SPLIT_CENTS


def _apart(hz: float | None, other_hz: float | None) -> float:
    """Return how many cents two pitches are apart; infinitely many where one is none."""
    return math.inf if hz is None or other_hz is None else abs(cents_between(hz, to_hz=other_hz))
