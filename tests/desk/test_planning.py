"""The plan of a concert: items as a running order, silent changes as its steps, what would have to give."""

from typing import Protocol

import pytest

from lugbook.desk import Desk
from lugbook.desk.asked import HAVING_S, LATER_S, NEAREST_S, RISK_S
from lugbook.desk.changing import change, planned_change
from lugbook.desk.concerts import add_concert
from lugbook.desk.fitting import add_head
from lugbook.desk.journal import with_counts, write
from lugbook.desk.keeping import add_drum, add_preset, remove_preset
from lugbook.desk.pieces import add_piece
from lugbook.desk.planning import plan_concert
from lugbook.desk.plans import ConcertPlan, window_text
from lugbook.desk.running import Put
from lugbook.records import PerHead

Items = tuple[dict[str, object], ...]
SNARE, FIELD = "snare", "field-drum"


def drum(desk: Desk, name: str, **presets: tuple[float, float, str]) -> str:
    """Put a drum on the shelf with presets, each (turns of the top, of the bottom, its music)."""
    drum_id = add_drum(desk, {"name": name, "diameter_in": 14}).id
    stored = desk.library.drum(drum_id)
    record = with_counts(desk, stored.record)
    desk.library.save_drum(stored, record)
    top, bottom = record.count_of("top"), record.count_of("bottom")
    assert top is not None
    assert bottom is not None
    for preset, (up, down, music) in presets.items():
        add_preset(
            desk,
            drum_id,
            {
                "name": preset,
                "contexts": [music],
                "made": desk.now(),
                "top": {"pitch": "A3"},
                "bottom": {"pitch": "D4"},
                "turns": {
                    "top": {"amount": up, "count": top.id},
                    "bottom": {"amount": down, "count": bottom.id},
                },
            },
        )
    return drum_id


@pytest.fixture
def stocked(desk: Desk) -> Desk:
    """Two drums of two presets each, that differ by a quarter turn of the top head."""
    drum(desk, "Snare", dry=(0.0, 0.0, "dry étude"), open=(0.25, 0.0, "light march"))
    drum(desk, "Field drum", far=(0.0, 0.0, "soft rolls"), near=(0.25, 0.0, "light march"))
    return desk


def concert(desk: Desk, *items: dict[str, object], **values: object) -> str:
    named = [{"title": f"Item {number}"} | item for number, item in enumerate(items, 1)]
    return add_concert(desk, {"name": "Evening", **values}, [Put(item) for item in named]).id


def presets(plan: ConcertPlan) -> list[tuple[str, ...]]:
    return [item.presets for item in plan.items]


class Ticking(Protocol):
    def forward(self, **by: float) -> None: ...


TIGHTEN_S = 10 * 3.0
"""Ten rods at three seconds each, one pass (`lugbook.desk.pacing`)."""


def test_a_fixed_state_after_another_is_a_silent_change_in_the_pause(stocked: Desk) -> None:
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 45},
        {"presets": [f"{SNARE}/open"]},
    )
    plan = plan_concert(stocked, slug)

    assert plan.fits
    assert plan.exact
    (one,) = plan.changes
    assert (one.drum, one.from_preset, one.to_preset, one.before) == (SNARE, "dry", "open", 2)
    assert (one.window.after, one.window.rest, one.window.seconds) == (1, None, 45)
    assert one.change.moves == {"top": 0.25}
    assert plan.work_s == plan.least_work_s == one.change.seconds == TIGHTEN_S
    assert [(setting.drum, setting.preset, setting.before) for setting in plan.before_doors] == [
        (SNARE, "dry", 1)
    ]
    chance = one.change.chance or 0.0
    assert plan.cost_s == pytest.approx(TIGHTEN_S + RISK_S * (1 - chance) + HAVING_S)


def test_a_change_that_is_planned_does_not_ask_where_the_drum_stands_today(stocked: Desk) -> None:
    record = stocked.library.drum(SNARE).record
    write(stocked, SNARE, record, {"kind": "turn"}, position=PerHead(top=3.0, bottom=2.0))

    now = change(stocked, f"{SNARE}/dry", f"{SNARE}/open")
    then = planned_change(stocked, f"{SNARE}/dry", f"{SNARE}/open")

    assert any("stands at 3" in why for why in now.why_not_trusted)
    assert not any("stands" in why for why in then.why_not_trusted)
    assert then.from_here is None
    assert then.moves == now.moves == {"top": 0.25}


