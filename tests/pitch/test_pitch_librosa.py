"""Note numbers, frequencies and names against librosa, a second independent implementation."""

import re
from types import ModuleType

import pytest

from lugbook.pitch import Note, hz_of_midi, midi_of, nearest

FREQUENCIES = [20.0 * 1.0137**step for step in range(400)]
"""Frequencies from 20 Hz to 4.6 kHz in Hz, about 24 cents apart."""


@pytest.fixture(scope="module")
def librosa() -> ModuleType:
    # librosa takes a second or more to import, so only this file waits for it.
    import librosa

    return librosa


def test_note_numbers_agree(librosa: ModuleType) -> None:
    theirs = librosa.hz_to_midi(FREQUENCIES)

    assert [midi_of(hz) for hz in FREQUENCIES] == pytest.approx(list(theirs), rel=0, abs=1e-9)


def test_frequencies_of_note_numbers_agree(librosa: ModuleType) -> None:
    numbers = [quarter / 4 for quarter in range(4 * 15, 4 * 111)]

    assert [hz_of_midi(midi) for midi in numbers] == pytest.approx(
        list(librosa.midi_to_hz(numbers)), rel=1e-12
    )


def test_every_spelled_note_has_the_same_number_and_frequency(librosa: ModuleType) -> None:
    for letter in "CDEFGAB":
        for alter in range(-2, 3):
            for octave in range(9):
                note = Note(letter, alter, octave)
                assert librosa.note_to_midi(note.text()) == note.midi
                assert librosa.note_to_midi(note.sign()) == note.midi
                assert librosa.note_to_hz(note.text()) == pytest.approx(hz_of_midi(note.midi), rel=1e-12)


def test_nearest_notes_and_their_cents_agree(librosa: ModuleType) -> None:
    """Its names have sharps, and cents first rounded and then cut to whole ones: up to 1.5 cents away."""
    names = librosa.hz_to_note(FREQUENCIES, cents=True, unicode=False)
    for hz, name, number in zip(FREQUENCIES, names, librosa.hz_to_midi(FREQUENCIES), strict=True):
        parts = re.fullmatch(r"([A-G]#?[0-9])([+-][0-9]+)", name)
        near = nearest(hz)

        assert parts is not None
        assert librosa.note_to_midi(parts[1]) == near.note.midi
        assert int(parts[2]) == pytest.approx(near.cents, rel=0, abs=1.5001)
        assert near.note.midi + near.cents / 100.0 == pytest.approx(number, rel=0, abs=1e-9)
