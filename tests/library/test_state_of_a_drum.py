"""What a log says about the drum now: positions, an unfinished round, gaps."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.library import Library, gaps, open_round, open_round_entry, position_of
from lugbook.records import Count, Drum, Entry, Position

MakeEntry = Callable[..., Entry]


def _drum(*counts: tuple[str, str], tension: str = "separate") -> Drum:
    return Drum.model_validate(
        {
            "name": "Field",
            "diameter_in": 14,
            "tension": tension,
            "counts": [
                {"id": one, "side": side, "since": "2026-05-03T10:00:00+02:00"} for one, side in counts
            ],
        }
    )


TWO_COUNTS = _drum(("top-1", "top"), ("bottom-1", "bottom"))


def _at(top: float | None = None, bottom: float | None = None) -> dict[str, Any]:
    """Fields of an entry after which the heads stand so, in their first counts."""
    return {"position": {"top": top, "bottom": bottom}, "count": {"top": "top-1", "bottom": "bottom-1"}}


def test_a_count_begins_at_its_reference() -> None:
    positions = position_of(TWO_COUNTS, [])

    assert positions.top == Position(amount=0, count="top-1")
    assert positions.bottom == Position(amount=0, count="bottom-1")


def test_a_head_without_a_count_has_no_position(make_entry: MakeEntry) -> None:
    positions = position_of(_drum(("top-1", "top")), [make_entry(1, **_at(top=1, bottom=2))])

    assert positions.top == Position(amount=1, count="top-1")
    assert positions.bottom is None


def test_the_position_is_the_last_entrys_for_each_head(make_entry: MakeEntry) -> None:
    entries = [make_entry(1, **_at(top=1.25, bottom=0.5)), make_entry(2, **_at(top=1.5)), make_entry(3)]
    positions = position_of(TWO_COUNTS, iter(entries))

    assert positions.top == Position(amount=1.5, count="top-1")
    assert positions.bottom == Position(amount=0.5, count="bottom-1")


def test_turns_of_an_older_count_are_void_for_that_head_only(make_entry: MakeEntry) -> None:
    newer = _drum(("top-1", "top"), ("bottom-1", "bottom"), ("top-2", "top"))
    positions = position_of(newer, [make_entry(1, **_at(top=1.25, bottom=0.5))])

    assert positions.top == Position(amount=0, count="top-2")
    assert positions.bottom == Position(amount=0.5, count="bottom-1")


def test_a_position_that_names_no_count_counts_for_nothing(make_entry: MakeEntry) -> None:
    positions = position_of(TWO_COUNTS, [make_entry(1, position={"top": 2})])

    assert positions.top == Position(amount=0, count="top-1")


def test_on_a_drum_of_single_tension_one_position_is_that_of_both_heads(make_entry: MakeEntry) -> None:
    single = _drum(("both-1", "both"), tension="single")
    positions = position_of(single, [make_entry(1, position={"top": 0.75}, count={"top": "both-1"})])

    assert positions.top == positions.bottom == Position(amount=0.75, count="both-1")


def _round(rods: str = "1 6", head: str = "top", **more: Any) -> dict[str, Any]:  # noqa: ANN401 -- fields of Entry
    return {"kind": "round", "round": {"head": head, "amount": 0.25, "rods_done": rods}, **more}


def test_a_round_that_was_begun_is_open(make_entry: MakeEntry) -> None:
    entry = make_entry(1, **_round())

    assert open_round([entry, make_entry(2, kind="reading"), make_entry(3)]) == entry.round
    assert open_round_entry([entry]) == entry
    assert entry.round is not None
    assert entry.round.done() == (1, 6)


@pytest.mark.parametrize(
    "after",
    [
        {"kind": "turn", "turn": {"top": 0.25}},
        {"kind": "turn", "turn": {"top": 0.25, "bottom": -0.25}},
        {"kind": "count", "count": {"top": "top-2"}},
    ],
)
def test_a_turn_or_a_new_count_of_that_head_ends_a_round(
    make_entry: MakeEntry, after: dict[str, Any]
) -> None:
    assert open_round([make_entry(1, **_round()), make_entry(2, **after)]) is None


@pytest.mark.parametrize(
    "after",
    [
        {"kind": "turn", "turn": {"bottom": 0.25}},
        {"kind": "count", "count": {"bottom": "bottom-2"}},
        {"kind": "touch-up", "touch_up": {"head": "top", "rod": 3, "amount": 0.0625}},
        {"kind": "remark"},
    ],
)
def test_what_does_not_move_all_rods_of_that_head_leaves_the_round_open(
    make_entry: MakeEntry, after: dict[str, Any]
) -> None:
    entry = make_entry(1, **_round())

    assert open_round([entry, make_entry(2, **after)]) == entry.round


def test_nothing_is_open_in_an_empty_log_or_one_without_rounds(make_entry: MakeEntry) -> None:
    assert open_round([]) is None
    assert open_round([make_entry(1, kind="turn", turn={"top": 1})]) is None
    assert open_round([make_entry(1, kind="round")]) is None


def test_a_round_that_was_taken_back_is_not_open(library: Library, drum: str, make_entry: MakeEntry) -> None:
    entry = library.append(drum, make_entry(1, **_round()))
    library.append(drum, make_entry(2, kind="round", corrects=entry.id, void=True))

    assert open_round(library.log(drum).entries) is None


def test_positions_that_fit_have_no_gaps(make_entry: MakeEntry) -> None:
    entries = [
        make_entry(1, kind="turn", turn={"top": 0.25}, **_at(top=0.25, bottom=0)),
        make_entry(2, kind="reading", **_at(top=0.25)),
        make_entry(3),
        make_entry(4, kind="turn", turn={"top": -0.5, "bottom": 1}, **_at(top=-0.25, bottom=1)),
    ]

    assert gaps(TWO_COUNTS, entries) == ()


def test_a_gap_is_a_problem_that_says_what_would_fit(make_entry: MakeEntry) -> None:
    entries = [
        make_entry(1, **_at(top=1)),
        make_entry(2, kind="turn", turn={"top": -0.25}, **_at(top=1.25)),
        make_entry(3, **_at(top=1.25)),
    ]
    problems = gaps(TWO_COUNTS, entries, folder=Path("drums/x/log"))

    assert len(problems) == 1
    assert problems[0].sentence() == (
        f"drums/x/log, entry {entries[1].id}: the top head stood at 1, was turned by −¼, and is said to "
        "stand at 1¼. Right would be: ¾, or an entry between them."
    )


def test_a_new_count_makes_no_gap(make_entry: MakeEntry) -> None:
    drum = _drum(("top-1", "top"), ("bottom-1", "bottom"), ("top-2", "top"))
    entries = [
        make_entry(1, **_at(top=3)),
        make_entry(2, kind="count", position={"top": 0}, count={"top": "top-2"}),
        make_entry(3, kind="turn", turn={"top": 0.5}, position={"top": 0.5}, count={"top": "top-2"}),
    ]

    assert gaps(drum, entries) == ()


@pytest.mark.parametrize(
    ("drum", "count", "what", "right"),
    [
        (TWO_COUNTS, None, "the position of the top head names no count", "one of bottom-1, top-1"),
        (TWO_COUNTS, "top-9", "names the count top-9, which the drum has not", "one of bottom-1, top-1"),
        (_drum(), "top-1", "names the count top-1, which the drum has not", "a count in drum.toml"),
    ],
)
def test_a_position_of_no_count_is_a_problem(
    make_entry: MakeEntry, drum: Drum, count: str | None, what: str, right: str
) -> None:
    problems = gaps(drum, [make_entry(1, position={"top": 1}, count={"top": count})])

    assert len(problems) == 1
    assert what in problems[0].what
    assert problems[0].right == right


def test_gaps_are_among_the_problems_of_a_library(library: Library, drum: str, make_entry: MakeEntry) -> None:
    library.append(drum, make_entry(1, **_at(top=1)))
    library.append(drum, make_entry(2, **_at(top=2)))

    assert [problem.where for problem in library.problems()] == [f"entry {make_entry(2).id}"]


@given(turns=st.lists(st.tuples(st.sampled_from(["top", "bottom"]), st.integers(-64, 64)), max_size=30))
def test_turns_written_with_their_positions_never_gap_and_end_at_their_sum(
    turns: list[tuple[str, int]],
) -> None:
    sums = {"top": 0.0, "bottom": 0.0}
    entries = []
    for number, (side, grains) in enumerate(turns):
        sums[side] += grains / 64
        entries.append(
            Entry.model_validate(
                {
                    "at": "2026-11-25T19:12:04+01:00",
                    "kind": "turn",
                    "turn": {side: grains / 64},
                    "id": f"20261125T181204Z-kqmzpt-a{chr(97 + number // 26)}{chr(97 + number % 26)}a",
                    **_at(**sums),
                }
            )
        )
    positions = position_of(TWO_COUNTS, entries)

    assert gaps(TWO_COUNTS, entries) == ()
    assert positions.top is not None
    assert positions.bottom is not None
    assert (positions.top.amount, positions.bottom.amount) == (sums["top"], sums["bottom"])


def test_counts_are_told_by_the_drum() -> None:
    assert TWO_COUNTS.count_of("top") == Count.model_validate(
        {"id": "top-1", "side": "top", "since": "2026-05-03T10:00:00+02:00"}
    )
