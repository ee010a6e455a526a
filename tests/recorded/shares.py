"""How often a listener is right on real drums.

Two questions. *Known*: told the pitch to within `NEAR_CENTS` (shifted by a seeded draw), how near does it
come to what the drum settles on? Every stroke of a drum with a truth counts, also one that did not agree
with it. *Repeated*: told nothing, does it say the same of every stroke of one drum?

Conventions: a listener is a function of samples, rate and expected pitch (or None) that returns what it
heard, or None where it refuses. Shares from 0 to 1; errors in cents; a refusal is never within anything.
"""

import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from .drums import Drum
from .settling import Settled, after_stroke, cents, declared, different, settled, spectrum_peaks

Floats = npt.NDArray[np.float64]

NEAR_CENTS = 60.0
REPEATED_CENTS = 10.0


@dataclass(frozen=True)
class Heard:
    """What a listener says of one recording: a pitch and its standard deviation in cents."""

    hz: float
    sd_cents: float


Listener = Callable[[Floats, float, float | None], Heard | None]


@dataclass(frozen=True)
class Known:
    """How often a listener is right that knows about where the pitch lies.

    Attributes:
        errors: of each stroke in cents; NaN where it was refused.
        sd_cents: what it stated; NaN where it was refused.
        truth_cents: the uncertainty of the truth for each stroke.
    """

    errors: Floats
    sd_cents: Floats
    truth_cents: Floats

    def within(self, most_cents: float) -> float:
        """Return the share of strokes that are off by no more."""
        return float(np.mean(np.abs(self.errors) <= most_cents))

    def __add__(self, other: "Known") -> "Known":
        return Known(
            np.append(self.errors, other.errors),
            np.append(self.sd_cents, other.sd_cents),
            np.append(self.truth_cents, other.truth_cents),
        )

    @property
    def refused(self) -> float:
        """The share that was refused."""
        return float(np.mean(np.isnan(self.errors)))

    @property
    def gross(self) -> float:
        """The share that is off by more than 50 cents."""
        return float(np.mean(np.abs(self.errors) > 50.0))

    @property
    def covered(self) -> float:
        """The share of the answers that is off by no more than twice the stated standard deviation."""
        heard = ~np.isnan(self.errors)
        return float(np.mean(np.abs(self.errors[heard]) <= 2 * self.sd_cents[heard]))


@dataclass(frozen=True)
class Repeated:
    """Whether strokes of one drum are told alike.

    Attributes:
        alike: for each drum, whether all its strokes were heard within `REPEATED_CENTS` of each other.
        mostly: for each drum, whether four in five were heard within that of their median.
    """

    alike: tuple[bool, ...]
    mostly: tuple[bool, ...]

    def __add__(self, other: "Repeated") -> "Repeated":
        return Repeated(self.alike + other.alike, self.mostly + other.mostly)


@cache
def truth_of(drum: Drum) -> Settled | None:
    """Return what is true of *drum*: what its makers declare of timpani, else what its strokes settle on."""
    strokes = drum.strokes()
    if drum.kind == "timpani" and strokes:
        one = strokes[0]
        return declared(
            one.samples,
            rate_hz=one.rate_hz,
            declared_hz=one.declared_hz[0],
            corrected_cents=drum.corrected_cents,
        )
    return settled([(one.samples, one.rate_hz) for one in strokes])


def known_shares(drums: Iterable[Drum], listener: Listener) -> Known:
    """Return how near *listener* comes to the truths of *drums*, those without one left out."""
    rows = []
    for drum in drums:
        truth = truth_of(drum)
        if truth is None:
            continue
        # The same draws for a drum whichever others are there.
        draws = np.random.default_rng(zlib.crc32(drum.name.encode()))
        for samples, rate_hz in different([(one.samples, one.rate_hz) for one in drum.strokes()]):
            near_hz = truth.hz * 2 ** (float(draws.uniform(-NEAR_CENTS, NEAR_CENTS)) / 1200)
            heard = listener(samples, rate_hz, near_hz)
            told = (np.nan, np.nan) if heard is None else (cents(heard.hz, truth.hz), heard.sd_cents)
            rows.append((*told, truth.uncertainty_cents))
    errors, sds, truths = np.array(rows).reshape(-1, 3).T
    return Known(errors, sds, truths)


def repeated_shares(drums: Iterable[Drum], listener: Listener) -> Repeated:
    """Return whether *listener*, told nothing, says the same of the strokes of each of *drums*."""
    alike, mostly = [], []
    for drum in drums:
        strokes = different([(one.samples, one.rate_hz) for one in drum.strokes()])
        if len(strokes) < 2:
            continue
        heard = [listener(samples, rate_hz, None) for samples, rate_hz in strokes]
        hz = [one.hz for one in heard if one is not None]
        alike.append(len(hz) == len(heard) and cents(max(hz), min(hz)) <= REPEATED_CENTS)
        centre = float(np.median(hz)) if hz else 1.0
        near = sum(abs(cents(one, centre)) <= REPEATED_CENTS for one in hz)
        mostly.append(near >= 0.8 * len(heard))
    return Repeated(tuple(alike), tuple(mostly))


def late_peak(samples: Floats, rate_hz: float, near_hz: float | None) -> Heard | None:
    """The plain listener to compare with: the strongest peak of the spectrum from 0.1 to 0.6 s."""
    rest = after_stroke(samples)[int(0.1 * rate_hz) : int(0.6 * rate_hz)]
    if rest.size < 0.05 * rate_hz:
        return None
    for hz, _ in spectrum_peaks(rest, rate_hz=rate_hz):
        if near_hz is None or abs(cents(hz, near_hz)) <= 100.0:
            return Heard(hz, 5.0)
    return None
