"""Stories at the bench, turning: rods, rounds, stopping, taking back, coming back after a crash."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.desk.rounds import OpenRound
from lugbook.errors import LibraryMissing
from lugbook.records import Entry
from lugbook.tui.tall import LOW, TALL, amount, drawn
from lugbook.tui.turning import rods_in_signs, turn_block

Play = Callable[..., AbstractAsyncContextManager[Any]]
Log = Callable[[Desk], tuple[Entry, ...]]

STAR_OF_8 = (1, 5, 3, 7, 2, 6, 4, 8)


async def test_a_round_is_turned_rod_by_rod(
    at_bench: Play, desk: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """Each space is a rod done, kept at once; the last one makes the round a turn."""
    async with at_bench(desk, size=size) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t")
        assert stage.place == "turning"
        assert "▶1 □5 □3 □7 □2 □6 □4 □8" in stage.words()
        assert "0 of 8 rods done" in stage.words()

        await stage.press("space", "space")
        assert "■1 ■5 ▶3 □7" in stage.words()
        kept = entries(desk)[-1]
        assert kept.round is not None
        assert (kept.kind, kept.round.done()) == ("round", (1, 5))

        await stage.press(*["space"] * 6)
        turned = entries(desk)[-1]
        assert turned.kind == "turn"
        assert turned.turn.bottom is not None
        assert turned.turn.bottom > 0
        assert turned.position.bottom == turned.turn.bottom
        assert stage.place == "listening"
        assert "Tap both heads again and read them." in stage.words()


async def test_two_quick_presses_are_two_rods(at_bench: Play, desk: Desk, entries: Log) -> None:
    """Keys pressed while an entry is being written are not lost."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t")
        await stage.pilot.press("space", "space", "space")
        await stage.settle()
        kept = entries(desk)[-1].round

        assert kept is not None
        assert kept.done() == STAR_OF_8[:3]


async def test_all_rods_at_once(at_bench: Play, desk: Desk, entries: Log) -> None:
    """One key says that the whole round is done; then the other head is next."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3-60", "D4-40")
        await stage.press("t", "w")

        assert entries(desk)[-1].kind == "turn"
        assert "t turn the top head" in stage.words()
        await stage.press("t")
        assert "of 10 rods done" in stage.words()
        await stage.press("w")
        turns = [entry.turn for entry in entries(desk) if entry.kind == "turn"]
        assert [turn.top is not None for turn in turns] == [False, True]
        assert "not heard yet" in stage.words()


async def test_the_head_at_hand_may_be_turned_first(at_bench: Play, desk: Desk) -> None:
    """The advice begins with the bottom head; the player may say otherwise."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3-60", "D4-40")
        assert "i this first" not in stage.words()
        await stage.press("tab")
        assert "i this first" in stage.words()
        await stage.press("i")

        assert stage.screen.bench.round.side == "top"


async def test_the_tall_signs_say_head_way_amount_and_rod(at_bench: Play, desk: Desk) -> None:
    """What is drawn tall is what the round is."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "space")
        shown = "\n".join(stage.rows())
        at_hand = stage.screen.bench.round

        for row in drawn("BOTTOM TIGHTEN", signs=LOW).rows:
            assert row.rstrip() in shown
        for row in (*amount(f"+{at_hand.shown}").rows, *drawn("5", signs=TALL).rows):
            assert row.rstrip() in shown


async def test_loosening_says_so(at_bench: Play, desk: Desk) -> None:
    """A sharp head is loosened: the word, the minus, and the step that comes back up."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4+45")
        await stage.press("t")

        assert stage.screen.bench.round.amount < 0
        assert "loosen every rod by" in stage.words()
        assert "come back up by ⅛" in stage.words()

        await stage.press("w")
        shown = "\n".join(stage.rows())
        for row in (*drawn("BOTTOM TIGHTEN", signs=LOW).rows, *amount("+⅛").rows):
            assert row.rstrip() in shown
        assert "0 of 8 rods done" in stage.words()


async def test_a_turn_past_the_limit_needs_the_key_twice(
    at_bench: Play, desk: Desk, size: tuple[int, int]
) -> None:
    """The limit of one turn is said with the advice, asked about, and stands above the tall signs."""
    async with at_bench(desk, size=size) as stage:
        await stage.type("B3+4", "enter", "tab")
        await stage.type("F3", "enter")
        assert "! past its limit of 1 turn" in stage.words()
        await stage.press("t")
        assert stage.place == "listening"
        assert "t again: all the same." in stage.words()
        await stage.press("t")

        assert stage.place == "turning"
        rows = [row.strip() for row in stage.rows()]
        careful = rows.index("! past its limit of 1 turn")
        assert careful < next(index for index, row in enumerate(rows) if "next rod" in row)
        assert any("▶1" in row for row in rows)


async def test_a_doubt_is_forgotten_when_the_reading_changes(at_bench: Play, desk: Desk) -> None:
    """What was asked about one turn is no leave to make another."""
    async with at_bench(desk) as stage:
        await stage.type("B3+4", "enter", "tab")
        await stage.type("F3", "enter")
        await stage.press("t")
        await stage.type("F3+5", "enter")
        await stage.press("t")

        assert stage.place == "listening"
        assert "t again: all the same." in stage.words()


