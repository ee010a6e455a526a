"""The concert on a dark stage: keys, the time left, ticks in the logbook, a crash, and what does not fit."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event
from types import ModuleType
from typing import Any

import pytest

from lugbook.desk import Desk, opening, performing
from lugbook.desk.concerts import add_concert, edit_concert
from lugbook.desk.plans import ConcertPlan
from lugbook.desk.rounds import BY_TURNS_ALONE
from lugbook.desk.running import Alter, Put
from lugbook.errors import LibraryDamaged
from lugbook.library import Library, position_of
from lugbook.tui.tall import TALL, drawn

Play = Callable[..., AbstractAsyncContextManager[Any]]
Size = tuple[int, int]


@dataclass
class Still:
    """A clock that moves when it is told to."""

    moment: datetime = field(default_factory=lambda: datetime(2026, 12, 5, 19, 30, tzinfo=UTC))

    def __call__(self) -> datetime:
        return self.moment


@dataclass
class Planned:
    """What plans a concert in these tests."""

    night: ModuleType
    change: Callable[[ConcertPlan], ConcertPlan] = lambda plan: plan
    asked: int = 0
    going: Event = field(default_factory=Event)
    """It waits for this."""

    def __post_init__(self) -> None:
        self.going.set()

    def __call__(self, desk: Desk, slug: str) -> ConcertPlan:
        assert slug == "winter-concert"
        self.asked += 1
        assert self.going.wait(timeout=30)
        return self.change(self.night.plan(desk))


@pytest.fixture
def clock() -> Still:
    return Still()


@pytest.fixture
def planned(night: ModuleType, monkeypatch: pytest.MonkeyPatch) -> Planned:
    made = Planned(night)
    monkeypatch.setattr("lugbook.desk.planning.plan_concert", made)
    return made


@pytest.fixture
def stand(empty_desk: Desk, tmp_path: Path, clock: Still, night: ModuleType, planned: Planned) -> Desk:
    """A desk with the small concert, on a clock that stands still."""
    library = Library(tmp_path / "library", now=clock, writer="abcdef", lock_folder=tmp_path / "locks")
    desk = replace(empty_desk, library=library, clock=clock)
    night.shelve(desk)
    planned(desk, "winter-concert")
    return desk


def wait(stage: Any, clock: Still, seconds: float) -> None:  # noqa: ANN401 -- the running program
    """Let time pass, and have the screen look at its clock."""
    clock.moment += timedelta(seconds=seconds)
    stage.screen.look_at_clock()


def stands(desk: Desk, drum: str) -> tuple[float | None, float | None]:
    at = position_of(desk.library.drum(drum).record, desk.library.log(drum).entries)
    return (at.top.amount if at.top else None, at.bottom.amount if at.bottom else None)


async def test_from_the_shelf_to_the_stage(play: Play, stand: Desk, size: Size) -> None:
    """Before the doors: the drums to measure, and the running order below."""
    async with play(stand, size=size) as stage:
        await stage.press("t")
        assert stage.place == "concert"
        words = stage.words()
        assert "Winter concert" in words
        assert "› □ Snare: Low · for item 1 · not read yet" in words
        assert "□ Field: Near" in words
        assert "□ 2 Symphony" in words
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_before_the_doors_a_drum_is_measured_at_the_bench(play: Play, stand: Desk) -> None:
    async with play(stand) as stage:
        await stage.press("t", "enter")
        assert stage.place == "listening"
        await stage.read_both("A3", "E4")
        await stage.press("escape")
        assert "› □ Snare: Low · for item 1 · within" in stage.words()
        await stage.press("space", "space")
        assert "■ Snare: Low" in stage.words()
        assert "■ Field: Near" in stage.words()
        assert "no reading of the last 45 minutes is within" in stage.words()
        await stage.press("u")
        assert "› □ Field: Near" in stage.words()


async def test_the_window_counts_down_and_on(play: Play, stand: Desk, clock: Still, size: Size) -> None:
    """Drum, head, way, amount, rods and the seconds left; past its time a sign and a word, and no bell."""
    async with play(stand, size=size) as stage:
        rung: list[bool] = []
        stage.app.bell = lambda: rung.append(True)
        await stage.press("t", "n")
        assert "▶ 1 of 3 Overture" in stage.words()
        await stage.press("w")
        wait(stage, clock, 43)
        await stage.settle()
        words = stage.words()
        assert "0:47 of 1:30 left" in words
        assert "seconds left" in words
        assert "Snare → High" in words
        assert "▶1 □5 □3 □7 □2 □6 □4 □8" in words
        assert drawn_tall(stage, "47")

        wait(stage, clock, 59)
        await stage.settle()
        assert stage.words().count("! over by 0:12") == 2
        assert drawn_tall(stage, "−12")
        assert not rung


def drawn_tall(stage: Any, number: str) -> bool:  # noqa: ANN401 -- the running program
    """Tell whether the number stands tall on the screen, each of its rows."""
    shown = stage.rows()
    return all(any(row.rstrip() in line for line in shown) for row in drawn(number, signs=TALL).rows)


async def test_a_tick_writes_the_turns_and_undo_takes_them_back(play: Play, stand: Desk, size: Size) -> None:
    """Head by head, as the sign shows, and two changes; the cursor goes on, and comes back."""
    async with play(stand, size=size) as stage:
        await stage.press("t", "n", "w", "space")
        assert "Done: Snare: High, bottom head. The top head is next." in stage.words()
        assert stands(stand, "snare") == (0.0, 0.25)
        assert stage.screen.at == "change 1"
        assert "Top head: tighten" in str(stage.screen.query_one("#how").content)
        assert "Bottom head" not in str(stage.screen.query_one("#how").content)
        await stage.press("space")
        assert "Done: Snare: High." in stage.words()
        assert stands(stand, "snare") == (0.25, 0.25)
        assert {one.note for one in stand.library.log("snare").entries[-2:]} == {BY_TURNS_ALONE}
        assert stage.screen.at == "change 2"
        await stage.press("space")
        assert stands(stand, "field") == (-0.125, 0.0)
        assert "All is done." in stage.words()
        await stage.press("space")
        assert "All of it is ticked off." in stage.words()

        await stage.press("u")
        assert (stands(stand, "snare"), stands(stand, "field")) == ((0.25, 0.25), (0.0, 0.0))
        assert stage.screen.at == "change 2"
        await stage.press("u")
        assert stands(stand, "snare") == (0.0, 0.25)
        assert stage.screen.at == "change 1"
        await stage.press("u")
        assert stands(stand, "snare") == (0.0, 0.0)
        assert "By the logbook it stands where it stood before." in stage.words()
        await stage.press("u")
        assert "Nothing was ticked off yet." in stage.words()


async def test_the_cursor_goes_down_and_a_click_goes_there(play: Play, stand: Desk) -> None:
    async with play(stand, size=(80, 40)) as stage:
        await stage.press("t", "n", "w", "down", "space")
        assert stands(stand, "field") == (-0.125, 0.0)
        assert stands(stand, "snare") == (0.0, 0.0)
        await stage.press("u", "up")
        assert stage.screen.at == "change 1"
        await stage.click("#tasks", offset=(6, 1))
        assert stage.screen.at == "change 2"


async def test_back_in_the_middle_of_the_window(play: Play, stand: Desk, clock: Still) -> None:
    """The next item was begun too early: the window goes on with the time that it had."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
        wait(stage, clock, 20)
        await stage.press("n")
        assert "Not ticked off: Snare: High, Field: Far." in stage.words()
        assert "! left out: Snare → High" in stage.words()
        wait(stage, clock, 10)
        await stage.press("p")
        assert "1:00 of 1:30 left" in stage.words()


