"""How well computed strokes are listened to, against the Cramér-Rao bound and other trackers of pitch.

    python tests/bench/listening.py [CASES] [--groups]

prints tables in Markdown: the share of strokes read within some cents, of those off by more than 50 and of
those missed; how often the error lies within twice the stated spread; the error against the bound;
refusals; seconds of sound per second of the processor. With `--groups`, every group of recordings by itself.
CASES is the number of recordings a group; in white noise and of free heads it is three times as many, of
rounds a quarter.

On the same strokes: `librosa.yin`, `librosa.pyin` (medians over their frames) and the largest peak of a plain
spectrum, each between 100 and 700 Hz, from 10 ms to 0.5 s after the stroke, in the loudest channel. They are
told where the stroke is; recordings of several taps are left out.

Error against the bound is the root of the mean of (error / bound) squared, over answers within 50 cents: what
is further off took another line, and is counted as such.
"""

import importlib.util
import math
import sys
import time
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from lugbook.heads import Hearing, listen

if TYPE_CHECKING:
    from tests import computed as drums
else:
    _FOLDER = Path(__file__).parents[1] / "computed"
    _SPEC = importlib.util.spec_from_file_location("computed_drums", _FOLDER / "__init__.py")
    drums = importlib.util.module_from_spec(_SPEC)
    sys.modules[_SPEC.name] = drums
    _SPEC.loader.exec_module(drums)

Floats = npt.NDArray[np.float64]

CASES = 12
"""Recordings a group."""

FIRST = 70_000
"""Number of the first recording of each group: those before were looked at while the listening was made."""

WEIGHTS = {"white": 3.0, "free": 3.0, "rods": 0.25}
"""How many times as many of some: those that a limit rests on alone, and rounds, which hold ten taps each."""

THEIR_CASES = 6
"""Recordings a group that the other trackers hear: they take longer."""

WITHIN = (1, 3, 5, 10, 25)
GROSS_CENTS = 50.0
LOWEST_HZ, HIGHEST_HZ = 100.0, 700.0


@dataclass
class Tally:
    """What came of some strokes.

    Attributes:
        error_cents: of every answer.
        sd_cents: its stated standard deviation; NaN where none is.
        bound_cents: its bound; NaN where it is not known.
        missed: strokes without an answer.
        heard: recordings with a reading that must be refused.
        refused: recordings rightly refused.
        said_free: of damped heads [0] and free ones [1], how often the other head was said to be free.
        asked_free: how many there were.
        sound_s: seconds of sound listened to.
        spent_s: seconds of the processor spent.
    """

    error_cents: list[float] = field(default_factory=list)
    sd_cents: list[float] = field(default_factory=list)
    bound_cents: list[float] = field(default_factory=list)
    missed: int = 0
    heard: int = 0
    refused: int = 0
    said_free: list[int] = field(default_factory=lambda: [0, 0])
    asked_free: list[int] = field(default_factory=lambda: [0, 0])
    sound_s: float = 0.0
    spent_s: float = 0.0

    def add(self, error: float | None, sd: float = math.nan, bound: float | None = None) -> None:
        """Count an answer, or None for a stroke that was missed."""
        if error is None:
            self.missed += 1
            return
        self.error_cents.append(abs(error))
        self.sd_cents.append(sd)
        self.bound_cents.append(math.nan if bound is None else bound)

    def __add__(self, other: "Tally") -> "Tally":
        both = Tally()
        for name, value in vars(self).items():
            if name in ("said_free", "asked_free"):
                setattr(both, name, [a + b for a, b in zip(value, getattr(other, name), strict=True)])
            else:
                setattr(both, name, value + getattr(other, name))
        return both

    @property
    def strokes(self) -> int:
        """Answers and misses."""
        return len(self.error_cents) + self.missed

    def within(self, cents: float) -> float:
        """Share of all strokes answered within *cents*."""
        return float(np.sum(np.array(self.error_cents) <= cents)) / max(self.strokes, 1)

    @property
    def gross(self) -> float:
        """Share of all strokes answered with something else."""
        return float(np.sum(np.array(self.error_cents) > GROSS_CENTS)) / max(self.strokes, 1)

    @property
    def missing(self) -> float:
        """Share of all strokes without an answer."""
        return self.missed / max(self.strokes, 1)

    @property
    def covered(self) -> float:
        """Share of the answers whose error lies within twice the stated standard deviation."""
        return float(np.mean(np.array(self.error_cents) <= 2 * np.array(self.sd_cents)))

    @property
    def over_bound(self) -> float:
        """Error over its bound, root mean square, of answers within 50 cents; NaN where no bound is known."""
        error, bound = np.array(self.error_cents), np.array(self.bound_cents)
        known = np.isfinite(bound) & (error <= GROSS_CENTS)
        return float(np.sqrt(np.mean((error[known] / bound[known]) ** 2))) if known.any() else math.nan

    @property
    def times_real_time(self) -> float:
        """Seconds of sound per second of the processor."""
        return self.sound_s / max(self.spent_s, 1e-9)


