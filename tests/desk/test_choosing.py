"""The player hears another line than the one read: what is written down, and what follows for later."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pytest

from lugbook.desk import Desk, bench
from lugbook.desk.asking import Taken
from lugbook.desk.choosing import choose, lines_heard
from lugbook.desk.expecting import expected, take_of
from lugbook.desk.fitting import add_head
from lugbook.desk.keeping import edit_preset
from lugbook.desk.listening import listen_to
from lugbook.errors import BadValue, NotPossible, Stopped, StrikeUnreadable
from lugbook.heads import Alternative
from lugbook.records import Entry
from lugbook.sound import Recording

Put = Callable[..., str]

RATE_HZ = 8000
LINES = ((0.8, 0.4, 0.12), (1.0, 1.0, 0.16), (1.5, 0.5, 0.1), (1.98, 0.3, 0.08))
"""Ratio to the pitch near the hoop, level, and decay in seconds to 1/e of each line of a made-up head."""


def taps(hz: float, *, number: int = 2) -> Recording:
    """Return strokes near the hoop of a head that sounds at *hz*."""
    at = np.arange(int(0.7 * RATE_HZ)) / RATE_HZ
    one = sum(
        level * np.exp(-at / decay_s) * np.sin(2 * np.pi * hz * ratio * at) for ratio, level, decay_s in LINES
    )
    quiet = np.zeros(int(0.3 * RATE_HZ))
    samples = np.concatenate([quiet, *(part for _ in range(number) for part in (one, quiet))])
    noise = np.random.default_rng(1).normal(0, 1e-4, samples.size)
    return Recording((0.3 * samples + noise)[:, None].astype(np.float32), RATE_HZ, "taps.wav")


@pytest.fixture
def at_drum(desk: Desk, sound: Any, with_drum: Put) -> bench.Bench:  # noqa: ANN401 -- a fixture's own class
    """The bench with the top head read from a recording; the preset's target for it is a bare note name."""
    sound.recordings |= {"taps.wav": taps(217.0), "higher.wav": taps(221.0), "other.wav": taps(217.0)}
    name = with_drum(top="A")
    return bench.read(desk, bench.sit_down(desk, name), "top", "taps.wav")


def log(desk: Desk) -> tuple[Entry, ...]:
    return desk.library.log("concert-snare").entries


def centre_line(taken: Taken | None) -> float:
    """Return the frequency of the line at 0.8 of the pitch near the hoop."""
    assert taken is not None
    return next(line.hz for line in lines_heard(taken) if abs(line.hz - 0.8 * 217.0) < 2)


def test_the_choice_takes_the_place_of_the_reading(desk: Desk, at_drum: bench.Bench) -> None:
    """One entry, corrected: the chosen pitch, marked, all else as it was; the bench compares with it."""
    (before,) = log(desk)
    chosen = choose(desk, at_drum, "top", centre_line(at_drum.top))
    (after,) = log(desk)

    assert before.top is not None
    assert after.top is not None
    assert before.top.hz(a4_hz=440) == pytest.approx(217.0, rel=1e-3)
    assert after.top.hz(a4_hz=440) == pytest.approx(0.8 * 217.0, rel=2e-3)
    assert (before.top.chosen, after.top.chosen) == (False, True)
    assert after.corrects == before.id
    assert (after.at, after.position, after.preset) == (before.at, before.position, before.preset)
    assert (after.top.file, after.top.by, after.top.struck) == ("taps.wav", "recording", "rim")
    assert after.top.sd_cents >= before.top.sd_cents
    assert chosen.top is not None
    assert chosen.comparison is not None
    assert chosen.comparison.top is not None
    assert chosen.comparison.top.measured_hz == chosen.top.hz


