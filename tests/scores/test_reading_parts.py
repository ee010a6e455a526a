"""Parts as music21 writes them, the pieces that come with it, and the law of rests."""

import zipfile
from itertools import accumulate
from pathlib import Path
from typing import Any

import music21
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from music21 import clef, converter, dynamics, expressions, instrument, metadata, meter, note, stream, tempo

from lugbook.errors import BadValue, ExitCode, NotPossible, Stopped
from lugbook.scores import Dynamics, ManyParts, Tempo, read_part

from .conftest import about

Hand = Any
CORPUS = Path(music21.__file__).parent / "corpus"


def march() -> stream.Score:
    """A score of music21's: sixteen bars of 2/4, a quarter 96, then a half 60; a flute beside the drum."""
    drum: Any = stream.Part(id="drum")  # type: ignore[no-untyped-call]  # music21 types it in part
    drum.partName = "Kleine Trommel"
    drum.insert(0, instrument.SnareDrum())  # type: ignore[no-untyped-call]  # as said above
    flute: Any = stream.Part(id="flute")  # type: ignore[no-untyped-call]  # as said above
    flute.partName = "Flute"
    for number in range(1, 17):
        bar: Any = stream.Measure(number=number)
        other: Any = stream.Measure(number=number)
        if number == 1:
            bar.append(clef.PercussionClef())  # type: ignore[no-untyped-call]  # as said above
            bar.append(meter.TimeSignature("2/4"))
            other.append(meter.TimeSignature("2/4"))
            other.insert(0, tempo.MetronomeMark(number=96))
        if number == 9:
            bar.insert(0, tempo.MetronomeMark(number=60, referent="half"))
        if number in (3, 4, 5, 6, 7, 8, 15, 16):
            bar.append(note.Rest(quarterLength=2))
        else:
            roll: Any = note.Unpitched(quarterLength=2)
            if number in (10, 11):
                roll.expressions.append(expressions.Tremolo())  # type: ignore[no-untyped-call]  # as said above
            bar.append(roll)
        if number in (2, 12):
            level = dynamics.Dynamic("ppp" if number == 2 else "f")  # type: ignore[no-untyped-call]  # as said above
            bar.insert(0, level)
        other.append(note.Note(quarterLength=2))
        drum.append(bar)
        flute.append(other)
    whole: stream.Score = stream.Score([flute, drum])
    whole.insert(0, metadata.Metadata(title="March of the tests", composer="music21"))
    return whole


@pytest.mark.parametrize("kind", ["musicxml", "mxl"])
def test_a_score_of_music21s(tmp_path: Path, kind: str) -> None:
    """What is put in comes out, in text and packed."""
    path = tmp_path / f"march.{kind}"
    march().write(kind, fp=path)  # type: ignore[no-untyped-call]  # music21 types it in part
    assert zipfile.is_zipfile(path) == (kind == "mxl")
    told = read_part(path, least_rest_s=2)

    assert (told.title, told.composer, told.movement) == ("March of the tests", "music21", "")
    assert (told.parts, told.part) == (("Flute", "Kleine Trommel"), "Kleine Trommel")
    assert told.tempi == (Tempo("1", 96, assumed=False), Tempo("9", 120, assumed=False))
    assert told.seconds == about(16 * 60 / 96 + 16 * 60 / 120)
    assert told.dynamics == Dynamics("ppp", "2", "f", "12")
    assert told.rolls.bars == ("10", "11")
    assert told.rolls.share == about(2 / (2 * 1.25 + 6))
    assert [(one.bar_from, one.bar_to, one.where, one.seconds) for one in told.rests] == [
        ("3", "8", "between", about(6 * 1.25)),
        ("15", "16", "after", about(2)),
    ]
    assert [one.bar_from for one in read_part(path, least_rest_s=3).rests] == ["3"]


PIECES = [
    "bach/bwv1.6.mxl",
    "bach/bwv171.6.mxl",
    "bach/bwv66.6.mxl",
    "haydn/opus1no1/movement4.mxl",
    "monteverdi/madrigal.3.8.mxl",
    "mozart/k155/movement1.mxl",
    "schumann_robert/opus48no2.mxl",
]


