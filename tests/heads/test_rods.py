"""How even the rods are: what is advised, what is not, and what cannot be told."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lugbook.errors import BadValue
from lugbook.heads import RodRound, Tap, hear_rods, judge_rods
from lugbook.heads.evenness import SURE, judge
from lugbook.heads.hearing import FAR_FROM_OTHERS
from lugbook.heads.rod_numbers import EVEN_CENTS, opposite
from lugbook.heads.rods import FARTHEST_CENTS, TAP_SD_CENTS

HZ = 250.0
RODS = st.integers(5, 12)


def hz(cents: float) -> float:
    """The frequency so many cents above `HZ`."""
    return HZ * 2 ** (cents / 1200)


def heard(cents: Sequence[float], *, sd: float = 0.5, beds: tuple[int, ...] = ()) -> RodRound:
    """A round with one tap near each rod at these cents."""
    taps = {rod: [(hz(off), sd)] for rod, off in enumerate(cents, 1)}
    return judge_rods(taps, rods=len(cents), beside_beds=beds)


def moves(found: RodRound) -> dict[int, float]:
    """How far each rod is to be moved that is to be moved."""
    return {rod.rod: rod.move_cents for rod in found.rods if rod.move_cents is not None}


def wave(rods: int, *, cents: float, at: float = 0.0) -> list[float]:
    """What taps hear of a head whose two forms are 2·cents apart: the twofold wave, largest *at* radians."""
    return [cents * math.cos(2 * (2 * math.pi * (rod - 0.5) / rods - at)) for rod in range(1, rods + 1)]


def tap(at_s: float, pitch: float | None, why_not: str | None = None) -> Tap:
    """A tap as the listening gives it."""
    return Tap(at_s, pitch, 0.2, None, None, 0.0, why_not is None, why_not, ())


def test_opposite_taps_that_differ_name_the_rod() -> None:
    found = heard([0, 0, 20, 0, 0, 0, 0, 0])

    assert moves(found) == {3: pytest.approx(-20)}
    assert found.rod(3).pair is None
    assert found.rod(3).word == "sharp"
    assert not found.pairs_only
    assert found.spread_cents == pytest.approx(20)


def test_opposite_taps_that_agree_name_the_pair() -> None:
    """Rods 2 and 6 are low alone: a wave of more than two folds, and so it is this pair."""
    found = heard([0, -18, 0, 0, 0, -18, 0, 0])

    assert moves(found) == {2: pytest.approx(18), 6: pytest.approx(18)}
    assert (found.rod(2).pair, found.rod(6).pair) == (6, 2)
    assert not found.pairs_only


def test_a_twofold_wave_alone_is_said_to_name_pairs_only() -> None:
    found = heard(wave(10, cents=20))

    assert found.pairs_only
    assert all(found.rod(rod).pair == opposite(rod, rods=10) for rod in moves(found))
    assert any("which rod of a pair it is cannot be known" in remark for remark in found.remarks)
    assert any("two pitches close together (uneven)" in remark for remark in found.remarks)


def test_an_even_rod_is_not_turned_for_its_opposite_where_single_rods_are_heard() -> None:
    """Rods 7 and 2 agree within their uncertainty; but rod 1, whose opposite is even, shows single rods."""
    found = heard([-30, 1, 0, 0, 0, 0, 8, 0, 0, 0])

    assert moves(found).keys() == {1, 7}
    assert found.rod(7).pair is None
    assert found.rod(2).word == "even"


@given(
    rods=RODS,
    off=st.lists(st.floats(-40, 40), min_size=12, max_size=12),
    sd=st.floats(0, 6),
    turned=st.integers(0, 11),
)
def test_renumbering_the_rods_renumbers_the_advice(
    rods: int, off: list[float], sd: float, turned: int
) -> None:
    """Where the counting starts changes nothing."""
    cents = off[:rods]
    moved = [cents[(place + turned) % rods] for place in range(rods)]
    first, second = heard(cents, sd=sd), heard(moved, sd=sd)
    _assume_clear(cents, sd)

    shifted = {(rod - 1 + turned) % rods + 1: move for rod, move in moves(second).items()}
    assert shifted.keys() == moves(first).keys()
    assert all(shifted[rod] == pytest.approx(move, abs=1e-6) for rod, move in moves(first).items())
    assert second.pairs_only == first.pairs_only


def _assume_clear(cents: Sequence[float], sd: float) -> None:
    """Leave out rounds that stand exactly on a limit, where rounding decides."""
    taps = dict(enumerate(((off, math.hypot(sd, TAP_SD_CENTS)) for off in cents), 1))
    calm = judge({rod: (off, one * (1 + 1e-7)) for rod, (off, one) in taps.items()}, rods=len(cents))
    wild = judge({rod: (off, one * (1 - 1e-7)) for rod, (off, one) in taps.items()}, rods=len(cents))
    assume({r: v.pair for r, v in calm[0].items()} == {r: v.pair for r, v in wild[0].items()})
    assume({r: v.even for r, v in calm[0].items()} == {r: v.even for r, v in wild[0].items()})
    assume(calm[1] == wild[1])


@given(rods=RODS, off=st.lists(st.floats(-1, 1), min_size=12, max_size=12), sd=st.floats(0, 10))
def test_an_even_head_gets_no_advice(rods: int, off: list[float], sd: float) -> None:
    """Whatever is within one standard deviation either way, and within two cents, disturbs nothing."""
    found = heard([one * max(sd, 2.0) for one in off[:rods]], sd=sd)

    assert not moves(found)
    assert found.refused is None


def test_of_even_heads_tapped_by_hand_few_are_disturbed() -> None:
    """At three standard deviations 10 rods are disturbed once in 37 rounds; chance allows for 5 of 100."""
    rng = np.random.default_rng(11)
    disturbed = sum(bool(moves(heard(list(rng.normal(0, 3.0, 10)), sd=2.4))) for _ in range(100))

    assert disturbed <= 5


@given(rods=RODS, off=st.lists(st.floats(-60, 60), min_size=12, max_size=12), sd=st.floats(0, 10))
def test_what_is_advised_is_beyond_its_uncertainty_and_against_the_deviation(
    rods: int, off: list[float], sd: float
) -> None:
    """Sharp rods go down, flat rods go up, and none for less than three standard deviations or five cents."""
    found = heard(off[:rods], sd=sd)

    for rod in found.rods:
        assert rod.off_cents is not None
        assert rod.sd_cents is not None
        assert rod.sd_cents == pytest.approx(math.hypot(sd, TAP_SD_CENTS))
        if rod.move_cents is not None:
            assert rod.move_cents * rod.off_cents < 0
            # Two rods, or a wave through all, are known better than one tap: by the root of their number.
            share = 1 if rod.pair is None and not found.pairs_only else math.sqrt(rods)
            assert abs(rod.move_cents) > max(EVEN_CENTS, SURE * rod.sd_cents / share)
            assert rod.even is False
        if rod.pair is not None:
            other = found.rod(rod.pair)
            assert other.pair == rod.rod
            assert other.move_cents == pytest.approx(rod.move_cents)
            assert rod.pair == opposite(rod.rod, rods=rods)


@given(rods=st.sampled_from([6, 8, 10, 12]), cents=st.floats(9, 40), at=st.floats(0, math.pi))
def test_in_linear_acoustics_single_rods_are_never_named(rods: int, cents: float, at: float) -> None:
    """Where only the twofold part is heard, opposite rods sound alike, and all that is advised is pairs."""
    found = heard(wave(rods, cents=cents, at=at))

    assert found.pairs_only
    assert moves(found)
    assert all(found.rod(rod).pair == opposite(rod, rods=rods) for rod in moves(found))


def test_a_certain_rod_does_not_wait_for_an_uncertain_opposite() -> None:
    """Rod 5 agrees with rod 1 only because it is so uncertain; rod 1 is off by itself."""
    taps = {rod: [(HZ, 0.5)] for rod in range(1, 9)}
    taps[1], taps[5] = [(hz(20), 0.5)], [(hz(-8), 15.0)]

    assert moves(judge_rods(taps, rods=8)) == {1: pytest.approx(-20, abs=0.1)}


def test_a_pair_of_which_one_tap_contradicts_the_wave_is_not_turned() -> None:
    """By the wave rods 1 and 5 are sharp; the tap near rod 5, uncertain, says flat."""
    taps = {rod: [(hz(off), 0.5)] for rod, off in enumerate(wave(8, cents=20), 1)}
    taps[5] = [(hz(-30), 20.0)]

    found = judge_rods(taps, rods=8)

    assert found.pairs_only
    assert moves(found).keys() == {4, 8}


@pytest.mark.parametrize("rods", [5, 7])
def test_an_odd_count_has_no_pairs(rods: int) -> None:
    cents = [0.0] * rods
    cents[1] = -25.0

    found = heard(cents)

    assert moves(found) == {2: pytest.approx(25)}
    assert found.rod(2).pair is None


def test_large_uncertainty_is_said_and_nothing_advised() -> None:
    found = heard([0, 0, 20, 0, 0, -9, 0, 0, 0, 0], sd=15)

    assert not moves(found)
    assert any(
        "cannot tell differences below" in remark or "may be off" in remark for remark in found.remarks
    )
    assert found.least_cents is not None
    assert found.least_cents > 30


def test_a_rod_between_even_and_certain_cannot_be_told() -> None:
    found = heard([0, 0, 6, 0, 0, 0, 0, 0, 0, 0], sd=3)

    assert found.rod(3).word == "cannot tell"
    assert not moves(found)


def test_two_taps_a_rod_make_a_smaller_difference_certain() -> None:
    """One tap good to 2 cents tells 6 or 7 cents; four tell 5."""
    cents = [0, 0, 5.8, 0, 0, 0, 0, 0]

    once = heard(cents, sd=0.1)
    often = judge_rods({rod: [(hz(off), 0.1)] * 4 for rod, off in enumerate(cents, 1)}, rods=8)

    assert not moves(once)
    assert moves(often).keys() == {3}


def test_taps_near_one_rod_that_differ_widen_all_and_are_said() -> None:
    taps = {rod: [(hz(-12), 0.1), (hz(12), 0.1)] for rod in range(1, 9)}

    found = judge_rods(taps, rods=8)

    # Two taps 24 cents apart scatter by 24/√2 = 17 cents; their mean by 12.
    assert found.rod(1).sd_cents == pytest.approx(12, abs=0.1)
    assert any("differ by 17 cents: was the order kept?" in remark for remark in found.remarks)


def test_rods_beside_the_beds_are_judged_among_themselves() -> None:
    """All four read 30 cents low, which is the beds; rod 5 is 15 cents lower still."""
    cents = [-30, 0, 1, -1, -45, -30, 0, 20, 0, -30]

    found = heard([float(one) for one in cents], beds=(1, 5, 6, 10))

    assert moves(found) == {5: pytest.approx(15), 8: pytest.approx(-20)}
    assert [rod.rod for rod in found.rods if rod.beside_bed] == [1, 5, 6, 10]
    assert found.rod(1).off_cents == pytest.approx(0)
    assert found.rod(1).word == "even"
    assert any("together they read 30 cents below the others" in remark for remark in found.remarks)
    # The beds count neither in the median nor in the spread.
    assert found.median_hz == pytest.approx(HZ)
    assert found.spread_cents == pytest.approx(21)


def test_one_rod_beside_a_bed_cannot_be_compared() -> None:
    found = heard([-30.0, 0, 0, 0, 0, 0, 0, 0], beds=(1,))

    assert not moves(found)
    assert found.rod(1).word == "cannot tell"
    assert found.rod(1).off_cents == pytest.approx(-30)
    assert any("cannot be compared" in remark for remark in found.remarks)


def test_beds_that_read_as_the_others_are_said_to() -> None:
    found = heard([0.0] * 8, beds=(1, 4, 5, 8))

    assert any("together they read as the others do" in remark for remark in found.remarks)


def test_a_rod_that_was_not_heard_is_asked_for_and_its_opposite_left_alone() -> None:
    """Rod 7 is far off; but whether it or the unheard rod 3 opposite is, no tap tells."""
    taps = {rod: [(hz(-20 if rod == 7 else 0), 0.5)] for rod in range(1, 9) if rod != 3}

    found = judge_rods(taps, rods=8)

    assert not moves(found)
    assert found.rod(3).word == "not heard"
    assert (found.rod(3).hz, found.rod(3).off_cents) == (None, None)
    assert "Rod 3 was not heard: tap it again." in found.remarks
    assert any(remark.startswith("Rod 7 may be off: without the rod opposite") for remark in found.remarks)


@pytest.mark.parametrize(("rods", "few"), [(6, 4), (10, 6), (5, 4)])
def test_too_few_rods_heard_are_no_round(rods: int, few: int) -> None:
    found = judge_rods({rod: [(HZ, 1.0)] for rod in range(1, few + 1)}, rods=rods)

    assert found.refused == f"Only {few} of {rods} rods were heard: tap the whole round again."
    assert not found.rods
    assert found.median_hz is None


def test_a_rod_far_off_counts_though_the_reading_left_its_tap_out() -> None:
    """For the head's pitch a tap 60 cents away is stray; for the rods it is what they are tapped for."""
    taps = [tap(0.7 * place, HZ) for place in range(8)]
    taps[4] = tap(2.8, hz(-60), FAR_FROM_OTHERS)

    found = hear_rods(taps, rods=8)

    assert moves(found) == {5: pytest.approx(60)}


