"""A new head: what is void, the first turns by the old head, and the slope that carries over."""

from collections.abc import Callable
from datetime import date

import pytest

from lugbook.desk import Desk
from lugbook.desk.fitting import remove_head
from lugbook.desk.head_history import first_head
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_preset, edit_drum, position_values
from lugbook.desk.responses import learned_of
from lugbook.desk.retuning import retune
from lugbook.desk.seating import STOP_SHORT_TURNS, Fitted, fit
from lugbook.errors import BadValue
from lugbook.records import PerHead
from lugbook.turns.prior import STUFF

DRUM = "concert-snare"
Put = Callable[..., str]


def preset_at(desk: Desk, name: str, top: float) -> None:
    """Keep a preset with the top head so many turns from its reference."""
    drum = desk.library.drum(DRUM).record
    turns = {"top": position_values(drum, "top", top)}
    add_preset(desk, DRUM, {"name": name, "top": {"pitch": "B3"}, "turns": turns})


def first(fitted: Fitted, preset: str) -> float | None:
    """The first turns of one preset."""
    return next(row.amount for row in fitted.presets if row.preset == f"{DRUM}/{preset}")


def test_the_first_turns_stop_short_of_where_the_old_head_stood(desk: Desk, with_drum: Put) -> None:
    with_drum()
    fit(desk, DRUM, "top", {"on": date(2026, 5, 3)}, reference="finger tight, then one turn")
    preset_at(desk, "High", 1.75)
    preset_at(desk, "Low", 0.125)
    preset_at(desk, "Slack", -0.5)

    fitted = fit(desk, DRUM, "top", {})

    assert fitted.count is not None
    assert fitted.count.reference == "finger tight, then one turn"
    assert first(fitted, "high") == 1.75 - STOP_SHORT_TURNS
    assert first(fitted, "low") == 0.0
    assert first(fitted, "slack") is None
    assert first(fitted, "dry-etude") is None, "its turns were never counted"
    assert fitted.void == (f"{DRUM}/high", f"{DRUM}/low", f"{DRUM}/slack")
    assert all("common practice" not in reminder for reminder in fitted.reminders)
    assert any(remark.startswith("Caution") for remark in fitted.remarks)
    assert [head.off for head in desk.library.drum(DRUM).record.heads] == [date(2026, 11, 25), None]


def test_another_reference_says_nothing_about_the_first_turns(desk: Desk, with_drum: Put) -> None:
    with_drum()
    fit(desk, DRUM, "top", {"on": date(2026, 5, 3)}, reference="finger tight")
    preset_at(desk, "High", 1.75)
    fitted = fit(desk, DRUM, "top", {}, reference="a fifth below")
    assert first(fitted, "high") is None
    assert "counted from finger tight" in fitted.presets[-1].basis


def test_the_slope_of_the_old_head_carries_over_wider(desk: Desk, with_drum: Put) -> None:
    """Turns of the new head are worked out from its first reading and the old head's slope."""
    with_drum(top="B3")
    for turns, hz in ((0.0, 200.0), (0.25, 212.0), (0.5, 223.0), (0.75, 234.0)):
        kind = {"kind": "turn", "turn": {"top": 0.25}} if turns else {"kind": "reading"}
        heard = {"top": {"pitch": f"{hz} Hz", "by": "recording", "sd_cents": 3.0}}
        drum = desk.library.drum(DRUM).record
        write(desk, DRUM, drum, {**kind, **heard}, position=PerHead(top=turns, bottom=0.0))
    old = learned_of(desk, DRUM)
    slope, sd = old.response.cents_per_turn("top", hz=234.0, position=old.here, day=old.day)

    fit(desk, DRUM, "top", {"film_mil": 10.0})
    new = learned_of(desk, DRUM).with_reading({})
    after = retune(desk, f"{DRUM}/dry-etude", top="220 Hz", bottom=None)

    assert new.response.state.priors[0].cents_per_turn == pytest.approx(slope, rel=0.1)
    assert new.response.state.priors[0].cents_per_turn_sd > sd
    assert after.top is not None
    assert 0 < after.top.amount < 2
    assert after.top.basis.startswith("no entries")
    assert "head before it" in after.top.basis


