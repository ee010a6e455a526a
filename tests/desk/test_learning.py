"""What a logbook teaches: touch-ups of single rods, older counts, and the head before."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_drum
from lugbook.desk.recounting import recount
from lugbook.desk.responses import learned_of
from lugbook.desk.retuning import retune
from lugbook.records import PerHead

DRUM = "concert-snare"
Put = Callable[..., str]


Fields = dict[str, object]


def log(desk: Desk, top: float, hz: float | None = None, fields: Fields | None = None) -> None:
    """Write an entry with the top head at a position, and read if a pitch is given."""
    heard = {"top": {"pitch": f"{hz} Hz", "by": "recording", "sd_cents": 3.0}} if hz else {}
    what = {"kind": "reading"} if fields is None else fields
    drum = desk.library.drum(DRUM).record
    write(desk, DRUM, drum, {**what, **heard}, position=PerHead(top=top, bottom=0.0))


def touch_up(rod: int, amount: float, head: str = "top") -> Fields:
    """The fields of an entry that one rod was turned."""
    return {"kind": "touch-up", "touch_up": {"head": head, "rod": rod, "amount": amount}}


def test_a_rod_counts_as_its_share_of_all_rods(desk: Desk, with_drum: Put) -> None:
    with_drum()
    log(desk, 0.25, 220.0)
    log(desk, 0.25, None, touch_up(3, 1 / 8))
    log(desk, 0.25, None, touch_up(8, 1 / 8))
    assert learned_of(desk, DRUM).here == (0.25 + 2 / 8 / 10, 0.0)


def test_touching_up_every_rod_is_turning_the_head(desk: Desk, with_drum: Put) -> None:
    """Ten rods by an eighth each are an eighth of all rods, and teach what that teaches."""
    with_drum()
    log(desk, 0.0, 220.0)
    for rod in range(1, 11):
        log(desk, 0.0, 226.0 if rod == 10 else None, touch_up(rod, 1 / 8))
    learned = learned_of(desk, DRUM)
    slope = learned.response.cents_per_turn("top", hz=226.0, position=learned.here, day=learned.day)[0]
    assert learned.here[0] == pytest.approx(1 / 8)
    # 46.6 cents an eighth are 373 a turn; the belief before it was 300.
    assert 310 < slope < 375


def test_a_new_count_forgets_touch_ups(desk: Desk, with_drum: Put) -> None:
    with_drum()
    log(desk, 0.25, 220.0)
    log(desk, 0.25, None, touch_up(3, 1 / 8))
    recount(desk, DRUM, "top")
    assert learned_of(desk, DRUM).here == (0.0, 0.0)


def test_in_single_tension_a_rod_moves_both_heads(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    drum = desk.library.drum(DRUM).record
    write(desk, DRUM, drum, touch_up(1, 1 / 4))
    assert learned_of(desk, DRUM).here == pytest.approx((0.025, 0.025))


def test_after_a_lost_count_the_slope_of_the_older_one_is_used_and_said(desk: Desk, with_drum: Put) -> None:
    name = with_drum(top="B3")
    for step in range(6):
        log(desk, step / 4, 200.0 + 11 * step)
    recount(desk, DRUM, "top")
    turn = retune(desk, name, top="230 Hz", bottom=None).top
    assert turn is not None
    assert turn.entries == ()
    assert "this head in an older count" in turn.basis
    assert turn.sd < 0.15 * turn.amount + 0.05


def test_a_count_lost_on_a_new_head_is_that_heads_own(desk: Desk, with_drum: Put) -> None:
    name = with_drum(top="B3")
    log(desk, 0.0, 215.0)
    add_head(desk, DRUM, "top", {})
    for step in range(4):
        log(desk, step / 4, 200.0 + 11 * step)
    recount(desk, DRUM, "top")
    turn = retune(desk, name, top="230 Hz", bottom=None).top
    assert turn is not None
    assert "this head in an older count" in turn.basis


def test_other_drums_of_the_library_tell_of_a_new_one(desk: Desk, with_drum: Put) -> None:
    """Two well-known drums are at the upper end of what is usual: a third is believed nearer to them."""
    for number in range(2):
        other = add_drum(desk, {"name": f"Known {number}", "diameter_in": 14}).id
        drum = desk.library.drum(other).record
        for step in range(8):
            heard = {"top": {"pitch": f"{(200**2 + step * 11_000) ** 0.5:.2f} Hz", "by": "recording"}}
            at = PerHead(top=step / 4, bottom=0.0)
            write(desk, other, drum, {"kind": "reading", **heard}, position=at)
    alone = retune(desk, with_drum(top="B3"), top="230 Hz", bottom=None).top
    assert alone is not None
    assert "2 other drums of the library" in alone.basis
    assert alone.entries == ()
    slope = learned_of(desk, DRUM).with_reading({}).response.state.priors[0].slope
    assert slope is not None
    assert 30_000 < slope < 44_000


def test_a_damaged_drum_tells_nothing_and_stops_nothing(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    broken = add_drum(desk, {"name": "Broken", "diameter_in": 14}).id
    (desk.library.root / "drums" / broken / "drum.toml").write_text("name = [", encoding="utf-8")
    assert retune(desk, name, top="A3-30", bottom=None).top is not None


def test_a_new_head_is_to_settle_first(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    assert not any("settle" in remark for remark in retune(desk, name, top="A3-40", bottom=None).remarks)
    add_head(desk, DRUM, "top", {})
    found = retune(desk, name, top="A3-40", bottom=None)
    assert any("on since 25 November 2026" in remark and "tap again" in remark for remark in found.remarks)
