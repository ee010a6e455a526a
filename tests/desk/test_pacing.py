"""How long a change takes: rods, passes, turning over, the strainer."""

import pytest

from lugbook.desk.pacing import seconds_for
from lugbook.records import Drum, HeadSide, Side, UserSettings

PLAYER = UserSettings(writer="abcdef", pace=2.0, turn_over_s=20.0)


@pytest.mark.parametrize(
    ("turns", "set_snares", "seconds"),
    [
        ({}, False, 0),
        ({}, True, 5),
        ({"top": 0.25}, False, 10 * 2),
        ({"top": -0.25}, False, 2 * 10 * 2),
        ({"bottom": 0.25}, True, 8 * 2 + 2 * 20 + 5 + 5),
        ({"top": 0.25, "bottom": -0.25}, True, 10 * 2 + 2 * 8 * 2 + 2 * 20 + 5 + 5),
    ],
)
def test_the_parts_add_up(turns: dict[HeadSide, float], set_snares: bool, seconds: float) -> None:
    """Each pass counts; the drum is turned over there and back only for its bottom."""
    drum = Drum(name="Snare", diameter_in=14, top=Side(rods=10), bottom=Side(rods=8))

    assert seconds_for(PLAYER, drum, turns, set_snares=set_snares) == seconds


def test_in_single_tension_the_rods_are_turned_once() -> None:
    drum = Drum(name="Old", diameter_in=14, tension="single")

    assert seconds_for(PLAYER, drum, {"top": 0.25, "bottom": 0.25}, set_snares=False) == 10 * 2
