"""Advice for one round."""

from collections.abc import Callable
from typing import Literal

import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.fitting import add_head
from lugbook.desk.keeping import add_drum, add_preset, edit_drum
from lugbook.desk.retuning import retune
from lugbook.pitch import pitch_hz
from lugbook.turns.amounts import GRAIN

Put = Callable[..., str]


def test_no_entries_are_enough_to_advise_and_it_is_said_to_be_wide(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3-60", bottom="D4-60")

    assert advice.first == "bottom"
    assert advice.top is not None
    assert advice.bottom is not None
    assert advice.top.amount > 0
    assert advice.bottom.amount > 0
    assert "no entries" in advice.top.basis
    assert advice.top.sd > 0


def test_the_amount_is_what_is_shown(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3-60", bottom="D4+90")

    for turn in (advice.top, advice.bottom):
        assert turn is not None
        assert (turn.amount * GRAIN).is_integer()
        assert turn.shown.startswith("+" if turn.amount > 0 else "−")


def test_loosening_goes_below_and_comes_back_up(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3", bottom="Eb4+20")

    assert any("loosen every rod" in step for step in advice.steps)
    assert any("come back up by ⅛" in step for step in advice.steps)


def test_the_steps_go_bottom_first_in_star_order(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3-60", bottom="D4-60")

    assert advice.orders["top"] == (1, 6, 3, 8, 5, 10, 7, 2, 9, 4)
    bottom = next(index for index, step in enumerate(advice.steps) if step.startswith("Bottom head"))
    top = next(index for index, step in enumerate(advice.steps) if step.startswith("Top head"))
    assert bottom < top
    assert "strainer off" in advice.steps[0]


def test_within_tolerance_there_is_nothing_to_do(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3+3", bottom="D4-4")

    assert advice.first is None
    assert advice.steps == ()
    assert advice.top is not None
    assert advice.top.amount == 0


def test_one_head_read_gives_the_turn_of_that_head(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3-60", bottom=None)

    assert advice.first == "top"
    assert advice.bottom is None


def test_entries_narrow_the_advice_and_are_named(desk: Desk, with_drum: Put) -> None:
    """A top head follows f² = 190² + 13 000·turns, about 300 cents a turn; rounds that are read teach it."""
    name = with_drum()

    def top_now() -> str:
        return f"{(190**2 + 13_000 * (bench.sit_down(desk, name).position.top or 0.0)) ** 0.5:.2f} Hz"

    before = retune(desk, name, top=top_now(), bottom="D4")
    for _ in range(4):
        at_drum = bench.read(desk, bench.sit_down(desk, name), "top", top_now())
        at_drum = bench.read(desk, at_drum, "bottom", "D4")
        if at_drum.next_side is None:
            break
        at_drum = turning_rods.begin(at_drum, "top")
        while at_drum.round is not None:
            at_drum = turning_rods.all_done(desk, at_drum)
    after = retune(desk, name, top="A3-60", bottom="D4")

    assert before.top is not None
    assert after.top is not None
    assert after.top.sd < before.top.sd
    assert "logbook entries" in after.top.basis
    assert pitch_hz(top_now()) == pytest.approx(220, rel=0.006)


def test_turns_asked_of_a_rope_drum_are_not_offered(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(tension="rope"), top="A3-60", bottom="D4")

    assert not advice.possible
    assert advice.top is None
    assert any("rope" in remark for remark in advice.remarks)
    assert advice.comparison.within is False


def test_a_target_goes_to_a_loan_drum_by_its_pitches(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    loan = add_drum(desk, {"name": "Loan", "diameter_in": 13, "top": {"rods": 8}, "bottom": {"rods": 8}}).id
    advice = retune(desk, name, top="A3-60", bottom="D4-60", on=loan)

    assert advice.on == loan
    assert advice.orders["top"] == (1, 5, 3, 7, 2, 6, 4, 8)
    assert advice.top is not None
    assert advice.top.amount > 0


def test_a_limit_is_cautioned_against(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    edit_drum(desk, name.partition("/")[0], {"top": {"turns_max": 0.0}})
    advice = retune(desk, name, top="Ab3-50", bottom="D4")

    assert any("past its limit" in remark for remark in advice.remarks)
    assert [(one.side, one.past_limit) for one in advice.cautions] == [("top", True)]


def test_a_pitch_above_the_limit_is_cautioned_against(desk: Desk, with_drum: Put) -> None:
    """290 Hz lies below the target D4, 293.7 Hz."""
    name = with_drum()
    edit_drum(desk, "concert-snare", {"bottom": {"hz_max": 290.0}})
    advice = retune(desk, name, top=None, bottom="D4-60")

    assert [one.short for one in advice.cautions] == ["above the bottom head's limit of 290 Hz"]


def test_note_names_alone_on_both_sides_lead_to_no_turn(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(top="B", bottom="F"), top="Bb", bottom="F")

    assert advice.possible
    assert not advice.worked_out
    assert advice.first is None
    assert any("octave" in remark for remark in advice.remarks)


def test_a_target_without_octave_is_meant_in_the_octave_that_was_read(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(top="B", bottom="F"), top="B3-60", bottom="F4")

    assert advice.expect is not None
    assert advice.expect.top_hz == pytest.approx(246.94, rel=0.03)


def test_a_head_very_far_off_is_brought_near_first(desk: Desk, with_drum: Put) -> None:
    """The other head, in tune, goes down by what those two turns raise it."""
    advice = retune(desk, with_drum(), top="C3", bottom="D4")

    assert advice.top is not None
    assert (advice.top.amount, advice.top.far) == (2, True)
    assert any("far off" in remark for remark in advice.remarks)
    assert advice.bottom is not None
    assert -1 / 8 < advice.bottom.amount < 0


@pytest.mark.parametrize("typed", ["A4", "2200", "22", "A2"])
def test_no_turn_is_offered_on_what_looks_like_a_slip(desk: Desk, with_drum: Put, typed: str) -> None:
    """The slip is said, teaches nothing, and the other head is advised as if it were alone."""
    name = with_drum()
    advice = retune(desk, name, top=typed, bottom="D4-60")
    alone = retune(desk, name, top=None, bottom="D4-60")

    assert advice.top is None
    assert advice.bottom == alone.bottom
    assert any(remark.startswith("Top head:") and remark.endswith("?") for remark in advice.remarks)
    assert not retune(desk, name, top=typed, bottom=None).worked_out


def test_calf_is_never_trusted_overnight(desk: Desk) -> None:
    drum = add_drum(
        desk,
        {
            "name": "Old field drum",
            "diameter_in": 14,
            "heads": [{"id": "top-1", "side": "top", "on": "2026-01-02", "material": "calf"}],
        },
    ).id
    name = add_preset(desk, drum, {"name": "March", "top": {"pitch": "E3"}, "bottom": {"pitch": "A3"}}).id
    advice = retune(desk, name, top="E3-50", bottom="A3")

    assert any("Calf" in remark for remark in advice.remarks)


def test_a_stiff_head_that_is_out_is_never_told_to_stay(desk: Desk, with_drum: Put) -> None:
    """Where the exact turn would round to nothing, the smallest step is advised: a hair."""
    name = with_drum(tolerance_cents=2.0)
    advice = retune(desk, name, top="A3-3", bottom="D4")

    assert advice.top is not None
    assert (advice.top.amount, advice.top.shown) == (1 / 32, "+a hair")


def test_a_head_that_is_in_tune_and_stays_so_is_left_alone(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(), top="A3-5", bottom="D4-60")

    assert advice.top is not None
    assert advice.top.amount == 0
    assert advice.bottom is not None
    assert advice.bottom.amount > 0
    assert retune(desk, "concert-snare/dry-etude", top="A3+9", bottom=None).first is None


def test_where_the_interval_alone_is_out_a_head_is_turned(desk: Desk, with_drum: Put) -> None:
    advice = retune(desk, with_drum(interval_decides=True), top="A3+9", bottom="D4-9")

    assert advice.comparison.within is False
    assert advice.first is not None


def test_one_rod_for_both_heads_gives_one_amount(desk: Desk, with_drum: Put) -> None:
    """In single tension both heads get one turn, and the forecast moves both, also with one head read."""
    name = with_drum(tension="single")
    both = retune(desk, name, top="A3-60", bottom="D4-30")
    one = retune(desk, name, top="A3-60", bottom=None)

    assert both.top is not None
    assert both.bottom is not None
    assert both.top.amount == both.bottom.amount > 0
    assert one.top is not None
    assert one.top.amount > 0
    assert one.expect is not None
    assert one.expect.top_hz == pytest.approx(220, rel=0.02)


def test_readings_had_in_another_way_do_not_teach(desk: Desk, with_drum: Put) -> None:
    """A stroke at the centre sounds another mode: it stands in the logbook, and says nothing of the rim."""
    name = with_drum()
    at_drum = bench.sit_down(desk, name)
    before = retune(desk, name, top="A3-60", bottom="D4")
    bench.read(desk, bench.read(desk, at_drum, "top", "E3", struck="centre"), "bottom", "A3", struck="centre")
    after = retune(desk, name, top="A3-60", bottom="D4")

    assert len(desk.library.log("concert-snare").entries) == 2
    assert (after.top, after.bottom) == (before.top, before.bottom)


def test_in_single_tension_a_head_in_tune_is_left_alone(desk: Desk, with_drum: Put) -> None:
    assert retune(desk, with_drum(tension="single"), top="A3+8", bottom=None).first is None


def test_a_new_head_leaves_what_is_known_of_the_other(desk: Desk, with_drum: Put) -> None:
    """The bottom head's advice rests on its own entries still; the new top head is a wide guess again."""
    name = with_drum()
    for top, bottom in (("A3-80", "D4-80"), ("A3-40", "D4-40")):
        at_drum = bench.read(desk, bench.sit_down(desk, name), "bottom", bottom)
        at_drum = bench.read(desk, at_drum, "top", top)
        while at_drum.next_side is not None:
            at_drum = turning_rods.begin(at_drum, at_drum.next_side)
            while at_drum.round is not None:
                at_drum = turning_rods.all_done(desk, at_drum)
    before = retune(desk, name, top="A3-60", bottom="D4-60")
    add_head(desk, "concert-snare", "top", {})
    after = retune(desk, name, top="A3-60", bottom="D4-60")

    assert before.bottom is not None
    assert after.bottom is not None
    assert after.top is not None
    assert after.bottom.entries == before.bottom.entries
    assert after.bottom.sd == pytest.approx(before.bottom.sd, rel=0.2)
    assert after.top.entries == ()
    assert "no entries" in after.top.basis


def test_a_rough_reading_against_the_logbook_turns_nothing(desk: Desk, with_drum: Put) -> None:
    """By ear a head is sharp that the meter wrote down as flat: it is said, and no way is chosen."""
    name = with_drum(tolerance_cents=10.0)
    at_drum = bench.sit_down(desk, name)
    for _ in range(4):
        at_drum = bench.read(desk, at_drum, "top", "219 Hz")
    advice = retune(desk, name, top="A3 high side", bottom=None)

    assert advice.comparison.top is not None
    assert advice.comparison.top.word == "sharp"
    assert advice.first is None
    assert any("disagree on which way" in remark for remark in advice.remarks)


@pytest.mark.parametrize(("top", "by"), [("A3+10", "typed"), ("A3 high side", "ear"), ("A3 low side", "ear")])
def test_a_head_read_alone_and_in_tune_is_never_turned(
    desk: Desk, with_drum: Put, top: str, by: Literal["ear", "typed"]
) -> None:
    advice = retune(desk, with_drum(), top=top, bottom=None, by=by)

    assert advice.comparison.top is not None
    assert advice.comparison.top.word == "in tune"
    assert advice.first is None
