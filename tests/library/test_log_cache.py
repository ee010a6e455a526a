"""Thousands of entries: read once and then only what is new, and read quickly in the form we write."""

import tomllib
from collections.abc import Callable
from datetime import UTC, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lugbook.library import Library, log_reader
from lugbook.library.encoding import LOG_HEAD, entry_bytes
from lugbook.library.log_reader import LogReader
from lugbook.library.plain_form import plain_keys
from lugbook.records import Entry

MakeEntry = Callable[..., Entry]

_KEYS = st.from_regex(r"[a-z_0-9-]{1,4}(\.[a-z0-9]{1,3}){0,2}", fullmatch=True)
_WRITTEN = st.one_of(
    st.text(max_size=12).map(lambda text: f'"{text}"'),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.integers(-(10**20), 10**20).map(str),
    st.sampled_from(["true", "false", "00.5", "01", "1.", ".5", "+1", "1_0", "inf", '"\\n"', "[1, 2]"]),
    st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=-3, minutes=-30))])).map(
        lambda moment: moment.isoformat(timespec="seconds")
    ),
    st.sampled_from(["2026-02-30T10:00:00Z", "2026-01-01T24:00:00Z", "2026-01-01T10:00:00+25:00"]),
)


@given(st.lists(st.tuples(_KEYS, _WRITTEN), max_size=8), st.sampled_from(["", "\n", "\n\n"]))
@example([("a", "1"), ("a.b", "2")], "")
@example([("a.b", "1"), ("a", "2")], "")
@example([("a.b", "1"), ("c", "1"), ("a.d", "2")], "\n")
@example([("a", "1"), ("a", "1")], "")
def test_what_is_read_quickly_is_what_the_standard_library_reads(
    lines: list[tuple[str, str]], between: str
) -> None:
    text = "".join(f"{key} = {value}\n{between}" for key, value in lines)
    data = text.encode(errors="replace")
    try:
        right: dict[str, Any] | None = tomllib.loads(data.decode())
    except ValueError:
        right = None
    quick = plain_keys(data)

    assert quick is None or quick == right
    if quick is not None and right is not None:
        assert list(map(repr, _leaves(quick))) == list(map(repr, _leaves(right)))


def _leaves(keys: dict[str, Any]) -> list[object]:
    return [
        leaf for value in keys.values() for leaf in (_leaves(value) if isinstance(value, dict) else [value])
    ]


def test_an_entry_as_we_write_it_is_read_quickly(make_entry: MakeEntry) -> None:
    entry = make_entry(1, words="dry", verdict="better", passages={"drags": "+"})
    block = entry_bytes(entry).removeprefix(b"[[entry]]")

    keys = plain_keys(block)
    assert keys is not None
    assert keys == tomllib.loads(block.decode())


@pytest.mark.parametrize(
    "text",
    [
        'a = "b',
        "a = [1]\n",
        "a = {b = 1}\n",
        "# a\n",
        "a=1\n",
        "a = 1",
        'a = "\\u0041"\n',
        "a = 1\r\n",
        "[a]\n",
    ],
)
def test_what_is_not_of_that_form_is_left_to_the_standard_library(text: str) -> None:
    assert plain_keys(text.encode()) is None


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


@pytest.mark.parametrize("kind", ["changed", "shorter", "gone", "torn", "damaged", "another", "replaced"])
def test_every_change_on_the_disk_is_seen(
    filled: Library, drum: str, file: Path, make_entry: MakeEntry, kind: str
) -> None:
    before, data = filled.log(drum), file.read_bytes()
    if kind == "changed":
        file.write_bytes(
            data.replace(b"remark", b"remark", 1).replace(b"[[entry]]", b"[[entry]]\nwords = 'x'", 1)
        )
    elif kind == "shorter":
        file.write_bytes(data[: data.rindex(b"[[entry]]")])
    elif kind == "gone":
        file.unlink()
    elif kind == "torn":
        file.write_bytes(data + b"[[entry]]\nkind = ")
    elif kind == "damaged":
        file.write_bytes(data + b"[[entry]]\nkind = 3\n" + b'id = "x"\n\n')
    elif kind == "another":
        other = file.with_name("2027-01-zzzzzz.toml")
        other.write_bytes(data.replace(make_entry(1).writer.encode(), b"zzzzzz"))
    else:
        fresh = file.with_suffix(".new")
        fresh.write_bytes(LOG_HEAD + entry_bytes(make_entry(9)))
        fresh.replace(file)
    after = filled.log(drum)

    assert after != before
    fresh_read = LogReader().read(file.parent)
    assert (after.entries, after.raw, after.problems) == (
        fresh_read.entries, fresh_read.raw, fresh_read.problems
    )  # fmt: skip


def test_an_entry_that_was_appended_here_is_read_back(
    filled: Library, drum: str, make_entry: MakeEntry
) -> None:
    kept = filled.append(drum, make_entry(5, words="here"))
    assert filled.log(drum).entries[-1] == kept