def test_a_choice_can_be_made_again(desk: Desk, at_drum: bench.Bench) -> None:
    """The first reading can be chosen back; the log still holds one reading."""
    first = at_drum.top.hz if at_drum.top is not None else None
    assert first is not None
    chosen = choose(desk, at_drum, "top", centre_line(at_drum.top))
    back = choose(desk, chosen, "top", first)
    (entry,) = log(desk)

    assert back.top is not None
    assert back.top.hz == pytest.approx(first, abs=1e-3)
    assert entry.top is not None
    assert entry.top.chosen


def test_after_a_choice_a_recording_is_listened_to_near_it(desk: Desk, at_drum: bench.Bench) -> None:
    """The next recording of this head is read where the choice says, and it is said."""
    choose(desk, at_drum, "top", centre_line(at_drum.top))
    taken = take_of(desk, "concert-snare", "top", "other.wav", a4_hz=440.0)

    assert taken.heard is not None
    assert taken.heard.near_hz == pytest.approx(0.8 * 217.0, rel=2e-3)
    assert f"Listened for near {taken.heard.near_hz:.1f} Hz" in taken.remarks[-1]
    assert "that you chose on 2026-11-25" in taken.remarks[-1]
    other = take_of(desk, "concert-snare", "bottom", "other.wav", a4_hz=440.0)
    assert other.heard is not None
    assert other.heard.near_hz is None


def test_later_readings_carry_the_choice_along(desk: Desk, at_drum: bench.Bench) -> None:
    """A reading after the choice is where the pitch is expected then: it moves as the head is turned."""
    chosen = choose(desk, at_drum, "top", centre_line(at_drum.top))
    moved = bench.read(desk, chosen, "top", "178.5 Hz")
    bench.read(desk, moved, "top", "A")  # a bare name says nothing
    drum = desk.library.drum("concert-snare").record
    found = expected(drum, log(desk), "top", struck="rim")

    assert found is not None
    assert found.hz == pytest.approx(178.5)
    assert expected(drum, log(desk), "top", struck="centre") is None
    assert expected(drum, log(desk), "bottom", struck="rim") is None


def test_without_a_choice_nothing_is_expected(desk: Desk, at_drum: bench.Bench) -> None:
    """Earlier readings that nobody chose say nothing."""
    drum = desk.library.drum("concert-snare").record

    assert at_drum.top is not None
    assert expected(drum, log(desk), "top", struck="rim") is None


def test_a_target_goes_before_a_choice(desk: Desk, at_drum: bench.Bench) -> None:
    """Where the preset names a pitch with its octave, that is expected."""
    choose(desk, at_drum, "top", centre_line(at_drum.top))
    edit_preset(desk, at_drum.name, {"top": {"pitch": "A3"}})
    again = bench.take(desk, bench.sit_down(desk, at_drum.name), "top", "other.wav")

    assert again.heard is not None
    assert again.heard.near_hz == 220.0
    assert not any("Listened for" in remark for remark in again.remarks)


@pytest.mark.parametrize("later", [timedelta(minutes=2), timedelta(days=3)])
def test_a_new_head_knows_of_no_choice(
    desk: Desk,
    at_drum: bench.Bench,
    clock: Any,  # noqa: ANN401 -- a fixture's own class
    later: timedelta,
) -> None:
    """What was chosen on the head before is past, on the same day too."""
    choose(desk, at_drum, "top", centre_line(at_drum.top))
    clock.moment += later
    add_head(desk, "concert-snare", "top", {"film_mil": 10})
    drum = desk.library.drum("concert-snare").record

    assert expected(drum, log(desk), "top", struck="rim") is None


def test_a_pitch_in_no_tap_is_kept_as_less_certain(desk: Desk, at_drum: bench.Bench) -> None:
    """An alternative that is a line of none of the taps has ten cents for its uncertainty."""
    assert at_drum.top is not None
    assert at_drum.top.heard is not None
    hearing = at_drum.top.heard.hearing
    assert hearing.reading is not None
    reading = replace(hearing.reading, alternatives=(Alternative(500.0, "another"),))
    heard = replace(at_drum.top.heard, hearing=replace(hearing, reading=reading))
    chosen = choose(desk, replace(at_drum, top=replace(at_drum.top, heard=heard)), "top", 500.0)

    assert chosen.top is not None
    assert (chosen.top.hz, chosen.top.reading.sd_cents) == (500.0, 10.0)


