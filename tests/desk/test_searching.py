"""Searches as the logbook tells them: the first state, verdicts, what no longer counts, what is proposed."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook.desk import Desk
from lugbook.desk.chart import chart, search_map
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import write
from lugbook.desk.keeping import BadRecord, add_drum, edit_drum
from lugbook.desk.proposing import next_trial
from lugbook.desk.recounting import recount
from lugbook.desk.searches import SearchNow, search_now
from lugbook.desk.stating import State
from lugbook.desk.trying import add_to, strike_out, try_state
from lugbook.errors import BadValue, NotFound, NotPossible
from lugbook.records import PerHead, TouchUp, Verdict

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def begun(desk: Desk, with_drum: Put) -> Desk:
    """A search for the dry étude, with its first state written down."""
    with_drum()
    try_state(desk, DRUM, State(top="220", bottom="293.7", values={"words": "flat", "context": "dry étude"}))
    return desk


def tried(desk: Desk, verdict: Verdict | None, *, words: str = "", **turn: float) -> SearchNow:
    """Turn a head, and say the verdict."""
    values = {"verdict": verdict, "words": words} if verdict else {"words": words}
    return try_state(desk, DRUM, State(turn=PerHead(**turn), values=values)).now


def place(now: SearchNow) -> tuple[float, float]:
    assert now.search is not None
    return now.search.kept


def test_the_first_state_is_heard_and_kept(begun: Desk) -> None:
    now = search_now(begun, DRUM)

    assert (now.name, now.context, now.heard) == ("dry étude", "dry étude", "at the drum")
    assert place(now) == (0.0, 0.0)
    assert now.kept is not None
    assert now.kept.entry.words == "flat"
    assert not now.settled
    assert len(now.search.untried if now.search else ()) == 4


def test_a_better_state_is_kept_and_holds_the_next_verdicts(begun: Desk) -> None:
    first = search_now(begun, DRUM).rows[0].entry
    better = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "better"}))
    worse = try_state(begun, DRUM, State(turn=PerHead(bottom=-0.25), values={"verdict": "worse"}))

    assert better.entry.against == first.stands_for
    assert worse.entry.against == better.entry.stands_for
    assert place(worse.now) == (0.25, 0.0)
    assert worse.entry.position == PerHead(top=0.25, bottom=-0.25)


def test_the_sums_of_a_pencil_chart_add_up(begun: Desk) -> None:
    """A quarter made as the seventh is 1¾ in sum (common practice, no source)."""
    for _ in range(7):
        now = tried(begun, "better", bottom=0.25)

    assert chart(begun, now)[-1].bottom_sum == "1¾"
    assert chart(begun, now)[-1].turn == "bottom +¼"
    assert chart(begun, now)[-1].verdict == "better, kept"
    assert begun.library.log(DRUM).problems == ()


def test_a_search_is_settled_when_all_four_sides_were_worse(begun: Desk) -> None:
    """A good state is done only when all four sides are worse (common practice, no source)."""
    for head, amount in (("top", 0.25), ("top", -0.25), ("bottom", 0.25), ("bottom", -0.25)):
        turn = {head: amount}
        now = tried(begun, "worse", **turn)  # type: ignore[arg-type]  # a head, never words
        assert now.settled == (head == "bottom" and amount < 0)
        tried(begun, None, words="back", top=-turn.get("top", 0.0), bottom=-turn.get("bottom", 0.0))

    found = next_trial(begun, DRUM)
    assert found.proposal is None
    assert found.why.startswith("Settled: no neighbour of the kept state")
    assert "⅛" in found.why


def test_a_neighbour_that_was_beaten_on_the_way_is_closed(begun: Desk) -> None:
    """A over B over C: the start, beaten twice over, is not proposed again."""
    tried(begun, "better", top=0.25)
    now = tried(begun, "better", bottom=0.25)

    assert now.search is not None
    assert set(now.search.untried) == {(0.5, 0.25), (0.0, 0.25), (0.25, 0.5)}


def test_what_waits_for_its_verdict_is_asked_for_first(begun: Desk) -> None:
    entry = try_state(begun, DRUM, State(turn=PerHead(top=0.25), top="B3")).entry
    found = next_trial(begun, DRUM)
    assert found.proposal is None
    assert "Entry 2" in found.why
    assert "no verdict yet" in found.why

    now = add_to(begun, DRUM, entry.stands_for, State(values={"words": "open", "verdict": "better"})).now
    assert len(now.rows) == 2
    assert (now.rows[1].entry.words, now.rows[1].entry.turn.top) == ("open", 0.25)
    assert place(now) == (0.25, 0.0)
    assert next_trial(begun, DRUM).proposal is not None


def test_a_head_that_was_only_turned_is_heard_where_it_stands(begun: Desk) -> None:
    """Half of a move that was left off, or a state turned to and not yet heard: it costs no turn."""
    write(
        begun,
        DRUM,
        begun.library.drum(DRUM).record,
        {"kind": "turn", "turn": {"top": -0.25}, "search": "dry étude"},
        position=PerHead(top=-0.25, bottom=0.0),
    )
    found = next_trial(begun, DRUM)

    assert found.proposal is not None
    assert found.proposal.position == (-0.25, 0.0)
    assert found.moves == {}


def test_the_way_to_a_proposal_begins_where_the_drum_stands(begun: Desk) -> None:
    tried(begun, "worse", top=0.25)
    found = next_trial(begun, DRUM)

    assert found.proposal is not None
    there = found.proposal.position
    assert {side: found.moves.get(side, 0.0) for side in ("top", "bottom")} == {
        "top": there[0] - 0.25,
        "bottom": there[1],
    }
    assert any("come back up" in step for step in found.steps) == any(
        amount < 0 for amount in found.moves.values()
    )


def test_a_verdict_needs_something_to_compare_with(desk: Desk, with_drum: Put) -> None:
    with_drum()
    with pytest.raises(NotPossible, match="nothing to compare with yet"):
        try_state(desk, DRUM, State(values={"verdict": "better"}))
    assert desk.library.log(DRUM).entries == ()

    try_state(desk, DRUM, State(values={"words": "flat"}))
    with pytest.raises(NotPossible, match="the kept state itself"):
        try_state(desk, DRUM, State(values={"verdict": "better"}))


def test_a_first_turn_is_judged_against_how_the_drum_stood(desk: Desk, with_drum: Put) -> None:
    with_drum()
    worse = try_state(desk, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "worse"})).now

    assert worse.search is not None
    assert worse.search.heard == ((0.0, 0.0), (0.25, 0.0))
    assert place(worse) == (0.0, 0.0)


def test_other_music_begins_another_search(begun: Desk) -> None:
    other = try_state(begun, DRUM, State(values={"words": "wet", "context": "tutti"})).now
    assert (other.name, len(other.rows)) == ("tutti", 1)
    assert search_now(begun, DRUM).name == "tutti"
    again = try_state(begun, DRUM, State(values={"words": "dry", "context": "Dry Étude"})).now
    assert (again.name, len(again.rows)) == ("dry étude", 2)
    with pytest.raises(NotFound, match=r"There is no search 'marches'.*tutti"):
        search_now(begun, DRUM, "marches")


def test_verdicts_of_the_hall_are_not_mixed_with_those_at_the_drum(begun: Desk) -> None:
    values = {"verdict": "better", "heard": "in the hall"}
    done = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values=values))

    assert place(done.now) == (0.0, 0.0)
    assert done.entry.verdict == "better"
    assert any("does not count" in remark for remark in done.remarks)


def test_a_touch_up_stays_beside_the_position(begun: Desk) -> None:
    touch = TouchUp(head="top", rod=3, amount=1 / 16)
    done = try_state(begun, DRUM, State(touch_up=touch, values={"words": "clearer"}))

    assert (done.entry.kind, done.entry.position) == ("touch-up", PerHead(top=0.0, bottom=0.0))
    assert chart(begun, done.now)[-1].turn == "top rod 3 +1/16"
    with pytest.raises(BadValue, match=r"no rod 11.*1 to 10"):
        try_state(begun, DRUM, State(touch_up=replace_rod(touch, 11)))


def replace_rod(touch: TouchUp, rod: int) -> TouchUp:
    return touch.model_copy(update={"rod": rod})


def test_states_of_an_older_count_no_longer_count(begun: Desk) -> None:
    tried(begun, "better", top=0.25)
    recount(begun, DRUM, "top")
    now = search_now(begun, DRUM)
    assert now.search is None
    assert [row.void for row in now.rows] == ["of an older count"] * 2
    assert "No state of this search counts" in next_trial(begun, DRUM).why

    now = tried(begun, None, words="as it stands")
    assert place(now) == (0.0, 0.0)


def test_states_expire_when_a_place_reads_otherwise_than_before(begun: Desk, clock: Clock) -> None:
    tried(begun, "worse", top=0.25)
    tried(begun, None, words="back", top=-0.25)
    clock.forward(days=9)
    near = try_state(begun, DRUM, State(top="218.5", bottom="293.7"))
    assert all(not row.void for row in near.now.rows)

    far = try_state(begun, DRUM, State(top="216.2", bottom="289"))
    assert far.now.search is not None
    assert far.now.search.heard == ((0.0, 0.0),)
    assert [bool(row.void) for row in far.now.rows] == [True] * 4 + [False]
    assert any("30 cents lower" in remark and "28 cents lower" in remark for remark in far.remarks)


def test_readings_had_in_another_way_tell_of_no_drift(begun: Desk) -> None:
    done = try_state(begun, DRUM, State(top="210", bottom="280", struck="centre"))
    assert all(not row.void for row in done.now.rows)


def test_calf_is_never_trusted_overnight(desk: Desk, with_drum: Put, clock: Clock) -> None:
    with_drum()
    add_head(desk, DRUM, "top", {"material": "calf"})
    try_state(desk, DRUM, State(top="A3", values={"words": "warm"}))
    assert search_now(desk, DRUM).search is not None
    clock.forward(days=1)

    now = search_now(desk, DRUM)
    assert now.search is None
    assert now.rows[0].void == "calf, of another day"


def test_limits_close_a_side(begun: Desk) -> None:
    edit_drum(begun, DRUM, {"top": {"turns_max": 0.125}, "bottom": {"turns_min": 0.0}})
    now = search_now(begun, DRUM)
    assert now.search is not None
    assert set(now.search.untried) == {(-0.25, 0.0), (0.0, 0.25)}

    past = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"words": "hard"}))
    assert any("past its limit" in remark for remark in past.remarks)
    assert past.entry.position.top == 0.25


def test_one_rod_that_pulls_both_heads_leaves_two_sides(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    try_state(desk, DRUM, State(values={"words": "flat"}))
    found = next_trial(desk, DRUM)
    assert found.now.search is not None
    assert set(found.now.search.untried) == {(0.25, 0.25), (-0.25, -0.25)}

    now = tried(desk, "better", top=0.25)
    assert now.here == PerHead(top=0.25, bottom=0.25)
    assert place(now) == (0.25, 0.25)
    with pytest.raises(BadValue, match="One rod pulls both heads"):
        try_state(desk, DRUM, State(turn=PerHead(top=0.25, bottom=-0.25)))


def test_rope_keeps_what_was_heard_and_offers_no_turns(desk: Desk) -> None:
    drum = add_drum(desk, {"name": "Old drum", "diameter_in": 15, "tension": "rope"}).id
    try_state(desk, drum, State(top="G3", values={"words": "round"}))
    after = try_state(desk, drum, State(top="A3", values={"words": "thin", "verdict": "worse"}))

    assert after.entry.against == after.now.rows[0].entry.stands_for
    assert "rope" in next_trial(desk, drum).why
    with pytest.raises(NotPossible, match="no rods to turn"):
        try_state(desk, drum, State(turn=PerHead(top=0.25)))


def test_contradictions_are_shown_with_their_entries(begun: Desk) -> None:
    tried(begun, "better", top=0.25)
    tried(begun, "better", bottom=0.25)
    # Back to the first state, said to be better than the one that beat it twice over.
    now = try_state(
        begun, DRUM, State(turn=PerHead(top=-0.25, bottom=-0.25), values={"verdict": "better"})
    ).now

    ((*rows,),) = now.contradictions
    assert [row.number for row in rows] == [2, 3, 4]
    assert any("entries 2, 3 and 4 cannot all be true" in one for one in next_trial(begun, DRUM).remarks)


def test_a_verdict_that_is_corrected_is_weighed_anew(begun: Desk) -> None:
    first = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "better"}))
    tried(begun, "worse", bottom=0.25)
    now = add_to(begun, DRUM, first.entry.stands_for, State(values={"verdict": "worse"})).now

    assert place(now) == (0.0, 0.0)
    assert now.rows[1].entry.against == first.entry.against
    assert now.search is not None
    assert (0.25, 0.0) not in now.search.untried


def test_a_mistake_is_struck_out_and_stays_in_the_file(begun: Desk) -> None:
    entry = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "better"})).entry
    later = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "better"})).entry
    with pytest.raises(NotPossible, match="rest on the turn"):
        strike_out(begun, DRUM, entry.stands_for)
    strike_out(begun, DRUM, later.stands_for)
    strike_out(begun, DRUM, entry.stands_for)

    now = search_now(begun, DRUM)
    assert (len(now.rows), place(now), now.here) == (1, (0.0, 0.0), PerHead(top=0.0, bottom=0.0))
    assert len(begun.library.log(DRUM).raw) == 5


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"words": "a\x1b[2Jb"}, "control character"),
        ({"words": "x" * 10_000}, "2000"),
        ({"verdict": "great"}, "better"),
        ({"passages": {"drags": "?"}}, "passages"),
    ],
)
def test_what_cannot_be_kept_is_said_and_nothing_written(
    begun: Desk, values: dict[str, object], said: str
) -> None:
    before = begun.library.log(DRUM).raw
    with pytest.raises(BadRecord, match=said):
        try_state(begun, DRUM, State(turn=PerHead(top=0.25), values=values))
    assert begun.library.log(DRUM).raw == before


def test_an_entry_in_the_future_is_refused(begun: Desk, clock: Clock) -> None:
    later = clock.moment.replace(year=2027)
    with pytest.raises(BadValue, match="2027-11-25 19:00 lies in the future: it is 2026-11-25 19:00 now"):
        try_state(begun, DRUM, State(values={"words": "dry", "at": later}))


def test_nothing_is_no_state(begun: Desk) -> None:
    with pytest.raises(BadValue, match="nothing to write down"):
        try_state(begun, DRUM, State())


def test_two_programs_that_turn_at_once_lose_no_turn(begun: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The other one writes between reading and writing: the place is worked out anew from its entry."""
    library, other = begun.library, replace(begun)
    append = library.append
    once = [True]

    def late(drum: str, entry: object, **words: object) -> object:
        if once.pop() if once else False:
            try_state(other, DRUM, State(turn=PerHead(bottom=0.25), values={"words": "theirs"}))
        return append(drum, entry, **words)  # type: ignore[arg-type]  # handed on as it is

    monkeypatch.setattr(library, "append", late)
    mine = try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"words": "mine"}))

    assert mine.entry.position == PerHead(top=0.25, bottom=0.25)
    assert [row.entry.words for row in mine.now.rows] == ["flat", "theirs", "mine"]


