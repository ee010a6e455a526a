"""How a drum answers to turns: known laws, first advice, and what is said in words."""

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest

import lugbook.turns
from lugbook.errors import BadValue
from lugbook.turns import Response, coarsen
from lugbook.turns.drift import creep_span, renewed, weather_keeps
from lugbook.turns.prior import USUAL_THREAD_MM, head_prior, slope_limit

Rows = Callable[[str], list[dict[str, Any]]]
KnownDrum = Callable[..., Response]
QUARTER = 0.25


def test_pitch_follows_the_square_law(rows: Rows, known_drum: KnownDrum) -> None:
    for row in rows("turns_line"):
        drum = known_drum(hz=(row["from_hz"], 300.0), own=(row["slope_hz2"] / QUARTER, 40_000.0))
        hz = drum.predict((row["quarters"] * QUARTER, 0.0), day=0).hz[0]
        if "hz" in row:
            assert row["hz"] == pytest.approx(hz, abs=row["within_hz"])
        else:
            assert hz is None


def test_turns_lead_back_along_the_square_law(rows: Rows, known_drum: KnownDrum) -> None:
    for row in rows("turns_line"):
        if "hz" in row:
            drum = known_drum(hz=(row["from_hz"], 300.0), own=(row["slope_hz2"] / QUARTER, 40_000.0))
            advice = drum.turns_to((row["hz"], None), position=(0, 0), day=0)
            assert advice.turns[0] == pytest.approx(row["quarters"] * QUARTER, abs=1e-5)
            assert advice.turns[1] is None


def test_down_a_turn_is_farther_in_cents_than_up(known_drum: KnownDrum, cents: Callable[..., float]) -> None:
    drum = known_drum(hz=(200.0, 300.0), own=(36_000.0, 40_000.0))
    up, down = (drum.predict((turns, 0.0), day=0).hz[0] for turns in (0.5, -0.25))
    assert cents(200.0, up) == pytest.approx(321.63, abs=0.01)
    assert cents(200.0, down) == pytest.approx(-220.64, abs=0.01)
    assert abs(cents(200.0, drum.predict((0.25, 0.0), day=0).hz[0])) < 220.64


def test_two_hundred_to_two_twenty_rounds_to_a_quarter_turn(known_drum: KnownDrum) -> None:
    """8400 Hz² to go at 9000 a quarter turn is 15/16 of one. By hand."""
    drum = known_drum(hz=(200.0, 300.0), own=(36_000.0, 40_000.0))
    turns = drum.turns_to((220.0, None), position=(0, 0), day=0).turns[0]
    assert turns is not None
    assert coarsen(turns, step=1 / 8) == QUARTER


def test_both_heads_are_solved_at_once(known_drum: KnownDrum) -> None:
    """With slopes [[10, 2], [1, 8]]·1000 Hz², turns (0.5, −0.25) move y by (4500, −1500). By hand."""
    drum = known_drum(hz=(200.0, 300.0), own=(10_000.0, 8_000.0), cross=(2_000.0, 1_000.0))
    target = ((200.0**2 + 4500) ** 0.5, (300.0**2 - 1500) ** 0.5)
    advice = drum.turns_to(target, position=(0, 0), day=0)
    assert advice.turns == pytest.approx((0.5, -0.25), abs=1e-9)
    assert advice.sd_turns == pytest.approx((0.0, 0.0), abs=1e-9)
    assert advice.expect_hz == pytest.approx(target)
    assert not advice.remarks


def test_a_quarter_turn_moves_a_rod_by_a_quarter_of_its_thread(rows: Rows) -> None:
    for row in rows("turns_threads"):
        assert row["quarter_mm"] == pytest.approx(row["per_turn_mm"] * QUARTER, abs=1e-5)
    assert pytest.approx(rows("turns_threads")[0]["per_turn_mm"], abs=1e-6) == USUAL_THREAD_MM


def test_film_and_thread_bound_the_slope(rows: Rows) -> None:
    for row in rows("turns_limits"):
        limit = slope_limit(diameter_in=row["diameter_in"], thread_mm=row["thread_mm"]) * QUARTER
        assert limit == pytest.approx(row["quarter_hz2"], abs=row["within_hz2"])


