"""Stories at the bench, listening: what is typed, what is written down, what is shown."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from lugbook.desk import Desk
from lugbook.desk.keeping import edit_preset
from lugbook.records import Entry
from lugbook.sound import Recording

Play = Callable[..., AbstractAsyncContextManager[Any]]
Log = Callable[[Desk], tuple[Entry, ...]]


async def test_the_target_is_shown_until_something_is_heard(
    at_bench: Play, desk: Desk, size: tuple[int, int]
) -> None:
    """The bench opens on the top head, with its target and what to do."""
    async with at_bench(desk, size=size) as stage:
        words = stage.words()

        assert stage.place == "listening"
        assert "Bench Concert snare · Dry étude" in words
        assert "▶ TOP target A3 +4 not heard yet" in words
        assert "BOTTOM target D4 not heard yet" in words
        assert "Damp the other head whole" in words


async def test_a_letter_begins_a_reading_that_is_written_down(
    at_bench: Play, desk: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """Typing A3-8 and enter is a reading of the top head: an entry, cents off, a word."""
    async with at_bench(desk, size=size) as stage:
        await stage.type("A3-8", "enter")
        (entry,) = entries(desk)

        assert entry.top is not None
        assert (entry.kind, entry.top.pitch, entry.top.by, entry.bottom) == ("reading", "A3-8", "typed", None)
        assert "12 flat" in stage.words() or "12 cents flat" in stage.words()
        assert stage.screen.query_one("#off").has_class("-flat")
        assert stage.place == "listening"
        assert stage.screen.query_one("#typed").value == ""


async def test_a_digit_begins_a_frequency(at_bench: Play, desk: Desk, entries: Log) -> None:
    """Typing 221.3 is a reading in hertz."""
    async with at_bench(desk) as stage:
        await stage.type("221.3", "enter")

        assert [entry.top.pitch for entry in entries(desk) if entry.top] == ["221.3 Hz"]
        assert "heard A3 +10" in stage.words()


async def test_both_heads_are_read_and_the_advice_names_the_first(
    at_bench: Play, desk: Desk, entries: Log
) -> None:
    """Tab takes the other head; with both heard the advice begins with the bottom."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3-30", "D4-40")

        assert [entry.reading("bottom") is not None for entry in entries(desk)] == [False, True]
        assert "▶ BOTTOM target D4 heard D4 −40 40 cents flat" in stage.words()
        assert "t turn the bottom head: tighten every rod by" in stage.words()
        assert "Interval: perfect fourth" in str(stage.screen.query_one("#remarks").render())


