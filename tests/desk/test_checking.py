"""Comparing readings with a preset."""

from collections.abc import Callable

import pytest

from lugbook.desk import Desk
from lugbook.desk.asking import take
from lugbook.desk.checking import check
from lugbook.errors import BadValue, NotFound

Put = Callable[..., str]


def test_a_drum_that_reads_its_targets_is_within(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(), top="A3", bottom="D4")

    assert result.within is True
    assert result.top is not None
    assert result.top.word == "in tune"
    assert result.top.off_cents == pytest.approx(0)


def test_a_flat_head_is_named_with_its_cents(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(), top="A3-14", bottom="D4+3")

    assert result.within is False
    assert result.top is not None
    assert result.bottom is not None
    assert (result.top.word, round(result.top.off_cents)) == ("flat", -14)
    assert (result.bottom.word, round(result.bottom.off_cents)) == ("in tune", 3)


def test_exactly_the_tolerance_is_within(desk: Desk, with_drum: Put) -> None:
    name = with_drum()

    assert check(desk, name, top="A3+10", bottom="D4-10").within is True
    assert check(desk, name, top="A3+10.2", bottom="D4").within is False


def test_by_ear_the_tolerance_is_wider(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(), top="A3 low side", bottom="D4 on it", by="ear")

    assert result.top is not None
    assert result.top.tolerance_cents == 25
    assert result.within is True


def test_the_preset_decides_its_own_tolerance(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(tolerance_cents=4.0), top="A3+5", bottom="D4", by="ear")

    assert result.within is False


def test_a_head_that_was_not_read_leaves_it_open(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(), top="A3", bottom=None)

    assert result.within is None
    assert result.bottom is None
    assert any("bottom head was not read" in remark for remark in result.remarks)


def test_one_head_out_is_no_whatever_the_other_is(desk: Desk, with_drum: Put) -> None:
    assert check(desk, with_drum(), top="A3+30", bottom=None).within is False


def test_readings_had_in_different_ways_are_not_compared(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(), top="A3", bottom="D4", struck="centre")

    assert result.within is None
    assert result.top is not None
    assert result.top.word == "cannot tell"
    assert any("read at the rim, this one at the centre" in remark for remark in result.remarks)


def test_a_target_without_octave_takes_the_nearest(desk: Desk, with_drum: Put) -> None:
    result = check(desk, with_drum(top="B", bottom="F"), top="B2+7", bottom="F5")

    assert result.top is not None
    assert result.top.off_cents == pytest.approx(7)
    assert result.top.target_hz is None
    assert result.within is True


def test_b_over_f_is_a_diminished_fifth(desk: Desk, with_drum: Put) -> None:
    """A 14×4 drum is set to B on top over F on the bottom (common practice, no source)."""
    result = check(desk, with_drum(top="B", bottom="F"), top="B3", bottom="F4")

    assert result.interval.name == "diminished fifth"
    assert result.interval.target_cents == pytest.approx(600)
    assert result.interval.measured_cents == pytest.approx(600)


def test_the_interval_decides_only_where_the_preset_says_so(desk: Desk, with_drum: Put) -> None:
    loose = check(desk, with_drum(), top="A3+8", bottom="D4-8")
    strict = check(desk, with_drum(interval_decides=True), top="A3+8", bottom="D4-8")

    assert loose.within is True
    assert strict.within is False


def test_another_concert_pitch_renames_but_never_moves_a_target(desk: Desk, with_drum: Put) -> None:
    """221 Hz is A3 at 442 Hz, and A3 + 7.85 cents at 440 Hz (A3 = A4/2; 1200·log2(442/440) = 7.85)."""
    name = with_drum(top="221 Hz", a4=442.0)
    result = check(desk, name, top="221.0", bottom="D4")

    assert result.top is not None
    assert result.top.target_hz == 221.0
    assert result.top.note.text() == "A3"
    assert result.top.cents == pytest.approx(0)
    assert result.top.off_cents == pytest.approx(0)


