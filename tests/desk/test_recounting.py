"""A lost count: turns are void from then on, for that head alone; pitches stay; a mistake is taken back."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk
from lugbook.desk.fitting import add_head, remove_head
from lugbook.desk.journal import position_now, write
from lugbook.desk.keeping import BadRecord, add_preset, position_values
from lugbook.desk.recounting import LOST, question, recount, take_back
from lugbook.desk.retuning import retune
from lugbook.errors import BadValue, NotPossible
from lugbook.records import SIDES, PerHead

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def turned(desk: Desk, with_drum: Put) -> Desk:
    """A drum that was turned by a quarter (top) and a half (bottom), with a preset there."""
    with_drum()
    drum = desk.library.drum(DRUM).record
    write(
        desk,
        DRUM,
        drum,
        {"kind": "turn", "turn": {"top": 0.25, "bottom": 0.5}},
        position=PerHead(top=0.25, bottom=0.5),
    )
    turns = {side: position_values(drum, side, at) for side, at in (("top", 0.25), ("bottom", 0.5))}  # type: ignore[arg-type] # literal sides
    add_preset(desk, DRUM, {"name": "Turned", "top": {"pitch": "A3"}, "turns": turns})
    return desk


def test_only_the_named_head_stands_at_nought(turned: Desk) -> None:
    done = recount(turned, DRUM, "top", reference="finger tight, then one turn")

    drum = turned.library.drum(DRUM).record
    assert [(count.id, count.reference, count.why) for count in done.counts] == [
        ("top-2", "finger tight, then one turn", LOST)
    ]
    assert done.presets == (f"{DRUM}/turned",)
    assert position_now(turned, DRUM, drum) == PerHead(top=0.0, bottom=0.5)
    assert turned.library.log(DRUM).entries[-1].kind == "count"
    assert turned.library.log(DRUM).problems == ()


def test_both_heads_have_counts_of_their_own(turned: Desk) -> None:
    assert [count.id for count in recount(turned, DRUM, "both").counts] == ["top-2", "bottom-2"]
    assert position_now(turned, DRUM, turned.library.drum(DRUM).record) == PerHead(top=0.0, bottom=0.0)


def test_in_single_tension_one_count_is_begun_for_both(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    assert [(count.id, count.side) for count in recount(desk, DRUM, "top").counts] == [("both-2", "both")]


def test_pitch_still_brings_the_drum_back(turned: Desk) -> None:
    recount(turned, DRUM, "both")
    advice = retune(turned, f"{DRUM}/dry-etude", top="A3-40", bottom="D4")
    assert advice.top is not None
    assert advice.top.amount > 0


def test_a_mistake_is_taken_back(turned: Desk) -> None:
    recount(turned, DRUM, "both")
    back = take_back(turned, DRUM, "both")

    assert [count.id for count in back.counts] == ["top-1", "bottom-1"]
    assert back.presets == (f"{DRUM}/turned",)
    assert position_now(turned, DRUM, turned.library.drum(DRUM).record) == PerHead(top=0.25, bottom=0.5)
    assert turned.library.log(DRUM).problems == ()
    # The logbook is only added to, and an id that was used is not used again.
    assert [entry.kind for entry in turned.library.log(DRUM).raw] == [
        "turn",
        "count",
        "count",
        "count",
        "count",
    ]
    assert [count.id for count in recount(turned, DRUM, "top").counts] == ["top-3"]


def test_of_two_counts_the_later_one_goes_first(turned: Desk) -> None:
    """The entry that began the bottom's count names the top's: it must not be struck out with that."""
    recount(turned, DRUM, "both")
    with pytest.raises(NotPossible, match="began after"):
        take_back(turned, DRUM, "top")
    take_back(turned, DRUM, "bottom")
    assert [count.id for count in take_back(turned, DRUM, "top").counts] == ["top-1"]
    assert turned.library.log(DRUM).problems == ()


def test_a_head_is_removed_without_the_other_heads_later_count(turned: Desk) -> None:
    head = add_head(turned, DRUM, "top", {})
    recount(turned, DRUM, "bottom")
    said = remove_head(turned, DRUM, head.id)
    assert any("Turns stay in its count" in one for one in said)
    count = turned.library.drum(DRUM).record.count_of("bottom")
    assert count is not None
    assert count.id == "bottom-2"
    assert turned.library.log(DRUM).entries[-1].count.bottom == "bottom-2"


def test_what_was_written_down_since_keeps_the_count(turned: Desk) -> None:
    recount(turned, DRUM, "top")
    write(turned, DRUM, turned.library.drum(DRUM).record, {"kind": "reading", "top": {"pitch": "A3"}})
    with pytest.raises(NotPossible, match="written down"):
        take_back(turned, DRUM, "top")
    recount(turned, DRUM, "bottom")
    assert [count.id for count in take_back(turned, DRUM, "bottom").counts] == ["bottom-1"]


def test_a_head_is_no_mistaken_count(turned: Desk) -> None:
    add_head(turned, DRUM, "top", {})
    with pytest.raises(NotPossible, match="new head"):
        take_back(turned, DRUM, "top")
    with pytest.raises(NotPossible, match="first one"):
        take_back(turned, DRUM, "bottom")


def test_of_both_heads_only_a_mistaken_count_is_taken_back(turned: Desk) -> None:
    """The bottom head is new and keeps its count; that is said."""
    add_head(turned, DRUM, "bottom", {})
    recount(turned, DRUM, "top")
    back = take_back(turned, DRUM, "both")

    assert [count.id for count in back.counts] == ["top-1"]
    assert any("bottom head stays as it is" in one for one in back.remarks)
    now = turned.library.drum(DRUM).record
    assert [count.id for side in SIDES if (count := now.count_of(side))] == ["top-1", "bottom-2"]


def test_a_count_before_a_new_head_is_not_taken_back(turned: Desk) -> None:
    recount(turned, DRUM, "top")
    add_head(turned, DRUM, "bottom", {})
    with pytest.raises(NotPossible, match="began after"):
        take_back(turned, DRUM, "both")


def test_a_question_names_what_would_be_void(turned: Desk) -> None:
    assert f"The turns of the top head in {DRUM}/turned will be void" in question(turned, DRUM, "top")
    recount(turned, DRUM, "top")
    assert "No preset keeps turns of the top head" in question(turned, DRUM, "top")


def test_a_round_stopped_part_way_ends_with_its_count(turned: Desk) -> None:
    write(
        turned,
        DRUM,
        turned.library.drum(DRUM).record,
        {"kind": "round", "round": {"head": "top", "amount": 0.25, "rods_done": "1 6"}},
    )
    assert recount(turned, DRUM, "bottom").remarks == ()
    assert recount(turned, DRUM, "top").remarks == (
        "The round of the top head that was stopped part-way ends with its count.",
    )


def test_rope_has_no_counts(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="rope")
    with pytest.raises(NotPossible, match="rope"):
        recount(desk, DRUM, "top")


@pytest.mark.parametrize("reference", ["", "  "])
def test_a_reference_is_said_in_words(turned: Desk, reference: str) -> None:
    with pytest.raises(BadValue, match="state it starts from"):
        recount(turned, DRUM, "top", reference=reference)


def test_control_characters_get_into_no_reference(turned: Desk) -> None:
    before = turned.library.drum(DRUM).record
    with pytest.raises(BadRecord, match="control character"):
        recount(turned, DRUM, "top", reference="finger\x1b[31m tight")
    assert turned.library.drum(DRUM).record == before
