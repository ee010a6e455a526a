"""Intervals and offsets: against outside values, and their laws."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.pitch import (
    NamedInterval,
    Note,
    Pitch,
    cents_between,
    hz_of_midi,
    interval_cents,
    interval_name,
    named_interval,
    offset_cents,
    parse_pitch,
)

concert_pitches = st.floats(392, 470)
names = st.builds(Note, st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.none())
octave_notes = st.builds(Note, st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.integers(1, 7))
cents = st.floats(-100, 100)
fixed_pitches = st.builds(Pitch, octave_notes, cents) | st.builds(
    lambda hz: Pitch(hz=hz), st.floats(20, 5000)
)
name_pitches = st.builds(Pitch, names, cents)


def _offset(
    measured: str, target: str, *, measured_a4_hz: float = 440.0, target_a4_hz: float = 440.0
) -> float:
    return offset_cents(
        parse_pitch(measured),
        target=parse_pitch(target),
        measured_a4_hz=measured_a4_hz,
        target_a4_hz=target_a4_hz,
    )


def test_interval_is_named_as_in_the_table(interval_row: dict[str, Any]) -> None:
    top, bottom = Note.parse(interval_row["top"]), Note.parse(interval_row["bottom"])

    assert interval_row["name"] == interval_name(top, bottom)


def test_interval_in_cents_agrees_with_the_table(cents_row: dict[str, Any]) -> None:
    found = interval_cents(cents_row["from_hz"], bottom_hz=cents_row["to_hz"])

    assert cents_row["cents"] == pytest.approx(found, rel=0, abs=cents_row["within_cents"])


def test_named_interval_of_a_measured_pair_says_how_far_off_it_is() -> None:
    """182 and 330 Hz: 1030.2 cents, 30.2 above a minor seventh of 1000 (computed, 1200*log2(330/182))."""
    found = named_interval(Note.parse("F#3"), Note.parse("E4"), top_hz=182.0, bottom_hz=330.0)

    assert isinstance(found, NamedInterval)
    assert found.name == "minor seventh"
    assert found.cents == pytest.approx(1030.2331, abs=1e-4)
    assert found.off_cents == pytest.approx(30.2331, abs=1e-4)


def test_named_interval_below_is_negative() -> None:
    found = named_interval(Note.parse("D4"), Note.parse("A3"), top_hz=299.0, bottom_hz=227.0)

    assert found.name == "perfect fourth, bottom lower"
    assert found.cents == pytest.approx(-476.9438, abs=1e-4)
    assert found.off_cents == pytest.approx(500.0 - 476.9438, abs=1e-4)


def test_named_interval_of_bare_names_is_off_to_the_nearest_octave() -> None:
    found = named_interval(Note("B"), Note("F"), top_hz=hz_of_midi(59), bottom_hz=hz_of_midi(53.1))

    assert found.name == "diminished fifth"
    assert found.cents == pytest.approx(-590.0)
    assert found.off_cents == pytest.approx(10.0)


@given(octave_notes, octave_notes)
def test_interval_of_notes_in_tune_is_not_off(top: Note, bottom: Note) -> None:
    found = named_interval(top, bottom, top_hz=hz_of_midi(top.midi), bottom_hz=hz_of_midi(bottom.midi))

    assert found.off_cents == pytest.approx(0.0, abs=1e-8)


@given(octave_notes, octave_notes)
def test_turning_an_interval_around_only_turns_its_direction(top: Note, bottom: Note) -> None:
    there, back = interval_name(top, bottom), interval_name(bottom, top)
    lower = ", bottom lower"

    assert there.removesuffix(lower) == back.removesuffix(lower)
    assert there.endswith(lower) != back.endswith(lower) or top == bottom


@pytest.mark.parametrize(
    ("measured", "target", "expected"),
    [
        ("A3+4", "A3", 4.0),
        ("A3", "A3+4", -4.0),
        ("A4", "A3", 1200.0),
        ("A4", "A", 0.0),
        ("A", "A4", 0.0),
        ("A+30", "Bb-20", -50.0),
        ("A2-3", "A+4", -7.0),
        ("Eb4", "A", -600.0),
        ("D#4+0.5", "A", -599.5),
        ("D#4-0.5", "A", 599.5),
        ("220 Hz", "A", 0.0),
        ("A", "880 Hz", 0.0),
        ("B#", "C4", 0.0),
        ("Cb4", "B", 0.0),
    ],
)
def test_offset_is_plain_cents_or_to_the_nearest_octave_of_a_name(
    measured: str, target: str, expected: float
) -> None:
    assert expected == pytest.approx(_offset(measured, target), rel=0, abs=1e-8)


def test_each_side_is_meant_at_its_own_concert_pitch() -> None:
    """442 lies 7.851 cents above 440 (computed, 1200*log2(442/440))."""
    assert _offset("A3", "A3", measured_a4_hz=442.0) == pytest.approx(7.8514, abs=1e-4)
    assert _offset("A3", "A", target_a4_hz=442.0) == pytest.approx(-7.8514, abs=1e-4)
    assert _offset("A", "A3", measured_a4_hz=442.0, target_a4_hz=442.0) == pytest.approx(0.0, abs=1e-8)
    assert _offset("221 Hz", "A", target_a4_hz=442.0) == pytest.approx(0.0, abs=1e-8)


@given(fixed_pitches | name_pitches, name_pitches, concert_pitches, concert_pitches)
def test_offset_to_a_name_alone_lies_from_minus_600_to_below_600(
    measured: Pitch, target: Pitch, measured_a4_hz: float, target_a4_hz: float
) -> None:
    off = offset_cents(measured, target=target, measured_a4_hz=measured_a4_hz, target_a4_hz=target_a4_hz)

    assert -600.0 <= off < 600.0


@given(octave_notes, octave_notes, cents, concert_pitches)
def test_offset_to_a_name_alone_is_the_plain_one_but_for_octaves(
    measured: Note, target: Note, off_cents: float, a4_hz: float
) -> None:
    heard = Pitch(measured, off_cents)
    plain = offset_cents(heard, target=Pitch(target), measured_a4_hz=440.0, target_a4_hz=a4_hz)
    named = offset_cents(
        heard, target=Pitch(Note(target.letter, target.alter)), measured_a4_hz=440.0, target_a4_hz=a4_hz
    )
    octaves = (plain - named) / 1200.0

    assert octaves == pytest.approx(round(octaves), rel=0, abs=1e-9)


@given(fixed_pitches, fixed_pitches, concert_pitches, concert_pitches)
def test_offset_of_two_fixed_pitches_is_the_cents_between_their_hertz(
    measured: Pitch, target: Pitch, measured_a4_hz: float, target_a4_hz: float
) -> None:
    measured_hz, target_hz = measured.hz_at(measured_a4_hz), target.hz_at(target_a4_hz)
    off = offset_cents(measured, target=target, measured_a4_hz=measured_a4_hz, target_a4_hz=target_a4_hz)

    assert measured_hz is not None
    assert target_hz is not None
    assert off == cents_between(target_hz, to_hz=measured_hz)


def test_offset_needs_concert_pitches_in_range() -> None:
    for measured_a4_hz, target_a4_hz in ((500.0, 440.0), (440.0, 500.0)):
        with pytest.raises(BadValue, match="A4 must lie from 392 to 470 Hz, not 500"):
            _offset("A", "A", measured_a4_hz=measured_a4_hz, target_a4_hz=target_a4_hz)
