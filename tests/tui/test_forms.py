"""The form for records: built from the model, nothing lost on an error, unknown keys kept."""

import time
import tomllib
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.records import SIDES, Concert, Drum, Item, NoteNames, Piece, Preset, Reading, Record
from lugbook.tui.deeds import Deed, DeedScreen
from lugbook.tui.fields import fields_of, texts_of, values_of
from lugbook.tui.form import FieldLine

Stage = Any  # the class of conftest, which cannot be imported from here
Play = Callable[..., AbstractAsyncContextManager[Stage]]


@pytest.mark.parametrize("model", [Drum, Preset, Piece, Concert, Item])
def test_every_field_says_what_it_means(model: type[Record]) -> None:
    """The docstring beneath each field of the record is the help of the form."""
    fields = fields_of(model)

    assert all(len(field.help) > 5 for field in fields)
    assert len({field.label for field in fields}) == len(fields)
    assert {"format", "made", "entry", "heads", "counts"}.isdisjoint(field.key for field in fields)


def test_the_form_of_a_drum_asks_for_name_and_diameter() -> None:
    """Required is what the record requires; both sides have their rods; units stand in the labels."""
    fields = {field.key: field for field in fields_of(Drum)}

    assert [key for key, field in fields.items() if field.required] == ["name", "diameter_in"]
    assert fields["diameter_in"].label == "diameter (inches)"
    assert fields["tension"].choices == ("separate", "single", "rope")
    assert [fields[f"{side}.rods"].default for side in SIDES] == ["10", "10"]


def test_only_what_was_changed_becomes_a_value() -> None:
    """Texts of every kind come back as values, nested as the record is."""
    fields = fields_of(Preset)
    before = texts_of(Preset(name="A", contexts=("one",)), fields)
    typed = before | {
        "contexts": "one, two",
        "interval_decides": "yes",
        "top.pitch": "A3+4",
        "tolerance_cents": "7,5",
        "turns.top.amount": "1 3/4",
        "turns.top.count": "top-1",
        "snares.values": "knob 3.5; lever 2",
    }
    values, faults = values_of(typed, before=before, fields=fields)

    assert faults == {}
    assert values == {
        "contexts": ["one", "two"],
        "interval_decides": True,
        "top": {"pitch": "A3+4"},
        "tolerance_cents": "7.5",
        "turns": {"top": {"amount": 1.75, "count": "top-1"}},
        "snares": {"values": {"knob": 3.5, "lever": 2.0}},
    }
    assert values_of(before, before=before, fields=fields) == ({}, {})


def test_texts_that_come_to_nothing_are_faults() -> None:
    """Each fault stands at its own field."""
    fields = fields_of(Preset)
    before = texts_of(None, fields)
    typed = before | {"interval_decides": "perhaps", "turns.top.amount": "a lot", "snares.values": "knob"}
    values, faults = values_of(typed, before=before, fields=fields)

    assert values == {}
    assert faults.keys() == {"interval_decides", "turns.top.amount", "snares.values"}


def test_a_record_read_into_a_form_is_not_changed_by_it() -> None:
    """Emptying a whole group takes it out; a text that is cleared takes its key out."""
    fields = fields_of(Preset)
    record = Preset.model_validate({"name": "A", "words": "dark", "top": {"pitch": "A3", "by": "ear"}})
    before = texts_of(record, fields)
    typed = before | {"top.pitch": "", "top.by": "", "words": ""}

    assert values_of(typed, before=before, fields=fields)[0] == {"words": None, "top": None}


async def test_a_first_drum_begins_the_library(play: Play, empty_desk: Desk, size: tuple[int, int]) -> None:
    """Name and diameter are enough; the shelf shows the drum."""
    async with play(empty_desk, size=size) as stage:
        await stage.press("d")
        await stage.type("Field drum", "ctrl+s")
        assert "! 1 thing to mend." in stage.words()
        assert not empty_desk.library.exists
        await _go_to(stage, "diameter_in")
        await stage.type("14", "ctrl+s")

        assert stage.place == "shelf"
        assert "Field drum 14 in" in stage.words()
        assert "Taken to have 10 rods on each head" in stage.words()
        assert empty_desk.library.drum("field-drum").record.diameter_in == 14

        # The cursor stands on the new drum, so that the next key is for its first preset.
        await stage.press("n")
        assert "New preset for Field drum" in stage.words()
        await stage.type("March")
        await stage.press("ctrl+s")
        await stage.press("enter")
        assert stage.place == "listening"


async def test_a_fault_stands_beside_its_field_and_nothing_is_lost(play: Play, desk: Desk) -> None:
    """A wrong pitch is said at the pitch; everything typed is still there, and then it is saved."""
    async with play(desk) as stage:
        await stage.press("n")
        assert "New preset for Concert snare" in stage.words()
        await stage.type("Loud")
        await _go_to(stage, "top.pitch")
        await stage.type("H3", "ctrl+s")

        assert "German H is B" in stage.words()
        assert stage.screen.texts()["name"] == "Loud"
        assert stage.screen.focused.value == "H3"
        await stage.press("backspace", "backspace")
        await stage.type("B3", "ctrl+s")
        record = desk.library.preset("concert-snare/loud").record
        assert record.top is not None
        assert (record.name, record.top.pitch, record.player) == ("Loud", "B3", "Ada")


async def test_texts_that_come_to_nothing_stand_beside_their_fields(play: Play, desk: Desk) -> None:
    """What is no yes, no number and no amount of turns is said before anything is saved."""
    async with play(desk) as stage:
        await stage.press("n")
        await stage.type("Loud")
        await _go_to(stage, "interval_decides")
        await stage.type("often")
        await _go_to(stage, "note")
        await stage.type("two", "enter")
        await stage.type("lines", "ctrl+s")
        assert "'often' is neither yes nor no." in stage.words()
        assert stage.screen.texts()["note"] == "two\nlines"
        await _go_to(stage, "interval_decides")
        await stage.press(*["backspace"] * 5)
        await stage.type("yes", "ctrl+s")
        record = desk.library.preset("concert-snare/loud").record

        assert record.interval_decides
        assert record.note == "two\nlines"