def test_the_bound_in_cents_is_hundreds_from_a_low_pitch(
    known_drum: KnownDrum, cents: Callable[..., float]
) -> None:
    """39 200 Hz² raise 200 Hz by 591 cents and 300 Hz by 313. By hand."""
    limit = slope_limit(diameter_in=14, thread_mm=25.4 / 24)
    drum = known_drum(hz=(200.0, 300.0), own=(limit, limit))
    top, bottom = drum.predict((QUARTER, QUARTER), day=0).hz
    assert cents(200.0, top) == pytest.approx(591, abs=1.5)
    assert cents(300.0, bottom) == pytest.approx(313, abs=1.5)


@pytest.mark.parametrize("diameter_in", [10, 12, 13, 14, 15])
@pytest.mark.parametrize("thread_mm", [0.8, 1.0, 25.4 / 24])
def test_the_prior_lies_where_players_say(diameter_in: float, thread_mm: float) -> None:
    """Some tens of cents to a semitone or two for a quarter turn (common practice, no source)."""
    prior = head_prior(diameter_in=diameter_in, thread_mm=thread_mm, film_mil=10, material="film")
    low, high = (
        prior.cents_per_turn * QUARTER + sign * 1.645 * prior.cents_per_turn_sd * QUARTER for sign in (-1, 1)
    )
    assert 10 < low < 50
    assert 80 < high < 200


def test_one_reading_is_enough_to_advise_and_said_to_be_a_guess(new_drum: Response) -> None:
    drum = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=0)
    advice = drum.turns_to((233.0, 300.0), position=(0, 0), day=0)
    top, sd = advice.turns[0], advice.sd_turns[0]
    assert top is not None
    assert sd is not None
    assert 0.1 < top < 0.5
    assert sd > 0.2 * top
    assert any("guess" in remark and "Top" in remark for remark in advice.remarks)


def test_turns_that_were_read_sharpen_the_advice(new_drum: Response) -> None:
    first = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=0)
    later = first.observe((0.25, 0), hz=(231.0, 301.0), sd_cents=3, day=0)
    later = later.observe((0.25, 0.25), hz=(231.6, 318.0), sd_cents=3, day=0)
    for head in (0, 1):
        before, after = (
            drum.turns_to((250.0, 340.0), position=(0.25, 0.25), day=0) for drum in (first, later)
        )
        assert (after.sd_turns[head] or 9) < 0.6 * (before.sd_turns[head] or 0)
    assert not later.turns_to((225.0, 310.0), position=(0.25, 0.25), day=0).remarks


def test_a_head_that_is_never_read_leaves_the_other_one_alone(new_drum: Response) -> None:
    """A drum with one head: the bottom is None throughout."""
    drum = new_drum
    for turns, hz in ((0.0, 220.0), (0.25, 231.0), (0.5, 242.0)):
        drum = drum.observe((turns, 0), hz=(hz, None), sd_cents=(3, None), day=0)
    advice = drum.turns_to((231.0, None), position=(0.5, 0), day=1)
    assert advice.turns[0] == pytest.approx(-0.25, abs=0.03)
    assert advice.turns[1] is None
    assert advice.sd_turns[1] is None
    assert not advice.remarks


def test_a_head_that_was_not_read_is_said_to_be_a_guess(new_drum: Response) -> None:
    assert any("never read" in remark for remark in new_drum.predict((0, 0), day=0).remarks)
    advice = new_drum.turns_to((220.0, 300.0), position=(0, 0), day=0)
    assert sum("never read" in remark for remark in advice.remarks) == 2
    assert min(sd or 0 for sd in advice.sd_turns) > 1


def test_without_a_target_nothing_is_to_be_turned(new_drum: Response) -> None:
    drum = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=0)
    advice = drum.turns_to((None, None), position=(0, 0), day=0)
    assert advice.turns == (None, None)
    assert advice.expect_hz == pytest.approx((220.0, 300.0), rel=1e-4)


def test_a_slack_head_is_said_in_words(new_drum: Response) -> None:
    drum = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=0)
    there = drum.predict((-8, 0), day=0)
    assert there.hz[0] is None
    assert there.sd_cents[0] is None
    assert there.hz[1] is not None
    assert any("slack" in remark for remark in there.remarks)


