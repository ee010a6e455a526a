"""A round of the rods from its recording to the advice, on computed drums, and what a drum's record adds."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.evening import Evening
from lugbook.desk.keeping import add_drum
from lugbook.desk.listening import listen_to
from lugbook.desk.listening_rods import even_out
from lugbook.desk.rod_rounds import RodsAsked, answer_of, order_of, rods_listed, usual_beds
from lugbook.errors import BadValue, NotFound, NotPossible, StrikeUnreadable
from lugbook.heads import Hearing, Reading, Tap
from lugbook.sound import Recording

LOCAL = (0.0, 2.0, -30.0, 1.0, -2.0, 0.0, 3.0, -1.0, 24.0, -3.0)
"""Cents of ten rods: the third flat, the ninth sharp."""

AFTER = (0.0, 2.0, -29.0, 1.0, -2.0, 0.0, 3.0, -1.0, 6.0, -3.0)
"""The same after both were turned, the third of which did not follow."""

FAR = (0.0, 1.0, -75.0, 2.0, -1.0, 0.0, 1.0, -2.0)

Round = Callable[..., Evening]


@pytest.fixture(scope="module")
def series(drums: ModuleType) -> dict[str, Any]:
    """Computed rounds by the name of their file, each made once."""

    def made(cents: tuple[float, ...], hz: float) -> Any:  # noqa: ANN401 -- a class of a folder loaded by its path
        # The same seed makes the same head.
        return drums.round_of_taps(np.random.default_rng(5), list(cents), hz=hz)

    return {
        "local.wav": made(LOCAL, 250.0),
        "after.wav": made(AFTER, 250.0),
        "far.wav": made(FAR, 300.0),
        "even.wav": made((0.0, 1.0, -1.0, 0.0, 2.0, -2.0), 280.0),
        "twofold.wav": drums.uneven_round(np.random.default_rng(6), 8, hz=260.0, split_cents=36.0),
    }


@pytest.fixture
def rounds(desk: Desk, sound: Any, series: dict[str, Any]) -> Round:  # noqa: ANN401 -- a fixture's own class
    """Listen to a computed round and return what is advised."""
    for name, one in series.items():
        sound.recordings[name] = Recording(one.samples.astype(np.float32)[:, None], round(one.rate_hz), name)
    rods = {name: len(one.tap_hz) for name, one in series.items()}

    def heard(name: str, near: str | None = None, **asked: Any) -> Evening:  # noqa: ANN401 -- fields of RodsAsked
        order = asked.pop("order", tuple(range(1, rods[name] + 1)))
        found = listen_to(
            desk,
            name,
            near=near,
            struck="rim",
            a4_hz=440.0,
            rods=RodsAsked(rods=len(order), order=order, **asked),
        )
        assert found.evening is not None
        assert found.hearing.rods == (found.evening.round.rods or None)
        return found.evening

    return heard


def turned(found: Evening) -> dict[int, float]:
    return {rod.rod: rod.turn for rod in found.round.rods if rod.turn is not None}


def test_the_pitch_near_each_rod_is_heard(rounds: Round, series: dict[str, Any]) -> None:
    found = rounds("local.wav")

    for rod, hz in zip(found.round.rods, series["local.wav"].tap_hz, strict=True):
        assert rod.hz is not None
        assert 1200 * abs(np.log2(rod.hz / hz)) < 1
    for rod, cents in zip(found.round.rods, LOCAL, strict=True):
        assert rod.off_cents == pytest.approx(cents, abs=1.5)


def test_the_rods_that_are_off_are_named_with_their_way(rounds: Round) -> None:
    found = rounds("local.wav")

    assert found.to_turn == (3, 9)
    assert turned(found)[3] > 0 > turned(found)[9]
    assert not found.round.pairs_only


def test_a_head_of_twofold_tension_names_pairs(rounds: Round) -> None:
    found = rounds("twofold.wav")

    assert found.round.pairs_only
    assert len(found.to_turn) >= 4
    for number in found.to_turn:
        rod = found.round.rod(number)
        assert rod.pair == (number + 3) % 8 + 1
        assert rod.off_cents is not None
        assert rod.turn is not None
        assert rod.turn * rod.off_cents < 0


def test_a_rod_too_far_off_for_the_reading_is_heard_as_a_rod(rounds: Round) -> None:
    """75 cents from the others a tap is stray for the head's pitch, and here it is what is looked for."""
    found = rounds("far.wav")

    assert found.round.rod(3).off_cents == pytest.approx(-75, abs=1.5)
    assert turned(found) == {3: 1 / 4}


def test_the_order_and_the_start_name_the_rods(rounds: Round) -> None:
    """The third tap of a star from rod 4 on is at rod 6: 4 9 6 1 8 3 10 5 2 7."""
    order = order_of(10, start="4", order="star")

    found = rounds("local.wav", order=order)

    assert set(found.to_turn) == {order[2], order[8]} == {6, 2}