def cents(hz: float, right_hz: Iterable[float]) -> float:
    """How far *hz* is from the nearest right answer."""
    return min((1200 * math.log2(hz / right) for right in right_hz), key=abs)


Tracker = Callable[[Floats, float], float | None]
"""From samples and their rate to a pitch in Hz, or None."""


def spectrum_peak(
    samples: Floats, rate_hz: float, *, between_hz: tuple[float, float] = (LOWEST_HZ, HIGHEST_HZ)
) -> float | None:
    """The largest peak of a windowed spectrum, by the parabola through the logarithms of three bins."""
    size = 1 << math.ceil(math.log2(8 * samples.size))
    power = np.log(np.abs(np.fft.rfft(samples * np.hanning(samples.size), size)) + 1e-30)
    low, high = (round(hz * size / rate_hz) for hz in between_hz)
    top = low + int(np.argmax(power[low:high]))
    left, middle, right = power[top - 1 : top + 2]
    return float((top + 0.5 * (left - right) / (left - 2 * middle + right)) * rate_hz / size)


def _frame(rate_hz: float) -> int:
    """The usual 2048 samples at 44.1 kHz, and as long at other rates."""
    return int(2 ** round(math.log2(2048 / 44100 * rate_hz)))


def yin(samples: Floats, rate_hz: float) -> float | None:
    """The median of `librosa.yin`."""
    import librosa  # takes seconds, and is asked for by the table alone

    length = _frame(rate_hz)
    found = librosa.yin(
        samples, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=rate_hz, frame_length=length, center=False
    )
    return float(np.median(found))


def pyin(samples: Floats, rate_hz: float) -> float | None:
    """The median of the voiced frames of `librosa.pyin`."""
    import librosa  # takes seconds, and is asked for by the table alone

    length = _frame(rate_hz)
    found, voiced, _ = librosa.pyin(
        samples, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=rate_hz, frame_length=length, center=False
    )
    return float(np.median(found[voiced])) if voiced.any() else None


TRACKERS: dict[str, Tracker] = {
    "largest peak of a plain spectrum": spectrum_peak,
    "`librosa.yin`": yin,
    "`librosa.pyin`": pyin,
}


@dataclass
class Result:
    """What came of a group: without a target, with one, and by other trackers."""

    alone: Tally = field(default_factory=Tally)
    near: Tally = field(default_factory=Tally)
    theirs: dict[str, Tally] = field(default_factory=dict)


def run(group: str, count: int, *, their_count: int = 0) -> Result:
    """Listen to the first cases of a group."""
    result = Result(theirs={name: Tally() for name in TRACKERS})
    for number in range(count):
        case = drums.case(group, FIRST + number)
        for tally, near_hz in ((result.alone, None), (result.near, case.near_hz)):
            begin = time.process_time()
            hearing = listen(
                case.samples,
                rate_hz=case.rate_hz,
                near_hz=near_hz,
                struck="centre" if case.struck == "centre" else "rim",
            )
            tally.spent_s += time.process_time() - begin
            tally.sound_s += case.samples.shape[0] / case.rate_hz
            _judge(tally, case, hearing)
        if number < their_count and case.right_hz and len(case.onsets_s) == 1:
            for name, tracker in TRACKERS.items():
                hz = tracker(_after_the_stroke(case), case.rate_hz)
                error = None if hz is None else cents(hz, case.right_hz)
                result.theirs[name].add(error, bound=case.bound_cents)
    return result


