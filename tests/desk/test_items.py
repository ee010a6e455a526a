"""The items of a concert as they were shown: changes and presets to choose from; and all that is played."""

from collections.abc import Callable, Sequence
from datetime import date

import pytest

from lugbook.desk import Desk
from lugbook.desk.concerts import add_concert, edit_concert
from lugbook.desk.items import change_items, choices, for_music, played_with, tacet
from lugbook.desk.keeping import Values, add_drum, add_preset
from lugbook.desk.pieces import Kept, add_performance, add_piece
from lugbook.desk.programmes import Programme, programme
from lugbook.desk.repertoire import holds, next_concert, remove, repertoire, restore
from lugbook.desk.running import Alter, Change, Drop, Move, Put
from lugbook.errors import ChangedUnderneath, NotFound
from lugbook.library import Stored
from lugbook.records import Concert
from lugbook.records.pieces import Performance

DRUM = "concert-snare"
PutDrum = Callable[..., str]


@pytest.fixture
def evening(desk: Desk, with_drum: PutDrum) -> Programme:
    """A concert with a piece, a march and a speech, and presets of two drums."""
    with_drum()
    for name, music in (("Rolls", ["soft rolls"]), ("March", ["light march"])):
        add_preset(desk, DRUM, {"name": name, "contexts": music})
    add_drum(desk, {"name": "Field drum", "diameter_in": 14})
    add_preset(desk, "field-drum", {"name": "March", "contexts": ["light march"]})
    add_piece(desk, {"title": "Boléro", "contexts": ["soft rolls"], "presets": [f"{DRUM}/dry-etude"]})
    slug = add_concert(
        desk,
        {"name": "Evening"},
        [
            Put({"piece": "bolero", "after_s": 60}),
            Put({"title": "March", "contexts": ["light march"], "after_s": 0}),
            Put({"title": "Speech", "tacet": True}),
        ],
    ).id
    return programme(desk, slug)


def test_the_presets_of_an_item_stand_best_first_with_the_reason(desk: Desk, evening: Programme) -> None:
    """What served in it, then what is for its music, then the rest."""
    found = [(one.row.id, one.why) for one in choices(desk, evening, 1)]

    assert found[:2] == [(f"{DRUM}/dry-etude", "served in it"), (f"{DRUM}/rolls", "for its music")]
    assert dict(found)["field-drum/march"] == ""
    assert len(found) == 4


def test_presets_of_drums_that_stay_at_home_are_not_offered_unless_taken(
    desk: Desk, evening: Programme
) -> None:
    edit_concert(desk, evening.id, {"drums": ["field-drum"]}, [Alter(2, {"presets": [f"{DRUM}/march"]})])
    found = choices(desk, programme(desk, evening.id), 2)

    assert [(one.row.id, one.taken) for one in found] == [
        (f"{DRUM}/march", True),
        ("field-drum/march", False),
    ]


def test_another_preset_of_the_same_drum_gives_way_and_the_same_is_taken_away(
    desk: Desk, evening: Programme
) -> None:
    def press(found: Programme, number: int, preset: str) -> Programme:
        row = found.rows[number - 1]
        return change_items(desk, found, [Alter(number, played_with(row, preset))]).programme

    found = press(evening, 3, f"{DRUM}/rolls")
    assert not found.rows[2].item.tacet
    found = press(press(found, 3, "field-drum/march"), 3, f"{DRUM}/march")
    assert found.rows[2].presets == ("field-drum/march", f"{DRUM}/march")
    found = press(found, 3, "field-drum/march")
    assert found.rows[2].presets == (f"{DRUM}/march",)


def test_tacet_takes_presets_and_music_away_and_music_takes_tacet_away(
    desk: Desk, evening: Programme
) -> None:
    march = evening.rows[1]
    found = change_items(desk, evening, [Alter(2, tacet(march))]).programme
    assert (found.rows[1].item.tacet, found.rows[1].contexts) == (True, ())
    found = change_items(desk, found, [Alter(2, for_music(found.rows[1], ["soft rolls"]))]).programme
    assert (found.rows[1].item.tacet, found.rows[1].contexts) == (False, ("soft rolls",))
    found = change_items(desk, found, [Alter(3, for_music(found.rows[2], []))]).programme
    assert found.rows[2].item.tacet