@pytest.mark.parametrize("piece", PIECES)
def test_against_music21s_own_seconds(piece: str) -> None:
    """The first part of a piece, which has its tempi: as long as in music21, with the same rests."""
    if not (CORPUS / piece).is_file():
        pytest.skip("this piece does not come with music21 here")
    score: Any = converter.parse(CORPUS / piece, forceSource=True)
    part = score.parts[0]
    for one in list(part.recurse().getElementsByClass(expressions.TextExpression)):
        # "M.D.C." past the end of Haydn's last bar makes that bar longer for music21.
        one.activeSite.remove(one)
    played = part.expandRepeats()
    flat = played.flatten()
    marks = flat.metronomeMarkBoundaries()
    theirs = sum(mark.durationToSeconds(end - start) for start, end, mark in marks)
    told = read_part(CORPUS / piece, part="1", least_rest_s=1)

    assert told.bars == len(part.getElementsByClass(stream.Measure))
    assert told.bars_played == len(played.getElementsByClass(stream.Measure))
    assert told.seconds == about(theirs)
    sounding = sorted(
        (one["offsetSeconds"], one["endTimeSeconds"])
        for one in flat.secondsMap
        if isinstance(one["element"], note.NotRest)
    )
    ends = [0.0, *accumulate((end for _, end in sounding), max)]
    starts = [*(start for start, _ in sounding), theirs]
    gaps = [(end, start - end) for start, end in zip(starts, ends, strict=True) if start - end >= 1]
    assert [(one.at_s, one.seconds) for one in told.rests] == [(about(at), about(s)) for at, s in gaps]


BARS = st.lists(
    st.tuples(
        st.booleans(), st.sampled_from([None, 40, 60, 90, 144]), st.sampled_from([(4, 4), (3, 4), (6, 8)])
    ),
    min_size=1,
    max_size=25,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(bars=BARS, least=st.sampled_from([0.0, 3.0, 8.0, 20.0]))
@example(bars=[(False, None, (4, 4))], least=0.0)
def test_the_law_of_rests(
    hand: Hand, bars: list[tuple[bool, int | None, tuple[int, int]]], least: float
) -> None:
    """Bars of strokes and bars of rests: a run of bars without a stroke is a rest, and nothing else is."""
    texts, seconds, quarters, beat = [], [], [], 120.0
    for played, number, (beats, unit) in bars:
        beat = number or beat
        length = beats * 4 // unit if beats * 4 % unit == 0 else beats * 4 / unit
        time = f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
        inside = int(length) * hand.note() if played else hand.rest(int(8 * length))
        mark = hand.beats(number) if number else ""
        texts.append(f"<attributes>{time}</attributes>{mark}{inside}")
        quarters.append(length)
        seconds.append(length * 60 / beat)
    starts = [0.0, *accumulate(seconds)]
    expected: list[list[int]] = []
    for place, (played, *_) in enumerate(bars):
        if played:
            continue
        if expected and expected[-1][1] == place - 1:
            expected[-1][1] = place
        else:
            expected.append([place, place])
    told = read_part(hand.file(*texts), least_rest_s=least)
    whole = [(a, b, starts[b + 1] - starts[a]) for a, b in expected]

    assert told.seconds == about(starts[-1])
    found = [(one.bar_from, one.bar_to, one.seconds, one.at_s) for one in told.rests]
    assert found == [
        (str(a + 1), str(b + 1), about(s), about(starts[a])) for a, b, s in whole if s >= least - 1e-9
    ] or any(abs(s - least) < 1e-6 for *_, s in whole)
    for one in told.rests:
        before, after = one.bar_from == "1", one.bar_to == str(len(bars))
        assert one.where == ("before" if before else "after" if after else "between")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=30)
@given(least=st.floats(0, 30), more=st.floats(0, 30))
def test_longer_rests_are_among_the_shorter(hand: Hand, least: float, more: float) -> None:
    path = hand.file(hand.beats(60) + hand.rest(), *[hand.note() + hand.rest(24)] * 3, *[hand.rest()] * 4)
    few, many = read_part(path, least_rest_s=least + more).rests, read_part(path, least_rest_s=least).rests

    assert set(few) <= set(many)
    assert all(one.seconds >= least for one in many)


