"""Stories of the repertoire: concerts and pieces in one list, filled in, changed, put away, brought back."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from datetime import date
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.desk.concerts import add_concert
from lugbook.desk.pieces import add_piece
from lugbook.desk.running import Put
from lugbook.tui.form import FieldLine

Play = Callable[..., AbstractAsyncContextManager[Any]]
DRY = "concert-snare/dry-etude"


@pytest.fixture
def played(desk: Desk) -> Desk:
    """Two concerts and two pieces."""
    add_piece(
        desk,
        {
            "title": "Scheherazade",
            "composer": "Nikolai Rimsky-Korsakov",
            "movement": "IV",
            "contexts": ["big orchestral tutti"],
            "passages": [{"bar_from": 11, "words": "fast repeated notes"}],
            "part": {"seconds": 750},
        },
    )
    add_piece(desk, {"title": "Boléro", "composer": "Maurice Ravel", "presets": [DRY]})
    add_concert(desk, {"name": "Summer concert", "on": date(2026, 6, 1)})
    items = [Put({"piece": "bolero"}), Put({"title": "Speech", "tacet": True})]
    add_concert(desk, {"name": "Winter concert", "on": date(2026, 12, 5), "hall": "Ropewalk Hall"}, items)
    return desk


async def _go_to(stage: Any, key: str) -> None:  # noqa: ANN401 -- the stage of the fixtures
    """Put the cursor into a field of the form."""
    line = next(one for one in stage.screen.query(FieldLine) if one.field.key == key)
    line.begin()
    await stage.settle()


async def test_concerts_stand_before_pieces_and_the_next_one_is_at_hand(
    play: Play, played: Desk, size: tuple[int, int]
) -> None:
    """Nothing of a name is cut off in either window; what is past is said in a word."""
    async with play(played, size=size) as stage:
        await stage.press("m")
        words = stage.words()

        assert stage.place == "repertoire"
        for part in ("1 June 2026", "past", "5 December 2026", "2 items", "Scheherazade, IV", "2 pieces"):
            assert part in words
        places = [words.index(one) for one in ("Summer", "Winter", "Maurice Ravel", "Nikolai")]
        assert places == sorted(places)
        assert stage.screen.under_cursor() == ("concert", "winter-concert")
        assert max(map(len, stage.rows())) <= size[0]
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_an_empty_repertoire_says_what_a_key_lacks(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("m")
        assert "0 concerts · 0 pieces" in stage.words()
        await stage.press("i")
        assert "There is no concert yet." in stage.words()
        await stage.press("enter")
        assert "There is no concert and no piece yet." in stage.words()
        await stage.press("r")
        assert "Nothing that was removed can be brought back." in stage.words()


async def test_words_filter_both(play: Play, played: Desk) -> None:
    """A place, a day or a kind of music; escape shows all again before it leads back."""
    async with play(played) as stage:
        await stage.press("m", "slash")
        assert stage.place == "repertoire filter"
        await stage.type("bolero")
        assert "0 of 2 concerts · 1 of 2 pieces · with “bolero”" in stage.words()
        await stage.press("enter")
        assert (stage.place, stage.screen.under_cursor()) == ("repertoire", ("piece", "bolero"))
        await stage.press("escape")
        assert "2 concerts · 2 pieces" in stage.words()
        assert stage.place == "repertoire"
        await stage.press("slash")
        await stage.type("ropewalk 2026-12", "escape")
        assert stage.screen.words == ""


async def test_a_piece_is_filled_in_line_by_line(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Passages and rests are lines of their own; what is wrong stands beside its field."""
    async with play(desk, size=size) as stage:
        await stage.press("m", "n")
        await stage.type("Bolero")
        await _go_to(stage, "passages")
        await stage.type("1-5 = pp alone", "enter")
        await stage.type("ff at the end")
        await _go_to(stage, "part.rests")
        await stage.type("20 = soon")
        await _go_to(stage, "part.seconds")
        await stage.type("15:30", "ctrl+s")
        assert "'soon' is no time" in stage.words()
        assert stage.place == "form"
        await _go_to(stage, "part.rests")
        await stage.press(*["backspace"] * 4)
        await stage.type("2min", "ctrl+s")

        assert stage.place == "repertoire"
        assert stage.screen.under_cursor() == ("piece", "bolero")
    piece = desk.library.piece("bolero").record
    assert [(one.bars, one.words) for one in piece.passages] == [("1-5", "pp alone"), ("", "ff at the end")]
    assert piece.part is not None
    assert (piece.part.seconds, [(one.bars, one.seconds) for one in piece.part.rests]) == (930, [("20", 120)])


