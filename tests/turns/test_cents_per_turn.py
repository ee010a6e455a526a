"""How far a turn of all rods moves a head: the belief before any reading, and what readings make of it."""

import math

import pytest

from lugbook.errors import BadValue
from lugbook.turns import Response
from lugbook.turns.prior import CENTS_PER_TURN, CENTS_PER_TURN_SD


def drum() -> Response:
    return Response.prior(diameter_in=14.0, thread_mm=25.4 / 24)


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_a_head_that_was_never_read_has_the_common_guess(side: str) -> None:
    """On the usual drum it is the figure of common practice, whatever the pitch."""
    mean, sd = drum().cents_per_turn(side, hz=300.0, position=(0.0, 0.0), day=0.0)  # type: ignore[arg-type] # one of two words

    assert (mean, sd) == (CENTS_PER_TURN, CENTS_PER_TURN_SD)


def test_readings_after_turns_narrow_it_to_the_truth() -> None:
    """f² = 220² + 24 000·turns: at 230 Hz a turn is 600/ln 2 · 24 000/230² = 393 cents."""
    known = drum()
    for number, turns in enumerate((0.0, 0.25, 0.5, 0.25, 0.75, 0.5)):
        known = known.observe(
            (turns, 0.0), hz=(math.sqrt(220**2 + 24_000 * turns), None), sd_cents=3.0, day=0.01 * number
        )

    cents, sd = known.cents_per_turn("top", hz=230.0, position=(0.25, 0.0), day=0.1)

    truth = 600 / math.log(2) * 24_000 / 230**2
    assert truth == pytest.approx(393, abs=0.5)
    assert cents == pytest.approx(truth, abs=2.5 * sd)
    assert sd < CENTS_PER_TURN_SD / 2


def test_a_pitch_that_is_none_is_refused() -> None:
    with pytest.raises(BadValue, match="no pitch of a drum head"):
        drum().cents_per_turn("top", hz=0.0, position=(0.0, 0.0), day=0.0)
