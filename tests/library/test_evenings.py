"""The evenings of the user's own folder: one a concert; what is damaged or went on elsewhere stays."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from lugbook.errors import ChangedUnderneath, LibraryDamaged, LibraryMissing
from lugbook.library import keep_evening, load_evening
from lugbook.library.evenings import MOST
from lugbook.records import Course, CourseItem, Evening, Reached, Ticked

NOW = datetime(2026, 12, 5, 19, 30, tzinfo=UTC)


def evening(concert: str = "winter", *, library: str = "/lib", step: int = 0) -> Evening:
    trail = tuple(Reached(step=one, since=NOW + timedelta(minutes=one)) for one in range(step + 1))
    entry = "20261205T193000Z-kqmzpt-abcd"
    return Evening(
        library=library,
        concert=concert,
        on=date(2026, 12, 5),
        course=Course(items=(CourseItem(name="Overture", presets=("snare/low",)),)),
        begun=NOW,
        trail=trail,
        ticked=(Ticked(what="change 1", at=NOW, entries=(entry,)),),
    )


def test_what_is_kept_is_loaded_and_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "config"
    assert load_evening(folder, library="/lib", concert="winter") is None
    keep_evening(folder, evening(), before=None)
    keep_evening(folder, evening(step=1), before=evening())

    assert load_evening(folder, library="/lib", concert="winter") == evening(step=1)
    assert (folder / "evenings.toml").read_text(encoding="utf-8").count("[[evenings]]") == 1


def test_each_concert_of_each_library_has_its_own(tmp_path: Path) -> None:
    for one in (evening(), evening("spring"), evening(library="/other", step=2)):
        keep_evening(tmp_path, one, before=None)

    assert load_evening(tmp_path, library="/lib", concert="winter") == evening()
    assert load_evening(tmp_path, library="/lib", concert="spring") == evening("spring")
    assert load_evening(tmp_path, library="/other", concert="winter") == evening(library="/other", step=2)


def test_what_went_on_elsewhere_is_not_overwritten(tmp_path: Path) -> None:
    keep_evening(tmp_path, evening(), before=None)
    keep_evening(tmp_path, evening(step=3), before=evening())
    for before in (None, evening()):
        with pytest.raises(ChangedUnderneath):
            keep_evening(tmp_path, evening(step=1), before=before)
    assert load_evening(tmp_path, library="/lib", concert="winter") == evening(step=3)


def test_the_oldest_goes(tmp_path: Path) -> None:
    for number in range(MOST + 1):
        keep_evening(tmp_path, evening(f"c{number}"), before=None)

    assert load_evening(tmp_path, library="/lib", concert="c0") is None
    assert load_evening(tmp_path, library="/lib", concert="c1") is not None


def test_a_damaged_file_is_told_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "evenings.toml"
    file.write_bytes(b"[[evenings]]\nconcert = 5\n")
    with pytest.raises(LibraryDamaged):
        load_evening(tmp_path, library="/lib", concert="winter")
    with pytest.raises(LibraryDamaged):
        keep_evening(tmp_path, evening(), before=None)
    assert file.read_bytes() == b"[[evenings]]\nconcert = 5\n"


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises((LibraryMissing, LibraryDamaged)):
        keep_evening(tmp_path / "file", evening(), before=None)
