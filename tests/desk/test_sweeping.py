"""The sweep of the snares: free, choke, set between; where it begins, and where what was found goes."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_preset, edit_drum
from lugbook.desk.searches import search_now
from lugbook.desk.settling import settle
from lugbook.desk.snare_keeping import keep_buzzes
from lugbook.desk.snare_starts import share_chosen, suggested_start
from lugbook.desk.snare_words import parse_setting
from lugbook.desk.stating import State
from lugbook.desk.sweeping import Sweep, begin, keep
from lugbook.desk.trying import try_state
from lugbook.desk.wiring import add_wires, edit_wires
from lugbook.errors import BadValue, NotFound, NotPossible
from lugbook.records import Adjustment, Entry, PerHead, SnareSetting

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def strung(desk: Desk, with_drum: Put) -> Desk:
    """A drum with wires, a knob that clicks and a butt that turns."""
    with_drum()
    add_wires(desk, DRUM, {"kind": "gut"})
    adjustments = [{"name": "knob", "unit": "clicks"}, {"name": "butt", "unit": "turns"}]
    edit_drum(desk, DRUM, {"strainer": {"adjustments": adjustments}})
    return desk


def put_down(
    desk: Desk, text: str, *, turn: float = 0.0, bottom: str | None = None, wires: str | None = None
) -> Entry:
    """Write a setting down after a turn of the bottom head."""
    setting = parse_setting(desk.library.drum(DRUM).record, text)
    if wires is not None:
        setting = setting.model_copy(update={"wires": wires})
    state = State(turn=PerHead(bottom=turn or None), bottom=bottom, values={"snares": setting})
    return try_state(desk, DRUM, state).entry


def last(desk: Desk) -> Entry:
    return desk.library.log(DRUM).entries[-1]


def test_a_sweep_step_by_step(strung: Desk) -> None:
    """What to do follows from what is known; half-way where nothing else is."""
    sweep = begin(strung, DRUM)
    assert (sweep.stage, sweep.name, sweep.step, sweep.start) == ("free", "knob", 1, None)
    assert "pp near the edge" in sweep.now()
    assert "not butt" in sweep.remarks[0]

    sweep = sweep.with_free(4)
    assert sweep.stage == "choke"
    assert "ff" in sweep.now()
    assert sweep.offered() == 5

    sweep = sweep.with_choke(10)
    assert (sweep.stage, sweep.suggested, sweep.offered()) == ("set", 7, 7)
    assert "Half-way" in sweep.now()

    sweep = sweep.with_chosen(8).with_buzzes(["horn Bb3"])
    assert sweep.stage == "done"
    assert sweep.setting() == SnareSetting(
        values={"knob": 8},
        free={"knob": 4},
        choke={"knob": 10},
        buzzes_with=("horn Bb3",),
        wires="wires-1",
    )


def test_the_steps_say_where_to_begin(strung: Desk) -> None:
    put_down(strung, "crisp; knob 6 (free at 5); butt 0.5; buzzes with horn Bb3")
    sweep = begin(strung, DRUM)

    assert sweep.steps()[0] == "Set the snares to where to begin: knob 6; butt 0.5."
    assert len(sweep.steps()) == 4
    assert sweep.offered() == 5
    assert sweep.with_free(4).with_choke(9).with_chosen(7).setting().values == {"knob": 7, "butt": 0.5}


@pytest.mark.parametrize(
    ("deed", "sentence"),
    [
        (lambda sweep: sweep.with_free(5).with_choke(2), "cannot choke at 2 where it is free at 5"),
        (lambda sweep: sweep.with_free(5).with_choke(5), "cannot choke at 5"),
        (lambda sweep: sweep.with_choke(2).with_free(5), "cannot choke at 2"),
        (lambda sweep: sweep.with_free(math.nan), "free at nan"),
        (lambda sweep: sweep.with_choke(math.inf), "chokes at inf"),
        (lambda sweep: sweep.with_free(1e300), "nothing is counted so"),
        (lambda sweep: sweep.with_free(2).with_choke(5).with_chosen(6), "does not lie between"),
        (lambda sweep: sweep.with_chosen(math.nan), "nan"),
        (lambda sweep: sweep.setting(), "Nothing of the snares was found yet"),
    ],
)
def test_values_that_cannot_be_are_told(deed: Callable[[Sweep], object], sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        deed(Sweep(drum="x", adjustment=Adjustment(name="knob")))


def test_what_cannot_be_swept_is_told(strung: Desk) -> None:
    with pytest.raises(BadValue, match=r"no adjustment 'knop'. Nearest: knob"):
        begin(strung, DRUM, "knop")
    edit_wires(strung, DRUM, "wires-1", {"off": strung.now().date()})
    with pytest.raises(NotPossible, match="has no wires on"):
        begin(strung, DRUM)
    with pytest.raises(NotFound):
        begin(strung, "nobody")


def test_where_no_adjustment_is_written_down_any_name_is_taken(desk: Desk, with_drum: Put) -> None:
    with_drum()
    assert begin(desk, DRUM, "gut 3").name == "gut 3"
    assert begin(desk, DRUM).name == "knob"
    assert "lugbook drum edit concert-snare --adjustment" in begin(desk, DRUM).remarks[0]
    put_down(desk, "lever 3")
    assert begin(desk, DRUM).name == "lever"


_COUNTED = st.integers(-800, 800).map(lambda eighths: eighths / 8)


@given(
    st.lists(_COUNTED, min_size=2, max_size=2, unique=True).map(sorted),
    st.none() | st.floats(0, 1),
    st.none() | st.sampled_from([0.125, 0.25, 1.0, 2.0]),
)
def test_the_suggestion_lies_between_and_near_the_share(
    ends: list[float], share: float | None, step: float | None
) -> None:
    """Never outside free and choke, and no further from the share of the span than half a step."""
    adjustment = Adjustment(name="knob", step=step)
    sweep = Sweep(drum="x", adjustment=adjustment, share=share).with_free(ends[0]).with_choke(ends[1])
    suggested = sweep.suggested

    assert suggested is not None
    assert ends[0] <= suggested <= ends[1]
    exact = ends[0] + (0.5 if share is None else share) * (ends[1] - ends[0])
    assert abs(suggested - exact) <= sweep.step / 2 + 1e-9
    assert sweep.with_chosen(suggested).stage == "done"


def test_the_share_is_what_the_player_chose_before(strung: Desk) -> None:
    """The median of 20, 40 and 90 per cent; one setting written down twice counts once."""
    for text in ("knob 2 (free at 0, chokes at 10)", "knob 4 (free at 0, chokes at 10)"):
        put_down(strung, text)
    put_down(strung, "knob 4 (free at 0, chokes at 10); again")
    put_down(strung, "knob 19 (free at 10, chokes at 20)")
    put_down(strung, "knob 5")
    assert share_chosen(strung, DRUM, "knob") == pytest.approx(0.4)
    assert share_chosen(strung, DRUM, "butt") is None

    sweep = begin(strung, DRUM).with_free(10).with_choke(20)
    assert sweep.suggested == 14
    assert "40 % of the way from free to choke, as you chose before" in sweep.now()


def test_the_start_is_the_setting_nearest_by_bottom_turns(strung: Desk) -> None:
    put_down(strung, "knob 3")
    put_down(strung, "knob 5", turn=0.5)
    put_down(strung, "knob 9", turn=0.5)
    here = suggested_start(strung, DRUM)
    assert here is not None
    assert (here.setting.values, here.sure) == ({"knob": 9}, True)
    assert "as it stands" in here.why

    there = suggested_start(strung, DRUM, PerHead(top=0.0, bottom=0.375))
    assert there is not None
    assert (there.setting.values, there.sure) == ({"knob": 5}, False)
    assert "with the bottom head ⅛ higher. After a bottom turn it is only where to begin." in there.why
    low = suggested_start(strung, DRUM, PerHead(bottom=-2.0))
    assert low is not None
    assert low.setting.values == {"knob": 3}


def test_of_two_at_one_place_the_latest_is_the_start(strung: Desk) -> None:
    put_down(strung, "knob 3")
    put_down(strung, "knob 4")
    start = suggested_start(strung, DRUM)

    assert start is not None
    assert start.setting.values == {"knob": 4}
    assert start.source == last(strung).id


def test_a_setting_of_the_adjustment_goes_before_one_without(strung: Desk) -> None:
    put_down(strung, "butt 1", turn=0.25)
    put_down(strung, "knob 4", turn=0.25)
    start = suggested_start(strung, DRUM, adjustment="butt")

    assert start is not None
    assert start.setting.values == {"butt": 1}


def test_on_a_new_head_the_pitch_is_the_nearest(strung: Desk) -> None:
    """Turns of the old count are void; 293.7 Hz lies 35 cents below 299.7, 330 Hz far above."""
    put_down(strung, "knob 3", bottom="293.7 Hz")
    put_down(strung, "knob 9", turn=0.5, bottom="330 Hz")
    add_head(strung, DRUM, "bottom", {})
    unread = suggested_start(strung, DRUM)
    assert unread is not None
    assert "not known" in unread.why
    try_state(strung, DRUM, State(bottom="299.7 Hz"))
    start = suggested_start(strung, DRUM)

    assert start is not None
    assert start.setting.values == {"knob": 3}
    assert "with the bottom head 35 cents lower. After a bottom turn" in start.why
    assert not start.sure


def test_other_wires_come_last_and_are_said(strung: Desk) -> None:
    put_down(strung, "knob 3")
    add_wires(strung, DRUM, {"kind": "coil"})
    start = suggested_start(strung, DRUM)
    assert start is not None
    assert start.why.endswith("It is of other wires: only where to begin.")

    put_down(strung, "knob 8", turn=2.0)
    start = suggested_start(strung, DRUM, PerHead(bottom=0.0))
    assert start is not None
    assert start.setting.values == {"knob": 8}


def test_a_preset_is_a_start_too(strung: Desk) -> None:
    assert suggested_start(strung, DRUM) is None
    found = add_preset(strung, DRUM, {"name": "Crisp", "snares": {"values": {"knob": 3}}})
    start = suggested_start(strung, DRUM)

    assert start is not None
    assert (start.source, start.setting.values) == (found.id, {"knob": 3})
    assert f"in {found.id}" in start.why


def test_outside_a_search_it_is_an_entry_of_its_own(strung: Desk) -> None:
    """No search is begun by it, and where the heads stand is kept."""
    sweep = begin(strung, DRUM).with_free(2).with_choke(6).with_chosen(4)
    written = keep(strung, DRUM, sweep)

    assert written.sentence() == "Written down: knob 4 (free at 2, chokes at 6)."
    assert (last(strung).snares, last(strung).search, last(strung).kind) == (sweep.setting(), "", "remark")
    assert last(strung).count.bottom == "bottom-1"
    assert suggested_start(strung, DRUM) is not None


def test_in_a_search_it_goes_to_the_state_that_the_drum_is_in(strung: Desk) -> None:
    """A second setting of one state is an entry of its own: the first is not overwritten."""
    try_state(strung, DRUM, State(top="220", values={"context": "dry étude"}))
    sweep = begin(strung, DRUM).with_free(2).with_choke(6).with_chosen(4)
    first = keep(strung, DRUM, sweep)
    assert (first.added, first.search) == (True, "dry étude")
    assert len(strung.library.log(DRUM).entries) == 1
    assert last(strung).top is not None

    second = keep(strung, DRUM, sweep.with_chosen(5))
    assert not second.added
    rows = search_now(strung, DRUM).rows
    assert [row.entry.snares.values for row in rows if row.entry.snares] == [{"knob": 4}, {"knob": 5}]


def test_an_entry_may_be_named(strung: Desk) -> None:
    first = try_state(strung, DRUM, State(top="220", values={"context": "dry étude"})).entry
    try_state(strung, DRUM, State(turn=PerHead(top=0.25), values={"words": "dry"}))
    keep(strung, DRUM, begin(strung, DRUM).with_chosen(4), entry_id=first.id)

    assert search_now(strung, DRUM).rows[0].entry.snares == SnareSetting(values={"knob": 4}, wires="wires-1")
    with pytest.raises(NotFound):
        keep(strung, DRUM, begin(strung, DRUM).with_chosen(4), search="nothing such")


def test_after_something_else_was_written_it_is_an_entry_of_the_search(strung: Desk) -> None:
    try_state(strung, DRUM, State(top="220", values={"context": "dry étude"}))
    write(strung, DRUM, strung.library.drum(DRUM).record, {"kind": "remark", "note": "lunch"})
    written = keep(strung, DRUM, begin(strung, DRUM).with_chosen(4))

    assert (written.added, written.search) == (False, "dry étude")
    settle(strung, DRUM)
    assert keep(strung, DRUM, begin(strung, DRUM).with_chosen(5)).search == ""


def test_notes_that_set_the_wires_off_are_added(strung: Desk) -> None:
    with pytest.raises(NotPossible, match="No setting"):
        keep_buzzes(strung, DRUM, ["horn Bb3"])
    try_state(strung, DRUM, State(top="220", values={"context": "dry étude"}))
    put_down(strung, "just free; knob 4; buzzes with tuba F2")
    keep_buzzes(strung, DRUM, ["horn Bb3", "tuba F2"])

    assert last(strung).snares == SnareSetting(
        words="just free", values={"knob": 4}, buzzes_with=("tuba F2", "horn Bb3"), wires="wires-1"
    )
    assert len(strung.library.log(DRUM).entries) == 2
    add_wires(strung, DRUM, {})
    with pytest.raises(NotPossible, match="No setting"):
        keep_buzzes(strung, DRUM, ["horn Bb3"])


def test_a_rope_drum_is_swept_too(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="rope")
    written = keep(desk, DRUM, begin(desk, DRUM).with_free(1).with_choke(2).with_chosen(1.5))

    assert last(desk).snares == written.setting
    start = suggested_start(desk, DRUM)
    assert start is not None
    assert start.setting == written.setting


def test_in_single_tension_both_heads_have_one_count(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    put_down(desk, "knob 3")
    put_down(desk, "knob 9", turn=0.5)
    start = suggested_start(desk, DRUM, PerHead(top=0.125, bottom=0.125))

    assert start is not None
    assert start.setting.values == {"knob": 3}
