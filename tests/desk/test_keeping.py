"""Adding, editing, removing and restoring."""

from collections.abc import Callable
from datetime import date

import pytest

from lugbook.desk import Desk, bench, shelf, turning_rods
from lugbook.desk.fitting import add_head, edit_head, remove_head, restore_head
from lugbook.desk.keeping import (
    BadRecord,
    add_drum,
    add_preset,
    assumed,
    edit_drum,
    edit_preset,
    remove_drum,
    remove_preset,
    restore_drum,
    restore_preset,
    start_values,
)
from lugbook.errors import BadValue, NotFound
from lugbook.library import starting_points
from lugbook.pitch import parse_pitch

Put = Callable[..., str]


def test_the_first_drum_makes_the_library(desk: Desk) -> None:
    before = desk.library.exists
    stored = add_drum(desk, {"name": "Concert snare", "diameter_in": 14})

    assert (before, desk.library.exists) == (False, True)
    assert [count.side for count in stored.record.counts] == ["top", "bottom"]


def test_a_rope_drum_has_no_counts(desk: Desk) -> None:
    assert add_drum(desk, {"name": "Rope", "diameter_in": 16, "tension": "rope"}).record.counts == ()


def test_what_is_removed_can_be_restored(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    before = desk.library.preset(name).record
    remove_preset(desk, name)
    with pytest.raises(NotFound):
        desk.library.preset(name)

    assert restore_preset(desk, name).record == before

    drum = name.partition("/")[0]
    remove_drum(desk, drum)
    assert shelf.drums(desk).rows == ()
    restore_drum(desk, drum)
    assert desk.library.preset(name).record == before


def test_an_edit_keeps_what_it_does_not_name(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    edited = edit_preset(desk, name, {"name": "Very dry étude", "top": {"pitch": "A3-4"}}).record

    assert edited.name == "Very dry étude"
    assert edited.top is not None
    assert edited.top.pitch == "A3-4"
    assert edited.contexts == ("dry étude",)
    assert edit_preset(desk, name, {"tolerance_cents": 5.0}).record.tolerance_cents == 5
    assert edit_preset(desk, name, {"tolerance_cents": None}).record.tolerance_cents is None


@pytest.mark.parametrize(
    ("values", "key", "said"),
    [
        ({"name": "x"}, "diameter_in", "missing"),
        ({"name": "", "diameter_in": 14}, "name", "empty"),
        ({"name": "x", "diameter_in": 2}, "diameter_in", "limit of 6"),
        ({"name": "x", "diameter_in": float("nan")}, "diameter_in", ""),
        ({"name": "x", "diameter_in": 14, "tension": "loose"}, "tension", "none of the known words"),
        ({"name": "a\x1b[2Jb", "diameter_in": 14}, "name", "control character"),
        ({"name": "x", "diameter_in": 14, "top": {"rods": 99}}, "top.rods", "24"),
        ({"name": "x" * 10_000, "diameter_in": 14}, "name", "120"),
    ],
)
def test_values_that_make_no_record_are_named_by_key(
    desk: Desk, values: dict[str, object], key: str, said: str
) -> None:
    with pytest.raises(BadRecord) as refused:
        add_drum(desk, values)

    assert key in refused.value.by_key
    assert said in refused.value.by_key[key]
    assert "\x1b" not in str(refused.value)
    assert not desk.library.exists


def test_a_new_head_starts_a_new_count_and_voids_turns_of_that_head_alone(desk: Desk, with_drum: Put) -> None:
    name = with_drum(
        turns={"top": {"amount": 1.75, "count": "top-1"}, "bottom": {"amount": 2.0, "count": "bottom-1"}}
    )
    drum = name.partition("/")[0]
    before = shelf.presets(desk).rows[0]
    head = add_head(desk, drum, "top", {"material": "film", "film_mil": 10.0})
    after = shelf.presets(desk).rows[0]

    assert before.turns_top is not None
    assert after.turns_top is not None
    assert after.turns_bottom is not None
    assert (before.turns_top.valid, after.turns_top.valid, after.turns_bottom.valid) == (True, False, True)
    assert after.turns_top.amount == 1.75
    assert head.on == date(2026, 11, 25)
    assert after.top == before.top


def test_the_old_head_is_retired(desk: Desk, with_drum: Put) -> None:
    drum = with_drum().partition("/")[0]
    add_head(desk, drum, "top", {"on": date(2026, 5, 3)})
    add_head(desk, drum, "top", {"on": date(2026, 10, 1), "name": "coated"})

    rows = shelf.heads(desk, drum)
    assert [(row.id, row.off) for row in rows] == [("top-1", date(2026, 10, 1)), ("top-2", None)]
    assert shelf.drums(desk).rows[0].top_head == "film, coated (on since 1 October 2026)"
    with pytest.raises(BadValue, match="before the present one"):
        add_head(desk, drum, "top", {"on": date(2026, 9, 1)})


def test_a_head_record_can_be_corrected_removed_and_restored(desk: Desk, with_drum: Put) -> None:
    drum = with_drum().partition("/")[0]
    head = add_head(desk, drum, "bottom", {"film_mil": 3.0})

    assert edit_head(desk, drum, head.id, {"film_mil": 2.0}).film_mil == 2
    remove_head(desk, drum, head.id)
    assert shelf.heads(desk, drum) == ()
    assert restore_head(desk, drum, head.id).film_mil == 2
    with pytest.raises(NotFound, match="no head"):
        remove_head(desk, drum, "top-9")
    with pytest.raises(NotFound, match="No removed head"):
        restore_head(desk, drum, "top-9")
    with pytest.raises(BadValue, match="already"):
        restore_head(desk, drum, head.id)


def test_removing_a_head_that_never_was_puts_the_one_before_it_on_again(desk: Desk, with_drum: Put) -> None:
    """With it goes its count, so that turns count on where they did; restoring brings both back."""
    name = with_drum()
    first = add_head(desk, "concert-snare", "top", {"on": date(2026, 5, 3)})
    at_drum = bench.read(desk, bench.sit_down(desk, name), "top", "A3-60")
    before = turning_rods.all_done(desk, turning_rods.begin(at_drum, "top")).position
    mistaken = add_head(desk, "concert-snare", "top", {})
    said = remove_head(desk, "concert-snare", mistaken.id)

    drum = desk.library.drum("concert-snare").record
    assert drum.head_on("top") == first
    assert bench.sit_down(desk, name).position == before
    assert "on again" in " ".join(said)
    assert desk.library.log("concert-snare").entries[-1].kind == "turn"
    assert not desk.library.problems()

    restore_head(desk, "concert-snare", mistaken.id)
    again = desk.library.drum("concert-snare").record
    assert again.head_on("top") == mistaken
    assert bench.sit_down(desk, name).position.top == 0
    assert not desk.library.problems()
    remove_head(desk, "concert-snare", mistaken.id)
    third = add_head(desk, "concert-snare", "top", {})
    assert third.id != mistaken.id
    assert desk.library.drum("concert-snare").record.counts[-1].id not in {one.id for one in again.counts}


def test_turns_that_were_counted_on_a_removed_head_are_kept(desk: Desk, with_drum: Put) -> None:
    """Its count goes on, and that is said."""
    name = with_drum()
    bench.read(desk, bench.sit_down(desk, name), "top", "A3-60")
    head = add_head(desk, "concert-snare", "top", {})
    at_drum = bench.read(desk, bench.sit_down(desk, name), "top", "A3-60")
    stands = turning_rods.all_done(desk, turning_rods.begin(at_drum, "top")).position
    said = remove_head(desk, "concert-snare", head.id)

    assert bench.sit_down(desk, name).position == stands
    assert said == ("Turns stay in its count top-2, in which entries were written.",)


def test_the_tension_can_be_mended_until_something_is_written_down(desk: Desk, with_drum: Put) -> None:
    """The counts follow it; with entries in the logbook it is refused, and what to do is said."""
    name = with_drum()
    single = edit_drum(desk, "concert-snare", {"tension": "single"}).record
    rope = edit_drum(desk, "concert-snare", {"tension": "rope"}).record
    edit_drum(desk, "concert-snare", {"tension": "separate"})
    bench.read(desk, bench.sit_down(desk, name), "top", "A3-5")

    assert [count.side for count in single.counts] == ["both"]
    assert rope.counts == ()
    with pytest.raises(BadRecord, match="put it on the shelf anew") as refused:
        edit_drum(desk, "concert-snare", {"tension": "single"})
    assert refused.value.by_key.keys() == {"tension"}
    assert edit_drum(desk, "concert-snare", {"tension": "separate", "name": "Snare"}).record.name == "Snare"


def test_a_preset_begins_from_a_starting_point(desk: Desk, with_drum: Put) -> None:
    drum = with_drum().partition("/")[0]
    slug, point = next(iter(starting_points().items()))
    preset = add_preset(desk, drum, start_values(f"start/{slug}")).record

    assert preset.contexts == point.contexts
    assert preset.turns.top is None
    assert preset.top is not None
    low, high, middle = (
        parse_pitch(text).hz_at(440.0) for text in (point.top_from, point.top_to, preset.top.pitch)
    )
    assert low is not None
    assert high is not None
    assert middle is not None
    assert low <= middle <= high
    assert point.basis in preset.note
    with pytest.raises(BadValue, match="no starting point"):
        start_values("start/none")


def test_contexts_filter_without_case_and_accents(desk: Desk, with_drum: Put) -> None:
    with_drum()

    assert len(shelf.presets(desk, contexts=["Dry Etude"]).rows) == 1
    assert len(shelf.presets(desk, contexts=["dry", "étude"]).rows) == 1
    assert shelf.presets(desk, contexts=["tutti"]).rows == ()
    with pytest.raises(BadValue, match="empty context"):
        shelf.presets(desk, contexts=[" "])


def test_another_concert_pitch_beside_another_change_moves_no_target(desk: Desk, with_drum: Put) -> None:
    """220 Hz stays 220 Hz, whatever else of the reading is changed with A4."""
    edited = edit_preset(desk, with_drum(), {"a4": 442.0, "top": {"struck": "centre"}}).record

    assert edited.top is not None
    assert edited.top.struck == "centre"
    assert edited.target_hz("top") == pytest.approx(220, rel=1e-5)
    assert edited.target_hz("bottom") == pytest.approx(293.665, rel=1e-5)


def test_presets_of_a_damaged_drum_are_still_listed(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    desk.library.drum("concert-snare").path.write_text("name = ", encoding="utf-8")

    found = shelf.presets(desk, drum="concert-snare")
    assert [row.id for row in found.rows] == [name]
    assert found.problems
    with pytest.raises(NotFound):
        shelf.presets(desk, drum="nobody")


def test_the_id_of_a_removed_head_is_not_used_again(desk: Desk, with_drum: Put) -> None:
    drum = with_drum().partition("/")[0]
    first = add_head(desk, drum, "top", {})
    remove_head(desk, drum, first.id)

    assert add_head(desk, drum, "top", {}).id != first.id


def test_a_drum_with_rods_has_rods(desk: Desk) -> None:
    with pytest.raises(BadRecord, match="without rods"):
        add_drum(desk, {"name": "x", "diameter_in": 14, "top": {"rods": 0}})


@pytest.mark.parametrize(
    ("typed", "rods", "said"),
    [
        ({}, (10, 10), "10 rods on each head"),
        ({"top": {"rods": 8}}, (8, 8), ""),
        ({"top": {"rods": 8}, "bottom": {"rods": 10}}, (8, 10), ""),
        ({"tension": "rope"}, (10, 10), ""),
    ],
)
def test_what_is_taken_for_granted_of_a_new_drum_is_said(
    desk: Desk, typed: dict[str, object], rods: tuple[int, int], said: str
) -> None:
    """Ten rods where none are named; as many below as above; turns from how it stands at the first entry."""
    values = {"name": "x", "diameter_in": 14, **typed}
    drum = add_drum(desk, values).record

    assert (drum.top.rods, drum.bottom.rods) == rods
    sentences = " ".join(assumed(values))
    assert ("rods" in sentences) == bool(said)
    assert said in sentences
    assert ("first entry" in sentences) == (drum.tension != "rope")
    assert "first entry" not in " ".join(assumed({**values, "reference": "finger tight"}))


def test_turns_that_nobody_wrote_down_are_not_kept_in_a_preset(desk: Desk, with_drum: Put) -> None:
    """A preset from recordings keeps where the heads stand, once an entry says so."""
    name = with_drum()
    heard = {"name": "Heard", "top": {"pitch": "A3", "by": "recording"}}
    before = add_preset(desk, "concert-snare", heard).record
    bench.read(desk, bench.sit_down(desk, name), "top", "A3+1")
    after = add_preset(desk, "concert-snare", heard).record

    assert before.turns.top is None
    assert after.turns.top is not None
    assert (after.turns.top.amount, after.turns.top.count) == (0, "top-1")
