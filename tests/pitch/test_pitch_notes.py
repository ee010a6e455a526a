"""Spelled notes, and the note nearest to a frequency with its exact boundary."""

import math
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.pitch import A4_MAX_HZ, A4_MIN_HZ, HZ_MAX, HZ_MIN, Note, hz_of_midi, midi_of, nearest, shifted

letters = st.sampled_from("ABCDEFG")
alters = st.integers(-2, 2)
octave_notes = st.builds(Note, letters, alters, st.integers(1, 7))
notes = st.builds(Note, letters, alters, st.none() | st.integers(0, 9))
concert_pitches = st.floats(A4_MIN_HZ, A4_MAX_HZ)


def test_nearest_note_agrees_with_the_table(nearest_row: dict[str, Any]) -> None:
    near = nearest(nearest_row["hz"], a4_hz=nearest_row["a4_hz"])

    assert nearest_row["note"] == near.note.text()
    assert nearest_row["cents"] == pytest.approx(near.cents, rel=0, abs=nearest_row["within_cents"])


@given(octave_notes, concert_pitches)
def test_note_to_hertz_to_note_is_the_identity(note: Note, a4_hz: float) -> None:
    near = nearest(hz_of_midi(note.midi, a4_hz=a4_hz), a4_hz=a4_hz, like=note)

    assert near.note == note
    assert near.cents == 0.0


@given(st.floats(HZ_MIN, HZ_MAX), concert_pitches, st.integers(0, 9), notes)
def test_cents_lie_from_minus_50_to_below_50_and_rebuild_the_frequency(
    hz: float, a4_hz: float, digits: int, like: Note
) -> None:
    near = nearest(hz, a4_hz=a4_hz, like=like, digits=digits)
    rebuilt = near.note.midi + near.cents / 100.0

    assert -50.0 <= near.cents < 50.0
    assert near.cents == round(near.cents, digits)
    assert rebuilt == pytest.approx(midi_of(hz, a4_hz=a4_hz), rel=0, abs=0.0051 * 10.0**-digits + 1e-10)


@pytest.mark.parametrize("a4_hz", [392.0, 415.0, 432.1, 440.0, 441.7, 442.0, 443.0, 466.0, 470.0])
@pytest.mark.parametrize("midi", range(21, 108))
def test_exactly_half_way_goes_up_whatever_the_floating_point_says(midi: int, a4_hz: float) -> None:
    """Half way between two notes is the note above, -50.0 cents, never 50.0 and never less than -50."""
    half_way = hz_of_midi(midi + 0.5, a4_hz=a4_hz)

    for hz in (half_way, math.nextafter(half_way, 0.0), math.nextafter(half_way, math.inf)):
        near = nearest(hz, a4_hz=a4_hz)
        assert (near.note.midi, near.cents) == (midi + 1, -50.0)


def test_just_below_half_way_stays_on_the_note_below() -> None:
    near = nearest(shifted(440.0, cents=49.999))

    assert near.note.text() == "A4"
    assert near.cents == pytest.approx(49.999, rel=0, abs=1e-8)


def test_cents_that_would_round_to_50_belong_to_the_note_above() -> None:
    near = nearest(shifted(440.0, cents=49.996), digits=2)

    assert (near.note.text(), near.cents) == ("Bb4", -50.0)


def test_cents_are_never_minus_zero() -> None:
    near = nearest(shifted(440.0, cents=-1e-12))

    assert math.copysign(1.0, near.cents) == 1.0


@given(st.floats(30, 4000), concert_pitches)
def test_another_concert_pitch_moves_the_cents_by_as_much_for_every_frequency(
    hz: float, a4_hz: float
) -> None:
    shift = 1200.0 * math.log2(a4_hz / 440.0)
    at_440, at_a4 = nearest(hz), nearest(hz, a4_hz=a4_hz)
    heights = [100.0 * near.note.midi + near.cents for near in (at_440, at_a4)]

    assert heights[0] - heights[1] == pytest.approx(shift, rel=0, abs=1e-6)


