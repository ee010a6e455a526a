"""Temperature, where it is written down: what a kelvin does is learned, and unknown ones change nothing."""

import math

import numpy as np
import pytest

from lugbook.errors import BadValue
from lugbook.turns import Response

HZ2_PER_KELVIN = -180.0
"""A wooden shell: warmer is lower (the sign that thermal expansion of film and wood gives)."""


def season(temperatures: list[float], *, told: bool) -> Response:
    """A drum of 220 and 300 Hz at 20 °C, read every three days."""
    drum = Response.prior(diameter_in=14, thread_mm=25.4 / 24, day=-400.0)
    for number, celsius in enumerate(temperatures):
        shift = HZ2_PER_KELVIN * (celsius - 20)
        hz = (math.sqrt(220.0**2 + shift), math.sqrt(300.0**2 + shift))
        given = celsius if told else None
        drum = drum.observe((0, 0), hz=hz, sd_cents=2.0, day=3.0 * number, temperature_c=given)
    return drum


@pytest.fixture
def temperatures() -> list[float]:
    return [float(t) for t in np.random.default_rng(1).uniform(14, 26, 24)]


def test_what_a_kelvin_does_is_learned(temperatures: list[float]) -> None:
    """A cold hall, ten kelvin down: the pitch is foretold far better than without the thermometer."""
    cold = 10.0
    truth = math.sqrt(220.0**2 + HZ2_PER_KELVIN * (cold - 20))
    told = season(temperatures, told=True).predict((0, 0), day=75, temperature_c=cold).hz[0]
    blind = season(temperatures, told=False).predict((0, 0), day=75).hz[0]
    assert told is not None
    assert blind is not None
    assert abs(1200 * math.log2(told / truth)) < 0.4 * abs(1200 * math.log2(blind / truth))


def test_a_temperature_beside_one_reading_alone_changes_nothing(temperatures: list[float]) -> None:
    drum = season(temperatures, told=False)
    assert drum.predict((0, 0), day=75, temperature_c=5.0).hz == drum.predict((0, 0), day=75).hz


def test_a_reading_without_one_ends_the_comparison(temperatures: list[float]) -> None:
    drum = season(temperatures, told=True).observe((0, 0), hz=(221.0, 301.0), sd_cents=2.0, day=80)
    assert drum.predict((0, 0), day=81, temperature_c=5.0).hz == drum.predict((0, 0), day=81).hz


def test_both_heads_move_alike_in_the_square(temperatures: list[float]) -> None:
    drum = season(temperatures, told=True)
    moved = []
    for celsius in (20.0, 30.0):
        hz = drum.predict((0, 0), day=75, temperature_c=celsius).hz
        assert hz[0] is not None
        assert hz[1] is not None
        moved.append((hz[0] ** 2, hz[1] ** 2))
    top, bottom = (moved[1][head] - moved[0][head] for head in (0, 1))
    assert top == pytest.approx(bottom)
    assert top < 0


@pytest.mark.parametrize("celsius", [-41.0, 61.0, math.nan, math.inf])
def test_no_room_is_so_cold_or_hot(celsius: float) -> None:
    drum = Response.prior(diameter_in=14, thread_mm=1.0)
    with pytest.raises(BadValue, match="temperature"):
        drum.observe((0, 0), hz=(220, None), sd_cents=3, day=0, temperature_c=celsius)
    with pytest.raises(BadValue, match="temperature"):
        drum.predict((0, 0), day=0, temperature_c=celsius)
