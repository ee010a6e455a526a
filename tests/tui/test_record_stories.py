"""Stories of heads, lost counts, borrowed drums and how a drum answers, from the shelf."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from datetime import date
from typing import Any

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.keeping import add_drum

Play = Callable[..., AbstractAsyncContextManager[Any]]


async def test_a_new_head_is_put_on_from_the_heads(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Its day is today unless another is typed, its count starts afresh, and what that means is shown."""
    async with play(desk, size=size) as stage:
        await stage.press("h")
        assert stage.place == "heads"
        assert "Top head not written down" in stage.words()
        await stage.press("n")
        assert "New top head for Concert snare" in stage.words()
        assert "side" not in stage.words().split()
        await stage.type("2026-10-01", "ctrl+s")
        head = desk.library.drum("concert-snare").record.head_on("top")

        assert stage.place == "page"
        assert "top-1: a new top head, on since 1 October 2026" in stage.words()
        assert head is not None
        assert head.on == date(2026, 10, 1)
        await stage.press("escape")
        assert stage.place == "heads"
        assert "Top head film, on since 1 October 2026" in stage.words()
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_a_new_head_with_a_fault_is_not_put_on(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("h", "down", "n", "tab", "tab")
        await stage.type("goat", "ctrl+s")

        assert stage.place == "form"
        assert "! 1 thing to mend." in stage.words()
        await stage.press("escape", "escape")
        assert stage.place == "heads"
        assert desk.library.drum("concert-snare").record.head_on("bottom") is None


async def test_a_lost_count_is_begun_anew_when_asked_twice(play: Play, desk: Desk) -> None:
    """Once asks, twice does, and it is taken back; moving to the other head forgets the question."""
    turned = bench.read(desk, bench.sit_down(desk, "concert-snare/dry-etude"), "top", "A3-40")
    turning_rods.all_done(desk, turning_rods.begin(turned, "top"))
    before = desk.library.drum("concert-snare").record.count_of("top")
    async with play(desk) as stage:
        await stage.press("h", "k")
        assert "k again: begin a new count" in stage.words()
        await stage.press("down", "up", "k")
        assert "k again: begin a new count" in stage.words()
        assert desk.library.drum("concert-snare").record.count_of("top") == before
        await stage.press("k")
        assert "the count of the top head begins at 0" in stage.words()
        assert desk.library.drum("concert-snare").record.count_of("top") != before
        await stage.press("u")
        assert "runs again" in stage.words()
        assert desk.library.drum("concert-snare").record.count_of("top") == before


async def test_a_count_that_cannot_be_taken_back_is_said(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("h", "u")

        assert stage.screen.said.wrong
        assert "its first one" in stage.words()


async def test_a_preset_is_carried_to_a_borrowed_drum(play: Play, desk: Desk) -> None:
    """The list of the other drums, the pitches there, and the cursor on them."""
    add_drum(desk, {"name": "Loan", "diameter_in": 14})
    async with play(desk) as stage:
        await stage.press("down", "b")
        assert stage.place == "drums"
        assert "Concert snare" not in " ".join(stage.rows()[1:])
        await stage.press("enter")
        carried = desk.library.preset("loan/dry-etude").record

        assert stage.place == "shelf"
        assert carried.top is not None
        assert carried.top.pitch == "A3+4"
        assert carried.turns.top is None
        assert "no turns of this drum are kept" in stage.words()
        assert stage.screen.under_cursor() == ("preset", "loan/dry-etude")


async def test_on_a_drum_there_is_no_preset_to_carry(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("home", "b")

        assert stage.place == "shelf"
        assert "Go down to the preset" in stage.words()


async def test_how_a_drum_answers_is_a_page(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Cents a quarter turn, both graphs and the drift; it scrolls, and escape leads back."""
    turned = bench.read(desk, bench.sit_down(desk, "concert-snare/dry-etude"), "top", "A3-40")
    turned = turning_rods.all_done(desk, turning_rods.begin(turned, "top"))
    bench.read(desk, turned, "top", "A3+2")
    async with play(desk, size=size) as stage:
        await stage.press("a")
        assert stage.place == "page"
        assert "tighter" in stage.words()
        assert "2 logbook entries of 25 November 2026" in stage.words()
        await stage.press("end")
        assert "today" in stage.words()
        assert max(map(len, stage.rows())) <= size[0]
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_a_rope_drum_answers_to_no_turns(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("end", "a")

        assert stage.place == "shelf"
        assert "no turns to answer to" in stage.words()
