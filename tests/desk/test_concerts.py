"""Concerts: their items as they are typed and changed, and what does not fit together in them."""

from collections.abc import Callable, Sequence
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.concerts import add_concert, concerts, edit_concert, remove_concert, restore_concert
from lugbook.desk.keeping import BadRecord, add_drum, add_preset, remove_drum, remove_preset
from lugbook.desk.pieces import add_piece, remove_piece
from lugbook.desk.programmes import Programme, programme
from lugbook.desk.running import Alter, Change, Drop, Move, Put, Titles, changed, item_values
from lugbook.desk.verifying import verify
from lugbook.errors import BadValue, NotFound
from lugbook.records import Item

DRUM = "concert-snare"
PutDrum = Callable[..., str]
ABC = tuple(Item(title=letter) for letter in "ABCDE")


def titles(items: Sequence[Item]) -> str:
    return "".join(item.title for item in items)


def new(title: str, at: int | None = None) -> Put:
    return Put({"title": title}, at)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ([new("x")], "ABCDEx"),
        ([new("x", 1)], "xABCDE"),
        ([new("x", 6)], "ABCDEx"),
        ([new("x", 3), new("y", 4)], "ABxyCDE"),
        ([Move(1, 3)], "BCADE"),
        ([Move(5, 1)], "EABCD"),
        ([Move(2, 2)], "ABCDE"),
        ([Drop(2), Drop(3)], "ADE"),
        ([Drop(1), Move(5, 2)], "BECD"),
        ([Drop(2), new("x", 2)], "AxCDE"),
        ([Drop(1), new("x", 5)], "BCDEx"),
        ([Move(1, 5), Move(5, 1)], "EBCDA"),
        ([new("x", 1), Move(5, 2)], "xEABCD"),
        ([Alter(4, {"title": "x"}), Move(4, 1)], "xABCE"),
    ],
)
def test_items_are_put_in_moved_and_dropped_by_the_numbers_that_were_shown(
    changes: list[Change], expected: str
) -> None:
    assert titles(changed(ABC, changes)) == expected


@given(data=st.data())
def test_moves_lose_nothing_and_drops_lose_what_they_name(data: st.DataObject) -> None:
    numbers = st.integers(1, len(ABC))
    moves = data.draw(st.lists(st.builds(Move, numbers, numbers), max_size=6))
    dropped = data.draw(st.sets(numbers))

    left = changed(ABC, [*moves, *map(Drop, dropped)])
    assert sorted(titles(left)) == [item.title for n, item in enumerate(ABC, 1) if n not in dropped]


@pytest.mark.parametrize("change", [Drop(0), Drop(6), Move(1, 6), Move(1, 0), Move(-1, 1), Alter(9, {})])
def test_a_number_that_is_not_there_is_refused_with_those_there_are(change: Change) -> None:
    with pytest.raises(BadValue, match="1 to 5"):
        changed(ABC, [change])


@pytest.mark.parametrize("at", [0, 7, -2])
def test_a_new_item_is_put_where_there_is_a_place(at: int) -> None:
    with pytest.raises(BadValue, match="1 to 6"):
        changed(ABC, [new("x", at)])


def test_what_was_dropped_cannot_be_changed_by_the_same_change() -> None:
    with pytest.raises(BadValue, match="dropped by the same"):
        changed(ABC, [Drop(2), Alter(2, {"title": "x"})])
    with pytest.raises(BadValue, match="no items"):
        changed((), [Drop(1)])