async def test_rod_by_rod_at_the_bench(play: Play, stand: Desk, clock: Still, size: Size) -> None:
    """The turning face opens with the time left above; both heads done, the change is ticked off."""
    async with play(stand, size=size) as stage:
        await stage.press("t", "n", "w", "enter")
        assert stage.place == "turning"
        wait(stage, clock, 30)
        await stage.settle()
        assert "1:00 of 1:30 left" in stage.words()
        await stage.press(*["space"] * 8)
        await stage.press("escape")
        task = stage.screen.tonight.task("change 1")
        assert [one.side for one in task.rounds] == ["top"]
        await stage.press("enter", "w", "escape")
        assert stage.place == "concert"
        assert stage.screen.tonight.task("change 1").done
        assert stands(stand, "snare") == (0.25, 0.25)


async def test_crash_and_reopen(play: Play, stand: Desk, clock: Still) -> None:
    """The program ends in the middle of a window; opened again, all is as it was, and no turn is twice."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "space", "space")
    entries = stand.library.log("snare").entries
    clock.moment += timedelta(seconds=25)
    async with play(stand) as stage:
        await stage.press("t")
        assert "1:05 of 1:30 left" in stage.words()
        assert stage.screen.at == "change 2"
        await stage.press("u", "u")
        assert stands(stand, "snare") == (0.0, 0.0)
    assert len(entries) - len(stand.library.log("snare").entries) == 2


async def test_another_day_begins_anew_with_one_key(
    play: Play, stand: Desk, clock: Still, size: Size
) -> None:
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
    clock.moment += timedelta(days=1)
    async with play(stand, size=size) as stage:
        await stage.press("t")
        assert "! What is kept is the evening of 5 December 2026. k begins anew." in stage.words()
        for key in ("n", "w", "space"):
            await stage.press(key)
            assert stage.words().count("What is kept is the evening of 5 December 2026. k begins anew.") == 2
        assert stage.screen.tonight.place == 0
        await stage.press("k", "n", "n")
        assert "What is kept" not in stage.words()
        assert "▶ 1 of 3 Overture" in stage.words()


async def test_the_same_evening_begins_anew_when_asked_twice(play: Play, stand: Desk) -> None:
    """A rehearsal in the morning, the concert at night."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "k")
        assert "k again: begin anew." in stage.words()
        await stage.press("n", "k")
        assert stage.screen.tonight.place == 3
        await stage.press("k")
        assert "The evening begins anew." in stage.words()
        assert stage.screen.tonight.place == 0