def test_a_missing_preset_names_the_nearest(desk: Desk, with_drum: Put) -> None:
    name = with_drum()

    with pytest.raises(NotFound, match=name):
        check(desk, name[:-1], top="A3", bottom="D4")


def test_an_unknown_note_is_refused(desk: Desk, with_drum: Put) -> None:
    with pytest.raises(BadValue, match="H3"):
        check(desk, with_drum(), top="H3", bottom="D4")


def test_fifty_cents_are_never_told(desk: Desk, with_drum: Put) -> None:
    """Half way is the upper note's −50, also where only rounding to two decimals makes it half way."""
    just_below = 220 * 2 ** (49.998 / 1200)
    result = check(desk, with_drum(), top=f"{just_below:.6f}", bottom="D4")

    assert result.top is not None
    assert (result.top.note.text(), result.top.cents) == ("Bb3", -50.0)


@pytest.mark.parametrize(
    ("targets", "read"), [(("A", "A"), ("A", "A-4")), (("D4", "A3"), ("D", "A")), (("B", "F"), ("B3", "F5"))]
)
def test_an_interval_of_names_is_meant_in_the_nearest_octave(
    desk: Desk, with_drum: Put, targets: tuple[str, str], read: tuple[str, str]
) -> None:
    name = with_drum(top=targets[0], bottom=targets[1], interval_decides=True)
    result = check(desk, name, top=read[0], bottom=read[1])

    assert result.within is True
    assert result.interval.measured_cents == pytest.approx(result.interval.target_cents, abs=5)


def test_a_note_name_alone_is_said_to_be_wide(desk: Desk, with_drum: Put) -> None:
    """A name spans a hundred cents: any of them may be meant, 100/√12 is their standard deviation."""
    name = with_drum()
    alone, exact = check(desk, name, top="A3", bottom=None), check(desk, name, top="A3+0", bottom=None)

    said = "Top head: a note name alone spans 100 cents; its middle is taken."
    assert (said in alone.remarks, said in exact.remarks) == (True, False)
    assert take(desk, "A3", a4_hz=440.0).reading.sd_cents == pytest.approx(100 / 12**0.5, abs=0.05)
    assert take(desk, "A3+0", a4_hz=440.0).reading.sd_cents == 10
    assert take(desk, "A3", a4_hz=440.0, by="ear").reading.sd_cents == 25


@pytest.mark.parametrize("target", ["A3", "A", "220 Hz"])
def test_reading_and_target_are_named_at_one_concert_pitch(desk: Desk, with_drum: Put, target: str) -> None:
    """At 442 Hz all that is meant at 440 lies 7.85 cents lower (1200·log2(442/440))."""
    result = check(desk, with_drum(top=target), top="A3-7.85", bottom=None, a4_hz=442.0).top

    assert result is not None
    assert (result.target_note.letter, result.note.letter) == ("A", "A")
    assert result.target_cents == pytest.approx(-7.85, abs=0.01)
    assert result.cents == pytest.approx(result.target_cents, abs=0.01)
    assert result.off_cents == pytest.approx(0, abs=0.01)
    assert result.target.startswith("A")


def test_a_torn_drum_is_compared_all_the_same(desk: Desk, with_drum: Put) -> None:
    """Its pitches lie in the preset; only why it is off cannot be told then."""
    name = with_drum()
    torn = desk.library.root / "drums" / "concert-snare" / "drum.toml"
    torn.write_text('name = "torn', encoding="utf-8")
    found = check(desk, name, top="A3-40", bottom="D4")

    assert found.within is False
    assert found.top is not None
    assert round(found.top.off_cents) == -40
    assert found.why is not None
    assert found.why.cause is None
    assert "cannot be read" in found.why.says
    assert any("drum.toml" in one for one in found.why.evidence)
