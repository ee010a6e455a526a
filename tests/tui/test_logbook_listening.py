"""Recordings in the round at the drum: listened to, kept with their file, and given back when they fail."""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Any

import numpy as np
import pytest

from lugbook.desk import Desk
from lugbook.desk.stating import State
from lugbook.desk.trying import try_state
from lugbook.records import Entry, PerHead
from lugbook.sound import Recording

DRUM = "concert-snare"
Play = Callable[..., AbstractAsyncContextManager[Any]]
Log = Callable[[Desk], tuple[Entry, ...]]


@pytest.fixture
def turned(desk: Desk) -> Desk:
    """A search whose second state was turned to, and nothing of it heard yet."""
    try_state(desk, DRUM, State(top="A3", bottom="D4", values={"words": "flat", "context": "dry étude"}))
    try_state(desk, DRUM, State(turn=PerHead(top=-0.25)))
    return desk


def taps_at(hz: float) -> Recording:
    """Return three strokes near the hoop of a made-up head, its lines in a drum head's ratios."""
    rate = 8000
    at = np.arange(int(0.7 * rate)) / rate
    lines = ((1.0, 1.0, 0.16), (1.5, 0.45, 0.1), (1.98, 0.3, 0.08), (0.83, 0.1, 0.05))
    one = sum(
        level * np.exp(-at / decay) * np.sin(2 * np.pi * hz * ratio * at) for ratio, level, decay in lines
    )
    quiet = np.zeros(int(0.3 * rate))
    samples = np.concatenate([quiet, *(part for _ in range(3) for part in (one, quiet))])
    noise = np.random.default_rng(1).normal(0, 1e-4, samples.size)
    return Recording((0.3 * samples + noise)[:, None].astype(np.float32), rate, "taps.wav")


async def test_a_recording_is_listened_to(
    play: Play, turned: Desk, recordings: dict[str, Recording], entries: Log
) -> None:
    """By the rules of the bench's line; then the other head is asked."""
    recordings["taps.wav"] = taps_at(217.0)
    async with play(turned) as stage:
        await stage.press("j")
        await stage.type("taps.wav", "enter")
        assert "bottom head, typed, rim" in stage.words()
        entry = entries(turned)[-1]

    assert entry.top is not None
    assert (entry.kind, entry.top.by, entry.top.file) == ("turn", "recording", "taps.wav")
    assert entry.top.hz(a4_hz=440) == pytest.approx(217.0, rel=0.002)


async def test_a_recording_that_is_not_there_is_said(play: Play, turned: Desk, entries: Log) -> None:
    """The path stays in the line, and nothing is written."""
    async with play(turned) as stage:
        await stage.press("j")
        await stage.type("taps.wav", "enter")

        assert "! There is no recording taps.wav." in stage.words()
        assert stage.screen.query_one("#typed").value == "taps.wav"
        assert stage.place == "trial reading"

    assert len(entries(turned)) == 2