async def test_editing_keeps_what_the_form_does_not_show(play: Play, desk: Desk) -> None:
    """Unknown keys of a newer version, and everything untouched, survive."""
    path = desk.library.preset("concert-snare/dry-etude").path
    path.write_text('from_the_future = "kept"\n' + path.read_text(encoding="utf-8"), encoding="utf-8")
    before = tomllib.loads(path.read_text(encoding="utf-8"))
    async with play(desk) as stage:
        await stage.press("down", "e")
        assert "Edit Dry étude" in stage.words()
        await _go_to(stage, "words")
        await stage.type("dark and short", "ctrl+s")

        assert tomllib.loads(path.read_text(encoding="utf-8")) == before | {"words": "dark and short"}
        assert stage.place == "shelf"


async def test_a_drum_is_edited(play: Play, desk: Desk) -> None:
    """On a drum's heading the form is the drum's; its slug stays."""
    async with play(desk) as stage:
        await stage.press("home", "e")
        await stage.type("!", "ctrl+s")

        assert desk.library.drum("concert-snare").record.name == "Concert snare!"


async def test_leaving_a_form_asks_twice_only_where_something_was_typed(play: Play, desk: Desk) -> None:
    """Escape leaves an untouched form at once, a touched one the second time."""
    async with play(desk) as stage:
        await stage.press("d", "escape")
        assert stage.place == "shelf"
        await stage.press("d")
        await stage.type("X", "escape")
        assert (stage.place, stage.screen.texts()["name"]) == ("form", "X")
        assert "ctrl+s saves, esc again drops it" in stage.words()
        await stage.press("escape")

        assert stage.place == "shelf"


async def test_the_help_line_follows_the_field(play: Play, desk: Desk) -> None:
    """What the field at hand means is shown below; enter goes on to the next."""
    async with play(desk) as stage:
        await stage.press("d")
        assert "What the player calls it." in stage.words()
        await stage.press("enter")
        assert "Who made it." in stage.words()
        await _go_to(stage, "tension")

        assert "One of: separate, single, rope." in stage.words()


@pytest.mark.parametrize(
    ("keys", "gone"), [(("home",), "concert-snare"), (("down",), "concert-snare/dry-etude")]
)
async def test_what_is_put_away_comes_back(play: Play, desk: Desk, keys: tuple[str, ...], gone: str) -> None:
    """Remove and restore work on drums and presets alike, and say so."""
    async with play(desk) as stage:
        await stage.press(*keys, "x")
        assert f"{gone} is put away; r brings it back." in stage.words()
        assert "Dry étude" not in stage.words()
        await stage.press("r")

        assert f"{gone} is back." in stage.words()
        assert "Dry étude" in stage.words()


async def test_a_thread_that_ends_late_is_not_cut_off(
    play: Play, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A result is taken while its thread still ends; the next deed begins beside it and cancels none."""
    work = DeedScreen._work

    def slow(screen: DeedScreen, deed: Deed) -> None:
        time.sleep(0.1)
        work(screen, deed)
        time.sleep(0.1)

    monkeypatch.setattr(DeedScreen, "_work", slow)
    async with play(desk) as stage:
        await stage.press("home", "x")
        await stage.press("r")

        assert "concert-snare is back." in stage.words()


async def test_a_file_changed_underneath_is_not_overwritten(play: Play, desk: Desk) -> None:
    """The error of the desk is a line in the form, and what was typed stays."""
    async with play(desk) as stage:
        await stage.press("down", "e")
        await _go_to(stage, "words")
        await stage.type("dark")
        desk.library.preset("concert-snare/dry-etude").path.unlink()
        await stage.press("ctrl+s")

        assert stage.place == "form"
        assert stage.screen.said.wrong
        assert stage.screen.texts()["words"] == "dark"


async def _go_to(stage: Stage, key: str) -> None:
    """Put the cursor into the field *key*."""
    next(line for line in stage.screen.query(FieldLine) if line.field.key == key).begin()
    await stage.settle()


@pytest.mark.parametrize(
    ("language", "kept", "shown", "typed", "read"),
    [
        ("german", "Bb3+4", "B3+4", "h3-12.5", "B3-12.5"),
        ("latin", "F#3", "fa#3", "sib3", "Bb3"),
        ("english", "221.3 Hz", "221.3 Hz", "a3 low side", "A3-25"),
    ],
)
def test_pitches_are_shown_and_read_in_the_players_language(
    language: NoteNames, kept: str, shown: str, typed: str, read: str
) -> None:
    """The record stays English; what is not touched is not changed."""
    fields = fields_of(Preset, language=language)
    before = texts_of(Preset(name="A", top=Reading(pitch=kept)), fields)
    values, faults = values_of(before | {"top.pitch": typed}, before=before, fields=fields)

    assert before["top.pitch"] == shown
    assert (values, faults) == ({"top": {"pitch": read}}, {})
    assert values_of(before, before=before, fields=fields) == ({}, {})


async def test_a_form_tells_every_fault_at_once(play: Play, desk: Desk) -> None:
    """What the form cannot read and what the record refuses stand beside their fields together."""
    async with play(desk) as stage:
        await stage.press("n")
        await _go_to(stage, "top.pitch")
        await stage.type("x9")
        await _go_to(stage, "tolerance_cents")
        await stage.type("-3", "ctrl+s")

        assert "! 3 things to mend." in stage.words()
