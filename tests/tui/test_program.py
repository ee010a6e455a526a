"""The program as a whole: help, palette, themes, keys of the user, black and white, unexpected errors."""

import inspect
import re
import subprocess
import sys
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.command import CommandPalette

from lugbook.desk import Desk
from lugbook.errors import ExitCode
from lugbook.library import load_user, save_user
from lugbook.tui.app import LugbookApp, run
from lugbook.tui.commands import IN_A_SHELL, commands_at

Play = Callable[..., AbstractAsyncContextManager[Any]]


async def test_help_shows_every_key_of_the_screen(at_bench: Play, desk: Desk, size: tuple[int, int]) -> None:
    """The page has each command of the bench with its sentence; escape goes back to the bench."""
    async with at_bench(desk, size=size) as stage:
        await stage.press("question_mark")
        assert stage.place == "help"
        page = " ".join(str(stage.screen.query_one("#text").render()).split())
        for command in commands_at("listening", "turning", "line"):
            assert command.sentence in page
        assert "q ctrl+q" in page
        await stage.press("escape")
        assert stage.place == "listening"
        await stage.press("f1")

        assert stage.place == "help"


async def test_the_palette_knows_the_deeds_and_the_lines_of_the_shell(at_bench: Play, desk: Desk) -> None:
    """Deeds of this place can be found by words; those of the shell say what to type."""
    async with at_bench(desk) as stage:
        found = {one.title: one for one in stage.app.get_system_commands(stage.screen)}
        assert {"other head", "recording", "quit", "help"} <= found.keys()
        assert "rod done" not in found
        assert {what for what, _ in IN_A_SHELL} <= found.keys()

        await found["other head"].callback()
        await stage.settle()
        assert stage.screen.at_hand == "bottom"
        found["Check every file of the library"].callback()
        await stage.settle()
        assert "Type in a shell: lugbook verify" in stage.words()

        await stage.press("ctrl+p")
        assert isinstance(stage.app.screen, CommandPalette)
        await stage.press("escape")
        assert stage.place == "listening"


async def test_quit_ends_the_program(at_bench: Play, desk: Desk) -> None:
    """One key quits; the key that cannot be taken away does too."""
    for key in ("q", "ctrl+q"):
        async with at_bench(desk) as stage:
            await stage.pilot.press(key)
            await stage.pilot.pause()

            assert not stage.app.is_running or stage.app._exit


async def test_the_theme_is_changed_and_remembered(play: Play, desk: Desk) -> None:
    """One key changes between the dark stage and the light room, and keeps it for the next time."""
    save_user(desk.user_folder, desk.user)
    async with play(desk) as stage:
        assert stage.app.theme == "lugbook-stage"
        await stage.press("l")
        assert stage.app.theme == "lugbook-room"

    again = replace(desk, user=load_user(desk.user_folder))
    async with play(again) as stage:
        assert stage.app.theme == "lugbook-room"
        assert not stage.app.current_theme.dark


async def test_a_theme_that_cannot_be_kept_is_a_line(play: Play, desk: Desk) -> None:
    """The theme changes, and the reason why it is not kept is said."""
    desk.user_folder.write_text("in the way", encoding="utf-8")
    async with play(desk) as stage:
        await stage.press("l")

        assert stage.app.theme == "lugbook-room"
        assert stage.screen.said.wrong
        assert "settings.toml" in stage.screen.said.text


async def test_a_moved_key_works_and_is_shown(play: Play, desk: Desk) -> None:
    """The user's key does the deed, the old one does not, and the line of keys and the advice show it."""
    moved = replace(desk, user=desk.user.model_copy(update={"keys": {"turn": "v", "take_out": "z"}}))
    async with play(moved) as stage:
        assert "z to the bench" in stage.words()
        await stage.press("down", "z")
        assert stage.place == "listening"
        await stage.read_both("A3+4", "D4-40")
        assert "v turn the bottom head" in stage.words()
        await stage.press("t")
        assert stage.place == "listening"
        await stage.press("v")

        assert stage.place == "turning"


async def test_a_key_that_cannot_be_moved_is_said(play: Play, desk: Desk) -> None:
    """The shelf says what is wrong in the settings; the default key works."""
    wrong = replace(desk, user=desk.user.model_copy(update={"keys": {"turn": "a", "quit": "f9"}}))
    async with play(wrong) as stage:
        assert "begins a reading at the bench" in stage.words()
        assert "f9 quit" in stage.words()
        await stage.pilot.press("ctrl+q")
        await stage.pilot.pause()

        assert not stage.app.is_running or stage.app._exit


