"""Frequencies, cents and note numbers: against outside values, and the laws that tie them together."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.pitch import (
    A4_MAX_HZ,
    A4_MIN_HZ,
    A4_STANDARD_HZ,
    HZ_MAX,
    HZ_MIN,
    Note,
    cents_between,
    check_a4,
    check_hz,
    hz_of_midi,
    midi_of,
    shifted,
)

frequencies = st.floats(HZ_MIN, HZ_MAX)
concert_pitches = st.floats(A4_MIN_HZ, A4_MAX_HZ)
note_numbers = st.floats(15.0, 112.0)


def test_frequency_of_a_note_agrees_with_the_table(frequency_row: dict[str, Any]) -> None:
    note, a4_hz = Note.parse(frequency_row["note"]), frequency_row["a4_hz"]

    assert frequency_row["midi"] == note.midi
    assert frequency_row["hz"] == pytest.approx(
        hz_of_midi(note.midi, a4_hz=a4_hz), rel=0, abs=frequency_row["within_hz"]
    )


def test_cents_between_two_frequencies_agree_with_the_table(cents_row: dict[str, Any]) -> None:
    cents = cents_between(cents_row["from_hz"], to_hz=cents_row["to_hz"])

    assert cents_row["cents"] == pytest.approx(cents, rel=0, abs=cents_row["within_cents"])


def test_standard_concert_pitch_is_the_one_of_the_standard() -> None:
    """ISO 16:1975."""
    assert A4_STANDARD_HZ == 440.0


@given(frequencies, frequencies, frequencies)
def test_cents_add(first: float, second: float, third: float) -> None:
    in_two_steps = cents_between(first, to_hz=second) + cents_between(second, to_hz=third)

    assert cents_between(first, to_hz=third) == pytest.approx(in_two_steps, rel=0, abs=1e-8)


@given(frequencies, frequencies)
def test_cents_back_are_minus_the_cents_there(first: float, second: float) -> None:
    assert cents_between(first, to_hz=second) == -cents_between(second, to_hz=first)


@given(frequencies, st.floats(-6000, 6000))
def test_shifting_by_cents_is_undone_by_measuring_them(hz: float, cents: float) -> None:
    assert cents_between(hz, to_hz=shifted(hz, cents=cents)) == pytest.approx(cents, rel=0, abs=1e-8)


@given(frequencies, concert_pitches)
def test_note_number_and_frequency_are_inverse(hz: float, a4_hz: float) -> None:
    assert hz_of_midi(midi_of(hz, a4_hz=a4_hz), a4_hz=a4_hz) == pytest.approx(hz, rel=1e-12)


@given(note_numbers, note_numbers, concert_pitches)
def test_another_concert_pitch_shifts_all_notes_alike(first: float, second: float, a4_hz: float) -> None:
    shifts = [
        cents_between(hz_of_midi(midi), to_hz=hz_of_midi(midi, a4_hz=a4_hz)) for midi in (first, second)
    ]

    assert shifts[0] == pytest.approx(shifts[1], rel=0, abs=1e-8)
    assert shifts[0] == pytest.approx(cents_between(440.0, to_hz=a4_hz), rel=0, abs=1e-8)


@pytest.mark.parametrize("hz", [20.0, 20, 221.3, 5000.0])
def test_a_frequency_up_to_the_limits_is_kept(hz: float) -> None:
    checked = check_hz(hz)

    assert checked == hz
    assert type(checked) is float


@pytest.mark.parametrize(
    ("hz", "sentence", "hint"),
    [
        (19.999, "19.999 Hz is below the lowest pitch, 20 Hz.", "Give it in Hz, such as 221.3."),
        (0.2213, "0.2213 Hz is below the lowest pitch, 20 Hz.", "If kHz was meant, write 221.3."),
        (0.0, "0 Hz is below the lowest pitch, 20 Hz.", "A frequency is positive, such as 221.3."),
        (-221.3, "-221.3 Hz is below the lowest pitch, 20 Hz.", "A frequency is positive, such as 221.3."),
        (
            5001,
            "5001 Hz is above the highest pitch, 5000 Hz.",
            "If the decimal point is missing, write 500.1.",
        ),
        (
            22130,
            "22130 Hz is above the highest pitch, 5000 Hz.",
            "If the decimal point is missing, write 221.3.",
        ),
        (
            48000.0,
            "48000 Hz is above the highest pitch, 5000 Hz.",
            "That looks like the sampling rate of a recording; give the pitch, such as 221.3.",
        ),
        (1e9, "1000000000 Hz is above the highest pitch, 5000 Hz.", "Give it in Hz, such as 221.3."),
        (math.nan, "A frequency cannot be nan.", "Give one from 20 to 5000 Hz, such as 221.3."),
        (math.inf, "A frequency cannot be inf.", "Give one from 20 to 5000 Hz, such as 221.3."),
    ],
)
def test_a_frequency_out_of_range_is_refused_with_a_guess_at_the_mistake(
    hz: float, sentence: str, hint: str
) -> None:
    with pytest.raises(BadValue) as caught:
        check_hz(hz)

    assert (sentence, hint) == (caught.value.sentence, caught.value.hint)


@pytest.mark.parametrize("hz", [392.0, 415, 440.0, 442.0, 466.0, 470.0])
def test_a_concert_pitch_up_to_the_limits_is_kept(hz: float) -> None:
    assert check_a4(hz) == hz


@pytest.mark.parametrize(
    ("hz", "hint"),
    [
        (391.9, "Give the concert pitch in Hz, such as 440 or 442."),
        (470.1, "Give the concert pitch in Hz, such as 440 or 442."),
        (221.0, "That is near A3; its A4 is 442."),
        (880.0, "That is near A5; its A4 is 440."),
        (math.nan, "Give the concert pitch in Hz, such as 440 or 442."),
        (-math.inf, "Give the concert pitch in Hz, such as 440 or 442."),
    ],
)
def test_a_concert_pitch_out_of_range_is_refused_with_a_guess_at_the_mistake(hz: float, hint: str) -> None:
    with pytest.raises(BadValue, match=f"A4 must lie from 392 to 470 Hz, not {hz:g}") as caught:
        check_a4(hz)

    assert hint == caught.value.hint


@pytest.mark.parametrize("hz", [0.0, -1.0, math.nan, math.inf])
def test_sums_refuse_what_is_no_frequency(hz: float) -> None:
    with pytest.raises(BadValue, match="must be a positive number"):
        cents_between(hz, to_hz=440.0)
    with pytest.raises(BadValue, match="must be a positive number"):
        cents_between(440.0, to_hz=hz)
    with pytest.raises(BadValue, match="must be a positive number"):
        shifted(hz, cents=1.0)
    with pytest.raises(BadValue, match="must be a positive number"):
        midi_of(hz)


@pytest.mark.parametrize("a4_hz", [391.0, 471.0, math.nan])
def test_sums_refuse_what_is_no_concert_pitch(a4_hz: float) -> None:
    with pytest.raises(BadValue, match="A4 must lie from 392 to 470 Hz"):
        midi_of(220.0, a4_hz=a4_hz)
    with pytest.raises(BadValue, match="A4 must lie from 392 to 470 Hz"):
        hz_of_midi(57, a4_hz=a4_hz)


@pytest.mark.parametrize("cents", [1e9, -1e9, math.nan, math.inf, -math.inf])
def test_a_shift_beyond_all_numbers_is_refused(cents: float) -> None:
    with pytest.raises(BadValue, match="is no frequency"):
        shifted(440.0, cents=cents)
    with pytest.raises(BadValue, match="is no frequency"):
        hz_of_midi(cents)