@pytest.mark.parametrize(
    "between", [["u"], ["down"], ["enter", "escape"], ["m"], ["click"], ["space", "space", "space"]]
)
async def test_beginning_anew_is_asked_again_after_anything_else(
    play: Play, stand: Desk, between: list[str]
) -> None:
    """Undo with or without a tick, another row, the bench: the first question stands no more."""
    async with play(stand, size=(80, 40 if between == ["click"] else 18)) as stage:
        await stage.press("t", "n", "w", "k")
        if between == ["click"]:
            await stage.click("#tasks", offset=(6, 0))
        else:
            await stage.press(*between)
        await stage.press("k")
        assert "k again: begin anew." in stage.words()
        assert stage.screen.tonight.place == 2
        await stage.press("k")
        assert stage.screen.tonight.place == 0


async def test_what_does_not_fit_comes_first_and_the_rest_can_be_used(
    play: Play, stand: Desk, planned: Planned, night: ModuleType, size: Size
) -> None:
    planned.change = night.short_of_time
    async with play(stand, size=size) as stage:
        await stage.press("t")
        said = [row for row in stage.rows() if row.strip()]
        assert said[1].strip().startswith("! After Overture 12 more seconds are")
        await stage.press("n", "w", "space", "space")
        assert stands(stand, "snare") == (0.25, 0.25)
        assert "! The plan does not fit: see below." in stage.words()
        assert "12 more seconds" in str(stage.screen.query_one("#closing").content)