def test_single_tension_voids_both(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    fitted = fit(desk, DRUM, "top", {})
    assert any("other head are void too" in remark for remark in fitted.remarks)
    assert not any("this head alone" in line for line in fitted.lines())
    assert fitted.count is not None
    assert fitted.count.side == "both"


def test_rope_keeps_pitches_and_counts_nothing(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="rope")
    fitted = fit(desk, DRUM, "bottom", {"material": "calf"})
    assert fitted.count is None
    assert fitted.reminders == ()
    assert any("rope" in remark for remark in fitted.remarks)
    assert any("Calf" in remark for remark in fitted.remarks)
    assert not any("rod" in remark for remark in fitted.remarks)


def test_a_head_before_the_one_that_is_on_is_refused(desk: Desk, with_drum: Put) -> None:
    with_drum()
    fit(desk, DRUM, "top", {"on": date(2026, 5, 3)})
    with pytest.raises(BadValue, match="before the present one"):
        fit(desk, DRUM, "top", {"on": date(2026, 5, 2)})


def test_a_head_of_tomorrow_is_refused(desk: Desk, with_drum: Put) -> None:
    """The clock of the desk stands on 25 November 2026."""
    with_drum()
    with pytest.raises(BadValue, match="still to come"):
        fit(desk, DRUM, "top", {"on": date(2026, 11, 26)})
    assert desk.library.drum(DRUM).record.heads == ()


def test_another_material_says_nothing_about_the_first_turns(desk: Desk, with_drum: Put) -> None:
    with_drum()
    fit(desk, DRUM, "top", {"on": date(2026, 5, 3)}, reference="finger tight")
    preset_at(desk, "High", 1.75)
    fitted = fit(desk, DRUM, "top", {"material": "calf"})

    assert first(fitted, "high") is None
    assert "the head before was film, this one is calf" in fitted.presets[-1].basis


def test_a_head_typed_a_day_late_is_a_new_head_all_the_same(desk: Desk, with_drum: Put) -> None:
    """Its count tells which head it began with; by their days they would not be told to belong together."""
    with_drum()
    drum = desk.library.drum(DRUM).record
    for top, hz in ((0.0, 220.0), (0.25, 228.5)):
        read = {"kind": "reading", "top": {"pitch": f"{hz} Hz", "by": "recording"}}
        write(desk, DRUM, drum, read, position=PerHead(top=top, bottom=0.0))
    fit(desk, DRUM, "top", {"on": date(2026, 11, 24), "material": "calf"})
    learned = learned_of(desk, DRUM)

    assert not learned.earlier["top"].same_head
    assert learned.response.heard == (False, False)
    assert learned.response.state.priors[0].stuff.rest_cents == STUFF["calf"].rest_cents
    assert desk.library.drum(DRUM).record.counts[-1].head == "top-1"


def test_the_head_before_the_first_count_is_not_the_one_put_on_since(desk: Desk, with_drum: Put) -> None:
    """Nobody wrote down what was on at first; the calf of today says nothing of last week's film."""
    with_drum()
    drum = desk.library.drum(DRUM).record
    write(desk, DRUM, drum, {"kind": "reading", "top": {"pitch": "220 Hz", "by": "recording"}})
    fit(desk, DRUM, "bottom", {"material": "calf"})

    assert first_head(desk.library.drum(DRUM).record, "bottom", day=30_000.0) is None


def test_in_single_tension_removing_one_head_keeps_the_others_count(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    top = fit(desk, DRUM, "top", {}).head
    fit(desk, DRUM, "bottom", {})
    remove_head(desk, DRUM, top.id)

    running = desk.library.drum(DRUM).record.count_of("bottom")
    assert running is not None
    assert running.head == "bottom-1"


def test_two_heads_in_a_day_are_two_heads(desk: Desk, with_drum: Put) -> None:
    with_drum()
    heads = [fit(desk, DRUM, "top", {}).head.id for _ in range(2)]
    assert heads == ["top-1", "top-2"]


def test_the_round_that_was_open_ends_with_the_head(desk: Desk, with_drum: Put) -> None:
    with_drum()
    edit_drum(desk, DRUM, {"note": "with a count"})
    drum = desk.library.drum(DRUM).record
    half = {"head": "top", "amount": 0.25, "rods_done": "1 6"}
    write(desk, DRUM, drum, {"kind": "round", "round": half})
    assert any("stopped part-way ends" in remark for remark in fit(desk, DRUM, "top", {}).remarks)
