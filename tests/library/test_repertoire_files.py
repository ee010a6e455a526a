"""Pieces and concerts lie in plain files of their own, and nothing of them is lost either."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from lugbook.errors import ChangedUnderneath, LibraryDamaged, NotFound, NotPossible
from lugbook.library import Library
from lugbook.records import Concert, Item, Piece


@dataclass(frozen=True)
class Sort:
    """One of the two kinds of records, with what the library does to it."""

    what: str
    record: Callable[[str], Any]
    library: Library

    def do(self, verb: str, *values: Any) -> Any:  # noqa: ANN401 -- whatever the library's method takes and gives
        return getattr(self.library, f"{verb}_{self.what}")(*values)

    @property
    def one(self) -> Callable[[str], Any]:
        found: Callable[[str], Any] = getattr(self.library, self.what)
        return found

    @property
    def all(self) -> Any:  # noqa: ANN401 -- Found of either record
        return getattr(self.library, f"{self.what}s")()

    @property
    def folder(self) -> Path:
        return self.library.root / f"{self.what}s"


@pytest.fixture(params=["piece", "concert"])
def sort(request: pytest.FixtureRequest, library: Library) -> Sort:
    made = {
        "piece": lambda name: Piece(title=name, contexts=("march",)),
        "concert": lambda name: Concert(name=name, items=(Item(title="Overture"),)),
    }
    return Sort(request.param, made[request.param], library)


def test_one_is_kept_in_a_file_of_its_own_and_read_back(sort: Sort) -> None:
    stored = sort.do("add", sort.record("Boléro für Trommel"))

    assert stored.path == sort.folder / "bolero-fur-trommel.toml"
    assert sort.one("bolero-fur-trommel") == stored
    assert list(sort.all.items) == ["bolero-fur-trommel"]
    assert stored.path in sort.library.files()


def test_a_second_of_the_same_name_and_one_in_the_trash_keep_their_slugs(sort: Sort) -> None:
    first, second = (sort.do("add", sort.record("Boléro")) for _ in range(2))
    sort.do("remove", second.id)
    third = sort.do("add", sort.record("Boléro"))

    assert (first.id, second.id, third.id) == ("bolero", "bolero-2", "bolero-3")
    assert sort.library.removed() == (f"{sort.what}:bolero-2",)
    assert sort.do("restore", "bolero-2") == second
    assert sort.library.removed() == ()


def test_a_removed_drum_of_the_same_slug_is_another_thing(sort: Sort, drum: str) -> None:
    stored = sort.do("add", sort.record("Old field drum"))
    sort.library.remove_drum(drum)
    sort.do("remove", stored.id)

    assert sort.library.removed() == (drum, f"{sort.what}:{drum}")
    sort.library.restore_drum(drum)
    assert sort.library.removed() == (f"{sort.what}:{drum}",)


def test_a_changed_one_goes_back_to_what_it_was(sort: Sort) -> None:
    first = sort.do("add", sort.record("Boléro"))
    second = sort.do("save", first, first.record.model_copy(update={"note": "with mutes"}))

    assert sort.one("bolero") == second
    assert sort.do("restore", "bolero") == first


def test_a_file_that_changed_since_is_left_as_it_is(sort: Sort) -> None:
    stored = sort.do("add", sort.record("Boléro"))
    stored.path.write_text('note = "by hand"\n' + stored.path.read_text())
    now = stored.path.read_text()

    with pytest.raises(ChangedUnderneath):
        sort.do("save", stored, stored.record.model_copy(update={"note": "mine"}))
    assert stored.path.read_text() == now


def test_a_damaged_file_is_a_problem_hides_no_other_and_can_be_removed(sort: Sort) -> None:
    good = sort.do("add", sort.record("Good"))
    bad = sort.folder / "bad.toml"
    bad.write_text("format = 1\n")
    (sort.folder / "No Slug.toml").write_text("")

    assert list(sort.all.items) == [good.id]
    assert [problem.path.name for problem in sort.all.problems] == ["No Slug.toml", "bad.toml"]
    assert set(sort.all.problems) <= set(sort.library.problems())
    with pytest.raises(LibraryDamaged):
        sort.one("bad")
    sort.do("remove", "bad")
    assert not bad.exists()


def test_a_newer_format_is_left_alone(sort: Sort) -> None:
    stored = sort.do("add", sort.record("Boléro"))
    stored.path.write_text(stored.path.read_text().replace("format = 1", "format = 2"))

    assert "newer Lugbook" in sort.all.problems[0].what


def test_what_is_not_there_is_named_with_the_nearest(sort: Sort) -> None:
    sort.do("add", sort.record("Boléro"))

    for verb in ("remove", "restore"):
        with pytest.raises((NotFound, NotPossible)):
            sort.do(verb, "../library")
    for name in ("bollero", "../bolero"):
        with pytest.raises(NotFound, match="bolero"):
            sort.one(name)
    with pytest.raises(NotPossible, match="no older version"):
        sort.do("restore", "bolero")


def test_unknown_keys_survive(sort: Sort) -> None:
    stored = sort.do("add", sort.record("Boléro"))
    stored.path.write_text('mood = "grim"\n' + stored.path.read_text())
    read = sort.one("bolero")
    sort.do("save", read, read.record.model_copy(update={"note": "x"}))

    assert 'mood = "grim"' in stored.path.read_text()
