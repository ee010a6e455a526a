"""The command line on a copy of the demo's library: every drum and preset of an invented player."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DEMO = Path(__file__).parents[2] / "demo" / "library"


@pytest.fixture
def demo(cli: Cli, library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return cli


@pytest.mark.usefixtures("demo")
def test_every_file_of_the_demo_is_good(ask: Ask) -> None:
    """`verify` finds nothing."""
    code, found = ask("verify")

    assert (code, found["problems"]) == (0, [])


def test_every_preset_can_be_shown_checked_and_retuned(demo: Cli, ask: Ask) -> None:
    """With its own targets as readings each preset answers, and is never called out of tune."""
    _, found = ask("presets")

    assert found["presets"]
    for row in found["presets"]:
        by = ask("preset", "show", row["id"])[1]["top"]
        readings = ("--top", row["top"], "--bottom", row["bottom"], "--struck", by["struck"])
        code, compared = ask("check", row["id"], *readings)
        assert (code, compared["within"]) == (0, True), row["id"]
        code, retuned = ask("retune", row["id"], *readings)
        assert code == (0 if ask("drum", "show", row["drum"])[1]["tension"] != "rope" else 1)
        assert retuned["steps"] == []
        assert demo("preset", "show", row["id"])[0] == 0


def test_every_drum_can_be_shown(demo: Cli, ask: Ask) -> None:
    """Each drum and head is shown in rows."""
    for row in ask("drums")[1]["drums"]:
        assert demo("drum", "show", row["drum"])[0] == 0
        for head in ask("heads", row["drum"])[1]["heads"]:
            assert demo("head", "show", row["drum"], head["id"])[0] == 0
