"""At the bench: turning unheard from where the drum stands, and the page that says why it is off."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.desk.journal import with_counts, write
from lugbook.desk.keeping import edit_drum, edit_preset
from lugbook.records import PerHead

DRUM = "concert-snare"
DRY = f"{DRUM}/dry-etude"
Play = Callable[..., AbstractAsyncContextManager[Any]]


@pytest.fixture
def counted(desk: Desk) -> Desk:
    """The snare stands at its reference, and its first preset a quarter higher on the top head."""
    stored = desk.library.drum(DRUM)
    drum = desk.library.save_drum(stored, with_counts(desk, stored.record)).record
    heard = {"top": {"pitch": "A3-70"}, "bottom": {"pitch": "D4"}}
    write(desk, DRUM, drum, {"kind": "reading", **heard}, position=PerHead(top=0.0, bottom=0.0))
    turns = {
        "top": {"amount": 0.25, "count": "top-1"},
        "bottom": {"amount": 0.0, "count": "bottom-1"},
    }
    edit_preset(desk, DRY, {"turns": turns})
    return desk


async def test_the_drum_is_turned_unheard(at_bench: Play, counted: Desk, size: tuple[int, int]) -> None:
    """The turn, its time and how far to trust it; after the last rod the logbook holds the new place."""
    async with at_bench(counted, size=size) as stage:
        await stage.press("s")
        assert "turn the top head: tighten every rod by ¼" in stage.words()
        assert stage.screen.bench.silent is not None
        assert any(one.startswith("Time: ") for one in stage.screen.bench.remarks)
        assert any(one.startswith("Not trusted: ") for one in stage.screen.bench.remarks)
        assert any(one.startswith("Expected error of the worse head: ") for one in stage.screen.bench.remarks)
        await stage.press("t", "w")
        assert "Turned by turns alone." in stage.words()
        last = counted.library.log(DRUM).entries[-1]

    assert last.position.top == 0.25
    assert last.kind == "turn"
    assert last.note == "By turns alone, unheard."


async def test_where_it_stands_there_already_nothing_is_turned(at_bench: Play, counted: Desk) -> None:
    edit_preset(counted, DRY, {"turns": {"top": {"amount": 0.0, "count": "top-1"}}})
    async with at_bench(counted) as stage:
        await stage.press("s")

        assert "Nothing to turn: by the logbook the drum stands in this preset." in stage.words()
        assert any(one.startswith("Not trusted: ") for one in stage.screen.bench.remarks)
        assert "t turn" not in stage.words()


async def test_rods_out_of_reach_are_asked_about(at_bench: Play, counted: Desk) -> None:
    """The drum is lifted off its stand only when the key is pressed again."""
    edit_drum(counted, DRUM, {"top": {"reached_on_stand": False}})
    async with at_bench(counted) as stage:
        await stage.press("s")
        assert "the drum has to be lifted off. s again: all the same." in stage.words()
        assert stage.screen.bench.silent is None
        await stage.press("s")
        assert "tighten every rod by ¼" in stage.words()


async def test_what_cannot_be_turned_unheard_is_refused_in_words(at_bench: Play, desk: Desk) -> None:
    async with at_bench(desk) as stage:
        await stage.press("s")

        assert stage.screen.said.wrong
        assert "keeps no turns of either head" in stage.words()


async def test_a_reading_leads_from_then_on(at_bench: Play, counted: Desk) -> None:
    """It ends the unheard change, and the key says why it does nothing."""
    async with at_bench(counted) as stage:
        await stage.press("s")
        await stage.type("A3-60", "enter")
        assert stage.screen.bench.silent is None
        await stage.press("s")
        assert "let what was read lead" in stage.words()


async def test_check_says_why_and_which_is_nearest(
    at_bench: Play, counted: Desk, size: tuple[int, int]
) -> None:
    """By its count it stands a quarter below, and reads so."""
    async with at_bench(counted, size=size) as stage:
        await stage.press("k")
        assert "Read a head first." in stage.words()
        await stage.read_both("A3-70", "D4")
        await stage.press("k")
        assert stage.place == "page"
        words = stage.words()
        assert "Why: It was not brought here: by its count it stands elsewhere" in words
        await stage.press("end")
        words = stage.words()
        assert "→ Turn it to the preset, by pitch." in words
        assert "nearest to dry-etude, not within" in words
        assert "big-tutti" in words
        await stage.press("escape")
        assert stage.place == "listening"


async def test_within_there_is_no_why(at_bench: Play, counted: Desk) -> None:
    async with at_bench(counted) as stage:
        await stage.read_both("A3+4", "D4")
        await stage.press("k")

        assert "Why" not in stage.words()
        assert "nearest to dry-etude, within" in stage.words()
