"""Thousands of entries: read once and then only what is new, and no change on the disk is missed."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from lugbook.library import Library, log_reader, reading
from lugbook.library.encoding import LOG_HEAD, entry_bytes
from lugbook.library.log_reader import LogReader
from lugbook.records import Entry, LibrarySettings

MakeEntry = Callable[..., Entry]


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The number of entries that were read from bytes so far, at each block."""
    counted: list[int] = []
    entry_of = log_reader.entry_of

    def counting(*given: Any, **words: Any) -> Entry:  # noqa: ANN401 -- handed on as it is
        counted.append(1)
        return entry_of(*given, **words)

    monkeypatch.setattr(log_reader, "entry_of", counting)
    return counted


@pytest.fixture
def filled(library: Library, drum: str, file: Path, make_entry: MakeEntry) -> Library:
    """A library whose log holds three entries, read already."""
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(LOG_HEAD + b"".join(entry_bytes(make_entry(number)) for number in range(1, 4)))
    assert len(library.log(drum).entries) == 3
    return library


def test_a_file_that_is_as_it_was_is_not_read_again(filled: Library, drum: str, read: list[int]) -> None:
    first = filled.log(drum)
    assert filled.log(drum) is first
    assert not read


def test_of_a_file_that_grew_only_the_end_is_read(
    filled: Library, drum: str, file: Path, make_entry: MakeEntry, read: list[int]
) -> None:
    """Another program appends: by hand, so that nothing here knows of it."""
    with file.open("ab") as end:
        end.write(entry_bytes(make_entry(4, words="new")))

    assert [entry.words for entry in filled.log(drum).entries][-1] == "new"
    assert len(read) == 1
    assert filled.log(drum).entries == LogReader().read(file.parent).entries


_KINDS = [
    "changed", "same size", "shorter", "emptied", "gone", "torn", "damaged", "newer", "another", "replaced"
]  # fmt: skip


@pytest.mark.parametrize("kind", _KINDS)
def test_every_change_on_the_disk_is_seen(
    filled: Library, drum: str, file: Path, make_entry: MakeEntry, kind: str
) -> None:
    before = filled.log(drum)
    _change(kind, file, make_entry)
    after = filled.log(drum)

    assert after != before
    assert after == LogReader().read(file.parent)


@pytest.mark.parametrize("kind", _KINDS)
def test_what_was_changed_back_is_read_as_before(
    filled: Library, drum: str, file: Path, make_entry: MakeEntry, kind: str
) -> None:
    before, data = filled.log(drum), file.read_bytes()
    _change(kind, file, make_entry)
    filled.log(drum)
    for path in file.parent.iterdir():
        path.unlink()
    file.write_bytes(data)

    assert filled.log(drum) == before


def _change(kind: str, file: Path, make_entry: MakeEntry) -> None:
    """Change the log of *file* as another program may; its times stay as they were where they can."""
    data, times = file.read_bytes(), file.stat()
    changed = {
        "changed": data.replace(b"[[entry]]", b"[[entry]]\nwords = 'x'", 1),
        "same size": data.replace(b'"remark"', b'"remork"', 1),
        "shorter": data[: data.rindex(b"[[entry]]")],
        "emptied": b"",
        "torn": data + b"[[entry]]\nkind = ",
        "damaged": data + b'[[entry]]\nkind = 3\nid = "x"\n\n',
        "newer": data.replace(b"format = 1", b"format = 9"),
    }
    if kind == "gone":
        file.unlink()
        return
    if kind == "another":
        other = file.with_name("2027-01-zzzzzz.toml")
        other.write_bytes(data.replace(make_entry(1).writer.encode(), b"zzzzzz"))
    elif kind == "replaced":
        fresh = file.with_suffix(".new")
        fresh.write_bytes(LOG_HEAD + entry_bytes(make_entry(9)))
        fresh.replace(file)
    else:
        file.write_bytes(changed[kind])
    os.utime(file, ns=(times.st_atime_ns, times.st_mtime_ns))


@pytest.mark.parametrize("kind", _KINDS)
def test_a_log_with_problems_is_not_read_again_either(
    filled: Library, drum: str, file: Path, make_entry: MakeEntry, kind: str, read: list[int]
) -> None:
    _change(kind, file, make_entry)
    log = filled.log(drum)
    read.clear()

    assert filled.log(drum) is log
    assert len(read) == 0


def test_problems_stand_in_the_order_of_the_files(filled: Library, drum: str, file: Path) -> None:
    file.with_name("2026-12-kqmzpt.toml").write_bytes(b"")
    file.write_bytes(file.read_bytes() + b"[[entry]]\nkind = ")
    file.with_name("2026-10-kqmzpt.toml").write_bytes(LOG_HEAD.replace(b"1", b"9"))

    assert [problem.path.name for problem in filled.log(drum).problems] == [
        "2026-10-kqmzpt.toml", "2026-11-kqmzpt.toml", "2026-12-kqmzpt.toml"
    ]  # fmt: skip