def test_a_tap_on_another_pitch_of_the_drum_leaves_its_rod_unheard() -> None:
    taps = [tap(0.7 * place, HZ) for place in range(8)]
    taps[4] = tap(2.8, hz(-FARTHEST_CENTS - 10), FAR_FROM_OTHERS)
    taps[5] = tap(3.5, HZ, "it is mostly noise")

    found = hear_rods(taps, rods=8)

    assert [rod.rod for rod in found.rods if rod.hz is None] == [5, 6]
    assert "Rods 5 and 6 were not heard: tap them again." in found.remarks


def test_the_order_of_the_taps_names_the_rods() -> None:
    order = (1, 5, 2, 6, 3, 7, 4, 8)
    taps = [tap(0.7 * place, hz(25 if rod == 6 else 0)) for place, rod in enumerate(order)]

    assert moves(hear_rods(taps, rods=8, order=order)) == {6: pytest.approx(-25)}


def test_a_round_that_cannot_be_matched_says_why() -> None:
    found = hear_rods([tap(0.7 * place, HZ) for place in range(9)], rods=10)

    assert found.refused is not None
    assert found.refused.startswith("9 taps for 10 rods")


def test_taps_without_any_pitch_are_no_round() -> None:
    found = hear_rods([tap(0.7 * place, None, "it is mostly noise") for place in range(8)], rods=8)

    assert found.refused == "Only 0 of 8 rods were heard: tap the whole round again."


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"rods": 4}, "A round of 4 rods cannot be judged"),
        ({"rods": 25}, "A round of 25 rods cannot be judged"),
        ({"rods": 6, "order": (1, 2, 3, 4, 5, 5)}, "does not name each of 6 rods once"),
        ({"rods": 6, "beside_beds": (7,)}, "There is no rod 7 among 6"),
    ],
)
def test_what_cannot_be_is_refused(values: dict[str, object], sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        hear_rods([], **values)  # type: ignore[arg-type] # values out of range, of the right types
