"""Stories at the drum: every step is on disk, and a crash loses nothing."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk, bench, turning_rods
from lugbook.desk.fitting import add_head
from lugbook.desk.keeping import add_drum, add_preset, edit_drum
from lugbook.desk.retuning import retune
from lugbook.desk.shelf import waiting_rounds
from lugbook.errors import BadValue, Doubtful, LibraryMissing, NotPossible
from lugbook.records import Entry
from lugbook.turns.amounts import show_turns

Put = Callable[..., str]


def log(desk: Desk, name: str) -> tuple[Entry, ...]:
    return desk.library.log(name.partition("/")[0]).entries


def both_read(desk: Desk, name: str, *, top: str = "A3-60", bottom: str = "D4-80") -> bench.Bench:
    at_drum = bench.sit_down(desk, name)
    return bench.read(desk, bench.read(desk, at_drum, "bottom", bottom), "top", top)


def test_each_reading_is_an_entry(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    both_read(desk, name)

    kinds = [
        (entry.kind, entry.bottom and entry.bottom.pitch, entry.top and entry.top.pitch)
        for entry in log(desk, name)
    ]
    assert kinds == [("reading", "D4-80", None), ("reading", None, "A3-60")]


def test_the_bottom_head_is_turned_first(desk: Desk, with_drum: Put) -> None:
    at_drum = both_read(desk, with_drum())

    assert at_drum.next_side == "bottom"
    assert at_drum.retuning is not None
    assert at_drum.retuning.bottom is not None
    assert at_drum.retuning.bottom.amount > 0


def test_rod_by_rod_ends_in_one_turn(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = turning_rods.begin(both_read(desk, name), "bottom")
    amount = at_drum.round.amount if at_drum.round else 0.0
    for _ in range(10):
        at_drum = turning_rods.rod_done(desk, at_drum)

    turns = [entry for entry in log(desk, name) if entry.kind == "turn"]
    assert at_drum.round is None
    assert [entry.turn.bottom for entry in turns] == [amount]
    assert turns[0].position.bottom == amount
    assert turns[0].position.top == 0
    assert not [entry for entry in log(desk, name) if entry.kind == "round"]


def test_after_both_heads_are_turned_the_readings_are_spent(desk: Desk, with_drum: Put) -> None:
    at_drum = both_read(desk, with_drum())
    at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, "bottom"))

    assert at_drum.next_side == "top"
    at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, "top"))

    assert at_drum.top is None
    assert at_drum.bottom is None
    assert at_drum.next_side is None
    assert turning_rods.READ_AGAIN in at_drum.remarks


def test_a_round_stopped_part_way_is_there_after_a_crash(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = turning_rods.begin(both_read(desk, name), "bottom")
    order = at_drum.round.order if at_drum.round else ()
    turning_rods.stopped_after(desk, at_drum, order[2])

    again = bench.sit_down(desk, name)

    assert again.round is not None
    assert again.round.done == order[:3]
    assert again.round.next_rod == order[3]
    assert any("stopped part-way" in remark for remark in again.remarks)
    assert again.position.bottom == 0


def test_a_round_can_be_taken_back(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 6)
    back = turning_rods.take_back(desk, at_drum)

    assert back.round is not None
    assert back.round.way_back()[0].startswith("Loosen rods 6 1 by")
    back = turning_rods.all_done(desk, back)
    assert back.round is None
    assert back.next_side == "bottom"
    assert [entry.kind for entry in log(desk, name)] == ["reading", "reading"]
    assert bench.sit_down(desk, name).round is None


def test_a_reading_amid_a_round_does_not_lose_the_turn(desk: Desk, with_drum: Put) -> None:
    """The turn is written after the reading, so the last entry still tells where the heads stand."""
    name = with_drum()
    at_drum = turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 1)
    at_drum = bench.read(desk, at_drum, "top", "A3-50")
    amount = at_drum.round.amount if at_drum.round else 0.0
    turning_rods.all_done(desk, at_drum)

    again = bench.sit_down(desk, name)
    assert again.position.bottom == amount
    assert again.round is None
    assert not desk.library.log(name.partition("/")[0]).problems


def test_readings_are_taken_up_again_for_a_while(
    desk: Desk, with_drum: Put, clock: Callable[..., object]
) -> None:
    name = with_drum()
    both_read(desk, name)

    assert bench.sit_down(desk, name).comparison is not None
    clock.forward(hours=1)  # type: ignore[attr-defined]  # the fixture's clock can be moved
    assert bench.sit_down(desk, name).comparison is None


def test_one_rod_pulls_both_heads_in_single_tension(desk: Desk, with_drum: Put) -> None:
    name = with_drum(tension="single")
    at_drum = both_read(desk, name)
    side = at_drum.next_side
    assert side is not None
    at_drum = turning_rods.all_done(desk, turning_rods.begin(at_drum, side))

    assert at_drum.position.top == at_drum.position.bottom != 0
    assert at_drum.next_side is None


def test_a_rope_drum_compares_and_offers_no_turn(desk: Desk, with_drum: Put) -> None:
    name = with_drum(tension="rope")
    at_drum = both_read(desk, name)

    assert at_drum.comparison is not None
    assert at_drum.comparison.within is False
    assert at_drum.retuning is not None
    assert not at_drum.retuning.possible
    with pytest.raises(NotPossible, match="nothing to turn"):
        turning_rods.begin(at_drum, "top")


def test_a_rod_that_is_not_there_is_refused(desk: Desk, with_drum: Put) -> None:
    at_drum = turning_rods.begin(both_read(desk, with_drum()), "bottom")

    with pytest.raises(BadValue, match="no rod 11"):
        turning_rods.stopped_after(desk, at_drum, 11)


def test_within_tolerance_there_is_nothing_to_turn(desk: Desk, with_drum: Put) -> None:
    at_drum = both_read(desk, with_drum(), top="A3+2", bottom="D4-3")

    assert at_drum.next_side is None
    assert at_drum.retuning is not None
    assert at_drum.retuning.steps == ()


def test_loosening_takes_two_passes_in_one_round(desk: Desk, with_drum: Put) -> None:
    """An eighth below and back up: two passes over the rods, one turn in the logbook."""
    name = with_drum()
    at_drum = turning_rods.begin(both_read(desk, name, top="A3", bottom="Eb4-20"), "bottom")
    assert at_drum.round is not None
    amount = at_drum.round.amount
    assert at_drum.round.amount_now == amount - 1 / 8

    at_drum = turning_rods.all_done(desk, at_drum)
    assert at_drum.round is not None
    assert at_drum.round.amount_now == 1 / 8
    assert at_drum.round.next_rod == at_drum.round.order[0]
    at_drum = turning_rods.stopped_after(desk, at_drum, 6)
    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert again.round.turned == (1, 6)
    assert any("now coming back up, rods done: 1 6" in remark for remark in again.remarks)
    assert len(again.round.steps) == 4

    for _ in range(8):
        again = turning_rods.rod_done(desk, again)
    assert again.round is None
    assert [entry.turn.bottom for entry in log(desk, name) if entry.kind == "turn"] == [amount]
    assert bench.sit_down(desk, name).position.bottom == amount


def test_the_way_back_from_the_second_pass_names_each_rod_with_its_own_turn(
    desk: Desk, with_drum: Put
) -> None:
    """Rods that came back up are an eighth nearer than those that have not."""
    at_drum = turning_rods.begin(both_read(desk, with_drum(), top="A3", bottom="Eb4-20"), "bottom")
    assert at_drum.round is not None
    net, below = abs(at_drum.round.amount), abs(at_drum.round.amount) + 1 / 8
    at_drum = turning_rods.stopped_after(desk, turning_rods.all_done(desk, at_drum), 6)

    assert at_drum.round is not None
    assert at_drum.round.way_back() == (
        f"Tighten rods 6 1 by {show_turns(net)}, to take the round back.",
        f"Tighten rods 4 9 2 7 10 5 8 3 by {show_turns(below)}, to take the round back.",
    )


def test_a_round_is_taken_back_rod_by_rod_and_a_crash_loses_nothing(desk: Desk, with_drum: Put) -> None:
    """The last rod comes first, each the other way; only the last one strikes the round out."""
    name = with_drum()
    at_drum = turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 3)
    amount = at_drum.round.amount if at_drum.round else 0.0
    back = turning_rods.rod_done(desk, turning_rods.take_back(desk, at_drum))

    assert back.round is not None
    assert (back.round.moves, back.round.turned) == (((3, -amount), (6, -amount), (1, -amount)), (3,))
    with pytest.raises(NotPossible, match="turned back already"):
        turning_rods.take_back(desk, back)
    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert (again.round.taking_back, again.round.next_rod) == (True, 6)
    assert any("still to turn back: 6 1" in remark for remark in again.remarks)
    with pytest.raises(BadValue, match="not to be turned back"):
        turning_rods.stopped_after(desk, again, 8)

    again = turning_rods.rod_done(desk, turning_rods.rod_done(desk, again))
    assert again.round is None
    assert turning_rods.TAKEN_BACK in again.remarks
    assert [entry.kind for entry in log(desk, name)] == ["reading", "reading"]
    assert bench.sit_down(desk, name).position.bottom == 0


def test_taking_back_can_be_thought_better_of(desk: Desk, with_drum: Put) -> None:
    """Before a rod was turned back, the round may be gone on with after all."""
    at_drum = turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, with_drum()), "bottom"), 6)
    once = turning_rods.take_back(desk, at_drum)
    twice = turning_rods.take_back(desk, once)

    assert once.round is not None
    assert twice.round is not None
    assert (once.round.next_rod, twice.round.next_rod) == (6, 3)


def test_a_turn_past_a_limit_is_begun_only_when_the_player_insists(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    edit_drum(desk, "concert-snare", {"bottom": {"turns_max": 0.0}})
    at_drum = both_read(desk, name)

    with pytest.raises(Doubtful, match="past its limit of 0"):
        turning_rods.begin(at_drum, "bottom")
    begun = turning_rods.begin(at_drum, "bottom", insisted=True)
    assert begun.round is not None
    assert [caution.past_limit for caution in begun.round.cautions] == [True]
    turning_rods.rod_done(desk, begun)
    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert [caution.past_limit for caution in again.round.cautions] == [True]


def test_a_turn_back_towards_a_limit_is_no_turn_past_it(desk: Desk, with_drum: Put) -> None:
    """A head that stands past its limit may be let down unasked."""
    name = with_drum()
    at_drum = turning_rods.all_done(desk, turning_rods.begin(both_read(desk, name), "bottom"))
    edit_drum(desk, "concert-snare", {"bottom": {"turns_max": -1.0}})
    at_drum = both_read(desk, name, bottom="D4+80")

    begun = turning_rods.begin(at_drum, "bottom")
    assert begun.round is not None
    assert begun.round.amount < 0
    assert begun.round.cautions == ()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("A4", "an octave above the target"),
        ("A2+20", "an octave below the target"),
        ("2210", "no drum head sounds at 2210 Hz"),
        ("22.1", "no drum head sounds at 22 Hz"),
        ("G4", "10 semitones above the target"),
    ],
)
def test_what_looks_like_a_slip_is_asked_about_and_not_written_down(
    desk: Desk, with_drum: Put, typed: str, said: str
) -> None:
    name = with_drum()
    at_drum = bench.sit_down(desk, name)

    with pytest.raises(Doubtful, match=said):
        bench.read(desk, at_drum, "top", typed)
    assert log(desk, name) == ()


def test_a_reading_that_the_player_stands_by_is_kept(desk: Desk, with_drum: Put) -> None:
    """A head that was let down may well sound an octave low: two turns, no more, and it is asked once."""
    name = with_drum()
    at_drum = bench.read(desk, bench.sit_down(desk, name), "top", "A2", insisted=True)

    assert at_drum.retuning is not None
    assert at_drum.retuning.top is not None
    assert (at_drum.retuning.top.amount, at_drum.retuning.top.far) == (2, True)
    assert any("and no more" in remark for remark in at_drum.retuning.remarks)
    again = bench.sit_down(desk, name).retuning
    assert again is not None
    assert again.top == at_drum.retuning.top


def test_single_tension_speaks_of_the_rods(desk: Desk, with_drum: Put) -> None:
    """One rod pulls both heads: the drum is not turned over, and both heads' limits count."""
    name = with_drum(tension="single")
    edit_drum(desk, "concert-snare", {"bottom": {"turns_max": 0.0}})
    at_drum = bench.read(desk, bench.sit_down(desk, name), "top", "A3-60")

    assert at_drum.next_side == "top"
    assert at_drum.retuning is not None
    assert not any("turn the drum over" in step for step in at_drum.retuning.steps)
    assert any("snares afresh" in step for step in at_drum.retuning.steps)
    with pytest.raises(Doubtful, match="goes past the bottom head's limit"):
        turning_rods.begin(at_drum, "top")
    begun = turning_rods.rod_done(desk, turning_rods.begin(at_drum, "top", insisted=True))
    assert begun.round is not None
    assert [caution.past_limit for caution in begun.round.cautions] == [True]
    assert begun.round.unfinished().startswith("A round was stopped part-way: rods, to be tightened")
    assert not begun.out_of_turn("bottom")


