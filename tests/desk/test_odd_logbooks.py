"""Logbooks and readings that cannot all be true: said in words, the rest advised, never an absurd amount."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from lugbook.desk import Desk
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_preset
from lugbook.desk.retuning import Retuning, retune
from lugbook.desk.turning import MOST_AT_ONCE
from lugbook.errors import BadValue
from lugbook.records import PerHead
from lugbook.turns.amounts import parse_turns

DRUM = "concert-snare"
Put = Callable[..., str]


def heard(desk: Desk, top: float, hz: float) -> None:
    """Write down a pitch of the top head at a position."""
    fields = {"kind": "reading", "top": {"pitch": f"{hz} Hz", "by": "recording", "sd_cents": 3.0}}
    write(desk, DRUM, desk.library.drum(DRUM).record, fields, position=PerHead(top=top, bottom=0.0))


def sane(found: Retuning) -> bool:
    """Tell whether every number of the advice is finite and small enough for a hand."""
    turns = [turn for turn in (found.top, found.bottom) if turn is not None]
    return bool(turns) and all(
        math.isfinite(turn.amount) and math.isfinite(turn.sd) and abs(turn.amount) <= MOST_AT_ONCE
        for turn in turns
    )


def test_one_place_with_two_pitches_is_said(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    for hz in (220.0, 262.0, 220.0, 262.0):
        heard(desk, 0.0, hz)
    found = retune(desk, name, top="A3-40", bottom="D4+30")
    assert sane(found)
    assert any("turns and days explain" in remark for remark in found.remarks)


def test_a_pitch_that_falls_while_the_head_is_tightened_is_said(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    for step in range(6):
        heard(desk, step / 4, 240.0 - 8 * step)
    found = retune(desk, name, top="A3-40", bottom=None)
    assert sane(found)
    assert any("hardly move the pitch, or the wrong way" in remark for remark in found.remarks)


def test_a_pitch_that_rises_beyond_film_and_rods_is_said(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    for step in range(5):
        heard(desk, step / 16, 180.0 + 60 * step)
    found = retune(desk, name, top="A3-40", bottom=None)
    assert sane(found)
    assert any("than rods and film allow" in remark for remark in found.remarks)


def test_two_octaves_off_is_asked_about_and_nothing_is_turned(desk: Desk, with_drum: Put) -> None:
    found = retune(desk, with_drum(), top="A5", bottom="D4-30")
    assert found.top is None
    assert found.bottom is not None
    assert found.bottom.amount > 0
    assert any("two octaves above the target" in remark for remark in found.comparison.remarks)


def test_two_octaves_off_in_the_logbook_hardly_harms(desk: Desk, with_drum: Put) -> None:
    """The player stood by it once; what was learned before and after still gives the turn."""
    name = with_drum()
    for step in (0, 1, 2, 3, 2, 1):
        heard(desk, step / 4, (210.0**2 + 6000 * step) ** 0.5)
    before = retune(desk, name, top="A3-40", bottom=None).top
    heard(desk, 0.25, 860.0)
    heard(desk, 0.25, (210.0**2 + 6000) ** 0.5)
    after = retune(desk, name, top="A3-40", bottom=None).top
    assert before is not None
    assert after is not None
    assert after.amount == pytest.approx(before.amount, abs=1 / 16)


def test_a_clock_that_went_back_advises_all_the_same(desk: Desk, with_drum: Put, clock: Any) -> None:  # noqa: ANN401 -- the conftest's clock
    name = with_drum()
    heard(desk, 0.0, 215.0)
    clock.forward(days=-3)
    heard(desk, 0.25, 229.0)
    assert sane(retune(desk, name, top="A3-40", bottom=None))


def test_a_drum_of_which_one_head_has_no_target_and_no_reading(desk: Desk, with_drum: Put) -> None:
    """A drum without a bottom head, or whose bottom nobody tunes: the top is advised, the rest is said."""
    with_drum()
    name = add_preset(desk, DRUM, {"name": "Top alone", "top": {"pitch": "A3"}}).id
    found = retune(desk, name, top="A3-40", bottom=None)
    assert sane(found)
    assert found.bottom is None
    assert any("no pitch for the bottom head" in remark for remark in found.remarks)


@pytest.mark.parametrize("typed", ["0.3", "1/3", "0.001", "100", "nan", "1e9"])
def test_an_amount_that_no_chart_keeps_is_refused(typed: str) -> None:
    with pytest.raises(BadValue):
        parse_turns(typed)
