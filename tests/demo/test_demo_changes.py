"""Silent changes in the demo's library, on a copy of it."""

import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lugbook.cli.main import main

Ask = Callable[..., tuple[int, Any]]

DRY, SOFT, PIT = "concert-snare/dry-etude", "concert-snare/soft-rolls", "concert-snare/opera-pit"


@pytest.fixture
def ask(demo: Path, tmp_path: Path) -> Ask:
    """Run a command on a copy of the demo's library, and give its exit code and JSON."""
    shutil.copytree(demo / "library", tmp_path / "library")
    environment = {"LUGBOOK_LIBRARY": str(tmp_path / "library"), "LUGBOOK_CONFIG": str(tmp_path / "user")}

    def run(*words: str) -> tuple[int, Any]:
        stdout, stderr = io.StringIO(), io.StringIO()
        code = main([*words, "--json"], stdout=stdout, stderr=stderr, environment=environment)
        return code, json.loads(stdout.getvalue() or "null")

    return run


def test_the_dry_etude_becomes_the_soft_rolls_off_the_stand(ask: Ask) -> None:
    """Both heads a quarter down, from 1½ and 2¼ to 1¼ and 2 turns; the search has taught what that does."""
    code, found = ask("change", DRY, SOFT, "--off-stand")

    assert code == 0
    assert [found["turns"][side]["amount"] for side in ("top", "bottom")] == [-0.25, -0.25]
    assert found["returns"] > 0
    assert 3 < found["error_cents"] < 60
    assert found["strainer"] == "as loose as they go; knob 8; butt 0.5"
    assert found["from_here"] is None


def test_on_the_stand_its_bottom_rods_are_out_of_reach(ask: Ask) -> None:
    code, found = ask("change", DRY, SOFT)

    assert code == 0
    assert found["turns"]["top"]["amount"] == -0.25
    assert found["turns"]["bottom"] is None
    assert not found["trusted"]
    assert any("sharp of where turns would bring it" in remark for remark in found["remarks"])


def test_turns_of_the_heads_before_are_void(ask: Ask) -> None:
    """The opera pit was found on the heads before these."""
    code, found = ask("change", DRY, PIT)

    assert code == 1
    assert "another count since 12 October 2026 (new head)" in found["refused"]


def test_a_lost_count_refuses_in_words(ask: Ask) -> None:
    assert ask("change", DRY, SOFT, "--off-stand")[0] == 0
    ask("head", "recount", "concert-snare", "top")
    code, found = ask("change", DRY, SOFT, "--off-stand")

    assert code == 1
    assert "top head is in another count since" in found["refused"]
    assert f"lugbook retune {SOFT}" in found["refused"]


def test_every_pair_of_presets_is_answered_or_refused(ask: Ask, demo: Path) -> None:
    """Whatever is asked of the demo, the turns there are minus the turns back, and what is told is finite."""
    names = [
        f"{path.parents[1].name}/{path.stem}" for path in sorted((demo / "library").glob("drums/*/presets/*"))
    ]
    answered = 0
    for one in names:
        for other in names:
            (code, there), (_, back) = (
                ask("change", one, other, "--off-stand"),
                ask("change", other, one, "--off-stand"),
            )
            assert code == (1 if there["refused"] else 0)
            if there["refused"] or back["refused"]:
                continue
            answered += 1
            for side in ("top", "bottom"):
                assert there["turns"][side]["amount"] == -back["turns"][side]["amount"]
            assert there["error_cents"] is None or there["error_cents"] >= 0

    assert answered > len(names)