def test_a_new_head_on_one_side_does_not_forget_a_round_on_the_other(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 6)
    add_head(desk, "concert-snare", "top", {})

    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert again.round.done == (1, 6)
    add_head(desk, "concert-snare", "bottom", {})
    assert bench.sit_down(desk, name).round is None


def test_a_bench_that_is_out_of_date_writes_no_turn(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = turning_rods.begin(both_read(desk, name), "bottom")
    add_head(desk, "concert-snare", "bottom", {})

    with pytest.raises(NotPossible, match="meanwhile"):
        turning_rods.all_done(desk, at_drum)
    assert not [entry for entry in log(desk, name) if entry.kind == "turn"]


def test_a_reading_amid_a_round_teaches_nothing(desk: Desk, with_drum: Put) -> None:
    """The head stands between two positions; what it sounds there belongs to neither."""
    name = with_drum()
    at_drum = turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 6)
    before = retune(desk, name, top="A3-60", bottom="D4-80").bottom
    bench.read(desk, at_drum, "bottom", "D4-20")
    after = retune(desk, name, top="A3-60", bottom="D4-80").bottom

    assert before == after


def test_where_a_drum_stands_is_not_known_before_its_first_entry(desk: Desk, with_drum: Put) -> None:
    """The first entry sets the reference, and that is said as long as there is none."""
    name = with_drum()
    fresh = bench.sit_down(desk, name)
    read = bench.read(desk, fresh, "top", "A3+2")

    said = "counted from how the drum stands at the first entry"
    assert any(said in remark for remark in fresh.remarks)
    assert not any(said in remark for remark in (*read.remarks, *bench.sit_down(desk, name).remarks))


