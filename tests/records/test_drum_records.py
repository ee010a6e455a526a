"""Records of drums: what is allowed, what is on now."""

from datetime import date, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from lugbook.records import SIDES, Count, Drum, Head, Side, Strainer, Wires

SINCE = "2026-05-03T10:00:00+02:00"


def _drum(**fields: Any) -> Drum:  # noqa: ANN401 -- any field of Drum
    return Drum.model_validate({"name": "Field", "diameter_in": 14, **fields})


def _head(id: str, side: str = "top", **fields: Any) -> dict[str, Any]:  # noqa: A002, ANN401 -- named as the field is; any field
    return {"id": id, "side": side, "on": "2026-05-03", **fields}


def test_a_drum_needs_a_name_and_a_diameter_and_nothing_else() -> None:
    drum = _drum()

    assert (drum.tension, drum.top, drum.bottom, drum.strainer) == ("separate", Side(), Side(), Strainer())
    assert drum.thread_mm == pytest.approx(1.0583, abs=1e-4), "24 threads to the inch"
    assert drum.format == 1


def test_a_record_cannot_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        _drum().name = "Other"  # type: ignore[misc]  # the fact that is proven


def test_each_side_has_its_own_build() -> None:
    drum = _drum(top={"rods": 8}, bottom={"rods": 10, "snare_bed_rods": [1, 6]})

    assert [drum.side(side).rods for side in SIDES] == [8, 10]
    assert drum.side("bottom").snare_bed_rods == (1, 6)


def test_the_head_that_is_on_is_the_last_not_taken_off() -> None:
    drum = _drum(
        heads=[_head("top-1", off="2026-06-01"), _head("top-2"), _head("top-3"), _head("b", "bottom")]
    )

    assert drum.head_on("top") == Head.model_validate(_head("top-3"))
    assert drum.head_on("bottom") == Head.model_validate(_head("b", "bottom"))
    assert _drum(heads=[_head("top-1", off="2026-06-01")]).head_on("top") is None
    assert drum.heads[0].off == date(2026, 6, 1)


def test_the_count_of_a_head_is_its_last() -> None:
    counts = [{"id": f"{side}-{n}", "side": side, "since": SINCE} for side in SIDES for n in (1, 2)]
    drum = _drum(counts=counts)

    assert drum.count_of("top") == Count.model_validate(counts[1])
    assert drum.count_of("bottom") == Count.model_validate(counts[3])
    assert _drum().count_of("top") is None


def test_on_a_drum_of_single_tension_one_count_is_that_of_both_heads() -> None:
    drum = _drum(tension="single", counts=[{"id": "both-1", "side": "both", "since": SINCE}])

    assert drum.count_of("top") == drum.count_of("bottom") == drum.counts[0]


@pytest.mark.parametrize(("tension", "offered"), [("separate", True), ("single", True), ("rope", False)])
def test_turns_are_offered_where_there_are_rods(tension: str, offered: bool) -> None:
    assert _drum(tension=tension).turns_offered is offered


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"heads": [_head("top-1"), _head("top-1")]}, "the id 'top-1' stands twice among heads"),
        ({"wires": [{"id": "w"}, {"id": "w"}]}, "the id 'w' stands twice among wires"),
        (
            {"counts": [{"id": "a", "side": "top", "since": SINCE}] * 2},
            "the id 'a' stands twice among counts",
        ),
        (
            {"counts": [{"id": "a", "side": "both", "since": SINCE}]},
            "the count 'a' has side 'both' on a drum of separate tension",
        ),
        (
            {"tension": "single", "counts": [{"id": "a", "side": "top", "since": SINCE}]},
            "the count 'a' has side 'top' on a drum of single tension",
        ),
        ({"counts": [{"id": "a", "side": "top", "since": "2026-05-03T10:00:00"}]}, "has no offset from UTC"),
        ({"diameter_in": 5.9}, "greater than or equal to 6"),
        ({"diameter_in": float("nan")}, "finite number"),
        ({"top": {"hz_max": float("inf")}}, "finite number"),
        ({"top": {"rods": 25}}, "less than or equal to 24"),
        ({"top": {"snare_bed_rods": [0]}}, "greater than or equal to 1"),
        ({"top": {"turns_max": 0.3}}, "no multiple of 1/64"),
        ({"name": ""}, "at least 1 character"),
        ({"name": "a\nb"}, "line break"),
        ({"name": "a\rb"}, "line break"),
        ({"maker": "x" * 2001}, "at most 2000 characters"),
        ({"heads": [_head("a", material="goat")]}, "'film', 'aramid' or 'calf'"),
    ],
)
def test_what_no_drum_can_be(fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        _drum(**fields)


def test_keys_that_are_not_known_are_kept_and_told() -> None:
    drum = _drum(badge="oval", top={"hoop": "wood"})

    assert drum.unknown_keys() == ("badge",)
    assert drum.top.unknown_keys() == ("hoop",)
    assert drum.bottom.unknown_keys() == ()


def test_wires_are_kept_like_a_head() -> None:
    wires = Wires(id="w", kind="gut", strands=8, since=date(2026, 5, 3))

    assert (wires.place, wires.off) == ("bottom", None)


def test_a_note_may_have_many_lines() -> None:
    assert _drum(note="one\ntwo").note == "one\ntwo"


def test_a_count_knows_its_moment() -> None:
    count = Count.model_validate({"id": "a", "side": "top", "since": SINCE})

    assert count.since == datetime.fromisoformat(SINCE)
    assert count.reference == "finger tight"
