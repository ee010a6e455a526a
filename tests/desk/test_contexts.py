"""Words for music: how they match, the list of them, and renaming one throughout the library."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.concerts import add_concert
from lugbook.desk.contexts import ContextRow, contexts, rename
from lugbook.desk.finding import find
from lugbook.desk.keeping import BadRecord, add_preset
from lugbook.desk.matching import Matcher, matcher
from lugbook.desk.pieces import add_piece
from lugbook.desk.running import Put
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.desk.vocabulary import KINDS, WORDS
from lugbook.desk.wording import folded
from lugbook.errors import BadValue, Doubtful, NotFound

DRUM = "concert-snare"
PutDrum = Callable[..., str]


@pytest.mark.parametrize(
    ("kept", "wanted", "fits"),
    [
        ("dry étude", "DRY ETUDE", True),
        ("dry étude", "étude", True),
        ("secco study", "dry étude", True),
        ("short", "dry", True),
        ("short study", "dry étude", False),
        ("high school band", "bright", False),
        ("high school band", "high", True),
        ("piano concerto", "pp", False),
        ("piano", "pp", True),
        ("long roll", "open", False),
        ("long roll", "rolls", True),
        ("wind ensemble", "chamber", False),
        ("recording of a march", "studio", False),
        ("étude", "dry étude", False),
        ("dry étude", "tude", False),
        ("opera pit", "ballet", True),
        ("dry room", "dry", True),
        ("dry room", "short", False),
        ("dead room", "dry room", True),
        ("laundry", "dry", False),
        ("pp rolls", "quiet roll", True),
        ("loud", "soft", False),
    ],
)
def test_whole_words_match_whatever_their_case_accents_and_other_words(
    kept: str, wanted: str, fits: bool
) -> None:
    assert Matcher().is_for((kept,), (wanted,)) is fits


def test_no_word_of_the_vocabulary_stands_for_two() -> None:
    words = [folded(one) for word in WORDS for one in (word.text, *word.also)]

    assert len(words) == len(set(words))
    assert {word.kind for word in WORDS} == set(KINDS)


@given(words=st.lists(st.text(min_size=1).filter(folded), min_size=1, max_size=4))
def test_whatever_something_is_for_fits_wholly(words: list[str]) -> None:
    assert Matcher().fit(words, words).score == 1


@given(
    aliases=st.dictionaries(st.sampled_from("abcde"), st.sampled_from("abcde")), word=st.sampled_from("abcde")
)
def test_aliases_that_go_in_a_circle_end(aliases: dict[str, str], word: str) -> None:
    assert Matcher(aliases).newest(word) in {word, *aliases.values()}


def test_what_is_for_more_of_the_music_fits_better() -> None:
    wanted = ("big orchestral tutti", "dry")
    fits = [Matcher().fit(kept, wanted) for kept in (("march",), ("tutti",), ("dry",), ("dry", "tutti"))]

    assert [fit.score for fit in fits] == sorted(fit.score for fit in fits)
    assert fits[0].score == 0
    assert not any(fit.fits for fit in fits)
    assert fits[1].why == ("tutti shares tutti", "not for dry")


def test_an_empty_word_names_no_music() -> None:
    with pytest.raises(BadValue, match="empty context"):
        Matcher().fit(("dry",), (" ",))


@pytest.fixture
def full(desk: Desk, with_drum: PutDrum) -> Desk:
    """The word "dry étude" in every place that it can stand in."""
    with_drum(contexts=["dry étude", "audition"])
    try_state(desk, DRUM, State(top="A3", values={"words": "dull", "context": "dry étude"}))
    add_piece(desk, {"title": "Study", "contexts": ["Dry etude"]})
    add_concert(desk, {"name": "Exam"}, [Put({"title": "Study", "contexts": ["dry étude"]})])
    stored = desk.library.settings()
    desk.library.save_settings(
        stored, stored.record.model_copy(update={"contexts": ("dry étude", "short étude")})
    )
    return desk


def row_of(desk: Desk, word: str) -> ContextRow:
    return next(row for row in contexts(desk).rows if row.word == word)


def test_the_list_counts_where_each_word_stands(full: Desk) -> None:
    row = row_of(full, "dry étude")

    assert (row.kind, row.shared) == ("own", True)
    assert (row.presets, row.pieces, row.concerts, row.entries) == (1, 1, 1, 1)
    assert row_of(full, "audition").kind == "setting"
    assert row_of(full, "church").used == 0


def test_the_list_is_of_one_kind_where_that_is_asked_for(full: Desk) -> None:
    assert {row.kind for row in contexts(full, kind="hall").rows} == {"hall"}
    with pytest.raises(BadValue, match="no kind"):
        contexts(full, kind="colour")


def test_a_word_is_renamed_everywhere_but_in_the_logbook_and_found_by_either(full: Desk) -> None:
    log_before = [path.read_bytes() for path in full.library.root.rglob("log/*.toml")]
    done = rename(full, "DRY ÉTUDE", "close étude")

    assert (done.presets, done.pieces, done.concerts, done.entries) == (1, 1, 1, 1)
    assert full.library.preset(f"{DRUM}/dry-etude").record.contexts == ("close étude", "audition")
    assert full.library.piece("study").record.contexts == ("close étude",)
    assert full.library.concert("exam").record.items[0].contexts == ("close étude",)
    assert full.library.settings().record.contexts == ("close étude", "short étude")
    assert [path.read_bytes() for path in full.library.root.rglob("log/*.toml")] == log_before
    for word in ("close étude", "dry étude"):
        found = find(full, [], contexts=[word])
        assert (len(found.presets), len(found.entries), len(found.pieces)) == (1, 1, 1)
    assert row_of(full, "close étude").also == ("dry étude",)
    assert row_of(full, "close étude").entries == 1


def test_renaming_to_a_word_that_is_there_makes_one_of_both(full: Desk) -> None:
    with pytest.raises(Doubtful, match=r"'audition' stands already: both would become one word"):
        rename(full, "dry étude", "audition")
    assert "dry étude" in {row.word for row in contexts(full).rows}
    rename(full, "dry étude", "audition", join=True)

    assert full.library.preset(f"{DRUM}/dry-etude").record.contexts == ("audition",)


def test_renamed_twice_and_back_again(full: Desk) -> None:
    rename(full, "dry étude", "close étude")
    rename(full, "close étude", "near étude")
    assert matcher(full).newest("Dry Etude") == matcher(full).newest("close étude") == "near etude"
    with pytest.raises(BadValue, match="called 'near étude' today"):
        rename(full, "dry étude", "another")

    rename(full, "near étude", "dry étude")
    assert full.library.preset(f"{DRUM}/dry-etude").record.contexts[0] == "dry étude"
    assert matcher(full).newest("near étude") == "dry etude"
    assert matcher(full).newest("dry étude") == "dry etude"


def test_a_renaming_that_was_cut_short_is_finished_by_asking_again(full: Desk) -> None:
    rename(full, "dry étude", "close étude")
    add_preset(full, DRUM, {"name": "From a colleague", "contexts": ["dry étude"]})
    done = rename(full, "dry étude", "close étude")

    assert (done.presets, done.pieces) == (1, 0)
    assert full.library.preset(f"{DRUM}/from-a-colleague").record.contexts == ("close étude",)


def test_only_the_spelling_may_change(full: Desk) -> None:
    rename(full, "Dry etude", "dry étude")
    assert full.library.piece("study").record.contexts == ("dry étude",)
    rename(full, "dry étude", "Dry Étude")

    assert full.library.piece("study").record.contexts == ("Dry Étude",)
    assert full.library.settings().record.context_aliases == {}


def test_a_word_of_the_vocabulary_gives_way_with_all_its_other_words(full: Desk) -> None:
    rename(full, "audition", "Probespiel")

    assert row_of(full, "Probespiel").kind == "setting"
    assert [one.row.preset for one in find(full, [], contexts=["competition"]).presets] == ["dry-etude"]


def test_a_word_that_stands_nowhere_but_in_a_renaming_is_renamed_on_and_back(full: Desk) -> None:
    """One of the vocabulary that nobody uses, and one that stands in a logbook alone."""
    try_state(full, DRUM, State(top="A3", values={"words": "dull", "context": "hushed"}))
    for old, new, back in (("tutti", "full tutti", "everybody"), ("hushed", "very soft", "whispered")):
        rename(full, old, new)
        on = rename(full, new, back)
        assert (on.old, on.entries) == (new, int(old == "hushed"))
        rename(full, back, old)
        assert matcher(full).newest(new) == matcher(full).newest(old) == old


def test_no_word_is_listed_twice_after_renamings(full: Desk) -> None:
    for old, new in (("audition", "Probespiel"), ("Probespiel", "Vorspiel"), ("soft", "loud")):
        rename(full, old, new)
    words = [folded(row.word) for row in contexts(full).rows]

    assert len(words) == len(set(words))
    assert (row_of(full, "Vorspiel").kind, row_of(full, "loud").kind) == ("setting", "dynamics")
    assert {"soft", "quiet", "forte"} <= set(row_of(full, "loud").also)


def test_the_old_word_is_kept_as_it_is_written_and_the_new_one_with_single_spaces(full: Desk) -> None:
    done = rename(full, "DRY \t ETUDE", "  near   the   edge ")

    assert (done.old, done.new) == ("dry étude", "near the edge")
    assert full.library.settings().record.context_aliases == {"dry étude": "near the edge"}
    rename(full, "CHURCH", "minster")
    assert "church" in full.library.settings().record.context_aliases


def test_a_new_word_that_cannot_be_kept_is_refused_by_what_it_is(full: Desk) -> None:
    with pytest.raises(BadRecord, match=r"^the new word: .*control character"):
        rename(full, "dry étude", "dry\nétude")


@pytest.mark.parametrize(
    ("old", "new", "error"),
    [
        ("dry etud", "x", NotFound),
        ("dry étude", " ", BadValue),
        ("", "x", BadValue),
        ("dry étude", "dry étude", BadValue),
        ("dry étude", "a\x1b[2J", BadRecord),
        ("dry étude", "x" * 121, BadRecord),
    ],
)
def test_what_cannot_be_renamed_changes_nothing(
    full: Desk, old: str, new: str, error: type[Exception]
) -> None:
    before = {path: path.read_bytes() for path in full.library.root.rglob("*.toml")}

    with pytest.raises(error):
        rename(full, old, new)
    assert {path: path.read_bytes() for path in full.library.root.rglob("*.toml")} == before


def test_a_damaged_preset_is_named_and_the_others_are_renamed(full: Desk) -> None:
    (full.library.root / "drums" / DRUM / "presets" / "bad.toml").write_text("name = ")
    done = rename(full, "dry étude", "close étude")

    assert done.presets == 1
    assert [problem.path.name for problem in done.problems] == ["bad.toml"]
