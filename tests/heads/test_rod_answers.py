"""How single rods answer: the first guess between its two limits, and what a second round tells."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.heads import RodAnswer, RodRound, SecondRound, first_answer, judge_rods, second_round

HZ = 250.0
GUESS = RodAnswer(200.0, 80.0)


def heard(cents: dict[int, float], *, rods: int = 8, sd: float = 0.5) -> RodRound:
    """A round of even rods but for those named."""
    return judge_rods(
        {rod: [(HZ * 2 ** (cents.get(rod, 0.0) / 1200), sd)] for rod in range(1, rods + 1)}, rods=rods
    )


def second(
    before: dict[int, float], after: dict[int, float], turned: dict[int, float], *, sd: float = 0.5
) -> SecondRound:
    """What a second round of eight rods tells."""
    return second_round(
        heard(before, sd=sd), heard(after, sd=sd), turned=turned, answer=GUESS, cents_per_turn=300.0
    )


@pytest.mark.parametrize("rods", [5, 6, 8, 10, 12])
def test_the_first_guess_lies_between_a_hoop_like_a_string_and_one_that_never_bends(rods: int) -> None:
    """Shares of 3/n and 1 are the limits, and an even spread between them has their middle and width/√12."""
    answer = first_answer(cents_per_turn=300.0, sd=0.0, rods=rods)

    assert answer.cents_per_turn == pytest.approx(300 * (3 / rods + 1) / 2)
    assert answer.sd == pytest.approx(300 * (1 - 3 / rods) / math.sqrt(12))


def test_a_hoop_that_never_bends_gives_the_rod_three_shares_and_keeps_the_sum() -> None:
    """A plane that sinks and tilts under one of n equal springs: 1/n + 2/n·cos φ, least squares by hand."""
    rods = 10
    shares = [1 / rods + 2 / rods * math.cos(2 * math.pi * rod / rods) for rod in range(rods)]

    assert shares[0] == pytest.approx(3 / rods)
    assert sum(shares) == pytest.approx(1)
    # What the plane leaves of the pull on one rod is at right angles to sinking and to tilting.
    left = [(1.0 if rod == 0 else 0.0) - share for rod, share in enumerate(shares)]
    assert sum(left) == pytest.approx(0)
    assert sum(one * math.cos(2 * math.pi * rod / rods) for rod, one in enumerate(left)) == pytest.approx(0)


@given(mean=st.floats(20, 800), sd=st.floats(1, 400), move=st.floats(-60, 60))
def test_the_turn_leaves_the_least_squared_error_on_average(mean: float, sd: float, move: float) -> None:
    """E(move − R·t)² = (move − mean·t)² + (sd·t)² is nowhere smaller than at the turn that is advised."""
    turn = RodAnswer(mean, sd).turn_for(move)

    def error(t: float) -> float:
        return (move - mean * t) ** 2 + (sd * t) ** 2

    assert turn * move >= 0
    assert all(error(turn) <= error(turn * factor) + 1e-9 for factor in (0.0, 0.5, 0.99, 1.01, 1.5))


@pytest.mark.parametrize(
    ("cents_per_turn", "sd", "rods"),
    [
        (0.0, 1.0, 8),
        (-3.0, 1.0, 8),
        (math.nan, 1.0, 8),
        (300.0, -1.0, 8),
        (300.0, math.inf, 8),
        (300.0, 1.0, 4),
    ],
)
def test_an_answer_that_cannot_be_is_refused(cents_per_turn: float, sd: float, rods: int) -> None:
    with pytest.raises(BadValue):
        first_answer(cents_per_turn=cents_per_turn, sd=sd, rods=rods)


def test_a_rod_that_followed_teaches_how_far_a_turn_goes() -> None:
    """An eighth moved it by 15 cents, 120 a turn, less than was believed."""
    found = second({3: -30}, {3: -15}, {3: 1 / 8})

    assert not found.unanswered
    assert 120 < found.answer.cents_per_turn < 160
    assert found.answer.sd < GUESS.sd


@pytest.mark.parametrize(
    ("after", "turn", "did"),
    [
        (-29.0, 1 / 8, "was tightened and did not follow"),
        (-45.0, 1 / 8, "was tightened and went the other way"),
        (-31.0, -1 / 8, "was loosened and did not follow"),
    ],
)
def test_a_rod_that_does_not_follow_is_named(after: float, turn: float, did: str) -> None:
    found = second({3: -30, 6: 25}, {3: after, 6: 0}, {3: turn, 6: -1 / 8})

    assert found.unanswered == (3,)
    assert found.remarks[0].startswith(f"Rod 3 {did}: it binds or slips.")
    assert found.remarks[0].endswith("it is not advised further.")


def test_a_turn_too_small_to_be_heard_names_no_rod() -> None:
    """A hair is 6 cents or so, less than two taps differ by."""
    assert not second({3: -6}, {3: -6}, {3: 1 / 32}).unanswered


def test_uncertain_taps_name_no_rod() -> None:
    assert not second({3: -30}, {3: -29}, {3: 1 / 8}, sd=12).unanswered


def test_where_none_followed_no_rod_is_blamed() -> None:
    """Two rods that bind at once are less likely than turns that were not made, or taps in another order."""
    found = second({3: -40, 6: 40}, {3: -40, 6: 40}, {3: 1 / 4, 6: -1 / 4})

    assert not found.unanswered
    assert found.answer == GUESS
    assert found.remarks == (
        "No rod that was turned followed: were these the turns, the same head and the same order?",
    )


def test_a_rod_that_fell_by_itself_slips() -> None:
    found = second({3: -30}, {3: -5, 7: -40}, {3: 1 / 8})

    assert found.slipped == (7,)
    assert any(remark.startswith("Rod 7 fell without having been turned") for remark in found.remarks)


def test_what_the_turns_of_others_may_do_is_no_slip() -> None:
    """A stiff hoop lets the rod opposite fall by a tenth or so of what the turn would do."""
    assert not second({3: -30}, {3: -5, 7: -8}, {3: 1 / 8}).slipped


def test_a_whole_head_that_fell_is_said_and_no_rod_blamed() -> None:
    found = second({}, dict.fromkeys(range(1, 9), -60.0), {})

    assert not found.slipped
    assert found.remarks == ("The whole head fell by 60 cents meanwhile: bring it back with all rods first.",)


@pytest.mark.parametrize("drift", [-40.0, -15.0, 30.0, 40.0])
def test_what_the_whole_head_did_is_not_booked_on_the_rod_that_was_turned(drift: float) -> None:
    """Weather and creep move all rods alike; the one that was turned followed on top of that."""
    still = second({3: -30}, {3: -30 + 12}, {3: 1 / 16})
    moved = second({3: -30}, {3: -18 + drift} | {rod: drift for rod in range(1, 9) if rod != 3}, {3: 1 / 16})

    assert not moved.unanswered
    assert moved.answer.cents_per_turn == pytest.approx(still.answer.cents_per_turn, rel=0.1)
    assert any(remark.startswith("The whole head") for remark in moved.remarks)


def test_a_rod_unheard_in_one_round_is_not_judged() -> None:
    before = heard({3: -30})
    taps = {rod: [(HZ, 0.5)] for rod in range(1, 9) if rod != 3}
    after = judge_rods(taps, rods=8)

    found = second_round(before, after, turned={3: 1 / 8}, answer=GUESS, cents_per_turn=300.0)

    assert not found.unanswered
    assert found.answer == GUESS


@given(
    share=st.floats(0.3, 1.0),
    turns=st.lists(st.sampled_from([-0.25, -0.125, 0.125, 0.25]), min_size=4, max_size=4),
)
def test_what_is_learned_comes_nearer_to_the_truth(share: float, turns: list[float]) -> None:
    """Four rods far from each other that answer alike, heard without noise: the guess moves towards them."""
    turned = dict(zip((1, 4, 7, 10), turns, strict=True))
    before = heard({}, rods=12)
    after = heard({rod: 300 * share * turn for rod, turn in turned.items()}, rods=12)

    found = second_round(before, after, turned=turned, answer=GUESS, cents_per_turn=300.0)

    assert not found.unanswered
    assert abs(found.answer.cents_per_turn - 300 * share) <= abs(200 - 300 * share) + 1e-6
    assert found.answer.sd < GUESS.sd


def test_rounds_of_other_heads_are_refused() -> None:
    with pytest.raises(BadValue, match="A round of 10 rods cannot follow one of 8"):
        second_round(heard({}), heard({}, rods=10), turned={}, answer=GUESS, cents_per_turn=300.0)
    with pytest.raises(BadValue, match="There is no rod 9 among 8"):
        second_round(heard({}), heard({}), turned={9: 1 / 8}, answer=GUESS, cents_per_turn=300.0)
