"""The wires of a drum: a new set, a set tied anew, corrections, and what becomes of the settings."""

from collections.abc import Callable
from datetime import date

import pytest

from lugbook.desk import Desk
from lugbook.desk.checking import check
from lugbook.desk.keeping import BadRecord, add_preset, edit_drum, edit_preset
from lugbook.desk.silence import silent_steps
from lugbook.desk.voiding import of_other_wires
from lugbook.desk.wiring import (
    add_wires,
    edit_wires,
    remove_wires,
    restore_wires,
    voided_presets,
    wires,
    wires_rows,
)
from lugbook.desk.wording import setting_text
from lugbook.errors import BadValue, NotFound, NotPossible
from lugbook.records import Drum, SnareSetting, Wires

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def strung(desk: Desk, with_drum: Put) -> Desk:
    """A drum with a set of wires since the third of May."""
    with_drum()
    add_wires(desk, DRUM, {"kind": "gut", "strands": 8, "tied": "cord", "since": date(2026, 5, 3)})
    return desk


def record(desk: Desk) -> Drum:
    return desk.library.drum(DRUM).record


def test_a_new_set_takes_the_old_one_of_its_place_off(strung: Desk) -> None:
    upper = add_wires(strung, DRUM, {"place": "top", "kind": "cable"})
    new = add_wires(strung, DRUM, {"kind": "coil", "strands": 20})

    assert [one.id for one in (upper, new)] == ["wires-2", "wires-3"]
    assert [(row.id, row.place, row.since, row.off) for row in wires_rows(strung, DRUM)] == [
        ("wires-1", "bottom", date(2026, 5, 3), date(2026, 11, 25)),
        ("wires-2", "top", date(2026, 11, 25), None),
        ("wires-3", "bottom", date(2026, 11, 25), None),
    ]
    assert record(strung).wires_on("bottom") == new
    assert record(strung).wires_on("top") == upper


def test_a_set_tied_anew_is_a_record_of_its_own(strung: Desk) -> None:
    """It voids what was found before, and keeps what it is; with another kind it were another set."""
    again = add_wires(strung, DRUM, {"tied": "strip"}, same_set=True)

    assert (again.id, again.kind, again.strands, again.tied) == ("wires-2", "gut", 8, "strip")
    assert again.since == date(2026, 11, 25)
    assert of_other_wires(record(strung), SnareSetting(values={"knob": 3}, wires="wires-1"))
    with pytest.raises(BadValue, match="no other kind"):
        add_wires(strung, DRUM, {"kind": "coil"}, same_set=True)
    with pytest.raises(NotPossible, match="no wires under its top head"):
        add_wires(strung, DRUM, {"place": "top"}, same_set=True)


def test_a_correction_voids_nothing(strung: Desk) -> None:
    edit_wires(strung, DRUM, "wires-1", {"tied": "clamps", "place": "top"})

    assert wires(strung, DRUM, "wires-1").tied == "clamps"
    assert wires(strung, DRUM, "wires-1").place == "bottom"
    assert not of_other_wires(record(strung), SnareSetting(values={"knob": 3}, wires="wires-1"))


def test_a_drum_may_have_no_wires(strung: Desk) -> None:
    edit_wires(strung, DRUM, "wires-1", {"off": date(2026, 6, 1)})

    assert record(strung).wires_on() is None
    assert of_other_wires(record(strung), SnareSetting(values={"knob": 3}, wires="wires-1"))


def test_presets_say_with_which_wires_they_were_found(strung: Desk) -> None:
    """The one found now does; a new set voids its setting, and the words say so."""
    found = add_preset(strung, DRUM, {"name": "Crisp", "snares": {"values": {"knob": 3}}})
    assert found.record.snares.wires == "wires-1"
    assert voided_presets(strung, DRUM) == ()

    add_wires(strung, DRUM, {"kind": "coil"})
    drum = record(strung)
    assert voided_presets(strung, DRUM) == (found.id,)
    assert of_other_wires(drum, found.record.snares)
    assert not of_other_wires(drum, SnareSetting(values={"knob": 3}, wires="wires-2"))
    assert not of_other_wires(drum, SnareSetting())


