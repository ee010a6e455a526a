"""Pieces: what of them is said, and which presets are suggested for one."""

from collections.abc import Callable
from datetime import date

import pytest

from lugbook.desk import Desk
from lugbook.desk.fitting import add_head
from lugbook.desk.keeping import BadRecord, add_preset, edit_preset, remove_preset
from lugbook.desk.pieces import (
    add_performance,
    add_piece,
    edit_piece,
    piece_remarks,
    pieces,
    remove_piece,
    restore_piece,
    with_passages,
)
from lugbook.desk.shelf import last_removed
from lugbook.desk.suggesting import Suggestions, suggest
from lugbook.errors import ChangedUnderneath, NotFound
from lugbook.records.pieces import Passage, Rest

from .conftest import Clock

DRUM = "concert-snare"
PutDrum = Callable[..., str]


@pytest.fixture
def stocked(desk: Desk, with_drum: PutDrum) -> Desk:
    """Presets for an étude, for rolls and for a march."""
    with_drum()
    for name, context in (("Rolls", "soft rolls"), ("March", "light march")):
        add_preset(desk, DRUM, {"name": name, "contexts": [context], "top": {"pitch": "A3"}})
    return desk


def ids(found: Suggestions) -> list[str]:
    return [one.row.preset for one in found.rows]


