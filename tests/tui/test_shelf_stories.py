"""Stories on the shelf: finding a preset, going to the bench, files that cannot be read, the first run."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.keeping import add_drum, add_preset, edit_preset, remove_drum, remove_preset
from lugbook.library import Library
from lugbook.records import LibrarySettings
from lugbook.tui import shelf
from lugbook.tui.demo import demo_library, with_demo

Play = Callable[..., AbstractAsyncContextManager[Any]]


async def test_drums_and_presets_are_listed(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Each drum with its presets: name, both pitches, interval, kinds of music."""
    async with play(desk, size=size) as stage:
        words = stage.words()

        assert "Concert snare 14 × 6.5 in" in words
        assert "Rope drum 15 in, rope tension" in words
        for part in ("Dry étude A3 +4 D4", "perfect fourth", "dry étude", "Old march E A"):
            assert part in words
        assert "3 presets" in words
        assert stage.place == "shelf"


async def test_typing_filters_without_accents(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Slash begins a filter; it holds in the list and escape drops it."""
    async with play(desk, size=size) as stage:
        await stage.press("slash")
        await stage.type("etude SNARE")
        assert "1 of 3 presets" in stage.words()
        assert "Big tutti" not in stage.words()

        await stage.press("enter")
        assert (stage.place, stage.screen.sieve.words) == ("shelf", "etude SNARE")
        await stage.press("escape")
        assert "3 presets" in stage.words()
        assert "Big tutti" in stage.words()


async def test_letters_of_a_filter_are_no_commands(play: Play, desk: Desk) -> None:
    """While a filter is typed, q does not quit and d adds no drum."""
    async with play(desk) as stage:
        await stage.press("slash")
        await stage.type("qdxc")

        assert stage.screen.sieve.words == "qdxc"
        assert "0 of 3 presets" in stage.words()
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_one_key_goes_round_the_kinds_of_music(play: Play, desk: Desk) -> None:
    """Each press shows the presets for the next kind, and at last all again."""
    async with play(desk) as stage:
        seen = []
        for _ in range(3):
            await stage.press("c")
            seen.append(stage.screen.sieve.context)

        assert seen == ["big orchestral tutti", "dry étude", ""]
        await stage.press("c")
        assert "1 of 3 presets · for big orchestral tutti" in stage.words()
        assert "Dry étude" not in stage.words()


async def test_a_bad_file_hides_no_good_one(play: Play, desk: Desk) -> None:
    """Files that cannot be read are counted; one key lists what is wrong."""
    presets = desk.library.root / "drums" / "concert-snare" / "presets"
    (presets / "torn.toml").write_text('name = "Torn\n', encoding="utf-8")
    (presets / "odd.toml").write_text('format = 1\nname = "Odd"\na4 = 12\n', encoding="utf-8")
    async with play(desk) as stage:
        assert "3 presets · ! 2 files cannot be read (p)" in stage.words()
        await stage.press("p")
        words = stage.words()
        assert stage.place == "problems"
        for part in ("presets/torn.toml", "presets/odd.toml", "a4", "392 to 470"):
            assert part in words
        await stage.press("escape")

        assert stage.place == "shelf"


async def test_presets_of_a_drum_that_cannot_be_read_are_still_there(play: Play, desk: Desk) -> None:
    """The drum's file is torn; its presets are listed under a heading that says so."""
    (desk.library.root / "drums" / "rope-drum" / "drum.toml").write_text("name = ", encoding="utf-8")
    async with play(desk) as stage:
        assert "drum that cannot be read" in stage.words()
        assert "Old march E A" in stage.words()
        await stage.press("end", "enter")

        assert stage.screen.said.wrong
        assert "drum.toml" in stage.screen.said.text


async def test_an_empty_library_offers_a_drum_only(play: Play, empty_desk: Desk) -> None:
    """Keys that need a drum do nothing where there is none, and are not shown."""
    empty_desk.library.create(LibrarySettings())
    async with play(empty_desk) as stage:
        assert "0 presets" in stage.words()
        assert "d new drum" in stage.words()
        assert "to the bench" not in stage.words()
        await stage.press("enter", "e", "x", "n", "r", "c", "p")

        assert stage.place == "shelf"
        assert not stage.screen.said.wrong


async def test_text_of_files_is_shown_literally(play: Play, desk: Desk) -> None:
    """No markup and no control character gets through a name."""
    path = desk.library.root / "drums" / "concert-snare" / "presets" / "odd.toml"
    path.write_text('format = 1\nname = "[b]X[/b]\\u001b[2J"\ncontexts = ["[red]loud"]\n', encoding="utf-8")
    async with play(desk) as stage:
        assert "[b]X[/b]␛[2J" in stage.words()
        assert "[red]loud" in stage.words()
        await stage.press("end", "up", "up", "enter")

        assert "Concert snare · [b]X[/b]␛[2J" in stage.words()


async def test_presets_of_one_name_are_told_apart(play: Play, desk: Desk) -> None:
    """Two presets of one name on one drum are shown with their slugs."""
    add_preset(desk, "concert-snare", {"name": "dry Étude"})
    async with play(desk, size=(120, 24)) as stage:
        assert "Dry étude (dry-etude)" in stage.words()
        assert "dry Étude (dry-etude-2)" in stage.words()


async def test_what_others_add_is_there_when_read_again(play: Play, desk: Desk) -> None:
    """One key reads the library again; the cursor stays where it was."""
    async with play(desk) as stage:
        await stage.press("down")
        before = stage.screen.query_one("#presets").highlighted_option.id
        add_preset(desk, "concert-snare", {"name": "Added elsewhere"})
        await stage.press("u")

        assert "Added elsewhere" in stage.words()
        assert stage.screen.query_one("#presets").highlighted_option.id == before


async def test_enter_on_a_drum_says_what_to_do(play: Play, desk: Desk) -> None:
    """A drum alone does not go to the bench."""
    async with play(desk) as stage:
        await stage.press("home", "enter")

        assert stage.place == "shelf"
        assert "Go down to a preset, or press n for a new one." in stage.words()


async def test_the_first_run_offers_a_first_drum(
    play: Play, empty_desk: Desk, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a library and a demo one key begins with a drum."""
    monkeypatch.setattr(shelf, "demo_library", lambda: None)
    async with play(empty_desk, size=size) as stage:
        assert stage.place == "welcome"
        assert "There is no library yet." in stage.words()
        assert "demo" not in stage.words()
        await stage.press("o")
        assert stage.place == "welcome"
        await stage.press("d")

        assert stage.place == "form"
        assert not empty_desk.library.exists


async def test_the_first_run_offers_the_demo(
    play: Play, empty_desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One key opens a copy of the demo library; the demo itself is not written to."""
    demo = tmp_path / "demo"
    theirs = Library(demo, now=empty_desk.clock, lock_folder=tmp_path / "locks", writer="zzzzzz")
    add_drum(replace(empty_desk, library=theirs), {"name": "Demo drum", "diameter_in": 14})
    monkeypatch.setattr(shelf, "demo_library", lambda: demo)
    async with play(empty_desk) as stage:
        assert "o look around in the demo library of an invented player" in stage.words()
        await stage.press("o")

        assert "Demo drum" in stage.words()
        assert "This is a copy of the demo library, kept in" in stage.words()
        assert stage.screen.desk.library.root == tmp_path / "library-demo"
        assert stage.place == "shelf"


def test_a_copy_of_the_demo_is_kept(empty_desk: Desk, tmp_path: Path) -> None:
    """The second time the same copy is opened, with what was written to it."""
    (tmp_path / "demo").mkdir()
    first = with_demo(empty_desk, tmp_path / "demo")
    (first.library.root / "mine.txt").write_text("mine", encoding="utf-8")
    again = with_demo(empty_desk, tmp_path / "demo")

    assert (again.library.root / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / "demo" / "mine.txt").exists()


def test_a_demo_that_cannot_be_copied_is_said(empty_desk: Desk, tmp_path: Path) -> None:
    """The reason and the folder are in the sentence."""
    from lugbook.errors import LibraryMissing

    with pytest.raises(LibraryMissing, match=r"cannot be copied to .*library-demo"):
        with_demo(empty_desk, tmp_path / "nowhere")


def test_the_demo_is_found_in_a_checkout_only(tmp_path: Path) -> None:
    """Where there is no demo folder none is offered."""
    assert demo_library(tmp_path) is None
    (tmp_path / "demo" / "library").mkdir(parents=True)
    assert demo_library(tmp_path) == tmp_path / "demo" / "library"


async def test_a_damaged_library_setting_is_a_line(play: Play, desk: Desk) -> None:
    """An error of the desk never ends the program."""
    (desk.library.root / "library.toml").write_text("a4 = 12\n", encoding="utf-8")
    async with play(desk) as stage:
        await stage.press("n")

        assert stage.screen.said.wrong
        assert "library.toml" in stage.screen.said.text
        assert "! " in stage.words()
        assert stage.place == "shelf"


async def test_a_round_that_waits_is_shown_on_the_shelf(
    play: Play, desk: Desk, size: tuple[int, int]
) -> None:
    """Beside its drum, and at the bench of another preset under its own name."""
    at_drum = bench.read(desk, bench.sit_down(desk, "concert-snare/dry-etude"), "bottom", "D4-40")
    turning_rods.rod_done(desk, turning_rods.begin(at_drum, "bottom"))
    async with play(desk, size=size) as stage:
        assert "▶ a round waits: bottom head, 1 of 8 rods" in stage.words()
        await stage.press("enter")
        assert "· for dry-etude" in stage.words()


async def test_a_preset_is_begun_from_a_starting_point(play: Play, desk: Desk, size: tuple[int, int]) -> None:
    """The list of starting points, one of them filled in, and kept as it is or changed."""
    before = desk.library.presets("concert-snare").items.keys()
    async with play(desk, size=size) as stage:
        await stage.press("s")
        assert stage.place == "starts"
        assert " over " in stage.words()
        chosen = stage.screen.query_one("#starts").highlighted_option.id
        await stage.press("enter")
        assert stage.place == "form"
        await stage.press("ctrl+s")
        new = desk.library.presets("concert-snare").items.keys() - before
        (begun,) = (desk.library.preset(name).record for name in new)

        assert stage.place == "shelf"
        assert begun.top is not None
        assert f"Begun from the starting point {chosen}" in begun.note


async def test_leaving_what_was_begun_untouched_asks_nothing(play: Play, desk: Desk) -> None:
    """What the program filled in is not the player's typing."""
    async with play(desk) as stage:
        await stage.press("s", "enter", "escape")

        assert stage.place == "shelf"
        assert len(desk.library.presets().items) == 3


async def test_the_version_before_the_last_change_is_brought_back(play: Play, desk: Desk) -> None:
    """And with the same key the change itself again; without a change that is said."""
    async with play(desk) as stage:
        await stage.press("v")
        assert "no older version of it is kept" in stage.words()
        edit_preset(desk, "concert-snare/big-tutti", {"words": "loud"})
        await stage.press("v")
        assert desk.library.preset("concert-snare/big-tutti").record.words == ""
        assert "as it was before its last change" in stage.words()
        await stage.press("v")
        assert desk.library.preset("concert-snare/big-tutti").record.words == "loud"


async def test_what_was_removed_long_ago_is_brought_back(play: Play, desk: Desk) -> None:
    """Restore knows the trash, not only what this program put there; a preset without its drum waits."""
    remove_preset(desk, "concert-snare/dry-etude")
    remove_drum(desk, "rope-drum")
    async with play(desk) as stage:
        await stage.press("r")
        assert "rope-drum is back." in stage.words()
        await stage.press("r")
        assert "concert-snare/dry-etude is back." in stage.words()
        await stage.press("r")
        assert "Nothing that was removed can be brought back." in stage.words()