def test_the_map_has_a_word_for_every_state(begun: Desk) -> None:
    tried(begun, "better", top=0.25)
    tried(begun, "same", bottom=0.25)
    found = search_map(next_trial(begun, DRUM))

    assert found is not None
    assert {place: cell.word for place, cell in found.cells.items() if not cell.proposed} == {
        place: word
        for place, word in {
            (0.0, 0.0): "beaten",
            (0.25, 0.0): "kept",
            (0.25, 0.25): "same",
            (0.5, 0.0): "untried",
            (0.25, -0.25): "untried",
        }.items()
        if not found.cells[place].proposed
    }
    assert [cell.text() for cell in found.cells.values() if cell.here] == ["[=3 same]"]
    assert sum(cell.proposed for cell in found.cells.values()) == 1


def test_pitches_hide_until_words_and_verdict_are_in(begun: Desk) -> None:
    hiding = replace(begun, user=begun.user.model_copy(update={"hide_pitches": True}))
    entry = try_state(hiding, DRUM, State(turn=PerHead(top=0.25), top="B3")).entry
    now = search_now(hiding, DRUM)
    assert [row.top for row in chart(hiding, now)] == ["A3", "hidden"]
    assert chart(begun, now)[-1].top == "B3"

    now = add_to(hiding, DRUM, entry.stands_for, State(values={"words": "dry", "verdict": "worse"})).now
    assert chart(hiding, now)[-1].top == "B3"
