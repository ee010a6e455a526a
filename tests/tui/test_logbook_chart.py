"""The chart and the map: columns for every window, rows only as they are looked at, the map beside them."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from lugbook.cards.mapped import map_lines
from lugbook.desk import Desk
from lugbook.desk.chart import row_of, search_map
from lugbook.desk.proposing import next_of
from lugbook.desk.searches import Row, SearchNow, search_now
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.library.encoding import LOG_HEAD, entry_bytes
from lugbook.records import PerHead
from lugbook.tui.chart_view import ChartView, columns_for, headings, line_of

DRUM = "concert-snare"
Play = Callable[..., AbstractAsyncContextManager[Any]]


@pytest.fixture
def searched(desk: Desk) -> Desk:
    """Three states: the start, a better one, and one that is worse; the drum stands in the last."""
    values = {"words": "flat", "context": "dry étude", "snares": {"words": "just free"}}
    try_state(desk, DRUM, State(top="A3+4", bottom="Bb4", values=values))
    for turn, verdict, words in (
        (PerHead(top=0.25), "better", "opens up, and long"),
        (PerHead(bottom=-0.25), "worse", "choked"),
    ):
        try_state(desk, DRUM, State(turn=turn, top="Bb3", values={"verdict": verdict, "words": words}))
    return desk


@pytest.fixture
def in_logbook(play: Play) -> Play:
    """Return what runs the program and opens the logbook of the first drum."""

    @asynccontextmanager
    async def run(desk: Desk, *, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Any]:
        async with play(desk, size=size) as stage:
            await stage.press("j")
            yield stage

    return run


@pytest.mark.parametrize("width", [40, 69, 70, 78, 120])
def test_a_row_fills_its_columns_and_no_more(searched: Desk, width: int) -> None:
    """All columns from 70 on, else those without which there is no chart; the kept row has its sign."""
    now = search_now(searched, DRUM)
    lines = [line_of(row_of(searched, now, row), width=width, language="english") for row in now.rows]

    assert {len(line) for line in lines} == {width}
    assert sum(column.width for column in columns_for(width)) == width
    assert [line[0] for line in lines] == [" ", "●", " "]
    assert "verdict" in headings(width)[1]
    assert all("Bb3" in line for line in lines[1:])
    assert [line.split()[-1] for line in lines] == ["start", "better", "worse"]
    assert ("choked" in lines[2]) == (width >= 70)
    assert ("¼" in lines[1].replace("top +¼", "")) == (width >= 70)


async def test_chart_map_proposal_and_detail(in_logbook: Play, searched: Desk, size: tuple[int, int]) -> None:
    """What to try stands above, the whole entry under the cursor below; one key shows the map instead."""
    async with in_logbook(searched, size=size) as stage:
        words = stage.words()
        assert "Logbook Concert snare · dry étude" in words
        assert "▶ Try the " in words
        assert "“choked” · worse (at the drum)" in words
        await stage.press("up")
        assert "“opens up, and long” · better, kept" in stage.words()
        await stage.press("home", "up")
        assert "snares just free" in stage.words()
        await stage.press("m")
        words = stage.words()
        assert "●2" in words
        assert "kept" in words
        assert "[−3" in words
        assert "▶" in words
        assert "? untried" in words
        assert "no. turn" not in words
        await stage.press("m")
        assert "no. turn" in stage.words()


@pytest.mark.parametrize("large", [(140, 30), (80, 40)])
async def test_a_large_window_shows_both(in_logbook: Play, searched: Desk, large: tuple[int, int]) -> None:
    async with in_logbook(searched, size=large) as stage:
        words = stage.words()
        assert "no. turn" in words
        assert "●2 kept" in words
        await stage.press("m")
        assert "Chart and map are both shown." in stage.words()


async def test_notes_are_in_the_players_language(in_logbook: Play, searched: Desk) -> None:
    desk = replace(searched, user=searched.user.model_copy(update={"note_names": "german"}))
    async with in_logbook(desk) as stage:
        assert "B3" in stage.words()
        assert "Bb3" not in stage.words()
        await stage.press("r")
        await stage.type("H3", "enter")
        last = desk.library.log(DRUM).entries[-1].top

    assert last is not None
    assert last.pitch == "B3"


async def test_words_are_found(in_logbook: Play, searched: Desk) -> None:
    """Only the rows that hold what is typed; nothing typed shows all again."""
    async with in_logbook(searched) as stage:
        await stage.press("/")
        await stage.type("OPENS", "enter")
        assert len(stage.screen.rows_shown()) == 1
        assert "choked" not in stage.words()
        await stage.press("/")
        await stage.press("backspace", "enter")
        assert len(stage.screen.rows_shown()) == 3


async def test_a_letter_of_a_note_begins_a_reading(in_logbook: Play, searched: Desk) -> None:
    """As at the bench; every other key that does nothing says so."""
    async with in_logbook(searched) as stage:
        await stage.press("B")
        assert stage.place == "trial reading"
        assert stage.screen.query_one("#typed").value == "B"
        await stage.press("escape", "v")
        assert "v does nothing here" in stage.words()


async def test_five_thousand_entries_are_not_all_made(
    in_logbook: Play, searched: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Opening the chart and going to its end makes the rows in view, and not one for each entry."""
    last = searched.library.log(DRUM).entries[-1]
    ids = (f"20261126T{n // 3600:02}{n // 60 % 60:02}{n % 60:02}Z-abcdef-aaaa" for n in range(5000))
    begin = last.at.replace(day=26, hour=0, minute=0, second=0)
    more = [
        last.model_copy(update={"id": id_, "corrects": None, "at": begin + timedelta(seconds=n)})
        for n, id_ in enumerate(ids)
    ]
    folder = searched.library.root / "drums" / DRUM / "log"
    (folder / "2026-12-zzzzzz.toml").write_bytes(
        LOG_HEAD
        + b"".join(
            entry_bytes(
                one.model_copy(
                    update={
                        "id": one.id.replace("abcdef", "zzzzzz"),
                        "verdict": None,
                        "against": None,
                        "turn": PerHead(),
                        "kind": "reading",
                    }
                )
            )
            for one in more
        )
    )
    made: list[int] = []

    def counted(desk: Desk, now: SearchNow, row: Row) -> object:
        made.append(row.number)
        return row_of(desk, now, row)

    monkeypatch.setattr("lugbook.tui.chart_view.row_of", counted)
    async with in_logbook(searched) as stage:
        await stage.press("escape")
        assert len(stage.screen.now.rows) == 5003
        assert "5003" in stage.words()
        assert 0 < len(set(made)) < 100
        await stage.press("home", "pagedown")
        assert "●2" in stage.words()

        assert len(set(made)) < 200
        assert stage.screen.query_one(ChartView).cursor > 1


