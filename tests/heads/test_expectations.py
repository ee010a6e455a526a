"""What is said where the pitch is not where it was expected, and where a recording holds too many taps."""

from types import ModuleType

import numpy as np
import pytest

from lugbook.heads import Reading, listen

HZ = 200.0


def heard(drums: ModuleType, *, near_hz: float, seed: int = 0) -> tuple[Reading, tuple[str, ...]]:
    """The reading of a stroke on a head of 200 Hz that was expected elsewhere, and the remarks."""
    stroke = drums.stroke(np.random.default_rng(seed), hz=HZ, snr_db=40.0)
    hearing = listen(stroke.samples, rate_hz=stroke.rate_hz, near_hz=near_hz)
    assert hearing.reading is not None
    return hearing.reading, hearing.remarks


@pytest.mark.parametrize("seed", range(4))
def test_a_higher_line_near_the_target_is_in_doubt(drums: ModuleType, seed: int) -> None:
    """A head a fifth below its target has a higher line there: the pitch of the head is offered first."""
    reading, remarks = heard(drums, near_hz=HZ * 1.39, seed=seed)

    assert not reading.sure
    assert reading.other_head == "unknown"
    assert reading.alternatives[0].hz == pytest.approx(HZ, rel=0.001)
    assert any("compare the alternatives" in remark for remark in remarks)


def test_a_pitch_far_from_the_expected_one_is_said(drums: ModuleType) -> None:
    far, near = heard(drums, near_hz=HZ * 0.6)[1], heard(drums, near_hz=HZ * 1.02)[1]
    assert any("from what was expected" in remark for remark in far)
    assert not any("from what was expected" in remark for remark in near)


def test_nothing_rings_nearer_is_said_only_where_it_is_so(drums: ModuleType) -> None:
    reading, remarks = heard(drums, near_hz=HZ * 1.6)
    expected = HZ * 1.6
    assert min(abs(other.hz - expected) for other in reading.alternatives) < abs(reading.hz - expected)
    assert any("from what was expected." in remark for remark in remarks)


def test_only_the_first_taps_of_very_many_are_taken(
    drums: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was not listened to is said, with the time up to which it was."""
    monkeypatch.setattr("lugbook.heads.listening._MOST_TAPS", 3)
    stroke = drums.round_of_taps(np.random.default_rng(7), [0.0] * 5, hz=280.0)
    hearing = listen(stroke.samples, rate_hz=stroke.rate_hz)

    assert len(hearing.taps) == 3
    until = stroke.onsets_s[2]
    assert hearing.remarks[0] == f"Only the first 3 taps were taken, up to 0:{until:02.0f}."
