"""The demo's round of the rods: it is what the script makes, and Lugbook names the rods that are off."""

import io
import math
import shutil
import wave
from pathlib import Path

import numpy as np
import pytest

from demo_rounds import CENTS, FILE, RATE_OF_ROUNDS_HZ, SECONDS, rounds, true_hz
from lugbook.cli.main import main
from lugbook.heads import RodRound, hear_rods, listen


@pytest.fixture(scope="module")
def heard() -> RodRound:
    return hear_rods(listen(rounds()[FILE] / 32_768, rate_hz=RATE_OF_ROUNDS_HZ).taps, rods=len(CENTS))


def test_the_committed_round_is_the_one_the_script_makes(demo: Path) -> None:
    assert [path.name for path in (demo / "rounds").iterdir()] == [FILE]
    with wave.open(str(demo / "rounds" / FILE), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE_OF_ROUNDS_HZ)
        committed = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(int)

    assert len(committed) == round(SECONDS * RATE_OF_ROUNDS_HZ)
    assert np.max(np.abs(committed - rounds()[FILE].astype(int))) <= 1


def test_lugbook_hears_every_rod_within_three_cents(heard: RodRound) -> None:
    for rod, hz in zip(heard.rods, true_hz(), strict=True):
        assert rod.hz is not None
        assert abs(1200 * math.log2(rod.hz / hz)) < 3


def test_lugbook_names_the_two_rods_that_are_off(heard: RodRound) -> None:
    off = {rod for rod, cents in enumerate(CENTS, 1) if abs(cents) > 10}

    assert {rod.rod for rod in heard.rods if rod.move_cents is not None} == off == {4, 7}


def test_the_readme_shows_the_steps_that_are_advised(demo: Path, tmp_path: Path) -> None:
    shutil.copytree(demo / "library", tmp_path / "library")
    environment = {"LUGBOOK_LIBRARY": str(tmp_path / "library"), "LUGBOOK_CONFIG": str(tmp_path / "user")}
    out = io.StringIO()
    words = ["listen", str(demo / "rounds" / FILE), "--rods", "10", "--drum", "concert-snare"]

    assert main(words, stdout=out, stderr=io.StringIO(), environment=environment) == 0
    readme = (demo.parent / "README.md").read_text(encoding="utf-8")
    steps = [line for line in out.getvalue().splitlines() if line[:2] in ("1.", "2.", "3.", "4.")]
    assert len(steps) == 4
    assert all(f"    {step}\n" in readme for step in steps)
