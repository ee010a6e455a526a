"""What of a map is shown where not all of it fits: a run around the kept state."""

from hypothesis import given
from hypothesis import strategies as st

from lugbook.trials.mapping import Map

TURNS = st.lists(st.integers(-40, 40).map(lambda n: n / 8), min_size=1, max_size=12, unique=True).map(sorted)


@given(tops=TURNS, bottoms=TURNS, most=st.integers(1, 14), data=st.data())
def test_a_run_around_the_kept_state_is_as_long_as_it_can_be_and_holds_it(
    tops: list[float], bottoms: list[float], most: int, data: st.DataObject
) -> None:
    kept = (data.draw(st.sampled_from(tops)), data.draw(st.sampled_from(bottoms)))
    shown = Map(tuple(tops), tuple(reversed(bottoms)), {}, kept)

    for values, near, centre in zip(
        (tops, bottoms), (shown.tops_near, shown.bottoms_near), kept, strict=True
    ):
        run = near(most)
        first = values.index(run[0])
        assert len(run) == min(most, len(values))
        assert list(run) == values[first : first + len(run)]
        assert centre in run
        # No more on one side than on the other, but where the map ends.
        lower, upper = run.index(centre), len(run) - 1 - run.index(centre)
        assert abs(lower - upper) <= 1 or run[0] == values[0] or run[-1] == values[-1]