def test_what_cannot_be_chosen_is_refused(desk: Desk, at_drum: bench.Bench) -> None:
    """A line that is not there, a head that was not read, a reading that is no recording or was taken up."""
    with pytest.raises(BadValue, match=r"No line at 999\.0 Hz"):
        choose(desk, at_drum, "top", 999.0)
    with pytest.raises(NotPossible, match="bottom head was not read"):
        choose(desk, at_drum, "bottom", 217.0)
    taken_up = bench.sit_down(desk, at_drum.name)
    assert taken_up.top is not None
    assert lines_heard(taken_up.top) == ()
    with pytest.raises(NotPossible, match="from no recording"):
        choose(desk, taken_up, "top", 217.0)
    typed = bench.read(desk, at_drum, "top", "217 Hz")
    with pytest.raises(NotPossible, match="from no recording"):
        choose(desk, typed, "top", 217.0)


def test_a_reading_that_was_struck_out_meanwhile_is_not_corrected(desk: Desk, at_drum: bench.Bench) -> None:
    """Somebody corrected it elsewhere: nothing is written, and the player is told."""
    (entry,) = log(desk)
    void = {"corrects": entry.id, "void": True, "id": desk.library.new_entry_id()}
    desk.library.append("concert-snare", entry.model_copy(update=void))

    with pytest.raises(NotPossible, match="changed elsewhere"):
        choose(desk, at_drum, "top", centre_line(at_drum.top))
    assert log(desk) == ()


def test_taking_writes_nothing_and_tells_how_far_it_is(desk: Desk, at_drum: bench.Bench) -> None:
    """The share rises from 0 to 1; only keeping makes an entry."""
    shares: list[float] = []
    before = log(desk)
    taken = bench.take(desk.telling(shares.append), at_drum, "bottom", "higher.wav")

    assert log(desk) == before
    assert shares == sorted(shares)
    assert all(0 <= share <= 1 for share in shares)
    assert len(shares) >= 3
    kept = bench.keep(desk, at_drum, "bottom", taken, insisted=True)
    assert len(log(desk)) == len(before) + 1
    assert kept.bottom is not None
    assert kept.bottom.entry_id == log(desk)[-1].id


@pytest.mark.parametrize("after", [0.0, 0.05, 0.2])
def test_a_listening_that_is_stopped_leaves_nothing(desk: Desk, at_drum: bench.Bench, after: float) -> None:
    """What the progress raises ends it, in reading the file as in listening to it."""
    before = log(desk)

    def told(share: float) -> None:
        if share >= after:
            raise Stopped("Stopped.")

    with pytest.raises(Stopped):
        bench.read(desk.telling(told), at_drum, "top", "higher.wav")
    assert log(desk) == before


def test_a_refused_recording_has_its_level_all_the_same(desk: Desk, sound: Any) -> None:  # noqa: ANN401 -- a fixture's own class
    """Listening gives what a picture needs; taking a reading refuses."""
    quiet = np.zeros((RATE_HZ, 1), dtype=np.float32)
    sound.recordings["quiet.wav"] = Recording(quiet, RATE_HZ, "quiet.wav")
    found = listen_to(desk, "quiet.wav", near=None, struck="rim", a4_hz=440.0)

    assert found.hearing.refused is not None
    assert found.levels.seconds == 1.0
    with pytest.raises(StrikeUnreadable, match=r"quiet\.wav"):
        take_of(desk, "concert-snare", "top", "quiet.wav", a4_hz=440.0, near_hz=220.0)
