"""`find` on the demo's library: presets and entries, in rows and as JSON, and where there are none."""

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
def test_presets_and_entries_have_their_fields(ask: Ask) -> None:
    code, found = ask("find", "crisp", "B3")

    assert code == 0
    assert [one["id"] for one in found["presets"]] == ["concert-snare/dry-etude"]
    assert set(found["presets"][0]) >= {"id", "drum", "name", "contexts", "top_hz", "turns", "snares"}
    assert len(found["entries"]) == 2
    assert all("crisp" in one["words"] and one["top"].startswith("B3") for one in found["entries"])
    assert [one["at"] for one in found["entries"]] == sorted(
        (one["at"] for one in found["entries"]), reverse=True
    )


def test_rows_name_what_other_commands_take(demo: Cli) -> None:
    code, out, err = demo("find", "crisp", "--drum", "concert-snare")
    entry = next(line.split()[0] for line in out.splitlines() if line.startswith("2026"))

    assert (code, err) == (0, "")
    assert "concert-snare/dry-etude" in out
    assert demo("preset", "from", "concert-snare", entry, "Found")[0] == 0


def test_where_nothing_is_found_the_nearest_music_is_named(demo: Cli, ask: Ask) -> None:
    code, out, err = demo("find", "nothing-like-it", "--for", "dry etud")
    assert (code, out) == (1, "")
    assert "dry étude" in err
    code, found = ask("find", "nothing-like-it", "--for", "dry etud")
    assert (code, found["presets"], found["entries"]) == (1, [], [])
    assert "dry étude" in found["contexts"]


def test_a_damaged_file_hides_nothing_else(demo: Cli, library: Path) -> None:
    next((library / "drums" / "deep-maple" / "presets").glob("*.toml")).write_text("not toml [")
    code, out, err = demo("find", "crisp")

    assert code == 0
    assert "concert-snare/dry-etude" in out
    assert "deep-maple" in err


@pytest.mark.parametrize(
    ("words", "said"), [([], "Nothing to find"), (["dry", "--drum", "nobody"], "no drum 'nobody'")]
)
def test_what_cannot_be_looked_for(demo: Cli, words: list[str], said: str) -> None:
    code, _, err = demo("find", *words)

    assert code == 2
    assert said in err


def test_where_there_is_such_music_the_words_are_missing(demo: Cli) -> None:
    """It is no help to name the music that was asked for."""
    code, _, err = demo("find", "nowhere-to-be-found", "--for", "dry étude")
    assert code == 1
    assert "nothing of it has these words" in err