async def test_a_refused_change_says_why(play: Play, stand: Desk, night: ModuleType, size: Size) -> None:
    night.calf(stand)
    async with play(stand, size=size) as stage:
        await stage.press("t", "n", "w", "space")
        assert stage.screen.said.wrong
        assert "! The top head is calf, which drifts within hours" in stage.words()
        assert stands(stand, "snare") == (0.0, 0.0)
        await stage.press("down", "space")
        assert stands(stand, "field") == (-0.125, 0.0)


async def test_a_tick_that_cannot_be_written_is_no_tick(play: Play, stand: Desk) -> None:
    """The preset went away meanwhile: said in words, the rest goes on."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
        (stand.library.root / "drums/snare/presets/high.toml").unlink()
        await stage.press("space")
        assert stage.screen.said.wrong
        assert "high" in stage.screen.said.text
        assert not stage.screen.tonight.evening.ticked
        await stage.press("n")
        assert "▶ 2 of 3 Symphony" in stage.words()


async def test_items_that_are_over_are_folded(play: Play, stand: Desk) -> None:
    """The running order begins with the item before the one on now; the end is said."""
    async with play(stand) as stage:
        await stage.press("t", "n", "n", "n")
        assert "■ 1 over ■ 2 Symphony" in stage.words()
        assert "1 Overture" not in stage.words()
        await stage.press("n")
        assert "The concert is over." in stage.words()
        assert "■ 3 March" in stage.words()


async def test_a_concert_that_cannot_be_read_is_said(
    play: Play, stand: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def damaged(desk: Desk, slug: str) -> ConcertPlan:
        del desk
        raise LibraryDamaged(f"{slug}.toml: the file is empty.")

    monkeypatch.setattr("lugbook.desk.planning.plan_concert", damaged)
    async with play(stand) as stage:
        await stage.press("t")
        assert "! winter-concert.toml: the file is empty." in stage.words()
        await stage.press("n", "escape")
        assert stage.place == "shelf"


async def test_two_windows_of_the_program(play: Play, stand: Desk) -> None:
    """Both tick the same change: the second is told, shows it done, and the turns are written once."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
        other = opening.going_on(stand, "winter-concert")
        assert other is not None
        performing.tick(stand, performing.tick(stand, other, "change 1"), "change 1")
        await stage.press("space")
        assert "went on in another window" in stage.words()
        assert stage.screen.tonight.task("change 1").done
        assert stage.screen.at == "change 2"
        assert stands(stand, "snare") == (0.25, 0.25)
        await stage.press("u", "u")
        assert stands(stand, "snare") == (0.0, 0.0)


async def test_coming_back_from_the_bench_the_other_window_is_noticed(play: Play, stand: Desk) -> None:
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "enter")
        other = opening.going_on(stand, "winter-concert")
        assert other is not None
        performing.next_item(stand, other)
        await stage.press("escape")
        assert "▶ 2 of 3 Symphony" in stage.words()
        assert "went on in another window" in stage.words()


async def test_an_evening_that_goes_on_is_shown_without_planning(
    play: Play, stand: Desk, planned: Planned
) -> None:
    """It is planned again only to begin anew."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
        asked = planned.asked
        await stage.press("escape", "t")
        assert stage.screen.tonight.place == 2
        assert planned.asked == asked
        planned.change = planned.night.without_last
        await stage.press("k", "k")
        assert planned.asked == asked + 1
        assert len(stage.screen.tonight.plan.changes) == 3
        assert stage.screen.tonight.place == 0


async def test_after_the_other_window_it_begins_anew_by_the_newest_plan(
    play: Play, stand: Desk, planned: Planned
) -> None:
    """A pause has changed since, so that it was planned again; the evening goes on as it was begun."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "escape")
        edit_concert(stand, "winter-concert", {}, [Alter(1, {"after_s": 80.0})])
        planned.change = planned.night.without_last
        await stage.press("t")
        assert "Planned otherwise by now" in stage.words()
        other = opening.open_tonight(stand, planned(stand, "winter-concert"))
        performing.next_item(stand, other)
        await stage.press("p")
        assert "went on in another window" in stage.words()
        assert len(stage.screen.tonight.plan.changes) == 4
        await stage.press("k", "k")
        assert len(stage.screen.tonight.plan.changes) == 3


