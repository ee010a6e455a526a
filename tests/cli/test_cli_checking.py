"""`check`: why a drum is not within, and which of its presets it is nearest to."""

from collections.abc import Callable
from typing import Any

import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DRY = "concert-snare/dry-etude"


@pytest.mark.usefixtures("shelf")
def test_within_there_is_no_why(ask: Ask) -> None:
    code, found = ask("check", DRY, "--top", "A3+4", "--bottom", "Eb4")

    assert (code, found["why"]) == (0, None)


@pytest.mark.usefixtures("shelf")
def test_why_has_cause_sentence_evidence_and_what_to_do(ask: Ask) -> None:
    """Nothing was written down before: nobody can tell, and that is said."""
    code, found = ask("check", DRY, "--top", "A3-40", "--bottom", "Eb4")

    assert code == 1
    assert list(found["why"]) == ["cause", "says", "evidence", "then"]
    assert found["why"]["cause"] is None
    assert "no pitch of these counts" in found["why"]["says"]


def test_the_nearest_of_all_presets_is_named_first(shelf: Cli, ask: Ask) -> None:
    shelf("preset", "add", "concert-snare", "Low", "--top", "F3", "--bottom", "C4")
    code, found = ask("check", "concert-snare", "--all", "--top", "F3+6", "--bottom", "C4-4")

    assert code == 0
    assert found["nearest"] == "concert-snare/low"
    assert found["within"] is True
    assert found["presets"][0]["preset"] == "low"
    assert [one["within"] for one in found["presets"]].count(True) == 1
    assert len(found["presets"]) > 1


def test_the_nearest_may_be_far(shelf: Cli) -> None:
    code, out, err = shelf("check", "concert-snare", "--all", "--top", "A3-30", "--bottom", "Eb4")

    assert (code, err) == (1, "")
    assert out.splitlines()[0] == "concert-snare: nearest to dry-etude, not within"
    assert "−34 flat" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["concert-snare", "--all"], "Neither head was read."),
        ([DRY, "--all", "--top", "A3"], "is one preset"),
        (["no-such-drum", "--all", "--top", "A3"], "no-such-drum"),
        (["concert-snare", "--top", "A3"], "The nearest: concert-snare/dry-etude"),
    ],
)
def test_what_cannot_be_checked_is_refused(shelf: Cli, words: list[str], said: str) -> None:
    code, out, err = shelf("check", *words)

    assert code == 2
    assert out == ""
    assert said in err
