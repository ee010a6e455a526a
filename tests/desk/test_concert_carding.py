"""What stands on the card of a concert: drums and presets by name, turns as the hand makes them, windows."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook.desk import Desk
from lugbook.desk import concert_carding as carding
from lugbook.desk.cautions import Caution
from lugbook.desk.changes import Change, SilentTurn
from lugbook.desk.concert_carding import concert_card, concert_card_of
from lugbook.desk.concerts import add_concert
from lugbook.desk.keeping import add_drum, add_preset, edit_drum
from lugbook.desk.plans import Between, ConcertPlan, Missing, PlannedChange, PlannedItem, Setting
from lugbook.desk.programmes import Programme, programme
from lugbook.records import Item, NoteNames
from lugbook.turns.orders import star_order

DRUM = "concert-snare"
Put = Callable[..., str]
PAUSE = Between(after=1, rest=None, seconds=180.0)


def spring(desk: Desk, **values: object) -> Programme:
    """A concert of three items."""
    kept = add_concert(desk, {"name": "Spring", "a4": 442.0, **values})
    stored = desk.library.concert(kept.id)
    items = (
        Item(title="March", presets=(f"{DRUM}/dry-etude",)),
        Item(title="Speech", tacet=True),
        Item(title="Waltz", presets=(f"{DRUM}/soft-rolls",)),
    )
    desk.library.save_concert(stored, stored.record.model_copy(update={"items": items}))
    return programme(desk, kept.id)


def change(**values: object) -> Change:
    """A silent change: the top up by a half, the bottom down by a quarter."""
    kept: dict[str, object] = {
        "drum": DRUM,
        "from_preset": "dry-etude",
        "to_preset": "soft-rolls",
        "tolerance_cents": 10.0,
        "top": SilentTurn("top", 0.5),
        "bottom": SilentTurn("bottom", -0.25),
        "first": "bottom",
        "orders": {"top": star_order(10), "bottom": star_order(10)},
        "seconds": 130.0,
    }
    return Change(**(kept | values))  # type: ignore[arg-type]  # one field each, as a test names it


def plan(found: Programme, *, window: Between = PAUSE, how: Change | None = None) -> ConcertPlan:
    """The plan with one change of one drum."""
    played = ((f"{DRUM}/dry-etude",), (), (f"{DRUM}/soft-rolls",))
    return ConcertPlan(
        programme=found,
        items=tuple(PlannedItem(row, presets) for row, presets in zip(found.rows, played, strict=True)),
        before_doors=(Setting(DRUM, "dry-etude", 1),),
        changes=(PlannedChange(DRUM, "dry-etude", "soft-rolls", window, 3, how or change()),),
        fits=True,
        work_s=130.0,
        cost_s=130.0,
        bound_s=130.0,
        exact=True,
        missing=(),
        short=(),
        others=(),
        remarks=(),
    )


@pytest.fixture
def put(desk: Desk, with_drum: Put) -> Put:
    """Put two presets of one drum on the shelf."""

    def both(**given: object) -> str:
        name = with_drum(**given)
        softly = {"name": "Soft rolls", "top": {"pitch": "A3"}, "snares": {"words": "just free"}}
        add_preset(desk, DRUM, softly)
        return name

    return both


def test_items_and_drums_stand_by_the_players_names(desk: Desk, put: Put) -> None:
    put()
    card = concert_card_of(desk, plan(spring(desk, hall="Town hall")))

    assert (card.name, card.place, card.printed) == ("Spring", "Town hall, A4 442 Hz", "25 November 2026")
    assert [(one.number, one.name, one.tacet, one.played) for one in card.items] == [
        (1, "March", False, (("Concert snare", "Dry étude"),)),
        (2, "Speech", True, ()),
        (3, "Waltz", False, (("Concert snare", "Soft rolls"),)),
    ]


def test_pitches_are_named_at_the_concerts_a4_and_their_hertz_stay(desk: Desk, put: Put) -> None:
    """A3 at 440 Hz is 220 Hz, which at 442 Hz is 1200·log2(440/442) = −7.85 cents from A3."""
    put(a4=440.0)
    (setting,) = concert_card_of(desk, plan(spring(desk))).before_doors

    assert (setting.drum, setting.preset, setting.number) == ("Concert snare", "Dry étude", 1)
    assert setting.pitches[0] == "top A3 −8 (220.0 Hz)"


def test_the_bottom_head_comes_first_and_loosening_goes_below_and_back(desk: Desk, put: Put) -> None:
    put()
    (window,) = concert_card_of(desk, plan(spring(desk))).windows
    (made,) = window.changes

    assert [(turn.head, turn.amount, turn.shown) for turn in made.turns] == [
        ("Bottom head", -0.25, "loosen ⅜, then tighten ⅛"),
        ("Top head", 0.5, "tighten ½"),
    ]
    assert made.turns[0].order == (1, 6, 3, 8, 5, 10, 7, 2, 9, 4)
    assert made.then == ("Set the strainer: just free. After a bottom turn that is only where to begin.",)
    assert (made.takes, window.time, window.missing, made.before) == ("2:10", "2:10 of 3:00", "", 3)


def test_a_head_that_is_not_turned_does_not_stand(desk: Desk, put: Put) -> None:
    put()
    how = change(bottom=SilentTurn("bottom", 0.0))
    (made,) = concert_card_of(desk, plan(spring(desk), how=how)).changes

    assert [turn.head for turn in made.turns] == ["Top head"]


def test_in_single_tension_one_turn_stands_for_both_heads(desk: Desk, put: Put) -> None:
    put(tension="single")
    how = change(single=True, bottom=SilentTurn("bottom", 0.5), first="top")
    (made,) = concert_card_of(desk, plan(spring(desk), how=how)).changes

    assert [(turn.head, turn.shown) for turn in made.turns] == [("Both heads", "tighten ½")]


def test_why_it_is_not_trusted_and_limits_are_said(desk: Desk, put: Put) -> None:
    put()
    edit_drum(desk, DRUM, {"top": {"turns_max": 2.5}})
    past = Caution("top", "past its limit of 2½ turns", "Caution: …", past_limit=True)
    higher = replace(past, short="higher than it has been: go slowly", past_limit=False)
    how = change(why_not_trusted=("A guess.",), cautions=(past, higher), missed=("bottom",), bottom=None)
    card = concert_card_of(desk, plan(spring(desk), how=how))
    (made,) = card.changes

    assert made.doubts == ("A guess.",)
    assert made.cautions == (
        "top head: past its limit of 2½ turns",
        "bottom head: no key reaches its rods on the stand",
    )
    assert card.caution.endswith("Limits written down: Concert snare top at most 2½ turns.")


def test_windows_stand_in_the_order_of_the_evening(desk: Desk, put: Put) -> None:
    """The rests inside an item come before the pause after it."""
    put()
    pause = Between(after=2, rest=None, seconds=60.0)
    rests = [Between(after=2, rest=0, seconds=50.0, bars="12-40"), Between(after=2, rest=1, seconds=40.0)]
    missing = tuple(Missing(one, 20.0) for one in (pause, *reversed(rests)))
    found = replace(plan(spring(desk), window=pause), fits=False, missing=missing, short=("Two drums.",))
    card = concert_card_of(desk, found)

    assert [one.where for one in card.windows] == ["In 2, bars 12-40", "In 2, rest 2", "After 2"]
    assert [one.missing for one in card.windows] == ["0:20 too short"] * 3
    assert [len(one.changes) for one in card.windows] == [0, 0, 1]
    assert (card.fits, card.short) == (False, ("Two drums.",))
    assert [type(one).__name__ for one in card.evening].index("CardWindow") == 2


def test_presets_of_one_name_stand_with_their_slugs(desk: Desk, put: Put) -> None:
    put()
    add_preset(desk, DRUM, {"name": "Dry étude", "top": {"pitch": "B3"}})
    add_drum(desk, {"name": "Concert snare", "diameter_in": 13})
    card = concert_card_of(desk, plan(spring(desk)))

    assert card.items[0].played == (("Concert snare (concert-snare)", "Dry étude (dry-etude)"),)
    assert card.items[2].played == (("Concert snare (concert-snare)", "Soft rolls"),)


@pytest.mark.parametrize(("language", "said"), [("english", ""), ("latin", "Latin note names")])
def test_note_names_are_the_players(desk: Desk, put: Put, language: NoteNames, said: str) -> None:
    put()
    user = desk.user.model_copy(update={"note_names": language})
    card = concert_card_of(replace(desk, user=user), plan(spring(desk)))

    assert said in card.language
    assert bool(card.language) == bool(said)


def test_the_card_of_a_concert_is_that_of_its_plan(
    desk: Desk, put: Put, monkeypatch: pytest.MonkeyPatch
) -> None:
    put()
    found = plan(spring(desk))
    plans = {"spring": found}
    monkeypatch.setattr(carding, "plan_concert", lambda _, slug: plans[slug])

    assert concert_card(desk, "spring")[0] == concert_card_of(desk, found)


def test_a_damaged_preset_is_named_without_the_path_of_its_file(desk: Desk, put: Put) -> None:
    """A card is handed on; where the library lies is nobody's business."""
    put()
    found = spring(desk)
    (desk.library.root / "drums" / DRUM / "presets" / "soft-rolls.toml").write_text("name = ")
    card, unread = concert_card(desk, found.id)

    assert f"{DRUM}/soft-rolls cannot be read; `lugbook verify` says why." in card.remarks
    assert str(desk.library.root) not in repr(card)
    assert [one.path.name for one in unread] == ["soft-rolls.toml"]
