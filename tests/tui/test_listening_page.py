"""The page that shows a recording at the bench, choosing another of its lines, and stopping a long one."""

import asyncio
import threading
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.widgets import OptionList

from lugbook.desk import Desk
from lugbook.heads.hearing import Tap
from lugbook.heads.levels import Levels
from lugbook.progress import Progress
from lugbook.records import Entry
from lugbook.sound import Recording
from lugbook.tui.waves import LEFT_OUT, USED, waves

Play = Callable[..., AbstractAsyncContextManager[Any]]
Log = Callable[[Desk], tuple[Entry, ...]]

RATE_HZ = 8000
LINES = ((0.8, 0.3, 0.1), (1.0, 1.0, 0.16), (1.5, 0.45, 0.1), (1.98, 0.3, 0.08))
"""Ratio to the pitch near the hoop, level, and decay in seconds to 1/e of each line of a made-up head."""


@pytest.fixture
def three_taps() -> Recording:
    """Three strokes near the hoop of a head that sounds at 217 Hz."""
    at = np.arange(int(0.7 * RATE_HZ)) / RATE_HZ
    one = sum(
        level * np.exp(-at / decay_s) * np.sin(2 * np.pi * 217.0 * ratio * at)
        for ratio, level, decay_s in LINES
    )
    # A stroke that was cut off would be heard as another one.
    one *= np.minimum(1.0, (at[-1] - at) / 0.2)
    quiet = np.zeros(int(0.3 * RATE_HZ))
    samples = np.concatenate([quiet, *(part for _ in range(3) for part in (one, quiet))])
    noise = np.random.default_rng(1).normal(0, 1e-4, samples.size)
    return Recording((0.3 * samples + noise)[:, None].astype(np.float32), RATE_HZ, "taps.wav")


@pytest.fixture
def heard(at_bench: Play, recordings: dict[str, Recording], three_taps: Recording) -> Play:
    """Return what goes to the bench, reads the top head from the recording, and shows it."""
    recordings["taps.wav"] = three_taps

    class Shown:
        """The context."""

        def __init__(self, desk: Desk, **options: object) -> None:
            self.bench = at_bench(desk, **options)

        async def __aenter__(self) -> Any:  # noqa: ANN401 -- the stage of the conftest
            stage = await self.bench.__aenter__()
            await stage.press("r")
            await stage.type("taps.wav", "enter")
            await stage.press("p")
            return stage

        async def __aexit__(self, *error: Any) -> bool | None:  # noqa: ANN401 -- handed on as it is
            return await self.bench.__aexit__(*error)

    return Shown


def cursor_row(stage: Any) -> str:  # noqa: ANN401 -- the stage of the conftest
    (row,) = [row for row in stage.rows() if row.lstrip().startswith("›")]
    return " ".join(row.split())


async def test_the_page_shows_level_taps_and_lines(heard: Play, desk: Desk, size: tuple[int, int]) -> None:
    """The reading in words, the level in blocks, the taps with signs, the lines with names and notes."""
    async with heard(desk, size=size) as stage:
        rows, words = stage.rows(), stage.words()

        assert stage.place == "picture"
        assert "Picture Concert snare · top head" in words
        assert "A3 −24 217.0 Hz ± 3 cents 28 cents flat" in words
        assert "from 3 of 3 taps: ▼ used" in words
        assert "left out" not in words
        assert "other head" in words
        assert [row.split() for row in rows if row.strip().startswith("▼")] == [["▼", "▼", "▼"]]
        assert [row.split() for row in rows if row.split()[:1] == ["1"]] == [["1", "2", "3"]]
        assert any("█" in row for row in rows)
        assert cursor_row(stage).startswith("›● near the hoop")
        assert "A3 −24 217.0" in cursor_row(stage)
        assert any("E4 " in row and "325.5" in row for row in rows)
        assert "I hear that one" in words


