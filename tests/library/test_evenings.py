"""The evenings of the user's own folder: one a concert; what is damaged or went on elsewhere stays."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest

from lugbook.errors import ChangedUnderneath, LibraryDamaged, LibraryMissing
from lugbook.library import evenings, keep_evening, load_evening
from lugbook.library.evenings import MOST
from lugbook.library.writing import write_whole
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


def test_two_writers_of_different_evenings_lose_nothing(tmp_path: Path) -> None:
    """Each goes on by itself at the same moment as the other; both are kept, every time."""
    rounds, names = 10, ("winter", "spring")
    together = Barrier(len(names))

    def go_on(concert: str) -> None:
        before = None
        for step in range(rounds):
            now = evening(concert, step=step)
            together.wait(timeout=30)
            keep_evening(tmp_path, now, before=before)
            before = now

    with ThreadPoolExecutor(len(names)) as pool:
        list(pool.map(go_on, names))
    for name in names:
        assert load_evening(tmp_path, library="/lib", concert=name) == evening(name, step=rounds - 1)


def test_an_evening_of_another_concert_kept_by_a_program_without_the_lock_is_merged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sync tool puts the file of another machine there between reading and writing."""
    keep_evening(tmp_path / "other", evening("spring"), before=None)
    synced = (tmp_path / "other" / "evenings.toml").read_bytes()
    keep_evening(tmp_path, evening("autumn"), before=None)
    coming = [synced]

    def write(path: Path, data: bytes, *, digest: str) -> str:
        if coming:
            path.write_bytes(coming.pop())
        return write_whole(path, data, digest=digest)

    monkeypatch.setattr(evenings, "write_whole", write)
    keep_evening(tmp_path, evening(), before=None)
    for name in ("winter", "spring"):
        assert load_evening(tmp_path, library="/lib", concert=name) == evening(name)


def test_a_file_that_changes_every_time_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tried = []

    def write(_path: Path, _data: bytes, *, digest: str) -> None:
        tried.append(digest)
        raise ChangedUnderneath("It changed.", hint="Again.")

    monkeypatch.setattr(evenings, "write_whole", write)
    with pytest.raises(ChangedUnderneath, match=r"It changed\."):
        keep_evening(tmp_path, evening(), before=None)
    assert 1 < len(tried) < 20


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
