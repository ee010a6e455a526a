"""What is said of a proposal is true of it, wherever the drum stands and on the grid or off it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.trials import Proposal, Search
from lugbook.trials.grid import Place, Scale, apart, place_of
from lugbook.trials.judgments import Verdict
from lugbook.trials.proposals import reason

turns = st.integers(-20, 20).map(lambda eighths: eighths / 8)
pairs = st.tuples(turns, turns)
verdicts = st.sampled_from(["better", "worse", "same"])


def said_truly(search: Search, found: Proposal) -> None:
    """Assert that the reason names the side that is turned, and holds."""
    way = (found.position[0] - search.kept[0], found.position[1] - search.kept[1])
    assert found.turn in way
    assert found.position in search.untried
    words = f"{found.side} {'up' if found.turn > 0 else 'down'}"
    other = f"{found.side} {'down' if found.turn > 0 else 'up'}"
    assert words in found.why.lower()
    assert other not in found.why.lower()
    if "last untried" in found.why:
        assert len(search.untried) == 1
    if "nearest" in found.why:
        far = {one: abs(one[0] - search.here[0]) + abs(one[1] - search.here[1]) for one in search.untried}
        assert far[found.position] == min(far.values()) < max(far.values())
    if "never held" in found.why:
        assert found.position in search.heard


@given(
    st.lists(st.tuples(st.none() | pairs, verdicts), max_size=6),
    st.none() | pairs,
    st.sampled_from([0.25, 0.125, 3 / 64]),
)
@settings(max_examples=60, deadline=None)
def test_each_reason_is_true(
    told: list[tuple[tuple[float, float] | None, Verdict]], here: tuple[float, float] | None, step: float
) -> None:
    """Also of moves of the player's own, and of a drum that stands elsewhere."""
    search = Search(step=step)
    for position, verdict in told:
        asked = search.ask()
        if (position or asked) is not None and position != search.kept:
            search.tell(verdict, position=position)
    found = search.propose(here=here)
    if found is not None:
        said_truly(search, found)


@pytest.mark.parametrize("kept", [(0.125, 0.0), (-0.125, 0.0), (0.0, 0.125), (0.125, -0.125), (0.375, 0.125)])
def test_half_a_step_off_the_grid_each_side_is_named_rightly(kept: tuple[float, float]) -> None:
    search = Search()
    search.tell("better", position=kept)
    asked = []
    while (found := search.propose()) is not None:
        said_truly(search, found)
        asked.append(found.position)
        search.tell("worse")

    assert len(set(asked)) == 4


@given(
    st.tuples(st.integers(-300, 300), st.integers(-300, 300)),
    st.tuples(st.integers(-300, 300), st.integers(-300, 300)),
    st.integers(1, 64),
)
def test_places_a_step_apart_stay_a_step_apart_off_the_grid(place: Place, origin: Place, step: int) -> None:
    scale = Scale(origin, step)
    top, bottom = scale.steps(place)

    assert scale.steps((place[0] + step, place[1] - step)) == (top + 1, bottom - 1)
    assert apart(place, (origin[0] + top * step, origin[1] + bottom * step)) <= step


def test_where_the_drum_stands_is_not_the_last_side_for_that() -> None:
    """It is asked for first since it costs no turn; the others are still left."""
    found = Search().propose(here=(0.25, 0.0))

    assert found is not None
    assert "last untried" not in found.why
    assert "nearest to where the drum stands" in found.why


def test_limits_are_told_in_steps_from_the_origin() -> None:
    scale = Scale(place_of((0.5, -0.25)), 16)

    assert scale.ends((0.0, None), none=-1e9) == (-2.0, -1e9)
    assert scale.ends((1.0, 1.0), none=1e9) == (2.0, 5.0)


def test_what_helped_is_counted() -> None:
    up: Place = (1, 0)
    told = [((1, 0), (0, 0), "better"), ((2, 0), (1, 0), "better"), ((2, 1), (2, 0), "worse")]

    assert reason(up, told=told, left=3, heard=False, near=False) == "Top up helped twice."
    assert reason((0, -1), told=told, left=3, heard=False, near=False).startswith(
        "The other way was not better"
    )
    assert reason((0, 1), told=(), left=4, heard=False, near=False) == "Bottom up was not tried yet."
