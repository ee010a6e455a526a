"""The user's own settings: a writer made once, and a damaged file left alone."""

import re
from pathlib import Path

import pytest

from lugbook.errors import LibraryDamaged, LibraryMissing
from lugbook.library import Problem, load_user, save_user, users
from lugbook.library.writing import write_whole
from lugbook.records import UserSettings


def test_a_writer_is_made_once(tmp_path: Path) -> None:
    first = load_user(tmp_path / "config")

    assert re.fullmatch(r"[a-z]{6}", first.writer)
    assert load_user(tmp_path / "config") == first
    assert load_user(tmp_path / "other").writer != first.writer


def test_what_is_saved_is_loaded_with_keys_of_a_newer_version(tmp_path: Path) -> None:
    first = load_user(tmp_path)
    (tmp_path / "settings.toml").write_text(f'writer = "{first.writer}"\ntempo = 3\n', encoding="utf-8")
    changed = load_user(tmp_path).model_copy(update={"player": "Ada", "keys": {"turn.done": "space"}})
    save_user(tmp_path, changed)

    assert load_user(tmp_path) == changed
    assert load_user(tmp_path).model_extra == {"tempo": 3}


def test_settings_are_saved_where_none_were(tmp_path: Path) -> None:
    settings = UserSettings(writer="kqmzpt", player="Ada")
    save_user(tmp_path / "config", settings)

    assert load_user(tmp_path / "config") == settings


def test_damaged_settings_are_told_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_bytes(b"writer = 5\n")
    problems: list[Problem] = []
    settings = load_user(tmp_path, report=problems.append)

    assert re.fullmatch(r"[a-z]{6}", settings.writer)
    assert [problem.where for problem in problems] == ["writer"]
    with pytest.raises(LibraryDamaged):
        save_user(tmp_path, settings)
    assert file.read_bytes() == b"writer = 5\n"
    assert load_user(tmp_path).writer, "without a report the program goes on all the same"


def test_where_the_folder_is_a_file_settings_last_for_the_run(tmp_path: Path) -> None:
    (tmp_path / "config").write_text("a file", encoding="utf-8")
    problems: list[Problem] = []
    settings = load_user(tmp_path / "config", report=problems.append)

    assert re.fullmatch(r"[a-z]{6}", settings.writer)
    assert [problem.what for problem in problems] == ["the file cannot be read: Not a directory"]
    with pytest.raises(LibraryDamaged, match="Not a directory"):
        save_user(tmp_path / "config", settings)


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's refusal is injected: the superuser, as which tests may run, is refused nothing."""

    def refuse(path: Path, **_: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "mkdir", refuse)
    problems: list[Problem] = []
    load_user(tmp_path / "config", report=problems.append)

    assert [problem.what for problem in problems] == ["the settings cannot be kept: Permission denied"]
    with pytest.raises(LibraryMissing, match="Permission denied"):
        save_user(tmp_path / "config", UserSettings(writer="kqmzpt"))


def test_of_two_programs_that_start_at_once_the_first_makes_the_writer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = UserSettings(writer="aaaaaa")

    def late(path: Path, data: bytes, *, digest: str) -> str:
        monkeypatch.undo()
        save_user(tmp_path, first)
        return write_whole(path, data, digest=digest)

    monkeypatch.setattr(users, "write_whole", late)

    assert load_user(tmp_path) == first


def test_settings_begun_by_hand_are_given_a_writer(tmp_path: Path) -> None:
    """A player who moves one key writes nothing else; the remark and the key stay as they were typed."""
    typed = '# my keys\n[keys]\nrod_done = "n"\n'
    (tmp_path / "settings.toml").write_text(typed, encoding="utf-8")
    settings = load_user(tmp_path)

    assert settings.keys == {"rod_done": "n"}
    assert (tmp_path / "settings.toml").read_text(encoding="utf-8").endswith(typed)
    assert load_user(tmp_path) == settings


def test_settings_that_cannot_be_given_a_writer_are_reported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A writer in the wrong table, or a disk that refuses: the settings last as long as the program runs."""
    path = tmp_path / "settings.toml"
    path.write_text('[keys]\nwriter = "abcdef"\n', encoding="utf-8")
    problems: list[Problem] = []
    load_user(tmp_path, report=problems.append)
    assert [problem.where for problem in problems] == ["writer"]

    def refuse(*_: object, **__: object) -> str:
        raise OSError(28, "No space left on device")

    path.write_text('player = "Ada"\n', encoding="utf-8")
    monkeypatch.setattr("lugbook.library.users.write_whole", refuse)
    load_user(tmp_path, report=problems.append)
    assert [problem.where for problem in problems] == ["writer", "writer"]
    assert path.read_text(encoding="utf-8") == 'player = "Ada"\n'
