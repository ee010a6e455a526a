"""`lugbook change`: from one preset to another by turns alone, as text and as JSON."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lugbook.desk.desk import open_desk
from lugbook.desk.journal import write
from lugbook.records import PerHead

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

LOW, HIGH = "snare/low", "snare/high"
KEYS = {
    "drum",
    "from",
    "to",
    "turns",
    "first",
    "orders",
    "steps",
    "seconds",
    "error_cents",
    "errors",
    "expect",
    "tolerance_cents",
    "chance_within",
    "returns",
    "trusted",
    "why_not_trusted",
    "from_here",
    "strainer",
    "cautions",
    "remarks",
    "refused",
}


@pytest.fixture
def two(cli: Cli) -> Cli:
    """A drum of ten rods with two presets, three quarters apart on top and a quarter below."""
    for words in (
        ("drum", "add", "Snare", "--diameter", "14"),
        (
            "preset",
            "add",
            "snare",
            "Low",
            "--top",
            "A3",
            "--bottom",
            "E4",
            "--turn",
            "top=1",
            "--turn",
            "bottom=1",
        ),
        (
            *("preset", "add", "snare", "High", "--top", "C4", "--bottom", "F4"),
            *("--turn", "top=1 3/4", "--turn", "bottom=0.75", "--snares", "just free"),
        ),
        ("preset", "add", "snare", "Bare", "--top", "C4", "--bottom", "F4"),
    ):
        code, _, err = cli(*words)
        assert code == 0, err
    return cli


@pytest.mark.usefixtures("two")
def test_the_answer_as_json(ask: Ask) -> None:
    """Every key is there; turns are exact, the bottom goes first, and loosening takes two passes."""
    code, found = ask("change", LOW, HIGH)

    assert code == 0
    assert set(found) == KEYS
    assert found["turns"] == {
        "top": {"amount": 0.75, "shown": "+¾"},
        "bottom": {"amount": -0.25, "shown": "−¼"},
    }
    assert found["first"] == "bottom"
    assert found["orders"]["top"] == [1, 6, 3, 8, 5, 10, 7, 2, 9, 4]
    assert found["seconds"] == 10 * 3 + 20 * 3 + 2 * 15 + 2 * 5
    assert found["steps"][0].startswith("Throw the strainer off")
    assert found["strainer"] == "just free"
    assert found["error_cents"] == max(found["errors"].values())
    assert found["expect"]["top_hz"] > 200
    assert found["tolerance_cents"] == 10
    assert 0 <= found["chance_within"] <= 1
    assert found["trusted"] is False
    assert "No entry of the logbook" in found["why_not_trusted"]
    assert found["refused"] is None


@pytest.mark.usefixtures("two")
def test_there_and_back_is_the_same_with_the_other_sign(ask: Ask) -> None:
    there, back = ask("change", LOW, HIGH)[1]["turns"], ask("change", HIGH, LOW)[1]["turns"]

    for side in ("top", "bottom"):
        assert there[side]["amount"] == -back[side]["amount"]


def test_the_answer_as_text(two: Cli) -> None:
    """A line a head, the steps in order, the time in minutes, and what is to be expected of it."""
    code, out, err = two("change", LOW, HIGH)

    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0] == "snare: low → high, by turns alone"
    assert lines[2].startswith("top     tighten ¾")
    assert lines[3].startswith("bottom  loosen ¼")
    assert "1. Throw the strainer off, and turn the drum over." in lines
    assert "Time: 2:10." in lines
    assert any(line.startswith("Expected error of the worse head: ") for line in lines)
    assert any("no past returns by turns" in line for line in lines)
    assert any(line.startswith("Not trusted: ") for line in lines)


def test_the_same_preset_twice_is_nothing_to_do(two: Cli, ask: Ask) -> None:
    code, found = ask("change", LOW, LOW)

    assert code == 0
    assert found["refused"] is None
    assert [found["turns"][side]["amount"] for side in ("top", "bottom")] == [0, 0]
    assert found["steps"] == []
    assert two("change", LOW, LOW)[0] == 0


def test_a_refusal_is_a_sentence_in_json_and_in_words(two: Cli, ask: Ask) -> None:
    """Data go to stdout and words to stderr; the answer is no."""
    code, found = ask("change", LOW, "snare/bare")
    said, out, err = two("change", LOW, "snare/bare")

    assert code == said == 1
    assert set(found) == KEYS
    assert found["refused"] in err
    assert "keeps no turns" in found["refused"]
    assert found["turns"] == {"top": None, "bottom": None}
    assert found["error_cents"] is None
    assert found["seconds"] is None
    assert out == ""


@pytest.mark.usefixtures("two")
def test_a_new_head_refuses_with_the_way_back_by_pitch(cli: Cli, ask: Ask) -> None:
    assert cli("head", "add", "snare", "bottom")[0] == 0
    code, found = ask("change", LOW, HIGH)

    assert code == 1
    assert "bottom head is in another count since" in found["refused"]
    assert f"lugbook retune {HIGH}" in found["refused"]


def test_bottom_rods_out_of_reach_stay_unless_the_drum_is_lifted_off(
    two: Cli, ask: Ask, library: Path
) -> None:
    path = library / "drums" / "snare" / "drum.toml"
    path.write_text(path.read_text("utf-8") + "\n[bottom]\nreached_on_stand = false\n", "utf-8")
    code, found = ask("change", LOW, HIGH)

    assert code == 0
    assert found["turns"]["bottom"] is None
    assert found["turns"]["top"]["amount"] == 0.75
    assert "stays: out of reach" in two("change", LOW, HIGH)[1]
    assert ask("change", LOW, HIGH, "--off-stand")[1]["turns"]["bottom"]["amount"] == -0.25


def test_the_players_pace_comes_from_the_settings(two: Cli, ask: Ask, tmp_path: Path) -> None:
    """Files without it stay valid; a pace that cannot be is told with its key, and the usual one is taken."""
    settings = tmp_path / "user" / "settings.toml"
    whole = ask("change", LOW, HIGH)[1]["seconds"]
    plain = settings.read_text("utf-8")
    settings.write_text(f"{plain}\npace = 2\nturn_over_s = 10\n", "utf-8")

    assert whole - ask("change", LOW, HIGH)[1]["seconds"] == 30 * 1 + 2 * 5
    settings.write_text(f"{plain}\npace = -1.0\n", "utf-8")
    code, _, err = two("change", LOW, HIGH)
    assert code == 0
    assert "pace" in err


@pytest.mark.usefixtures("two")
def test_single_tension_is_told_once(cli: Cli) -> None:
    for words in (
        ("drum", "add", "Old", "--diameter", "14", "--tension", "single"),
        (
            "preset",
            "add",
            "old",
            "Low",
            "--top",
            "A3",
            "--bottom",
            "E4",
            "--turn",
            "top=1",
            "--turn",
            "bottom=1",
        ),
        (
            "preset",
            "add",
            "old",
            "High",
            "--top",
            "B3",
            "--bottom",
            "F4",
            "--turn",
            "top=1.25",
            "--turn",
            "bottom=1.25",
        ),
    ):
        code, _, err = cli(*words)
        assert code == 0, err
    code, out, _ = cli("change", "old/low", "old/high")

    assert code == 0
    assert "One rod pulls both heads: turn it once." in out
    assert "Time: 0:35." in out


def test_a_change_on_a_well_read_drum_is_trusted(two: Cli, ask: Ask, environment: dict[str, str]) -> None:
    """An evening's logbook to and fro between both presets, whose law is 13 000 and 20 000 Hz² a turn."""
    desk = open_desk(library=None, environment=environment)
    drum = desk.library.drum("snare").record
    for top, bottom in [(1.0, 1.0), (1.0, 0.75), (1.75, 0.75), (1.75, 1.0)] * 3 + [(1.0, 1.0)]:
        hz = {"top": (220**2 + 13_000 * (top - 1)) ** 0.5, "bottom": (330**2 + 20_000 * (bottom - 1)) ** 0.5}
        heard = {
            side: {"pitch": f"{at:.2f} Hz", "by": "recording", "sd_cents": 3.0} for side, at in hz.items()
        }
        write(desk, "snare", drum, {"kind": "turn", **heard}, position=PerHead(top=top, bottom=bottom))
    high = f"{(220**2 + 13_000 * 0.75) ** 0.5:.2f}", f"{(330**2 - 20_000 * 0.25) ** 0.5:.2f}"
    assert two("preset", "edit", HIGH, "--top", high[0], "--bottom", high[1])[0] == 0
    code, found = ask("change", LOW, HIGH)

    assert code == 0
    assert found["trusted"] is True
    assert found["why_not_trusted"] is None
    assert found["error_cents"] <= 10
    assert found["chance_within"] >= 0.667
    assert found["returns"] > 4
    out = two("change", LOW, HIGH)[1]
    assert "Trusted for the concert." in out.splitlines()
    assert "past returns by turns" in out


def test_without_a_target_the_error_is_not_known(two: Cli, ask: Ask) -> None:
    assert two("preset", "edit", HIGH, "--bottom", "none")[0] == 0
    code, found = ask("change", LOW, HIGH)

    assert code == 0
    assert found["error_cents"] is None
    assert found["errors"]["bottom"] is None
    assert found["chance_within"] is None
    assert "Expected error: not known." in two("change", LOW, HIGH)[1]


def test_help_says_what_the_error_is(cli: Cli) -> None:
    code, out, _ = cli("change", "--help")

    assert code == 0
    assert "root mean square" in " ".join(out.split())
    assert "--off-stand" in out


@pytest.mark.usefixtures("two")
@pytest.mark.parametrize(
    ("words", "code"),
    [((LOW,), 2), ((LOW, "snare/nowhere"), 2), ((LOW, HIGH, HIGH), 2), (("snare", HIGH), 2)],
)
def test_a_slip_on_the_command_line_is_told(cli: Cli, words: tuple[str, ...], code: int) -> None:
    got, out, err = cli("change", *words)

    assert (got, out) == (code, "")
    assert err
