"""Note names in German and Latin: both ways, and that "B" depends on the language."""

import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.pitch import Language, Note, localised, parse_localised, parse_localised_pitch

LANGUAGES: tuple[Language, ...] = ("english", "german", "latin")
notes = st.builds(Note, st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.none() | st.integers(0, 9))


def test_names_agree_with_the_table(name_row: dict[str, Any]) -> None:
    note = Note.parse(name_row["english"])

    assert name_row["german"] == localised(note, language="german")
    assert name_row["latin"] == localised(note, language="latin")


@given(notes, st.sampled_from(LANGUAGES), st.sampled_from([str, str.lower]))
def test_names_are_read_back_as_the_same_note(note: Note, language: Language, case: Any) -> None:  # noqa: ANN401  # str or str.lower
    assert parse_localised(case(localised(note, language=language)), language=language) == note


@given(notes, st.sampled_from(LANGUAGES))
def test_english_text_of_a_pitch_is_found_from_its_name_in_any_language(
    note: Note, language: Language
) -> None:
    if note.octave is not None and not 1 <= note.octave <= 7:
        note = Note(note.letter, note.alter)
    text = f"{localised(note, language=language)}-12.5"

    assert parse_localised_pitch(text, language=language).text() == f"{note.text()}-12.5"


@pytest.mark.parametrize(
    ("text", "language", "english"),
    [
        ("B3", "english", "B3"),
        ("B3", "german", "Bb3"),
        ("b3", "german", "Bb3"),
        ("H3", "german", "B3"),
        ("HIS3", "german", "B#3"),
        ("Asas", "german", "Abb"),
        ("Ases", "german", "Abb"),
        (" fis3 ", "german", "F#3"),
        ("si3", "latin", "B3"),
        ("sib3", "latin", "Bb3"),
        ("si♭3", "latin", "Bb3"),
        ("sibb", "latin", "Bbb"),
        ("Fa#", "latin", "F#"),
        ("fa♯♯", "latin", "F##"),
        ("fax", "latin", "F##"),
        ("ré4", "latin", "D4"),
        ("REb4", "latin", "Db4"),
        ("SOL", "latin", "G"),
    ],
)
def test_names_are_read_in_the_language_that_is_given(text: str, language: Language, english: str) -> None:
    assert english == parse_localised(text, language=language).text()


@pytest.mark.parametrize(
    ("text", "language", "sentence"),
    [
        ("Bb3", "german", '"Bb3" is no German note name.'),
        ("F#3", "german", '"F#3" is no German note name.'),
        ("la3", "german", '"la3" is no German note name.'),
        ("A3", "latin", '"A3" is no Latin note name.'),
        ("la33", "latin", '"la33" is no Latin note name.'),
        ("Fis3+4", "german", '"Fis3+4" is no German note name.'),
        ("", "german", '"" is no German note name.'),
        ("3", "latin", '"3" is no Latin note name.'),
        ("A3\n", "german", '"A3␊" is no German note name.'),
        ("H3", "english", '"H3" is no English note name.'),
        ("z" * 10_000, "latin", f'"{"z" * 40}…" (10000 characters) is no Latin note name.'),
    ],
)
def test_names_of_another_language_are_refused(text: str, language: Language, sentence: str) -> None:
    with pytest.raises(BadValue) as caught:
        parse_localised(text, language=language)

    assert sentence == caught.value.sentence
    assert caught.value.hint.startswith("Write it like ") or language == "english"


@pytest.mark.parametrize(
    ("text", "language", "english"),
    [
        ("B3+4", "english", "B3+4"),
        ("B3+4", "german", "Bb3+4"),
        ("h", "german", "B"),
        ("Es4 low side", "german", "Eb4-25"),
        ("sol#3 − 5 c", "latin", "G#3-5"),
        ("221.3", "german", "221.3 Hz"),
        ("221.3 Hz", "latin", "221.3 Hz"),
    ],
)
def test_pitches_are_read_in_the_language_that_is_given(text: str, language: Language, english: str) -> None:
    assert english == parse_localised_pitch(text, language=language).text()


@pytest.mark.parametrize(
    ("text", "language", "sentence"),
    [
        ("Bb3", "german", '"Bb3" begins with no German note name.'),
        ("nan", "german", '"nan" begins with no German note name.'),
        ("A3", "latin", '"A3" begins with no Latin note name.'),
        ("B3+600", "german", '"B3+600" is no pitch from 20 to 5000 Hz in German names.'),
        ("la9", "latin", '"la9" is no pitch from 20 to 5000 Hz in Latin names.'),
        ("", "german", "An empty text is no pitch."),
        ("19", "latin", "19 Hz is below the lowest pitch, 20 Hz."),
    ],
)
def test_pitches_in_no_name_of_the_language_are_refused(text: str, language: Language, sentence: str) -> None:
    with pytest.raises(BadValue) as caught:
        parse_localised_pitch(text, language=language)

    assert sentence == caught.value.sentence
    assert caught.value.hint


def test_nothing_is_imported_that_is_not_needed_until_a_name_is_asked_for() -> None:
    """In a fresh interpreter: no third-party package for the sums, and music21 for German names only."""
    program = """
import sys
import lugbook.pitch as pitch
pitch.localised(pitch.nearest(221.3).note, language="english")
print(sorted({"music21", "numpy", "pydantic", "textual"} & set(sys.modules)))
print(pitch.localised(pitch.Note("B"), language="german"), "music21" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert done.stdout == "[]\nH True\n"