async def test_within_tolerance_there_is_nothing_to_turn(at_bench: Play, desk: Desk) -> None:
    """In tune is a word and a class; the key that turns is not offered."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4")

        assert "✓ within tolerance: nothing to turn" in stage.words()
        assert stage.screen.query_one("#off").has_class("-in-tune")
        assert "t turn" not in stage.words()


async def test_by_ear_a_note_lies_on_one_side(at_bench: Play, desk: Desk, entries: Log) -> None:
    """One key asks the ear, the arrows say which side."""
    async with at_bench(desk) as stage:
        await stage.press("y")
        assert "by ear on it" in stage.words()
        await stage.type("A3", "down", "down", "enter")
        reading = entries(desk)[0].top

        assert reading is not None
        assert (reading.pitch, reading.by, reading.sd_cents) == ("A3-25", "ear", 25)
        await stage.press("up", "up", "up")
        assert "by ear high side" in stage.words()
        await stage.press("y")
        assert "top head, typed, rim" in stage.words()


async def test_where_the_head_is_struck_is_kept(at_bench: Play, desk: Desk, entries: Log) -> None:
    """A centre stroke is not silently compared with a target read at the rim."""
    async with at_bench(desk) as stage:
        await stage.press("o")
        await stage.type("A3", "enter")
        reading = entries(desk)[0].top

        assert reading is not None
        assert reading.struck == "centre"
        assert "cannot tell" in stage.words()
        await stage.press("o")
        assert "typed, rim" in stage.words()


async def test_a_bad_reading_stays_in_the_line_with_its_error(
    at_bench: Play, desk: Desk, entries: Log, size: tuple[int, int]
) -> None:
    """Nothing typed is lost, nothing is written, and the error is a line."""
    async with at_bench(desk, size=size) as stage:
        await stage.type("A33", "enter")

        assert stage.place == "line"
        assert stage.screen.query_one("#typed").value == "A33"
        assert stage.screen.said.wrong
        assert any(row.strip().startswith("! ") for row in stage.rows())
        assert entries(desk) == ()

        await stage.press("backspace", "enter")
        assert not stage.screen.said.wrong
        assert len(entries(desk)) == 1


async def test_escape_drops_the_line(at_bench: Play, desk: Desk, entries: Log) -> None:
    """A reading that is not wanted is dropped, and the bench stays."""
    async with at_bench(desk) as stage:
        await stage.type("A3", "escape")

        assert (stage.place, entries(desk)) == ("listening", ())
        await stage.press("enter")
        assert stage.place == "line"
        await stage.press("enter")
        assert stage.place == "line"


async def test_what_is_typed_before_the_bench_is_open_is_not_lost(
    play: Play, desk: Desk, entries: Log
) -> None:
    """Keys pressed while the bench opens are the reading all the same."""
    async with play(desk) as stage:
        await stage.pilot.press("down")
        await stage.pilot.press("enter", "A", "3", "minus", "5", "enter")
        await stage.settle()

        assert [entry.top.pitch for entry in entries(desk) if entry.top] == ["A3-5"]


async def test_a_recording_that_cannot_be_read_is_said(at_bench: Play, desk: Desk, entries: Log) -> None:
    """The path stays in the line, the reason is a line."""
    async with at_bench(desk) as stage:
        await stage.press("r")
        assert "recording, top head, rim" in stage.words()
        await stage.type("taps.wav", "enter")

        assert "! There is no recording taps.wav." in stage.words()
        assert stage.screen.query_one("#typed").value == "taps.wav"
        assert entries(desk) == ()


async def test_a_recording_is_listened_to(
    at_bench: Play, desk: Desk, recordings: dict[str, Recording], entries: Log
) -> None:
    """The pitch of a recording is read, written down with its file, and compared."""
    recordings["taps.wav"] = _three_taps(217.0)
    async with at_bench(desk) as stage:
        await stage.press("r")
        await stage.type("taps.wav", "enter")
        reading = entries(desk)[0].top

        assert reading is not None
        assert (reading.by, reading.file) == ("recording", "taps.wav")
        hz = reading.hz(a4_hz=440)
        assert hz == pytest.approx(217.0, rel=0.002)
        assert "heard A3 −24" in stage.words()


async def test_a_click_takes_a_head_to_hand(at_bench: Play, desk: Desk) -> None:
    """The mouse does what tab does."""
    async with at_bench(desk) as stage:
        await stage.click("#head-bottom")

        assert stage.screen.at_hand == "bottom"
        assert "▶ BOTTOM" in stage.words()


async def test_german_names_are_shown_and_read(at_bench: Play, desk: Desk, entries: Log) -> None:
    """H3 is typed and shown; the file says B3."""
    german = replace(desk, user=desk.user.model_copy(update={"note_names": "german"}))
    async with at_bench(german) as stage:
        await stage.type("H3", "enter")

        assert [entry.top.pitch for entry in entries(desk) if entry.top] == ["B3"]
        assert "heard H3 196 cents sharp" in stage.words()


async def test_a_rope_drum_is_compared_and_not_turned(play: Play, desk: Desk) -> None:
    """Pitches work on a rope drum; turns are not offered."""
    async with play(desk) as stage:
        await stage.press("end", "enter")
        assert "Rope drum · Old march" in stage.words()
        await stage.read_both("E3-20", "A3")

        assert "20 cents flat" in stage.words()
        assert "turns are not offered" in stage.words()
        assert "t turn" not in stage.words()


async def test_readings_are_there_again_when_the_bench_is_opened_again(at_bench: Play, desk: Desk) -> None:
    """Escape goes back to the shelf, everything is kept."""
    async with at_bench(desk) as stage:
        await stage.type("A3-8", "enter", "escape")
        assert stage.place == "shelf"
        await stage.press("enter")

        assert "heard A3 −8" in stage.words()
        assert stage.screen.at_hand == "bottom"


async def test_what_does_not_fit_is_scrolled_to(at_bench: Play, desk: Desk) -> None:
    """In the narrow window one key shows the rest, and from the end the beginning again."""
    async with at_bench(desk, size=(42, 18)) as stage:
        await stage.read_both("A3-30", "D4-40")
        assert "m more" in stage.words()
        assert "tighten" not in stage.words()
        await stage.press("m")
        assert "tighten" in stage.words()
        while stage.screen.query_one("#faces").scroll_y:
            await stage.press("m")

        assert "▶ BOTTOM" in stage.words()


def _three_taps(hz: float) -> Recording:
    """Return three decaying strokes whose lowest lines stand in a drum head's ratios."""
    rate = 8000
    ratios, levels, decays = (1.0, 1.5, 1.98, 0.83), (1.0, 0.45, 0.3, 0.1), (0.16, 0.1, 0.08, 0.05)
    time = np.arange(int(0.7 * rate)) / rate
    tap = sum(
        level * np.exp(-time / decay) * np.sin(2 * np.pi * hz * ratio * time)
        for ratio, level, decay in zip(ratios, levels, decays, strict=True)
    )
    quiet = np.zeros(int(0.3 * rate))
    samples = np.concatenate([quiet, *(part for _ in range(3) for part in (tap, quiet))])
    noise = np.random.default_rng(1).normal(0, 1e-4, samples.size)
    samples = (0.3 * samples + noise)[:, None].astype(np.float32)
    return Recording(samples=samples, rate_hz=rate, file="taps.wav")


