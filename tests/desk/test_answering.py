"""How a drum answers to turns, from its logbook: its numbers, its words, and odd or long logbooks."""

import itertools
import json
import math
import string
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.answering import DrumAnswer, HeadAnswer, answer
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_drum
from lugbook.desk.recounting import recount
from lugbook.errors import NotPossible
from lugbook.records import Entry, HeadSide, PerHead
from lugbook.turns.curve import Move, Place
from lugbook.turns.squares import SLACK_HZ

DRUM = "concert-snare"
Put = Callable[..., str]

TOP, BOTTOM = (48_400.0, 30_000.0, 1_000.0), (86_000.0, 36_000.0, 1_400.0)
"""f² at the references, and what a turn of the own and of the other head adds, in Hz²."""


def sounded(top: float, bottom: float) -> tuple[float, float]:
    """The pitches of both heads at a position, in Hz."""
    return (
        math.sqrt(TOP[0] + TOP[1] * top + TOP[2] * bottom),
        math.sqrt(BOTTOM[0] + BOTTOM[1] * bottom + BOTTOM[2] * top),
    )


def heard(desk: Desk, position: tuple[float, float], hz: tuple[float, float], *, drum: str = DRUM) -> None:
    """Write down the pitches of both heads at a position."""
    said = [{"pitch": f"{one:.3f} Hz", "by": "recording", "sd_cents": 3.0} for one in hz]
    fields = {"kind": "reading", "top": said[0], "bottom": said[1]}
    record = desk.library.drum(drum).record
    write(desk, drum, record, fields, position=PerHead(top=position[0], bottom=position[1]))