def test_a_narrow_map_keeps_the_kept_state_and_both_its_sides(searched: Desk) -> None:
    """At 40 columns each word stands beneath its sign; the columns are those nearest to the kept state."""
    map_ = search_map(next_of(searched, search_now(searched, DRUM)))
    assert map_ is not None
    lines = map_lines(map_, width=40)

    assert all(len(line) <= 40 for line in lines)
    at = next(index for index, line in enumerate(lines) if "●2" in line)
    assert lines[at].split()[1:3] == ["○1", "●2"]
    assert lines[at + 1].split()[:2] == ["beaten", "kept"]
    assert next(line for line in lines if line.startswith("top")).split() == ["top", "0", "¼", "½"]


async def test_a_verdict_is_said_again_of_the_entry_under_the_cursor(
    in_logbook: Play, searched: Desk
) -> None:
    """After a slip of the finger: w asks for it again, and the latest counts."""
    async with in_logbook(searched) as stage:
        last = search_now(searched, DRUM).rows[-1].entry
        await stage.press("w")
        assert stage.place == "trial verdict"
        await stage.press("+" if last.verdict == "worse" else "-")
        again = search_now(searched, DRUM).rows[-1].entry
        assert again.stands_for == last.stands_for
        assert again.verdict == ("better" if last.verdict == "worse" else "worse")
        assert again.words == last.words


async def test_after_days_both_heads_are_read_first_and_tall(in_logbook: Play, searched: Desk) -> None:
    """Into an entry of today; the old ones stay as they are."""
    before = search_now(searched, DRUM).rows
    later = replace(searched, clock=lambda: searched.clock() + timedelta(days=5))
    async with in_logbook(later) as stage:
        if stage.place == "logbook":
            await stage.press("enter")
        assert stage.place == "trial reading"
        assert "Damp the other head whole" in stage.words()
        await stage.type("A3", "enter")

        rows = search_now(later, DRUM).rows
        assert [row.entry.id for row in rows[:-1]] == [row.entry.id for row in before]
        assert rows[-1].entry.at.date() == later.now().date()
