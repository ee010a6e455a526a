"""Times, bars, and the lines that tell of bars: read as they are typed, and as they are written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk.spans import passage_lines, passages_of, rest_lines, rests_of, time_of, time_text
from lugbook.errors import BadValue
from lugbook.records.pieces import Passage, Rest


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("90", 90), ("1:30", 90), ("2min", 120), ("1,5 m", 90), ("1:02:03", 3723), ("", None), ("  ", None)],
)
def test_a_time_is_read_as_it_is_typed(text: str, seconds: float | None) -> None:
    assert time_of(text) == seconds


@pytest.mark.parametrize("text", ["soon", "1:75", "-3", "1:2:3:4"])
def test_what_is_no_time_is_said_with_what_would_be(text: str) -> None:
    with pytest.raises(BadValue, match="is no time") as refused:
        time_of(text)

    assert "1:30" in refused.value.hint


@given(st.one_of(st.integers(0, 36_000), st.floats(0, 36_000).map(lambda one: round(one, 3))))
def test_a_time_that_is_written_is_read_back(seconds: float) -> None:
    assert time_of(time_text(seconds)) == pytest.approx(seconds)


_BARS: st.SearchStrategy[dict[str, int]] = st.one_of(
    st.just({}),
    st.integers(0, 9_999).map(lambda bar: {"bar_from": bar}),
    st.tuples(st.integers(0, 4_999), st.integers(1, 5_000)).map(
        lambda two: {"bar_from": two[0], "bar_to": two[0] + two[1]}
    ),
)
_WORDS = st.text("abcxyzéß", min_size=1, max_size=12)


@given(st.lists(st.tuples(_BARS, _WORDS), max_size=5))
def test_passages_that_are_written_are_read_back(given_: list[tuple[dict[str, int], str]]) -> None:
    """One a line, with its bars or without."""
    passages = [Passage(words=words, **bars) for bars, words in given_]

    assert [Passage(**one) for one in passages_of(passage_lines(passages))] == passages


@given(st.lists(st.tuples(_BARS, st.integers(0, 36_000)), max_size=5))
def test_rests_that_are_written_are_read_back(given_: list[tuple[dict[str, int], int]]) -> None:
    rests = [Rest(seconds=seconds, **bars) for bars, seconds in given_]

    assert [Rest(**one) for one in rests_of(rest_lines(rests))] == rests


def test_words_with_an_equals_sign_and_no_bars_stay_words() -> None:
    assert passages_of("rim = no wires\n\n 12 – 20 = soft roll ") == [
        {"words": "rim = no wires"},
        {"bar_from": 12, "bar_to": 20, "words": "soft roll"},
    ]


@pytest.mark.parametrize(("text", "what"), [("intro = 1:30", "no bars"), ("20-60 =", "no time")])
def test_a_rest_without_bars_or_time_is_refused(text: str, what: str) -> None:
    with pytest.raises(BadValue, match=what):
        rests_of(text)
