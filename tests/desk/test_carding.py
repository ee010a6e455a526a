"""What stands on a card: targets, turns and whether they count, the heads of the day, the map, the limits."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook.cards.card_pages import card_page
from lugbook.cards.card_text import essentials, text_card
from lugbook.desk import Desk
from lugbook.desk.carding import blank_card, drum_card, preset_card, unread
from lugbook.desk.fitting import add_head
from lugbook.desk.keeping import add_drum, add_preset, edit_drum, edit_preset
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.errors import NotFound
from lugbook.records import NoteNames, PerHead, TouchUp

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]


def with_turns(desk: Desk, with_drum: Put, **preset: object) -> str:
    """A preset at 1½ and 2¼ turns of the counts that run."""
    name = with_drum(**preset)
    drum = desk.library.drum(DRUM).record
    counts = {side: drum.count_of("top" if side == "top" else "bottom") for side in ("top", "bottom")}
    turns = {
        side: {"amount": amount, "count": count.id}
        for side, amount in (("top", 1.5), ("bottom", 2.25))
        if (count := counts[side]) is not None
    }
    assert len(turns) == 2
    edit_preset(desk, name, {"turns": turns})
    return name


def test_targets_stand_by_note_cents_and_hertz(desk: Desk, with_drum: Put) -> None:
    """221 Hz at A4 = 442 Hz is A3; a diminished fifth is 600 cents (theory of music)."""
    name = with_drum(top="221 Hz", bottom="Eb4-10", a4=442.0)
    card = preset_card(desk, name)
    top, bottom = card.pitches

    assert (top.note, round(top.cents), top.hz) == ("A3", 0, 221.0)
    assert (bottom.note, bottom.english, bottom.cents) == ("E♭4", "Eb4-10", -10)
    assert card.a4_hz == 442.0
    assert card.interval == "diminished fifth, +590 cents"
    assert (card.name, card.drum, card.size, card.contexts) == (
        *("Dry étude", "Concert snare", "14 × 6.5 in"),
        ("dry étude",),
    )
    assert card.printed == "25 November 2026"


@pytest.mark.parametrize(
    ("language", "note", "said"),
    [("english", "B♭3", ""), ("german", "B3", "German note names"), ("latin", "si♭3", "Latin note names")],
)
def test_notes_stand_in_the_players_language_and_say_so(
    desk: Desk, with_drum: Put, language: NoteNames, note: str, said: str
) -> None:
    name = with_drum(top="Bb3", bottom="B3")
    desk = replace(desk, user=desk.user.model_copy(update={"note_names": language}))
    card, drum = preset_card(desk, name), drum_card(desk, DRUM)

    assert [one.english for one in card.pitches] == ["Bb3", "B3"]
    assert card.pitches[0].note == note
    assert card.language.startswith(said)
    assert (not card.language) == (not said)
    assert drum.presets[0].top == note
    assert drum.language == card.language


def test_a_note_name_alone_has_no_hertz(desk: Desk, with_drum: Put) -> None:
    card = preset_card(desk, with_drum(top="E", bottom="A"))

    assert [(one.note, one.hz) for one in card.pitches] == [("E", None), ("A", None)]
    assert card.interval == "perfect fourth"


def test_turns_count_from_their_reference(desk: Desk, with_drum: Put) -> None:
    card = preset_card(desk, with_turns(desk, with_drum))

    assert [(one.head, one.shown, one.amount, one.void) for one in card.turns] == [
        ("Top head", "1½", 1.5, ""),
        ("Bottom head", "2¼", 2.25, ""),
    ]
    assert {one.reference for one in card.turns} == {"as it stood when counting began"}


def test_turns_of_an_older_count_are_said_to_be_void(desk: Desk, with_drum: Put, clock: Clock) -> None:
    name = with_turns(desk, with_drum)
    clock.forward(days=3)
    add_head(desk, DRUM, "top", {})
    top, bottom = preset_card(desk, name).turns

    assert top.void == "a new count began 28 November 2026: new head"
    assert (top.shown, bottom.void) == ("1½", "")
    assert drum_card(desk, DRUM).presets[0].turns == "void / 2¼"


def test_turns_of_calf_are_void_overnight(desk: Desk, with_drum: Put, clock: Clock) -> None:
    with_drum()
    add_head(desk, DRUM, "top", {"material": "calf"})
    count = desk.library.drum(DRUM).record.count_of("top")
    assert count is not None
    name = add_preset(desk, DRUM, {"name": "Calf", "turns": {"top": {"amount": 1.0, "count": count.id}}}).id

    (today,) = preset_card(desk, name).turns
    assert (today.void, today.day_only, today.lasts) == ("", True, False)
    assert "on this day only" in card_page(preset_card(desk, name))
    assert "on this day only" in "\n".join(text_card(preset_card(desk, name)))
    assert "void" in essentials(preset_card(desk, name))
    assert [one.turns for one in drum_card(desk, DRUM).presets if one.name == "Calf"] == ["void"]
    clock.forward(days=1)
    assert [one.void for one in preset_card(desk, name).turns] == ["calf keeps no turns overnight"]


def test_the_heads_are_those_of_the_day_it_was_made(desk: Desk, with_drum: Put, clock: Clock) -> None:
    with_drum()
    add_head(desk, DRUM, "top", {"name": "coated"})
    clock.forward(days=2)
    name = add_preset(desk, DRUM, {"name": "Second", "top": {"pitch": "A3"}}).id
    clock.forward(days=2)
    add_head(desk, DRUM, "top", {"name": "clear"})
    clock.forward(days=2)
    later = add_preset(desk, DRUM, {"name": "Third", "top": {"pitch": "A3"}}).id

    said = preset_card(desk, name).heads
    assert said == ("top: film, coated, on since 25 November 2026, taken off 29 November 2026",)
    assert preset_card(desk, later).heads == ("top: film, clear, on since 29 November 2026",)
    assert preset_card(desk, name).made == "27 November 2026"


def test_the_order_is_one_row_where_both_heads_are_alike(desk: Desk, with_drum: Put) -> None:
    """Star order of ten rods as tests/reference/turns_orders.toml has it."""
    name = with_drum()
    order = (1, 6, 3, 8, 5, 10, 7, 2, 9, 4)
    assert [(one.head, one.order) for one in preset_card(desk, name).rods] == [("Both heads", order)]

    edit_drum(desk, DRUM, {"bottom": {"snare_bed_rods": (1, 5)}})
    rods = preset_card(desk, name).rods
    assert [(one.head, one.order, one.bed) for one in rods] == [
        ("Top head", order, ()),
        ("Bottom head", order, (1, 5)),
    ]


def test_in_single_tension_one_count_stands_for_both_heads(desk: Desk, with_drum: Put) -> None:
    name = with_turns(desk, with_drum, tension="single")
    card = preset_card(desk, name)

    assert [(one.head, one.shown) for one in card.turns] == [("Both heads", "1½")]
    assert [one.head for one in card.rods] == ["Both heads"]
    assert [head for head, _ in blank_card(desk, DRUM).references] == ["Both heads"]


def test_a_rope_drum_has_neither_turns_nor_rods(desk: Desk) -> None:
    drum = add_drum(desk, {"name": "Rope", "diameter_in": 15, "tension": "rope"})
    name = add_preset(desk, drum.id, {"name": "March", "top": {"pitch": "E"}}).id
    card, blank = preset_card(desk, name), blank_card(desk, drum.id)

    assert (card.turns, card.rods, blank.rods, blank.references, blank.turns) == ((), (), (), (), False)
    assert "rod" not in card.caution
    assert "maker's limits" in card.caution
    assert ("Tension", "rope, no rods") in drum_card(desk, drum.id).facts


def test_limits_stand_in_the_caution(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    assert "Limits written down" not in preset_card(desk, name).caution

    edit_drum(desk, DRUM, {"top": {"turns_max": 2.5, "turns_min": -0.25, "hz_max": 290.0}})
    limits = "at most 2½ turns, at least −¼ turn, at most 290 Hz"
    for card in (preset_card(desk, name), drum_card(desk, DRUM), blank_card(desk, DRUM)):
        assert card.caution.endswith(f"Limits written down: top {limits}.")
    assert [one.limits for one in drum_card(desk, DRUM).heads] == [limits, ""]


def test_snares_stand_with_their_unit_and_are_void_with_other_wires(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    knob = {"name": "knob", "unit": "clicks", "zero": "all the way out"}
    edit_drum(desk, DRUM, {"strainer": {"name": "side throw-off", "adjustments": (knob,)}})
    setting = {"words": "just free", "values": {"knob": 3.5}, "free": {"knob": 3}, "wires": "wires-0"}
    edit_preset(desk, name, {"snares": setting})
    card = preset_card(desk, name)

    assert [(one.name, one.value, one.unit) for one in card.adjustments] == [
        ("knob", "3.5", "clicks from all the way out")
    ]
    assert card.snares == "just free; knob (free at 3)"
    assert card.strainer == "side throw-off"
    assert card.snares_void == "of other wires: only where to begin"
    assert drum_card(desk, DRUM).strainer == ("side throw-off", "knob, in clicks from all the way out")


def searched(desk: Desk, with_drum: Put) -> str:
    """A preset that was found in a search of two states, of which the second is kept."""
    with_drum()
    try_state(desk, DRUM, State(top="220", bottom="293.7", values={"words": "flat", "context": "march"}))
    turned = State(turn=PerHead(top=0.25), top="228", values={"words": "open", "verdict": "better"})
    found = try_state(desk, DRUM, turned).now
    assert found.kept is not None
    entry = found.kept.entry
    return add_preset(desk, DRUM, {"name": "Found", "top": {"pitch": "228 Hz"}, "entry": entry.stands_for}).id


def test_a_preset_of_a_search_has_its_map(desk: Desk, with_drum: Put) -> None:
    name = searched(desk, with_drum)
    found = preset_card(desk, name).map

    assert found is not None
    assert (found.search, found.number) == ("march", 2)
    assert {place: cell.standing for place, cell in found.map.cells.items() if cell.number} == {
        (0.0, 0.0): "beaten",
        (0.25, 0.0): "kept",
    }
    assert not [cell for cell in found.map.cells.values() if cell.proposed or cell.here]
    assert preset_card(desk, f"{DRUM}/dry-etude").map is None


def test_where_the_search_no_longer_counts_that_is_said(desk: Desk, with_drum: Put, clock: Clock) -> None:
    name = searched(desk, with_drum)
    clock.forward(days=1)
    add_head(desk, DRUM, "top", {})
    card = preset_card(desk, name)

    assert card.map is None
    assert card.remarks == (
        "The search that it was found in no longer counts (of an older count), so there is no map.",
    )


def test_a_touch_up_since_is_said(desk: Desk, with_drum: Put, clock: Clock) -> None:
    name = with_turns(desk, with_drum)
    clock.forward(days=1)
    touched = State(touch_up=TouchUp(head="top", rod=3, amount=1 / 16), values={"context": "march"})
    try_state(desk, DRUM, touched)

    assert preset_card(desk, name).remarks == (
        "Single rods of the top head were turned since, which its count of turns does not hold.",
    )


def test_a_drum_tells_what_it_is(desk: Desk, with_drum: Put) -> None:
    with_drum()
    values = {"maker": "Anon", "shell": "brass", "loan": True, "note": "Mind the lid.\nHeavy."}
    edit_drum(desk, DRUM, values)
    card = drum_card(desk, DRUM)

    assert dict(card.facts) == {
        "Maker": "Anon",
        "Shell": "brass",
        "Tension": "separate",
        "Belongs to": "somebody else: on loan",
    }
    assert [(one.name, one.top, one.bottom) for one in card.presets] == [("Dry étude", "A3", "D4")]
    assert card.note == "Mind the lid.\nHeavy."
    assert blank_card(desk, DRUM).references == (
        ("Top head", "as it stood when counting began"),
        ("Bottom head", "as it stood when counting began"),
    )


def test_what_is_not_there_is_said(desk: Desk, with_drum: Put) -> None:
    with_drum()
    for make in (
        lambda: preset_card(desk, f"{DRUM}/nothing"),
        lambda: drum_card(desk, "nothing"),
        lambda: blank_card(desk, "nothing"),
    ):
        with pytest.raises(NotFound, match="nothing"):
            make()


def test_what_cannot_be_read_is_missed_on_the_cards_and_told(desk: Desk, with_drum: Put) -> None:
    """A card lies in the case for years: nobody may take a list for whole that is not."""
    name = with_drum()
    add_preset(desk, DRUM, {"name": "Rolls", "top": {"pitch": "A3"}})
    try_state(desk, DRUM, State(top="A3", values={"words": "dull"}))
    assert (drum_card(desk, DRUM).remarks, preset_card(desk, name).remarks, unread(desk, DRUM)) == (
        (),
        (),
        (),
    )

    folder = desk.library.root / "drums" / DRUM
    (folder / "presets" / "rolls.toml").write_text("name = ")
    (log,) = (folder / "log").glob("*.toml")
    log.write_text(f"{log.read_text('utf-8')}\n[[entry]]\nat = 7\n", encoding="utf-8")

    torn = "Part of the logbook cannot be read, and is not counted here."
    card = drum_card(desk, DRUM)
    assert card.remarks == (torn, "1 preset cannot be read and is not on this card.")
    assert preset_card(desk, name).remarks == (torn,)
    for said in card.remarks:
        assert said in card_page(card)
        assert said in " ".join(text_card(card))
    assert {one.path.name for one in unread(desk, DRUM)} == {"rolls.toml", log.name}
