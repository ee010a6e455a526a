"""Records of the logbook's entries and of presets and readings: what is allowed, what they tell."""

from typing import Any

import pytest
from pydantic import ValidationError

from lugbook.records import (
    CountPerHead,
    Entry,
    LibrarySettings,
    PerHead,
    Position,
    Positions,
    Preset,
    Reading,
    Round,
    SnareSetting,
    UserSettings,
    least_sd_cents,
)

ID = "20261125T181204Z-kqmzpt-abcd"


def _entry(**fields: Any) -> Entry:  # noqa: ANN401 -- any field of Entry
    return Entry.model_validate({"at": "2026-11-25T19:12:04+01:00", "kind": "remark", "id": ID, **fields})


def test_an_entry_tells_its_writer_and_its_readings() -> None:
    entry = _entry(top={"pitch": "A3+4"})

    assert entry.writer == "kqmzpt"
    assert entry.reading("top") == Reading(pitch="A3+4")
    assert entry.reading("bottom") is None


def test_turns_and_counts_are_told_by_head() -> None:
    entry = _entry(turn={"top": 0.25}, count={"bottom": "bottom-1"})

    assert [entry.turn.of("top"), entry.turn.of("bottom")] == [0.25, None]
    assert [entry.count.of("top"), entry.count.of("bottom")] == [None, "bottom-1"]
    assert (entry.position, PerHead(), CountPerHead()) == (PerHead(), PerHead(), CountPerHead())


@pytest.mark.parametrize(("text", "rods"), [("", ()), ("1 6 3", (1, 6, 3)), (" 24  2", (24, 2))])
def test_a_round_tells_its_rods_in_order(text: str, rods: tuple[int, ...]) -> None:
    assert rods == Round(head="top", amount=0.25, rods_done=text).done()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"id": "20261125T181204Z-kqmzp-abcd"}, "is no id of an entry"),
        ({"id": "20261325T181204Z-kqmzpt-abcd"}, "is no id of an entry"),
        ({"id": "20261125T251204Z-kqmzpt-abcd"}, "is no id of an entry"),
        ({"id": "٢٠٢٦1125T181204Z-kqmzpt-abcd"}, "is no id of an entry"),
        ({"id": ID + "\n"}, "is no id of an entry"),
        ({"at": "2026-11-25T19:12:04"}, "has no offset from UTC"),
        ({"void": True}, "void names no entry"),
        ({"kind": "guess"}, "'turn', 'reading', 'round'"),
        ({"round": {"head": "top", "amount": 0.25, "rods_done": "1 x"}}, "'x' is no rod"),
        ({"round": {"head": "top", "amount": 0.25, "rods_done": "25"}}, "'25' is no rod"),
        ({"round": {"head": "top", "amount": 0.25, "rods_done": "0"}}, "'0' is no rod"),
        ({"touch_up": {"head": "top", "rod": 0, "amount": 0.25}}, "greater than or equal to 1"),
        ({"a4": 391.9}, "391.9"),
        ({"a4": float("nan")}, "finite"),
        ({"temperature_c": 61}, "less than or equal to 60"),
        ({"words": "a\nb"}, "line break"),
        ({"turn": {"top": 1 / 3}}, "no multiple of 1/64"),
        ({"turn": {"top": float("inf")}}, "finite number"),
        ({"top": {"pitch": "H3"}}, "H"),
        ({"snares": {"values": {"knob": float("nan")}}}, "finite number"),
    ],
)
def test_what_no_entry_can_be(fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        _entry(**fields)


def test_an_entry_may_strike_another_out() -> None:
    assert _entry(corrects="20261125T181204Z-kqmzpt-zzzz", void=True).void


def test_a_target_is_told_in_hertz_at_its_own_a4() -> None:
    preset = Preset(
        name="Dry",
        a4=442,
        top=Reading(pitch="A3"),
        bottom=Reading(pitch="A"),
        turns=Positions(top=Position(amount=1.25, count="top-1")),
    )

    assert preset.target("top") == Reading(pitch="A3")
    assert preset.target_hz("top") == pytest.approx(221)
    assert preset.target_hz("bottom") is None, "a note name alone has no frequency"
    assert preset.position("top") == Position(amount=1.25, count="top-1")
    assert preset.position("bottom") is None
    assert Preset(name="x").target_hz("bottom") is None


def test_a_frequency_stays_what_it_is_at_another_a4() -> None:
    assert Reading(pitch="221.3 Hz").hz(a4_hz=440) == Reading(pitch="221.3 Hz").hz(a4_hz=442) == 221.3
    assert Reading(pitch="A3").hz(a4_hz=440) == pytest.approx(220)


@pytest.mark.parametrize(("by", "cents"), [("ear", 25), ("typed", 10), ("recording", 3), ("microphone", 3)])
def test_no_reading_is_believed_to_be_better_than_its_kind(by: Any, cents: float) -> None:  # noqa: ANN401 -- a literal type of four words
    assert least_sd_cents(by) == cents


@pytest.mark.parametrize(
    ("setting", "text"),
    [
        (SnareSetting(), ""),
        (SnareSetting(words="just free"), "just free"),
        (SnareSetting(values={"knob": 3.5, "gut 3": 2}), "knob 3.5; gut 3 2"),
        (SnareSetting(words="just free", values={"knob": 3.0}), "just free; knob 3"),
    ],
)
def test_a_snare_setting_is_told_in_one_line(setting: SnareSetting, text: str) -> None:
    assert text == setting.text()


@pytest.mark.parametrize("writer", ["", "abcde", "abcdefg", "ABCDEF", "abcde1", "abcdeé", "abcdef\n"])
def test_a_writer_is_six_letters(writer: str) -> None:
    with pytest.raises(ValidationError, match="is no writer"):
        UserSettings(writer=writer)


@pytest.mark.parametrize("cents", [0, -1, 601, float("nan")])
def test_a_tolerance_lies_within_its_limits(cents: float) -> None:
    with pytest.raises(ValidationError):
        LibrarySettings(tolerance_cents=cents)
