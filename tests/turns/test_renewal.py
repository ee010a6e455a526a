"""New heads, new counts, and how much of a difference is drift."""

from collections.abc import Callable

import pytest

from lugbook.errors import BadValue
from lugbook.turns import Response

Cents = Callable[[float, float | None], float]


@pytest.fixture
def learned(new_drum: Response) -> Response:
    """Give a drum of 100 cents a quarter turn on top and 50 at the bottom, read after eight turns."""
    drum = new_drum
    for top, bottom in ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0), (1, 0), (1, 1), (0, 1), (0, 0)):
        hz = (220.0 * 2 ** (100 * top / 1200), 300.0 * 2 ** (50 * bottom / 1200))
        drum = drum.observe((top / 4, bottom / 4), hz=hz, sd_cents=2, day=0)
    return drum


def turns_for(drum: Response, side: int, cents: float, position: tuple[float, float]) -> float:
    """Return the turns advised to raise one head by so many cents."""
    here = drum.predict(position, day=1).hz[side]
    assert here is not None
    target = here * 2 ** (cents / 1200)
    pair = (target, None) if side == 0 else (None, target)
    turns = drum.turns_to(pair, position=position, day=1).turns[side]
    assert turns is not None
    return turns


def test_a_new_count_keeps_the_slope_and_loses_the_pitch(learned: Response, cents: Cents) -> None:
    counted = learned.new_count("top", day=1)
    assert (counted.predict((0, 0), day=1).sd_cents[0] or 0) > 400
    assert turns_for(counted, 0, 50, (0, 0)) == pytest.approx(turns_for(learned, 0, 50, (0, 0)), rel=0.02)
    read = counted.observe((1.5, 0), hz=(200.0, None), sd_cents=2, day=1)
    assert cents(200.0, read.predict((1.5, 0), day=1).hz[0]) == pytest.approx(0, abs=1)
    assert (read.predict((1.5, 0), day=1).sd_cents[0] or 99) < 3


def test_a_new_count_leaves_the_other_head_alone(learned: Response) -> None:
    for changed in (learned.new_count("top", day=1), learned.new_head("top", film_mil=7.5, day=1)):
        before, after = (drum.predict((0, 0.25), day=1) for drum in (learned, changed))
        assert after.hz[1] == pytest.approx(before.hz[1], rel=1e-6)
        assert after.sd_cents[1] == pytest.approx(before.sd_cents[1], rel=1e-3)
    bottom = learned.new_count("bottom", day=1)
    assert bottom.predict((0.25, 0), day=1).hz[0] == pytest.approx(
        learned.predict((0.25, 0), day=1).hz[0], rel=1e-6
    )


# 100 and 50 cents a quarter turn at 220 and 300 Hz are so many at 180 and 230: f² is linear in turns.
@pytest.mark.parametrize(("side", "quarter_cents"), [("top", 149.4), ("bottom", 85.1)])
def test_a_new_head_begins_with_the_slope_of_the_old_one(
    learned: Response, new_drum: Response, side: str, quarter_cents: float
) -> None:
    """A drum without history would be believed at 75 cents a quarter turn."""
    head = ("top", "bottom").index(side)
    drum = learned.new_head("top" if head == 0 else "bottom", film_mil=10, day=1)
    assert any("never read" in remark for remark in drum.predict((0, 0), day=1).remarks)
    hz = (180.0, None) if head == 0 else (None, 230.0)
    drum, strange = (one.observe((0, 0), hz=hz, sd_cents=2, day=1) for one in (drum, new_drum))
    # The chord of so many cents is a little longer than the slope at its foot.
    assert turns_for(drum, head, quarter_cents, (0, 0)) == pytest.approx(0.25, rel=0.15)
    off, strange_off = (abs(turns_for(one, head, quarter_cents, (0, 0)) - 0.25) for one in (drum, strange))
    assert off < strange_off
    known, guessed = (one.slope("top" if head == 0 else "bottom") for one in (drum, strange))
    assert known[1] / known[0] < guessed[1] / guessed[0]


def test_a_new_head_in_place_of_one_never_read_is_like_the_first(new_drum: Response) -> None:
    drum = new_drum.new_head("top", film_mil=10, day=0)
    assert drum.predict((0, 0), day=3) == new_drum.predict((0, 0), day=3)


def test_a_new_calf_head_is_known_to_be_calf(learned: Response) -> None:
    drum = learned.new_head("top", film_mil=14, material="calf", day=1)
    drum = drum.observe((0, 0), hz=(220.0, 300.0), sd_cents=2, day=1)
    sd = drum.predict((0, 0), day=2).sd_cents
    assert (sd[0] or 0) > 50
    assert (sd[1] or 99) < 15


def test_a_new_head_that_cannot_be_is_refused(learned: Response) -> None:
    with pytest.raises(BadValue, match="thickness"):
        learned.new_head("top", film_mil=0, day=1)


def test_a_difference_is_parted_into_turns_and_drift(learned: Response) -> None:
    """A quarter turn of 100 cents was made on top, and it reads 80 higher: 20 cents are drift."""
    here = learned.predict((0, 0), day=0).hz
    now = ((here[0] or 0) * 2 ** (80 / 1200), (here[1] or 0) * 2 ** (-7 / 1200))
    parted = learned.difference((0.25, 0), hz=now)
    assert parted.turns_cents[0] == pytest.approx(100, abs=5)
    assert parted.drift_cents[0] == pytest.approx(-20, abs=5)
    assert parted.turns_cents[1] == pytest.approx(0, abs=2)
    assert parted.drift_cents[1] == pytest.approx(-7, abs=2)
    assert 1 < (parted.sd_cents[0] or 0) < 15


def test_no_difference_is_parted_for_a_head_not_read_or_slack(learned: Response) -> None:
    assert learned.difference((0, 0), hz=(None, 300.0)).drift_cents[0] is None
    assert learned.difference((-20, 0), hz=(30.0, 300.0)).turns_cents[0] is None
    with pytest.raises(BadValue, match="pitch"):
        learned.difference((0, 0), hz=(1.0, None))