@pytest.mark.parametrize("by_mouse", [False, True])
async def test_a_round_is_stopped_part_way(
    at_bench: Play, desk: Desk, entries: Log, *, by_mouse: bool
) -> None:
    """The number of the last rod is enough, typed or clicked; the rods up to it are kept."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "space")
        if by_mouse:
            await stage.click("#rods", offset=(2 * 4 + 1, 0))
        else:
            await stage.press("s")
            assert stage.screen.query_one("#typed").value == "1"
            await stage.press("3", "enter")
        kept = entries(desk)[-1].round

        assert kept is not None
        assert kept.done() == (1, 5, 3)
        assert "Kept: stopped after rod 3." in stage.words()
        assert stage.place == "turning"


async def test_a_digit_begins_the_number_of_a_rod(at_bench: Play, desk: Desk, entries: Log) -> None:
    """While turning, a digit is the rod after which it was stopped; a wrong one is refused in words."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t")
        await stage.type("9", "enter")
        assert "The bottom head has no rod 9." in stage.words()
        await stage.press("backspace", "x", "enter")
        assert "'x' is no number of a rod." in stage.words()
        await stage.press("backspace", "7", "enter")
        kept = entries(desk)[-1].round

        assert kept is not None
        assert kept.done() == (1, 5, 3, 7)


async def test_a_round_is_taken_back_rod_by_rod(at_bench: Play, desk: Desk, entries: Log) -> None:
    """Each rod that was turned is turned back, the last one first; then nothing was turned."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "space", "space", "u")

        assert "◀ Taking back, the last rod first." in stage.words()
        assert "▶5 □1" in stage.words()
        assert "0 of 2 rods back" in stage.words()
        assert "Loosen rods 5 1 by" in stage.words()
        shown = "\n".join(stage.rows())
        assert drawn("BOTTOM LOOSEN", signs=LOW).rows[1].rstrip() in shown

        await stage.press("space")
        assert "■5 ▶1" in stage.words()
        assert "u take back" not in stage.words()
        kept = entries(desk)[-1].round
        assert kept is not None
        assert (kept.done(), kept.back()) == ((1, 5), (5,))

        await stage.press("space")
        assert stage.place == "listening"
        assert "every rod is where it was" in stage.words()
        assert all(entry.round is None for entry in entries(desk))


async def test_taking_back_is_thought_better_of(at_bench: Play, desk: Desk) -> None:
    """The same key goes on with the round, as long as no rod was turned back."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "space", "u", "u")

        assert "■1 ▶5" in stage.words()


async def test_an_untouched_round_is_dropped(at_bench: Play, desk: Desk, entries: Log) -> None:
    """Where no rod was turned there is nothing to turn back."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "u")

        assert "no rod was turned" in stage.words()
        assert {entry.kind for entry in entries(desk)} == {"reading"}


async def test_after_a_crash_the_round_is_there_again(
    at_bench: Play, desk: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """The program is gone without a word; opened again, the bench says what was left and goes on."""
    async with at_bench(desk, size=size) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "space", "space", "space")

    async with at_bench(desk, size=size) as stage:
        assert stage.place == "turning"
        assert "3 of 8 rods done" in stage.words()
        assert "■1 ■5 ■3 ▶7" in stage.words()
        assert "A round was stopped part-way: bottom head" in " ".join(stage.screen.bench.remarks)
        if size[0] > 42:
            assert "A round was stopped part-way: bottom head" in stage.words()
        await stage.press("w")

        assert entries(desk)[-1].kind == "turn"
        assert stage.place == "listening"


async def test_a_log_that_cannot_be_written_is_a_line(
    at_bench: Play, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rod that could not be written down is not shown as done."""

    def refuse(*_: object) -> None:
        raise LibraryMissing("The disk is full.", hint="Make room.")

    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t")
        monkeypatch.setattr(type(desk.library), "append", refuse)
        await stage.press("space")

        assert "! The disk is full. Make room." in stage.words()
        assert "0 of 8 rods done" in stage.words()


@pytest.mark.parametrize(
    ("turns", "shown", "beneath"),
    [(1 / 32, "a hair", ""), (3 / 32, "1/16 and a hair", "and a hair"), (-5 / 8, "¾", ""), (1.75, "1¾", "")],
)
@pytest.mark.parametrize("width", [40, 78])
def test_every_kind_of_amount_has_its_block(turns: float, shown: str, beneath: str, width: int) -> None:
    """Numbers are drawn tall, words low, what is finer than a sixteenth stands beneath in words.

    Loosening shows its first pass, an eighth below.
    """
    at_hand = OpenRound("bottom", turns, (10, *STAR_OF_8), steps=())
    rows = turn_block(at_hand, width=width).split("\n")

    assert max(map(len, rows)) <= width
    assert rows[-1].strip() == beneath or not beneath
    drawn_words = drawn("HAIR", signs=LOW).rows[0].rstrip()
    assert any(row.startswith(drawn_words) for row in rows) == (shown == "a hair")
    assert any("next rod" in row for row in rows)
    way = drawn("TIGHTEN" if turns > 0 else "LOOSEN", signs=LOW).rows[1].rstrip()
    assert any(way in row for row in rows)


def test_the_rods_are_signs_in_their_order() -> None:
    """Done, next and left are told apart by a sign."""
    at_hand = OpenRound("top", 0.25, STAR_OF_8, steps=(), done=(1, 5))

    assert rods_in_signs(at_hand)[:4] == (("■", 1), ("■", 5), ("▶", 3), ("□", 7))
