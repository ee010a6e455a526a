"""What listening must reach on real drums, recorded by others and read from packages of Debian.

What is true of a drum, and which recordings these are, stands in `tests/recorded`; the limits are for the
packages that `.ci/run` installs. Snare drums are judged by themselves: their wires sound with them.
"""

from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
import pytest

from lugbook.heads import listen

if TYPE_CHECKING:
    from tests.bench.real_drums import Result

pytestmark = pytest.mark.long

INSTALLED = ("avldrums.lv2-soundfont", "fluid-soundfont-gm", "sonic-pi-samples")
"""What `.ci/run` installs: 166 MB of packages."""

MORE = ("hydrogen-drumkits", "musescore-general-soundfont-lossless")
"""More drums, read where they are there: 473 MB."""


def require(recorded: ModuleType, *names: str) -> None:
    """Skip the test where one of these packages is missing, and say which."""
    missing = [name for name in names if not recorded.PACKAGES[name].there]
    if missing:
        pytest.skip(f"recordings of real drums would come from the Debian packages {', '.join(missing)}")


@pytest.fixture(scope="module")
def results(real_drums: ModuleType, recorded: ModuleType) -> "dict[str, Result]":
    """The bench, on the packages that are installed for it."""
    require(recorded, *INSTALLED)
    measured: dict[str, Result] = real_drums.measured([recorded.PACKAGES[name] for name in INSTALLED])
    return measured


@pytest.mark.parametrize("package", [*INSTALLED, *MORE])
def test_every_recording_is_answered_in_words_or_with_a_pitch(recorded: ModuleType, package: str) -> None:
    """No stroke of any drum ends in an error, with a target or without."""
    require(recorded, package)
    drums = [drum for drum in recorded.DRUMS if drum.package == package]
    strokes = [stroke for drum in drums for stroke in drum.strokes()]
    assert len(strokes) > len(drums) // 2
    for stroke in strokes:
        for near_hz in (None, 150.0):
            hearing = listen(stroke.samples, rate_hz=stroke.rate_hz, near_hz=near_hz)
            assert (hearing.reading is None) == (hearing.refused is not None)
            if hearing.reading is not None:
                assert 20.0 < hearing.reading.hz < 5000.0
                assert hearing.reading.sd_cents > 0


def test_what_is_true_of_a_drum_does_not_hang_on_what_late_means(recorded: ModuleType) -> None:
    """A late part that begins 12 dB down instead of 18, and is half as long, says the same within 5 cents."""
    require(recorded, *INSTALLED)
    off = []
    for drum in recorded.DRUMS:
        if drum.package in INSTALLED and drum.kind in ("tom", "hand"):
            strokes = [(one.samples, one.rate_hz) for one in drum.strokes()]
            later, sooner = recorded.settled(strokes), recorded.settled(strokes, fallen_db=12.0)
            if later and sooner:
                off.append(recorded.cents(sooner.hz, later.hz))
    assert len(off) >= 8
    assert np.max(np.abs(off)) < 5.0
    assert np.median(np.abs(off)) < 2.0


def test_enough_drums_have_a_truth(results: "dict[str, Result]") -> None:
    """Otherwise the shares would say little."""
    assert results["all but snares"].known.errors.size >= 45
    assert len(results["all but snares"].repeated.alike) >= 15


def test_with_a_target_most_strokes_are_read_within_5_cents(results: "dict[str, Result]") -> None:
    """The target is known to 60 cents; a plain peak of the spectrum is within 5 on a third of them."""
    known, plain = results["all but snares"].known, results["all but snares"].plain
    assert known.within(5) >= 0.60
    assert known.within(10) >= 0.85
    assert known.within(5) > plain.within(5) + 0.2
    assert known.gross <= 0.03
    assert known.refused <= 0.03


def test_the_stated_uncertainty_is_true(results: "dict[str, Result]") -> None:
    """The error lies within twice the stated standard deviation in nine of ten answers or more.

    Without timpani: their truth is far less certain than any answer.
    """
    known = results["toms"].known + results["bass drums"].known + results["hand drums"].known
    assert known.covered >= 0.90


def test_timpani_are_read_where_their_makers_declare_them(results: "dict[str, Result]") -> None:
    """Within what the declared pitch leaves open, and 5 cents; the third has two lines 56 cents apart."""
    known = results["timpani"].known
    assert known.errors.size == 3
    assert np.count_nonzero(np.abs(known.errors) <= known.truth_cents + 5.0) >= 2
    assert np.all(np.abs(known.errors) <= 2 * known.truth_cents + 5.0)


def test_without_a_target_strokes_of_one_drum_are_told_alike(results: "dict[str, Result]") -> None:
    """All strokes of a drum within 10 cents of each other, on most of the drums."""
    assert np.mean(results["all but snares"].repeated.alike) >= 0.60
    assert np.mean(results["toms"].repeated.alike) >= 0.65


def test_snare_drums_with_a_target_are_read_too(results: "dict[str, Result]") -> None:
    """By themselves: the line that their strokes agree on may be any of several."""
    assert results["snare drums"].known.within(10) >= 0.75
