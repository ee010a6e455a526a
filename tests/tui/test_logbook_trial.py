"""Stories at the logbook: a whole round by keys, undo, striking out, refining, keeping, coming back."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import replace
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.desk.keeping import add_drum
from lugbook.desk.searches import SearchNow
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.records import Entry, PerHead, Verdict

DRUM = "concert-snare"
Play = Callable[..., AbstractAsyncContextManager[Any]]
Log = Callable[[Desk], tuple[Entry, ...]]


@pytest.fixture
def in_logbook(play: Play) -> Play:
    """Return what runs the program and opens the logbook of the drum under the cursor."""

    @asynccontextmanager
    async def run(
        desk: Desk, *, size: tuple[int, int] = (80, 24), way: tuple[str, ...] = ()
    ) -> AsyncIterator[Any]:
        async with play(desk, size=size) as stage:
            await stage.press(*way, "j")
            yield stage

    return run


@pytest.fixture
def begun(desk: Desk) -> Desk:
    """A search for the dry étude, whose first state is read and described."""
    values = {"words": "flat", "context": "dry étude", "snares": {"words": "just free"}}
    try_state(desk, DRUM, State(top="A3", bottom="D4", values=values))
    return desk


def tried(desk: Desk, verdict: Verdict | None, **turn: float) -> SearchNow:
    """Turn a head, and say the verdict."""
    values: dict[str, Any] = {"verdict": verdict, "words": "so"} if verdict else {}
    return try_state(desk, DRUM, State(turn=PerHead(**turn), values=values)).now


async def test_a_search_is_begun_by_keys(
    in_logbook: Play, desk: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """The music first, then where the drum stands: both pitches, snares and words in one entry."""
    async with in_logbook(desk, size=size) as stage:
        assert "No search was begun on Concert snare yet." in stage.words()
        await stage.press("n")
        assert "new search, at the drum, for" in stage.words()
        await stage.press("tab")
        assert "new search, in the hall, for" in stage.words()
        await stage.type("dry etude", "enter")
        assert stage.place == "trial reading"
        await stage.type("A3+4", "enter")
        await stage.type("D4", "enter")
        await stage.type("just free", "enter")
        await stage.type("flat", "enter")
        assert stage.place == "logbook"
        (entry,) = entries(desk)

    assert (entry.context, entry.heard, entry.search) == ("dry etude", "in the hall", "dry etude")
    assert entry.top is not None
    assert entry.bottom is not None
    assert entry.snares is not None
    assert (entry.top.pitch, entry.bottom.pitch, entry.snares.words, entry.words) == (
        *("A3+4", "D4", "just free", "flat"),
    )


async def test_a_whole_round_by_keys_is_one_entry(
    in_logbook: Play, begun: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """Turn, both pitches, snares, words, passages, verdict: one key a question, one row in the chart."""
    desk = replace(begun, user=begun.user.model_copy(update={"passages": ("roll", "pp")}))
    async with in_logbook(desk, size=size) as stage:
        assert "▶ Try the " in stage.words()
        await stage.press("enter")
        assert stage.place == "trial turning"
        side = stage.screen.bench.round.side
        await stage.press("space", "w")
        assert stage.place == "trial reading"
        assert "Tap both heads again" in stage.words()
        await stage.press("up", "up")
        assert stage.screen.how == "high side"
        await stage.type("A3", "enter")
        await stage.press("tab")
        await stage.type("D4+10", "enter")
        assert stage.place == "trial text"
        assert stage.screen.query_one("#typed").value == "just free"
        await stage.press("enter")
        await stage.press("up")
        assert stage.screen.query_one("#typed").value == "flat"
        await stage.press("tab")
        await stage.type("open", "enter")
        assert "roll: well, so-so or badly" in stage.words()
        await stage.press("+", "0")
        assert stage.place == "trial verdict"
        await stage.press("b")
        assert stage.place == "logbook"
        first, entry = entries(desk)

    assert entry.turn.of(side) is not None
    assert entry.kind == "turn"
    assert entry.top is not None
    assert entry.bottom is not None
    assert entry.snares is not None
    assert (entry.top.by, entry.bottom.by, entry.bottom.pitch) == ("ear", "typed", "D4+10")
    assert (entry.snares.words, entry.words) == ("just free", "flat, open")
    assert entry.passages == {"roll": "+", "pp": "0"}
    assert (entry.verdict, entry.against) == ("better", first.id)
    assert (entry.search, entry.context, entry.heard) == ("dry étude", "dry étude", "at the drum")


async def test_what_is_typed_ahead_is_for_the_next_question(
    in_logbook: Play, begun: Desk, entries: Log
) -> None:
    """Nothing is lost and nothing lands in another field while an answer is being written."""
    tried(begun, None, bottom=0.25)
    async with in_logbook(begun) as stage:
        assert stage.place == "trial reading"
        keys = ("A", "3", "enter", "E", "4", "enter", "enter", "d", "r", "y", "enter", "+")
        await stage.pilot.press(*keys)
        await stage.settle()
        entry = entries(begun)[-1]

    assert entry.top is not None
    assert entry.bottom is not None
    assert (entry.top.pitch, entry.bottom.pitch, entry.verdict) == ("A3", "E4", "better")


async def test_a_crash_in_between_loses_nothing(
    in_logbook: Play, begun: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """Closed after the readings, it opens at the question that was open; a round at the rod that was next."""
    async with in_logbook(begun, size=size) as stage:
        await stage.press("enter", "space", "space")
    async with in_logbook(begun, size=size) as stage:
        assert stage.place == "trial turning"
        assert "2 of 8 rods done" in stage.words()
        await stage.press("w")
        await stage.type("A3", "enter")
        await stage.type("E4", "enter")
    assert entries(begun)[-1].verdict is None
    async with in_logbook(begun, size=size) as stage:
        assert stage.place == "trial text"
        assert "snares ›" in stage.words()
        await stage.press("enter")
        await stage.type("open", "enter")
        await stage.press("-")
        assert stage.place == "logbook"
    first, entry = entries(begun)

    assert first.words == "flat"
    assert (entry.kind, entry.words, entry.verdict) == ("turn", "open", "worse")


async def test_an_empty_enter_skips_and_escape_keeps(in_logbook: Play, begun: Desk, entries: Log) -> None:
    """What was skipped is not asked again in this sitting; what was said stays."""
    async with in_logbook(begun) as stage:
        await stage.press("enter", "w")
        await stage.press("enter")
        await stage.type("E4", "enter")
        await stage.press("escape")
        assert stage.place == "logbook"
        assert "has no verdict yet" in stage.words()
        await stage.press("enter")
        assert "snares ›" in stage.words()
        await stage.press("enter", "enter", "w")
        entry = entries(begun)[-1]

    assert entry.top is None
    assert entry.bottom is not None
    assert (entry.words, entry.verdict) == ("", "worse")


async def test_undo_turns_back_and_reads_again(
    in_logbook: Play, begun: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """One key: real turns back to the kept state, below and up again, and the drift is said."""
    tried(begun, "worse", bottom=0.25)
    async with in_logbook(begun, size=size) as stage:
        await stage.press("u")
        assert stage.place == "trial turning"
        assert stage.screen.bench.round.amount == -0.25
        await stage.press("w", "w")
        assert stage.place == "trial reading"
        await stage.type("A3", "enter")
        await stage.type("D4-5", "enter")
        assert stage.place == "logbook"
        if size[0] > 42:
            assert "The bottom head reads 5 cents lower" in stage.words()
        assert "5 cents lower" in stage.screen.said.text
        entry = entries(begun)[-1]
        await stage.press("u")
        assert "there is nothing to undo" in stage.words()

    assert (entry.position.bottom, entry.turn.bottom, entry.search) == (0.0, -0.25, "dry étude")
    assert entry.verdict is None


async def test_what_drifted_begins_the_count_of_heard_states_anew(in_logbook: Play, begun: Desk) -> None:
    """Read again where the drum stands: a head that moved too far makes what was heard before void."""
    async with in_logbook(begun) as stage:
        await stage.press("r")
        await stage.type("A3-40", "enter")
        await stage.type("D4", "enter")

        assert "no longer counts" in stage.words()
        assert "~1" in stage.words()


async def test_the_last_entry_is_struck_out_when_asked_twice(
    in_logbook: Play, begun: Desk, entries: Log
) -> None:
    tried(begun, "better", bottom=0.25)
    async with in_logbook(begun) as stage:
        await stage.press("x")
        assert len(entries(begun)) == 2
        assert "Entry 2 is the last. Its turn is then not counted" in stage.words()
        await stage.press("x")

        assert "Entry 2 is struck out." in stage.words()
        assert len(entries(begun)) == 1
        assert stage.screen.now.search.kept == (0.0, 0.0)


async def test_settled_then_finer_then_a_preset(in_logbook: Play, begun: Desk, size: tuple[int, int]) -> None:
    """When all four sides are closed it says so; a finer step goes on, and one key makes the preset."""
    for head in ("top", "bottom"):
        for amount in (0.25, -0.25):
            tried(begun, "worse", **{head: amount})
            tried(begun, None, **{head: -amount})
    async with in_logbook(begun, size=size) as stage:
        await stage.press("i")
        assert "Steps of ⅛ from here on." in stage.words()
        assert stage.screen.now.search.step == 0.125
        assert "▶ Try the " in stage.words()
        await stage.press("i")
        assert "still untried at this step" in stage.words()
        await stage.press("k")
        assert stage.screen.query_one("#typed").value == "Dry étude"
        await stage.type("Found one", "enter")
        assert "Kept as the preset concert-snare/found-one." in stage.words()
        await stage.press("z")
        assert "You ended this search." in stage.words()
    preset = begun.library.preset(f"{DRUM}/found-one").record

    assert preset.top is not None
    assert preset.turns.bottom is not None
    assert (preset.top.pitch, preset.turns.bottom.amount, preset.words) == ("A3", 0.0, "flat")


async def test_a_slip_and_a_limit_are_asked_about(in_logbook: Play, begun: Desk, entries: Log) -> None:
    """An octave off what was read before is taken only when asked for again; so is a turn past a limit."""
    tried(begun, "better", bottom=0.25)
    async with in_logbook(begun) as stage:
        await stage.press("r")
        await stage.type("A4", "enter")
        assert "an octave above what was read before" in stage.words()
        assert "enter again: all the same." in stage.words()
        assert len(entries(begun)) == 2
        await stage.press("enter")
        reading = entries(begun)[-1].top

    assert reading is not None
    assert reading.pitch == "A4"


async def test_a_turn_past_a_limit_is_asked_about(in_logbook: Play, begun: Desk) -> None:
    """Back to a kept state that lies past it: the key has to be pressed again."""
    tried(begun, "better", bottom=1.25)
    tried(begun, "worse", bottom=-0.5)
    async with in_logbook(begun) as stage:
        await stage.press("u")
        assert stage.place == "logbook"
        assert "u again: all the same." in stage.words()
        await stage.press("u")

        assert stage.place == "trial turning"
        assert "! past its limit of 1 turn" in stage.words()


async def test_two_heads_are_turned_the_bottom_first(in_logbook: Play, begun: Desk, entries: Log) -> None:
    """Where both move, the second round follows the first by itself."""
    tried(begun, "worse", bottom=0.25, top=0.25)
    async with in_logbook(begun) as stage:
        await stage.press("u")
        assert stage.screen.bench.round.side == "bottom"
        await stage.press("w", "w")
        assert stage.screen.bench.round.side == "top"
        await stage.press("w", "w")
        assert stage.place == "trial reading"
        assert stage.screen.now.place == (0.0, 0.0)
    kinds = [(entry.turn.top, entry.turn.bottom) for entry in entries(begun)[-2:]]

    assert kinds == [(None, -0.25), (-0.25, None)]


async def test_taking_a_round_back_leads_to_the_chart(in_logbook: Play, begun: Desk, entries: Log) -> None:
    async with in_logbook(begun) as stage:
        await stage.press("enter", "u")
        assert stage.place == "logbook"
        assert "no rod was turned" in stage.words()
        await stage.press("enter", "space", "space", "u", "space", "space")
        assert "every rod is where it was" in stage.words()
        assert stage.place == "logbook"

    assert len(entries(begun)) == 1


async def test_a_round_of_the_search_is_finished_at_the_bench(play: Play, begun: Desk, entries: Log) -> None:
    """The turn belongs to the search wherever its last rod is turned."""
    async with play(begun) as stage:
        await stage.press("j", "enter", "space", "escape", "escape")
        await stage.press("down", "enter")
        assert stage.place == "turning"
        await stage.press("w")
        entry = entries(begun)[-1]
        await stage.press("j")
        assert stage.place == "trial reading"

    assert (entry.kind, entry.search, entry.preset) == ("turn", "dry étude", "")


async def test_one_rod_for_both_heads(in_logbook: Play, desk: Desk) -> None:
    """In single tension one round turns both, and there are two sides to try."""
    single = add_drum(desk, {"name": "Alto", "diameter_in": 13, "tension": "single"}).id
    values = {"words": "flat", "context": "march"}
    try_state(desk, single, State(top="A3", bottom="D4", values=values))
    async with in_logbook(desk, way=("home",)) as stage:
        assert "Try the rods ¼ up" in stage.words()
        await stage.press("m")
        assert "turns" in stage.words()
        await stage.press("m", "enter", "w")
        assert stage.place == "trial reading"
        assert stage.screen.now.place == (0.25, 0.25)
        await stage.press("escape", "u", "w", "w")
        assert stage.screen.now.place == (0.0, 0.0)
    log = desk.library.log(single).entries

    assert [(one.turn.top, one.turn.bottom) for one in log[1:]] == [(0.25, 0.25), (-0.25, -0.25)]


async def test_a_rope_drum_is_heard_and_not_turned(
    in_logbook: Play, desk: Desk, size: tuple[int, int]
) -> None:
    """Pitches, snares, words and a verdict against the row before; no turns, no map."""
    async with in_logbook(desk, size=size, way=("end",)) as stage:
        assert "Rope drum" in stage.words()
        await stage.press("n")
        await stage.type("march", "enter")
        await stage.type("E3", "enter")
        await stage.type("A3", "enter")
        await stage.press("enter")
        await stage.type("dull", "enter")
        assert stage.place == "logbook"
        assert "tensioned with rope" in stage.words()
        await stage.press("enter")
        await stage.type("E3+20", "enter")
        await stage.press("enter", "enter")
        await stage.type("clear", "enter")
        assert stage.place == "trial verdict"
        await stage.press("+")
        await stage.press("m")
        assert "There is no map" in stage.words()
    first, second = desk.library.log("rope-drum").entries

    assert (second.verdict, second.against, second.words) == ("better", first.stands_for, "clear")


async def test_two_searches_of_a_drum(in_logbook: Play, begun: Desk) -> None:
    """A second one begins where the drum stands; one key goes round."""
    async with in_logbook(begun) as stage:
        await stage.press("y")
        assert "no other search" in stage.words()
        await stage.press("n")
        await stage.type("march", "enter", "escape")
        assert stage.screen.now.name == "march"
        assert "2 searches" in stage.words()
        await stage.press("y")
        assert stage.screen.now.name == "dry étude"
        await stage.press("y")
        assert stage.screen.now.name == "march"


async def test_pitches_stay_hidden_until_words_and_verdict(in_logbook: Play, begun: Desk) -> None:
    """Nobody judges by the number; once both are in, it is shown."""
    desk = replace(begun, user=begun.user.model_copy(update={"hide_pitches": True}))
    async with in_logbook(desk) as stage:
        await stage.press("enter", "w")
        await stage.type("A3+7", "enter")
        await stage.type("E4+7", "enter")
        assert "hidden" in stage.words()
        assert "+7" not in stage.words()
        await stage.press("enter")
        await stage.type("open", "enter")
        assert "+7" not in stage.words()
        await stage.press("+")
        assert "E4+7" in stage.words()


async def test_the_players_passages_and_hiding_are_set_in_a_form(in_logbook: Play, begun: Desk) -> None:
    """Saved in the user's own folder, and asked from then on."""
    async with in_logbook(begun) as stage:
        await stage.press("p")
        assert stage.place == "form"
        lines = {line.field.key: line for line in stage.screen.query("FieldLine")}
        assert not {"writer", "keys", "last_preset", "format"} & lines.keys()
        lines["passages"].query_one("Input").value = "roll, pp"
        lines["hide_pitches"].query_one("Input").value = "yes"
        await stage.press("ctrl+s")
        assert stage.place == "logbook"
        assert stage.screen.desk.user.passages == ("roll", "pp")
        assert stage.screen.desk.user.hide_pitches
        await stage.press("enter", "w", "enter", "enter", "enter", "enter")
        assert "roll: well" in stage.words()
    kept = (begun.user_folder / "settings.toml").read_text(encoding="utf-8")

    assert "roll" in kept