async def test_every_row_fits_its_window(heard: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Nothing is wider than the window, nor hidden behind the line of keys."""
    async with heard(desk, size=size) as stage:
        lines = stage.screen.query_one(OptionList)

        assert all(cell_len(row) <= size[0] for row in stage.rows())
        assert lines.size.height >= 5
        assert all(
            cell_len(line) <= lines.size.width
            for place in range(lines.option_count)
            for line in str(lines.get_option_at_index(place).prompt).split("\n")
        )


async def test_without_colour_it_says_the_same(
    heard: Play, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cursor, reading and alternatives have signs, which are explained."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with heard(desk) as stage:
        await stage.press("down")

        assert cursor_row(stage).startswith("›○ centre (0,1)")
        assert "● the reading, ○ or this" in stage.words()
        assert any(row.lstrip().startswith("● near the hoop (1,1)") for row in stage.rows())


async def test_only_a_recording_has_a_page(at_bench: Play, desk: Desk) -> None:
    """Before a reading, and after a typed one, there is no such key."""
    async with at_bench(desk) as stage:
        assert "p picture" not in stage.words()
        await stage.type("A3", "enter")
        assert "p picture" not in stage.words()
        await stage.press("p")

        assert stage.place == "listening"


async def test_another_line_is_chosen_with_one_key(heard: Play, desk: Desk, entries: Log) -> None:
    """Enter on another line corrects the entry, marks the line as the player's, and the bench follows."""
    async with heard(desk) as stage:
        assert "p picture" not in stage.words()
        await stage.press("down", "enter")
        (entry,) = entries(desk)

        assert entry.top is not None
        assert entry.top.chosen
        assert entry.top.hz(a4_hz=440) == pytest.approx(0.8 * 217.0, rel=3e-3)
        assert "Kept: this is the line that you hear" in stage.words()
        assert cursor_row(stage).startswith("›● centre (0,1)")
        assert cursor_row(stage).endswith("yours")
        assert "chosen by you" in stage.words()
        await stage.press("escape")
        assert stage.place == "listening"
        assert "heard F3" in stage.words()
        await stage.press("p")
        assert "chosen by you" in stage.words()


async def test_the_reading_itself_is_no_choice(heard: Play, desk: Desk, entries: Log) -> None:
    """Enter on the line that was read writes nothing, and says how to go to another."""
    async with heard(desk) as stage:
        before = entries(desk)
        await stage.press("enter")

        assert entries(desk) == before
        assert "This is the reading already" in stage.words()


async def test_what_cannot_be_kept_is_said(heard: Play, desk: Desk, entries: Log) -> None:
    """Somebody struck the reading out meanwhile: the page says so and stays as it is."""
    async with heard(desk) as stage:
        (entry,) = entries(desk)
        void = {"corrects": entry.id, "void": True, "id": desk.library.new_entry_id()}
        desk.library.append("concert-snare", entry.model_copy(update=void))
        await stage.press("down", "enter")

        assert "! This reading was changed elsewhere" in stage.words()
        assert stage.place == "picture"
        assert "chosen by you" not in stage.words()


async def test_notes_are_named_in_the_players_language(heard: Play, desk: Desk) -> None:
    """German names on the page; the cursor's line as on the bench."""
    german = replace(desk, user=desk.user.model_copy(update={"note_names": "latin"}))
    async with heard(german) as stage:
        assert "la3 −24" in cursor_row(stage)


async def test_a_new_size_is_drawn_for(heard: Play, desk: Desk) -> None:
    """A narrower window leaves numbers away and keeps the cursor; a low one keeps the lines."""
    async with heard(desk) as stage:
        assert "in taps" in stage.words()
        await stage.pilot.resize_terminal(42, 18)
        await stage.settle()

        assert "in taps" not in stage.words()
        assert cursor_row(stage).startswith("›● near the hoop")


class Slow:
    """A source of sound that goes on telling that 43 % are done until it is stopped or let go."""

    def __init__(self, recording: Recording, *, tells: bool = True) -> None:
        self.recording = recording
        self.tells = tells
        self.let_go = threading.Event()
        self.ended = threading.Event()

    def read(self, path: Path, *, progress: Progress | None = None) -> Recording:
        del path
        try:
            for _ in range(3000):
                if self.tells and progress is not None:
                    progress(0.43)
                if self.let_go.wait(0.01):
                    return self.recording
            raise AssertionError("nobody stopped it")
        finally:
            self.ended.set()


async def until(stage: Any, true: Callable[[], bool]) -> None:  # noqa: ANN401 -- the stage of the conftest
    """Wait until something is so."""
    async with asyncio.timeout(20):
        while not true():
            await stage.pilot.pause(0.01)


async def begun(stage: Any) -> None:  # noqa: ANN401 -- the stage of the conftest
    """Have a recording listened to, without waiting for its end."""
    await stage.press("r")
    await stage.pilot.press(*"taps", "full_stop", *"wav", "enter")
    await until(stage, lambda: bool(stage.screen.busy))


async def test_a_long_listening_tells_how_far_it_is_and_can_be_stopped(
    at_bench: Play, desk: Desk, three_taps: Recording, entries: Log, size: tuple[int, int]
) -> None:
    """The share and the key are shown; escape ends it, nothing is written, the path stays in the line."""
    slow = Slow(three_taps)
    async with at_bench(replace(desk, sound=slow), size=size) as stage:
        await begun(stage)
        await until(stage, lambda: "listening 4 % · esc stops …" in stage.words())
        await stage.press("escape")

        assert slow.ended.is_set()
        assert entries(desk) == ()
        assert "Stopped; nothing was kept of it." in stage.words()
        assert not stage.screen.said.wrong
        assert stage.place == "line"
        assert stage.screen.query_one("#typed").value == "taps.wav"
        await stage.press("escape")
        assert stage.place == "listening"


async def test_escape_at_the_drum_stops_it_too_and_stays(
    at_bench: Play, desk: Desk, three_taps: Recording, entries: Log
) -> None:
    """Once the line has lost the keys, escape still stops the listening before it leaves the bench."""
    async with at_bench(replace(desk, sound=Slow(three_taps))) as stage:
        await begun(stage)
        stage.screen.set_focus(None)
        await until(stage, lambda: stage.place == "listening")
        await stage.press("escape")

        assert stage.place == "listening"
        assert "Stopped; nothing was kept of it." in stage.words()
        assert entries(desk) == ()
        await stage.press("escape")
        assert stage.place == "shelf"


async def test_what_is_done_before_it_finds_out_is_dropped(
    at_bench: Play, desk: Desk, three_taps: Recording, entries: Log
) -> None:
    """The listening ended by itself just after escape: nothing is kept all the same, nor what waited."""
    slow = Slow(three_taps, tells=False)
    short = replace(three_taps, samples=three_taps.samples[: RATE_HZ // 10])
    slow.recording = short
    async with at_bench(replace(desk, sound=slow)) as stage:
        await begun(stage)
        await stage.pilot.press("escape")
        assert stage.screen.busy == "stopping"
        slow.let_go.set()
        await stage.settle()

        assert entries(desk) == ()
        assert "Stopped; nothing was kept of it." in stage.words()


async def test_a_result_that_comes_too_late_is_dropped(at_bench: Play, desk: Desk) -> None:
    """What was done although it should stop goes nowhere, and what waited behind it is not done."""
    async with at_bench(desk) as stage:
        let_go = threading.Event()
        results: list[object] = []
        stage.screen.ask_long("waiting", lambda _: let_go.wait(20), results.append)
        stage.screen.ask("waiting too", lambda: "done", results.append)
        assert stage.screen.stop()
        assert not stage.screen.settled
        let_go.set()
        await stage.settle()

        assert results == []
        assert "Stopped; nothing was kept of it." in stage.words()
        assert not stage.screen.stop()


async def test_a_listening_that_is_let_go_is_kept(
    at_bench: Play, desk: Desk, three_taps: Recording, entries: Log
) -> None:
    """Nobody stops it: the reading is written down, before what was asked for meanwhile."""
    slow = Slow(three_taps)
    async with at_bench(replace(desk, sound=slow)) as stage:
        await begun(stage)
        slow.let_go.set()
        await stage.settle()

        assert [entry.top.by for entry in entries(desk) if entry.top] == ["recording"]
        assert stage.place == "listening"


async def test_leaving_the_program_ends_the_listening(
    at_bench: Play, desk: Desk, three_taps: Recording, entries: Log
) -> None:
    """No thread goes on for a screen that is gone."""
    slow = Slow(three_taps)
    async with at_bench(replace(desk, sound=slow)) as stage:
        await begun(stage)
        await stage.pilot.press("ctrl+q")

    assert await asyncio.to_thread(slow.ended.wait, 20)
    assert entries(desk) == ()


def tap(at_s: float, *, used: bool = True) -> Tap:
    return Tap(at_s, 217.0, 1.0, "A3", -24.0, 0.0, used, None, ())


def test_the_level_is_as_high_as_it_is_loud() -> None:
    """Of two rows, a column 30 dB below the loudest fills one; one 60 dB below none."""
    drawn = waves(Levels((0.0, -30.0, -60.0, -7.5), 4.0), (), width=8, rows=2)

    assert drawn[2:4] == ["██    ▆▆", "████  ██"]
    assert drawn[4] == "0 s4.0 s" or drawn[4].startswith("0 s")


def test_the_taps_stand_over_their_moments() -> None:
    """Numbers where there is room, signs always: a cross for one that was left out."""
    taps = (tap(0.0), tap(5.0, used=False), tap(5.1), tap(9.99))
    numbers, signs, *_ = waves(Levels((-3.0,) * 20, 10.0), taps, width=20, rows=1)

    assert signs == f"{USED}         {LEFT_OUT}        {USED}"
    assert numbers == "1         2        4"


@given(
    st.lists(st.floats(-150, 40), max_size=300),
    st.floats(0, 1e5),
    st.lists(st.tuples(st.floats(-10, 2e5), st.booleans()), max_size=60),
    st.integers(20, 200),
    st.integers(1, 8),
)
def test_whatever_was_heard_fits(
    db: list[float], seconds: float, taps: list[tuple[float, bool]], width: int, rows: int
) -> None:
    """No row is wider than asked for, and there are as many as asked for."""
    drawn = waves(
        Levels(tuple(db), seconds), [tap(at, used=used) for at, used in taps], width=width, rows=rows
    )

    assert len(drawn) == rows + 3
    assert all(cell_len(row) <= width for row in drawn)