def _after_the_stroke(case: "drums.Case") -> Floats:
    channels = case.samples.reshape(case.samples.shape[0], -1)
    loudest = channels[:, int(np.argmax(np.std(channels, axis=0)))]
    begin, end = (round((case.onsets_s[0] + s) * case.rate_hz) for s in (0.010, 0.5))
    return np.asarray(loudest[begin:end])


def _judge(tally: Tally, case: "drums.Case", hearing: Hearing) -> None:
    if not case.right_hz:
        tally.heard += hearing.reading is not None
        tally.refused += hearing.reading is None
        return
    if case.free is not None and hearing.reading is not None:
        tally.asked_free[case.free] += 1
        tally.said_free[case.free] += hearing.reading.other_head == "free"
    if not case.tap_hz:
        found = hearing.reading
        error = None if found is None else cents(found.hz, case.right_hz)
        tally.add(error, math.nan if found is None else found.sd_cents, case.bound_cents)
        return
    for at_s, right in zip(case.onsets_s, case.tap_hz, strict=True):
        tap = min(hearing.taps, key=lambda tap: abs(tap.at_s - at_s), default=None)
        if tap is None or tap.hz is None or abs(tap.at_s - at_s) > 0.06:
            tally.add(None)
        else:
            tally.add(cents(tap.hz, (right,)), math.nan if tap.sd_cents is None else tap.sd_cents)


def measured(cases: int = CASES, their_cases: int = 0) -> dict[str, Result]:
    """Listen to every group."""
    return {
        group: run(group, math.ceil(cases * WEIGHTS.get(group.split()[0], 1)), their_count=their_cases)
        for group in drums.GROUPS
    }


def together(tallies: Iterable[Tally]) -> Tally:
    """Several tallies as one."""
    return sum(tallies, Tally())


def _row(name: str, tally: Tally) -> str:
    shares = [f"{tally.within(most):.1%}" for most in WITHIN]
    shares += [f"{tally.gross:.1%}", f"{tally.missing:.1%}"]
    stated = "–" if np.isnan(tally.sd_cents).all() else f"{tally.covered:.1%}"
    over = "–" if math.isnan(tally.over_bound) else f"{tally.over_bound:.2f}"
    return f"| {name} | {tally.strokes} | " + " | ".join([*shares, stated, over]) + " |\n"


HEADER = (
    "| | strokes | "
    + " | ".join(f"within {most} c" for most in WITHIN)
    + " | off > 50 c | missed | within 2 sd | error / bound |\n|"
    + " --- |" * (len(WITHIN) + 6)
    + "\n"
)


def main(cases: int, *, groups: bool) -> None:
    """Print the tables."""
    write = sys.stdout.write
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # whatever the other trackers warn of is theirs
        results = measured(cases, min(THEIR_CASES, cases))
    strokes = {group: result for group, result in results.items() if group in drums.STROKES}
    near = together(result.near for result in strokes.values())
    alone = together(result.alone for result in strokes.values())
    write(HEADER + _row("target known to 60 cents", near) + _row("no target", alone))
    for name in TRACKERS:
        write(_row(name, together(result.theirs[name] for result in strokes.values())))
    if groups:
        write(f"\nTarget known to 60 cents:\n\n{HEADER}")
        write("".join(_row(group, result.near) for group, result in strokes.items()))
        write(f"\nNo target:\n\n{HEADER}")
        write("".join(_row(group, result.alone) for group, result in strokes.items()))
    both = near + alone
    damped, free = (f"{said} of {asked}" for said, asked in zip(both.said_free, both.asked_free, strict=True))
    write(f"\nother head said to be free: {free} that were, {damped} that were damped\n")
    for kind in ("no drum", "no head"):
        of_kind = {group: result for group, result in results.items() if group.startswith(kind)}
        tallies = {group: result.alone + result.near for group, result in of_kind.items()}
        whole = together(tallies.values())
        write(f"{kind}: {whole.refused} of {whole.refused + whole.heard} refused\n")
        for group, tally in tallies.items():
            if tally.heard:
                write(f"  {group}: {tally.refused} of {tally.refused + tally.heard} refused\n")
    write(f"{both.times_real_time:.0f} times real time per second of the processor\n")


if __name__ == "__main__":
    counts = [int(word) for word in sys.argv[1:] if word.isdigit()]
    main(counts[0] if counts else CASES, groups="--groups" in sys.argv)