def test_what_somebody_else_changed_meanwhile_is_not_mixed_up(desk: Desk, evening: Programme) -> None:
    """The numbers that the player sees are of other items by now: nothing is written."""
    edit_concert(desk, evening.id, {}, [Drop(1)])
    with pytest.raises(ChangedUnderneath, match="by someone else"):
        change_items(desk, evening, [Drop(2)])

    assert [row.name for row in programme(desk, evening.id).rows] == ["March", "Speech"]


def test_what_somebody_changes_between_looking_and_writing_is_not_mixed_up(
    desk: Desk, evening: Programme, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Compared, it was still as it was shown: then an item comes first, and item 1 would be another."""

    def in_between(
        desk: Desk, slug: str, values: Values, changes: Sequence[Change], **more: Stored[Concert]
    ) -> Kept:
        edit_concert(desk, slug, {}, [Put({"title": "Fanfare", "tacet": True}, at=1)])
        return edit_concert(desk, slug, values, changes, **more)

    monkeypatch.setattr("lugbook.desk.items.edit_concert", in_between)
    with pytest.raises(ChangedUnderneath):
        change_items(desk, evening, [Drop(1)])
    names = [row.name for row in programme(desk, evening.id).rows]
    assert names == ["Fanfare", "Boléro", "March", "Speech"]


def test_only_what_is_new_is_said_of_a_change(desk: Desk, evening: Programme) -> None:
    moved = change_items(desk, evening, [Move(1, 2)])
    put = change_items(desk, moved.programme, [Put({"title": "Encore"})])

    assert moved.remarks == ()
    assert any("nobody said what it is for" in one for one in put.remarks)


def test_all_that_is_played_stands_in_one_list(desk: Desk, evening: Programme) -> None:
    """The next concert is the first that is not past; what was removed last can be brought back."""
    add_concert(desk, {"name": "Past", "on": date(2026, 1, 1)})
    add_concert(desk, {"name": "Soon", "on": date(2026, 12, 1)})
    found = repertoire(desk)
    assert [row.slug for row in found.concerts] == ["evening", "past", "soon"]
    assert found.next_concert == next_concert(desk) == "soon"
    assert [row.slug for row in found.pieces] == ["bolero"]
    assert found.removed == ""

    assert "evening" in " ".join(remove(desk, "piece:bolero"))
    remove(desk, "concert:past")
    assert repertoire(desk).removed == "concert:past"
    restore(desk, "concert:past")
    restore(desk, "piece:bolero")
    assert repertoire(desk) == found
    del evening


def test_a_performance_is_of_today_unless_a_day_is_said(desk: Desk, evening: Programme) -> None:
    add_performance(desk, "bolero", {"hall": "Ropewalk Hall", "preset": f"{DRUM}/rolls"})
    add_performance(desk, "bolero", {"on": date(2026, 5, 3)})
    with pytest.raises(NotFound):
        add_performance(desk, "bolero", {"preset": f"{DRUM}/gone"})

    assert desk.library.piece("bolero").record.performances == (
        Performance(on=desk.now().date(), hall="Ropewalk Hall", preset=f"{DRUM}/rolls"),
        Performance(on=date(2026, 5, 3)),
    )
    del evening


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        ("", ["evening", "soon", "bolero"]),
        ("BOLERO rolls", ["bolero"]),
        ("dry-etude", ["bolero"]),
        ("december 2026", ["soon"]),
        ("2026-12 great", ["soon"]),
        ("evening march", []),
    ],
)
def test_words_find_concerts_and_pieces(desk: Desk, evening: Programme, words: str, kept: list[str]) -> None:
    """All of the words, in any order, without accents or case; the items of a concert are not looked at."""
    del evening
    add_concert(desk, {"name": "Soon", "on": date(2026, 12, 1), "hall": "Great Hall"})
    found = repertoire(desk)
    concerts = [row.slug for row in found.concerts if holds(row, words)]
    assert concerts + [row.slug for row in found.pieces if holds(row, words)] == kept


def test_with_concerts_that_are_past_alone_the_last_is_the_next(desk: Desk, with_drum: PutDrum) -> None:
    """The list and the key on the shelf go to the same one."""
    with_drum()
    assert repertoire(desk).next_concert is None
    for day in (3, 1):
        add_concert(desk, {"name": f"Day {day}", "on": date(2026, 1, day)})
    assert repertoire(desk).next_concert == next_concert(desk) == "day-3"
