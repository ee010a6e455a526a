"""Pitches as text: what is read, what is refused and how, and that what is written is read back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.pitch import HZ_MAX, HZ_MIN, Note, Pitch, cents_between, parse_pitch, pitch_hz, said_by_ear

FORMS = "Write a note such as A3, F#3 or Bb4+12, or a frequency from 20 to 5000 such as 221.3 Hz."
POINT = "Write the decimals after a point: "

octaves = st.none() | st.integers(1, 7)
cents = st.floats(-100, 100)
note_pitches = st.builds(
    Pitch, st.builds(Note, st.sampled_from("ABCDEFG"), st.integers(-2, 2), octaves), cents
)
pitches = note_pitches | st.builds(lambda hz: Pitch(hz=hz), st.floats(HZ_MIN, HZ_MAX))


def _refusal(text: str) -> BadValue | None:
    try:
        parse_pitch(text)
    except BadValue as error:
        return error
    return None


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("A3", "A3"),
        ("A3+4", "A3+4"),
        ("A3-12.5", "A3-12.5"),
        ("A3+0", "A3"),
        ("A3-0", "A3"),
        ("A3 + 4", "A3+4"),
        ("A3 +4 c", "A3+4"),
        ("A3-4cents", "A3-4"),
        ("A3−12.5", "A3-12.5"),
        ("A3+.5", "A3+0.5"),
        ("A3+100", "A3+100"),
        ("A3-100", "A3-100"),
        ("A", "A"),
        ("a", "A"),
        ("Bb", "Bb"),
        ("B♭", "Bb"),
        ("F♯3", "F#3"),
        ("Fx3", "F##3"),
        ("A+7", "A+7"),
        ("A-1", "A-1"),
        ("C-1", "C-1"),
        ("221.3", "221.3 Hz"),
        ("221.3Hz", "221.3 Hz"),
        ("221.3 Hz", "221.3 Hz"),
        ("221.3  hz", "221.3 Hz"),
        ("  221.30 ", "221.3 Hz"),
        ("221.", "221 Hz"),
        ("0221.3", "221.3 Hz"),
        ("20", "20 Hz"),
        ("5000", "5000 Hz"),
        ("A3 low side", "A3-25"),
        ("A3 on it", "A3"),
        ("a3 High Side", "A3+25"),
        ("Bb low side", "Bb-25"),
        ("E0", "E0"),
        ("Eb8", "Eb8"),
    ],
)
def test_each_form_is_read_and_written_in_its_canonical_form(text: str, canonical: str) -> None:
    pitch = parse_pitch(text)

    assert canonical == pitch.text()
    assert pitch == parse_pitch(canonical)


@given(pitches)
def test_what_is_written_is_read_back_as_the_same_pitch(pitch: Pitch) -> None:
    assert parse_pitch(pitch.text()) == pitch


@given(pitches)
def test_the_text_of_a_pitch_is_its_own_canonical_form(pitch: Pitch) -> None:
    assert parse_pitch(pitch.text()).text() == pitch.text()


@given(note_pitches, st.floats(392, 470))
def test_hertz_of_a_note_follow_the_concert_pitch_and_its_cents(pitch: Pitch, a4_hz: float) -> None:
    hz = pitch.hz_at(a4_hz)

    if pitch.note is None or pitch.note.octave is None:
        assert hz is None
    else:
        assert hz is not None
        assert cents_between(a4_hz, to_hz=hz) == pytest.approx(
            100.0 * (pitch.note.midi - 69) + pitch.cents, rel=0, abs=1e-8
        )


def test_a_frequency_stays_what_it_is_at_every_concert_pitch() -> None:
    assert pitch_hz("221.3 Hz", a4_hz=470.0) == 221.3


def test_hertz_need_a_concert_pitch_in_range_even_where_it_changes_nothing() -> None:
    for text in ("A3", "A", "221.3"):
        with pytest.raises(BadValue, match="A4 must lie from 392 to 470 Hz, not 500"):
            pitch_hz(text, a4_hz=500.0)


@pytest.mark.parametrize(
    ("text", "sentence", "hint"),
    [
        ("", "An empty text is no pitch.", FORMS),
        ("   ", "An empty text is no pitch.", FORMS),
        ("H3", '"H3" is no pitch.', "German H is B here: write B3."),
        ("H3+4", '"H3+4" is no pitch.', "German H is B here: write B3."),
        ("H3 low side", '"H3 low side" is no pitch.', "German H is B here: write B3."),
        ("A33", '"A33" is no pitch.', "The octave is one digit, 0 to 9, such as A3."),
        (
            "Fis3",
            '"Fis3" is no pitch.',
            "Write English names: F# for Fis or fa#, Bb for German B or sib.",
        ),
        ("nan", '"nan" is no pitch.', FORMS),
        ("inf", '"inf" is no pitch.', FORMS),
        ("-inf", '"-inf" is no pitch.', FORMS),
        ("1e9", '"1e9" is no pitch.', FORMS),
        ("1_000", '"1_000" is no pitch.', FORMS),
        ("0x40", '"0x40" is no pitch.', FORMS),
        ("٢٢٠", '"٢٢٠" is no pitch.', FORMS),
        ("+221.3", '"+221.3" is no pitch.', FORMS),
        ("19", "19 Hz is below the lowest pitch, 20 Hz.", "Give it in Hz, such as 221.3."),
        ("0.2213", "0.2213 Hz is below the lowest pitch, 20 Hz.", "If kHz was meant, write 221.3."),
        ("-221", "-221 Hz is below the lowest pitch, 20 Hz.", "A frequency is positive, such as 221.3."),
        ("−221", "-221 Hz is below the lowest pitch, 20 Hz.", "A frequency is positive, such as 221.3."),
        (
            "5001",
            "5001 Hz is above the highest pitch, 5000 Hz.",
            "If the decimal point is missing, write 500.1.",
        ),
        ("221,3", '"221,3" is no pitch.', POINT + "221.3."),
        ("A3+4,5", '"A3+4,5" is no pitch.', POINT + "A3+4.5."),
        ("A3,", '"A3," is no pitch.', FORMS),
        ("A3+", '"A3+" is no pitch.', "Write the cents after the sign, such as A3+4, or leave it away."),
        ("A3++4", '"A3++4" is no pitch.', FORMS),
        ("A3+nan", '"A3+nan" is no pitch.', FORMS),
        ("A3+600", "Cents go from -100 to +100, not +600.", "Name a nearer note: Eb4."),
        ("A3-250", "Cents go from -100 to +100, not -250.", "Name a nearer note: G3-50."),
        ("A+600", "Cents go from -100 to +100, not +600.", "Name a nearer note: Eb."),
        ("A3+101", "Cents go from -100 to +100, not +101.", "Name a nearer note: Bb3+1."),
        ("A3+99999", "Cents go from -100 to +100, not +99999.", "Name a nearer note: A3+4."),
        ("a\x1b[2J3", '"a␛[2J3" is no pitch.', FORMS),
        ("A3\n", '"A3␊" is no pitch.', FORMS),
        ("\x00", '"␀" is no pitch.', FORMS),
        ("A3\u202e", '"A3<U+202E>" is no pitch.', FORMS),
        (
            "z" * 10_000,
            f'"{"z" * 40}…" (10000 characters) is no pitch: the limit is 40 characters.',
            FORMS,
        ),
        (
            "9" * 10_000,
            f'"{"9" * 40}…" (10000 characters) is no pitch: the limit is 40 characters.',
            FORMS,
        ),
        (
            "A9",
            "A9 is 14080.0 Hz; pitches go from 20 to 5000 Hz (A4 = 440 Hz).",
            "E0 is the lowest note and Eb8 the highest.",
        ),
        (
            "Eb0",
            "Eb0 is 19.4 Hz; pitches go from 20 to 5000 Hz (A4 = 440 Hz).",
            "E0 is the lowest note and Eb8 the highest.",
        ),
        (
            "E8",
            "E8 is 5274.0 Hz; pitches go from 20 to 5000 Hz (A4 = 440 Hz).",
            "E0 is the lowest note and Eb8 the highest.",
        ),
        ("AB3 low side", '"AB3" is no English note name.', "Write it like A3, F#3 or Bb4."),
    ],
)
def test_strange_text_is_refused_with_the_value_the_limit_and_what_would_work(
    text: str, sentence: str, hint: str
) -> None:
    with pytest.raises(BadValue) as caught:
        parse_pitch(text)

    assert (sentence, hint) == (caught.value.sentence, caught.value.hint)


@given(st.text(max_size=60) | st.text("ABCHabc#bx♭♯0123456789+-−. ,ezH", max_size=12))
def test_any_text_is_a_pitch_or_is_refused_in_a_short_printable_sentence(text: str) -> None:
    error = _refusal(text)

    if error is None:
        assert parse_pitch(parse_pitch(text).text()) == parse_pitch(text)
    else:
        assert 0 < len(error.sentence) < 250
        assert error.hint
        assert str(error).isprintable()


@given(st.from_regex(r"[A-G](bb?|##?)?[0-9]?[-+][0-9]{3,4}", fullmatch=True))
def test_hints_that_name_a_nearer_note_work(text: str) -> None:
    error = _refusal(text)
    nearer = "Name a nearer note: "

    if error is not None and error.hint.startswith(nearer):
        assert _refusal(error.hint.removeprefix(nearer).removesuffix(".")) is None


@pytest.mark.parametrize(
    ("note", "off_cents", "hz", "sentence"),
    [
        (None, 0.0, None, "A pitch is either a note or a frequency."),
        (Note("A"), 0.0, 220.0, "A pitch is either a note or a frequency."),
        (None, 5.0, 220.0, "A frequency has no cents of its own."),
        (Note("A"), 100.5, None, "Cents go from -100 to +100, not +100.5."),
        (Note("A"), math.nan, None, "Cents go from -100 to +100, not +nan."),
        (None, 0.0, math.nan, "A frequency cannot be nan."),
        (None, 0.0, 5000.5, "5000.5 Hz is above the highest pitch, 5000 Hz."),
    ],
)
def test_a_pitch_that_is_none_cannot_be_made(
    note: Note | None, off_cents: float, hz: float | None, sentence: str
) -> None:
    with pytest.raises(BadValue) as caught:
        Pitch(note, off_cents, hz)

    assert sentence == caught.value.sentence


def test_hertz_and_cents_are_kept_to_six_decimals() -> None:
    assert Pitch(hz=221.30000004).hz == 221.3
    assert Pitch(Note("A"), 1e-9).text() == "A"
    assert Pitch(Note("A"), -1e-6).text() == "A-0.000001"
    assert math.copysign(1.0, Pitch(Note("A"), -1e-9).cents) == 1.0


@pytest.mark.parametrize(
    ("text", "by_ear"),
    [
        ("A3 low side", True),
        (" bb on it ", True),
        ("A3 HIGH SIDE", True),
        ("A3-25", False),
        ("A3", False),
        ("221.3 Hz", False),
        ("low side", False),
        ("", False),
    ],
)
def test_what_is_said_by_ear_is_known_by_its_form(text: str, by_ear: bool) -> None:
    assert by_ear is said_by_ear(text)
