"""A player's library from its first day on."""

import os
import time
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from lugbook.errors import BadValue, LibraryMissing, NotFound, NotPossible
from lugbook.library import Library
from lugbook.records import Drum, Entry, LibrarySettings, Preset, Reading, Side

MakeEntry = Callable[..., Entry]


def test_a_library_is_made_once(open_library: Callable[[str], Library]) -> None:
    assert not open_library("kqmzpt").exists
    library = open_library("kqmzpt")
    stored = library.create(LibrarySettings(name="Section", a4=442))

    assert library.exists
    assert library.settings() == stored
    assert library.drums().items == {}
    assert library.problems() == ()
    with pytest.raises(NotPossible, match="holds a library already"):
        library.create(LibrarySettings())


def test_a_library_without_settings_has_the_defaults_and_gets_its_file_when_saved(library: Library) -> None:
    (library.root / "library.toml").unlink()
    stored = library.settings()
    assert stored.record == LibrarySettings()

    saved = library.save_settings(stored, LibrarySettings(a4=443))
    assert library.settings() == saved
    assert library.settings().record.a4 == 443


def test_settings_that_change_nothing_are_not_written(library: Library) -> None:
    stored = library.settings()
    before = stored.path.stat().st_mtime_ns

    assert library.save_settings(stored, stored.record) == stored
    assert stored.path.stat().st_mtime_ns == before
    assert not (library.root / ".trash").exists()


DEEDS: dict[str, Callable[[Library], Any]] = {
    "drums": lambda library: library.drums(),
    "drum": lambda library: library.drum("x"),
    "presets": lambda library: library.presets(),
    "preset": lambda library: library.preset("x/y"),
    "log": lambda library: library.log("x"),
    "settings": lambda library: library.settings(),
    "problems": lambda library: library.problems(),
    "files": lambda library: library.files(),
    "earlier drums": lambda library: library.earlier_drums("x"),
    "add a drum": lambda library: library.add_drum(Drum(name="x", diameter_in=14)),
    "add a preset": lambda library: library.add_preset("x", Preset(name="y")),
    "remove a drum": lambda library: library.remove_drum("x"),
    "restore a drum": lambda library: library.restore_drum("x"),
    "remove a preset": lambda library: library.remove_preset("x/y"),
    "restore a preset": lambda library: library.restore_preset("x/y"),
}


@pytest.mark.parametrize("deed", DEEDS.values(), ids=DEEDS)
def test_every_deed_says_that_there_is_no_library(
    open_library: Callable[[str], Library], deed: Callable[[Library], Any]
) -> None:
    library = open_library("kqmzpt")

    with pytest.raises(LibraryMissing, match="There is no library at") as caught:
        deed(library)
    assert "--library" in caught.value.hint
    assert caught.value.exit_code == 3
    assert not library.root.exists(), "nothing was made"


def test_a_file_is_no_library(open_library: Callable[[str], Library]) -> None:
    library = open_library("kqmzpt")
    library.root.write_text("a file", encoding="utf-8")

    assert not library.exists
    with pytest.raises(LibraryMissing, match="is a file and no library"):
        library.drums()
    with pytest.raises(LibraryMissing, match="cannot be written"):
        library.create(LibrarySettings())


def test_a_folder_of_other_things_is_no_library(open_library: Callable[[str], Library]) -> None:
    library = open_library("kqmzpt")
    library.root.mkdir()
    (library.root / "letter.txt").write_text("x", encoding="utf-8")

    with pytest.raises(LibraryMissing, match="holds no library"):
        library.drums()