async def test_a_concert_is_left_while_it_is_planned(play: Play, stand: Desk, planned: Planned) -> None:
    """Nothing comes of the plan then, and the shelf can be used meanwhile."""
    planned.going.clear()
    async with play(stand) as stage:
        try:
            await stage.pilot.press("t")
            while not (stage.place == "concert" and stage.screen.busy == "planning"):
                await stage.pilot.pause(0.01)
            screen = stage.screen
            await stage.pilot.press("escape")
            while stage.place != "shelf":
                await stage.pilot.pause(0.01)
        finally:
            planned.going.set()
        await stage.settle()
        assert stage.place == "shelf"
        assert screen.tonight is None


@pytest.mark.parametrize("keys", [(), ("n",), ("n", "w"), ("n", "n", "n", "n")])
async def test_help_and_the_way_out_are_always_shown(
    play: Play, stand: Desk, planned: Planned, keys: tuple[str, ...]
) -> None:
    """Also where nothing can be ticked off."""
    planned.change = lambda plan: replace(plan, changes=(), before_doors=())
    async with play(stand) as stage:
        await stage.press("t", *keys)
        assert "esc back ? help q quit" in stage.words()


async def test_planned_changed_and_ticked_with_the_real_planner(
    play: Play, empty_desk: Desk, tmp_path: Path, clock: Still, night: ModuleType, size: Size
) -> None:
    """From the pieces to the logbook: low for the first item, high for the second, changed in the pause."""
    library = Library(tmp_path / "library", now=clock, writer="abcdef", lock_folder=tmp_path / "locks")
    desk = replace(empty_desk, library=library, clock=clock)
    night.shelve(desk)
    items = (
        {"title": "Prelude", "presets": [night.LOW], "after_s": 150.0},
        {"title": "Fugue", "presets": [night.HIGH]},
    )
    add_concert(desk, {"name": "Evening", "on": clock.moment.date()}, [Put(item) for item in items])
    async with play(desk, size=size) as stage:
        await stage.press("t")
        assert "› □ Snare: Low" in stage.words()
        await stage.press("n", "w")
        assert "2:30 of 2:30 left" in stage.words()
        await stage.press("space", "space")
        assert stands(desk, "snare") == (0.25, 0.25)
    async with play(desk, size=size) as stage:
        await stage.press("t")
        assert "All is done." in stage.words()
        await stage.press("u", "u")
        assert stands(desk, "snare") == (0.0, 0.0)


async def test_without_a_concert_the_shelf_says_so(play: Play, desk: Desk) -> None:
    async with play(desk) as stage:
        await stage.press("t")
        assert stage.place == "shelf"
        assert "There is no concert yet; m makes one." in stage.words()


