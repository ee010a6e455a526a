"""The silent change at the bench: its rounds are made and kept rod by rod, without a reading."""

import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.changing import silently
from lugbook.desk.journal import with_counts, write
from lugbook.desk.keeping import add_drum, add_preset, edit_drum
from lugbook.desk.rounds import BY_TURNS_ALONE
from lugbook.errors import Doubtful, NotPossible
from lugbook.records import PerHead


@pytest.fixture
def name(desk: Desk) -> str:
    """A preset a quarter up on both heads of a drum of eight rods, which stands at its reference."""
    rods = {"rods": 8}
    drum_id = add_drum(desk, {"name": "Snare", "diameter_in": 14, "top": rods, "bottom": rods}).id
    stored = desk.library.drum(drum_id)
    drum = desk.library.save_drum(stored, with_counts(desk, stored.record)).record
    pitches = {"top": {"pitch": "A3"}, "bottom": {"pitch": "E4"}}
    write(desk, drum_id, drum, {"kind": "reading", **pitches}, position=PerHead(top=0.0, bottom=0.0))
    return add_preset(
        desk,
        drum_id,
        {
            "name": "High",
            "top": {"pitch": "A3+75"},
            "bottom": {"pitch": "E4+65"},
            "turns": {
                "top": {"amount": 0.25, "count": "top-1"},
                "bottom": {"amount": 0.25, "count": "bottom-1"},
            },
            "snares": {"words": "just free"},
        },
    ).id


def test_the_bench_turns_rod_by_rod_to_its_preset(desk: Desk, name: str) -> None:
    """Bottom first, then top; the logbook holds both turns, marked, and the position is the preset's."""
    at_drum = silently(desk, bench.sit_down(desk, name))
    assert at_drum.silent is not None
    assert at_drum.next_side == "bottom"

    at_drum = turning_rods.begin(at_drum, "bottom")
    assert at_drum.round is not None
    assert not any("tap" in step for step in at_drum.round.steps)
    for _ in range(8):
        at_drum = turning_rods.rod_done(desk, at_drum)
    assert at_drum.round is None
    assert at_drum.next_side == "top"

    at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, "top"))
    assert at_drum.position == PerHead(top=0.25, bottom=0.25)
    assert at_drum.next_side is None
    assert at_drum.silent is None
    assert any("Expected error" in remark for remark in at_drum.remarks)
    assert not any("Tap" in remark for remark in at_drum.remarks)
    assert any("set the snares afresh" in remark for remark in at_drum.remarks)

    _, bottom, top = desk.library.log("snare").entries
    assert (bottom.turn.bottom, bottom.turn.top) == (0.25, None)
    assert (top.turn.top, top.turn.bottom) == (0.25, None)
    assert top.position == PerHead(top=0.25, bottom=0.25)
    assert {bottom.note, top.note} == {BY_TURNS_ALONE}
    assert {bottom.preset, top.preset} == {name}


def test_the_expected_error_is_shown_before_a_rod_is_turned(desk: Desk, name: str) -> None:
    at_drum = silently(desk, bench.sit_down(desk, name))

    assert at_drum.silent is not None
    assert at_drum.retuning is not None
    assert at_drum.retuning.expect is not None
    assert at_drum.retuning.expect.sd_cents == at_drum.silent.error_cents
    assert not at_drum.silent.trusted
    assert any("a guess" in remark for remark in at_drum.remarks)


def test_once_there_nothing_is_left_to_turn(desk: Desk, name: str) -> None:
    at_drum = silently(desk, bench.sit_down(desk, name))
    for side in ("bottom", "top"):
        at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, side))
    again = silently(desk, bench.sit_down(desk, name))

    assert again.next_side is None
    assert any("Nothing to turn" in remark for remark in again.remarks)


def test_a_reading_leads_from_then_on(desk: Desk, name: str) -> None:
    at_drum = bench.read(desk, silently(desk, bench.sit_down(desk, name)), "top", "A3")

    assert at_drum.silent is None
    assert at_drum.retuning is not None
    assert at_drum.retuning.comparison.top is not None


def test_a_round_left_part_way_is_gone_on_with_unheard(desk: Desk, name: str) -> None:
    """After a crash the round is there, still marked; done, the rest is counted from where it stands."""
    at_drum = turning_rods.begin(silently(desk, bench.sit_down(desk, name)), "bottom")
    turning_rods.stopped_after(desk, at_drum, 5)
    again = bench.sit_down(desk, name)

    assert again.round is not None
    assert not again.round.tapped
    with pytest.raises(NotPossible, match="stopped part-way"):
        silently(desk, again)

    again = turning_rods.all_done(desk, again)
    assert again.remarks[0] == BY_TURNS_ALONE
    rest = silently(desk, again)
    assert rest.silent is not None
    assert rest.silent.moves == {"top": 0.25}


def test_what_is_refused_is_not_begun(desk: Desk, name: str) -> None:
    edit_drum(
        desk, "snare", {"heads": ({"id": "top-1", "side": "top", "on": "2026-11-01", "material": "calf"},)}
    )

    with pytest.raises(NotPossible, match="calf"):
        silently(desk, bench.sit_down(desk, name))


def test_a_lost_place_is_refused(desk: Desk, name: str) -> None:
    """Nothing in the logbook says where the drum stands, so that nothing can be counted from there."""
    for stored in desk.library.log("snare").entries:
        drum = desk.library.drum("snare").record
        write(
            desk, "snare", drum, {"kind": "reading", "corrects": stored.id, "void": True}, position=PerHead()
        )

    with pytest.raises(NotPossible, match="No entry of the logbook says"):
        silently(desk, bench.sit_down(desk, name))


def test_a_turn_past_a_limit_is_begun_when_asked_for_twice(desk: Desk, name: str) -> None:
    edit_drum(desk, "snare", {"bottom": {"turns_max": 0.125}})
    at_drum = silently(desk, bench.sit_down(desk, name))

    with pytest.raises(Doubtful, match="past its limit"):
        turning_rods.begin(at_drum, "bottom")
    assert turning_rods.begin(at_drum, "bottom", insisted=True).round is not None


def test_a_round_taken_back_leaves_the_silent_advice(desk: Desk, name: str) -> None:
    at_drum = turning_rods.begin(silently(desk, bench.sit_down(desk, name)), "bottom")
    at_drum = turning_rods.take_back(desk, turning_rods.stopped_after(desk, at_drum, 5))
    at_drum = turning_rods.all_done(desk, at_drum)

    assert at_drum.round is None
    assert at_drum.silent is not None
    assert at_drum.next_side == "bottom"
