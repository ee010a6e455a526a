"""A reader finds the old bytes or the new ones: failures are put in at every step of a write."""

import errno
import os
import stat
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from lugbook.errors import ChangedUnderneath, LibraryMissing
from lugbook.library import Library, writing
from lugbook.library.writing import (
    MISSING,
    append_to,
    cut_to,
    digest_of,
    locked,
    put_new,
    put_over,
    sync_folder,
    to_disk,
    write_whole,
)
from lugbook.records import LibrarySettings, Preset

OLD, NEW = b"name = 'old'\n", b"name = 'new'\n"


class PowerCut(BaseException):
    """The machine goes off: nothing of the program runs after it."""


def _full(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.fixture
def target(tmp_path: Path) -> Path:
    path = tmp_path / "one.toml"
    path.write_bytes(OLD)
    return path


STEPS = ["open", "fdopen", "fsync", "chmod", "replace", "link", "fsync of the folder"]


def _break(monkeypatch: pytest.MonkeyPatch, step: str, failure: Callable[..., Any]) -> None:
    if step == "fsync of the folder":
        monkeypatch.setattr(writing, "sync_folder", failure)
    elif step in {"chmod", "replace"}:
        monkeypatch.setattr(Path, step, failure)
    elif step == "link":
        monkeypatch.setattr(Path, "hardlink_to", failure)
    else:
        monkeypatch.setattr(os, step, failure)


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("new", [False, True], ids=["over an old file", "a new file"])
def test_a_failure_leaves_the_old_bytes_or_the_new(
    target: Path, monkeypatch: pytest.MonkeyPatch, step: str, new: bool
) -> None:
    if new:
        target.unlink()
    _break(monkeypatch, step, _full)
    failed = False
    try:
        write_whole(target, NEW, digest=MISSING if new else digest_of(OLD))
    except OSError:
        failed = True
    monkeypatch.undo()

    assert failed == (step not in ({"chmod", "replace", "link"} if new else {"link"}))
    left = [path.name for path in target.parent.iterdir()]
    if failed and step != "fsync of the folder":
        assert left == ([] if new else [target.name])
        assert new or target.read_bytes() == OLD
    else:
        assert left == [target.name], "no temporary file is left"
        assert target.read_bytes() == NEW


@pytest.mark.parametrize("step", STEPS)
def test_a_power_cut_at_any_step_leaves_the_old_bytes_or_the_new(
    target: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def cut(*_: object, **__: object) -> None:
        raise PowerCut

    _break(monkeypatch, step, cut)
    with suppress(PowerCut):
        write_whole(target, NEW, digest=digest_of(OLD))
    monkeypatch.undo()

    assert target.read_bytes() in {OLD, NEW}


def test_bytes_torn_in_the_temporary_file_never_reach_the_target(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The write itself fails half way."""

    class Half:
        def __init__(self, descriptor: int, _mode: str) -> None:
            self.descriptor = descriptor

        def __enter__(self) -> "Half":
            return self

        def __exit__(self, *_: object) -> None:
            os.close(self.descriptor)

        def write(self, data: bytes) -> None:
            os.write(self.descriptor, data[: len(data) // 2])
            _full()

    monkeypatch.setattr(os, "fdopen", Half)
    with pytest.raises(OSError, match="No space left"):
        write_whole(target, NEW, digest=digest_of(OLD))

    assert target.read_bytes() == OLD
    assert [path.name for path in target.parent.iterdir()] == [target.name]


def test_equal_bytes_are_not_written_again(target: Path) -> None:
    before = target.stat()
    kept: list[bytes] = []
    digest = write_whole(target, OLD, digest=digest_of(OLD), keep_old=lambda _, data: kept.append(data))

    assert digest == digest_of(OLD)
    assert (target.stat().st_ino, target.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert kept == []


def test_a_link_stays_a_link(target: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(target.name)
    write_whole(link, NEW, digest=digest_of(OLD))

    assert link.is_symlink()
    assert target.read_bytes() == NEW


def test_the_mode_bits_of_the_old_file_stay(target: Path) -> None:
    target.chmod(0o640)
    write_whole(target, NEW, digest=digest_of(OLD))

    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_a_new_file_never_replaces_one_that_came_in_between(target: Path) -> None:
    """Another program makes the file after it was seen to be missing: the system's own link refuses."""
    temporary = target.with_name("temporary")
    temporary.write_bytes(NEW)

    with pytest.raises(ChangedUnderneath, match="made by someone else"):
        put_new(temporary, target)
    assert target.read_bytes() == OLD


def test_a_new_file_is_made_where_the_file_system_knows_no_hard_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    write_whole(tmp_path / "new.toml", NEW, digest=MISSING)

    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("new.toml", NEW)]


@pytest.mark.parametrize(("windows", "refusals", "tries"), [(True, 3, 4), (False, 1, 1), (True, 99, 10)])
def test_windows_is_asked_again_while_another_program_holds_the_file(
    target: Path, monkeypatch: pytest.MonkeyPatch, windows: bool, refusals: int, tries: int
) -> None:
    temporary = target.with_name("temporary")
    temporary.write_bytes(NEW)
    replace = Path.replace
    asked: list[Path] = []
    waited: list[float] = []

    def held(path: Path, other: Path) -> Path:
        asked.append(path)
        if len(asked) <= refusals:
            raise PermissionError(13, "in use by another program")
        return replace(path, other)

    monkeypatch.setattr(Path, "replace", held)
    monkeypatch.setattr(time, "sleep", waited.append)
    if refusals < tries:
        put_over(temporary, target, windows=windows)
    else:
        with pytest.raises(PermissionError):
            put_over(temporary, target, windows=windows)

    assert len(asked) == tries
    assert len(waited) == tries - 1
    assert target.read_bytes() == (NEW if refusals < tries else OLD)


def test_folders_are_forced_to_disk_where_the_system_can(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[int] = []
    monkeypatch.setattr(os, "fsync", synced.append)
    sync_folder(tmp_path, windows=True)
    assert synced == []
    sync_folder(tmp_path, windows=False)
    assert len(synced) == 1


@pytest.mark.parametrize("system", ["macos", "macos on a network drive", "linux", "windows"])
def test_bytes_go_through_to_the_drive(target: Path, monkeypatch: pytest.MonkeyPatch, system: str) -> None:
    asked: list[str] = []

    def full_sync(_descriptor: int, _command: int) -> None:
        asked.append("full")
        if system == "macos on a network drive":
            raise OSError(errno.ENOTSUP, "not supported")

    module: object = SimpleNamespace()
    if system.startswith("macos"):
        module = SimpleNamespace(F_FULLFSYNC=51, fcntl=full_sync)
    monkeypatch.setitem(sys.modules, "fcntl", None if system == "windows" else module)
    monkeypatch.setattr(os, "fsync", lambda _: asked.append("fsync"))
    with target.open("rb") as file:
        to_disk(file.fileno())

    right = {"macos": ["full"], "macos on a network drive": ["full", "fsync"]}
    assert asked == right.get(system, ["fsync"])


def test_an_append_that_was_taken_only_in_part_is_cut_off_again(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: write(descriptor, data[:4]))

    with pytest.raises(OSError, match="only 4 of 13 bytes"):
        append_to(target, NEW)
    assert target.read_bytes() == OLD


def test_an_append_that_cannot_be_forced_to_disk_is_cut_off_again(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", _full)

    with pytest.raises(OSError, match="No space left"):
        append_to(target, NEW)
    assert target.read_bytes() == OLD


def test_an_append_is_one_write(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write, sizes = os.write, []

    def counted(descriptor: int, data: bytes) -> int:
        sizes.append(len(data))
        return write(descriptor, data)

    monkeypatch.setattr(os, "write", counted)
    append_to(target, NEW * 100)

    assert sizes == [len(NEW) * 100]
    assert target.read_bytes() == OLD + NEW * 100


def test_a_file_is_cut_to_its_good_part(target: Path) -> None:
    cut_to(target, 4)
    assert target.read_bytes() == OLD[:4]


def test_a_second_program_waits_and_then_says_so(tmp_path: Path) -> None:
    lock = tmp_path / "locks" / "library.lock"
    said: list[str] = []

    def second() -> None:
        try:
            with locked(lock, seconds=0.05):
                said.append("went in")
        except ChangedUnderneath as error:
            said.append(error.sentence)

    with locked(lock):
        other = threading.Thread(target=second)
        other.start()
        other.join()
    second()

    assert said[0].startswith("Another program has been writing to the library for 0.05 s")
    assert said[1:] == ["went in"]
    assert lock.exists(), "a lock file that is deleted would let two programs in"


def test_a_lock_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "locks").write_text("a file", encoding="utf-8")

    with (
        pytest.raises(LibraryMissing, match=r"lock file .* cannot be made"),
        locked(tmp_path / "locks" / "x"),
    ):
        pytest.fail("the lock was given")


def test_locks_lie_outside_the_library(library: Library, drum: str, tmp_path: Path) -> None:
    library.add_preset(drum, Preset(name="Dry"))

    assert list(library.root.rglob("*.lock")) == []
    assert len(list((tmp_path / "locks").iterdir())) == 1


@pytest.mark.parametrize("step", ["replace", "open"])
def test_a_full_disk_is_told_and_nothing_is_lost(
    library: Library, drum: str, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    _break(monkeypatch, step, _full)

    with pytest.raises(LibraryMissing, match="No space left on device"):
        library.save_preset(stored, stored.record.model_copy(update={"words": "tight"}))
    monkeypatch.undo()
    assert library.preset(stored.id) == stored


def test_a_library_that_may_not_be_written_is_told(
    open_library: Callable[[str], Library], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, **_: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(LibraryMissing, match=r"library.drums cannot be written: Permission denied") as caught:
        open_library("kqmzpt").create(LibrarySettings())
    assert caught.value.exit_code == 3
    assert caught.value.hint.startswith("Make the library writable")