def test_a_reference_that_was_named_is_said(desk: Desk) -> None:
    drum = add_drum(desk, {"name": "x", "diameter_in": 14, "reference": "finger tight, one turn"}).id
    name = add_preset(desk, drum, {"name": "March", "top": {"pitch": "A3"}}).id

    assert any(
        "at its reference, finger tight, one turn" in one for one in bench.sit_down(desk, name).remarks
    )


def test_in_a_library_that_cannot_be_written_a_reading_is_compared_and_said_not_to_be_kept(
    desk: Desk, with_drum: Put, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both readings count for the advice, which needs no logbook of its own."""
    name = with_drum()

    def refuse(*_: object) -> None:
        raise LibraryMissing("The library cannot be written.")

    monkeypatch.setattr(type(desk.library), "append", refuse)
    at_drum = bench.read(desk, bench.sit_down(desk, name), "bottom", "D4-80")
    assert at_drum.remarks == ("This reading is not kept: The library cannot be written.",)
    at_drum = bench.read(desk, at_drum, "top", "A3-60")
    advice = retune(desk, name, top="A3-60", bottom="D4-80")

    assert at_drum.comparison is not None
    assert at_drum.comparison.within is False
    assert at_drum.retuning == advice
    assert log(desk, name) == ()


def test_a_round_says_what_it_was_begun_for(desk: Desk, with_drum: Put) -> None:
    """Taken up at another preset's bench it still belongs to its own, also in the logbook."""
    name = with_drum()
    other = add_preset(desk, "concert-snare", {"name": "Tutti", "top": {"pitch": "G3"}}).id
    turning_rods.stopped_after(desk, turning_rods.begin(both_read(desk, name), "bottom"), 6)
    elsewhere = bench.sit_down(desk, other)

    assert f"It was begun on the way to {name}." in elsewhere.remarks
    assert waiting_rounds(desk) == {"concert-snare": "a round waits: bottom head, 2 of 10 rods"}
    turning_rods.all_done(desk, elsewhere)
    assert log(desk, name)[-1].preset == name
    assert waiting_rounds(desk) == {}