def test_short_bars_are_not_held_against_all_before(hand: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    """That would take minutes where thousands are short; each is as long as what stands in it."""
    looks: list[object] = []
    look: Any = stream.Measure.getTimeSignatures

    def looking(self: Any, *more: Any, **others: Any) -> Any:  # noqa: ANN401  # music21 types it in part
        looks.append(self)
        return look(self, *more, **others)

    monkeypatch.setattr(stream.Measure, "getTimeSignatures", looking)
    told = read_part(hand.file(hand.beats(60) + 4 * hand.note(), *[2 * hand.note()] * 40, 4 * hand.note()))

    assert told.seconds == about(4 + 80 + 4)
    assert len(looks) < 40


def scored(hand: Hand, *names: str, first: str | None = None) -> Path:
    path: Path = hand.folder / "score.musicxml"
    more = {} if first is None else {"first": first}
    path.write_text(hand.score([(name, [4 * hand.note()]) for name in names], **more), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "name",
    ["Snare Drum", "S.D.", "side drum", "Kleine Trommel", "Caisse claire", "Tamburo", "Rührtrommel", "Caja",
     "Field Drum 2", "Tambour", "Side-drum", "SD", "Sn. Dr.", "Rührtr.", "Tambor", "Kl.Tr.", "C. Cl.",
     "Tenor Drum", "Tambour militaire", "Tamburo piccolo", "Tamburo rullante", "Tambour, Tambour de basque"],
)  # fmt: skip
def test_the_snare_drum_among_percussion(hand: Hand, name: str) -> None:
    told = read_part(scored(hand, "Triangle", "Bass Drum", name, "Cymbals"))

    assert told.part == name


@pytest.mark.parametrize(
    "name",
    ["Tambour de basque", "Tamburo basco", "Tambourin", "Tamborim", "Gran tamburo", "Caja china",
     "Tambourine", "Bc. Cl.", "Kl. Trp.", "Tenor Drum", "Tamburo rullante", "Caisse roulante",
     "Rührtrommel", "Cajón"],
)  # fmt: skip
def test_what_is_called_much_like_a_snare_drum(hand: Hand, name: str) -> None:
    """The snare drum is taken, and not asked for."""
    assert read_part(scored(hand, name, "Snare Drum")).part == "Snare Drum"


def test_a_tambourine_is_percussion_all_the_same(hand: Hand) -> None:
    """It is no part of another kind, of which it would be said that it does not look like percussion."""
    path = scored(hand, "Tambour de basque", first="<attributes><divisions>8</divisions></attributes>")
    path.write_text(path.read_text(encoding="utf-8").replace("unpitched", "rest"), encoding="utf-8")

    assert not any("does not look like" in one for one in read_part(path).remarks)


def test_many_parts_are_listed(hand: Hand) -> None:
    path = scored(hand, "Percussion", "Percussion", "", "Tambourine")
    with pytest.raises(ManyParts) as raised:
        read_part(path)

    assert raised.value.exit_code == ExitCode.USAGE
    assert raised.value.parts == ("Percussion", "Percussion (2)", "Part 3", "Tambourine")
    assert read_part(path, part="percussion (2)").part == "Percussion (2)"
    assert read_part(path, part="3").part == "Part 3"
    assert read_part(path, part=" tambour ").part == "Tambourine"
    with pytest.raises(ManyParts, match="in the names of 2 parts"):
        read_part(path, part="perc")
    for wrong in ("5", "0", "Oboe", "", "９", "9" * 5000):
        with pytest.raises(BadValue, match="holds no part"):
            read_part(path, part=wrong)


def test_no_percussion_part(hand: Hand) -> None:
    """It is said, and a part can still be read when it is asked for."""
    path = hand.folder / "score.musicxml"
    path.write_text(
        hand.score(
            {"Flute": [hand.rest()], "Timpani": [hand.rest()]},
            first="<attributes><divisions>8</divisions></attributes>",
        ),
        encoding="utf-8",
    )
    with pytest.raises(NotPossible) as raised:
        read_part(path)

    assert raised.value.exit_code == ExitCode.NO
    assert "Flute, Timpani" in raised.value.hint
    assert '"Timpani" does not look like a percussion part.' in read_part(path, part="Timpani").remarks
    path.write_text("<score-partwise><part-list/></score-partwise>", encoding="utf-8")
    with pytest.raises(NotPossible, match="holds no part"):
        read_part(path)


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_a_rest_that_cannot_be(hand: Hand, value: float) -> None:
    with pytest.raises(BadValue, match="A rest cannot last"):
        read_part(hand.file(hand.rest()), least_rest_s=value)


@pytest.mark.parametrize("value", [0.0, -60.0, 9.0, 601.0, float("nan")])
def test_a_tempo_that_cannot_be(hand: Hand, value: float) -> None:
    with pytest.raises(BadValue, match="no tempo"):
        read_part(hand.file(hand.rest()), tempo=value)


@pytest.mark.parametrize("packed", [False, True])
def test_progress_goes_up_and_ends(hand: Hand, packed: bool) -> None:
    path = hand.file(*[4 * hand.note()] * 300)
    shares: list[float] = []
    read_part(hand.packed(path.read_bytes()) if packed else path, progress=shares.append)

    assert shares == sorted(shares)
    assert len(shares) > 300
    assert 0 <= shares[0] < shares[-1] == 1


@pytest.mark.parametrize(
    "ending", [Stopped("Stopped."), KeyboardInterrupt(), ValueError("mine"), BadValue("Mine.")]
)
@pytest.mark.parametrize("at", [0.0, 0.04, 0.2, 0.5, 0.9, 1.0])
def test_what_progress_raises_ends_the_reading(hand: Hand, ending: BaseException, at: float) -> None:
    """Whatever it is, it comes out as it is."""

    def progress(share: float) -> None:
        if share >= at:
            raise ending

    with pytest.raises(type(ending)) as raised:
        read_part(hand.file(*[4 * hand.note()] * 100), progress=progress)
    assert raised.value is ending