async def test_a_move_left_off_half_way_is_gone_on_with(in_logbook: Play, begun: Desk) -> None:
    """Between two rounds of one move nothing waits to be said; the next key makes the second."""
    tried(begun, "worse", bottom=0.25, top=0.25)
    async with in_logbook(begun) as stage:
        await stage.press("u", "w", "w", "escape")
        assert stage.screen.now.place == (0.25, 0.0)
    tried(begun, None, bottom=-0.5)
    async with in_logbook(begun) as stage:
        assert stage.place == "logbook"
        await stage.press("enter")
        assert stage.place == "trial turning"
        await stage.press("escape")
        await stage.type("B3", "enter")
        assert stage.screen.now.rows[-1].entry.top is not None
        assert stage.screen.now.rows[-1].entry.turn.bottom == -0.5


async def test_the_bench_is_opened_anew_after_the_logbook(play: Play, begun: Desk) -> None:
    """What was read at the bench says nothing of a drum that was turned in its logbook since."""
    async with play(begun) as stage:
        await stage.press("down", "enter")
        await stage.read_both("A3", "D4")
        assert stage.screen.bench.top is not None
        await stage.press("j", "enter", "w", "escape", "escape")
        assert stage.place == "listening"

        assert stage.screen.bench.top is None
        assert stage.screen.bench.position.bottom == 0.25
