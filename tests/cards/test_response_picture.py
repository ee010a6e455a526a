"""The picture of how a drum answers: its numbers, its signs, and that it stays readable whatever was read."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.cards.plot import BOTH, BOTTOM, LIMIT, LINE, NOW, READING, TOP, drifted, plotted
from lugbook.cards.response import Panel, response_picture
from lugbook.turns import Response
from lugbook.turns.curve import Curve, Heard, curve

Read = Callable[[str], Any]


def answered(*, turns: tuple[float, ...] = (-0.25, 0.0, 0.25), hz: float = 220.0, at: float = 0.0) -> Curve:
    """The curve of a top head read at some places, on the law f² = hz² + 36 000·turns."""
    response, heard = Response.prior(diameter_in=14, thread_mm=25.4 / 24), []
    for day, place in enumerate(turns):
        read = math.sqrt(max(hz**2 + 36_000 * place, 900.0))
        heard.append(Heard(place, 0.0, read, 3.0, float(day)))
        response = response.observe((place, 0.0), hz=(read, None), sd_cents=3.0, day=float(day))
    return curve(response, "top", heard, position=(at, 0.0), day=float(len(turns)))


def slackened() -> Curve:
    """The curve of a head that stands where it sounds no note, and a quarter turn tighter too."""
    found = answered(turns=(0.0,), hz=100.0, at=-3.0)
    assert found.up is None
    assert len(found.line) > 1
    return replace(found, line=())


def drawn(read: Read, found: Curve, *, name: str = "Concert snare", limit: float | None = None) -> Any:  # noqa: ANN401 -- the picture's class lives in the conftest
    panels = (Panel(found, "3 entries", limit), Panel(answered(), "3 entries", None))
    return read(response_picture(panels, name=name, when="25 November 2026", day=9.0, a4_hz=440.0))


def test_cents_a_quarter_turn_are_the_tallest(read_picture: Read) -> None:
    found = answered()
    picture = drawn(read_picture, found)
    assert found.up is not None
    assert max(picture.texts, key=lambda text: text.size).words == f"{found.up.cents:.0f}"
    assert "25 November 2026" in picture.words
    assert "turns from the reference" in picture.words
    assert any(text.words.endswith(" Hz") and text.words[0] in "ABCDEFG" for text in picture.texts)


def test_the_limit_is_drawn_and_named_where_the_graph_reaches_it(read_picture: Read) -> None:
    with_limit, without = (
        drawn(read_picture, answered(), limit=0.375),
        drawn(read_picture, answered(), limit=9.0),
    )
    assert "limit" in [text.words for text in with_limit.texts]
    assert "limit" not in [text.words for text in without.texts]


def test_both_heads_have_signs_of_their_own(read_picture: Read) -> None:
    """Top and bottom differ in shape, and the words say which is which."""
    picture = drawn(read_picture, answered())
    assert "● ─ top, × ┄ bottom; lines: creep" in picture.words


def test_a_name_with_markup_stays_text(read_picture: Read) -> None:
    assert (
        "<script>alert(1)</script>" in drawn(read_picture, answered(), name="<script>alert(1)</script>").words
    )


def test_a_head_never_read_and_a_slack_one_have_their_page(read_picture: Read) -> None:
    unread = drawn(read_picture, answered(turns=()))
    assert unread.overlapping() == []
    slack = drawn(read_picture, slackened())
    assert [text.words for text in slack.texts].count("slack") == 2
    assert slack.overlapping() == []


def test_a_page_without_any_reading_says_so(read_picture: Read) -> None:
    unread = Panel(answered(turns=()), "no entries", None)
    picture = read_picture(response_picture((unread, unread), name="New", when="", day=9.0, a4_hz=440.0))
    assert "No reading in this count yet." in picture.words
    assert picture.overlapping() == []


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40)
@given(
    st.lists(st.integers(-24, 24), max_size=60),
    st.floats(80, 500),
    st.integers(-16, 16),
    st.one_of(st.none(), st.floats(-3, 3)),
)
def test_no_label_runs_into_another(
    read_picture: Read, places: list[int], hz: float, at: int, limit: float | None
) -> None:
    found = answered(turns=tuple(place / 8 for place in places), hz=hz, at=at / 8)
    picture = drawn(read_picture, found, limit=limit)
    assert picture.overlapping() == []
    assert picture.outside() == []


def test_five_hundred_readings_are_drawn(read_picture: Read) -> None:
    picture = drawn(read_picture, answered(turns=tuple((k % 17 - 8) / 16 for k in range(500))))
    assert picture.overlapping() == []


@pytest.mark.parametrize("width", [30, 42, 72, 120])
def test_the_graph_in_text_has_its_width_and_its_signs(width: int) -> None:
    lines = plotted(answered(), width=width, height=10, a4_hz=440.0, limit_turns=0.375)
    assert all(len(line) <= width for line in lines)
    text = "\n".join(lines)
    assert all(sign in text for sign in (READING, LINE, NOW, LIMIT, "turns", "Hz"))


def test_several_readings_in_one_place_are_counted() -> None:
    text = "\n".join(plotted(answered(turns=(0.25, 0.25, 0.25, -0.25)), a4_hz=440.0))
    assert "3" in text.replace("A3", "").replace("B3", "").partition("└")[0].replace(" Hz", "")


def test_up_is_higher_and_right_is_tighter() -> None:
    """The line climbs from the lower left to the upper right."""
    lines = [line.partition("│")[2] for line in plotted(answered(turns=(-0.5, 0.5)), height=12, a4_hz=440.0)]
    columns = [line.index(LINE) for line in lines if LINE in line]
    assert columns == sorted(columns, reverse=True)


def test_a_slack_head_has_no_graph() -> None:
    assert plotted(slackened(), a4_hz=440.0) == ["The head is slack: no graph."]


def of_bottom(found: Curve) -> Curve:
    """The same curve, said to be the bottom head's."""
    return replace(found, side="bottom")


@pytest.mark.parametrize("width", [30, 40, 72, 120])
def test_the_drift_in_text_has_its_width_its_days_and_a_level(width: int) -> None:
    top = answered(turns=tuple([0.0] * 9))
    lines = drifted([top, of_bottom(answered(turns=()))], day=9.0, width=width)
    assert all(len(line) <= width for line in lines)
    assert lines[-1].split() == ["9", "days", "ago", "today"][: 4 if width > 30 else 3]
    assert [line.partition("│")[0].strip() for line in lines if "as turned" in line] == ["as turned"]
    text = "\n".join(lines)
    assert TOP in text
    assert BOTTOM not in text


def test_a_higher_drift_stands_higher_and_both_in_one_place_have_one_sign() -> None:
    found = answered(turns=(0.0, 0.0))
    high, low = (
        replace(point, drift_cents=cents) for point, cents in zip(found.points, (9, -9), strict=True)
    )
    apart = drifted([replace(found, points=(high,)), replace(of_bottom(found), points=(low,))], day=2.0)
    rows = [line.partition("│")[2] for line in apart]
    assert [TOP in row for row in rows].index(True) < [BOTTOM in row for row in rows].index(True)
    together = drifted([replace(found, points=(high,)), replace(of_bottom(found), points=(high,))], day=2.0)
    assert sum(line.count(BOTH) for line in together) == 1


def test_without_readings_there_is_no_drift_to_show() -> None:
    assert drifted([answered(turns=())], day=0.0) == ["No reading in this count yet."]