@pytest.mark.parametrize(
    ("start_hz", "hz", "said"),
    [
        (220.0, 297.0, "rods and film"),
        (220.0, 219.0, "hardly"),
        (620.0, 660.0, "per turn"),
    ],
)
def test_an_absurd_slope_is_said_in_words(new_drum: Response, start_hz: float, hz: float, said: str) -> None:
    """A quarter turn moves f² by 39 200 Hz² at the most, 220 to 296 Hz, and tightening lowers no head."""
    drum = new_drum
    for _ in range(12):
        drum = drum.observe((0, 0), hz=(start_hz, 300.0), sd_cents=1, day=0)
        drum = drum.observe((0.25, 0), hz=(hz, 300.0), sd_cents=1, day=0)
    advice = drum.turns_to((250.0, 300.0), position=(0.25, 0), day=0)
    assert any(said in remark for remark in advice.remarks)
    assert advice.turns[0] is not None
    assert abs(advice.turns[0]) <= 64


def test_a_reading_that_nothing_explains_is_said_and_hardly_moves_the_slope(new_drum: Response) -> None:
    drum = new_drum
    for turns, hz in ((0.0, 220.0), (0.25, 231.0), (0.0, 220.0), (0.25, 231.0)):
        drum = drum.observe((turns, 0), hz=(hz, 300.0), sd_cents=3, day=0)
    before = drum.state.mean[1]
    drum = drum.observe((0.375, 0), hz=(185.0, 300.0), sd_cents=3, day=0)
    assert drum.state.mean[1] == pytest.approx(before, rel=0.35)
    assert drum.predict((0.375, 0), day=0).hz[0] == pytest.approx(185.0, rel=0.005)
    assert any("nothing" in remark or "explain" in remark for remark in drum.remarks)
    assert drum.remarks[0] in drum.turns_to((231.0, 300.0), position=(0.375, 0), day=0).remarks


def test_a_surprise_that_comes_again_and_again_is_learned(
    new_drum: Response, cents: Callable[..., float]
) -> None:
    """A head far out of the common (220 to 280 Hz in a quarter turn, 418 cents) is believed in the end."""
    drum = new_drum
    for _ in range(12):
        drum = drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=0)
        drum = drum.observe((0.25, 0), hz=(280.0, 300.0), sd_cents=3, day=0)
    assert not drum.remarks
    assert cents(220.0, drum.predict((0, 0), day=0).hz[0]) == pytest.approx(0, abs=20)


def test_a_clock_that_went_back_counts_as_the_same_day(new_drum: Response) -> None:
    drum = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=3, day=10)
    back, same = (drum.observe((0, 0), hz=(221.0, 301.0), sd_cents=3, day=day) for day in (3, 10))
    assert back.state.day == 10
    assert back.predict((0, 0), day=10).hz == same.predict((0, 0), day=10).hz
    assert any("clock" in remark for remark in back.remarks)
    assert not same.remarks


def test_the_target_beyond_the_rods_is_said(known_drum: KnownDrum) -> None:
    drum = known_drum(hz=(200.0, 300.0), own=(2_000.0, 40_000.0))
    advice = drum.turns_to((900.0, None), position=(0, 0), day=0)
    assert advice.turns[0] == 64.0
    assert any("no rod" in remark for remark in advice.remarks)


def test_weather_moves_both_heads_alike_in_the_square(new_drum: Response) -> None:
    """Much of a later day's surprise on one head is then expected of the other, in Hz² the same amount."""
    drum = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=1, day=100)
    later = drum.state.at((0.0, 0.0), 120)
    shared = later.cov[0, 5]
    assert 0.2 * later.cov[0, 0] < shared < later.cov[0, 0]
    warmer = drum.observe((0, 0), hz=(210.0, None), sd_cents=1, day=120)
    assert (warmer.predict((0, 0), day=120).hz[1] or 0) < (drum.predict((0, 0), day=120).hz[1] or 0) - 1


