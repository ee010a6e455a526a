"""What is written is read back the same: every record, with keys of a newer version at every level."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.library.encoding import LOG_HEAD, entry_bytes, file_bytes
from lugbook.library.log_reader import LogReader
from lugbook.library.migrations import STEPS
from lugbook.library.reading import record_of
from lugbook.records import (
    Adjustment,
    Concert,
    Drum,
    Entry,
    Evenings,
    Head,
    LibrarySettings,
    Piece,
    Preset,
    Reading,
    Record,
    Side,
    SnareSetting,
    StartingPoint,
    Strainer,
    UserSettings,
)

FILES: list[type[Record]] = [
    Drum,
    Preset,
    StartingPoint,
    LibrarySettings,
    UserSettings,
    Piece,
    Concert,
    Evenings,
]


def test_every_kind_of_file_is_proven_here() -> None:
    assert {*FILES, Entry} == set(STEPS)


@pytest.mark.parametrize("kind", FILES, ids=lambda kind: kind.__name__)
@given(data=st.data())
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_file_says_what_the_record_said(data: st.DataObject, kind: type[Record]) -> None:
    record = data.draw(st.from_type(kind))
    read = record_of(file_bytes(record), kind, path=Path("one.toml"))

    assert record == read
    # as text because it shows the offsets of times; sorted because TOML puts tables after plain keys
    assert json.loads(record.model_dump_json()) == json.loads(read.model_dump_json())
    assert file_bytes(record) == file_bytes(read)


@given(entry=st.from_type(Entry))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_log_says_what_the_entry_said_one_line_a_key_and_the_id_last(
    entry: Entry, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("log")
    (folder / "2026-11-kqmzpt.toml").write_bytes(LOG_HEAD + entry_bytes(entry))
    log = LogReader().read(folder)

    assert (entry,) == log.raw
    assert entry.model_dump_json() == log.raw[0].model_dump_json()

    *lines, last_key, blank, end = entry_bytes(entry).decode().split("\n")

    assert lines[0] == "[[entry]]"
    assert all(" = " in line and not line.startswith(("[", " ", "\t")) for line in lines[1:])
    assert (f'id = "{entry.id}"', "", "") == (last_key, blank, end)


def test_an_entry_is_written_as_flat_dotted_keys(make_entry: Callable[..., Entry]) -> None:
    entry = make_entry(
        kind="turn",
        turn={"top": -0.25},
        position={"top": 1.5, "bottom": 0},
        count={"top": "top-1"},
        top=Reading(pitch="A3+4", by="ear", sd_cents=25),
        snares=SnareSetting(words="just free", values={"knob 1": 3.5}),
        words='say "tight"',
    )

    assert entry_bytes(entry).decode() == (
        "[[entry]]\n"
        "at = 2026-11-25T19:12:04+01:00\n"
        'kind = "turn"\n'
        "turn.top = -0.25\n"
        "position.top = 1.5\n"
        "position.bottom = 0.0\n"
        'count.top = "top-1"\n'
        'top.pitch = "A3+4"\n'
        'top.by = "ear"\n'
        "top.sd_cents = 25.0\n"
        'snares.words = "just free"\n'
        'snares.values."knob 1" = 3.5\n'
        'words = "say \\"tight\\""\n'
        'id = "20261125T181204Z-kqmzpt-aaaa"\n'
        "\n"
    )


def test_a_file_is_minimal_and_its_format_comes_first() -> None:
    drum = Drum(name="Field", diameter_in=14, top=Side(rods=8), loan=True)

    assert file_bytes(drum).decode() == (
        'format = 1\nname = "Field"\ndiameter_in = 14.0\nloan = true\n\n[top]\nrods = 8\n'
    )


def test_a_set_that_equals_its_default_is_not_written() -> None:
    drum = Drum(name="Field", diameter_in=14, top=Side(rods=10), depth_in=None, thread_mm=25.4 / 24)

    assert file_bytes(drum) == file_bytes(Drum(name="Field", diameter_in=14))


def test_keys_of_a_newer_version_survive_a_change_at_every_level() -> None:
    text = (
        "format = 1\n"
        'name = "Field"\ndiameter_in = 14\nbadge = "oval"\n'
        "[top]\nhoop = { kind = 'wood', mm = 38 }\n"
        '[[heads]]\nid = "top-1"\nside = "top"\non = 2026-05-03\nlot = [1, 2]\n'
        "[strainer]\n[[strainer.adjustments]]\nname = 'knob'\ncolour = 'brass'\n"
    )
    drum = record_of(text.encode(), Drum, path=Path("drum.toml"))
    changed = drum.model_copy(update={"maker": "Unknown"})
    read = record_of(file_bytes(changed), Drum, path=Path("drum.toml"))

    assert read.model_extra == {"badge": "oval"}
    assert read.top.model_extra == {"hoop": {"kind": "wood", "mm": 38}}
    assert read.heads[0].model_extra == {"lot": (1, 2)}
    assert read.strainer.adjustments[0].model_extra == {"colour": "brass"}
    assert read.maker == "Unknown"
    assert read.unknown_keys() == ("badge",)


def test_many_heads_are_written_as_tables_of_their_own() -> None:
    heads = tuple(
        Head.model_validate({"id": f"top-{n}", "side": "top", "on": "2026-05-03", "note": "long " * 30})
        for n in range(2)
    )
    drum = Drum(
        name="Field", diameter_in=14, heads=heads, strainer=Strainer(adjustments=(Adjustment(name="k"),))
    )

    assert file_bytes(drum).count(b"[[heads]]") == 2
    assert record_of(file_bytes(drum), Drum, path=Path("drum.toml")) == drum


def test_text_that_no_file_can_hold_is_refused() -> None:
    with pytest.raises(BadValue, match="cannot be written"):
        file_bytes(LibrarySettings.model_validate({"strange": "half a \ud83e sign"}))


def test_a_value_that_no_file_can_hold_is_refused() -> None:
    with pytest.raises(BadValue, match="cannot be written"):
        file_bytes(LibrarySettings.model_validate({"strange": object()}))


def test_byte_order_mark_and_windows_line_ends_change_nothing() -> None:
    plain = file_bytes(Preset(name="Dry étude", contexts=("étude",)))
    windows = b"\xef\xbb\xbf" + plain.replace(b"\n", b"\r\n")

    assert record_of(windows, Preset, path=Path("p.toml")) == record_of(plain, Preset, path=Path("p.toml"))