async def test_a_new_concert_is_meant_at_the_librarys_pitch(play: Play, desk: Desk) -> None:
    """Its remarks are said; e changes it."""
    async with play(desk) as stage:
        await stage.press("m", "c")
        await stage.type("Matinée", "ctrl+s")
        assert "It has no items yet." in stage.words()
        assert desk.library.concert("matinee").record.a4 == desk.a4_hz()
        await stage.press("e")
        await _go_to(stage, "hall")
        await stage.type("Pit", "ctrl+s")

    assert desk.library.concert("matinee").record.hall == "Pit"


async def test_what_is_put_away_comes_back(play: Play, played: Desk) -> None:
    """Where a concert names a piece that is put away, that is said; v goes back to the version before."""
    async with play(played) as stage:
        await stage.press("m", "down", "x")
        words = stage.words()
        assert "bolero is put away; r brings it back." in words
        assert "The concert winter-concert names it" in words
        assert "1 piece" in words
        await stage.press("r")
        assert "bolero is back." in stage.words()
        assert stage.screen.under_cursor() == ("piece", "bolero")
        await stage.press("e")
        await stage.type(" II", "ctrl+s")
        assert played.library.piece("bolero").record.title == "Boléro II"
        await stage.press("v")
        assert "as it was before its last change" in stage.words()
        assert played.library.piece("bolero").record.title == "Boléro"


async def test_that_a_piece_was_played_is_written_down(play: Play, played: Desk) -> None:
    """Today unless another day is typed; on a concert the key says where to go."""
    async with play(played) as stage:
        await stage.press("m", "y")
        assert "Go down to the piece" in stage.words()
        await stage.press("down", "y")
        await _go_to(stage, "preset")
        await stage.type("concert-snare/gone", "ctrl+s")
        assert stage.screen.said.wrong
        assert stage.place == "form"
        await _go_to(stage, "preset")
        await stage.press(*["backspace"] * 4)
        await stage.type("dry-etude", "ctrl+s")
        assert "played 1×" in stage.words()

    (one,) = played.library.piece("bolero").record.performances
    assert (one.on, one.preset) == (date(2026, 11, 25), DRY)


async def test_a_piece_says_what_it_asks_and_what_to_begin_with(
    play: Play, played: Desk, size: tuple[int, int]
) -> None:
    """Each preset with its reasons; enter takes the drum to the bench with the one under the cursor."""
    async with play(played, size=size) as stage:
        await stage.press("m", "end", "enter")
        words = stage.words()
        assert stage.place == "piece"
        for part in ("For: big orchestral tutti", "bar 11: fast repeated notes", "Lasts: 12:30"):
            assert part in words
        assert "1. concert-snare/big-tutti G3 over C4 It is for big orchestral tutti." in words
        assert max(map(len, stage.rows())) <= size[0]
        await stage.press("enter")
        assert "Go down to a preset." in stage.words()
        await stage.press("end", "enter")
        assert stage.place == "listening"
        await stage.press("escape", "escape")
        assert stage.place == "repertoire"


async def test_a_piece_of_which_nothing_is_known_says_how_to_help(play: Play, desk: Desk) -> None:
    add_piece(desk, {"title": "Unknown"})
    async with play(desk) as stage:
        await stage.press("m", "enter")

        assert "Say under contexts what it is" in stage.words()


async def test_enter_opens_the_running_order_of_a_concert(play: Play, played: Desk) -> None:
    """The concert's own screen, and back."""
    async with play(played) as stage:
        await stage.press("m", "enter")
        assert stage.place == "concert"
        assert stage.screen.tonight is not None
        await stage.press("escape")
        assert stage.place == "repertoire"


async def test_a_concert_that_cannot_be_read_is_counted(play: Play, played: Desk) -> None:
    (played.library.root / "concerts" / "torn.toml").write_text('name = "Torn\n', encoding="utf-8")
    async with play(played) as stage:
        await stage.press("m")
        assert "! 1 file cannot be read (p)" in stage.words()
        await stage.press("p")
        assert "torn.toml" in stage.words()