def test_a_file_that_goes_while_the_log_is_read_is_as_if_it_had_not_been_there(
    filled: Library, drum: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    going = file.with_name("2026-12-kqmzpt.toml")
    going.write_bytes(file.read_bytes())

    def reading_late(path: Path) -> bytes:
        going.unlink(missing_ok=True)
        return reading.read_bytes(path)

    monkeypatch.setattr(log_reader, "read_bytes", reading_late)

    log = filled.log(drum)
    assert len(log.entries) == 3
    assert log.problems == ()


def test_two_libraries_see_what_the_other_appended(
    library: Library, drum: str, open_library: Callable[[str], Library], make_entry: MakeEntry
) -> None:
    other = open_library("aaaaaa")
    for number in range(1, 6):
        library.append(drum, make_entry(number), unchanged=other.log(drum))
        theirs = make_entry(number)
        other.append(drum, theirs.model_copy(update={"id": theirs.id.replace("kqmzpt", "aaaaaa")}))

        assert len(library.log(drum).entries) == 2 * number
        assert library.log(drum) == other.log(drum)


def test_two_folders_do_not_share_what_was_read(
    filled: Library, drum: str, tmp_path: Path, clock: Callable[[], Any], make_entry: MakeEntry
) -> None:
    elsewhere = Library(tmp_path / "other", now=clock, lock_folder=tmp_path / "locks", writer=filled.writer)
    elsewhere.create(LibrarySettings())
    assert elsewhere.add_drum(filled.drum(drum).record).id == drum
    elsewhere.append(drum, make_entry(7))

    assert len(elsewhere.log(drum).entries) == 1
    assert len(filled.log(drum).entries) == 3


def test_threads_that_read_while_it_is_written_see_every_entry_that_was_there(
    library: Library, drum: str, make_entry: MakeEntry
) -> None:
    wanted = [library.append(drum, make_entry(0)).id]

    def look(_: int) -> bool:
        there = list(wanted)
        found = [entry.id for entry in library.log(drum).entries]
        return found[: len(there)] == there

    with ThreadPoolExecutor(4) as threads:
        looks = []
        for number in range(1, 30):
            looks += [threads.submit(look, number) for _ in range(4)]
            wanted.append(library.append(drum, make_entry(number)).id)
    assert all(one.result() for one in looks)
    assert [entry.id for entry in library.log(drum).entries] == wanted


_ENTRY = {"at": "2026-11-25T19:12:04+01:00", "kind": "turn", "turn": {"top": -0.25}, "top": {"pitch": "A3+4"}}
_BLOCKS = [
    entry_bytes(Entry.model_validate({**_ENTRY, "id": f"20261125T18120{n}Z-kqmzpt-abcd"})) for n in range(4)
]
_PIECES = st.one_of(
    st.sampled_from(_BLOCKS),
    st.sampled_from(_BLOCKS).flatmap(lambda block: st.integers(0, len(block)).map(lambda end: block[:end])),
    st.sampled_from(
        [
            b"\n", b"\r\n", b"[[entry]]\n", b"[[ent", b"[[ entry ]] # by hand\n", b"[entry]\n", LOG_HEAD,
            b"\xef\xbb\xbf", b'"""\n', b"x = 1\n", b'id = "20261125T181209Z-kqmzpt-abcd"\n',
            b'id = "x"\n\n', b"\xff",
        ]
    ),
)  # fmt: skip
_STATES = st.lists(st.tuples(st.integers(0, 3), st.lists(_PIECES, max_size=4)), min_size=2, max_size=6)


@given(states=_STATES)
@settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(states=[(0, [LOG_HEAD]), (3, [_BLOCKS[0]]), (3, [_BLOCKS[1], b"[[entry]]\n"]), (3, [_BLOCKS[2]])])
@example(
    states=[(0, [LOG_HEAD, _BLOCKS[0]]), (3, [b"\xef\xbb\xbf", _BLOCKS[1]]), (3, [b"[entry]\n", _BLOCKS[2]])]
)
@example(states=[(0, [LOG_HEAD, _BLOCKS[0][:-2]]), (3, [_BLOCKS[1]])])
@example(states=[(0, [LOG_HEAD, _BLOCKS[0]]), (3, [_BLOCKS[1], _BLOCKS[2].removeprefix(b"[[entry]]\n")])])
def test_a_log_is_read_as_if_for_the_first_time_whatever_it_was_before(
    tmp_path: Path, states: list[tuple[int, list[bytes]]]
) -> None:
    """Each state keeps so many thirds of the bytes before it; three thirds make an append."""
    reader, path = LogReader(), tmp_path / "2026-11-kqmzpt.toml"
    data = b""
    for thirds, pieces in states:
        data = data[: len(data) * thirds // 3] + b"".join(pieces)
        path.write_bytes(data)
        found, fresh = reader.read(tmp_path), LogReader().read(tmp_path)

        assert asdict(found) == asdict(fresh)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(reading, "plain_keys", lambda _: None)
            assert asdict(LogReader().read(tmp_path)) == asdict(fresh)


def test_an_entry_that_was_appended_here_is_read_back_and_only_it_is_read(
    filled: Library, drum: str, make_entry: MakeEntry, read: list[int]
) -> None:
    kept = filled.append(drum, make_entry(5, words="here"))

    assert filled.log(drum).entries[-1] == kept
    assert len(read) == 1
