"""Writing states down: what is added to an entry, what is struck out, and what another machine wrote."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from lugbook.desk import Desk
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_drum
from lugbook.desk.moments import moment_of
from lugbook.desk.recounting import recount
from lugbook.desk.settling import refine, settle
from lugbook.desk.stating import State
from lugbook.desk.trying import add_to, strike_out, try_state
from lugbook.errors import BadValue, ChangedUnderneath, NotPossible
from lugbook.library import Library, Log
from lugbook.records import Entry, PerHead

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def begun(desk: Desk, with_drum: Put) -> Desk:
    """A search with its first state."""
    with_drum()
    try_state(desk, DRUM, State(top="A3", values={"words": "flat", "context": "dry étude"}))
    return desk


@pytest.fixture
def other(begun: Desk, tmp_path: Path, clock: Clock) -> Desk:
    """Another machine at the same library."""
    library = Library(tmp_path / "library", now=clock, writer="ghijkl", lock_folder=tmp_path / "locks")
    return replace(begun, library=library)


def test_a_note_that_is_added_sounds_as_it_was_typed(begun: Desk) -> None:
    """A3 at 442 Hz is 221 Hz; in an entry of 440 Hz it is A3 and 1200·log2(442/440) = 7.85 cents."""
    entry = begun.library.log(DRUM).entries[-1]
    added = add_to(begun, DRUM, entry.stands_for, State(bottom="A3", a4_hz=442.0)).entry

    assert added.a4 == 440.0
    assert added.bottom is not None
    assert added.bottom.hz(a4_hz=added.a4) == pytest.approx(221.0, abs=0.001)
    assert added.top == entry.top


def test_turn_and_time_of_an_entry_stay(begun: Desk, clock: Clock) -> None:
    entry = begun.library.log(DRUM).entries[-1]
    for state in (State(turn=PerHead(top=0.25)), State(values={"at": clock.moment})):
        with pytest.raises(BadValue, match="stay as they are"):
            add_to(begun, DRUM, entry.stands_for, state)
    assert begun.library.log(DRUM).raw == (entry,)


def test_a_turn_of_another_machine_is_counted(begun: Desk, other: Desk, clock: Clock) -> None:
    clock.forward(minutes=1)
    try_state(other, DRUM, State(turn=PerHead(top=0.25)))
    clock.forward(minutes=1)
    done = try_state(begun, DRUM, State(turn=PerHead(top=0.25)))

    assert done.entry.position.top == 0.5
    assert begun.library.problems() == ()


def test_what_would_be_read_before_another_machines_turn_is_refused(
    begun: Desk, other: Desk, clock: Clock
) -> None:
    """Logs of several machines are read by their times: the turn between would not count."""
    before = clock.moment + timedelta(minutes=1)
    clock.forward(minutes=2)
    try_state(other, DRUM, State(turn=PerHead(top=0.25)))
    clock.forward(minutes=1)
    with pytest.raises(BadValue, match="lies before the last entry"):
        try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"at": before}))

    last = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"at": clock.moment})).entry
    assert begun.library.log(DRUM).entries[-1] == last


class Crowded(Library):
    """A library into which another program writes just before each of the first appends."""

    def crowd(self, rival: Callable[[], object], times: int) -> None:
        self._rival, self._times = rival, times

    def append(self, drum: str, entry: Entry, *, unchanged: Log | None = None) -> Entry:
        if self._times:
            self._times -= 1
            self._rival()
        return super().append(drum, entry, unchanged=unchanged)


@pytest.fixture
def crowd(begun: Desk, other: Desk, tmp_path: Path, clock: Clock) -> Callable[[int], Desk]:
    """Return a desk whose rival turns the top head just before it writes, so many times."""

    def crowded(times: int) -> Desk:
        library = Crowded(tmp_path / "library", now=clock, writer="abcdef", lock_folder=tmp_path / "locks")
        library.crowd(lambda: try_state(other, DRUM, State(turn=PerHead(top=0.25))), times)
        return replace(begun, library=library)

    return crowded


def test_an_entry_is_worked_out_anew_when_another_was_written(
    begun: Desk, crowd: Callable[[int], Desk]
) -> None:
    assert try_state(crowd(3), DRUM, State(turn=PerHead(top=0.25))).entry.position.top == 1.0
    refine(crowd(2), DRUM)
    settle(crowd(2), DRUM)
    assert [one.position.top for one in begun.library.log(DRUM).entries][-3:] == [1.75, 2.0, 2.0]
    assert begun.library.problems() == ()
    with pytest.raises(ChangedUnderneath, match="all the time"):
        try_state(crowd(99), DRUM, State(turn=PerHead(top=0.25)))


def test_a_clock_that_is_ahead_on_another_machine_hides_no_turn(
    begun: Desk, other: Desk, clock: Clock
) -> None:
    clock.forward(minutes=5)
    try_state(other, DRUM, State(turn=PerHead(top=0.25)))
    clock.forward(minutes=-5)
    done = try_state(begun, DRUM, State(turn=PerHead(bottom=0.25))).entry

    assert begun.library.log(DRUM).entries[-1] == done
    assert done.position == PerHead(top=0.25, bottom=0.25)
    assert begun.library.problems() == ()


def test_an_entry_with_a_turn_that_something_rests_on_by_now_is_not_struck_out(
    begun: Desk, crowd: Callable[[int], Desk]
) -> None:
    entry = try_state(begun, DRUM, State(turn=PerHead(top=0.25))).entry
    with pytest.raises(NotPossible, match="rest on the turn"):
        strike_out(crowd(1), DRUM, entry.stands_for)


def test_counts_and_rounds_have_a_way_back_of_their_own(begun: Desk) -> None:
    drum = begun.library.drum(DRUM).record
    stopped = {"kind": "round", "round": {"head": "top", "amount": 0.25, "rods_done": "1 6"}}
    entry = write(begun, DRUM, drum, stopped)
    with pytest.raises(NotPossible, match="stopped part-way"):
        strike_out(begun, DRUM, entry.stands_for)


def test_a_new_count_is_not_struck_out(begun: Desk) -> None:
    recount(begun, DRUM, "both")
    counts = [one for one in begun.library.log(DRUM).entries if one.kind == "count"]
    assert counts
    with pytest.raises(NotPossible, match="recount concert-snare --undo"):
        strike_out(begun, DRUM, counts[-1].stands_for)


def test_a_rope_drums_first_state_is_not_held_against_itself(desk: Desk) -> None:
    drum = add_drum(desk, {"name": "March", "diameter_in": 15, "tension": "rope"}).id
    first = try_state(desk, drum, State(top="E3", values={"words": "dark"})).entry
    with pytest.raises(NotPossible, match="nothing was heard before it"):
        add_to(desk, drum, first.stands_for, State(values={"verdict": "better"}))
    second = try_state(desk, drum, State(top="F3")).entry
    added = add_to(desk, drum, second.stands_for, State(values={"verdict": "better"})).entry
    assert added.against == first.stands_for


def test_moments_are_of_today_or_of_a_day_with_the_desks_offset(desk: Desk, clock: Clock) -> None:
    assert moment_of(desk, "14:05") == clock.moment.replace(hour=14, minute=5)
    assert moment_of(desk, "2026-11-03 09:30").isoformat() == "2026-11-03T09:30:00+00:00"
    assert moment_of(desk, "2026-11-03T09:30+01:00").isoformat() == "2026-11-03T09:30:00+01:00"
    for text in ("", "25:00", "2026-11-03", "tomorrow 9:00", "20261103"):
        with pytest.raises(BadValue, match="no time"):
            moment_of(desk, text)