def test_a_missing_tap_is_asked_for(rounds: Round, sound: Any, series: dict[str, Any]) -> None:  # noqa: ANN401 -- a fixture's own class
    """Rod 5 is not tapped, in an even rhythm: the pause tells."""
    one = series["local.wav"]
    samples = one.samples.copy()
    rate, onsets = one.rate_hz, one.onsets_s
    samples[int((onsets[4] - 0.02) * rate) : int((onsets[5] - 0.02) * rate)] = 0
    sound.recordings["local.wav"] = Recording(samples.astype(np.float32)[:, None], round(rate), "local.wav")

    found = rounds("local.wav")

    assert [rod.rod for rod in found.round.rods if rod.hz is None] == [5]
    assert "Rod 5 was not heard: tap it again." in found.remarks
    assert 5 in found.again


def test_too_few_taps_are_refused_as_a_round(rounds: Round) -> None:
    found = rounds("far.wav", order=tuple(range(1, 11)))

    assert found.round.refused is not None
    assert found.round.refused.startswith("8 taps for 10 rods")
    assert (found.in_order, found.steps) == ((), ())


def test_a_recording_without_a_drum_is_refused_as_a_round(desk: Desk, sound: Any) -> None:  # noqa: ANN401 -- a fixture's own class
    sound.recordings["silence.wav"] = Recording(np.zeros((22050, 1), np.float32), 11025, "silence.wav")
    asked = RodsAsked(rods=8, order=order_of(8, start=None, order=None))

    found = listen_to(desk, "silence.wav", near=None, struck="rim", a4_hz=440.0, rods=asked)

    assert found.evening is not None
    assert found.evening.round.refused == found.hearing.refused == "The recording is silent."
    assert found.hearing.rods is None


def test_a_tap_read_as_another_pitch_is_listened_to_once_more(desk: Desk) -> None:
    """With the pitch of the others to expect, the fourth tap is heard as what it is."""
    asked = RodsAsked(rods=8, order=order_of(8, start=None, order=None))
    expected: list[float | None] = []

    def listen(_: str, near_hz: float | None) -> Hearing:
        expected.append(near_hz)
        hz = [200.0 if near_hz is None and place == 3 else 250.0 for place in range(8)]
        taps = tuple(
            Tap(0.7 * place, one, 0.5, "B3", 0.0, 0.0, one == 250.0, None if one == 250.0 else "?", ())
            for place, one in enumerate(hz)
        )
        reading = Reading(250.0, 0.5, "B3", 0.0, "1,1", True, 7, None, "damped", ())
        return Hearing(taps, reading, (), None)

    hearing, found = even_out(desk, "any.wav", asked=asked, near_hz=None, listen=listen)

    assert expected == [None, 250.0]
    assert hearing.taps[3].hz == 250.0
    assert all(rod.word == "even" for rod in found.round.rods)


def test_rods_are_not_heard_from_the_centre(desk: Desk) -> None:
    asked = RodsAsked(rods=8, order=order_of(8, start=None, order=None))

    with pytest.raises(BadValue, match="Rods are not heard from the centre"):
        listen_to(desk, "local.wav", near=None, struck="centre", a4_hz=440.0, rods=asked)


def test_a_second_round_leaves_out_the_rod_that_did_not_follow(rounds: Round) -> None:
    """Both were turned as was advised; the ninth came down, the third stayed: it binds or slips."""
    found = rounds("after.wav", before="local.wav")

    assert found.to_turn == ()
    assert found.round.rod(3).turn is None
    assert any(remark.startswith("Rod 3 was tightened and did not follow") for remark in found.remarks)
    assert any("Taken to have been turned as was advised then: rod 3 +⅛" in one for one in found.remarks)


def test_what_was_turned_can_be_said(rounds: Round) -> None:
    """Only rod 9 was turned, and came down by 18 cents: no rod is blamed, and rod 3 still waits."""
    found = rounds("after.wav", before="local.wav", turned={9: -1 / 8})

    assert not any("did not follow" in remark for remark in found.remarks)
    assert found.to_turn == (3,)


def test_where_nothing_was_advised_nothing_is_taken_to_be_turned(rounds: Round) -> None:
    found = rounds("even.wav", before="even.wav")

    assert "Nothing was advised after the round before" in " ".join(found.remarks)


def test_a_round_before_that_says_nothing_is_said(rounds: Round, sound: Any) -> None:  # noqa: ANN401 -- a fixture's own class
    sound.recordings["silence.wav"] = Recording(np.zeros((22050, 1), np.float32), 11025, "silence.wav")

    with pytest.raises(StrikeUnreadable, match=r"silence\.wav: The recording is silent"):
        rounds("local.wav", before="silence.wav")


def test_rods_beside_the_beds_come_from_the_record(desk: Desk, rounds: Round) -> None:
    add_drum(desk, {"name": "Snare", "diameter_in": 14, "bottom": {"snare_bed_rods": (1, 5, 6, 10)}})

    bottom = rounds("local.wav", drum="snare", side="bottom")
    top = rounds("local.wav", drum="snare")

    assert [rod.rod for rod in bottom.round.rods if rod.beside_bed] == [1, 5, 6, 10]
    assert not any(rod.beside_bed for rod in top.round.rods)


