"""What a search makes of rounds, touch-ups, drift of one head, and verdicts that come later."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook.desk import Desk
from lugbook.desk.chart import HIDDEN, chart
from lugbook.desk.journal import write
from lugbook.desk.keeping import edit_drum
from lugbook.desk.proposing import next_trial
from lugbook.desk.questions import at_hand, judged_again, read_head
from lugbook.desk.searches import search_now
from lugbook.desk.settling import preset_of_state, refine, resume, settle, settle_as
from lugbook.desk.stating import State
from lugbook.desk.trying import add_to, try_state
from lugbook.errors import BadValue, ChangedUnderneath, Doubtful, NotPossible
from lugbook.records import Entry, PerHead, TouchUp, Verdict

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def begun(desk: Desk, with_drum: Put) -> Desk:
    with_drum()
    try_state(desk, DRUM, State(top="220", bottom="293.7", values={"words": "flat", "context": "dry étude"}))
    return desk


def tried(desk: Desk, verdict: Verdict, **turn: float) -> Entry:
    return try_state(desk, DRUM, State(turn=PerHead(**turn), values={"verdict": verdict})).entry


def test_a_reading_amid_a_round_tells_of_no_place(begun: Desk) -> None:
    """One rod of the top is turned: the head stands between two places."""
    drum = begun.library.drum(DRUM).record
    part = {"head": "top", "amount": 0.25, "rods_done": "1"}
    write(begun, DRUM, drum, {"kind": "round", "round": part, "search": "dry étude"})
    found = try_state(begun, DRUM, State(top="225"))

    assert [row.void for row in found.now.rows] == ["", "", "amid a round of the rods"]
    assert not any("no longer counts" in one for one in found.remarks)


def test_a_touch_up_changes_the_pitch_and_is_no_drift(begun: Desk) -> None:
    rod = TouchUp(head="top", rod=3, amount=1 / 8)
    try_state(begun, DRUM, State(touch_up=rod, top="226"))
    again = try_state(begun, DRUM, State(top="226", bottom="293.7"))

    assert all(not row.void for row in again.now.rows)
    assert again.now.search is not None
    assert again.now.search.heard == ((0.0, 0.0),)
    with pytest.raises(NotPossible, match="moves nothing in the search"):
        try_state(begun, DRUM, State(touch_up=rod, values={"verdict": "better"}))
    with pytest.raises(BadValue, match="not turned by 4"):
        try_state(begun, DRUM, State(touch_up=rod.model_copy(update={"amount": 4.0})))


def test_a_verdict_added_later_holds_against_the_state_that_was_kept_by_then(begun: Desk) -> None:
    second = try_state(begun, DRUM, State(turn=PerHead(top=0.25), top="233")).entry
    third = tried(begun, "better", top=-0.25, bottom=0.25)
    now = add_to(begun, DRUM, second.stands_for, State(values={"verdict": "worse"})).now

    assert now.rows[1].entry.against == third.stands_for
    assert now.search is not None
    assert [(one.heard, one.against, one.verdict) for one, _ in now.judged] == [
        ((16, 0), (0, 16), "worse"),
        ((0, 16), (0, 0), "better"),
    ]
    assert now.search.kept == (0.0, 0.25)


def test_drift_of_a_head_that_was_read_later_is_seen(begun: Desk) -> None:
    """The first entry read the top alone; the bottom is held against its own first reading."""
    tried(begun, "worse", top=0.25)
    try_state(begun, DRUM, State(top="233"))
    try_state(begun, DRUM, State(bottom="300"))
    far = try_state(begun, DRUM, State(bottom="305"))

    assert any("bottom head reads 29 cents higher" in one for one in far.remarks)
    assert far.now.search is not None
    assert far.now.search.heard == ((0.25, 0.0),)


def test_after_drift_nothing_of_before_is_judged(begun: Desk) -> None:
    """Not in the contradictions either; a verdict in the entry that shows the drift is said to be lost."""
    tried(begun, "better", top=0.25)
    tried(begun, "better", bottom=0.25)
    found = try_state(
        begun,
        DRUM,
        State(turn=PerHead(top=-0.25, bottom=-0.25), top="230", bottom="293.7", values={"verdict": "better"}),
    )

    assert found.now.judged == ()
    assert found.now.contradictions == ()
    assert any("Nor does its own verdict" in one for one in found.remarks)


def test_what_was_said_of_drift_is_not_said_for_ever(begun: Desk) -> None:
    try_state(begun, DRUM, State(top="230"))
    assert any("no longer counts" in one for one in search_now(begun, DRUM).remarks)
    tried(begun, "worse", top=0.25)
    assert search_now(begun, DRUM).remarks == ()


def test_of_two_verdicts_on_the_same_states_the_later_counts(begun: Desk) -> None:
    """Heard again in the same place: what was worse is better now, and contradicts nothing."""
    tried(begun, "worse", top=0.25)
    now = try_state(begun, DRUM, State(values={"verdict": "better", "words": "open after all"})).now

    assert now.search is not None
    assert now.search.kept == (0.25, 0.0)
    assert now.contradictions == ()
    assert [row.number for _, row in now.judged] == [3]


def test_a_coarser_step_of_another_writer_takes_nothing_back(begun: Desk) -> None:
    refine(begun, DRUM)
    try_state(begun, DRUM, State(values={"words": "theirs", "step": 0.25}))
    far = try_state(begun, DRUM, State(top="230")).now

    assert far.search is not None
    assert far.search.step == 0.125


def test_a_verdict_of_the_hall_does_not_stop_the_search(begun: Desk) -> None:
    values = {"verdict": "better", "heard": "in the hall", "words": "wide"}
    try_state(begun, DRUM, State(turn=PerHead(top=0.25), values=values))
    found = next_trial(begun, DRUM)

    assert found.now.waiting is None
    assert found.proposal is not None
    assert found.proposal.position == (0.25, 0.0)


def test_music_whose_first_search_was_ended_goes_on_in_the_second(begun: Desk) -> None:
    settle(begun, DRUM)
    names = [
        try_state(begun, DRUM, State(values={"words": word, "context": "dry étude"})).now.name
        for word in ("a", "b", "c")
    ]
    assert names == ["dry étude 2"] * 3


def test_a_drum_past_its_limit_is_searched_from_where_it_stands(begun: Desk) -> None:
    edit_drum(begun, DRUM, {"top": {"turns_max": -0.5}, "bottom": {"turns_min": 0.5}})
    now = search_now(begun, DRUM)
    assert now.search is not None
    assert set(now.search.past_limits) == {(0.25, 0.0), (0.0, -0.25)}


def test_a_limit_in_hertz_closes_the_side_beyond_what_read_above_it(begun: Desk) -> None:
    edit_drum(begun, DRUM, {"bottom": {"hz_max": 300.0}})
    high = try_state(
        begun, DRUM, State(turn=PerHead(bottom=0.25), bottom="312", values={"verdict": "better"})
    )
    assert any("312 Hz is above the bottom head's limit of 300 Hz" in one for one in high.remarks)
    assert high.now.search is not None
    assert (0.0, 0.5) in high.now.search.past_limits

    back = tried(begun, "better", bottom=-0.25)
    now = search_now(begun, DRUM)
    assert back.position.bottom == 0.0
    assert now.search is not None
    assert (0.0, 0.25) not in now.search.untried


def test_nothing_is_written_into_an_entry_of_another_day(begun: Desk, clock: Clock) -> None:
    """After days both heads are read again where the drum stands, in an entry of today."""
    clock.forward(days=8)
    at = at_hand(begun, search_now(begun, DRUM))
    assert at.waits
    assert [one.about for one in at.questions] == ["top", "bottom"]
    found = read_head(begun, at, "top", "219.5")

    rows = found.at.now.rows
    assert len(rows) == 2
    assert rows[1].entry.at == clock.moment
    assert [one.about for one in found.at.questions] == ["bottom"]


def test_a_reading_far_from_what_the_place_read_is_asked_about(begun: Desk, clock: Clock) -> None:
    """It would make the whole search void: one of the other head, or of another drum."""
    clock.forward(days=8)
    at = at_hand(begun, search_now(begun, DRUM))
    with pytest.raises(Doubtful, match="above what it read here"):
        read_head(begun, at, "top", "262")
    assert len(search_now(begun, DRUM).rows) == 1
    assert read_head(begun, at, "top", "262", insisted=True).at.now.rows[0].void


def test_a_verdict_is_said_again_and_the_words_stay(begun: Desk) -> None:
    from lugbook.desk.questions import Question, answer

    values = {"verdict": "better", "words": "open"}
    try_state(begun, DRUM, State(turn=PerHead(top=0.25), values=values))
    at = judged_again(search_now(begun, DRUM), 2)
    found = answer(begun, at, Question("verdict"), "worse")

    assert found.at.questions == ()
    assert (found.at.now.rows[1].entry.verdict, found.at.now.rows[1].entry.words) == ("worse", "open")
    assert found.at.now.search is not None
    assert found.at.now.search.kept == (0.0, 0.0)


@pytest.mark.parametrize("name", ["", "   "])
def test_a_blank_is_no_name(begun: Desk, name: str) -> None:
    with pytest.raises(BadValue, match="needs a name"):
        try_state(begun, DRUM, State(values={"words": "dry"}), search=name)
    with pytest.raises(BadValue, match="names no music"):
        try_state(begun, DRUM, State(values={"words": "dry", "context": "  "}))


def test_the_first_state_and_one_that_no_longer_counts_are_not_judged(begun: Desk) -> None:
    first = search_now(begun, DRUM).rows[0].entry
    tried(begun, "better", top=0.25)
    with pytest.raises(NotPossible, match="nothing was heard before it"):
        add_to(begun, DRUM, first.stands_for, State(values={"verdict": "worse"}))
    try_state(begun, DRUM, State(turn=PerHead(top=-0.25), top="230"))
    with pytest.raises(NotPossible, match="no longer counts"):
        add_to(begun, DRUM, first.stands_for, State(values={"verdict": "worse"}))


def test_a_preset_and_the_end_of_its_search_come_together_or_not_at_all(
    begun: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_: object, **__: object) -> Entry:
        raise ChangedUnderneath("busy")

    before = set(begun.library.presets().items)
    monkeypatch.setattr(begun.library, "append", busy)
    with pytest.raises(ChangedUnderneath):
        settle_as(begun, DRUM, "Dry")
    assert set(begun.library.presets().items) == before


def test_a_kept_state_whose_pitches_stand_in_another_entry_keeps_their_concert_pitch(begun: Desk) -> None:
    """A3 at 440 Hz is not A3 at 442."""
    try_state(begun, DRUM, State(turn=PerHead(top=0.25), top="B3", a4_hz=442.0, values={"verdict": "better"}))
    try_state(begun, DRUM, State(values={"words": "open"}))
    kept = preset_of_state(begun, DRUM, "kept", {}).record

    assert (kept.a4, kept.words) == (442.0, "open")


def test_pitches_stay_hidden_while_the_verdict_is_still_to_come(begun: Desk) -> None:
    hiding = replace(begun, user=begun.user.model_copy(update={"hide_pitches": True}))
    entry = try_state(hiding, DRUM, State(turn=PerHead(top=0.25), top="233", values={"words": "open"})).entry
    assert chart(hiding, search_now(hiding, DRUM))[-1].top == HIDDEN

    add_to(hiding, DRUM, entry.stands_for, State(values={"verdict": "worse"}))
    assert chart(hiding, search_now(hiding, DRUM))[-1].top != HIDDEN


def test_a_settled_search_is_not_asked_to_be_read_again(begun: Desk, clock: Clock) -> None:
    for side, amount in (("top", 0.25), ("top", -0.25), ("bottom", 0.25), ("bottom", -0.25)):
        tried(begun, "worse", **{side: amount})
        write_back(begun)
    clock.forward(days=20)
    found = next_trial(begun, DRUM)

    assert found.now.settled
    assert not any("read both heads" in one for one in found.remarks)


def write_back(desk: Desk) -> None:
    """Turn both heads back to where the search began."""
    drum, now = desk.library.drum(DRUM).record, search_now(desk, DRUM)
    back = {side: -amount for side in ("top", "bottom") if (amount := now.here.of(side))}
    write(
        desk,
        DRUM,
        drum,
        {"kind": "turn", "turn": back, "search": now.name},
        position=PerHead(top=0, bottom=0),
    )


def test_resuming_says_what_no_longer_counts(begun: Desk, clock: Clock) -> None:
    tried(begun, "worse", top=0.25)
    write_back(begun)
    clock.forward(days=3)
    near = resume(begun, DRUM, State(top="220.5", bottom="293"))
    assert (near.drifted, near.void) == (False, ())
    far = resume(begun, DRUM, State(top="226", bottom="293"))
    assert far.drifted
    assert [row.number for row in far.void] == [1, 2, 3, 4]
