"""The quick reader for the form we write says what the standard library says, or leaves it to that."""

import tomllib
from collections.abc import Callable
from datetime import UTC, timedelta, timezone
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from lugbook.library.encoding import entry_bytes
from lugbook.library.plain_form import plain_keys
from lugbook.records import Entry

MakeEntry = Callable[..., Entry]

_LEVELS = st.one_of(
    st.from_regex(r"[a-z_0-9-]{1,3}", fullmatch=True),
    st.text(max_size=4).map(lambda text: f'"{text}"'),
    st.sampled_from(['""', '"a"', '"a.b"', '" = "', "a", "é"]),
)
_KEYS = st.lists(_LEVELS, min_size=1, max_size=3).map(".".join)
_WRITTEN = st.one_of(
    st.text(max_size=12).map(lambda text: f'"{text}"'),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.integers(-(10**20), 10**20).map(str),
    st.sampled_from(["true", "false", "00.5", "01", "1.", ".5", "+1", "1_0", "inf", '"\\n"', "[1, 2]"]),
    st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=-3, minutes=-30))])).map(
        lambda moment: moment.isoformat(timespec="seconds")
    ),
    st.from_regex(
        r"20[0-9]{2}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-6][0-9]:[0-6][0-9](Z|[+-][0-2][0-9]:[0-9]{2})",
        fullmatch=True,
    ),
    st.sampled_from(["2026-02-30T10:00:00Z", "2026-01-01T24:00:00Z", "2026-01-01T10:00:00+25:00"]),
)


@given(st.lists(st.tuples(_KEYS, _WRITTEN), max_size=8), st.sampled_from(["", "\n", "\n\n"]))
@example([("a", "1"), ("a.b", "2")], "")
@example([("a.b", "1"), ("a", "2")], "")
@example([("a.b", "1"), ("c", "1"), ("a.d", "2")], "\n")
@example([("a", "1"), ("a", "1")], "")
@example([("a", "1"), ('"a"', "1")], "")
@example([('a."b.c"', "1"), ("a.b.c", "1")], "")
@example([("a", "2026-01-01T10:00:00+10:75")], "")
@example([(".".join("abcdefgh"), "1")], "")
def test_what_is_read_quickly_is_what_the_standard_library_reads(
    lines: list[tuple[str, str]], between: str
) -> None:
    text = "".join(f"{key} = {value}\n{between}" for key, value in lines)
    _check_alike(text.encode(errors="replace"))


@given(st.from_type(Entry))
@settings(deadline=None)
def test_an_entry_is_read_quickly_as_the_standard_library_reads_it(entry: Entry) -> None:
    _check_alike(entry_bytes(entry).removeprefix(b"[[entry]]"))


@given(
    at=st.floats(0, 1),
    cut=st.integers(0, 30),
    piece=st.one_of(
        st.binary(max_size=4),
        st.sampled_from(
            [b"\n", b"\r\n", b'"', b"\\", b" = ", b"=", b".", b"#", b"[", b"'", b"\xef\xbb\xbf", b"\t"]
        ),
    ),
)
@settings(max_examples=400)
def test_what_was_changed_by_hand_is_read_as_the_standard_library_reads_it(
    at: float, cut: int, piece: bytes
) -> None:
    place = int(at * len(_BLOCK))
    _check_alike(_BLOCK[:place] + piece + _BLOCK[place + cut :])


_BLOCK = b"""
at = 2026-11-25T19:12:04+01:00
kind = "turn"
turn.top = -0.25
top.pitch = "A3+4"
settled = true
passages."soft roll" = "+"
id = "20261125T181204Z-kqmzpt-abcd"

"""


def _check_alike(data: bytes) -> None:
    """Fail where *data* is read quickly in another way than the standard library does."""
    quick = plain_keys(data)
    if quick is None:
        return
    right = tomllib.loads(data.decode())  # raises where it is no TOML, as the quick reader should not read it
    assert quick == right
    assert list(map(repr, _leaves(quick))) == list(map(repr, _leaves(right)))


def _leaves(keys: dict[str, Any]) -> list[object]:
    return [
        leaf for value in keys.values() for leaf in (_leaves(value) if isinstance(value, dict) else [value])
    ]


def test_an_entry_as_we_write_it_is_read_quickly(make_entry: MakeEntry) -> None:
    entry = make_entry(1, words="dry", verdict="better", passages={"drags": "+", "soft roll": "-"})
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