def test_a_new_piece_is_begun_with_what_is_for_its_music(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Boléro", "contexts": ["quiet roll"]}).id
    found = suggest(stocked, slug)

    assert ids(found) == ["rolls"]
    assert found.rows[0].reasons == ("It is for quiet roll.",)


def test_what_served_goes_before_similar_pieces_and_those_before_contexts(stocked: Desk) -> None:
    for title in ("One", "Two", "Three"):
        add_piece(stocked, {"title": title, "contexts": ["soft rolls"], "presets": [f"{DRUM}/march"]})
    slug = add_piece(
        stocked, {"title": "Mine", "contexts": ["soft rolls"], "presets": [f"{DRUM}/dry-etude"]}
    ).id
    found = suggest(stocked, slug)

    assert ids(found) == ["dry-etude", "march", "rolls"]
    assert found.rows[0].reasons[0] == "It served in this piece."
    assert found.rows[1].reasons[0] == "It served in One, which is for soft rolls too."
    assert ids(suggest(stocked, slug, most=1)) == ["dry-etude"]


def test_the_same_composer_makes_pieces_alike_but_less_than_the_same_music(stocked: Desk) -> None:
    add_piece(stocked, {"title": "A", "composer": "Ravel", "presets": [f"{DRUM}/march"]})
    add_piece(stocked, {"title": "B", "contexts": ["pit"], "presets": [f"{DRUM}/rolls"]})
    add_piece(stocked, {"title": "C", "composer": "Bizet", "presets": [f"{DRUM}/dry-etude"]})
    slug = add_piece(stocked, {"title": "Mine", "composer": "RAVEL", "contexts": ["opera pit"]}).id

    found = suggest(stocked, slug)
    assert ids(found) == ["rolls", "march"]
    assert found.rows[1].reasons == ("It served in Ravel: A, which is by the same composer.",)


def test_a_performance_counts_as_having_served_and_says_when_and_where(stocked: Desk) -> None:
    played = [
        {"on": date(2025, 3, 1), "hall": "Old hall", "preset": f"{DRUM}/march"},
        {"on": date(2026, 3, 1), "hall": "New hall", "preset": f"{DRUM}/march"},
        {"preset": f"{DRUM}/march"},
    ]
    slug = add_piece(stocked, {"title": "Mine", "performances": played}).id

    (only,) = suggest(stocked, slug).rows
    assert only.reasons == ("This piece was played with it on 1 March 2026 in New hall, 3 times.",)


def test_a_piece_of_which_nothing_is_known_gets_nothing(stocked: Desk) -> None:
    assert suggest(stocked, add_piece(stocked, {"title": "Mine"}).id).rows == ()


def test_a_preset_that_is_gone_is_said_and_not_suggested(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Mine", "presets": [f"{DRUM}/march"]}).id
    remove_preset(stocked, f"{DRUM}/march")
    found = suggest(stocked, slug)

    assert found.rows == ()
    assert "march" in found.remarks[0]
    assert "There is no preset" in found.remarks[0]
    assert edit_piece(stocked, slug, {"note": "still kept"}).remarks == found.remarks


def test_a_preset_from_before_a_new_head_is_said(stocked: Desk, clock: Clock) -> None:
    slug = add_piece(stocked, {"title": "Mine", "presets": [f"{DRUM}/march"]}).id
    assert piece_remarks(stocked, stocked.library.piece(slug).record) == ()
    clock.forward(days=2)
    add_head(stocked, DRUM, "top", {})

    (said,) = piece_remarks(stocked, stocked.library.piece(slug).record)
    assert said == (
        f"{DRUM}/march was found before the top head of 27 November 2026 went on; "
        "its pitches hold, its turns do not."
    )


@pytest.mark.parametrize(
    ("values", "error", "said"),
    [
        ({"title": "X", "presets": [f"{DRUM}/rols"]}, NotFound, "rolls"),
        ({"title": "X", "presets": ["nowhere/x"]}, NotFound, "nowhere/x"),
        ({"title": "a\x1b[2J"}, BadRecord, "control character"),
        ({"title": "X", "passages": [{"words": "a\x07"}]}, BadRecord, "control character"),
        ({"title": "X", "performances": [{"hall": "a\x07", "note": "b\nc"}]}, BadRecord, "control character"),
        ({"title": ""}, BadRecord, "empty"),
    ],
)
def test_what_makes_no_piece_is_refused(
    stocked: Desk, values: dict[str, object], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        add_piece(stocked, values)
    assert pieces(stocked).rows == ()


def test_a_piece_that_is_removed_comes_back(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Mine", "performances": [{"note": "well\nvery"}]}).id
    remove_piece(stocked, slug)

    assert pieces(stocked).rows == ()
    assert restore_piece(stocked, slug).record.performances[0].note == "well\nvery"


def test_what_the_shelf_brings_back_last_is_no_piece(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Mine"}).id
    remove_preset(stocked, f"{DRUM}/march")
    remove_piece(stocked, slug)

    assert stocked.library.removed() == (f"{DRUM}/march", f"piece:{slug}")
    assert last_removed(stocked) == f"{DRUM}/march"


def test_each_word_for_music_is_kept_once_however_it_is_written(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Mine", "contexts": ["Soft", "soft", "Étude", "etude"]}).id
    preset = add_preset(stocked, DRUM, {"name": "New", "contexts": ["Soft", "SOFT"], "top": {"pitch": "A3"}})

    assert stocked.library.piece(slug).record.contexts == ("Soft", "Étude")
    assert preset.record.contexts == ("Soft",)
    edit_piece(stocked, slug, {"contexts": ["loud", "LOUD"]})
    edited = edit_preset(stocked, preset.id, {"contexts": ["dry", "Dry  "]})
    assert stocked.library.piece(slug).record.contexts == ("loud",)
    assert edited.record.contexts == ("dry",)


def test_rests_without_bars_are_as_many_as_were_typed() -> None:
    """Nothing tells two of them apart, so none takes the place of another."""
    first = with_passages((), [{"seconds": 30}, {"seconds": 45}])
    assert [one["seconds"] for one in first] == [30, 45]

    kept = [*map(Rest.model_validate, first), Rest(bar_from=9, seconds=20)]
    then = with_passages(kept, [{"seconds": 45}, {"bar_from": 9, "bar_to": 9, "seconds": 21}])
    assert [one["seconds"] for one in then] == [30, 45, 45, 21]
    assert with_passages(kept, [{"bar_from": 9, "seconds": None}]) == first


def test_passages_at_the_same_bars_stay_until_one_is_typed_there() -> None:
    kept = [Passage(words="light"), Passage(words="even"), *(Passage(bar_from=4, words=w) for w in "ab")]

    there = with_passages(kept, [{"bar_from": 12, "bar_to": 20, "words": "roll"}])
    assert [one["words"] for one in there] == ["light", "even", "a", "b", "roll"]
    typed = [{"bar_from": 4, "words": "c"}, {"bar_from": 4, "words": "d"}]
    assert [one["words"] for one in with_passages(kept, typed)] == ["light", "even", "c", "d"]


def test_a_change_in_between_is_not_overwritten_by_older_rows(stocked: Desk) -> None:
    slug = add_piece(stocked, {"title": "Mine"}).id
    older = stocked.library.piece(slug)
    add_performance(stocked, slug, {"hall": "Old hall"})

    with pytest.raises(ChangedUnderneath):
        edit_piece(stocked, slug, {"performances": []}, since=older)
    assert [one.hall for one in stocked.library.piece(slug).record.performances] == ["Old hall"]


def test_a_rest_that_was_read_is_known_as_read_after_a_form_has_typed_it_again(stocked: Desk) -> None:
    """A form knows bars and seconds alone; a rest that differs in either is the player's from then on."""
    rests = [{"bar_from": 4, "bar_to": 9, "seconds": 24.0, "read": True}, {"bar_from": 20, "seconds": 30.0}]
    slug = add_piece(stocked, {"title": "Mine", "part": {"rests": rests}}).id
    typed = [{"bar_from": 4, "bar_to": 9, "seconds": 24.0}, {"bar_from": 20, "seconds": 31.0}]
    edit_piece(stocked, slug, {"part": {"rests": typed}})

    part = stocked.library.piece(slug).record.part
    assert part is not None
    assert [(one.seconds, one.read) for one in part.rests] == [(24.0, True), (31.0, False)]