@pytest.fixture
def searched(desk: Desk, with_drum: Put) -> DrumAnswer:
    """The answer of a drum without drift that was read at twelve positions in one hour."""
    with_drum()
    for step in range(12):
        position = ((step % 4 - 1) / 4, (step // 4 - 1) / 4)
        heard(desk, position, sounded(*position))
    return answer(desk, DRUM)


def numbers(head: HeadAnswer) -> Iterator[float]:
    """Every number of one head's answer."""
    curve = head.curve
    yield from (curve.turns, curve.square, curve.slope, curve.slope_sd)
    yield from (curve.fall_day_cents, curve.fall_week_cents)
    places = [one for one in (curve.lowest, curve.highest) if one is not None]
    moves = [curve.up, curve.down, curve.of_other, curve.weather]
    moves += [move for place in places for move in (place.up, place.down)]
    for move in moves:
        yield from () if move is None else (move.cents, move.sd_cents)
    for line in curve.line:
        yield from (line.turns, line.square, line.sd_square)
    for point in curve.points:
        yield from (point.turns, point.hz, point.square, point.sd_square, point.drift_cents)
    yield from (one.cents for one in curve.creep)


@pytest.mark.parametrize(("side", "law"), [("top", TOP), ("bottom", BOTTOM)])
def test_the_slopes_are_those_of_a_plain_fit(
    searched: DrumAnswer, side: HeadSide, law: tuple[float, ...]
) -> None:
    """Least squares of numpy over the corrected points, and what the drum was made with, agree with it."""
    curve = searched.head(side).curve
    fitted = np.polyfit([one.turns for one in curve.points], [one.square for one in curve.points], 1)

    assert fitted[0] == pytest.approx(law[1], rel=0.01)
    assert curve.slope == pytest.approx(fitted[0], rel=0.04)
    assert abs(curve.slope - law[1]) < 2 * curve.slope_sd
    assert curve.of_other is not None
    cross = 600 * math.log2(1 + law[2] / 4 / curve.square)
    assert abs(curve.of_other.cents - cross) < 2 * curve.of_other.sd_cents


def test_a_quarter_turn_is_told_at_the_lowest_and_the_highest_place_too(searched: DrumAnswer) -> None:
    """Cents a quarter turn grow smaller upwards, and one down is more than one up; from f² ∝ turns."""
    lowest, highest = searched.top.curve.lowest, searched.top.curve.highest
    for place, turns in ((lowest, -0.25), (highest, 0.5)):
        assert isinstance(place, Place)
        assert place.turns == turns
        here = TOP[0] + TOP[1] * turns + TOP[2] * 0.25
        for move, by in ((place.up, 0.25), (place.down, -0.25)):
            assert isinstance(move, Move)
            assert abs(move.cents - 600 * math.log2(1 + TOP[1] * by / here)) < max(3 * move.sd_cents, 4)
    assert lowest is not None
    assert highest is not None
    assert lowest.up is not None
    assert highest.up is not None
    assert lowest.down is not None
    assert lowest.up.cents > highest.up.cents
    assert -lowest.down.cents > lowest.up.cents


def test_it_names_the_entries_and_their_count(desk: Desk, searched: DrumAnswer) -> None:
    entries: dict[str, Entry] = {one.id: one for one in desk.library.log(DRUM).entries}
    assert list(searched.top.entries) == list(entries)
    assert set(searched.top.counts) == {one.count.top for one in entries.values()}
    assert "12 logbook entries" in searched.top.basis
    assert not searched.top.guess


def test_where_nothing_was_read_it_is_a_guess_in_words(desk: Desk, with_drum: Put) -> None:
    with_drum()
    found = answer(desk, DRUM)
    for head in (found.top, found.bottom):
        assert head.guess
        assert head.entries == ()
        assert head.curve.lowest is None
        assert head.curve.creep == ()
        assert any("not read in this count" in remark for remark in head.remarks)
        assert any("is a guess" in remark for remark in head.remarks)


def test_rope_has_no_turns_to_answer_to(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="rope")
    with pytest.raises(NotPossible, match="rope"):
        answer(desk, DRUM)


def test_one_rod_for_both_heads_is_said(desk: Desk, with_drum: Put) -> None:
    with_drum(tension="single")
    assert "One rod pulls both heads: a turn moves both." in answer(desk, DRUM).remarks


def test_calf_is_not_to_be_trusted_by_its_turns(desk: Desk, with_drum: Put) -> None:
    with_drum()
    add_head(desk, DRUM, "top", {"material": "calf"})
    found = answer(desk, DRUM)
    assert any("is calf" in remark for remark in found.top.remarks)
    assert not any("calf" in remark for remark in found.bottom.remarks)


def test_where_a_head_would_be_slack_the_line_ends_in_words(desk: Desk, with_drum: Put) -> None:
    with_drum()
    for turns in (0.0, 0.25, 0.5):
        heard(desk, (turns, 0.0), (math.sqrt(5_000 + 30_000 * turns), 300.0))
    heard(desk, (0.0, 0.0), (math.sqrt(5_000), 300.0))
    found = answer(desk, DRUM).top
    assert found.curve.slack_below is not None
    assert found.curve.line[0].square >= SLACK_HZ**2
    assert any("would be slack" in remark for remark in found.remarks)


def test_a_head_let_down_until_it_is_slack_is_said_to_be(desk: Desk, searched: DrumAnswer) -> None:
    """At 30 000 Hz² a turn, two and a half turns below 48 400 Hz² there is no tension left."""
    drum = desk.library.drum(searched.drum_id).record
    write(desk, DRUM, drum, {"kind": "turn"}, position=PerHead(top=-2.5, bottom=0.0))
    found = answer(desk, DRUM).top
    assert found.curve.hz is None
    assert found.curve.up is None
    assert "The top head is slack where it stands: it sounds no note." in found.remarks


def test_after_a_lost_count_the_slope_is_known_and_the_pitch_is_not(desk: Desk, searched: DrumAnswer) -> None:
    """The readings of the count before are no points of the line, whose turns begin anew."""
    recount(desk, DRUM, "top")
    found = answer(desk, DRUM)
    assert found.top.curve.points == ()
    assert found.top.curve.hz is None
    assert not found.top.guess
    assert found.top.curve.slope == pytest.approx(searched.top.curve.slope, rel=0.15)
    assert "The top head was not read in this count: its pitch is not known." in found.top.remarks
    assert [one.square for one in found.bottom.curve.points] == pytest.approx(
        [one.square for one in searched.bottom.curve.points]
    )


def test_turns_of_a_head_that_is_off_correct_nothing(desk: Desk, searched: DrumAnswer) -> None:
    """How the old top head pulled at the shell says nothing of the new one: readings stand as they were."""
    add_head(desk, DRUM, "top", {})
    found = answer(desk, searched.drum_id).bottom.curve
    assert [point.square for point in found.points] == pytest.approx([point.hz**2 for point in found.points])


def test_creep_alone_begins_at_the_first_reading_and_ends_at_nought_today(desk: Desk, with_drum: Put) -> None:
    with_drum()
    heard(desk, (0.0, 0.0), sounded(0.0, 0.0))
    before = answer(desk, DRUM).day
    desk.clock.forward(days=20)  # type: ignore[attr-defined]  # the clock of these tests
    creep = answer(desk, DRUM).top.curve.creep
    assert creep[0].day == pytest.approx(before, abs=1e-6)
    assert creep[0].cents > creep[-1].cents == 0.0
    assert [one.cents for one in creep] == sorted((one.cents for one in creep), reverse=True)


def test_what_both_heads_did_alike_is_told_as_weather(desk: Desk, with_drum: Put) -> None:
    """Both stand ± 1500 Hz² every other day (the weather), which is 53 and 30 cents at 220 and 293 Hz."""
    assert alike_remarks(desk, with_drum, (1_500.0, 1_500.0)) == 1


def test_what_both_heads_did_apart_is_not_weather(desk: Desk, with_drum: Put) -> None:
    assert alike_remarks(desk, with_drum, (1_500.0, -1_500.0)) == 0


def alike_remarks(desk: Desk, with_drum: Put, moved: tuple[float, float]) -> int:
    """Read a drum on ten days, on each of which both heads moved by so much, and count what is said of it."""
    with_drum()
    for day, sign in enumerate((1, -1, -1, 1, 1, -1, 1, -1, -1, 1)):
        position = (day % 3 / 4, day % 2 / 4)
        pitches = sounded(*position)
        squares = [hz**2 + sign * more for hz, more in zip(pitches, moved, strict=True)]
        heard(desk, position, (math.sqrt(squares[0]), math.sqrt(squares[1])))
        desk.clock.forward(days=1)  # type: ignore[attr-defined]  # the clock of these tests
    return sum("drifted alike" in remark for remark in answer(desk, DRUM).remarks)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(st.integers(-32, 32), st.integers(-32, 32), st.floats(25, 900), st.floats(25, 900)),
        min_size=1,
        max_size=8,
    )
)
def test_whatever_was_written_down_it_is_finite_and_never_slack_without_words(
    desk: Desk, readings: list[tuple[int, int, float, float]]
) -> None:
    drum = add_drum(desk, {"name": "Odd", "diameter_in": 14, "depth_in": 6.5}).id
    for top, bottom, top_hz, bottom_hz in readings:
        heard(desk, (top / 16, bottom / 16), (top_hz, bottom_hz), drum=drum)
    found = answer(desk, drum)
    for head in (found.top, found.bottom):
        assert all(math.isfinite(number) for number in numbers(head))
        assert all(line.square >= SLACK_HZ**2 for line in head.curve.line)
        if head.curve.down is None or head.curve.slack_below is not None:
            assert any("slack" in remark for remark in head.remarks)


def test_two_thousand_entries_are_answered(desk: Desk, with_drum: Put, tmp_path: Path) -> None:
    """In an interpreter of its own, whose patience is that of a player."""
    with_drum()
    heard(desk, (0.0, 0.0), sounded(0.0, 0.0))
    path = next((desk.library.root / "drums" / DRUM / "log").glob("*.toml"))
    text, first = path.read_text(encoding="utf-8"), desk.library.log(DRUM).entries[0].id
    endings = ("".join(letters) for letters in itertools.product(string.ascii_lowercase, repeat=3))
    others = [first[:-3] + ending for ending in itertools.islice(endings, 2_000)]
    block = text[text.index("[[entry]]") :]
    path.write_text(text + "".join(block.replace(first, one) for one in others if one != first))
    words = ["-m", "lugbook", "--library", str(desk.library.root), "response", DRUM, "--json"]
    environment = {"LUGBOOK_CONFIG": str(tmp_path / "user"), "PATH": "", "OMP_NUM_THREADS": "1"}
    ran = subprocess.run(
        [sys.executable, *words], capture_output=True, env=environment, check=True, timeout=60
    )
    assert len(json.loads(ran.stdout)["heads"]["top"]["points"]) >= 2_000
