"""Tempi that go back to one before, fermatas, and how dense a roll that is written out is."""

import threading
import warnings
from typing import Any

import pytest

from lugbook.scores import Tempo, read_part

from .conftest import about

Hand = Any


def read(hand: Hand, *begun: str, **more: Any) -> Any:  # noqa: ANN401  # as the fixtures of this folder
    """What is read of bars of four quarters, each begun with something."""
    return read_part(hand.file(*[one + 4 * hand.note() for one in begun]), **more)


def words(hand: Hand, *said: str) -> str:
    return "".join(str(hand.direction(f"<words>{one}</words>")) for one in said)


def tempi(told: Any) -> list[tuple[str, float]]:  # noqa: ANN401  # as said above
    return [(one.bar, one.quarters) for one in told.tempi]


@pytest.mark.parametrize("said", ["a tempo", "A Tempo.", "(a tempo)", "in tempo", "au mouvement"])
def test_a_tempo_is_the_tempo_before_the_last_change(hand: Hand, said: str) -> None:
    told = read(hand, hand.beats(60), hand.beats(30), words(hand, said), "")

    assert tempi(told) == [("1", 60), ("2", 30), ("3", 60)]
    assert told.seconds == about(4 + 8 + 4 + 4)
    assert told.remarks == ('"A tempo" in bar 3 is taken for 60 quarters a minute, the tempo before.',)


def test_a_tempo_after_slowing_down_changes_nothing(hand: Hand) -> None:
    """The tempo before the last change would be the one before the rit., which is not counted."""
    begun = [hand.beats(60), hand.beats(120), words(hand, "rit."), words(hand, "a tempo")]
    told = read(hand, *begun, words(hand, "rall."), words(hand, "a tempo"))

    assert tempi(told) == [("1", 60), ("2", 120)]
    assert told.remarks == ("Slowing down and hurrying (rit., accel.) are not counted.",)


def test_a_tempo_after_slowing_down_in_numbers(hand: Hand) -> None:
    """It goes back to what was before all the steps, and stays there when it is said again."""
    steps = [words(hand, "poco rit.") + '<sound tempo="100"/>', '<sound tempo="80"/>']
    told = read(hand, hand.beats(120), *steps, words(hand, "a tempo"), words(hand, "a tempo"))

    assert tempi(told) == [("1", 120), ("2", 100), ("3", 80), ("4", 120)]
    assert told.seconds == about(2 + 2.4 + 3 + 2 + 2)


def test_a_tempo_with_a_number_or_with_nothing_before(hand: Hand) -> None:
    both = words(hand, "a tempo") + hand.beats(90)

    assert tempi(read(hand, hand.beats(60), hand.beats(30), both)) == [("1", 60), ("2", 30), ("3", 90)]
    assert tempi(read(hand, hand.beats(60), words(hand, "a tempo"))) == [("1", 60)]
    assert tempi(read(hand, "", words(hand, "rit."), words(hand, "a tempo"), hand.beats(60))) == [
        ("1", 120),
        ("4", 60),
    ]


def test_a_tempo_in_a_repeat(hand: Hand) -> None:
    """The second time as the first."""
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    forth = '<barline location="left"><repeat direction="forward"/></barline>'
    path = hand.file(
        hand.beats(60) + 4 * hand.note(),
        forth + hand.beats(30) + 4 * hand.note(),
        words(hand, "a tempo") + 4 * hand.note() + back,
    )

    assert read_part(path).seconds == about(4 + 2 * (8 + 4))


