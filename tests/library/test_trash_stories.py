"""Nothing is ever lost: what is deleted or replaced lies in the trash and can be brought back."""

from collections.abc import Callable
from pathlib import Path, PurePosixPath

import pytest

from lugbook.errors import NotFound, NotPossible
from lugbook.library import Library, trash
from lugbook.library.layout import id_of
from lugbook.records import Drum, Entry, Preset

MakeEntry = Callable[..., Entry]


def _in_trash(library: Library) -> list[str]:
    return sorted(
        path.relative_to(library.root / ".trash").as_posix().partition("/")[2]
        for path in library.root.glob(".trash/*/drums/**/*")
        if path.is_file()
    )


def test_a_removed_preset_comes_back_as_it_was(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry", words="tight"))
    library.remove_preset(stored.id)

    assert library.presets().items == {}
    assert library.removed() == (stored.id,)
    assert _in_trash(library) == [f"drums/{drum}/presets/dry.toml"]
    with pytest.raises(NotFound):
        library.preset(stored.id)

    assert library.restore_preset(stored.id) == stored
    assert library.removed() == ()
    assert list((library.root / ".trash").iterdir()) == []


def test_a_removed_drum_comes_back_with_its_presets_and_its_log(
    library: Library, drum: str, make_entry: MakeEntry
) -> None:
    preset = library.add_preset(drum, Preset(name="Dry"))
    entry = library.append(drum, make_entry(1))
    before = library.drum(drum)
    library.remove_drum(drum)

    assert library.drums().items == {}
    assert library.presets().items == {}
    with pytest.raises(NotFound):
        library.log(drum)

    assert library.restore_drum(drum) == before
    assert library.preset(preset.id) == preset
    assert library.log(drum).entries == (entry,)


def test_a_preset_removed_before_its_drum_stays_removed(library: Library, drum: str) -> None:
    gone, stays = (library.add_preset(drum, Preset(name=name)) for name in ("Gone", "Stays"))
    library.remove_preset(gone.id)
    library.remove_drum(drum)
    library.restore_drum(drum)

    assert list(library.presets().items) == [stays.id]
    assert library.removed() == (gone.id,)
    assert library.restore_preset(gone.id) == gone


def test_a_changed_preset_goes_back_to_what_it_was_and_forth(library: Library, drum: str) -> None:
    first = library.add_preset(drum, Preset(name="Dry"))
    second = library.save_preset(first, first.record.model_copy(update={"words": "tight"}))
    third = library.save_preset(second, second.record.model_copy(update={"words": "tighter"}))

    assert library.restore_preset(first.id) == second
    assert library.restore_preset(first.id) == third
    assert len(_in_trash(library)) == 2


def test_a_changed_drum_goes_back_to_what_it_was(library: Library, drum: str) -> None:
    first = library.drum(drum)
    library.save_drum(first, first.record.model_copy(update={"maker": "Unknown"}))

    assert library.restore_drum(drum) == first
    assert library.drum(drum) == first


def test_a_damaged_file_can_be_brought_back_to_what_it_was(library: Library, drum: str) -> None:
    first = library.add_preset(drum, Preset(name="Dry"))
    library.save_preset(first, first.record.model_copy(update={"words": "tight"}))
    first.path.write_bytes(b"torn")

    assert library.restore_preset(first.id) == first
    assert b"torn" in [path.read_bytes() for path in library.root.glob(".trash/**/dry.toml")]


def test_a_drum_whose_file_somebody_deleted_gets_an_older_one_back(library: Library, drum: str) -> None:
    first = library.drum(drum)
    library.save_drum(first, first.record.model_copy(update={"maker": "Unknown"}))
    first.path.unlink()

    assert library.restore_drum(drum) == first


def test_the_versions_of_a_drum_are_told_newest_first(library: Library, drum: str) -> None:
    stored = library.drum(drum)
    for maker in ("One", "Two", "Three"):
        stored = library.save_drum(stored, stored.record.model_copy(update={"maker": maker}))
    library.remove_preset(library.add_preset(drum, Preset(name="Dry")).id)
    worn = next(
        path for path in library.root.glob(".trash/*/drums/*/drum.toml") if b"One" in path.read_bytes()
    )
    worn.write_bytes(b"torn")

    assert [one.maker for one in library.earlier_drums(drum)] == ["Two", ""]
    with pytest.raises(NotFound):
        library.earlier_drums("no-drum")


def test_of_several_removed_the_last_comes_back(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    library.remove_preset(stored.id)
    stored.path.write_text('name = "Made again by hand"\n', encoding="utf-8")
    library.remove_preset(stored.id)

    assert library.restore_preset(stored.id).record.name == "Made again by hand"
    library.remove_preset(stored.id)
    assert library.restore_preset(stored.id).record.name == "Made again by hand"


def test_many_changes_within_one_second_keep_their_order(
    library: Library, drum: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.fsync", lambda _: None)  # many writes; no power is cut here
    stored = library.drum(drum)
    for number in range(30):
        stored = library.save_drum(stored, stored.record.model_copy(update={"maker": str(number)}))

    assert [one.maker for one in library.earlier_drums(drum)] == [*map(str, range(28, -1, -1)), ""]


def test_a_removed_slug_is_not_given_again(library: Library, drum: str) -> None:
    library.remove_preset(library.add_preset(drum, Preset(name="Dry")).id)
    assert library.add_preset(drum, Preset(name="Dry")).id == f"{drum}/dry-2"

    library.remove_drum(drum)
    assert library.add_drum(Drum(name="Old field drum", diameter_in=14)).id == f"{drum}-2"


def test_what_was_never_removed_cannot_come_back(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    library.remove_preset(library.add_preset(drum, Preset(name="Loose")).id)

    with pytest.raises(NotPossible, match="is there, and no older version of it is kept"):
        library.restore_preset(stored.id)
    with pytest.raises(NotPossible, match="is there"):
        library.restore_drum(drum)
    with pytest.raises(NotFound, match=f"There is no removed preset '{drum}/lose'. There is {drum}/loose."):
        library.restore_preset(f"{drum}/lose")
    with pytest.raises(NotFound, match=r"There is no removed drum 'x'. There is no removed drum yet."):
        library.restore_drum("x")


@pytest.mark.parametrize("id", ["../drums", "../..", "a/../b", "", "/", "x/", "con"])
def test_no_id_leads_out_of_the_library(library: Library, drum: str, id: str) -> None:  # noqa: A002 -- named as the argument is
    outside = library.root.parent / "outside.toml"
    outside.write_text('name = "x"\n', encoding="utf-8")
    deeds: list[Callable[[str], object]] = [
        library.drum, library.preset, library.remove_drum, library.remove_preset, library.restore_drum,
        library.restore_preset, library.presets, library.log,
        lambda one: library.preset(f"{drum}/{one}"), lambda one: library.restore_preset(f"{drum}/{one}"),
    ]  # fmt: skip
    for deed in deeds:
        with pytest.raises(NotFound):
            deed(id)
    assert outside.exists()


@pytest.mark.parametrize(
    "label",
    [
        'why = "removed"\npath = "../../outside.toml"\n',
        'why = "removed"\npath = "/etc/passwd"\n',
        'why = "removed"\npath = ""\n',
        'why = "removed"\npath = 5\n',
        'why = "lost"\npath = "drums/x"\n',
        'why = ["removed"]\npath = "drums/x"\n',
        'path = "drums/x"\n',
        "torn",
    ],
)
def test_a_label_from_elsewhere_moves_nothing(library: Library, label: str) -> None:
    outside = library.root.parent / "outside.toml"
    outside.write_text("", encoding="utf-8")
    folder = library.root / ".trash" / "20261125T180000Z-aaaaaa"
    (folder / "drums" / "x").mkdir(parents=True)
    (folder / trash.LABEL).write_text(label, encoding="utf-8")

    assert list(trash.discarded(library.root)) == []
    assert library.removed() == ()


def test_strays_in_the_trash_are_passed_over(library: Library, drum: str) -> None:
    library.remove_preset(library.add_preset(drum, Preset(name="Dry")).id)
    (library.root / ".trash" / "stray.txt").write_text("", encoding="utf-8")
    (library.root / ".trash" / "folder").mkdir()

    assert library.removed() == (f"{drum}/dry",)


def test_each_thing_in_the_trash_says_why_it_is_there(
    library: Library, drum: str, make_entry: MakeEntry
) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    library.save_preset(stored, stored.record.model_copy(update={"words": "tight"}))
    library.append(drum, make_entry(1))
    log = library.root / "drums" / drum / "log" / "2026-11-kqmzpt.toml"
    log.write_bytes(log.read_bytes() + b"[[entry]]\nat")
    library.append(drum, make_entry(2))
    library.remove_preset(stored.id)

    assert [(one.why, one.relative.name) for one in trash.discarded(library.root)] == [
        ("replaced", "dry.toml"),
        ("torn", "2026-11-kqmzpt.toml"),
        ("removed", "dry.toml"),
    ]
    assert all(one.folder.name.startswith("20261125T181204Z-a") for one in trash.discarded(library.root))


@pytest.mark.parametrize(
    ("path", "id"),
    [
        ("drums/x", "x"),
        ("drums/x/presets/y.toml", "x/y"),
        ("drums/x/drum.toml", None),
        ("drums/x/log/y.toml", None),
        ("pieces/bolero.toml", "piece:bolero"),
        ("concerts/opening.toml", "concert:opening"),
        ("pieces", None),
        ("other/x", None),
        ("library.toml", None),
    ],
)
def test_the_id_of_a_path(path: str, id: str | None) -> None:  # noqa: A002 -- named as the field is
    assert id == id_of(PurePosixPath(path))


def test_settings_that_are_replaced_are_kept_too(library: Library) -> None:
    stored = library.settings()
    library.save_settings(stored, stored.record.model_copy(update={"a4": 442.0}))

    assert library.settings().record.a4 == 442
    assert [one.relative for one in trash.discarded(library.root)] == [PurePosixPath("library.toml")]


def test_a_preset_that_is_a_link_is_removed_and_restored_as_one(
    library: Library, drum: str, tmp_path: Path
) -> None:
    real = tmp_path / "real.toml"
    real.write_text('name = "Elsewhere"\n', encoding="utf-8")
    library.add_preset(drum, Preset(name="Dry"))
    link = library.root / "drums" / drum / "presets" / "link.toml"
    link.symlink_to(real)
    library.remove_preset(f"{drum}/link")

    assert real.exists()
    assert library.restore_preset(f"{drum}/link").record.name == "Elsewhere"
    assert link.is_symlink()
