"""Going on with a search after days, taking finer steps, ending it, and keeping a state as a preset."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk
from lugbook.desk.chart import chart
from lugbook.desk.proposing import next_trial
from lugbook.desk.searches import search_now
from lugbook.desk.settling import preset_of_state, refine, resume, settle
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.errors import BadValue, NotFound, NotPossible
from lugbook.records import PerHead

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def searched(desk: Desk, with_drum: Put) -> Desk:
    """A search with two states, the second of them kept."""
    with_drum()
    first = {"words": "flat", "context": "dry étude", "snares": {"values": {"knob": 3.0}}}
    try_state(desk, DRUM, State(top="220", bottom="293.7", values=first))
    better = {"words": "open", "verdict": "better", "sticks": "medium", "temperature_c": 0.0}
    try_state(desk, DRUM, State(turn=PerHead(bottom=0.25), top="221", bottom="311.1", values=better))
    return desk


def test_after_days_the_pitches_say_whether_the_drum_is_where_it_was_left(
    searched: Desk, clock: Clock
) -> None:
    clock.forward(days=4)
    assert any("read both heads again first" in one for one in next_trial(searched, DRUM).remarks)
    found = resume(searched, DRUM, State(top="221.3", bottom="310.5"))

    assert not found.drifted
    assert found.before is not None
    assert found.before.number == 2
    assert found.sentence.startswith(
        "The top head reads 2 cents higher and the bottom head reads 3 cents lower"
    )
    assert found.tried.entry.kind == "reading"
    assert not any("read both heads" in one for one in next_trial(searched, DRUM).remarks)
    assert all(not row.void for row in found.tried.now.rows)


def test_a_drum_that_drifted_begins_anew_where_it_stands(searched: Desk, clock: Clock) -> None:
    clock.forward(days=30)
    found = resume(searched, DRUM, State(top="217", bottom="305"))

    assert found.drifted
    search = found.tried.now.search
    assert search is not None
    assert (search.heard, search.kept) == (((0.0, 0.25),), (0.0, 0.25))
    assert [row.void for row in found.tried.now.rows] == ["heard before the drum drifted"] * 2 + [""]
    assert len(search.untried) == 4


def test_going_on_needs_a_reading_and_a_search(searched: Desk) -> None:
    with pytest.raises(BadValue, match="Neither head was read"):
        resume(searched, DRUM, State())
    with pytest.raises(NotFound, match="no search 'marches'"):
        resume(searched, DRUM, State(top="221"), search="marches")


def test_finer_steps_are_taken_from_the_kept_state(searched: Desk) -> None:
    now = refine(searched, DRUM)
    assert now.search is not None
    assert (now.search.step, now.search.kept) == (0.125, (0.0, 0.25))
    assert set(now.search.untried) == {(0.125, 0.25), (-0.125, 0.25), (0.0, 0.375), (0.0, 0.125)}
    assert chart(searched, now)[-1].turn == "step ⅛"
    refine(searched, DRUM, step=1 / 64)
    with pytest.raises(BadValue, match="no finer step"):
        refine(searched, DRUM)
    with pytest.raises(BadValue, match="no finer step than"):
        refine(searched, DRUM, step=0.25)


def test_eighths_and_sixteenths_are_offered_and_nothing_finer(searched: Desk) -> None:
    """The refinement goes to 1/8 and 1/16; a finer step is taken where it is asked for."""
    offered = []
    for step in (None, 1 / 8, 1 / 16):
        if step is not None:
            refine(searched, DRUM, step=step)
        search = search_now(searched, DRUM).search
        assert search is not None
        for place in search.untried:
            here = search_now(searched, DRUM).place
            turn = PerHead(top=place[0] - here[0], bottom=place[1] - here[1])
            try_state(searched, DRUM, State(turn=turn, values={"verdict": "worse"}))
        offered.append(next_trial(searched, DRUM).why.rpartition("better. ")[2])

    assert offered == [
        "Go on by ⅛ if you like, or keep it as a preset.",
        "Go on by 1/16 if you like, or keep it as a preset.",
        "Keep it as a preset.",
    ]


def test_a_search_ends_when_the_player_says_so_and_goes_on_with_the_next_entry(searched: Desk) -> None:
    now = settle(searched, DRUM)
    assert (now.ended, now.settled) == (True, True)
    assert next_trial(searched, DRUM).why == "You ended this search."
    with pytest.raises(NotPossible, match="was ended already"):
        settle(searched, DRUM)

    begun = try_state(searched, DRUM, State(values={"words": "dry"})).now
    assert begun.name == "search"
    again = try_state(searched, DRUM, State(values={"words": "dry"}), search="dry étude").now
    assert (again.ended, again.settled) == (False, False)


def test_the_kept_state_becomes_a_preset_for_its_music(searched: Desk) -> None:
    kept = preset_of_state(searched, DRUM, "kept", {})
    entry = search_now(searched, DRUM).rows[1].entry

    record = kept.record
    assert (record.name, record.contexts, record.words) == ("Dry étude", ("dry étude",), "open")
    assert (record.target_hz("top"), record.target_hz("bottom")) == (221.0, 311.1)
    assert record.turns.bottom is not None
    assert (record.turns.bottom.amount, record.turns.bottom.count) == (0.25, "bottom-1")
    assert (record.sticks, record.temperature_c, record.entry) == ("medium", 0.0, entry.stands_for)
    assert record.made == entry.at


def test_any_state_can_be_kept_by_its_number_or_id(searched: Desk) -> None:
    first = search_now(searched, DRUM).rows[0].entry
    by_number = preset_of_state(searched, DRUM, "1", {"name": "As it was"})
    by_id = preset_of_state(searched, DRUM, first.stands_for, {"name": "As it was"})

    assert by_number.record.words == by_id.record.words == "flat"
    assert by_number.record.snares.values == {"knob": 3.0}
    assert by_number.id != by_id.id
    with pytest.raises(BadValue, match=r"has no entry 9.*1 to 2"):
        preset_of_state(searched, DRUM, "9", {})
    with pytest.raises(NotFound, match="no entry 'x'"):
        preset_of_state(searched, DRUM, "x", {})


def test_a_kept_state_said_again_without_pitches_keeps_those_that_were_read(searched: Desk) -> None:
    setting = {"values": {"knob": 4.0}}
    try_state(searched, DRUM, State(values={"words": "open", "snares": setting, "muffling": "none"}))
    try_state(searched, DRUM, State(values={"words": "open; one clear note"}))
    record = preset_of_state(searched, DRUM, "kept", {}).record

    assert record.words == "open; one clear note"
    assert record.target_hz("bottom") == 311.1
    assert (record.snares.values, record.muffling, record.sticks) == ({"knob": 4.0}, "none", "medium")
