"""Held-out groups of recordings, each with what a right answer to it is.

A case is made from its group and its number alone. Drums have 10 to 16 inch heads, tops from 160 to 330 Hz
and bottoms from 250 to 480 Hz, and a (1,1) that rings for 0.35 to 0.65 s unless the group says otherwise.
"""

import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from .bound import bound_cents
from .heads import Blow, Lines, at_the_centre, diameter_of, freed, head, near_the_hoop, pitch_of
from .membrane import Floats
from .others import NO_DRUMS, RATE_HZ, STRINGS, no_drum
from .series import Series, careless, round_of_taps, uneven_round
from .strokes import ONSET_S, Around, Stroke, recorded

NEAR_CENTS = 60.0
"""A target is known to so many cents."""


@dataclass(frozen=True)
class Case:
    """A recording and what is right about it.

    Attributes:
        samples: shape (n,) or (n, channels).
        rate_hz: samples a second.
        right_hz: an answer within some cents of any of these is right; none: it must be refused.
        near_hz: what a player expects, up to `NEAR_CENTS` off.
        struck: where the head is struck.
        tap_hz: the pitch of each of several taps, where each counts.
        onsets_s: when the strokes fall.
        free: whether the other head is free; None where it is not asked.
        bound_cents: least standard deviation, where it is known.
    """

    samples: Floats
    rate_hz: float
    right_hz: tuple[float, ...] = ()
    near_hz: float | None = None
    struck: str = "rim"
    tap_hz: tuple[float, ...] = ()
    onsets_s: tuple[float, ...] = (ONSET_S,)
    free: bool | None = None
    bound_cents: float | None = None


Rng = np.random.Generator


@dataclass(frozen=True)
class Drum:
    """What a group asks of its drums; ranges are drawn from evenly."""

    t60_s: tuple[float, float] = (0.35, 0.65)
    split_cents: tuple[float, float] | None = None
    contact_s: float | None = None
    furthest: float | None = None
    """Struck within so much of the radius of the centre, instead of near the hoop."""
    free: bool = False


def tuned(rng: Rng) -> tuple[float, float]:
    """Pitch and film in mil of a top or a bottom head."""
    if rng.random() < 0.5:
        return float(rng.uniform(160, 330)), float(rng.choice([7.5, 10, 12, 14]))
    return float(rng.uniform(250, 480)), float(rng.choice([2, 3]))


def _drum(rng: Rng, asked: Drum) -> tuple[Lines, Blow]:
    diameter, (hz, mil) = diameter_of(rng), tuned(rng)
    blow = near_the_hoop(rng, diameter)
    if asked.furthest is not None:
        blow = at_the_centre(rng, asked.furthest)
    if asked.contact_s is not None:
        blow = replace(blow, contact_s=asked.contact_s)
    split = rng.uniform(*asked.split_cents) if asked.split_cents else 0.0
    t60_s = rng.uniform(*asked.t60_s)
    lines = head(rng, hz, blow=blow, diameter_in=diameter, mil=mil, t60_s=t60_s, split_cents=split)
    return (freed(rng, lines) if asked.free else lines), blow


def _near(rng: Rng, hz: float) -> float:
    return float(hz * 2 ** (rng.uniform(-NEAR_CENTS, NEAR_CENTS) / 1200))


def _case(rng: Rng, stroke: Stroke, asked: Drum, *, bounded: bool) -> Case:
    right = [stroke.hz]
    if asked.free:
        right = [line.hz for line in stroke.lines if line.mode == (1, 1)]
    mode, struck = (1, 1), "rim"
    if asked.furthest is not None:
        mode, struck = (0, 1), "centre"
        right = [pitch_of(stroke.lines, (0, 1))]
        if asked.furthest > 0.03:
            right.append(pitch_of(stroke.lines, (1, 1)))
    return Case(
        stroke.samples,
        stroke.rate_hz,
        tuple(right),
        _near(rng, float(rng.choice(right))),
        struck,
        free=asked.free,
        bound_cents=bound_cents(stroke, mode) if bounded else None,
    )


Group = Callable[[Rng], Case]


def _single(
    asked: Drum = Drum(),
    *,
    around: Callable[[Rng], Around],
    rate_hz: float | None = None,
    bounded: bool = False,
    seconds: float = 1.1,
) -> Group:
    def make(rng: Rng) -> Case:
        lines, blow = _drum(rng, asked)
        stroke = recorded(
            rng,
            lines,
            rate_hz=rate_hz or float(rng.choice([44100, 48000])),
            seconds=seconds,
            contact_s=blow.contact_s,
            around=around(rng),
            mode=(0, 1) if asked.furthest is not None else (1, 1),
        )
        return _case(rng, stroke, asked, bounded=bounded)

    return make


def _channels(rng: Rng, way: str) -> Case:
    plain = _single(around=lambda _: Around(), rate_hz=48000)(rng)
    other = {
        "same": plain.samples,
        "dead": np.zeros_like(plain.samples),
        "opposed": -0.95 * plain.samples,
        "late": np.concatenate((np.zeros(14), 0.8 * plain.samples[:-14])),
    }[way]
    both = [plain.samples, other] if rng.random() < 0.5 else [other, plain.samples]
    return replace(plain, samples=np.column_stack(both))


def _reading(rng: Rng, series: Series) -> Case:
    """The reading counts, and no single tap."""
    near = _near(rng, series.hz)
    return Case(series.samples, series.rate_hz, (series.hz,), near, onsets_s=series.onsets_s, free=False)


def _each(rng: Rng, series: Series) -> Case:
    """Every tap counts by itself."""
    return replace(_reading(rng, series), tap_hz=series.tap_hz)