def test_a_library_that_may_not_be_read_is_told(
    open_library: Callable[[str], Library], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system's refusal is injected: the superuser, as which tests may run, is refused nothing."""

    def refuse(path: Path) -> bool:
        raise PermissionError(13, "Permission denied", str(path))

    for name in ("is_file", "is_dir", "iterdir"):
        monkeypatch.setattr(Path, name, refuse)
    library = open_library("kqmzpt")

    assert not library.exists
    with pytest.raises(LibraryMissing, match="cannot be read: Permission denied"):
        library.drums()


def test_a_library_that_is_a_ring_of_links_is_told(
    open_library: Callable[[str], Library], tmp_path: Path
) -> None:
    (tmp_path / "library").symlink_to("library")

    with pytest.raises(LibraryMissing, match="cannot be read"):
        open_library("kqmzpt").drums()


def test_drums_are_kept_under_a_slug_that_stays(library: Library) -> None:
    stored = library.add_drum(Drum(name="Große Trommel", diameter_in=14, top=Side(rods=8)))
    assert stored.id == "grosse-trommel"
    assert library.drum("grosse-trommel") == stored

    renamed = library.save_drum(stored, stored.record.model_copy(update={"name": "Field drum"}))
    assert renamed.id == "grosse-trommel"
    assert renamed.path == stored.path
    assert list(library.drums().items) == ["grosse-trommel"]
    assert library.drum("grosse-trommel").record.name == "Field drum"


def test_two_presets_of_one_name_are_legal(library: Library, drum: str) -> None:
    both = [library.add_preset(drum, Preset(name="Dry", top=Reading(pitch=pitch))) for pitch in ("A3", "B3")]

    assert [stored.id for stored in both] == [f"{drum}/dry", f"{drum}/dry-2"]
    assert [stored.record.name for stored in library.presets(drum).items.values()] == ["Dry", "Dry"]
    assert library.preset(f"{drum}/dry-2").record.top == Reading(pitch="B3")


def test_presets_are_found_for_one_drum_or_for_all_in_order(library: Library, drum: str) -> None:
    other = library.add_drum(Drum(name="Another", diameter_in=13)).id
    for slug, name in ((drum, "B"), (drum, "A"), (other, "C")):
        library.add_preset(slug, Preset(name=name))

    assert list(library.presets().items) == [f"{other}/c", f"{drum}/a", f"{drum}/b"]
    assert list(library.presets(other).items) == [f"{other}/c"]
    with pytest.raises(NotFound):
        library.presets("nothing")


def test_what_is_not_there_is_told_with_the_nearest(library: Library, drum: str) -> None:
    library.add_preset(drum, Preset(name="Dry étude"))

    with pytest.raises(NotFound, match=f"There is no drum 'old-feild-drum'. There is {drum}."):
        library.drum("old-feild-drum")
    with pytest.raises(NotFound, match=f"There is {drum}/dry-etude."):
        library.preset(f"{drum}/dry-etud")
    with pytest.raises(NotFound, match=f"There is {drum}/dry-etude."):
        library.preset(f"{drum.upper()}/DRY-ETUDE")
    with pytest.raises(NotFound, match=f"There is {drum}/dry-etude."):
        library.remove_preset("x/y")
    with pytest.raises(NotFound, match="There is no drum"):
        library.remove_drum("zzz")
    with pytest.raises(NotFound, match="There is no drum"):
        library.add_preset("zzz", Preset(name="x"))
    with pytest.raises(NotFound, match="There is no drum"):
        library.restore_preset("zzz/y")


def test_an_empty_library_says_that_there_is_nothing_yet(library: Library) -> None:
    with pytest.raises(NotFound, match="There is no drum yet"):
        library.drum("x")
    with pytest.raises(NotFound, match="There is no preset yet"):
        library.preset("x/y")


def test_a_name_from_elsewhere_is_shown_safely(library: Library) -> None:
    with pytest.raises(NotFound) as caught:
        library.drum("x\x1b[2J")

    assert str(caught.value).isprintable()


def test_a_drum_that_could_not_be_read_back_leaves_nothing(library: Library) -> None:
    broken = Drum(name="Loud", diameter_in=14).model_copy(update={"diameter_in": 99})

    with pytest.raises(BadValue, match="diameter_in: 99 is above the limit of 40"):
        library.add_drum(broken)
    assert list((library.root / "drums").iterdir()) == []


def test_a_time_that_no_file_can_hold_is_refused(library: Library, drum: str, make_entry: MakeEntry) -> None:
    """TOML offsets have no seconds, those of old local times do."""
    odd = datetime(2026, 11, 25, 19, 12, 4, tzinfo=timezone(timedelta(minutes=19, seconds=32)))

    with pytest.raises(BadValue):
        library.add_preset(drum, Preset(name="Dry", made=odd))
    with pytest.raises(BadValue):
        library.append(drum, make_entry(1, at=odd))
    assert library.files() == (library.root / "drums" / drum / "drum.toml", library.root / "library.toml")


def test_one_record_is_read_without_reading_another(
    library: Library, drum: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    library.add_preset(drum, Preset(name="Other"))
    read, paths = Path.read_bytes, []

    def noted(path: Path) -> bytes:
        paths.append(path)
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", noted)
    library.preset(stored.id)
    library.drum(drum)

    assert paths == [stored.path, library.root / "drums" / drum / "drum.toml"]


def test_all_files_are_counted(library: Library, drum: str, make_entry: MakeEntry) -> None:
    library.add_preset(drum, Preset(name="Dry"))
    library.append(drum, make_entry(1))
    names = [path.relative_to(library.root).as_posix() for path in library.files()]

    assert names == [
        f"drums/{drum}/drum.toml",
        f"drums/{drum}/log/2026-11-kqmzpt.toml",
        f"drums/{drum}/presets/dry.toml",
        "library.toml",
    ]
    (library.root / "library.toml").unlink()
    assert len(library.files()) == 3


def test_five_hundred_presets_are_read_quickly(library: Library, drum: str) -> None:
    """A generous limit: what is proven is that no file is read many times over."""
    stored = library.add_preset(drum, Preset(name="Dry", top=Reading(pitch="A3+4"), contexts=("march",)))
    data = stored.path.read_bytes()
    for number in range(499):
        (stored.path.parent / f"p{number}.toml").write_bytes(data)
    begun = time.process_time()
    found = library.presets()

    assert len(found.items) == 500
    assert time.process_time() - begun < 2.0


@pytest.mark.skipif(os.name != "posix", reason="modes are a matter of POSIX")
def test_new_files_have_the_modes_the_player_asked_for(library: Library, drum: str) -> None:
    old = os.umask(0o027)
    try:
        stored = library.add_preset(drum, Preset(name="Dry"))
    finally:
        os.umask(old)

    assert stored.path.stat().st_mode & 0o777 == 0o640
