"""`listen --rods`: its JSON, its exit codes, and what a player reads."""

import wave
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

CENTS = (0.0, 2.0, -28.0, 1.0, -2.0, 0.0, 3.0, -1.0)
ROD_KEYS = {"rod", "hz", "sd_cents", "off_cents", "turn", "pair", "beside_bed", "word"}
ROUND_KEYS = {
    "median_hz",
    "spread_cents",
    "least_cents",
    "pairs_only",
    "order",
    "again",
    "steps",
    "basis",
    "refused",
}


@pytest.fixture(scope="session")
def made(drums: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of computed rounds of eight rods: the third flat, the third mended, and one of pairs."""
    folder = tmp_path_factory.mktemp("rounds")

    def write(name: str, samples: np.ndarray[Any, np.dtype[np.float64]], rate_hz: float) -> None:
        with wave.open(str(folder / name), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(round(rate_hz))
            file.writeframes(np.rint(samples * 32767).astype("<i2").tobytes())

    for name, third in (("flat.wav", -28.0), ("even.wav", -2.0)):
        cents = [third if cents == -28.0 else cents for cents in CENTS]
        one = drums.round_of_taps(np.random.default_rng(5), cents, hz=250.0, rate_hz=11025)
        write(name, one.samples, one.rate_hz)
    quiet = one.samples.copy()
    # From just before the fourth tap to just before the fifth there is nothing.
    quiet[int((one.onsets_s[3] - 0.02) * one.rate_hz) : int((one.onsets_s[4] - 0.02) * one.rate_hz)] = 0
    write("missing.wav", quiet, one.rate_hz)
    two = drums.uneven_round(np.random.default_rng(6), 8, hz=260.0, split_cents=36.0)
    write("pairs.wav", two.samples, two.rate_hz)
    return folder


@pytest.fixture
def rounds(made: Path) -> Callable[[str], str]:
    """The path of a computed round."""
    return lambda name: str(made / f"{name}.wav")


def test_the_json_has_every_rod_and_the_round(ask: Ask, rounds: Callable[[str], str]) -> None:
    code, found = ask("listen", rounds("flat"), "--rods", "8", "--start", "strainer")

    assert code == 0
    assert [rod["rod"] for rod in found["rods"]] == list(range(1, 9))
    assert all(set(rod) == ROD_KEYS for rod in found["rods"])
    assert set(found["round"]) == ROUND_KEYS
    third = found["rods"][2]
    assert third["off_cents"] == pytest.approx(-28, abs=2)
    assert third["turn"] == 1 / 8
    assert (third["pair"], third["word"], third["beside_bed"]) == (None, "flat", False)
    assert [rod["turn"] for rod in found["rods"] if rod["rod"] != 3] == [None] * 7
    assert (found["round"]["order"], found["round"]["again"]) == ([3], [2, 3, 4])
    assert found["round"]["steps"][0] == "Rod 3: tighten about ⅛."
    assert found["round"]["refused"] is None
    assert found["refused"] is None


def test_without_a_round_both_keys_are_null(ask: Ask, rounds: Callable[[str], str]) -> None:
    _, found = ask("listen", rounds("even"))

    assert found["rods"] is None
    assert found["round"] is None


def test_pairs_name_each_other(ask: Ask, rounds: Callable[[str], str]) -> None:
    _, found = ask("listen", rounds("pairs"), "--rods", "8")

    turned = {rod["rod"]: rod for rod in found["rods"] if rod["turn"]}
    assert turned
    assert found["round"]["pairs_only"] is True
    assert all(turned[rod["pair"]]["turn"] == rod["turn"] for rod in turned.values())
    assert any("cannot be known" in remark for remark in found["remarks"])


def test_a_player_reads_rows_in_tightening_order(cli: Cli, rounds: Callable[[str], str]) -> None:
    """Signed whole cents, a word and a bar; then the steps, and nothing of partials or modes."""
    code, out, err = cli("listen", rounds("flat"), "--rods", "8")

    assert (code, err) == (0, "")
    lines = out.splitlines()
    first = next(number for number, line in enumerate(lines) if line.startswith("Rods, in tightening order"))
    rows = [line.split() for line in lines[first + 2 : first + 10]]
    # Pairs 1, 3, 2, 4, each followed by its opposite (drummercafe.com, tuning page).
    assert [row[0] for row in rows] == ["1", "5", "3", "7", "2", "6", "4", "8"]
    third = rows[2]
    assert third[3:6] == ["−28", "flat", "■■■■■■■│"]
    assert third[-2:] == ["tighten", "⅛"]
    assert "1. Rod 3: tighten about ⅛." in lines
    assert "2. Then tap the whole round again." in lines
    assert "partial" not in out
    assert "mode" not in out


def test_a_bar_ends_in_an_arrow_where_it_goes_on(cli: Cli, rounds: Callable[[str], str]) -> None:
    _, out, _ = cli("listen", rounds("flat"), "--rods", "8", "--beds", "none")

    assert "◀" not in out
    assert out.count("│") == 8


def test_a_rod_that_was_not_heard_has_a_row_of_its_own(cli: Cli, rounds: Callable[[str], str]) -> None:
    _, out, _ = cli("listen", rounds("missing"), "--rods", "8")

    row = next(line.split() for line in out.splitlines() if "not heard  " in line)
    assert row == ["4", "–", "–", "not", "heard", "│"]
    assert "Rod 4 was not heard: tap it again." in out


def test_rods_beside_the_beds_are_marked(ask: Ask, cli: Cli, rounds: Callable[[str], str]) -> None:
    _, found = ask("listen", rounds("even"), "--rods", "8", "--head", "bottom")
    _, out, _ = cli("listen", rounds("even"), "--rods", "8", "--beds", "1,2")

    assert [rod["rod"] for rod in found["rods"] if rod["beside_bed"]] == [1, 4, 5, 8]
    assert "1 bed" in out
    assert "4 bed" not in out


def test_a_round_that_cannot_be_matched_is_refused(ask: Ask, cli: Cli, rounds: Callable[[str], str]) -> None:
    """Its JSON is printed all the same, and the head's reading with it."""
    code, found = ask("listen", rounds("flat"), "--rods", "10")

    assert code == 4
    assert found["rods"] is None
    assert found["round"]["refused"].startswith("8 taps for 10 rods")
    assert found["reading"] is not None
    code, _, err = cli("listen", rounds("flat"), "--rods", "10")
    assert (code, "tap the whole round again" in err) == (4, True)


def test_the_next_round_tells_whether_a_rod_followed(ask: Ask, rounds: Callable[[str], str]) -> None:
    _, mended = ask("listen", rounds("even"), "--rods", "8", "--before", rounds("flat"))
    _, stuck = ask("listen", rounds("flat"), "--rods", "8", "--before", rounds("flat"), "--turned", "3=1/8")

    assert mended["round"]["order"] == []
    assert not any("did not follow" in remark for remark in mended["remarks"])
    assert stuck["rods"][2]["turn"] is None
    assert stuck["rods"][2]["word"] == "flat"
    assert any(remark.startswith("Rod 3 was tightened and did not follow") for remark in stuck["remarks"])


def test_turns_typed_twice_for_one_rod_add_up(ask: Ask, rounds: Callable[[str], str]) -> None:
    words = ("listen", rounds("flat"), "--rods", "8", "--before", rounds("flat"))

    _, once = ask(*words, "--turned", "3=1/8")
    _, twice = ask(*words, "--turned", "3=1/16", "--turned", "3=1/16")

    assert once == twice


@pytest.mark.usefixtures("shelf")
def test_the_drum_on_the_shelf_is_asked(ask: Ask, cli: Cli, rounds: Callable[[str], str]) -> None:
    """Its record has ten rods; a rope drum has none; a drum that is not there is not found."""
    path = rounds("flat")

    assert cli("listen", path, "--rods", "8", "--drum", "concert-snare")[0] == 2
    assert cli("listen", path, "--rods", "8", "--drum", "old-march")[0] == 1
    assert cli("listen", path, "--rods", "8", "--drum", "nowhere")[0] == 2
    assert cli("drum", "edit", "concert-snare", "--rods", "8", "--rods-bottom", "8")[0] == 0
    code, found = ask("listen", path, "--rods", "8", "--drum", "concert-snare")
    assert code == 0
    assert found["round"]["basis"] == "the drum's size, a wide one"


def test_a_drum_needs_a_library(cli: Cli, rounds: Callable[[str], str]) -> None:
    assert cli("listen", rounds("flat"), "--rods", "8", "--drum", "concert-snare")[0] == 3


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--start", "strainer"), "--start is about a round of the rods."),
        (("--drum", "x"), "--drum is about a round of the rods."),
        (("--rods", "3"), "A round of 3 rods cannot be judged."),
        (("--rods", "ten"), "--rods: 'ten' is no whole number."),
        (("--rods", "8", "--start", "9"), "'9' is no rod to start at."),
        (("--rods", "8", "--order", "1,2,3"), "does not name each of the 8 rods once."),
        (("--rods", "8", "--head", "left"), "--head cannot be 'left'."),
        (("--rods", "8", "--beds", "1,x"), "'1,x' lists no rods."),
        (("--rods", "8", "--beds", "9"), "There is no rod 9 among 8."),
        (("--rods", "8", "--turned", "3=1/8"), "--turned needs the round before the turns."),
        (("--rods", "8", "--before", "x.wav", "--turned", "3"), "--turned: '3' names no value."),
        (("--rods", "8", "--struck", "centre"), "Rods are not heard from the centre."),
    ],
)
def test_options_that_cannot_be_used(
    cli: Cli, rounds: Callable[[str], str], library: Path, words: tuple[str, ...], sentence: str
) -> None:
    """Each is one sentence on stderr with exit code 2, and nothing on stdout."""
    library.mkdir()
    (library / "library.toml").write_text("format = 1\n", encoding="utf-8")

    code, out, err = cli("listen", rounds("flat"), *words)

    assert (code, out) == (2, "")
    assert sentence in err


def test_a_rod_turned_that_is_not_there_is_refused(cli: Cli, rounds: Callable[[str], str]) -> None:
    path = rounds("flat")

    code, _, err = cli("listen", path, "--rods", "8", "--before", path, "--turned", "9=1/8")

    assert code == 2
    assert "There is no rod 9 among 8." in err