def _careless(rng: Rng) -> Case:
    return _reading(rng, careless(rng, hz=tuned(rng)[0]))


def _round(rng: Rng) -> Case:
    rods = int(rng.choice([6, 8, 10, 12]))
    off = [float(cents) for cents in rng.normal(0, rng.uniform(5, 25), rods)]
    off = [cents - float(np.median(off)) for cents in off]
    return _each(rng, round_of_taps(rng, off, hz=tuned(rng)[0], snr_db=35))


def _uneven_round(rng: Rng) -> Case:
    rods = int(rng.choice([6, 8, 10, 12]))
    series = uneven_round(rng, rods, hz=tuned(rng)[0], split_cents=rng.uniform(5, 40))
    return _each(rng, series)


def _refused(kinds: tuple[str, ...]) -> Group:
    def make(rng: Rng) -> Case:
        samples = no_drum(rng, str(rng.choice(kinds)))
        return Case(samples, RATE_HZ, near_hz=float(rng.uniform(160, 480)))

    return make


def _rt60(low: float, high: float, direct_db: tuple[float, float]) -> Callable[[Rng], Around]:
    return lambda rng: Around(
        rt60_s=rng.uniform(low, high), direct_db=rng.uniform(*direct_db), early=int(rng.integers(0, 8))
    )


def _tangled(rng: Rng) -> Around:
    """A bit of everything, as recordings have it."""
    return Around(
        snr_db=rng.uniform(25, 45),
        pink=bool(rng.random() < 0.5),
        glide_cents=rng.uniform(0, 12),
        rt60_s=rng.uniform(0.2, 0.5),
        direct_db=rng.uniform(8, 16),
        early=4,
        hum_hz=float(rng.choice([0.0, 50.0, 60.0])),
        hum_db=-35.0,
        click_db=rng.uniform(-20, -3),
    )


RATES_HZ = (8000, 11025, 16000, 22050, 32000, 88200, 96000, 192000)

STROKES: dict[str, Group] = {
    "white 40 dB": _single(around=lambda _: Around(snr_db=40), bounded=True),
    "white 20 dB": _single(around=lambda _: Around(snr_db=20), bounded=True),
    "white 10 dB": _single(around=lambda _: Around(snr_db=10), bounded=True),
    "pink 40 dB": _single(around=lambda _: Around(snr_db=40, pink=True), bounded=True),
    "pink 20 dB": _single(around=lambda _: Around(snr_db=20, pink=True), bounded=True),
    "pink 10 dB": _single(around=lambda _: Around(snr_db=10, pink=True), bounded=True),
    "glide 0-10": _single(around=lambda rng: Around(glide_cents=rng.uniform(0, 10))),
    "glide 10-40": _single(around=lambda rng: Around(glide_cents=rng.uniform(10, 40))),
    "room, near": _single(around=_rt60(0.2, 0.5, (8, 15))),
    "room, far": _single(around=_rt60(0.4, 1.0, (2, 8))),
    "hum": _single(
        around=lambda rng: Around(hum_hz=float(rng.choice([50.0, 60.0])), hum_db=rng.uniform(-30, -15))
    ),
    "split 2-12": _single(Drum(split_cents=(2, 12)), around=lambda _: Around()),
    "split 12-40": _single(Drum(split_cents=(12, 40)), around=lambda _: Around()),
    "dead": _single(Drum(t60_s=(0.06, 0.15)), around=lambda _: Around(), bounded=True),
    "short": _single(Drum(t60_s=(0.15, 0.3)), around=lambda _: Around(snr_db=30), bounded=True),
    "long": _single(Drum(t60_s=(0.7, 1.2)), around=lambda _: Around(snr_db=30), bounded=True, seconds=1.4),
    "fingertip": _single(Drum(contact_s=0.004), around=lambda _: Around(snr_db=30), bounded=True),
    "clipped": _single(around=lambda rng: Around(clip_db=rng.uniform(2, 8), peak=0.9999)),
    "quiet": _single(around=lambda rng: Around(peak=10 ** rng.uniform(-2.8, -1.8), snr_db=30)),
    "24 bit": _single(around=lambda _: Around(bits=24), bounded=True),
    "stick click": _single(around=lambda rng: Around(click_db=rng.uniform(-12, 3))),
    "wires": _single(around=lambda rng: Around(wires=rng.uniform(0.1, 0.6))),
    "tangled": _single(around=_tangled),
    "rates": lambda rng: _single(
        around=lambda _: Around(), rate_hz=float(rng.choice(RATES_HZ)), bounded=True
    )(rng),
    "stereo": lambda rng: _channels(rng, str(rng.choice(["same", "dead", "opposed", "late"]))),
    "centre": _single(Drum(furthest=0.02), around=lambda _: Around(), bounded=True),
    "off centre": _single(Drum(furthest=0.07), around=lambda _: Around()),
    "free": _single(Drum(free=True), around=lambda _: Around()),
    "rods apart": _round,
    "rods in pairs": _uneven_round,
    "careless": _careless,
}
"""Groups that have a pitch."""

OTHERS: dict[str, Group] = {
    **{f"no drum: {kind}": _refused((kind,)) for kind in NO_DRUMS},
    **{f"no head: {kind}": _refused((kind,)) for kind in STRINGS},
}
"""Groups that must be refused."""

GROUPS = {**STROKES, **OTHERS}


def case(group: str, number: int) -> Case:
    """Case *number* of a group, always the same."""
    return GROUPS[group](np.random.default_rng([zlib.crc32(group.encode()), number]))
