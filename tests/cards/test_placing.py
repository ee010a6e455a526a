"""Labels that keep their distance, and round steps of a scale."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.isotonic import IsotonicRegression  # type: ignore[import-untyped]  # it ships no types

from lugbook.cards.drawing import cut, fitting, text_width, wrapped
from lugbook.cards.placing import Shelf, round_step, spread

PLACES = st.lists(st.floats(-500, 1500), max_size=40).map(sorted)


@given(PLACES, st.floats(0.1, 60))
def test_labels_keep_their_distance_within_bounds(wanted: list[float], gap: float) -> None:
    """In order, within bounds, and apart by the gap, or by what there is room for."""
    places = spread(wanted, gap=gap, low=0, high=1000)
    room = min(gap, 1000 / max(len(wanted) - 1, 1))

    assert len(places) == len(wanted)
    assert all(-1e-6 <= place <= 1000 + 1e-6 for place in places)
    assert all(after - before >= room - 1e-6 for before, after in pairwise(places))


def test_what_is_apart_already_stays() -> None:
    """Labels with room are not moved."""
    assert spread([10, 40, 90], gap=20, low=0, high=100) == [10, 40, 90]
    assert spread([], gap=20, low=0, high=100) == []


@given(PLACES.filter(bool), st.floats(0.1, 20))
def test_the_shifts_are_the_least_there_are(wanted: list[float], gap: float) -> None:
    """Far from the bounds it is isotonic regression, as scikit-learn computes it."""
    steps = np.arange(len(wanted)) * gap
    fitted = IsotonicRegression().fit_transform(np.arange(len(wanted)), np.array(wanted) - steps) + steps

    assert spread(wanted, gap=gap, low=-5000, high=5000) == pytest.approx(list(fitted), abs=1e-6)


@given(st.floats(1e-6, 1e9), st.integers(1, 12))
def test_a_scale_has_round_steps(span: float, most: int) -> None:
    """A step is 1, 2 or 5 times a power of ten and gives no more parts than wanted; a smaller one would."""
    step = round_step(span, most=most)
    digits = step / 10 ** math.floor(math.log10(step) + 1e-9)

    assert min(abs(digits - one) for one in (1, 2, 5)) < 1e-6
    assert span / step <= most * (1 + 1e-6)
    assert span / (step / 2.5) > most * (1 - 1e-6)


def test_a_scale_of_nothing_has_a_step_too() -> None:
    """No span, no step to work out: 1."""
    assert (round_step(0.0, most=5), round_step(math.inf, most=5)) == (1.0, 1.0)


def test_a_shelf_is_taken_once() -> None:
    """A label takes its room; what would run into it finds none."""
    shelf = Shelf(gap=5)

    assert shelf.take(0, 10)
    assert not shelf.take(12, 20)
    assert shelf.take(15, 20)


@given(st.text(max_size=80), st.floats(0, 400))
def test_a_text_is_cut_to_its_room(text: str, width: float) -> None:
    """What is left is no wider than the room, and is the beginning of the text."""
    short = cut(text, size=16, width=width)

    assert text_width(short, size=16) <= width + 1e-9
    assert short == text or text.startswith(short.removesuffix("…"))


@given(st.text(alphabet="ab ü漢W", max_size=120), st.floats(20, 400))
def test_lines_are_broken_between_words(text: str, width: float) -> None:
    """Every line fits; no word is lost where each one fits."""
    lines = wrapped(text, size=16, width=width)

    assert all(text_width(line, size=16) <= width + 1e-9 for line in lines)
    if all(text_width(word, size=16) <= width for word in text.split()):
        assert " ".join(lines).split() == text.split()


def test_letters_shrink_to_fit() -> None:
    """A text that fits keeps its size; one that is too wide gets letters that make it fit."""
    assert fitting("B3", size=92, width=400) == 92
    small = fitting("B♭3 −50", size=92, width=200)
    assert text_width("B♭3 −50", size=small) == pytest.approx(200)