def test_without_a_record_the_beds_are_where_they_usually_are_and_it_is_said(rounds: Round) -> None:
    found = rounds("local.wav", side="bottom")

    assert [rod.rod for rod in found.round.rods if rod.beside_bed] == [1, 5, 6, 10]
    assert found.remarks[0].startswith("Rods 1, 5, 6, 10 are taken to lie beside the snare beds")
    assert not any(rod.beside_bed for rod in rounds("local.wav", side="bottom", beds=()).round.rods)


def test_beds_beside_rods_that_are_not_there_are_refused(rounds: Round) -> None:
    with pytest.raises(BadValue, match="There is no rod 11 among 10"):
        rounds("local.wav", beds=(1, 11))


def test_a_drum_with_other_rods_is_refused(desk: Desk, rounds: Round) -> None:
    add_drum(desk, {"name": "Small", "diameter_in": 13, "top": {"rods": 8}})
    add_drum(desk, {"name": "March", "diameter_in": 15, "tension": "rope"})

    with pytest.raises(BadValue, match="The top head of small has 8 rods, not 10"):
        rounds("local.wav", drum="small")
    with pytest.raises(NotPossible, match="March is tensioned with rope"):
        rounds("local.wav", drum="march")
    with pytest.raises(NotFound):
        rounds("local.wav", drum="nowhere")


def test_one_rod_that_pulls_both_heads_is_said(desk: Desk, rounds: Round) -> None:
    add_drum(desk, {"name": "One", "diameter_in": 14, "tension": "single"})

    assert any("moves the other head too" in one for one in rounds("local.wav", drum="one").remarks)


def test_how_far_to_turn_follows_the_drum(desk: Desk, with_drum: Callable[..., str]) -> None:
    """Without entries it is the wide guess of its size; turns that were written down narrow it."""
    drum = with_drum(top="A3").partition("/")[0]
    asked = RodsAsked(rods=10, order=order_of(10, start=None, order=None), drum=drum)
    wide = answer_of(desk, asked, hz=220.0)
    assert wide.cents_per_turn == pytest.approx(300)
    assert wide.basis == "the drum's size, a wide one"

    state = bench.sit_down(desk, f"{drum}/dry-etude")
    for reading in ("A3-60", "A3-30", "A3-8"):
        state = bench.read(desk, state, "top", reading)
        state = bench.read(desk, state, "bottom", "D4")
        if state.next_side == "top":
            state = turning_rods.all_done(desk, turning_rods.begin(state, "top"))
    known = answer_of(desk, asked, hz=219.0)

    assert known.basis.endswith("logbook entries")
    assert known.sd < wide.sd


@pytest.mark.parametrize(
    ("rods", "start", "order", "expected"),
    [
        (6, None, None, (1, 2, 3, 4, 5, 6)),
        (6, "strainer", "clockwise", (1, 2, 3, 4, 5, 6)),
        (6, "5", None, (5, 6, 1, 2, 3, 4)),
        # drummercafe.com, tuning page, given there as a recommendation.
        (10, "strainer", "star", (1, 6, 3, 8, 5, 10, 7, 2, 9, 4)),
        (8, "2", "star", (2, 6, 4, 8, 3, 7, 5, 1)),
        (6, None, "1,4,2,5,3,6", (1, 4, 2, 5, 3, 6)),
        (6, "3", "3 2 1 6 5 4", (3, 2, 1, 6, 5, 4)),
    ],
)
def test_orders_of_taps(rods: int, start: str | None, order: str | None, expected: tuple[int, ...]) -> None:
    assert order_of(rods, start=start, order=order) == expected


@pytest.mark.parametrize(
    ("rods", "start", "order", "sentence"),
    [
        (4, None, None, "A round of 4 rods cannot be judged"),
        (6, "7", None, "'7' is no rod to start at"),
        (6, "1,2", None, "'1,2' is no rod to start at"),
        (6, "butt", None, "'butt' lists no rods"),
        (6, None, "1,2,3", "does not name each of the 6 rods once"),
        (6, None, "1,2,3,4,5,5", "does not name each of the 6 rods once"),
        (6, None, "zigzag", "'zigzag' lists no rods"),
        (6, "2", "1,2,3,4,5,6", "The order begins with rod 1 and the start is rod 2"),
        (6, None, "١,2", "lists no rods"),
    ],
)
def test_orders_that_cannot_be(rods: int, start: str | None, order: str | None, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        order_of(rods, start=start, order=order)


def test_rods_are_listed_with_commas_or_blanks() -> None:
    assert rods_listed("1, 5 6,10", what="Beds lie beside") == (1, 5, 6, 10)


@pytest.mark.parametrize(
    ("rods", "expected"), [(6, (1, 3, 4, 6)), (8, (1, 4, 5, 8)), (10, (1, 5, 6, 10)), (7, (1, 4, 7))]
)
def test_the_usual_beds_flank_strainer_and_butt(rods: int, expected: tuple[int, ...]) -> None:
    assert usual_beds(rods) == expected