async def test_black_and_white_has_no_colours_and_all_signs(
    play: Play, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With NO_COLOR every colour is a grey, and states are still words and signs."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with play(desk) as stage:
        await stage.press("down", "enter")
        await stage.read_both("A3+4", "D4-40")
        picture = stage.app.export_screenshot()
        inks = dict(re.findall(r"terminal-\d+-(r\d+) \{ fill: #([0-9a-f]{6})", picture))
        used = re.findall(r'<text class="terminal-\d+-(r\d+)"[^>]*>(?!\s*</text>)', picture)
        paper = re.findall(r'<rect fill="#([0-9a-f]{6})" x=', picture)

        assert len(set(used)) > 2
        assert len(set(paper)) > 2
        for colour in (*(inks[name] for name in used), *paper):
            assert colour[:2] == colour[2:4] == colour[4:], colour
        assert "40 cents flat" in stage.words()
        await stage.press("t", "space")
        assert "■1 ▶5 □3" in stage.words()


async def test_a_click_on_a_key_does_what_the_key_does(at_bench: Play, desk: Desk) -> None:
    """The line of keys is a row of buttons."""
    async with at_bench(desk) as stage:
        rows = str(stage.screen.query_one("#keys").render()).split("\n")
        row = next(index for index, text in enumerate(rows) if "tab other head" in text)
        await stage.click("#keys", offset=(rows[row].index("tab other head") + 2, row))
        assert stage.screen.at_hand == "bottom"
        row = next(index for index, text in enumerate(rows) if "? help" in text)
        await stage.click("#keys", offset=(rows[row].index("? help") + 2, row))

        assert stage.place == "help"


class _BreakingApp(LugbookApp):
    """A program that meets an unexpected error as soon as it stands, and needs no terminal."""

    def on_ready(self) -> None:
        raise ZeroDivisionError("unexpected")

    def run(self, *_: object, **__: object) -> None:
        super().run(headless=True)


class _QuittingApp(LugbookApp):
    """A program that ends by itself."""

    def on_ready(self) -> None:
        self.exit()

    def run(self, *_: object, **__: object) -> None:
        super().run(headless=True)


def test_an_unexpected_error_is_kept_in_a_note(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """No traceback reaches the terminal; a note has it, and a line says where it lies."""
    code = run(desk, app=_BreakingApp(desk))
    (note,) = (desk.user_folder / "crashes").iterdir()
    said = capsys.readouterr()

    assert code == ExitCode.NO
    assert "ZeroDivisionError: unexpected" in note.read_text(encoding="utf-8")
    assert str(note) in said.err
    assert "Traceback" not in said.err + said.out


def test_a_note_that_cannot_be_kept_is_said(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the folder of notes cannot be made, that is the sentence."""
    desk.user_folder.mkdir(exist_ok=True)
    (desk.user_folder / "crashes").write_text("in the way", encoding="utf-8")

    assert run(desk, app=_BreakingApp(desk)) == ExitCode.NO
    assert "No crash note could be kept" in capsys.readouterr().err


def test_a_program_that_ends_well_says_nothing(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """Code 0, no words."""
    assert run(desk, app=_QuittingApp(desk)) == ExitCode.FINE
    assert capsys.readouterr().err == ""


def test_importing_the_package_loads_no_textual() -> None:
    """`lugbook.tui` is cheap until `run` is asked of it; English notes never load music21."""
    code = (
        "import sys, lugbook.tui; assert 'textual' not in sys.modules;"
        "from lugbook.tui import run; assert callable(run) and 'textual' in sys.modules;"
        "assert not {'numpy', 'music21', 'soundfile'} & set(sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stderr) == (0, "")


def test_an_unknown_name_of_the_package_is_an_attribute_error() -> None:
    """Only what is named is resolved on use."""
    import lugbook.tui

    with pytest.raises(AttributeError, match="nothing"):
        _ = lugbook.tui.nothing


def test_the_style_sheet_is_one_file() -> None:
    """All rules stand in one sheet; no widget brings its own."""
    folder = Path(inspect.getfile(LugbookApp)).parent

    assert [path.name for path in folder.glob("*.tcss")] == ["lugbook.tcss"]
    assert not [path for path in folder.glob("*.py") if "DEFAULT_CSS" in path.read_text(encoding="utf-8")]
