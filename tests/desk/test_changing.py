"""Silent changes: from one preset of a drum to another by turns alone."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.changes import Change
from lugbook.desk.changing import change
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import with_counts, write
from lugbook.desk.keeping import add_drum, add_preset, edit_drum, edit_preset
from lugbook.errors import NotFound
from lugbook.records import PerHead

HZ = {"top": (220.0, 22_000.0), "bottom": (330.0, 34_000.0)}
"""Pitch at 0 in Hz and Hz² a turn of a drum whose heads do not pull at each other."""


class Ticking(Protocol):
    def forward(self, **by: float) -> None: ...


def sounding(position: PerHead, *, off_cents: float = 0.0) -> dict[str, Any]:
    """The readings of both heads at a position."""
    found: dict[str, Any] = {}
    for side, turns in (("top", position.top or 0.0), ("bottom", position.bottom or 0.0)):
        hz0, slope = HZ[side]
        hz = (hz0**2 + slope * turns) ** 0.5 * 2 ** (off_cents / 1200)
        found[side] = {"pitch": f"{hz:.3f} Hz", "by": "recording", "sd_cents": 3.0}
    return found


@dataclass
class Snare:
    """A drum with a logbook: it is moved by hand, read, and kept as presets."""

    desk: Desk
    id: str
    clock: Ticking

    def move(self, top: float, bottom: float, *, read: bool = True, off_cents: float = 0.0) -> None:
        """Turn to a position and read both heads, a quarter of an hour after the last time."""
        self.clock.forward(minutes=15)
        drum = self.desk.library.drum(self.id).record
        after = PerHead(top=top, bottom=bottom)
        readings = sounding(after, off_cents=off_cents) if read else {}
        write(self.desk, self.id, drum, {"kind": "turn", **readings}, position=after)

    def keep(self, name: str, top: float, bottom: float, **more: object) -> str:
        """Keep a preset at a position, with the pitches that it sounds there."""
        drum = self.desk.library.drum(self.id).record
        turns: dict[str, object] = {}
        for side, amount in (("top", top), ("bottom", bottom)):
            count = drum.count_of("top" if side == "top" else "bottom")
            assert count is not None
            turns[side] = {"amount": amount, "count": count.id}
        values = {
            "name": name,
            "turns": turns,
            "made": self.desk.now(),
            **sounding(PerHead(top=top, bottom=bottom)),
            **more,
        }
        return add_preset(self.desk, self.id, values).id


@pytest.fixture
def snare(desk: Desk, clock: Ticking) -> Snare:
    """A drum of ten rods, turned to and fro and read twelve times today, standing at low/low, read."""
    drum_id = add_drum(desk, {"name": "Snare", "diameter_in": 14}).id
    stored = desk.library.drum(drum_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    snare = Snare(desk, drum_id, clock)
    for top, bottom in [(0, 0), (0.25, 0), (0.25, 0.25), (0, 0.25), (0, 0), (0.25, 0)] * 2:
        snare.move(top, bottom)
    snare.move(0, 0)
    return snare


@pytest.fixture
def low(snare: Snare) -> str:
    return snare.keep("Low", 0.0, 0.0, snares={"words": "loose"})


@pytest.fixture
def high(snare: Snare) -> str:
    return snare.keep("High", 0.25, 0.25, snares={"words": "tight", "values": {"knob": 3.5}})


def amounts(found: Change) -> tuple[float | None, float | None]:
    return (
        found.top.amount if found.top is not None else None,
        found.bottom.amount if found.bottom is not None else None,
    )


def test_the_turns_are_the_difference_of_the_positions(desk: Desk, low: str, high: str) -> None:
    """A quarter up on both heads, a quarter down on the way back, each to the grain."""
    up, down = change(desk, low, high), change(desk, high, low)

    assert amounts(up) == (0.25, 0.25)
    assert amounts(down) == (-0.25, -0.25)
    assert up.top is not None
    assert up.top.shown == "+¼"


def test_seven_quarters_up_are_one_and_three_quarter_turns(desk: Desk, snare: Snare, low: str) -> None:
    """Common practice, no source: turns are counted in quarters of the key on all rods."""
    far = snare.keep("Far", 1.75, 0.0)
    found = change(desk, low, far)

    assert amounts(found) == (1.75, 0.0)
    assert found.top is not None
    assert found.top.shown == "+1¾"
    assert found.first == "top"


def test_the_steps_go_bottom_first_and_end_with_the_strainer(desk: Desk, low: str, high: str) -> None:
    """Nobody taps: the drum is turned over once, and the setting of the second preset is where to begin."""
    steps = change(desk, low, high).steps

    assert "strainer off" in steps[0]
    assert steps[1].startswith("Bottom head: tighten every rod by ¼")
    assert steps[3].startswith("Top head: tighten every rod by ¼")
    assert steps[-1] == (
        "Set the strainer: tight; knob 3.5. After a bottom turn that is only where to begin."
    )
    assert not any("tap" in step for step in steps)


def test_loosening_goes_below_and_comes_back_up(desk: Desk, low: str, high: str) -> None:
    steps = change(desk, high, low).steps

    assert any("loosen every rod by ⅜" in step for step in steps)
    assert any("come back up by ⅛" in step for step in steps)


def test_the_seconds_are_those_of_the_players_pace(desk: Desk, low: str, high: str) -> None:
    """Up: 20 rods at 3 s, over and back at 15 s, strainer off and set at 5 s. Down: two passes of each."""
    assert change(desk, low, high).seconds == 20 * 3 + 2 * 15 + 2 * 5
    assert change(desk, high, low).seconds == 40 * 3 + 2 * 15 + 2 * 5


def test_a_quicker_player_needs_less_time(snare: Snare, low: str, high: str) -> None:
    quick = snare.desk.user.model_copy(update={"pace": 1.5, "turn_over_s": 10.0})
    desk = Desk(
        library=snare.desk.library,
        user=quick,
        user_folder=snare.desk.user_folder,
        clock=snare.desk.clock,
        sound=snare.desk.sound,
    )

    assert change(desk, low, high).seconds == 20 * 1.5 + 2 * 10 + 2 * 5


def test_a_drum_that_was_read_today_is_trusted(desk: Desk, low: str, high: str) -> None:
    """Thirteen entries of this evening, returns that landed well, and the drum stands in the first preset."""
    found = change(desk, low, high)

    assert found.refused is None
    assert found.landings is not None
    assert found.landings.returns > 4
    assert found.error_cents is not None
    assert 0 < found.error_cents <= 10
    assert found.why_not_trusted == ()
    assert found.trusted
    assert found.chance is not None
    assert found.chance >= 2 / 3
    for side in ("top", "bottom"):
        assert found.landings.of(side).hz == pytest.approx(
            (HZ[side][0] ** 2 + HZ[side][1] * 0.25) ** 0.5, rel=5e-3
        )


def test_weeks_later_it_is_not_trusted_and_the_error_is_larger(
    desk: Desk, clock: Ticking, low: str, high: str
) -> None:
    before = change(desk, low, high)
    clock.forward(days=21)
    after = change(desk, low, high)

    assert before.error_cents is not None
    assert after.error_cents is not None
    assert after.error_cents > before.error_cents
    assert not after.trusted
    assert any("past the tolerance of 10 cents" in why for why in after.why_not_trusted)


def test_returns_that_scatter_widen_the_expected_error(desk: Desk, snare: Snare, low: str, high: str) -> None:
    """The same turns, but the hand came back 25 cents off one way and the other: that is believed."""
    calm = change(desk, low, high)
    for off in (25.0, -25.0, 25.0, -25.0):
        snare.move(0.25, 0.25, off_cents=off)
        snare.move(0.0, 0.0, off_cents=-off)
    snare.move(0.0, 0.0)
    wild = change(desk, low, high)

    assert calm.error_cents is not None
    assert wild.error_cents is not None
    assert wild.error_cents > 1.5 * calm.error_cents


def test_a_drum_that_is_surely_off_is_said_to_be_measured_first(
    desk: Desk, snare: Snare, clock: Ticking, low: str, high: str
) -> None:
    """A damp hall: both heads read 40 cents flat where they stand; turns alone would carry that along."""
    clock.forward(days=5)
    snare.move(0.0, 0.0, off_cents=-40.0)
    found = change(desk, low, high)

    assert not found.trusted
    assert any(
        "top head is expected to land" in one and "flat" in one and "Measure" in one for one in found.remarks
    )


def test_without_entries_the_slope_is_a_guess_and_not_trusted(desk: Desk, clock: Ticking) -> None:
    """Two presets from a notebook, with turns and pitches: the turns are told, and are not trusted."""
    drum_id = add_drum(desk, {"name": "Snare", "diameter_in": 14}).id
    stored = desk.library.drum(drum_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    snare = Snare(desk, drum_id, clock)
    low, high = snare.keep("Low", 0.0, 0.0), snare.keep("High", 0.5, 0.25)
    found = change(desk, low, high)

    assert amounts(found) == (0.5, 0.25)
    assert not found.trusted
    assert found.error_cents is not None
    assert found.error_cents < 100, "the presets' own pitches are known, if nothing else is"
    assert any("No entry of the logbook says" in why for why in found.why_not_trusted)


def test_the_same_preset_twice_is_nothing_to_do(desk: Desk, low: str) -> None:
    found = change(desk, low, low)

    assert found.refused is None
    assert amounts(found) == (0.0, 0.0)
    assert found.steps == ()
    assert found.seconds == 0


def test_a_drum_that_stands_elsewhere_gets_its_own_turns_beside(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    """The logbook puts it a quarter higher than the first preset: said, counted from there, not trusted."""
    snare.move(0.25, 0.0)
    found = change(desk, low, high)

    assert amounts(found) == (0.25, 0.25)
    assert found.from_here == {"top": 0.0, "bottom": 0.25}
    assert not found.trusted
    assert any("stands at ¼ turn, not at 0 turns as in Low" in remark for remark in found.remarks)
    assert any("From where it stands" in remark for remark in found.remarks)


def test_a_new_count_since_refuses_and_names_head_and_day(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    add_head(desk, snare.id, "top", {"film_mil": 10.0})
    found = change(desk, low, high)

    assert found.refused is not None
    assert "top head" in found.refused
    assert "25 November 2026" in found.refused
    assert f"lugbook retune {high}" in found.refused
    assert amounts(found) == (None, None)
    assert not found.trusted


def test_a_head_that_was_changed_without_a_count_refuses_too(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    """Files edited by hand: the head on now went on after the presets were kept."""
    heads = ({"id": "top-9", "side": "top", "on": date(2026, 12, 24)},)
    edit_drum(desk, snare.id, {"heads": heads})
    found = change(desk, low, high)

    assert found.refused is not None
    assert "another head since 24 December 2026" in found.refused


def test_a_preset_without_turns_refuses(desk: Desk, snare: Snare, low: str) -> None:
    bare = add_preset(desk, snare.id, {"name": "Bare", "top": {"pitch": "A3"}}).id

    for one, other in ((low, bare), (bare, low)):
        found = change(desk, one, other)
        assert found.refused is not None
        assert "keeps no turns of either head" in found.refused


def test_half_the_turns_are_not_enough(desk: Desk, snare: Snare, low: str) -> None:
    half = snare.keep("Half", 0.25, 0.0)
    stored = desk.library.preset(half)
    turns = stored.record.turns.model_copy(update={"bottom": None})
    desk.library.save_preset(stored, stored.record.model_copy(update={"turns": turns}))
    found = change(desk, low, half)

    assert found.refused is not None
    assert "keeps no turns of the bottom head" in found.refused


def test_two_drums_refuse(desk: Desk, clock: Ticking, low: str) -> None:
    other_id = add_drum(desk, {"name": "Other", "diameter_in": 13}).id
    stored = desk.library.drum(other_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    other = Snare(desk, other_id, clock).keep("March", 0.0, 0.0)
    found = change(desk, low, other)

    assert found.refused is not None
    assert "two drums" in found.refused


def test_a_preset_that_is_not_there_is_not_found(desk: Desk, low: str) -> None:
    with pytest.raises(NotFound):
        change(desk, low, "snare/nowhere")


@pytest.mark.parametrize("sides", [("top",), ("bottom",), ("top", "bottom")])
def test_calf_is_never_changed_silently(
    desk: Desk, snare: Snare, low: str, high: str, sides: tuple[str, ...]
) -> None:
    heads = tuple(
        {"id": f"{side}-9", "side": side, "on": date(2026, 11, 1), "material": "calf"} for side in sides
    )
    edit_drum(desk, snare.id, {"heads": heads})
    found = change(desk, low, high)

    assert found.refused is not None
    assert "calf" in found.refused
    assert change(desk, low, low).refused is None, "nothing to do is no change"


def test_rope_has_no_rods_to_turn(desk: Desk) -> None:
    drum_id = add_drum(desk, {"name": "March", "diameter_in": 15, "tension": "rope"}).id
    one, other = (add_preset(desk, drum_id, {"name": name, "top": {"pitch": "E3"}}).id for name in "ab")
    found = change(desk, one, other)

    assert found.refused is not None
    assert "rope" in found.refused
    assert change(desk, one, one).refused == found.refused


def test_a_round_part_way_is_finished_first(desk: Desk, snare: Snare, low: str, high: str) -> None:
    at_drum = bench.read(desk, bench.sit_down(desk, high), "top", "220.0")
    at_drum = turning_rods.begin(at_drum, "top")
    turning_rods.rod_done(desk, at_drum)
    found = change(desk, low, high)

    assert found.refused is not None
    assert "stopped part-way" in found.refused
    assert snare.id in low


def test_past_a_limit_where_the_preset_itself_stands_is_a_caution(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    edit_drum(desk, snare.id, {"top": {"turns_max": 0.125}})
    found = change(desk, low, high)

    assert found.refused is None
    assert any(caution.past_limit for caution in found.cautions)
    assert any("past its limit of ⅛" in remark for remark in found.remarks)


def test_past_a_limit_that_the_preset_keeps_is_refused(desk: Desk, snare: Snare, low: str, high: str) -> None:
    """The logbook puts the drum higher than the first preset: these turns would go past the limit."""
    snare.move(0.25, 0.0)
    edit_drum(desk, snare.id, {"top": {"turns_max": 0.375}})
    found = change(desk, low, high)

    assert found.refused is not None
    assert "past its limit of ⅜ turn" in found.refused
    assert found.from_here == {"top": 0.0, "bottom": 0.25}


def test_a_pitch_past_its_limit_is_refused_unless_the_preset_is_meant_so(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    """The top sounds some 231.9 Hz at the second preset, and 235 Hz two weeks in a hot hall later."""
    edit_drum(desk, snare.id, {"top": {"hz_max": 233.0}})
    assert change(desk, low, high).refused is None
    snare.move(0.0, 0.0, off_cents=25.0)
    found = change(desk, low, high)

    assert found.refused is not None
    assert "limit of 233 Hz" in found.refused
    edit_drum(desk, snare.id, {"top": {"hz_max": 225.0}})
    assert change(desk, low, high).refused is None


def test_bottom_rods_out_of_reach_leave_the_top_alone_and_say_how_far_off(
    desk: Desk, snare: Snare, low: str, high: str
) -> None:
    """A quarter of 34 000 Hz² a turn at 330 Hz is 66 cents: so far is the bottom left flat."""
    edit_drum(desk, snare.id, {"bottom": {"reached_on_stand": False}})
    found = change(desk, low, high)

    assert amounts(found) == (0.25, None)
    assert found.first == "top"
    assert not found.trusted
    (said,) = [one for one in found.remarks if "does not reach" in one]
    assert "65 cents flat" in said or "66 cents flat" in said or "64 cents flat" in said
    assert "--off-stand" in said
    assert found.landings is not None
    assert found.landings.bottom.error_cents is not None
    assert found.landings.bottom.error_cents > 50
    assert amounts(change(desk, low, high, off_stand=True)) == (0.25, 0.25)


def test_where_only_rods_out_of_reach_would_move_it_is_refused(desk: Desk, snare: Snare, low: str) -> None:
    edit_drum(desk, snare.id, {"bottom": {"reached_on_stand": False}})
    below = snare.keep("Below", 0.0, 0.25)
    found = change(desk, low, below)

    assert found.refused is not None
    assert "--off-stand" in found.refused
    assert change(desk, low, below, off_stand=True).refused is None


def test_a_single_rod_turned_since_is_not_trusted(desk: Desk, snare: Snare, low: str, high: str) -> None:
    drum = desk.library.drum(snare.id).record
    snare.clock.forward(minutes=5)
    write(desk, snare.id, drum, {"kind": "touch-up", "touch_up": {"head": "top", "rod": 3, "amount": 0.125}})
    found = change(desk, low, high)

    assert not found.trusted
    assert any("Single rods of the top head" in why for why in found.why_not_trusted)


def test_a_target_that_cannot_be_compared_is_not_trusted(desk: Desk, snare: Snare, low: str) -> None:
    """Without a pitch of the bottom head nobody can say how far off it lands."""
    silent = snare.keep("No bottom", 0.25, 0.25)
    stored = desk.library.preset(silent)
    desk.library.save_preset(stored, stored.record.model_copy(update={"bottom": None}))
    found = change(desk, low, silent)

    assert found.error_cents is None
    assert found.chance is None
    assert any("bottom head lands" in why for why in found.why_not_trusted)


def test_a_target_without_octave_is_compared_with_the_nearest(desk: Desk, snare: Snare, low: str) -> None:
    bare = snare.keep("Names", 0.0, 0.0)
    edit_preset(desk, bare, {"top": {"pitch": "A"}, "bottom": {"pitch": "E"}})
    found = change(desk, low, bare)

    assert found.landings is not None
    assert found.landings.top.bias_cents == pytest.approx(0.0, abs=5.0)
    assert found.error_cents is not None


def test_where_the_interval_decides_its_error_counts_too(desk: Desk, snare: Snare, low: str) -> None:
    """Two errors of some 5 cents make more than 6 of the interval between them."""
    kept = snare.keep("Fifth", 0.25, 0.25, tolerance_cents=6.0)
    plain = change(desk, low, kept)
    edit_preset(desk, kept, {"interval_decides": True})
    decides = change(desk, low, kept)

    assert plain.landings is not None
    assert plain.landings.interval_error_cents is not None
    assert plain.error_cents is not None
    assert plain.error_cents < 6 < plain.landings.interval_error_cents
    assert not any("interval" in why for why in plain.why_not_trusted)
    assert any("interval, which decides here" in why for why in decides.why_not_trusted)


def test_single_tension_turns_one_count_for_both(desk: Desk, clock: Ticking) -> None:
    """One rod pulls both heads: one turn, one pass over the rods, the drum is not turned over."""
    drum_id = add_drum(desk, {"name": "Old", "diameter_in": 14, "tension": "single"}).id
    stored = desk.library.drum(drum_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    old = Snare(desk, drum_id, clock)
    for turns in (0.0, 0.25, 0.0, 0.25, 0.0):
        old.move(turns, turns)
    low, high = old.keep("Low", 0.0, 0.0), old.keep("High", 0.25, 0.25)
    stored_high = desk.library.preset(high)
    one = stored_high.record.turns.model_copy(update={"bottom": None})
    desk.library.save_preset(stored_high, stored_high.record.model_copy(update={"turns": one}))
    found = change(desk, low, high)

    assert found.refused is None
    assert found.single
    assert amounts(found) == (0.25, 0.25)
    assert found.first == "top"
    assert found.seconds == 10 * 3 + 5
    assert sum("every rod" in step for step in found.steps) == 1


def test_rods_of_single_tension_out_of_reach_are_refused(desk: Desk, clock: Ticking) -> None:
    drum_id = add_drum(
        desk,
        {"name": "Old", "diameter_in": 14, "tension": "single", "top": {"reached_on_stand": False}},
    ).id
    stored = desk.library.drum(drum_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    old = Snare(desk, drum_id, clock)
    low, high = old.keep("Low", 0.0, 0.0), old.keep("High", 0.25, 0.25)
    refused = change(desk, low, high)

    assert refused.refused is not None
    assert refused.refused.startswith("On the stand a key does not reach the rods.")
    lifted = change(desk, low, high, off_stand=True)
    assert lifted.refused is None
    assert sum("where the rods stand" in why for why in lifted.why_not_trusted) == 1


def test_where_a_head_would_be_slack_nothing_is_promised(desk: Desk, snare: Snare, low: str) -> None:
    """Four turns down there is no tension left by the slope that was learned."""
    slack = snare.keep("Slack", 0.25, 0.25)
    stored = desk.library.preset(slack)
    top = stored.record.turns.top
    assert top is not None
    turns = stored.record.turns.model_copy(update={"top": top.model_copy(update={"amount": -4.0})})
    desk.library.save_preset(stored, stored.record.model_copy(update={"turns": turns}))
    found = change(desk, low, slack)

    assert found.refused is None
    assert found.error_cents is None
    assert any("it would be slack" in why for why in found.why_not_trusted)


def test_an_absurd_height_is_no_promise_either(desk: Desk, clock: Ticking) -> None:
    """Sixty-four turns up on a 6 in drum lie above every pitch a head has; the answer stays finite."""
    drum_id = add_drum(desk, {"name": "Toy", "diameter_in": 6}).id
    stored = desk.library.drum(drum_id)
    desk.library.save_drum(stored, with_counts(desk, stored.record))
    toy = Snare(desk, drum_id, clock)
    low = toy.keep("Low", 0.0, 0.0)
    high = toy.keep("High", 64.0, 64.0)
    stored_high = desk.library.preset(high)
    bare = stored_high.record.model_copy(update={"made": None})
    desk.library.save_preset(stored_high, bare)
    found = change(desk, low, high)

    assert found.refused is None
    assert not found.trusted
    assert found.error_cents is None or found.error_cents < 1e6


GRAINS = st.integers(-64, 64).map(lambda grains: grains / 64)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.tuples(GRAINS, GRAINS), st.tuples(GRAINS, GRAINS), st.tuples(GRAINS, GRAINS))
def test_changes_add_up(
    snare: Snare, a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]
) -> None:
    """There is minus back, two changes are the change over both, and the position after is the preset's."""
    names = [snare.keep("P", *position) for position in (a, b, c)]

    def turns(one: int, other: int) -> tuple[float, float]:
        found = change(snare.desk, names[one], names[other])
        assert found.refused is None
        top, bottom = amounts(found)
        assert top is not None
        assert bottom is not None
        assert (top * 64).is_integer()
        return top, bottom

    there, back, on, over = turns(0, 1), turns(1, 0), turns(1, 2), turns(0, 2)
    assert there == (-back[0], -back[1])
    assert (there[0] + on[0], there[1] + on[1]) == over
    assert (a[0] + there[0], a[1] + there[1]) == b
