"""The state at hand, question by question: what is asked, what is written, what is doubted."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook.desk import Desk
from lugbook.desk.keeping import add_drum
from lugbook.desk.own_settings import change_settings
from lugbook.desk.questions import (
    Question,
    answer,
    at_hand,
    begin_search,
    new_state,
    opened,
    read_again,
    read_head,
)
from lugbook.desk.searches import search_now
from lugbook.desk.stating import State
from lugbook.desk.trial_bench import back_to_kept, bench_for, turn_to, was_turned
from lugbook.desk.trying import add_to, try_state
from lugbook.desk.turning_rods import all_done
from lugbook.errors import BadValue, Doubtful, NotPossible
from lugbook.records import LibrarySettings, PerHead

DRUM = "concert-snare"
Put = Callable[..., str]


@pytest.fixture
def begun(desk: Desk, with_drum: Put) -> Desk:
    with_drum()
    values = {"words": "flat", "context": "dry étude", "snares": {"words": "just free"}}
    try_state(desk, DRUM, State(top="A3", bottom="D4", values=values))
    return desk


def asked(questions: tuple[Question, ...]) -> list[str]:
    return [one.passage or one.about for one in questions]


def test_a_drum_without_a_search_has_none_to_show(desk: Desk, with_drum: Put) -> None:
    with_drum()
    assert opened(desk, DRUM).now is None
    with pytest.raises(BadValue, match="needs its music"):
        begin_search(desk, DRUM, "  ")


def test_a_search_of_music_that_had_one_gets_a_name_of_its_own(begun: Desk) -> None:
    at = begin_search(begun, DRUM, "dry étude", in_the_hall=True)

    assert (at.now.name, at.now.context, at.now.heard) == ("dry étude 2", "dry étude", "in the hall")
    assert opened(begun, DRUM).names == ("dry étude", "dry étude 2")
    assert opened(begun, DRUM, "dry étude").now is not None


def test_every_answer_is_written_at_once_into_one_entry(begun: Desk) -> None:
    desk = replace(begun, user=begun.user.model_copy(update={"passages": ("roll", "pp")}))
    try_state(desk, DRUM, State(turn=PerHead(top=0.25)))
    at = at_hand(desk, search_now(desk, DRUM))
    assert asked(at.questions) == ["top", "bottom", "snares", "words", "roll", "pp", "verdict"]
    assert at.questions[2].offered == "just free"

    for text in ("B3", "D4+3"):
        side = at.questions[0].side
        assert side is not None
        at = read_head(desk, at, side, text).at
    for text in ("freer", "open", "+", "-", "better"):
        at = answer(desk, at, at.questions[0], text).at
    first, entry = desk.library.log(DRUM).entries

    assert at.questions == ()
    assert (entry.kind, entry.words, entry.verdict, entry.against) == ("turn", "open", "better", first.id)
    assert entry.passages == {"roll": "+", "pp": "-"}
    assert entry.snares is not None
    assert entry.snares.words == "freer"


def test_a_remark_that_grows_a_pitch_is_a_reading(begun: Desk) -> None:
    at = begin_search(begun, DRUM, "march")
    assert asked(at.questions) == ["top", "bottom", "snares", "words"]
    entry = read_head(begun, at, "top", "A3").at.now.rows[-1].entry

    assert (entry.kind, entry.context) == ("reading", "march")


def test_notes_that_are_added_are_meant_at_the_present_concert_pitch(begun: Desk) -> None:
    """An entry takes the concert pitch of its first reading; a note read at another is renamed, not moved."""
    stored = begun.library.settings()
    begun.library.save_settings(stored, LibrarySettings(a4=442))
    entry = try_state(begun, DRUM, State(turn=PerHead(top=0.25))).entry
    grown = add_to(begun, DRUM, entry.stands_for, State(top="B3", a4_hz=440)).entry
    grown = add_to(begun, DRUM, grown.stands_for, State(bottom="D4")).entry

    assert entry.a4 == 442
    assert grown.a4 == 440
    assert grown.top is not None
    assert grown.bottom is not None
    assert (grown.top.pitch, grown.bottom.pitch) == ("B3", "D4+7.85")


def test_a_rope_drum_is_judged_against_the_row_before(desk: Desk) -> None:
    """Never against itself; the first has nothing to be held against."""
    rope = add_drum(desk, {"name": "Old", "diameter_in": 15, "tension": "rope"}).id
    first = begin_search(desk, rope, "march")
    assert "verdict" not in asked(first.questions)
    with pytest.raises(NotPossible, match="nothing was heard before it"):
        add_to(desk, rope, first.now.rows[0].entry.id, State(values={"verdict": "better"}))
    at = new_state(desk, first.now)
    at = answer(desk, at, Question("words"), "clear").at
    at = answer(desk, at, Question("verdict"), "better").at
    one, two = desk.library.log(rope).entries

    assert (two.verdict, two.against) == ("better", one.stands_for)
    assert at.questions == ()


def test_back_in_a_known_place_only_the_pitches_are_asked(begun: Desk) -> None:
    """And how far they moved is said once, whichever head was read last."""
    try_state(begun, DRUM, State(turn=PerHead(top=0.25), values={"verdict": "worse"}))
    now = search_now(begun, DRUM)
    bench = turn_to(begun, now, back_to_kept(now))
    while not was_turned(bench):
        bench = all_done(begun, bench)
    at = at_hand(begun, search_now(begun, DRUM))
    assert at.returned
    assert asked(at.questions) == ["top", "bottom"]

    found = read_head(begun, at, "top", "A3-4")
    assert found.said.startswith("The top head reads 4 cents lower")
    found = read_head(begun, found.at, "bottom", "D4-60")
    assert "bottom head reads 60 cents lower" in found.said
    assert "no longer counts" in found.said
    assert found.at.questions == ()
    with pytest.raises(NotPossible, match="nothing to undo"):
        back_to_kept(found.at.now)


def test_a_slip_beside_what_was_read_before_is_asked_about(begun: Desk) -> None:
    at = read_again(search_now(begun, DRUM))
    with pytest.raises(Doubtful, match="an octave below what was read before"):
        read_head(begun, at, "top", "A2")
    assert len(begun.library.log(DRUM).entries) == 1
    read_head(begun, at, "top", "A2", insisted=True)

    assert len(begun.library.log(DRUM).entries) == 2


def test_nothing_to_turn_is_said(begun: Desk) -> None:
    now = search_now(begun, DRUM)
    with pytest.raises(NotPossible, match="nothing to turn"):
        turn_to(begun, now, {})

    assert bench_for(begun, now, {}).next_side is None


def test_own_settings_are_kept_and_hold_at_once(begun: Desk) -> None:
    changed = change_settings(begun, {"passages": ["roll"], "hide_pitches": True})

    assert (changed.user.passages, changed.user.player) == (("roll",), begun.user.player)
    assert "hide_pitches = true" in (begun.user_folder / "settings.toml").read_text(encoding="utf-8")