async def test_what_looks_like_a_slip_is_asked_about(at_bench: Play, desk: Desk, entries: Log) -> None:
    """Another octave is not taken unasked: the line stays open, and the same key again takes it."""
    async with at_bench(desk) as stage:
        await stage.type("a4", "enter")
        assert stage.place == "line"
        assert "an octave above the target" in stage.words()
        assert "enter again: all the same." in stage.words()
        assert entries(desk) == ()

        await stage.press("enter")
        assert [entry.top and entry.top.pitch for entry in entries(desk)] == ["A4"]


async def test_a_slip_can_be_mended_in_its_line(at_bench: Play, desk: Desk, entries: Log) -> None:
    """What is typed anew is another reading, and is asked about on its own."""
    async with at_bench(desk) as stage:
        await stage.type("2210", "enter", "backspace", "enter")

        assert [entry.top and entry.top.pitch for entry in entries(desk)] == ["221 Hz"]


async def test_what_the_ear_said_of_one_pitch_is_not_said_of_the_next(at_bench: Play, desk: Desk) -> None:
    """High side and low side last for one reading, and for one head."""
    async with at_bench(desk) as stage:
        await stage.press("y", "up")
        assert "by ear high side" in stage.words()
        await stage.press("tab")
        assert "bottom head, by ear on it" in stage.words()
        await stage.press("up")
        await stage.type("d4", "enter")
        assert "bottom head, by ear on it" in stage.words()


async def test_how_the_drum_is_set_is_shown(at_bench: Play, desk: Desk, size: tuple[int, int]) -> None:
    """Snares, sticks and words of the preset stand at the bench, before a head is read."""
    setting = {"snares": {"words": "just free", "values": {"knob": 3.5}}, "sticks": "light", "words": "crisp"}
    edit_preset(desk, "concert-snare/dry-etude", setting)
    async with at_bench(desk, size=size) as stage:
        await stage.press("m")
        for said in ("Snares: just free; knob 3.5.", "Sticks: light.", "Sound: crisp."):
            assert said in stage.words()


async def test_another_head_is_shown_from_the_top(at_bench: Play, desk: Desk) -> None:
    """What was scrolled to is left when the head, or the face, changes."""
    async with at_bench(desk, size=(42, 24)) as stage:
        await stage.read_both("A3-60", "D4-40")
        faces = stage.screen.query_one("#faces")
        await stage.press("m")
        assert faces.scroll_y > 0
        await stage.press("tab")
        assert faces.scroll_y == 0
        await stage.press("m", "t")
        assert stage.place == "turning"
        assert faces.scroll_y == 0


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("t", "There is nothing to turn"),
        ("i", "asks for no turn of this head"),
        ("up", "said of a pitch by ear"),
        ("space", "space does nothing here; ? shows the keys."),
        ("z", "z does nothing here; ? shows the keys."),
    ],
)
async def test_a_key_that_does_nothing_says_why(at_bench: Play, desk: Desk, key: str, said: str) -> None:
    """No key is silent at the bench."""
    async with at_bench(desk) as stage:
        await stage.press(key)

        assert said in stage.words()


async def test_help_begins_with_the_place_where_one_is(at_bench: Play, desk: Desk) -> None:
    """While turning, the keys for turning come first."""
    async with at_bench(desk) as stage:
        await stage.read_both("A3+4", "D4-40")
        await stage.press("t", "question_mark")
        words = stage.words()

        assert words.index("Bench, turning") < words.index("rod shown has been turned")
        assert "Bench, listening" not in words[: words.index("Bench, turning")]


async def test_what_is_typed_for_one_head_is_not_carried_over_to_the_other(
    at_bench: Play, desk: Desk, entries: Log
) -> None:
    """With something in the line the head stays; taken or dropped, the other head is free to take."""
    async with at_bench(desk) as stage:
        await stage.type("a3-8", "tab")
        assert stage.screen.at_hand == "top"
        assert "Something is typed for the top head: enter takes it, esc drops it." in stage.words()
        await stage.press("enter", "tab")

        assert stage.screen.at_hand == "bottom"
        assert [entry.top and entry.top.pitch for entry in entries(desk)] == ["A3-8"]