def test_black_keys_are_spelled_as_percussionists_write_them() -> None:
    """Usual spellings (common practice, no source)."""
    spelled = [nearest(hz_of_midi(midi)).note.text() for midi in range(60, 72)]

    assert spelled == ["C4", "C#4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "G#4", "A4", "Bb4", "B4"]


def test_spelling_follows_a_like_note_of_the_same_name_on_the_keyboard_only() -> None:
    hz = hz_of_midi(63)

    assert nearest(hz, like=Note.parse("D#2")).note.text() == "D#4"
    assert nearest(hz, like=Note.parse("Fbb")).note.text() == "Fbb4"
    assert nearest(hz, like=Note.parse("F#")).note.text() == "Eb4"


def test_like_note_carries_its_octave_over_the_letter_c() -> None:
    assert nearest(hz_of_midi(60), like=Note.parse("B#")).note.text() == "B#3"
    assert nearest(hz_of_midi(59), like=Note.parse("Cb")).note.text() == "Cb4"


def test_like_note_is_dropped_where_its_octave_cannot_be_written() -> None:
    assert nearest(hz_of_midi(12), like=Note.parse("B#")).note.text() == "C0"


@pytest.mark.parametrize("midi", [11.4, 131.6, -40.0, 500.0])
def test_frequency_without_a_note_in_the_octaves_is_refused(midi: float) -> None:
    with pytest.raises(BadValue, match="has no note in the octaves 0 to 9") as caught:
        nearest(hz_of_midi(midi))

    assert caught.value.hint == "At this concert pitch they go from 15.89 to 16267 Hz."


@given(notes)
def test_text_and_sign_are_read_back_as_the_same_note(note: Note) -> None:
    assert Note.parse(note.text()) == note
    assert Note.parse(note.sign()) == note


@given(octave_notes)
def test_pitch_class_is_the_note_number_within_an_octave(note: Note) -> None:
    assert note.pitch_class == note.midi % 12
    assert note.pitch_class == Note(note.letter, note.alter).pitch_class


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("A3", Note("A", 0, 3)),
        ("a3", Note("A", 0, 3)),
        (" A3 ", Note("A", 0, 3)),
        ("A", Note("A")),
        ("b", Note("B")),
        ("bb", Note("B", -1)),
        ("bbb4", Note("B", -2, 4)),
        ("Bb", Note("B", -1)),
        ("B♭4", Note("B", -1, 4)),
        ("B♭♭4", Note("B", -2, 4)),
        ("B𝄫4", Note("B", -2, 4)),
        ("F#3", Note("F", 1, 3)),
        ("F♯3", Note("F", 1, 3)),
        ("F##3", Note("F", 2, 3)),
        ("F♯♯3", Note("F", 2, 3)),
        ("Fx3", Note("F", 2, 3)),
        ("F𝄪3", Note("F", 2, 3)),
        ("C0", Note("C", 0, 0)),
        ("G9", Note("G", 0, 9)),
    ],
)
def test_note_names_are_read(text: str, note: Note) -> None:
    assert note == Note.parse(text)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("H3", "German H is B here: write B3."),
        ("h", "German H is B here: write B."),
        ("A33", "The octave is one digit, 0 to 9, such as A3."),
        ("Bb10", "The octave is one digit, 0 to 9, such as A3."),
        ("Fis3", "Write English names: F# for Fis or fa#, Bb for German B or sib."),
        ("Es", "Write English names: F# for Fis or fa#, Bb for German B or sib."),
        ("Heses3", "Write English names: F# for Fis or fa#, Bb for German B or sib."),
        ("sib3", "Write English names: F# for Fis or fa#, Bb for German B or sib."),
        ("", "Write it like A3, F#3 or Bb4."),
        ("A-1", "Write it like A3, F#3 or Bb4."),
        ("A3\n", "Write it like A3, F#3 or Bb4."),
        ("A#b", "Write it like A3, F#3 or Bb4."),
        ("A###", "Write it like A3, F#3 or Bb4."),
        ("AB3", "Write it like A3, F#3 or Bb4."),
        ("A٣", "Write it like A3, F#3 or Bb4."),
        ("z" * 10_000, "Write it like A3, F#3 or Bb4."),
    ],
)
def test_what_is_no_note_name_is_refused_with_what_would_work(text: str, hint: str) -> None:
    with pytest.raises(BadValue, match="is no English note name") as caught:
        Note.parse(text)

    assert hint == caught.value.hint
    assert len(caught.value.sentence) < 100
    assert caught.value.sentence.isprintable()


@pytest.mark.parametrize(
    ("letter", "alter", "octave", "sentence"),
    [
        ("H", 0, 3, '"H" is no letter of a note.'),
        ("", 0, 3, '"" is no letter of a note.'),
        ("a", 0, 3, '"a" is no letter of a note.'),
        ("A", 3, 3, "An accidental of 3 semitones cannot be written."),
        ("A", -3, 3, "An accidental of -3 semitones cannot be written."),
        ("A", 0, -1, "Octave -1 is out of range."),
        ("A", 0, 10, "Octave 10 is out of range."),
    ],
)
def test_a_note_out_of_range_cannot_be_made(letter: str, alter: int, octave: int, sentence: str) -> None:
    with pytest.raises(BadValue) as caught:
        Note(letter, alter, octave)

    assert sentence == caught.value.sentence


def test_a_name_alone_has_no_note_number() -> None:
    with pytest.raises(BadValue, match="Bb names no octave") as caught:
        _ = Note("B", -1).midi

    assert caught.value.hint == "Add one, such as Bb3."


@given(notes)
def test_notes_are_values(note: Note) -> None:
    """Equal fields make equal notes, usable as keys; no field can be changed."""
    assume(note.octave is not None)

    assert {note: 1}[Note(note.letter, note.alter, note.octave)] == 1
    with pytest.raises(AttributeError):
        note.octave = 3  # type: ignore[misc]  # that it is frozen is what is tested