def test_of_what_is_for_the_music_a_second_drum_that_stands_ready_is_taken(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"], "after_s": 600}, {"contexts": ["light march"]})
    assert presets(plan_concert(stocked, slug)) == [(f"{SNARE}/dry",), (f"{FIELD}/near",)]

    alone = plan_concert(stocked, slug, drums_most=1)
    assert presets(alone) == [(f"{SNARE}/dry",), (f"{SNARE}/open",)]
    assert alone.fits


def test_the_stage_of_the_concert_limits_the_drums(stocked: Desk) -> None:
    items: Items = ({"presets": [f"{SNARE}/dry"], "after_s": 10}, {"contexts": ["light march"]})
    plan = plan_concert(stocked, concert(stocked, *items, stage_drums=1))

    assert not plan.fits
    assert [one.seconds for one in plan.missing] == [TIGHTEN_S - 10]
    assert plan.short == (
        "The pause after item 1 lasts 0:10; what is to be changed there takes 0:30: 0:20 more would do.",
        "With 2 drums on the stage it fits.",
    )


def test_the_pace_of_the_concert_counts(stocked: Desk) -> None:
    items: Items = ({"presets": [f"{SNARE}/dry"], "after_s": 45}, {"presets": [f"{SNARE}/open"]})

    assert plan_concert(stocked, concert(stocked, *items, pace=4.0)).work_s == 40
    assert not plan_concert(stocked, concert(stocked, *items, pace=5.0)).fits


def test_a_piece_rests_long_enough_to_change_the_other_drum(stocked: Desk) -> None:
    piece = add_piece(
        stocked,
        {
            "title": "Waltz",
            "presets": [f"{FIELD}/far"],
            "part": {"rests": [{"seconds": 20}, {"bar_from": 12, "bar_to": 40, "seconds": 50}]},
        },
    )
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 5},
        {"title": "", "piece": piece.id, "after_s": 5},
        {"presets": [f"{SNARE}/open"]},
    )
    plan = plan_concert(stocked, slug)

    assert plan.fits
    assert [window_text(one.window) for one in plan.changes] == ["the rest in item 2, bars 12-40"]
    assert plan.in_window(plan.changes[0].window) == plan.changes


def test_a_speech_is_a_window(stocked: Desk) -> None:
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 5},
        {"tacet": True, "seconds": 240, "after_s": 5},
        {"presets": [f"{SNARE}/open"]},
    )
    assert [window_text(one.window) for one in plan_concert(stocked, slug).changes] == ["the rest in item 2"]


def test_two_drums_in_one_item_both_stand_ready(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry", f"{FIELD}/far"]})

    plan = plan_concert(stocked, slug)
    assert presets(plan) == [(f"{SNARE}/dry", f"{FIELD}/far")]
    assert plan.drums == (SNARE, FIELD)
    one = plan_concert(stocked, slug, drums_most=1)
    assert one.short[0].endswith("would take a drum more than there is room for.")
    assert one.short[1] == "With 2 drums on the stage it fits."


def test_the_first_choice_is_taken_and_a_later_one_where_it_saves_a_change(stocked: Desk) -> None:
    slug = concert(stocked, {"contexts": ["light march"]})
    assert presets(plan_concert(stocked, slug)) == [(f"{FIELD}/near",)]

    slug = concert(stocked, {"presets": [f"{SNARE}/open"], "after_s": 600}, {"contexts": ["light march"]})
    plan = plan_concert(stocked, slug)
    assert presets(plan) == [(f"{SNARE}/open",)] * 2
    assert plan.cost_s == HAVING_S + LATER_S


def test_only_the_nearest_serves_and_is_said(stocked: Desk) -> None:
    plan = plan_concert(stocked, concert(stocked, {"contexts": ["soft march"]}))

    assert plan.items[0].remarks == (f"Item 1: {plan.items[0].presets[0]} is only the nearest.",)
    assert plan.cost_s == NEAREST_S + HAVING_S


def test_an_item_that_no_drum_can_serve_is_said_and_the_rest_is_planned(stocked: Desk) -> None:
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 45},
        {"contexts": ["gamelan"], "after_s": 5},
        {"presets": [f"{SNARE}/open"]},
    )
    plan = plan_concert(stocked, slug)

    assert not plan.fits
    assert presets(plan) == [(f"{SNARE}/dry",), (), (f"{SNARE}/open",)]
    assert len(plan.changes) == 1
    (said,) = plan.short
    assert said == ("No preset of a drum that travels serves item 2. Name a preset for it, or its music.")


def test_items_that_nothing_serves_are_told_in_one_sentence(stocked: Desk) -> None:
    slug = concert(stocked, *({"contexts": ["gamelan"], "after_s": 5},) * 2, {"presets": [f"{SNARE}/dry"]})

    (said,) = plan_concert(stocked, slug).short
    assert said.startswith(
        "No preset of a drum that travels serves the items 1 and 2. Name a preset for each"
    )


