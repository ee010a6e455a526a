"""Note names in the player's language.

Files, the command line and JSON know English names only; the program's screens may show and read German
names (H, B, Fis, Es) or Latin ones (si, sib, fa#). "B" is one note in English and another in German, so that
a name is never read without its language. The octave number stays the scientific one in every language.

The names come from music21. It takes about a third of a second to import and English needs none of it, so
it is imported on first use.
"""

import re
from functools import cache
from typing import Literal

from lugbook.errors import BadValue
from lugbook.pitch.notes import ACCIDENTALS, SEMITONES, Note, quoted
from lugbook.pitch.texts import Pitch, parse_pitch

Language = Literal["english", "german", "latin"]
"""A language of note names."""

_NAME = re.compile(r"(?P<name>[^\W\d_]+(?:[#♯♭𝄪𝄫]+)?)(?P<rest>.*)", re.DOTALL)
_WRITTEN = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_SUCH_AS = {"german": "A3, Fis3, B3 (English Bb3) or H3", "latin": "la3, fa#3 or sib3"}


def localised(note: Note, *, language: Language) -> str:
    """Return the name of a note in a language.

    Args:
        note: the note, with octave or without.
        language: "english", "german" or "latin".

    Example:
        >>> bb3 = Note("B", -1, 3)
        >>> [localised(bb3, language=language) for language in ("english", "german", "latin")]
        ['B♭3', 'B3', 'sib3']
    """
    if language == "english":
        return note.sign()
    octave = "" if note.octave is None else str(note.octave)
    return _names(language)[note.letter, note.alter] + octave


def localised_sign(note: Note, *, language: Language) -> str:
    """Return the name of a note in a language as it is shown, with musical signs where it has any.

    Args:
        note: the note, with octave or without.
        language: "english", "german" or "latin".

    Example:
        >>> bb3 = Note("B", -1, 3)
        >>> [localised_sign(bb3, language=language) for language in ("english", "german", "latin")]
        ['B♭3', 'B3', 'si♭3']
    """
    if language != "latin":
        return localised(note, language=language)
    return localised(Note(note.letter), language=language) + note.sign()[1:]


def parse_localised(text: str, *, language: Language) -> Note:
    """Read the name of a note in a language; capitals or not does not matter.

    Args:
        text: the name, with octave or without.
        language: "english", "german" or "latin".

    Raises:
        BadValue: it is no note name in that language.

    Example:
        >>> parse_localised("B3", language="german").text(), parse_localised("B3", language="english").text()
        ('Bb3', 'B3')
    """
    if language == "english":
        return Note.parse(text)
    english = _in_english(text.strip(" "), language=language)
    if english is None or not re.fullmatch(r"[0-9]?", english[1]):
        raise BadValue(
            f"{quoted(text)} is no {language.title()} note name.", hint=f"Write it like {_SUCH_AS[language]}."
        )
    return Note.parse(english[0] + english[1])


def parse_localised_pitch(text: str, *, language: Language) -> Pitch:
    """Read a pitch whose note, if it names one, is in a language.

    Args:
        text: a pitch as `parse_pitch` reads it, but for the name of the note.
        language: "english", "german" or "latin".

    Raises:
        BadValue: it is no pitch in that language.

    Example:
        >>> parse_localised_pitch("Fis3+4", language="german").text()
        'F#3+4'
        >>> parse_localised_pitch("221.3 Hz", language="latin").text()
        '221.3 Hz'
    """
    plain = text.strip(" ")
    if language == "english" or not plain[:1].isalpha():
        return parse_pitch(text)
    english = _in_english(plain, language=language)
    if english is None:
        raise BadValue(
            f"{quoted(text)} begins with no {language.title()} note name.",
            hint=f"Write it like {_SUCH_AS[language]}.",
        )
    try:
        return parse_pitch(english[0] + english[1])
    except BadValue as error:
        # The sentence of the English reader would name a note in English, and B is not the same note there.
        raise BadValue(
            f"{quoted(text)} is no pitch from 20 to 5000 Hz in {language.title()} names.",
            hint=f"Write it like {_SUCH_AS[language]}, with cents from -100 to +100 if any.",
        ) from error


def _in_english(text: str, *, language: Language) -> tuple[str, str] | None:
    """Split the text into the English name of its note and what follows; None where there is no such note."""
    match = _NAME.fullmatch(text)
    note = match and _notes(language).get(match["name"].casefold())
    return (note.text(), match["rest"]) if match and note else None


@cache
def _names(language: Language) -> dict[tuple[str, int], str]:
    """Return the name of each letter and accidental in German or Latin."""
    # music21 takes a third of a second to import, so that only who asks for these names waits for it.
    from music21.pitch import Pitch as Music21Pitch

    names = {}
    for letter in SEMITONES:
        for alter, written in _WRITTEN.items():
            if language == "german":
                names[letter, alter] = str(Music21Pitch(letter + written.replace("b", "-")).german)
            else:
                names[letter, alter] = str(Music21Pitch(letter).italian) + written
    return names


@cache
def _notes(language: Language) -> dict[str, Note]:
    """Return the note of each name, in small letters, that is read in German or Latin."""
    names = _names(language)
    if language == "german":
        # A double flat is both "Ases" and "Asas" in use (common practice, no source).
        return {name.casefold(): Note(*spelling) for spelling, name in names.items()} | {
            "asas": Note("A", -2)
        }
    syllables = {names[letter, 0]: letter for letter in SEMITONES} | {"ré": "D"}
    return {
        syllable + sign: Note(letter, alter)
        for syllable, letter in syllables.items()
        for sign, alter in ACCIDENTALS.items()
    }
