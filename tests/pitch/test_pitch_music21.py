"""Every note in every spelling, and every interval of two octaves, against music21."""

from collections.abc import Iterator
from itertools import product

import music21.interval
import music21.pitch
import pytest

from lugbook.pitch import Note, hz_of_midi, interval_name, localised, nearest, parse_pitch

LETTERS = "CDEFGAB"
NAMES = [Note(letter, alter) for letter in LETTERS for alter in range(-2, 3)]
STEPS = {letter: step for step, letter in enumerate(LETTERS)}


def _spellings(midi: int) -> Iterator[Note]:
    """Every spelling of a note number, built without the code under test but for the record."""
    semitones = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    for letter, octave in product(LETTERS, range(10)):
        alter = midi - 12 * (octave + 1) - semitones[letter]
        if -2 <= alter <= 2:
            yield Note(letter, alter, octave)


def _theirs(note: Note) -> music21.pitch.Pitch:
    return music21.pitch.Pitch(note.text().replace("b", "-"))


@pytest.mark.parametrize("midi", range(21, 109))
def test_every_spelling_of_a_note_agrees_in_number_frequency_and_name(midi: int) -> None:
    spellings = list(_spellings(midi))

    assert len(spellings) == (2 if midi % 12 == 8 else 3)
    for note in spellings:
        theirs = _theirs(note)
        assert theirs.midi == note.midi == midi
        assert theirs.frequency == pytest.approx(hz_of_midi(note.midi), rel=1e-12)
        assert theirs.nameWithOctave.replace("-", "b") == note.text()
        assert nearest(theirs.frequency, like=note).note == note
        assert parse_pitch(note.text()).note == note


@pytest.mark.parametrize("note", NAMES, ids=Note.text)
def test_german_and_latin_names_agree(note: Note) -> None:
    """Latin is checked on the French words, for it is built from the Italian ones."""
    words = {"": 0, "bémol": -1, "dièse": 1, "double bémol": -2, "double dièse": 2}
    syllable, _, accidental = _theirs(note).french.partition(" ")
    sign = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}[words[accidental]]

    assert localised(note, language="german") == _theirs(note).german
    assert localised(note, language="latin") == syllable.replace("é", "e") + sign


def _their_name(top: Note, bottom: Note) -> str:
    """Return music21's name of the interval, in our words."""
    interval = music21.interval.Interval(_theirs(top), _theirs(bottom))
    name = interval.niceName.lower().replace("-", " ")
    if interval.directedNiceName.startswith("Descending"):
        # music21 calls a unison lowered by a semitone diminished; from the lower note up it is augmented.
        name = name.replace("diminished unison", "augmented unison") + ", bottom lower"
    for plain in ("unison", "double octave", "octave"):
        name = name.replace(f"perfect {plain}", plain)
    return name


def test_every_interval_within_two_octaves_is_named_as_music21_names_it() -> None:
    """Five times altered, which only F and B with double accidentals reach, music21 cannot name."""
    compared, too_far, wrong = 0, [], []
    for name, other, octave in product(NAMES, NAMES, range(2, 7)):
        top = Note(name.letter, name.alter, 4)
        bottom = Note(other.letter, other.alter, octave)
        if abs(STEPS[bottom.letter] - STEPS[top.letter] + 7 * (octave - 4)) > 14:
            continue
        ours = interval_name(top, bottom)
        if "quintuply" in ours:
            too_far.append({top.text()[:-1], bottom.text()[:-1]})
            continue
        compared += 1
        if ours != (theirs := _their_name(top, bottom)):
            wrong.append((top.text(), bottom.text(), ours, theirs))

    assert wrong == []
    assert compared + len(too_far) == 35 * 29 * 5
    assert len(too_far) == 8
    assert all(pair == {"Fbb", "B##"} for pair in too_far)


def test_bare_names_make_the_ascending_interval_within_an_octave() -> None:
    for top, bottom in product(NAMES, NAMES):
        low = Note(top.letter, top.alter, 4)
        up = STEPS[bottom.letter] < STEPS[top.letter] or (
            bottom.letter == top.letter and bottom.alter < top.alter
        )
        high = Note(bottom.letter, bottom.alter, 5 if up else 4)
        name = interval_name(top, bottom)

        assert name == interval_name(low, high)
        assert "lower" not in name