@pytest.mark.parametrize(("day", "other"), [("2026-05-03", True), ("2026-05-04", False), (None, False)])
def test_a_setting_that_names_no_wires_goes_by_its_day(strung: Desk, day: str | None, other: bool) -> None:
    found = None if day is None else date.fromisoformat(day)

    assert of_other_wires(record(strung), SnareSetting(values={"knob": 3}), found=found) is other


def test_a_preset_names_the_strainers_adjustments(strung: Desk) -> None:
    """A slip is told beside the field; a setting of the logbook stays as it was found."""
    edit_drum(strung, DRUM, {"strainer": {"adjustments": [{"name": "knob"}]}})
    found = add_preset(strung, DRUM, {"name": "Crisp", "snares": {"values": {"Knob": 3}}})
    assert found.record.snares.values == {"knob": 3}
    with pytest.raises(BadRecord, match="Nearest: knob") as told:
        edit_preset(strung, found.id, {"snares": {"values": {"knop": 3}}})
    assert list(told.value.by_key) == ["snares.values"]
    old = SnareSetting(values={"lever": 2})
    assert add_preset(strung, DRUM, {"name": "Old", "snares": old}).record.snares.values == {"lever": 2}
    with pytest.raises(BadRecord, match="knob"):
        edit_preset(strung, found.id, {"snares": {"values": {"knob": "x"}}})


def test_a_set_is_removed_and_restored(strung: Desk) -> None:
    add_wires(strung, DRUM, {"kind": "coil"})

    assert remove_wires(strung, DRUM, "wires-2") == ("wires-1 is on again: settings found with it count.",)
    assert record(strung).wires_on() == wires(strung, DRUM, "wires-1")
    assert restore_wires(strung, DRUM, "wires-2").kind == "coil"
    assert wires(strung, DRUM, "wires-1").off == date(2026, 11, 25)
    with pytest.raises(BadValue, match="already"):
        restore_wires(strung, DRUM, "wires-2")
    remove_wires(strung, DRUM, "wires-2")
    assert add_wires(strung, DRUM, {}).id == "wires-3"


@pytest.mark.parametrize("since", [date(2026, 11, 26), date(2026, 5, 2)])
def test_days_that_do_not_fit_are_refused(strung: Desk, since: date) -> None:
    with pytest.raises(BadValue, match="would be on since"):
        add_wires(strung, DRUM, {"since": since})
    assert len(record(strung).wires) == 1


def test_what_is_not_there_is_told(strung: Desk) -> None:
    with pytest.raises(NotFound, match="wires-1"):
        wires(strung, DRUM, "wires-7")
    with pytest.raises(NotFound):
        restore_wires(strung, DRUM, "wires-7")
    with pytest.raises(BadRecord):
        add_wires(strung, DRUM, {"strands": 61})
    add_wires(strung, DRUM, {})
    with pytest.raises(BadValue, match="wires-2 lies under the bottom head"):
        edit_wires(strung, DRUM, "wires-1", {"off": None})
    with pytest.raises(BadValue, match="before it was put on"):
        edit_wires(strung, DRUM, "wires-1", {"off": date(2026, 5, 2)})


def test_the_set_that_is_on_is_the_latest_of_its_place() -> None:
    drum = Drum(name="x", diameter_in=14, wires=(Wires(id="a", off=date(2026, 1, 1)), Wires(id="b")))

    assert drum.wires_on() == drum.wires[1]
    assert drum.wires_on("top") is None


def test_a_void_setting_is_said_wherever_it_is_offered(strung: Desk) -> None:
    """In the check, at the bench, and in the steps of a silent change; not before the wires are new."""
    values = {"name": "Crisp", "top": {"pitch": "A3"}, "bottom": {"pitch": "D4"}}
    preset = add_preset(strung, DRUM, {**values, "snares": {"values": {"knob": 3}}}).record

    def said() -> tuple[bool, ...]:
        drum = record(strung)
        steps = silent_steps(drum, {"bottom": 0.25}, begun=None, preset=preset)
        checked = check(strung, f"{DRUM}/crisp", top="A3", bottom="D4").remarks
        texts = (" ".join(steps), " ".join(checked), setting_text(drum, preset))
        return tuple("of other wires: only where to begin" in text for text in texts)

    assert said() == (False, False, False)
    add_wires(strung, DRUM, {"kind": "coil"})
    assert said() == (True, True, True)
