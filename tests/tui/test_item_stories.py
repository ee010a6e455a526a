"""Stories of the items of a concert: put in, told of, moved, dropped, by single keys."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import pytest
from textual.widgets import Input

from lugbook.desk import Desk
from lugbook.desk.concerts import add_concert, edit_concert
from lugbook.desk.pieces import add_piece
from lugbook.desk.running import Drop, Put
from lugbook.tui.form import FieldLine

Play = Callable[..., AbstractAsyncContextManager[Any]]
DRY, TUTTI = "concert-snare/dry-etude", "concert-snare/big-tutti"


@pytest.fixture
def evening(desk: Desk) -> Desk:
    """A concert of three titles, and a piece beside it."""
    add_piece(desk, {"title": "Boléro", "composer": "Maurice Ravel", "contexts": ["dry étude"]})
    items = [Put({"title": title, "after_s": 60}) for title in ("Anthem", "Ballad", "Chorale")]
    add_concert(desk, {"name": "Evening"}, items)
    return desk


def names(desk: Desk) -> list[str]:
    return [item.title or item.piece for item in desk.library.concert("evening").record.items]


def item(desk: Desk, number: int) -> Any:  # noqa: ANN401 -- an item as it is on disk
    return desk.library.concert("evening").record.items[number - 1]


async def test_the_items_are_listed_in_order(play: Play, evening: Desk, size: tuple[int, int]) -> None:
    """Each with what it is played with and the time after it; what is lacking is said in words."""
    async with play(evening, size=size) as stage:
        await stage.press("m", "i")
        words = stage.words()

        assert stage.place == "items"
        assert "1. Anthem ! no preset yet · then 1:00" in words
        assert "3 items · 2 drums · ! 3 remarks (r)" in words
        assert max(map(len, stage.rows())) <= size[0]
        await stage.press("r")
        assert "Item 2: nobody said what it is for." in stage.words()
        await stage.press("escape", "escape")
        assert stage.place == "repertoire"


async def test_a_piece_is_put_in_after_the_item_at_hand(
    play: Play, evening: Desk, size: tuple[int, int]
) -> None:
    """It is chosen from a list, and the cursor goes with it: the next key is for the new item."""
    async with play(evening, size=size) as stage:
        await stage.press("m", "i", "n")
        assert stage.place == "pieces"
        await stage.press("enter")
        assert names(evening) == ["Anthem", "bolero", "Ballad", "Chorale"]
        assert f"open: {DRY}" in stage.words()
        await stage.press("d")

    assert names(evening) == ["Anthem", "Ballad", "bolero", "Chorale"]


async def test_a_title_is_typed_and_a_piece_called_so_is_meant(play: Play, evening: Desk) -> None:
    """What is wrong leaves the line as it was typed; escape leaves it."""
    async with play(evening) as stage:
        await stage.press("m", "i", "end", "t")
        assert stage.place == "item line"
        await stage.type("Speech=tacet", "enter")
        assert stage.place == "items"
        assert (names(evening)[-1], item(evening, 4).tacet) == ("Speech", True)
        await stage.press("t")
        await stage.type("bolero", "enter")
        assert item(evening, 5).piece == "bolero"
        await stage.press("t")
        await stage.type("Fanfare=concert-snare/gone", "enter")
        assert stage.place == "item line"
        assert stage.screen.said.wrong
        assert stage.screen.query_one(Input).value == "Fanfare=concert-snare/gone"
        await stage.press("escape")
        assert (stage.place, len(names(evening))) == ("items", 5)


async def test_the_time_after_is_typed_over(play: Play, evening: Desk) -> None:
    """What was there is offered; no time is refused in words, and empty says that it is not known."""
    async with play(evening) as stage:
        await stage.press("m", "i", "down", "a")
        assert "2. time after › 1:00" in stage.words()
        await stage.type("soon", "enter")
        assert "'soon' is no time" in stage.words()
        await stage.press(*["backspace"] * 4)
        await stage.type("1:30", "enter")
        assert item(evening, 2).after_s == 90
        assert "then 1:30" in stage.words()
        await stage.press("a", "backspace", "enter")
        assert item(evening, 2).after_s is None
        assert "No time is said after item 2." in stage.words()


async def test_presets_are_chosen_from_a_list(play: Play, evening: Desk, size: tuple[int, int]) -> None:
    """Those for its music stand first; what it is played with has a sign and a word, and goes as it came."""
    async with play(evening, size=size) as stage:
        await stage.press("m", "i", "c")
        await stage.type("big orchestral tutti", "enter")
        assert item(evening, 1).contexts == ("big orchestral tutti",)
        await stage.press("enter")
        assert stage.place == "item presets"
        assert f"{TUTTI} for its music" in stage.words()
        await stage.press("enter")
        assert item(evening, 1).presets == (TUTTI,)
        assert f"with {TUTTI}" in stage.words()
        await stage.press("enter")
        assert f"✓ {TUTTI} taken, for its music" in stage.words()
        assert max(map(len, stage.rows())) <= size[0]
        await stage.press("enter")
        assert item(evening, 1).presets == ()


async def test_two_quick_presses_move_one_item_twice(play: Play, evening: Desk) -> None:
    """Keys that are pressed before the first deed is done are for the item that was meant."""
    async with play(evening) as stage:
        await stage.press("m", "i", "end")
        await stage.pilot.press("u", "u")
        await stage.settle()
        assert names(evening) == ["Chorale", "Anthem", "Ballad"]
        await stage.press("u")
        assert "It is the first item already." in stage.words()
        await stage.pilot.press("d", "x")
        await stage.settle()

    assert names(evening) == ["Anthem", "Ballad"]


async def test_what_was_dropped_comes_back(play: Play, evening: Desk) -> None:
    """The version before has it; once more takes that back."""
    async with play(evening) as stage:
        await stage.press("m", "i", "down", "x")
        assert names(evening) == ["Anthem", "Chorale"]
        assert "v brings it back" in stage.words()
        await stage.press("v")
        assert names(evening) == ["Anthem", "Ballad", "Chorale"]
        await stage.press("v")
        assert names(evening) == ["Anthem", "Chorale"]


async def test_tacet_is_a_word(play: Play, evening: Desk) -> None:
    async with play(evening) as stage:
        await stage.press("m", "i", "o")
        assert "1. Anthem tacet · then 1:00" in stage.words()
        await stage.press("o")

    assert not item(evening, 1).tacet


async def test_all_of_an_item_is_filled_in_on_a_form(play: Play, evening: Desk) -> None:
    """The piece it names is not asked for; what there is to say is said in the list."""
    async with play(evening) as stage:
        await stage.press("m", "i", "e")
        assert "Edit 1. Anthem" in stage.words()
        line = next(one for one in stage.screen.query(FieldLine) if one.field.key == "seconds")
        line.begin()
        await stage.settle()
        await stage.type("4min", "ctrl+s")
        assert stage.place == "items"
        assert "lasts 4:00" in stage.words()

    assert item(evening, 1).seconds == 240


async def test_what_somebody_else_changed_is_not_written_over(play: Play, evening: Desk) -> None:
    """The key is refused in words, and the items are shown as they are now."""
    async with play(evening) as stage:
        await stage.press("m", "i", "down")
        edit_concert(evening, "evening", {}, [Drop(1)])
        await stage.press("x")
        assert "were changed by someone else" in stage.words()
        assert names(evening) == ["Ballad", "Chorale"]
        assert "1. Ballad" in stage.words()
        await stage.press("home", "x")

    assert names(evening) == ["Chorale"]


async def test_keys_of_an_item_say_that_there_is_none(play: Play, desk: Desk) -> None:
    add_concert(desk, {"name": "Empty"})
    async with play(desk) as stage:
        await stage.press("m", "i", "x")
        assert "There is no item yet." in stage.words()
        await stage.press("n")
        assert "There is no piece in the library yet: t puts in a title." in stage.words()
        await stage.press("t")
        await stage.type("Anthem", "enter")
        assert "1. Anthem" in stage.words()