@pytest.mark.parametrize("number", [None, 60.0])
def test_what_follows_from_a_guess_is_a_guess(hand: Hand, number: float | None) -> None:
    """Tempo I, "a tempo" and notes that last alike have no better a number than what they follow."""
    alike = hand.direction("<metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit></metronome>")
    begun = [words(hand, "Andante"), hand.beats(120), words(hand, "Tempo I."), alike, words(hand, "a tempo")]
    told = read(hand, *begun, tempo=number)
    first = number or 72.0

    assert told.tempi == (
        Tempo("1", first, assumed=True),
        Tempo("2", 120, assumed=False),
        Tempo("3", first, assumed=True),
        Tempo("4", 2 * first, assumed=True),
        Tempo("5", first, assumed=True),
    )
    sure = read(hand, hand.beats(72), hand.beats(120), *begun[2:])
    assert not any(one.assumed for one in sure.tempi)


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("rit.", True),
        ("molto rit.", True),
        ("poco a poco accel.", True),
        ("Ritardando", True),
        ("stringendo", True),
        ("string.", True),
        ("ritenuto", True),
        ("Cédez", True),
        ("Strings", False),
        ("strings tacet", False),
        ("ritmico", False),
        ("ritornello", False),
        ("spirito", False),
    ],
)
def test_slowing_down_and_hurrying_are_said(hand: Hand, said: str, heard: bool) -> None:
    """Over the part itself, and over another part only."""
    remark = "Slowing down and hurrying (rit., accel.) are not counted."
    path = hand.folder / "score.musicxml"
    bars = {"Flute": [words(hand, said) + 4 * hand.note()], "Snare Drum": [hand.beats(60) + 4 * hand.note()]}
    path.write_text(hand.score(bars), encoding="utf-8")

    assert (remark in read(hand, hand.beats(60) + words(hand, said)).remarks) == heard
    assert (remark in read_part(path).remarks) == heard


def test_fermatas_are_said(hand: Hand) -> None:
    """On a note, over a barline, or in another part, for whom all wait."""
    held = hand.note("whole", signs="<fermata/>")
    line = '<barline location="right"><fermata/></barline>'
    plain = [hand.beats(60) + 4 * hand.note(), hand.note("whole"), hand.note("whole")]

    def remarks(drum: list[str], flute: list[str]) -> tuple[str, ...]:
        path = hand.folder / "score.musicxml"
        path.write_text(hand.score({"Snare Drum": drum, "Flute": flute}), encoding="utf-8")
        return read_part(path).remarks

    said = ("Fermatas, the first in bar 2, are counted as long as they are written.",)
    assert remarks(plain, plain) == ()
    assert remarks([plain[0], held, held], plain) == said
    assert remarks([plain[0], plain[1] + line, held], plain) == said
    assert remarks([*plain[:2], held], [plain[0], held]) == said
    assert remarks(plain, [*plain, held]) == ()


def test_a_roll_written_out_is_one_stroke(hand: Hand) -> None:
    """At 96 a bar lasts 2.5 s: sixteen thirty-seconds are a roll, then two strokes; eighths are denser."""
    roll = 16 * hand.note("32nd") + 2 * hand.note()
    through = hand.beats(96) + 32 * hand.note("32nd")
    one = read_part(hand.file(hand.beats(96) + roll, 8 * hand.note("eighth"))).density
    two = read_part(hand.file(through, 32 * hand.note("32nd"), 4 * hand.note())).density

    assert one is not None
    assert two is not None
    assert (one.median, one.highest, one.highest_bar) == (about(5.5 / 2.5), 8 / 2.5, "2")
    # The roll begins in bar 1; the second bar has no stroke of its own; the third is the densest.
    assert (two.median, two.highest, two.highest_bar) == (about(2.5 / 2.5), 4 / 2.5, "3")


def test_two_readings_at_once_leave_warnings_as_they_were(hand: Hand) -> None:
    """One begins within the other, and ends after it."""
    path = hand.file(*[4 * hand.note()] * 50)
    before = list(warnings.filters)
    inside, ended = threading.Event(), threading.Event()

    def second(share: float) -> None:
        if share > 0.5:
            inside.set()
            ended.wait(20)

    other = threading.Thread(target=read_part, args=(path,), kwargs={"progress": second})

    def first(share: float) -> None:
        if share > 0.5 and not other.ident:
            other.start()
            inside.wait(1)

    read_part(path, progress=first)
    ended.set()
    other.join()

    assert inside.is_set()
    assert warnings.filters == before
