"""The logbook's files: only ever appended to, torn ends set aside, a damaged entry hides no other."""

import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from lugbook.errors import BadValue, LibraryDamaged, LibraryMissing, NotFound
from lugbook.library import Library
from lugbook.library.encoding import LOG_HEAD, entry_bytes
from lugbook.records import Entry, Record

MakeEntry = Callable[..., Entry]


def _ids(library: Library, drum: str) -> list[str]:
    return [entry.id for entry in library.log(drum).entries]


def test_a_drum_without_a_logbook_has_an_empty_one(library: Library, drum: str) -> None:
    log = library.log(drum)

    assert (log.entries, log.raw, log.problems) == ((), (), ())


def test_entries_are_appended_to_one_file_for_each_writer_and_month(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    first, second = make_entry(1, words="open"), make_entry(2, words="dry")

    assert library.append(drum, first) == first
    assert library.append(drum, second) == second
    assert file.read_bytes() == LOG_HEAD + entry_bytes(first) + entry_bytes(second)
    assert list(file.parent.iterdir()) == [file]
    assert library.log(drum).entries == (first, second)


def test_the_month_of_a_file_is_that_of_utc(library: Library, drum: str, file: Path, tmp_path: Path) -> None:
    now = datetime(2026, 12, 1, 0, 30, tzinfo=timezone(timedelta(hours=1)))
    library = Library(library.root, now=lambda: now, lock_folder=tmp_path, writer="kqmzpt")
    number = library.new_entry_id()
    library.append(drum, Entry(at=now, kind="remark", id=number))

    assert number.startswith("20261130T233000Z-kqmzpt-")
    assert [file.name] == [path.name for path in file.parent.iterdir()]


def test_a_clock_that_went_back_over_a_month_goes_on_in_the_later_file(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    entries = (make_entry(0), make_entry(86_400 * 10), make_entry(5))
    for entry in entries:
        library.append(drum, entry)

    assert sorted(path.name for path in file.parent.iterdir()) == [file.name, "2026-12-kqmzpt.toml"]
    assert library.log(drum).raw == entries


def test_ids_of_entries_made_in_one_second_differ(library: Library) -> None:
    assert len({library.new_entry_id() for _ in range(50)}) == 50


def test_an_id_is_used_once(library: Library, drum: str, make_entry: MakeEntry) -> None:
    library.append(drum, make_entry(1))

    with pytest.raises(BadValue, match="already"):
        library.append(drum, make_entry(1))
    assert len(library.log(drum).raw) == 1


def test_an_entry_of_another_writer_is_refused(
    open_library: Callable[[str], Library], drum: str, make_entry: MakeEntry
) -> None:
    with pytest.raises(BadValue, match="is of the writer kqmzpt, and this machine is zzzzzz"):
        open_library("zzzzzz").append(drum, make_entry(1))


def test_an_entry_of_no_drum_is_refused(library: Library, drum: str, make_entry: MakeEntry) -> None:
    with pytest.raises(NotFound, match=f"There is {drum}"):
        library.append("old-drum", make_entry(1))


def test_an_entry_that_could_not_be_read_back_is_refused(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    bad = make_entry(1).model_copy(update={"temperature_c": 99.0})

    with pytest.raises(BadValue, match=r"temperature_c: 99\.0 is above the limit of 60"):
        library.append(drum, bad)
    assert not file.exists()


def test_an_end_torn_at_any_byte_hides_no_other_entry_and_is_set_aside(
    library: Library, drum: str, file: Path, make_entry: MakeEntry, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cut the last block at every byte: read, append, read again."""
    monkeypatch.setattr("os.fsync", lambda _: None)  # hundreds of writes; no power is cut here
    first = make_entry(1, words="é", turn={"top": 0.25})
    last = make_entry(2, words='tight [[entry]] \\ "quoted" ü', top={"pitch": "A3+4"}, note="x")
    third = make_entry(3)
    whole = LOG_HEAD + entry_bytes(first)
    block = entry_bytes(last)
    complete = len(block) - len(b"\n\n")
    for cut in range(len(block) + 1):
        torn_bytes = block[:cut]
        file.write_bytes(whole + torn_bytes)
        log = library.log(drum)
        torn = 0 < cut < complete

        assert log.raw == ((first, last) if cut >= complete else (first,)), torn_bytes
        assert [problem.where for problem in log.problems] == (["line 10"] if torn else [])

        before = len(library.set_aside)
        library.append(drum, third)
        after = library.log(drum)

        assert after.raw == ((first, last, third) if cut >= complete else (first, third)), torn_bytes
        assert after.problems == ()
        assert len(library.set_aside) - before == torn
        if torn:
            kept = next(library.root.glob(".trash/*/drums"))
            assert (kept / drum / "log" / file.name).read_bytes() == torn_bytes
            assert str(kept) in library.set_aside[-1].right
            _remove(kept.parent)


def _remove(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_dir():
            path.rmdir()
        else:
            path.unlink()
    folder.rmdir()


def test_a_first_write_torn_at_any_byte_is_begun_again(
    library: Library, drum: str, file: Path, make_entry: MakeEntry, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.fsync", lambda _: None)  # hundreds of writes; no power is cut here
    entry, other = make_entry(1), make_entry(2)
    whole = LOG_HEAD + entry_bytes(entry)
    for cut in range(len(whole)):
        file.write_bytes(whole[:cut])
        library.append(drum, other)
        log = library.log(drum)

        assert log.problems == ()
        assert log.raw == ((entry, other) if cut >= len(whole) - 2 else (other,))
        assert file.read_bytes().startswith(LOG_HEAD)


def test_zeros_after_a_power_cut_are_set_aside(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    """Some file systems leave zeros where bytes had not reached the disk."""
    first, second = make_entry(1), make_entry(2)
    file.write_bytes(LOG_HEAD + entry_bytes(first) + b"[[entry]]\n" + b"\0" * 50)
    assert library.log(drum).raw == (first,)
    library.append(drum, second)

    assert library.log(drum).raw == (first, second)
    assert b"\0" not in file.read_bytes()


@pytest.mark.parametrize(
    ("harm", "where", "what"),
    [
        (
            lambda text: text.replace(b'kind = "remark"', b'kind = "guess"'),
            "line 8, kind",
            "none of the known",
        ),
        (lambda text: text.replace(b'kind = "remark"', b"kind = remark"), "line 10", "cannot be read"),
        (lambda text: text.replace(b"at = ", b"\xff = "), "line 9", "no UTF-8 text"),
        (lambda text: text.replace(b"at = ", b"turn.top = 0.3\nat = "), "line 8, turn.top", "1/64"),
        (lambda text: text.replace(b'kind = "remark"', b""), "line 8, kind", "this is missing"),
        (lambda text: text.replace(b'\nid = "', b'\nname = "'), "line 8, id", "this is missing"),
        (lambda text: text.replace(b"\nkind", b'\nkind = "turn"\nkind'), "line 11", "stands twice"),
    ],
)
@pytest.mark.parametrize("place", [0, 1, 2], ids=["first", "middle", "last"])
def test_a_damaged_entry_hides_no_other_and_stays(
    library: Library,
    drum: str,
    file: Path,
    make_entry: MakeEntry,
    harm: Callable[[bytes], bytes],
    where: str,
    what: str,
    place: int,
) -> None:
    entries = [make_entry(number) for number in range(3)]
    blocks = [entry_bytes(entry) for entry in entries]
    harmed = harm(blocks[place])
    assert harmed != blocks[place]
    file.write_bytes(LOG_HEAD + b"".join([*blocks[:place], harmed, *blocks[place + 1 :]]))
    good = [entry for number, entry in enumerate(entries) if number != place]
    log = library.log(drum)

    assert list(log.raw) == good
    shift = 5 * place - 5
    first, _, key = where.partition(", ")
    line = f"line {int(first.removeprefix('line ')) + shift}"
    torn = place == 2 and b"name = " in harmed
    if torn:
        assert "was cut off" in log.problems[0].what
    else:
        assert log.problems[0].where == (f"{line}, {key}" if key else line)
        assert what in log.problems[0].what
        library.append(drum, make_entry(9))
        assert harmed in file.read_bytes(), "what was damaged by hand is not thrown away"
        assert len(library.log(drum).raw) == 3


@pytest.mark.parametrize(
    ("header", "read", "what"),
    [
        (b"", True, "the line [[entry]] is missing"),
        (b"[[entr\n", False, "the line is no valid TOML"),
        (b"[[entry\n", False, "the line is no valid TOML"),
        (b"# \n", True, "the line [[entry]] is missing"),
    ],
)
def test_a_damaged_header_hides_not_the_entry_before_it(
    library: Library, drum: str, file: Path, make_entry: MakeEntry, header: bytes, read: bool, what: str
) -> None:
    first, second, third = (entry_bytes(make_entry(number)) for number in range(3))
    file.write_bytes(LOG_HEAD + first + second.replace(b"[[entry]]\n", header) + third)
    log = library.log(drum)

    assert log.raw == (make_entry(0), *([make_entry(1)] if read else []), make_entry(2))
    assert len(log.problems) == 1
    assert what in log.problems[0].what


def test_a_log_of_a_newer_format_is_left_alone(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    newer = b"format = 7\n\n" + entry_bytes(make_entry(1))
    file.write_bytes(newer)

    assert library.log(drum).raw == ()
    assert "made by a newer Lugbook" in library.log(drum).problems[0].what
    with pytest.raises(LibraryDamaged, match="newer Lugbook"):
        library.append(drum, make_entry(2))
    assert file.read_bytes() == newer


def test_a_damaged_head_of_a_file_hides_no_entry(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    file.write_bytes(b"format = one\n\n" + entry_bytes(make_entry(1)))

    assert library.log(drum).raw == (make_entry(1),)
    assert [(one.where, one.what.partition(":")[0]) for one in library.log(drum).problems] == [
        ("line 1", "a value cannot be read")
    ]
    library.append(drum, make_entry(2))
    assert library.log(drum).raw == (make_entry(1), make_entry(2))


def test_a_log_by_hand_is_read(library: Library, drum: str, file: Path, make_entry: MakeEntry) -> None:
    """No format, Windows line ends, a byte order mark, blanks, a remark after the header, id first."""
    file.write_bytes(
        b'\xef\xbb\xbf[[entry]]\r\nid = "20261125T181204Z-kqmzpt-aaaa"\r\nat = 2026-11-25T19:12:04+01:00\r\n'
        b'kind = "remark"\r\n[[ entry ]]  # the second\r\nkind = "remark"\r\n'
        b'id = "20261125T181205Z-kqmzpt-baaa"\r\nat = 2026-11-25T19:12:05+01:00'
    )

    assert library.log(drum).problems == ()
    assert library.log(drum).raw == (make_entry(0), make_entry(1))
    library.append(drum, make_entry(2))
    assert library.log(drum).raw == (make_entry(0), make_entry(1), make_entry(2))


def test_an_empty_file_is_a_problem_and_is_begun(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    file.write_bytes(b"\n")
    assert [problem.what for problem in library.log(drum).problems] == ["the file is empty"]
    library.append(drum, make_entry(1))

    assert library.log(drum).raw == (make_entry(1),)
    assert library.log(drum).problems == ()


def test_a_file_with_its_head_alone_is_no_problem(library: Library, drum: str, file: Path) -> None:
    file.write_bytes(LOG_HEAD)

    assert library.log(drum).problems == ()


def test_a_copied_file_is_named_and_its_entries_count_once(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    for number in range(3):
        library.append(drum, make_entry(number))
    copy = file.with_name("2026-11-kqmzpt (copy).toml")
    copy.write_bytes(file.read_bytes() + entry_bytes(make_entry(7)))
    log = library.log(drum)

    assert {entry.id for entry in log.raw} == {make_entry(number).id for number in (0, 1, 2, 7)}
    assert len(log.raw) == 4
    assert ["and 2 more stands twice" in problem.what for problem in log.problems] == [True]


def test_an_entry_twice_in_one_file_counts_once(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    file.write_bytes(LOG_HEAD + entry_bytes(make_entry(1)) * 2)
    log = library.log(drum)

    assert log.raw == (make_entry(1),)
    assert len(log.problems) == 1


def test_files_that_are_no_logs_are_passed_over(library: Library, drum: str, file: Path) -> None:
    file.with_name(".2026-11-kqmzpt.toml.abcdef.tmp").write_bytes(b"\0")
    file.with_name("readme.txt").write_bytes(b"\0")

    assert library.log(drum).problems == ()


def test_a_log_that_is_no_folder_is_a_problem(library: Library, drum: str) -> None:
    (library.root / "drums" / drum / "log").write_text("no folder", encoding="utf-8")
    problem = library.log(drum).problems[0]

    assert problem.path.name == "log"
    assert problem.what == "the folder cannot be read: Not a directory"


def test_a_log_file_that_is_a_folder_is_a_problem(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    file.mkdir()

    assert [problem.what for problem in library.log(drum).problems] == ["this is a folder"]
    with pytest.raises(LibraryDamaged, match="this is a folder"):
        library.append(drum, make_entry(1))


def test_a_correction_of_what_is_not_there_is_a_problem(
    library: Library, drum: str, file: Path, make_entry: MakeEntry
) -> None:
    lost = "20260101T000000Z-kqmzpt-zzzz"
    library.append(drum, make_entry(1, corrects=lost))
    problem = library.log(drum).problems[0]

    assert problem.path == file
    assert problem.what == f"it corrects {lost}, which is not there"


def test_a_full_disk_leaves_the_log_as_it_was(
    library: Library, drum: str, file: Path, make_entry: MakeEntry, monkeypatch: pytest.MonkeyPatch
) -> None:
    library.append(drum, make_entry(1))
    before = file.read_bytes()

    def full(*_: Any) -> int:  # noqa: ANN401 -- stands for os.fsync
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(LibraryMissing, match="No space left on device"):
        library.append(drum, make_entry(2))
    assert file.read_bytes() == before


def test_an_older_format_is_brought_forward_entry_by_entry(
    library: Library, drum: str, file: Path, make_entry: MakeEntry, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if a coming version had renamed a key."""
    from lugbook.library import log_reader, migrations, reading

    def renamed(keys: dict[str, Any]) -> dict[str, Any]:
        return {("words" if key == "sound" else key): value for key, value in keys.items()}

    steps: dict[type[Record], tuple[migrations.Step, ...]] = {
        **migrations.STEPS,
        Entry: (*migrations.STEPS[Entry], renamed),
    }
    file.write_bytes(LOG_HEAD + entry_bytes(make_entry(1, words="dry")).replace(b"words =", b"sound ="))
    assert log_reader.LogReader().read(file.parent).raw[0].words == ""
    monkeypatch.setattr(log_reader, "STEPS", steps)
    monkeypatch.setattr(reading, "STEPS", steps)

    assert library.log(drum).raw == (make_entry(1, words="dry"),)


_APPENDING = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from lugbook.library import Library
from lugbook.records import Entry
root, locks, writer, drum, times = sys.argv[1:]
library = Library(Path(root), now=lambda: datetime.now(UTC), lock_folder=Path(locks), writer=writer)
for _ in range(int(times)):
    now, number = datetime.now(UTC), library.new_entry_id()
    library.append(drum, Entry(at=now, kind="remark", words=writer * 50, id=number))
"""


def test_programs_that_append_at_once_lose_nothing(library: Library, drum: str, tmp_path: Path) -> None:
    """Two programs of one machine, and one of another, write into one logbook."""
    arguments = [str(library.root), str(tmp_path / "locks")]
    programs = [
        subprocess.Popen([sys.executable, "-c", _APPENDING, *arguments, writer, drum, "15"])
        for writer in ("kqmzpt", "kqmzpt", "zzzzzz")
    ]

    assert [program.wait(timeout=60) for program in programs] == [0, 0, 0]
    log = library.log(drum)
    assert log.problems == ()
    assert sorted(entry.writer for entry in log.raw) == ["kqmzpt"] * 30 + ["zzzzzz"] * 15
    assert library.set_aside == ()
    assert max(entry.at for entry in log.raw) <= datetime.now(UTC)
