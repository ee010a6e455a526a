"""The starting points shipped with the program: sound records, neutral, and no more than they claim to be."""

import re
import tomllib
from pathlib import Path

import pytest

from lugbook.library import starting_points
from lugbook.pitch import Note, interval_name
from lugbook.records import StartingPoint

FILES = sorted((Path(__file__).resolve().parents[2] / "presets").glob("*.toml"))

LOWEST_TOP, HIGHEST_TOP = Note.parse("E3").midi, Note.parse("D4").midi
LOWEST_BOTTOM, HIGHEST_BOTTOM = Note.parse("G3").midi, Note.parse("G4").midi
"""Where snare and field drums of 13 to 15 inches are tapped at the hoop (common practice, no source)."""

TURN_COUNT = re.compile(
    r"(?:\d|[⅛¼⅜½⅝¾⅞]|\b(?:quarter|half|eighth|sixteenth|one|two|three)\b)[\s/\d-]*(?:an?\s)?(?:full\s)?turns?\b"
)


def load(file: Path) -> StartingPoint:
    return StartingPoint.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def texts(point: StartingPoint) -> list[str]:
    return [
        point.name,
        *point.contexts,
        point.snares,
        point.muffling,
        point.sticks,
        point.words,
        point.interval,
        point.note,
    ]


def test_there_are_ten_to_fourteen_starting_points() -> None:
    assert 10 <= len(FILES) <= 14


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
class TestEachStartingPoint:
    def test_is_a_record_without_unknown_keys(self, file: Path) -> None:
        assert load(file).unknown_keys() == ()

    def test_has_ordered_ranges_of_notes_that_13_to_15_inch_drums_have(self, file: Path) -> None:
        point = load(file)
        top = Note.parse(point.top_from).midi, Note.parse(point.top_to).midi
        bottom = Note.parse(point.bottom_from).midi, Note.parse(point.bottom_to).midi

        assert LOWEST_TOP <= top[0] < top[1] <= HIGHEST_TOP
        assert LOWEST_BOTTOM <= bottom[0] < bottom[1] <= HIGHEST_BOTTOM
        assert 13 <= point.diameter_in[0] <= point.diameter_in[1] <= 15

    def test_names_the_interval_that_both_ends_of_its_ranges_make(self, file: Path) -> None:
        point = load(file)
        for top, bottom in ((point.top_from, point.bottom_from), (point.top_to, point.bottom_to)):
            named = interval_name(Note.parse(top), Note.parse(bottom))

            assert named.removesuffix(", bottom lower") in point.interval
            assert ("bottom lower" in named) == ("bottom lower" in point.interval)

    def test_says_what_it_rests_on_and_that_the_makers_limits_go_first(self, file: Path) -> None:
        point = load(file)

        assert point.basis == "common practice, no source"
        assert "place to begin from" in point.note
        assert "makers' limits" in point.note

    def test_says_how_to_begin_with_snares_muffling_and_sticks(self, file: Path) -> None:
        point = load(file)

        assert all((point.contexts, point.snares, point.muffling, point.sticks, point.words))

    def test_names_no_maker(self, file: Path) -> None:
        """A name of a maker would be a capital inside a sentence; only note names are such."""
        for text in texts(load(file)):
            for sentence in re.split(r"(?<=[.:;!?])\s+", text):
                inner = re.findall(r"\b[A-Z]\w*", sentence[1:])

                assert [word for word in inner if not re.fullmatch(r"[A-G]", word)] == []

    def test_counts_no_turns(self, file: Path) -> None:
        assert [text for text in texts(load(file)) if TURN_COUNT.search(text)] == []


@pytest.mark.parametrize(
    "text", ["up 1/4 turn", "two turns", "a quarter turn", "1¼ turns", "half a turn more"]
)
def test_a_turn_count_would_be_found(text: str) -> None:
    assert TURN_COUNT.search(text)


def test_players_who_differ_find_both_habits() -> None:
    intervals = [load(file).interval for file in FILES]

    assert any("bottom lower" in interval for interval in intervals)
    assert any("unison" in interval for interval in intervals)
    assert any("bottom higher" in interval for interval in intervals)


def test_one_of_them_is_a_shallow_drum_with_b_on_top_over_f_below() -> None:
    point = load(next(file for file in FILES if file.stem == "shallow-b-over-f"))

    assert Note.parse(point.top_from).midi <= Note.parse("B3").midi <= Note.parse(point.top_to).midi
    assert Note.parse(point.bottom_from).midi <= Note.parse("F4").midi <= Note.parse(point.bottom_to).midi


def test_the_program_finds_every_file() -> None:
    assert sorted(starting_points()) == sorted(file.stem for file in FILES)