@pytest.fixture
def stocked(desk: Desk, with_drum: PutDrum) -> Desk:
    """Two drums, three presets and a piece."""
    with_drum()
    add_preset(desk, DRUM, {"name": "Rolls", "contexts": ["soft rolls"]})
    add_drum(desk, {"name": "Field drum", "diameter_in": 14})
    add_preset(desk, "field-drum", {"name": "March", "contexts": ["field drum", "light march"]})
    add_piece(
        desk,
        {
            "title": "Boléro",
            "composer": "Ravel",
            "contexts": ["soft rolls"],
            "presets": [f"{DRUM}/dry-etude"],
            "part": {"seconds": 900, "rests": [{"seconds": 30}]},
        },
    )
    return desk


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Overture", {"piece": None, "title": "Overture"}),
        ("bolero", {"piece": "bolero", "title": None}),
        ("BOLERO", {"piece": "bolero", "title": None}),
        ("Ravel: Boléro", {"piece": "bolero", "title": None}),
        (
            f"A = B={DRUM}/rolls, soft rolls",
            {
                "piece": None,
                "title": "A = B",
                "tacet": None,
                "presets": [f"{DRUM}/rolls"],
                "contexts": ["soft rolls"],
            },
        ),
        ("=light march", {"tacet": None, "presets": [], "contexts": ["light march"]}),
        ("X=", {"piece": None, "title": "X", "tacet": None, "presets": [], "contexts": []}),
        ("X=Tacet", {"piece": None, "title": "X", "tacet": True, "presets": [], "contexts": []}),
    ],
)
def test_an_item_as_it_is_typed(stocked: Desk, text: str, expected: dict[str, object]) -> None:
    assert item_values(Titles(stocked), text) == expected


def test_a_title_of_two_pieces_has_to_be_told_by_its_slug(stocked: Desk) -> None:
    add_piece(stocked, {"title": "Boléro"})
    with pytest.raises(BadValue, match="bolero-2"):
        item_values(Titles(stocked), "Boléro")
    assert item_values(Titles(stocked), "bolero-2")["piece"] == "bolero-2"


def concert(desk: Desk, *items: str, **values: object) -> Programme:
    kept = add_concert(
        desk, {"name": "Opening", **values}, [Put(item_values(Titles(desk), one)) for one in items]
    )
    return programme(desk, kept.id)


def test_an_item_has_what_its_piece_says_where_it_says_nothing(stocked: Desk) -> None:
    found = concert(stocked, "bolero", "bolero=light march")
    first, second = found.rows

    assert (first.name, first.seconds, first.rests[0].seconds) == ("Ravel: Boléro", 900, 30)
    assert first.candidates == (f"{DRUM}/dry-etude", f"{DRUM}/rolls")
    assert second.contexts == ("light march",)
    assert second.candidates == (f"{DRUM}/dry-etude", "field-drum/march")
    assert first.presets == ()


def test_only_drums_that_travel_are_offered(stocked: Desk) -> None:
    found = concert(stocked, "X=light march", "Y=field-drum/march", "Z=soft march", drums=[DRUM])

    assert [row.candidates for row in found.rows] == [(), (), ()]
    assert found.rows[2].nearest == (f"{DRUM}/rolls",)
    assert "Item 1: no preset that travels is for light march." in found.remarks
    assert "Item 2: the drum field-drum does not travel." in found.remarks
    assert f"Item 3: no preset that travels is for soft march. The nearest: {DRUM}/rolls." in found.remarks


def test_the_pitch_of_the_library_goes_with_a_new_concert(stocked: Desk) -> None:
    stored = stocked.library.settings()
    stocked.library.save_settings(stored, stored.record.model_copy(update={"a4": 442.0}))

    assert concert(stocked).concert.a4 == 442
    assert concert(stocked, a4=440).concert.a4 == 440


@pytest.mark.parametrize(("day", "past"), [("2026-11-24", True), ("2026-11-25", False), (None, False)])
def test_a_day_in_the_past_is_said_and_kept(stocked: Desk, day: str | None, past: bool) -> None:
    found = concert(stocked, on=day)

    assert found.past is past
    assert any("is past; it is kept" in said for said in found.remarks) is past
    assert found.concert.on == (date.fromisoformat(day) if day else None)
    assert [row.past for row in concerts(stocked).rows] == [past]


def test_no_time_and_no_time_said_are_two_things(stocked: Desk) -> None:
    slug = concert(stocked, *["X=tacet"] * 5).id
    said = edit_concert(stocked, slug, {}, [Alter(2, {"after_s": 0}), Alter(5, {"after_s": 0})]).remarks

    assert said == (
        "No time is said after the items 1, 3 and 4.",
        "There is no time at all after item 2: nothing can be changed there.",
    )


