"""Where a drum has been, as its logbook and its presets tell it."""

from datetime import UTC, datetime
from typing import Any

import pytest

from lugbook.desk.responses import day_of
from lugbook.desk.visits import position_known, visits_of, void_sides
from lugbook.records import Count, Drum, Entry, Preset

BEGUN = datetime(2026, 11, 1, 12, tzinfo=UTC)
COUNTS = {"top": "top-1", "bottom": "bottom-1"}


@pytest.fixture
def drum() -> Drum:
    """A drum of ten rods in its second count of the top and its first of the bottom."""
    counts = (
        Count(id="top-0", side="top", since=BEGUN),
        Count(id="top-1", side="top", since=BEGUN),
        Count(id="bottom-1", side="bottom", since=BEGUN),
    )
    return Drum(name="Snare", diameter_in=14, counts=counts)


def entry(day: int, kind: str, stands: tuple[float | None, float | None], /, **more: Any) -> Entry:  # noqa: ANN401 -- whatever an entry's field takes
    return Entry.model_validate(
        {
            "at": datetime(2026, 11, day, 18, tzinfo=UTC),
            "kind": kind,
            "position": dict(zip(("top", "bottom"), stands, strict=True)),
            "count": COUNTS,
            "id": f"202611{day:02}T180000Z-abcdef-aaaa",
            **more,
        }
    )


def preset(**more: Any) -> Preset:  # noqa: ANN401 -- whatever a preset's field takes
    turns = {side: {"amount": 0.5, "count": count} for side, count in COUNTS.items()}
    made = datetime(2026, 11, 3, 18, tzinfo=UTC)
    return Preset.model_validate(
        {"name": "P", "top": {"pitch": "A3"}, "bottom": {"pitch": "E4"}, "turns": turns, "made": made, **more}
    )


def test_a_reading_is_a_visit_with_its_pitches(drum: Drum) -> None:
    """At another concert pitch the note is another frequency, and no recording is surer than 3 cents."""
    read = entry(2, "reading", (0.0, 0.25), a4=442.0, top={"pitch": "A3", "by": "recording", "sd_cents": 1.0})
    (only,) = visits_of(drum, [read], (), struck="rim")

    assert only.position == (0.0, 0.25)
    assert only.hz[0] == pytest.approx(221.0)
    assert only.hz[1] is None
    assert only.sd_cents[0] == 3.0
    assert only.day == day_of(read.at)


@pytest.mark.parametrize(
    "left_out",
    [
        entry(2, "reading", (0.0, 0.0), count={"top": "top-0", "bottom": "bottom-1"}, top={"pitch": "A3"}),
        entry(2, "reading", (0.0, 0.0), count={"top": "top-1"}, top={"pitch": "A3"}),
        entry(2, "reading", (0.0, None), top={"pitch": "A3"}),
        entry(2, "round", (0.0, 0.0), round={"head": "top", "amount": 0.25, "rods_done": "1 6"}),
    ],
    ids=["an older count", "no count", "no position", "amid a round"],
)
def test_what_says_nothing_of_a_position_is_left_out(drum: Drum, left_out: Entry) -> None:
    assert visits_of(drum, [left_out], (), struck="rim") == ()


@pytest.mark.parametrize("reading", [{"struck": "centre"}, {"other_head": "free"}])
def test_a_reading_had_in_another_way_is_a_visit_without_a_pitch(drum: Drum, reading: dict[str, str]) -> None:
    (only,) = visits_of(
        drum, [entry(2, "reading", (0.0, 0.0), top={"pitch": "A3", **reading})], (), struck="rim"
    )

    assert only.hz == (None, None)


def test_a_reading_amid_a_round_tells_of_no_position(drum: Drum) -> None:
    """Five of ten rods are turned when the head is read; taken back, it is read again where it was."""
    log = [
        entry(2, "round", (0.0, 0.0), round={"head": "top", "amount": 0.25, "rods_done": "1 6 3 8 5"}),
        entry(3, "reading", (0.0, 0.0), top={"pitch": "216 Hz"}, bottom={"pitch": "300 Hz"}),
        entry(4, "turn", (0.25, 0.0), top={"pitch": "222 Hz"}),
    ]
    amid, after = visits_of(drum, log, (), struck="rim")

    assert amid.hz == (None, 300.0)
    assert after.hz == (222.0, None)


def test_a_touch_up_moves_the_head_by_its_share_of_all_rods(drum: Drum) -> None:
    """An eighth on one rod of ten is an eightieth on all: the head is nowhere where it was before."""
    log = [
        entry(2, "reading", (0.0, 0.0), top={"pitch": "A3"}),
        entry(3, "touch-up", (0.0, 0.0), touch_up={"head": "top", "rod": 3, "amount": 0.125}),
        entry(4, "reading", (0.0, 0.0), top={"pitch": "A3"}),
    ]
    first, _, last = visits_of(drum, log, (), struck="rim")

    assert first.position == (0.0, 0.0)
    assert last.position == pytest.approx((0.0125, 0.0))


def test_in_single_tension_a_touch_up_moves_both_heads() -> None:
    drum = Drum(
        name="Old", diameter_in=14, tension="single", counts=(Count(id="both-1", side="both", since=BEGUN),)
    )
    both = {"top": "both-1", "bottom": "both-1"}
    touched = entry(
        3, "touch-up", (0.0, 0.0), count=both, touch_up={"head": "top", "rod": 3, "amount": 0.125}
    )
    (only,) = visits_of(drum, [touched], (), struck="rim")

    assert only.position == pytest.approx((0.0125, 0.0125))


def test_a_preset_stands_for_a_visit_that_the_log_does_not_hold(drum: Drum) -> None:
    """In order of time; once its entry is in the log it is not told twice."""
    log = [entry(2, "turn", (0.25, 0.0)), entry(4, "turn", (0.0, 0.0))]
    kept = visits_of(drum, log, [preset()], struck="rim")
    told_once = visits_of(drum, log, [preset(entry=log[0].id)], struck="rim")

    assert [visit.kept for visit in kept] == [False, True, False]
    assert kept[1].position == (0.5, 0.5)
    assert [visit.kept for visit in told_once] == [False, False]
    assert not any(visit.kept for visit in visits_of(drum, log, [preset(made=None)], struck="rim"))


def test_turns_of_a_count_that_is_over_are_void(drum: Drum) -> None:
    old = {"top": {"amount": 0.5, "count": "top-0"}, "bottom": {"amount": 0.5, "count": "bottom-1"}}

    assert void_sides(drum, preset()) == ()
    assert void_sides(drum, preset(turns=old)) == ("top",)
    assert void_sides(drum, preset(turns={"bottom": old["bottom"]})) == ()
    assert void_sides(Drum(name="Bare", diameter_in=14), preset()) == ("top", "bottom")


def test_where_a_head_stands_is_known_from_an_entry_on(drum: Drum) -> None:
    assert position_known(drum, (), "top") is None
    assert position_known(drum, [entry(2, "turn", (0.25, 0.5))], "top") == 0.25
    assert position_known(drum, [entry(2, "turn", (0.25, 0.5))], "bottom") == 0.5
