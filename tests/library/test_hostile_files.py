"""Whatever bytes a file holds, reading ends in records or problems, never in another error."""

from contextlib import suppress
from pathlib import Path

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from lugbook.library.encoding import LOG_HEAD, entry_bytes, file_bytes
from lugbook.library.log_reader import LogReader
from lugbook.library.problems import Unreadable
from lugbook.library.reading import record_of
from lugbook.records import Drum, Entry, Preset

DRUM = Drum.model_validate(
    {
        "name": "Field",
        "diameter_in": 14,
        "top": {"rods": 8, "hz_max": 400.5},
        "heads": [{"id": "top-1", "side": "top", "on": "2026-05-03", "note": "é"}],
        "counts": [{"id": "top-1", "side": "top", "since": "2026-05-03T10:00:00+02:00"}],
    }
)
ENTRIES = [
    Entry.model_validate(
        {
            "at": "2026-11-25T19:12:04+01:00",
            "kind": "turn",
            "turn": {"top": -0.25},
            "top": {"pitch": "A3+4"},
            "snares": {"values": {"knob": 2.5}},
            "id": f"20261125T18120{n}Z-kqmzpt-abcd",
        }
    )
    for n in range(3)
]
LOG = LOG_HEAD + b"".join(entry_bytes(entry) for entry in ENTRIES)

_pieces = st.one_of(
    st.binary(max_size=6),
    st.sampled_from(
        [
            b"[[entry]]\n",
            b"\n[",
            b"]]",
            b'"""',
            b"'",
            b" = ",
            b"nan",
            b"inf",
            b"1e999",
            b"\r\n",
            b"{",
            b"}",
            b"#",
            b"0x10",
            b"2026-01-01",
            b"true",
            b'"x"',
            b"9" * 400,
            b"-1",
            b"[]",
            b"{}",
            b"\xef\xbb\xbf",
            b"\0",
            b".",
        ]
    ),
)
_changes = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 30), _pieces), min_size=1, max_size=3)


def _changed(data: bytes, changes: list[tuple[float, int, bytes]]) -> bytes:
    for place, cut, piece in changes:
        at = int(place * len(data))
        data = data[:at] + piece + data[at + cut :]
    return data


@given(changes=_changes)
@settings(max_examples=300, deadline=None)
@example(changes=[(0.0, 500, b"x = " + b"[" * 3000)])
@example(changes=[(0.0, 500, b"x." * 3000 + b"y = 1")])
def test_a_drum_file_of_any_bytes_is_read_or_told(changes: list[tuple[float, int, bytes]]) -> None:
    data = _changed(file_bytes(DRUM), changes)
    try:
        drum = record_of(data, Drum, path=Path("drum.toml"))
    except Unreadable as error:
        for problem in error.problems:
            assert problem.what
            assert problem.right or "A4" in problem.what
            assert problem.sentence().isprintable()
    else:
        assert record_of(file_bytes(drum), Drum, path=Path("drum.toml")) == drum


@given(data=st.binary(max_size=60))
def test_any_bytes_are_read_or_told(data: bytes) -> None:
    with suppress(Unreadable):
        assert isinstance(record_of(data, Preset, path=Path("preset.toml")), Preset)


@given(changes=_changes)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_log_of_any_bytes_is_read_or_told_and_untouched_entries_are_there(
    tmp_path: Path, changes: list[tuple[float, int, bytes]]
) -> None:
    data = _changed(LOG, changes)
    (tmp_path / "2026-11-kqmzpt.toml").write_bytes(data)
    log = LogReader().read(tmp_path)

    whole = {entry.id for entry in ENTRIES if b"\n" + entry_bytes(entry) in b"\n" + data}
    other_format = any(problem.where == "format" for problem in log.problems)
    assert other_format or whole <= {entry.id for entry in log.raw}
    assert all(problem.sentence().isprintable() for problem in log.problems)