def test_what_cannot_be_carried_or_played_is_said(stocked: Desk) -> None:
    both = f"X={DRUM}/rolls, field-drum/march"
    found = concert(stocked, both, "Y", drums=[DRUM, "field-drum"], stage_drums=1)
    edit_concert(
        stocked, found.id, {}, [Alter(1, {"seconds": 20, "rests": [{"seconds": 15}, {"seconds": 6}]})]
    )

    assert set(programme(stocked, found.id).remarks) >= {
        "2 drums travel, and 1 of them fit on the stage: no more are planned.",
        "Item 1: it takes 2 drums, and 1 fit on the stage.",
        "Item 1: its rests are longer than the whole of it.",
        "Item 2: nobody said what it is for.",
    }


def test_what_left_the_library_since_is_said_stays_and_is_found_by_verify(stocked: Desk) -> None:
    slug = concert(stocked, "bolero", f"X={DRUM}/rolls", "Y=field-drum/march", drums=[DRUM, "field-drum"]).id
    assert verify(stocked).problems == ()
    remove_piece(stocked, "bolero")
    remove_preset(stocked, f"{DRUM}/rolls")
    remove_drum(stocked, "field-drum")
    found = programme(stocked, slug)

    assert [row.there for row in found.rows] == [False, True, True]
    assert found.drums == (DRUM,)
    assert "The drum field-drum is to travel and is not in the library." in found.remarks
    assert "Item 1: the piece bolero is not in the library." in found.remarks
    assert {problem.where for problem in verify(stocked).problems} == {
        "drums",
        "items.1.piece",
        "items.2.presets",
        "items.3.presets",
    }
    edit_concert(stocked, slug, {"note": "still kept", "on": "2026-01-01"})
    assert verify(stocked).problems == ()


@pytest.mark.parametrize(
    ("values", "text", "error"),
    [
        ({"drums": ["nowhere"]}, "X", NotFound),
        ({}, "X=nowhere/dry", NotFound),
        ({}, f"X={DRUM}/rols", NotFound),
        ({}, f"X={DRUM}/rolls,{DRUM}/dry-etude", BadRecord),
        ({}, "X=a/b/c", BadRecord),
        ({"hall": "a\x1b[2J"}, "X", BadRecord),
        ({}, "X\x07", BadRecord),
        ({}, "X=a\x07b", BadRecord),
        ({"stage_drums": 0}, "X", BadRecord),
        ({}, "=", BadValue),
    ],
)
def test_what_makes_no_concert_is_refused_and_nothing_is_kept(
    stocked: Desk, values: dict[str, object], text: str, error: type[Exception]
) -> None:
    with pytest.raises(error):
        concert(stocked, text, **values)
    assert concerts(stocked).rows == ()


def test_a_title_like_that_of_a_piece_is_asked_about(stocked: Desk) -> None:
    kept = add_concert(stocked, {"name": "Opening"}, [Put(item_values(Titles(stocked), "Bollero=march"))])

    assert kept.remarks[0] == "'Bollero' is kept as a plain title; pieces called alike: bolero."
    assert "alike" not in " ".join(edit_concert(stocked, kept.id, {"hall": "x"}).remarks)


def test_two_hundred_items_are_kept_and_told_of(stocked: Desk) -> None:
    found = concert(stocked, *(f"Item {n}=soft rolls" for n in range(200)))

    assert len(found.rows) == 200
    assert found.rows[199].candidates == (f"{DRUM}/rolls",)
    assert found.remarks == ("No time is said after the items 1 to 199.",)


def test_a_concert_that_is_removed_comes_back_with_its_items(stocked: Desk) -> None:
    slug = concert(stocked, "X=soft rolls").id
    remove_concert(stocked, slug)

    assert concerts(stocked).rows == ()
    assert titles(restore_concert(stocked, slug).record.items) == "X"