async def test_without_colour_nothing_is_lost(
    play: Play, stand: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is done, left out and on now are signs and words."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "space", "space", "n")
        words = stage.words()
        assert "! left out: Field → Far" in words
        assert "■ 1 Overture" in words
        assert "▶ 2 Symphony" in words
        assert "■ Snare → High" in words


async def test_on_another_day_the_first_step_is_asked_about(play: Play, stand: Desk, clock: Still) -> None:
    """Looking is free; the same key again begins a rehearsal, another key asks anew, and then it is on."""
    clock.moment -= timedelta(days=20)
    async with play(stand) as stage:
        await stage.press("t", "n")
        assert "! Not its day: 5 December 2026. n again: a rehearsal." in stage.words()
        await stage.press("space")
        assert "space again: a rehearsal." in stage.words()
        await stage.press("down", "n")
        assert stage.screen.tonight.place == 0
        assert not stage.screen.tonight.evening.ticked
        await stage.press("n")
        assert stage.screen.tonight.place == 1
        await stage.press("n")
        assert stage.screen.tonight.place == 3


async def test_the_question_of_the_day_is_no_answer_to_another(play: Play, stand: Desk, clock: Still) -> None:
    async with play(stand) as stage:
        await stage.press("t", "n", "w", "p", "p")
        clock.moment -= timedelta(days=20)
        await stage.press("escape", "t", "k", "n")
        assert "Not its day" in stage.words()
        await stage.press("k")
        assert "k again: begin anew." in stage.words()


async def test_the_keys_offer_only_what_can_be_done(play: Play, stand: Desk, clock: Still) -> None:
    """All done; one done under the cursor; an evening of another day."""
    async with play(stand) as stage:
        await stage.press("t", "n", "w", *["space"] * 3)
        keys = "n next item u undo p step back"
        assert keys in stage.words()
        await stage.press("enter")
        assert "All of it is ticked off." in stage.words()
        await stage.press("u", "up")
        assert "n next item u undo enter bench" in stage.words()
        await stage.press("space")
        assert "This is ticked off." in stage.words()
        assert stands(stand, "field") == (0.0, 0.0)
    clock.moment += timedelta(days=1)
    async with play(stand) as stage:
        await stage.press("t", "p")
        assert "What is kept is the evening of 5 December 2026. k begins anew." in stage.words()
        assert not any(key in stage.words() for key in ("next item", "step back", "u undo", "done", "bench"))
        await stage.press("k")
        assert "n next item space done enter bench" in stage.words()


async def test_no_bench_is_opened_for_a_drum_that_was_removed(play: Play, stand: Desk) -> None:
    async with play(stand) as stage:
        await stage.press("t", "n", "w")
        stand.library.remove_drum("snare")
        for key in ("enter", "space"):
            await stage.press(key)
            assert stage.place == "concert"
            assert "! Snare was removed. `lugbook drum restore snare` brings it back." in stage.words()


async def test_many_misfits_leave_the_drums_in_sight(play: Play, stand: Desk, planned: Planned) -> None:
    """Three rows of them at the most, however wide; the whole stands at the end."""
    many = tuple(f"Item {number}, a long name of a piece: it has no drum." for number in range(1, 9))
    planned.change = lambda plan: replace(plan, fits=False, short=many)
    async with play(stand, size=(42, 24)) as stage:
        await stage.press("t")
        assert "! Item 1, a long name of a piece: it has no drum." in stage.words()
        assert "… 7 more (m)" in stage.words()
        assert "Snare: Low" in stage.words()
        assert many[-1] in str(stage.screen.query_one("#closing").content)
    planned.change = lambda plan: replace(plan, fits=False, short=(" ".join(many), many[0]))
    async with play(stand, size=(42, 24)) as stage:
        await stage.press("t")
        assert "… 1 more (m)" in stage.words()
        assert "Snare: Low" in stage.words()


async def test_an_encore_put_in_meanwhile_leaves_the_evening(
    play: Play, stand: Desk, planned: Planned, monkeypatch: pytest.MonkeyPatch, size: Size
) -> None:
    """Left with esc, given an encore in a shell, and taken up where it stood, with its ticks."""
    async with play(stand, size=size) as stage:
        await stage.press("t", "n", "w", "space", "space", "escape")
        monkeypatch.undo()
        edit_concert(stand, "winter-concert", {}, [Put({"title": "Encore", "presets": ["snare/high"]})])
        await stage.press("t")
        assert "what is over stays, and the rest is planned from here" in stage.words()
        assert (stage.screen.tonight.place, stage.screen.tonight.stale) == (2, "")
        assert stage.screen.tonight.task("change 1").done
        await stage.press("n", "p", "n")
        assert "▶ 2 of 4 Symphony" in stage.words()
    assert planned.asked
