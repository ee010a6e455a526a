"""Words said before: whose, where, how often, how lately."""

from collections.abc import Callable
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.desk.words_heard import offered, ranked, with_word, words_heard
from lugbook.records import Entry

DRUM = "concert-snare"
WORD = st.sampled_from(["dry", "open", "ringing", "Dry", "crisp"])


def test_own_words_of_this_search_go_first(desk: Desk, with_drum: Callable[..., str]) -> None:
    """Mine before another's, this search before another, then the most said, then the latest."""
    with_drum()
    for context, player, words in (
        ("march", "Ada", "hard, hard"),
        ("march", "Ada", "hard"),
        ("étude", "Ada", "open, dry"),
        ("étude", "Ada", "Dry"),
        ("étude", "Bea", "woolly"),
        ("étude", "Ada", "thin"),
    ):
        try_state(desk, DRUM, State(values={"words": words, "context": context, "player": player}))

    assert words_heard(desk, DRUM, search="Etude") == ("Dry", "thin", "open", "hard", "woolly")
    assert words_heard(desk, DRUM, search="march")[0] == "hard"


def test_what_is_typed_narrows_the_offer_and_is_gone_on_with() -> None:
    words = ("dry", "open", "droning")

    assert offered(words, "") == words
    assert offered(words, "dr") == ("dry", "droning")
    assert offered(words, "dry, ") == ("open", "droning")
    assert offered(words, "dry, OP") == ("open",)
    assert with_word("dry, OP", "open") == "dry, open"
    assert with_word("o", "open") == "open"


@given(st.lists(st.lists(WORD, max_size=3).map(", ".join), max_size=8))
def test_each_word_is_offered_once(said: list[str]) -> None:
    """Whatever was said, how often and in which case."""
    at = datetime(2026, 11, 25, tzinfo=UTC)
    entries = [
        Entry(at=at, kind="remark", words=words, id=f"20261125T0000{n:02}Z-abcdef-abcd")
        for n, words in enumerate(said)
    ]
    found = ranked(entries, player="")
    spoken = {one.strip().casefold() for words in said for one in words.split(",")} - {""}

    assert sorted(word.casefold() for word in found) == sorted(spoken)