def test_creep_is_downward_and_slows_with_age() -> None:
    spans = [creep_span(since=0, day=day, until=day + 7) for day in (0, 7, 70, 700)]
    assert all(span > 0 for span in spans)
    assert spans == sorted(spans, reverse=True)
    assert spans[-1] < 0.02 * spans[0]
    assert creep_span(since=0, day=5, until=5) == 0


def test_a_raised_head_creeps_anew_in_proportion() -> None:
    assert renewed(since=0, day=30, raised=0.25) == 30
    assert renewed(since=0, day=30, raised=0.125) == 15
    assert renewed(since=0, day=30, raised=-1) == 0


def test_a_head_that_crept_every_week_is_expected_to_creep_on(new_drum: Response) -> None:
    idle = new_drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=1, day=0)
    crept = idle
    for day, hz in ((1, 219.3), (3, 218.6), (7, 217.9), (15, 217.2)):
        crept = crept.observe((0, 0), hz=(hz, 300.0), sd_cents=1, day=day)
    assert (crept.predict((0, 0), day=60).hz[0] or 0) < 217.2 - 0.3
    assert crept.state.mean[4] > 1.5 * idle.state.mean[4]


def test_weather_is_forgotten() -> None:
    assert weather_keeps(0) == 1
    assert weather_keeps(-1) == 1
    assert 0 < weather_keeps(20) < 0.02


def test_calf_is_not_trusted_overnight() -> None:
    film, calf = (
        Response.prior(diameter_in=14, thread_mm=25.4 / 24, material=(stuff, stuff)).observe(
            (0, 0), hz=(220.0, 300.0), sd_cents=3, day=0
        )
        for stuff in ("film", "calf")
    )
    assert (film.predict((0, 0), day=1).sd_cents[0] or 99) < 10
    assert (calf.predict((0, 0), day=1).sd_cents[0] or 0) > 50


def test_a_touch_up_of_one_rod_adds_less_doubt_than_a_turn(known_drum: KnownDrum) -> None:
    drum = known_drum(hz=(200.0, 300.0), own=(20_000.0, 30_000.0))
    touched, turned = (drum.predict((turns, 0), day=0).sd_cents[0] or 0 for turns in (0.00625, 0.125))
    assert 0 < touched < 0.5 * turned


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"position": (65, 0)}, "position"),
        ({"position": (float("nan"), 0)}, "position"),
        ({"hz": (float("nan"), 300)}, "pitch"),
        ({"hz": (5.0, 300)}, "pitch"),
        ({"hz": (30_000, 300)}, "pitch"),
        ({"sd_cents": -1}, "uncertainty"),
        ({"sd_cents": (3, None)}, "uncertainty"),
        ({"sd_cents": float("nan")}, "uncertainty"),
        ({"day": float("inf")}, "day"),
        ({"day": float("nan")}, "day"),
    ],
)
def test_what_cannot_be_is_refused(new_drum: Response, change: dict[str, Any], said: str) -> None:
    given: dict[str, Any] = {"position": (0, 0), "hz": (220, 300), "sd_cents": 3, "day": 0} | change
    with pytest.raises(BadValue, match=said):
        new_drum.observe(given.pop("position"), **given)


@pytest.mark.parametrize(
    "change",
    [
        {"diameter_in": 2},
        {"thread_mm": 0},
        {"film_mil": (0, 3)},
        {"material": ("film", "tin")},
        {"day": float("nan")},
    ],
)
def test_a_drum_that_cannot_be_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(BadValue):
        Response.prior(**({"diameter_in": 14, "thread_mm": 1.0} | change))


def test_a_target_that_is_no_pitch_is_refused(new_drum: Response) -> None:
    with pytest.raises(BadValue, match="pitch"):
        new_drum.turns_to((0.0, None), position=(0, 0), day=0)


def test_amounts_and_orders_load_no_numpy() -> None:
    """Records and faces read amounts at start-up; numpy would double the time it takes."""
    code = "import sys, lugbook.turns.amounts, lugbook.turns.orders; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_public_name_is_there_and_no_other() -> None:
    assert all(getattr(lugbook.turns, name) is not None for name in lugbook.turns.__all__)
    with pytest.raises(AttributeError, match="nonsense"):
        _ = lugbook.turns.nonsense
