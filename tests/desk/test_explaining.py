"""Why a drum is not where its preset says, from its logbook, its count and what was heard."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from lugbook import heads
from lugbook.desk import Desk
from lugbook.desk.asking import Taken, taken_from
from lugbook.desk.bench import compared, read, sit_down
from lugbook.desk.checking import check, check_all
from lugbook.desk.comparing import compare
from lugbook.desk.explaining import why
from lugbook.desk.journal import write
from lugbook.desk.keeping import add_preset
from lugbook.desk.listening import Heard
from lugbook.desk.recounting import recount
from lugbook.desk.retuning import retune
from lugbook.heads.levels import Levels
from lugbook.records import SIDES, HeadSide, PerHead, Reading

from .conftest import Clock

DRUM = "concert-snare"
Put = Callable[..., str]
Squares = tuple[float, float]

SLOPE = 30_000.0
"""Slope of both heads of the drum here, in Hz² per turn: 66 cents a quarter turn at 220 Hz."""

HERE = (220.0**2, 300.0**2)
"""f² of both heads where the search below leaves them."""


@pytest.fixture
def searched(desk: Desk, with_drum: Put, clock: Clock) -> str:
    """A drum that was searched out in twelve entries a month ago, kept at its last state; its preset."""
    at = {side: {"pitch": f"{math.sqrt(y)} Hz"} for side, y in zip(SIDES, HERE, strict=True)}
    drum = with_drum().partition("/")[0]
    clock.forward(days=-30)
    walk = [(0.0, 0.0), (0.25, 0.0), (0.25, 0.25), (0.0, 0.25), (-0.25, 0.25), (-0.25, 0.0)]
    for place in [*walk, *reversed(walk)]:
        log(desk, place, at_place(place))
        clock.forward(minutes=5)
    stored = desk.library.preset(f"{drum}/dry-etude")
    count = {side: desk.library.drum(drum).record.count_of(side) for side in SIDES}
    turns = {side: {"amount": 0.0, "count": one.id} for side, one in count.items() if one is not None}
    kept = stored.record.model_dump() | at | {"turns": turns, "made": desk.now()}
    desk.library.save_preset(stored, type(stored.record).model_validate(kept))
    clock.forward(days=30)
    return stored.id


def at_place(place: Squares) -> Squares:
    return HERE[0] + SLOPE * place[0], HERE[1] + SLOPE * place[1]


def log(desk: Desk, place: Squares, squares: Squares | None = None, **fields: object) -> None:
    """Write an entry of a place, with both heads read by recordings where their f² are given."""
    heard: dict[str, object] = {
        side: {"pitch": f"{math.sqrt(y)} Hz", "by": "recording", "sd_cents": 3.0}
        for side, y in zip(SIDES, squares or (), strict=False)
    }
    drum = desk.library.drum(DRUM).record
    what = {"kind": "reading" if squares else "turn", **heard, **fields}
    write(desk, DRUM, drum, what, position=PerHead(top=place[0], bottom=place[1]))


def cause(desk: Desk, name: str, squares: Squares, **how: str) -> str | None:
    """Check by recordings, and return the cause that is named."""
    preset = desk.library.preset(name).record
    taken = {
        side: taken_from(
            Reading.model_validate({"pitch": f"{math.sqrt(y)} Hz", "by": "recording", "sd_cents": 3.0} | how),
            a4_hz=440.0,
        )
        for side, y in zip(SIDES, squares, strict=True)
    }
    found = compare(desk, name, preset, top=taken["top"], bottom=taken["bottom"])
    assert found.within is False
    return why(desk, preset, found, taken).cause


def test_both_heads_alike_in_f2_is_the_air(desk: Desk, searched: str) -> None:
    """+2400 Hz² are +42 cents at 220 Hz and +23 at 300: film gives way only downward."""
    assert cause(desk, searched, (HERE[0] + 2400, HERE[1] + 2400)) == "weather"


def test_the_weather_says_which_way(desk: Desk, searched: str) -> None:
    found = check(
        desk, searched, top=f"{math.sqrt(HERE[0] + 4000)} Hz", bottom=f"{math.sqrt(HERE[1] + 4000)} Hz"
    )

    assert found.why is not None
    assert found.why.cause == "weather"
    assert "cooler or drier" in found.why.says
    assert "back later" in found.why.then


def test_a_turn_that_was_not_made_is_a_miscount(desk: Desk, searched: str) -> None:
    """A quarter up is in the logbook, and the head sounds a quarter lower: it went the wrong way."""
    log(desk, (0.0, 0.25), turn={"bottom": 0.25})
    assert cause(desk, searched, (HERE[0], HERE[1] - SLOPE / 4)) == "miscounted"


def test_one_head_far_off_was_changed(desk: Desk, searched: str) -> None:
    assert cause(desk, searched, (HERE[0] * 2 ** (400 / 600), HERE[1])) == "changed"


def test_pitches_pulled_apart_are_an_undamped_head(desk: Desk, searched: str) -> None:
    """Two heads coupled by k = 150 Hz: eigenvalues of [[a, −k²], [−k², b]]."""
    mean, half, k2 = (HERE[0] + HERE[1]) / 2, (HERE[1] - HERE[0]) / 2, 150.0**2
    apart = math.hypot(half, k2)

    assert cause(desk, searched, (mean - apart, mean + apart), other_head="unknown") == "undamped"


def test_where_the_count_stands_elsewhere_that_is_the_cause(desk: Desk, searched: str) -> None:
    """Half a turn up on the top head, written down and heard: nothing happened by itself."""
    log(desk, (0.5, 0.0), turn={"top": 0.5})

    squares = (HERE[0] + SLOPE / 2, HERE[1])
    assert cause(desk, searched, squares) == "turned"
    found = check(desk, searched, top=f"{math.sqrt(squares[0])} Hz", bottom="300 Hz")
    assert found.why is not None
    assert any("stands at ½ turn" in one for one in found.why.evidence)


def test_a_drum_that_was_left_so_is_said_to_be(desk: Desk, searched: str, clock: Clock) -> None:
    """The last reading, an hour ago, was off already."""
    off = (HERE[0] - 1500, HERE[1] + 1500)
    log(desk, (0.0, 0.0), off)
    clock.forward(hours=1)

    assert cause(desk, searched, off) == "left"


def test_a_new_count_leaves_nothing_to_tell_from(desk: Desk, searched: str) -> None:
    for side in SIDES:
        recount(desk, DRUM, side)
    found = check(desk, searched, top="200 Hz", bottom="300 Hz")

    assert found.why is not None
    assert found.why.cause is None
    assert any("count that is over" in one for one in found.why.evidence)


@pytest.mark.parametrize(
    ("top", "bottom"), [("30 Hz", "300 Hz"), ("880 Hz", "300 Hz"), ("220 Hz", "4000 Hz")]
)
def test_what_looks_like_a_slip_is_no_changed_head(desk: Desk, searched: str, top: str, bottom: str) -> None:
    """Nobody is told to void good turns for a typing error; the other head agrees with its count."""
    found = check(desk, searched, top=top, bottom=bottom)

    assert found.why is not None
    assert found.why.cause != "changed"
    assert any("slip" in remark for remark in found.remarks)


def test_heads_interchanged_are_asked_about_and_not_turned(desk: Desk, searched: str) -> None:
    found = retune(desk, searched, top="300 Hz", bottom="220 Hz")

    assert found.steps == ()
    assert any("interchanged" in remark for remark in found.remarks)
    checked = check(desk, searched, top="300 Hz", bottom="220 Hz").why
    assert checked is not None
    assert checked.cause is None


def test_rope_is_not_counted(desk: Desk, with_drum: Put) -> None:
    found = check(desk, with_drum(tension="rope"), top="A3-80", bottom="D4")

    assert found.why is not None
    assert "rope" in found.why.says


def test_the_evidence_says_how_far_and_which_way(desk: Desk, searched: str) -> None:
    """From 220 to 210 Hz is 81 cents down, from 300 to 303 Hz 17 up; it last read 220 and 300 Hz."""
    found = check(desk, searched, top="210 Hz", bottom="303 Hz")

    assert found.why is not None
    where = "where its last reading (26 October 2026, unturned since) puts it."
    assert f"The top head reads 81 cents below {where}" in found.why.evidence
    assert f"The bottom head reads 17 cents above {where}" in found.why.evidence
    assert "By its count the drum stands where the preset has it." in found.why.evidence


def test_a_lost_count_changes_nothing_that_is_said_of_the_other_head(desk: Desk, searched: str) -> None:
    before = check(desk, searched, top="210 Hz", bottom="303 Hz").why
    recount(desk, DRUM, "top")
    after = check(desk, searched, top="210 Hz", bottom="303 Hz").why

    assert before is not None
    assert after is not None
    (said,) = [one for one in before.evidence if one.startswith("The bottom head")]
    assert said in after.evidence
    assert "Of the top head no pitch was written down in its present count." in after.evidence


def test_a_miscount_says_which_way_the_head_stands(desk: Desk, searched: str) -> None:
    """A quarter up is written down and was not made: the head stands below its count."""
    log(desk, (0.25, 0.0), turn={"top": 0.25})
    preset = desk.library.preset(searched)
    count = desk.library.drum(DRUM).record.count_of("top")
    assert count is not None
    turns = {"top": {"amount": 0.25, "count": count.id}}
    kept = preset.record.model_dump() | {
        "turns": turns,
        "top": {"pitch": f"{math.sqrt(HERE[0] + SLOPE / 4)} Hz"},
    }
    desk.library.save_preset(preset, type(preset.record).model_validate(kept))
    found = check(desk, searched, top="220 Hz", bottom="300 Hz").why

    assert found is not None
    assert found.cause == "miscounted"
    assert found.says == (
        "The top head is not where its count of turns has it: it stands about ¼ turn below it."
    )


def test_reading_again_does_not_make_it_right(desk: Desk, searched: str, clock: Clock) -> None:
    """A head far off stays far off when it is read again in one sitting, as the advice asks for."""
    bench = sit_down(desk, searched)
    for _ in range(2):
        clock.forward(minutes=2)
        for side, typed in (("top", "277 Hz"), ("bottom", "300 Hz")):
            bench = read(desk, bench, _side(side), typed, insisted=True)

    assert bench.retuning is not None
    assert bench.retuning.comparison.why is not None
    assert bench.retuning.comparison.why.cause == "changed"


def test_a_head_whose_turns_the_preset_does_not_keep_stands_nowhere_else(desk: Desk, searched: str) -> None:
    stored = desk.library.preset(searched)
    turns = stored.record.turns.model_copy(update={"bottom": None})
    desk.library.save_preset(stored, stored.record.model_copy(update={"turns": turns}))
    log(desk, (0.0, 0.5), turn={"bottom": 0.5})
    found = check(desk, searched, top="210 Hz", bottom=f"{math.sqrt(HERE[1] + SLOPE / 2)} Hz").why

    assert found is not None
    assert not any("bottom head stands" in one for one in found.evidence)


def test_single_rods_turned_since_are_said(desk: Desk, searched: str) -> None:
    log(desk, (0.0, 0.0), kind="touch-up", touch_up={"head": "top", "rod": 3, "amount": 0.75})
    found = check(desk, searched, top="210 Hz", bottom="300 Hz").why

    assert found is not None
    assert any("Single rods of the top head were turned since" in one for one in found.evidence)
    assert any("unturned since" in one for one in found.evidence if one.startswith("The top head"))


def test_two_changed_heads_are_said_in_the_plural(desk: Desk, searched: str) -> None:
    found = check(desk, searched, top="277 Hz", bottom="380 Hz").why

    assert found is not None
    assert found.says == "Both heads are not those that the logbook knows, or were taken off since."


def test_one_head_alone_is_no_weather(desk: Desk, searched: str) -> None:
    found = check(desk, searched, top=f"{math.sqrt(HERE[0] + 2400)} Hz", bottom=None).why

    assert found is None or found.cause != "weather"


def test_pitches_of_another_preset_say_that_it_was_turned_there(desk: Desk, searched: str) -> None:
    """A quarter lower on both heads, of which nothing is written down."""
    top, bottom = (f"{math.sqrt(y - SLOPE / 4)} Hz" for y in HERE)
    add_preset(desk, DRUM, {"name": "Low", "top": {"pitch": top}, "bottom": {"pitch": bottom}})
    found = check(desk, searched, top=top, bottom=bottom).why

    assert found is not None
    assert found.cause == "turned"
    assert "Its pitches are those of low" in found.says


def test_days_that_nobody_foresaw_are_believed(desk: Desk, searched: str) -> None:
    """106 cents flat for no known reason: the turn goes all the way, an unturned head stays where it reads.

    A head of 30 000 Hz² a turn needs (220² − 207²)/30 000 = 0.185 turns from 207 Hz.
    """
    found = retune(desk, searched, top="207 Hz", bottom="300 Hz")

    assert found.top is not None
    assert found.top.amount == pytest.approx(3 / 16, abs=1 / 32)
    assert found.expect is not None
    assert found.expect.top_hz == pytest.approx(220, rel=0.006)
    assert found.expect.bottom_hz == pytest.approx(300, rel=0.004)


def test_retune_says_what_to_see_to_before_a_turn(desk: Desk, searched: str) -> None:
    """A changed head is said; creep is not, for turning is what mends it."""
    assert (found := retune(desk, searched, top="277 Hz", bottom="300 Hz").comparison.why) is not None
    assert found.cause == "changed"
    assert retune(desk, searched, top="217 Hz", bottom="298 Hz").comparison.why is None


def test_readings_at_the_bench_do_not_explain_themselves(desk: Desk, searched: str) -> None:
    """They stand in the logbook at once, and are held against what it held before them."""
    bench = sit_down(desk, searched)
    for side, typed in (("top", "277 Hz"), ("bottom", "300 Hz")):
        bench = read(desk, bench, _side(side), typed, insisted=True)

    assert bench.retuning is not None
    assert bench.retuning.comparison.why is not None
    assert bench.retuning.comparison.why.cause == "changed"


def test_a_reading_left_standing_for_an_hour_still_does_not_explain_itself(
    desk: Desk, searched: str, clock: Clock
) -> None:
    """The bench stays open over the interval, and what was read before it is compared again."""
    bench = sit_down(desk, searched)
    for side, typed in (("top", "277 Hz"), ("bottom", "300 Hz")):
        bench = read(desk, bench, _side(side), typed, insisted=True)
    clock.forward(hours=1)
    bench = compared(desk, bench)

    assert bench.retuning is not None
    assert bench.retuning.comparison.why is not None
    assert bench.retuning.comparison.why.cause == "changed"


@pytest.mark.parametrize(("split_cents", "named"), [(9.0, "slipped"), (None, None)])
def test_two_pitches_in_the_recording_tell_of_a_slipped_rod(
    desk: Desk, searched: str, split_cents: float | None, named: str | None
) -> None:
    """Half a turn of one rod in ten is 1500 Hz² down; without the two pitches it is no slip."""
    squares = {"top": HERE[0], "bottom": HERE[1] - SLOPE / 20}
    preset = desk.library.preset(searched).record
    taken = {
        side: recorded(math.sqrt(squares[side]), split_cents=split_cents if side == "bottom" else None)
        for side in SIDES
    }
    found = compare(desk, searched, preset, top=taken["top"], bottom=taken["bottom"])
    told = why(desk, preset, found, taken)

    assert (told.cause == "slipped") == (named == "slipped")
    heard = "Two pitches close together were heard in the bottom head."
    assert (heard in told.evidence) == (named == "slipped")


def recorded(hz: float, *, split_cents: float | None) -> Taken:
    """A reading of a head from a recording that was listened to just now."""
    reading = heads.Reading(
        hz=hz,
        sd_cents=3.0,
        note="A3",
        cents=0.0,
        mode="1,1",
        sure=True,
        taps_used=3,
        split_cents=split_cents,
        other_head="damped",
        alternatives=(),
    )
    hearing = heads.Hearing(taps=(), reading=reading, remarks=(), refused=None)
    heard = Heard("tap.wav", rate_hz=48_000, a4_hz=440.0, hearing=hearing, levels=Levels((), 0.0))
    kept = Reading.model_validate({"pitch": f"{hz} Hz", "by": "recording", "sd_cents": 3.0})
    return replace(taken_from(kept, a4_hz=440.0), heard=heard)


def _side(text: str) -> HeadSide:
    return "top" if text == "top" else "bottom"


def test_the_snares_are_compared_with_those_last_written_down(desk: Desk, with_drum: Put) -> None:
    name = with_drum(snares={"words": "just free", "values": {"knob": 8.0}})
    assert not any("Snares" in one for one in check(desk, name, top="A3", bottom="D4").remarks)

    log(desk, (0.0, 0.0), kind="remark", snares={"values": {"knob": 11.0, "butt": 1.0}})
    (said,) = (one for one in check(desk, name, top="A3", bottom="D4").remarks if "Snares" in one)
    assert "knob 8 in the preset, but knob 11" in said
    assert "just free" not in said

    log(desk, (0.0, 0.0), kind="remark", snares={"words": "Just  free", "values": {"knob": 8.0}})
    assert not any("Snares" in one for one in check(desk, name, top="A3", bottom="D4").remarks)


def test_of_all_presets_one_that_cannot_be_compared_comes_last(desk: Desk, with_drum: Put) -> None:
    with_drum()
    add_preset(desk, DRUM, {"name": "Centre", "top": {"pitch": "A3", "struck": "centre"}})
    add_preset(desk, DRUM, {"name": "One head", "top": {"pitch": "A3"}})
    add_preset(desk, DRUM, {"name": "Far", "top": {"pitch": "E3"}, "bottom": {"pitch": "A3"}})
    found = check_all(desk, DRUM, top="A3+30", bottom="D4+12")

    assert [one.preset for one in found.comparisons] == ["dry-etude", "one-head", "far", "centre"]
    assert found.nearest is not None
    assert found.nearest.within is False


def test_a_drum_without_presets_is_near_to_none(desk: Desk, with_drum: Put) -> None:
    desk.library.remove_preset(with_drum())

    assert check_all(desk, DRUM, top="A3", bottom=None).nearest is None