def test_a_preset_that_has_gone_serves_nothing(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"]})
    remove_preset(stocked, f"{SNARE}/dry")

    plan = plan_concert(stocked, slug)
    assert not plan.fits
    assert presets(plan) == [()]
    assert plan.short == ("Item 1, Item 1: snare/dry is not there, or its drum does not travel.",)


def test_of_two_drums_in_one_item_the_one_that_is_missing_is_named(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry", f"{FIELD}/far"]})
    remove_preset(stocked, f"{FIELD}/far")

    plan = plan_concert(stocked, slug)
    assert presets(plan) == [(f"{SNARE}/dry",)]
    assert plan.short == ("Item 1, Item 1: field-drum/far is not there, or its drum does not travel.",)


def test_a_drum_that_stays_at_home_serves_nothing(stocked: Desk) -> None:
    plan = plan_concert(stocked, concert(stocked, {"presets": [f"{SNARE}/dry"]}, drums=[FIELD]))

    assert not plan.fits
    assert "Item 1: the drum snare does not travel." in plan.remarks


def test_across_a_head_change_no_silent_change_is_planned(stocked: Desk, clock: Ticking) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"], "after_s": 900}, {"presets": [f"{SNARE}/open"]})
    clock.forward(days=1)
    add_head(stocked, SNARE, "top", {"material": "film"})

    plan = plan_concert(stocked, slug)
    assert not plan.fits
    assert plan.changes == ()
    assert " cannot be had there. The top head is in another count since " in plan.short[0]
    assert "so the turns of " in plan.short[0]


def test_with_no_change_allowed_one_state_serves_an_audition(stocked: Desk) -> None:
    excerpts = [{"contexts": ["light march"], "after_s": 60}] * 3
    plan = plan_concert(stocked, concert(stocked, *excerpts), changes_most=0)

    assert plan.fits
    assert plan.changes == ()
    assert len(set(presets(plan))) == 1


def test_as_many_changes_as_it_takes_are_named(stocked: Desk) -> None:
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 60},
        {"presets": [f"{SNARE}/open"], "after_s": 90},
        {"presets": [f"{SNARE}/dry"]},
    )
    plan = plan_concert(stocked, slug, changes_most=0)

    assert not plan.fits
    assert plan.short[-1] == "With 2 changes it fits."
    assert "snare/open would take a change more than is allowed" in " ".join(plan.short)


def test_a_round_that_is_open_today_does_not_matter_on_the_evening(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"], "after_s": 45}, {"presets": [f"{SNARE}/open"]})
    record = stocked.library.drum(SNARE).record
    left = {"kind": "round", "round": {"head": "top", "amount": 0.25, "done": [1]}}
    write(stocked, SNARE, record, left, position=PerHead(top=0.0, bottom=0.0))

    assert change(stocked, f"{SNARE}/dry", f"{SNARE}/open").refused is not None
    assert plan_concert(stocked, slug).fits


def test_many_presets_that_cannot_be_had_are_told_in_a_short_sentence(stocked: Desk) -> None:
    drum(stocked, "Other", **{f"p{number}": (0.0, 0.0, "light march") for number in range(30)})
    slug = concert(
        stocked,
        {"presets": [f"{SNARE}/dry"], "after_s": 5},
        {"contexts": ["light march"]},
        drums=[SNARE, "other"],
        stage_drums=1,
    )

    plan = plan_concert(stocked, slug, changes_most=0)
    assert not plan.fits
    assert all(len(said) < 400 for said in plan.short)
    assert "more" in plan.short[0]


def test_plans_with_fewer_and_more_drums_are_compared(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"], "after_s": 45}, {"contexts": ["light march"]})
    (other,) = plan_concert(stocked, slug, compare=True).others

    assert other.what == "with 1 drum on the stage"
    assert other.fits
    assert (other.changes, other.work_s, other.drums) == (1, TIGHTEN_S, (SNARE,))
    assert plan_concert(stocked, slug).others == ()

    short = concert(stocked, {"presets": [f"{SNARE}/dry"], "after_s": 10}, {"contexts": ["light march"]})
    (other,) = plan_concert(stocked, short, compare=True).others
    assert not other.fits
    assert other.missing_s == TIGHTEN_S - 10


def test_no_time_said_is_no_time_planned_with(stocked: Desk) -> None:
    slug = concert(stocked, {"presets": [f"{SNARE}/dry"]}, {"presets": [f"{SNARE}/open"]})
    plan = plan_concert(stocked, slug)

    assert [one.seconds for one in plan.missing] == [TIGHTEN_S]
    assert "Where no time is said, none is planned with." in plan.remarks


def test_a_concert_without_items_is_planned(stocked: Desk) -> None:
    plan = plan_concert(stocked, concert(stocked))

    assert plan.fits
    assert "It has no items yet." in plan.remarks
