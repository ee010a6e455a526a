"""The sweep of the snares on its screen: three steps by keys, the arrows, what is written, the way back."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import pytest
from textual.widgets import Input

from lugbook.desk import Desk
from lugbook.desk.keeping import edit_drum
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.desk.wiring import add_wires, edit_wires
from lugbook.records import SnareSetting
from lugbook.tui.sweep import value_drawn
from lugbook.tui.tall import amount

DRUM = "concert-snare"
Play = Callable[..., AbstractAsyncContextManager[Any]]


@pytest.fixture
def strung(desk: Desk) -> Desk:
    """The snare drum with wires, a knob that clicks and a butt that turns."""
    add_wires(desk, DRUM, {"kind": "gut"})
    adjustments = [
        {"name": "knob", "unit": "clicks", "zero": "all the way out"},
        {"name": "butt", "unit": "turns", "step": 0.125},
    ]
    edit_drum(desk, DRUM, {"strainer": {"adjustments": adjustments}})
    return desk


def typed(stage: Any) -> str:  # noqa: ANN401 -- the stage of the fixtures
    return str(stage.screen.query_one(Input).value)


async def test_from_free_to_choke_to_the_setting(play: Play, strung: Desk, size: tuple[int, int]) -> None:
    """Each number is typed and taken; half-way is offered and moved by an arrow; then it is on disk."""
    async with play(strung, size=size) as stage:
        await stage.press("down", "w")
        assert stage.place == "sweep"
        words = stage.words()
        assert "Snares Concert snare · knob" in words
        assert "Play pp near the edge and loosen knob until the wires just buzz free" in words
        assert "free at ›" in words
        await stage.type("4", "enter")
        assert "Play ff and tighten knob until the wires choke" in stage.words()
        assert "free at 4" in stage.words()
        assert typed(stage) == "5"
        await stage.type("10", "enter")
        assert typed(stage) == "7"
        assert "Set knob to 7, and listen. Half-way between free and choke" in stage.words()
        await stage.press("up")
        assert typed(stage) == "8"
        for row in amount("8").text().split("\n"):
            assert any(row.strip() in line for line in stage.rows())
        await stage.press("enter")
        assert "Written down: knob 8 (free at 4, chokes at 10)." in stage.words()
        assert "buzzes with ›" in stage.words()
        await stage.type("horn Bb3", "enter")
        assert "buzzes with horn Bb3." in stage.words()
        await stage.press("enter")
        assert stage.place == "shelf"

    assert strung.library.log(DRUM).entries[-1].snares == SnareSetting(
        values={"knob": 8},
        free={"knob": 4},
        choke={"knob": 10},
        buzzes_with=("horn Bb3",),
        wires="wires-1",
    )


async def test_the_past_says_where_to_begin(play: Play, strung: Desk) -> None:
    setting = SnareSetting(values={"knob": 6, "butt": 0.5}, free={"knob": 3}, wires="wires-1")
    try_state(strung, DRUM, State(values={"snares": setting}))
    async with play(strung) as stage:
        await stage.press("down", "w")
        assert typed(stage) == "3"
        assert "Written down on 25 November 2026, with the bottom head as it stands." in stage.words()
        assert "leave butt 0.5" in stage.words()
        await stage.press("down")
        assert typed(stage) == "2"
        await stage.type("1", "enter")
        assert "free at 1 " in stage.words()


async def test_a_slip_is_told_and_nothing_is_taken(play: Play, strung: Desk, size: tuple[int, int]) -> None:
    async with play(strung, size=size) as stage:
        await stage.press("down", "w")
        await stage.type("x", "enter")
        assert "Free at: 'x' is no number." in stage.words()
        await stage.press("up")
        assert stage.screen.said.wrong
        await stage.press("backspace", "enter")
        assert "is no number" in stage.words()
        await stage.type("4", "enter")
        await stage.type("2", "enter")
        assert "knob cannot choke at 2 where it is free at 4." in stage.words()
        assert stage.screen.sweep.stage == "choke"
    assert strung.library.log(DRUM).entries == ()


async def test_esc_asks_before_it_drops_what_was_found(play: Play, strung: Desk) -> None:
    async with play(strung) as stage:
        await stage.press("down", "w", "escape")
        assert stage.place == "shelf"
        await stage.press("w")
        await stage.type("4", "enter", "escape")
        assert stage.place == "sweep"
        assert "Nothing is written down yet" in stage.words()
        await stage.press("escape")
        assert stage.place == "shelf"
    assert strung.library.log(DRUM).entries == ()


async def test_the_other_adjustment_is_swept_by_its_own_step(play: Play, strung: Desk) -> None:
    async with play(strung) as stage:
        await stage.press("down", "w", "tab")
        assert "Snares Concert snare · butt, in turns" in stage.words()
        await stage.press("up", "up", "up")
        assert typed(stage) == "0.375"
        await stage.press("tab")
        assert "knob, in clicks" in stage.words()
        await stage.type("4", "enter")
        await stage.press("tab")
        assert stage.screen.sweep.name == "knob"


async def test_without_wires_there_is_nothing_to_sweep(play: Play, strung: Desk) -> None:
    edit_wires(strung, DRUM, "wires-1", {"off": strung.now().date()})
    async with play(strung) as stage:
        await stage.press("down", "w")
        assert "Concert snare has no wires on." in stage.words()
        await stage.press("enter", "up", "escape")
        assert stage.place == "shelf"


async def test_everything_fits_in_the_window(play: Play, strung: Desk, size: tuple[int, int]) -> None:
    """What to do, the number and the keys are seen at once, without scrolling."""
    async with play(strung, size=size) as stage:
        await stage.press("down", "w")
        await stage.type("4.5", "enter")
        await stage.type("10", "enter")
        assert stage.screen.query_one("#sweep").max_scroll_y == 0
        words = stage.words()
        for part in ("free at 4.5, chokes at 10", "set to ›", "enter take it", "esc back"):
            assert part in words


@pytest.mark.parametrize(
    ("text", "tall"), [("3.5", "3½"), ("-0.25", "−¼"), ("0", "0"), ("12", "12"), ("3 1/8", "3⅛")]
)
def test_values_are_tall_where_there_are_signs_for_them(text: str, tall: str) -> None:
    assert value_drawn(text) == amount(tall).text()
    assert value_drawn(text).strip()


@pytest.mark.parametrize("text", ["", "x", "3.3", "1000", "0.01"])
def test_other_values_are_not_drawn_wrongly(text: str) -> None:
    assert value_drawn(text) == ""
