"""Stories at the drum: every step is on disk, and a crash loses nothing."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk, bench
from lugbook.desk.fitting import add_head
from lugbook.desk.retuning import retune
from lugbook.errors import BadValue, NotPossible
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
    at_drum = bench.begin(both_read(desk, name), "bottom")
    amount = at_drum.round.amount if at_drum.round else 0.0
    for _ in range(10):
        at_drum = bench.rod_done(desk, at_drum)

    turns = [entry for entry in log(desk, name) if entry.kind == "turn"]
    assert at_drum.round is None
    assert [entry.turn.bottom for entry in turns] == [amount]
    assert turns[0].position.bottom == amount
    assert turns[0].position.top == 0
    assert not [entry for entry in log(desk, name) if entry.kind == "round"]


def test_after_both_heads_are_turned_the_readings_are_spent(desk: Desk, with_drum: Put) -> None:
    at_drum = both_read(desk, with_drum())
    at_drum = bench.all_done(desk, bench.begin(at_drum, "bottom"))

    assert at_drum.next_side == "top"
    at_drum = bench.all_done(desk, bench.begin(at_drum, "top"))

    assert at_drum.top is None
    assert at_drum.bottom is None
    assert at_drum.next_side is None
    assert bench.READ_AGAIN in at_drum.remarks


def test_a_round_stopped_part_way_is_there_after_a_crash(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = bench.begin(both_read(desk, name), "bottom")
    order = at_drum.round.order if at_drum.round else ()
    bench.stopped_after(desk, at_drum, order[2])

    again = bench.sit_down(desk, name)

    assert again.round is not None
    assert again.round.done == order[:3]
    assert again.round.next_rod == order[3]
    assert any("stopped part-way" in remark for remark in again.remarks)
    assert again.position.bottom == 0


def test_a_round_can_be_taken_back(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = bench.stopped_after(desk, bench.begin(both_read(desk, name), "bottom"), 6)

    assert at_drum.round is not None
    assert at_drum.round.way_back().startswith("Loosen rods 6 1 of the bottom head by")
    back = bench.take_back(desk, at_drum)

    assert back.round is None
    assert back.next_side == "bottom"
    assert [entry.kind for entry in log(desk, name)] == ["reading", "reading"]
    assert bench.sit_down(desk, name).round is None


def test_a_reading_amid_a_round_does_not_lose_the_turn(desk: Desk, with_drum: Put) -> None:
    """The turn is written after the reading, so the last entry still tells where the heads stand."""
    name = with_drum()
    at_drum = bench.stopped_after(desk, bench.begin(both_read(desk, name), "bottom"), 1)
    at_drum = bench.read(desk, at_drum, "top", "A3-50")
    amount = at_drum.round.amount if at_drum.round else 0.0
    bench.all_done(desk, at_drum)

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
    at_drum = bench.all_done(desk, bench.begin(at_drum, side))

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
        bench.begin(at_drum, "top")


def test_a_rod_that_is_not_there_is_refused(desk: Desk, with_drum: Put) -> None:
    at_drum = bench.begin(both_read(desk, with_drum()), "bottom")

    with pytest.raises(BadValue, match="no rod 11"):
        bench.stopped_after(desk, at_drum, 11)


def test_within_tolerance_there_is_nothing_to_turn(desk: Desk, with_drum: Put) -> None:
    at_drum = both_read(desk, with_drum(), top="A3+2", bottom="D4-3")

    assert at_drum.next_side is None
    assert at_drum.retuning is not None
    assert at_drum.retuning.steps == ()


def test_loosening_takes_two_passes_in_one_round(desk: Desk, with_drum: Put) -> None:
    """An eighth below and back up: two passes over the rods, one turn in the logbook."""
    name = with_drum()
    at_drum = bench.begin(both_read(desk, name, top="A3", bottom="Eb4-20"), "bottom")
    assert at_drum.round is not None
    amount = at_drum.round.amount
    assert at_drum.round.pass_amount == amount - 1 / 8

    at_drum = bench.all_done(desk, at_drum)
    assert at_drum.round is not None
    assert at_drum.round.pass_amount == 1 / 8
    assert at_drum.round.next_rod == at_drum.round.order[0]
    at_drum = bench.stopped_after(desk, at_drum, 6)
    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert again.round.done_in_pass == (1, 6)
    assert any("now coming back up, rods done: 1 6" in remark for remark in again.remarks)
    assert len(again.round.steps) == 2

    for _ in range(8):
        again = bench.rod_done(desk, again)
    assert again.round is None
    assert [entry.turn.bottom for entry in log(desk, name) if entry.kind == "turn"] == [amount]
    assert bench.sit_down(desk, name).position.bottom == amount


def test_the_way_back_from_the_second_pass_names_each_rod_with_its_own_turn(
    desk: Desk, with_drum: Put
) -> None:
    """Rods that came back up are an eighth nearer than those that have not."""
    at_drum = bench.begin(both_read(desk, with_drum(), top="A3", bottom="Eb4-20"), "bottom")
    assert at_drum.round is not None
    net, below = abs(at_drum.round.amount), abs(at_drum.round.amount) + 1 / 8
    at_drum = bench.stopped_after(desk, bench.all_done(desk, at_drum), 6)

    assert at_drum.round is not None
    assert at_drum.round.way_back() == (
        f"Tighten rods 6 1 of the bottom head by {show_turns(net)} and "
        f"tighten rods 4 9 2 7 10 5 8 3 of the bottom head by {show_turns(below)}."
    )


def test_a_new_head_on_one_side_does_not_forget_a_round_on_the_other(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    bench.stopped_after(desk, bench.begin(both_read(desk, name), "bottom"), 6)
    add_head(desk, "concert-snare", "top", {})

    again = bench.sit_down(desk, name)
    assert again.round is not None
    assert again.round.done == (1, 6)
    add_head(desk, "concert-snare", "bottom", {})
    assert bench.sit_down(desk, name).round is None


def test_a_bench_that_is_out_of_date_writes_no_turn(desk: Desk, with_drum: Put) -> None:
    name = with_drum()
    at_drum = bench.begin(both_read(desk, name), "bottom")
    add_head(desk, "concert-snare", "bottom", {})

    with pytest.raises(NotPossible, match="meanwhile"):
        bench.all_done(desk, at_drum)
    assert not [entry for entry in log(desk, name) if entry.kind == "turn"]


def test_a_reading_amid_a_round_teaches_nothing(desk: Desk, with_drum: Put) -> None:
    """The head stands between two positions; what it sounds there belongs to neither."""
    name = with_drum()
    at_drum = bench.stopped_after(desk, bench.begin(both_read(desk, name), "bottom"), 6)
    before = retune(desk, name, top="A3-60", bottom="D4-80").bottom
    bench.read(desk, at_drum, "bottom", "D4-20")
    after = retune(desk, name, top="A3-60", bottom="D4-80").bottom

    assert before == after
