"""The table of commands: unique keys, a handler for each row, and everything that derives from it."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.tui.app import LugbookApp
from lugbook.tui.bench import BenchScreen
from lugbook.tui.choosing import DrumsScreen
from lugbook.tui.commands import ALWAYS, BY_ID, COMMANDS, commands_at
from lugbook.tui.concert import ConcertScreen
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.form import FormScreen
from lugbook.tui.heads import HeadsScreen
from lugbook.tui.item_choosing import ItemPresetsScreen, PiecesScreen
from lugbook.tui.items import ItemsScreen
from lugbook.tui.keyline import key_line
from lugbook.tui.keys import bindings, bindings_everywhere, clashes, keys_in_use, markdown_table, sign_of
from lugbook.tui.logbook import LogbookScreen
from lugbook.tui.pages import HelpScreen, LinesScreen, ProblemsScreen
from lugbook.tui.picture import PictureScreen
from lugbook.tui.piece import PieceScreen
from lugbook.tui.places import BENCH, PLACES, READING_KEYS, TYPING, Place
from lugbook.tui.repertoire import RepertoireScreen
from lugbook.tui.shelf import ShelfScreen
from lugbook.tui.starts import StartsScreen
from lugbook.tui.sweep import SweepScreen

SCREENS: tuple[type[DeedScreen], ...] = (
    ShelfScreen,
    BenchScreen,
    PictureScreen,
    LogbookScreen,
    StartsScreen,
    DrumsScreen,
    HeadsScreen,
    SweepScreen,
    ConcertScreen,
    RepertoireScreen,
    PieceScreen,
    ItemsScreen,
    PiecesScreen,
    ItemPresetsScreen,
    FormScreen,
    LinesScreen,
    ProblemsScreen,
    HelpScreen,
)
DEFAULTS = {command.id: command.key for command in COMMANDS}


def test_no_two_commands_share_a_key_at_a_place() -> None:
    """A key means one thing wherever the player is."""
    assert list(clashes(DEFAULTS)) == []
    assert len(BY_ID) == len(COMMANDS)


def test_a_shared_key_would_be_found() -> None:
    """The search for clashes finds one."""
    assert ("turn", "recording") in list(clashes(DEFAULTS | {"recording": "t"}))


def test_every_place_belongs_to_one_screen() -> None:
    """The screens cover all places, none twice."""
    assert sorted(place for screen in SCREENS for place in screen.PLACES) == sorted(PLACES)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.id)
def test_every_command_has_its_handler(command: object) -> None:
    """Each row is handled by the program, or by every screen that has one of its places."""
    row = BY_ID[getattr(command, "id", "")]
    homes: list[type] = (
        [LugbookApp]
        if row.everywhere
        else [screen for screen in SCREENS if set(screen.PLACES) & set(row.places)]
    )

    assert homes
    for home in homes:
        handler = getattr(home, f"action_{row.id}", None)
        assert callable(handler), (home.__name__, row.id)
        assert handler.__doc__ or row.id == "quit"


def test_no_command_of_the_bench_begins_with_a_reading() -> None:
    """Letters A to H and digits begin a reading there."""
    assert not {row.key for row in commands_at(*BENCH)} & READING_KEYS


def test_no_command_types_where_text_is_typed() -> None:
    """Where a line is typed into, commands have keys that do not type."""
    assert all(len(row.key) > 1 and row.key != "space" for row in commands_at(*TYPING) if not row.everywhere)


def test_bindings_carry_their_commands_id() -> None:
    """Each binding can be remapped by the id of its row."""
    for place in PLACES:
        for binding in bindings(place):
            assert binding.id == binding.action
            assert binding.tooltip == BY_ID[str(binding.id)].sentence


def test_a_users_key_replaces_the_default() -> None:
    """A wish that can be granted is; others keep their keys."""
    keys, refused = keys_in_use({"turn": "v", "help": "?", "rod_done": "enter"})

    assert (keys["turn"], keys["help"], keys["rod_done"]) == ("v", "question_mark", "enter")
    assert keys["take_back"] == "u"
    assert refused == ()


@pytest.mark.parametrize(
    ("wish", "reason"),
    [
        ({"turn": "a"}, "begins a reading"),
        ({"turn": "7"}, "begins a reading"),
        ({"tern": "v"}, "the nearest is turn"),
        ({"zzz": "v"}, "is for no command"),
        ({"turn": ""}, "one key"),
        ({"turn": "v,w"}, "one key"),
        ({"turn": "ctrl+q"}, "always the same"),
        ({"save": "x"}, "types text"),
        ({"turn": "r"}, "is the key of recording already"),
        ({"turn": "v", "struck": "v"}, "is the key of"),
    ],
)
def test_a_wish_that_cannot_be_granted_is_said(wish: dict[str, str], reason: str) -> None:
    """The default stays, and a sentence says why."""
    keys, refused = keys_in_use(wish)

    assert len(refused) == 1
    assert reason in refused[0]
    assert list(clashes(keys)) == []


def test_two_keys_can_be_swapped() -> None:
    """Each of two commands may take the other's key."""
    keys, refused = keys_in_use({"turn": "r", "recording": "t"})

    assert (keys["turn"], keys["recording"], refused) == ("r", "t", ())


@given(
    st.dictionaries(
        st.sampled_from([*DEFAULTS, "nonsense"]),
        st.sampled_from([*"abdijkqtuvwxz19", "enter", "space", "escape", "tab", "f5", "ctrl+q", "", "a,b"]),
        max_size=6,
    )
)
def test_whatever_the_user_wishes_no_place_is_left_with_a_clash(wanted: dict[str, str]) -> None:
    """Every command keeps a key, no key means two things, and quit and help stay within reach."""
    keys, _ = keys_in_use(wanted)

    assert keys.keys() == DEFAULTS.keys()
    assert all(keys.values())
    assert list(clashes(keys)) == []
    fixed = {binding.key: binding.action for binding in bindings_everywhere() if binding.priority}
    assert fixed == {key: command for command, key in ALWAYS.items()}


@pytest.mark.parametrize("width", [38, 40, 78, 118])
@pytest.mark.parametrize("place", PLACES)
def test_the_line_of_keys_breaks_between_commands_only(place: Place, width: int) -> None:
    """Every key that the line shows is whole on one row, beside its words, in at most four rows."""
    rows = commands_at(place)
    lines = key_line(rows, DEFAULTS, width=width).plain.split("\n")

    assert all(len(line) <= width for line in lines)
    assert len(lines) <= 4
    for row in rows:
        shown = f"{sign_of(row.key)} {row.label}"
        assert any(shown in line for line in lines) == row.footer


def test_the_markdown_table_has_every_command() -> None:
    """The table for the README has one row for each command, and says where it is."""
    lines = markdown_table().splitlines()

    assert len(lines) == len(COMMANDS) + 2
    assert {line.count("|") for line in lines} == {5}
    for command in COMMANDS:
        assert any(f"`{command.id}`" in line and command.sentence in line for line in lines)


def test_the_style_sheet_names_no_colour() -> None:
    """Colours stand in the themes alone; the style sheet uses their variables."""
    sheet = Path(str(LugbookApp.CSS_PATH))
    rules = re.sub(r"/\*.*?\*/", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)

    for value in re.findall(r"(?:color|background)[a-z-]*:\s*([^;]+);", rules):
        assert value.startswith("$"), value
