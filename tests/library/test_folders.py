"""Where the library, the user's own folder and the locks lie."""

import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from lugbook.errors import BadValue
from lugbook.library import find_root, lock_folder, user_folder
from lugbook.records import UserSettings

USER = UserSettings(writer="kqmzpt", library="/from/settings")


@pytest.fixture
def system_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    """The folders of some other system, in the place of this one's."""

    def folder(kind: str) -> object:
        def path(name: str, *, appauthor: bool) -> Path:
            assert appauthor is False, "else Windows doubles the name"
            return Path("/system") / kind / name

        return path

    names = {f"user_{kind}_path": folder(kind) for kind in ("data", "config", "state")}
    monkeypatch.setitem(sys.modules, "platformdirs", SimpleNamespace(**names))


@pytest.mark.usefixtures("system_folders")
@pytest.mark.parametrize(
    ("option", "environment", "user", "root"),
    [
        ("/from/option", {"LUGBOOK_LIBRARY": "/from/environment"}, USER, "/from/option"),
        (None, {"LUGBOOK_LIBRARY": "/from/environment"}, USER, "/from/environment"),
        ("", {"LUGBOOK_LIBRARY": ""}, USER, "/from/settings"),
        (None, {}, USER, "/from/settings"),
        (None, {}, USER.model_copy(update={"library": ""}), "/system/data/lugbook"),
        (None, {}, None, "/system/data/lugbook"),
    ],
)
def test_the_library_is_where_the_first_that_names_one_says(
    option: str | None, environment: dict[str, str], user: UserSettings | None, root: str
) -> None:
    assert Path(root) == find_root(option, environment=environment, user=user)


@pytest.mark.usefixtures("system_folders")
def test_the_users_folder_and_the_locks_follow_the_environment_or_the_system() -> None:
    assert user_folder({"LUGBOOK_CONFIG": "/mine"}) == Path("/mine")
    assert user_folder({"LUGBOOK_CONFIG": ""}) == Path("/system/config/lugbook")
    assert lock_folder({"LUGBOOK_CONFIG": "/mine"}) == Path("/mine/locks")
    assert lock_folder({}) == Path("/system/state/lugbook/locks")


def test_a_home_folder_is_filled_in_and_a_path_made_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)

    assert find_root("~/drums", environment={}, user=None) == tmp_path / "drums"
    assert find_root("drums", environment={}, user=None) == tmp_path / "drums"


def test_a_home_folder_that_is_not_known_is_refused() -> None:
    with pytest.raises(BadValue, match="No home folder is known"):
        find_root("~no-such-player/drums", environment={}, user=None)


def test_a_nul_character_is_refused() -> None:
    with pytest.raises(BadValue, match="NUL"):
        find_root("a\0b", environment={}, user=None)
