"""Records from the shell: add, show, edit, remove and restore drums, heads and presets."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DRY = "concert-snare/dry-etude"


def test_a_drum_goes_round(cli: Cli, ask: Ask, library: Path) -> None:
    """The first drum makes the library; it is shown, changed, removed and restored, and nothing is lost."""
    code, out, err = cli(
        *(
            "drum",
            "add",
            "Große Trommel",
            "--diameter",
            "14",
            "--depth",
            "6.5",
            "--rods",
            "10",
            "--rods-bottom",
            "8",
        ),
        *("--thread", "12-24", "--maker", "Ada", "--shell", "maple", "--strainer", "cable", "--loan", "yes"),
        *("--limit", "top=2 1/2", "--limit-low", "top=-1/4", "--limit-hz", "bottom=420"),
        *("--bed-rods", "bottom=1,8", "--reached", "bottom=no", "--note", "borrowed from Ben"),
        *("--reference", "finger tight, then one turn"),
    )
    assert (code, out) == (0, "grosse-trommel\n")
    assert str(library) in err

    code, drum = ask("drum", "show", "grosse-trommel")
    assert code == 0
    assert drum["name"] == "Große Trommel"
    assert (drum["diameter_in"], drum["depth_in"], drum["thread_mm"]) == (14, 6.5, 25.4 / 24)
    assert (drum["maker"], drum["shell"], drum["loan"]) == ("Ada", "maple", True)
    assert drum["strainer"]["name"] == "cable"
    assert drum["note"] == "borrowed from Ben"
    assert drum["top"] == {
        "rods": 10,
        "turns_max": 2.5,
        "turns_min": -0.25,
        "hz_max": None,
        "snare_bed_rods": [],
        "reached_on_stand": True,
    }
    assert drum["bottom"] == {
        "rods": 8,
        "turns_max": None,
        "turns_min": None,
        "hz_max": 420,
        "snare_bed_rods": [1, 8],
        "reached_on_stand": False,
    }
    assert [count["reference"] for count in drum["counts"]] == ["finger tight, then one turn"] * 2
    assert "reference" not in drum

    changed = (
        "--name",
        "Bass",
        "--depth",
        "none",
        "--limit",
        "top=none",
        "--bed-rods",
        "bottom=none",
        "--loan",
        "no",
    )
    assert cli("drum", "edit", "grosse-trommel", *changed) == (0, "grosse-trommel\n", "Changed.\n")
    _, edited = ask("drum", "show", "grosse-trommel")
    assert (edited["name"], edited["depth_in"], edited["loan"]) == ("Bass", None, False)
    assert (edited["top"]["turns_max"], edited["top"]["turns_min"]) == (None, -0.25)
    assert edited["bottom"]["snare_bed_rods"] == []
    assert edited["maker"] == "Ada"

    code, out, err = cli("drum", "remove", "grosse-trommel")
    assert (code, out) == (0, "grosse-trommel\n")
    assert "lugbook drum restore grosse-trommel" in err
    assert cli("drum", "show", "grosse-trommel")[0] == 2
    assert cli("drum", "restore", "grosse-trommel")[:2] == (0, "grosse-trommel\n")
    assert ask("drum", "show", "grosse-trommel")[1] == edited


def test_a_drum_is_shown_in_plain_rows(shelf: Cli) -> None:
    """Every field has its row, under the name it has in forms; turns are shown as a player reads them."""
    shelf("drum", "edit", "concert-snare", "--limit", "top=2 1/2", "--note", "first line\nsecond line")
    code, out, err = shelf("drum", "show", "concert-snare")
    rows = dict(re.split("  +", line, maxsplit=1) for line in out.splitlines() if line[0] != " ")

    assert (code, err) == (0, "")
    assert rows["drum"] == "concert-snare"
    assert rows["top turns at most"] == "2½"
    assert rows["diameter (inches)"] == "14"
    assert rows["loan"] == "no"
    assert rows["maker"] == "–"
    assert rows["counts 1 id"] == "top-1"
    assert rows["note"] == "first line"
    assert out.splitlines()[-1].strip() == "second line"


def test_a_head_goes_round(shelf: Cli, ask: Ask) -> None:
    """A head is put on, shown, corrected, removed and restored; its drum begins a new count."""
    options = (
        "--material",
        "calf",
        "--mil",
        "10",
        "--plies",
        "2",
        "--on",
        "2026-05-03",
        "--name",
        "old skin",
    )
    code, out, err = shelf("head", "add", "concert-snare", "top", *options, "--reference", "finger tight")
    assert (code, out) == (0, "top-1\n")
    assert "void" in err

    code, head = ask("head", "show", "concert-snare", "top-1")
    assert code == 0
    assert head == {
        "id": "top-1",
        "side": "top",
        "on": "2026-05-03",
        "off": None,
        "material": "calf",
        "plies": 2,
        "film_mil": 10.0,
        "name": "old skin",
        "note": "",
    }
    assert [count["id"] for count in ask("drum", "show", "concert-snare")[1]["counts"]][-1] == "top-2"

    assert shelf("head", "edit", "concert-snare", "top-1", "--mil", "none", "--off", "2026-06-01")[0] == 0
    _, edited = ask("head", "show", "concert-snare", "top-1")
    assert (edited["film_mil"], edited["off"], edited["name"]) == (None, "2026-06-01", "old skin")
    assert shelf("head", "edit", "concert-snare", "top-1", "--off", "none")[0] == 0
    assert ask("head", "show", "concert-snare", "top-1")[1]["off"] is None

    assert shelf("head", "remove", "concert-snare", "top-1")[:2] == (0, "top-1\n")
    assert shelf("head", "show", "concert-snare", "top-1")[0] == 2
    assert shelf("head", "restore", "concert-snare", "top-1")[:2] == (0, "top-1\n")
    _, rows, _ = shelf("head", "show", "concert-snare", "top-1")
    assert "old skin" in rows


def test_a_preset_goes_round(shelf: Cli, ask: Ask) -> None:
    """A preset is kept with all a player sets, shown, changed, removed and restored, and nothing is lost."""
    code, out, _ = shelf(
        *("preset", "add", "concert-snare", "Soft rolls", "--top", "G3-12", "--bottom", "D4", "--by", "ear"),
        *(
            "--for",
            "soft rolls",
            "--for",
            "opera pit",
            "--a4",
            "442",
            "--tolerance",
            "8",
            "--interval-decides",
            "yes",
        ),
        *("--turn", "top=-1/4", "--turn", "bottom=1 3/4", "--snares", "just free", "--snare", "knob=3.5"),
        *("--snare", "gut 3=-2", "--words", "dark", "--muffling", "felt", "--sticks", "maple"),
        *("--playing-spot", "edge", "--player", "Ada", "--heard", "in the hall", "--temperature", "21.5"),
        *("--humidity", "40", "--note", "from the tour"),
    )
    assert (code, out) == (0, "concert-snare/soft-rolls\n")

    code, preset = ask("preset", "show", "concert-snare/soft-rolls")
    assert code == 0
    assert (preset["name"], preset["contexts"]) == ("Soft rolls", ["soft rolls", "opera pit"])
    assert (preset["a4"], preset["tolerance_cents"], preset["interval_decides"]) == (442, 8, True)
    assert (preset["top"]["pitch"], preset["top"]["by"], preset["top"]["sd_cents"]) == ("G3-12", "ear", 25)
    assert preset["turns"] == {
        "top": {"amount": -0.25, "count": "top-1"},
        "bottom": {"amount": 1.75, "count": "bottom-1"},
    }
    assert preset["snares"]["words"] == "just free"
    assert preset["snares"]["values"] == {"knob": 3.5, "gut 3": -2.0}
    assert [
        preset[key] for key in ("words", "muffling", "sticks", "playing_spot", "player", "heard", "note")
    ] == [
        "dark",
        "felt",
        "maple",
        "edge",
        "Ada",
        "in the hall",
        "from the tour",
    ]
    assert (preset["temperature_c"], preset["humidity_pct"]) == (21.5, 40)

    code, out, _ = shelf(
        *(
            "preset",
            "edit",
            "concert-snare/soft-rolls",
            "--name",
            "Rolls",
            "--top",
            "G3",
            "--tolerance",
            "none",
        ),
        *("--for", "none", "--snare", "knob=none", "--turn", "top=none", "--words", ""),
    )
    assert (code, out) == (0, "concert-snare/soft-rolls\n")
    _, edited = ask("preset", "show", "concert-snare/soft-rolls")
    assert (edited["name"], edited["contexts"], edited["tolerance_cents"]) == ("Rolls", [], None)
    assert (edited["top"]["pitch"], edited["top"]["by"]) == ("G3", "typed")
    assert edited["bottom"] == preset["bottom"]
    assert edited["snares"]["words"] == "just free"
    assert edited["snares"]["values"] == {"gut 3": -2.0}
    assert edited["turns"] == {"top": None, "bottom": {"amount": 1.75, "count": "bottom-1"}}
    assert (edited["words"], edited["sticks"]) == ("", "maple")

    assert shelf("preset", "remove", "concert-snare/soft-rolls")[:2] == (0, "concert-snare/soft-rolls\n")
    assert shelf("preset", "show", "concert-snare/soft-rolls")[0] == 2
    assert shelf("preset", "restore", "concert-snare/soft-rolls")[:2] == (0, "concert-snare/soft-rolls\n")
    assert ask("preset", "show", "concert-snare/soft-rolls")[1] == edited
    _, rows, _ = shelf("preset", "show", "concert-snare/soft-rolls")
    assert ["turns bottom amount", "1¾"] in [re.split("  +", row) for row in rows.splitlines()]


def test_another_concert_pitch_renames_targets_and_moves_none(shelf: Cli, ask: Ask) -> None:
    """A preset edited to A4 = 442 keeps its hertz; the names go down by 7.85 cents."""
    before = ask("presets")[1]["presets"]
    assert shelf("preset", "edit", DRY, "--a4", "442")[0] == 0
    assert shelf("preset", "edit", "old-march/march", "--a4", "442")[0] == 0
    after = ask("presets")[1]["presets"]

    assert (after[0]["top"], after[0]["bottom"]) == ("A3-3.85", "Eb4-7.85")
    assert (after[0]["top_hz"], after[0]["bottom_hz"]) == (before[0]["top_hz"], before[0]["bottom_hz"])
    assert (after[1]["top"], after[1]["bottom"]) == ("E-7.85", "A-7.85")


def test_targets_come_from_recordings(shelf: Cli, ask: Ask, taps: Callable[..., str]) -> None:
    """A preset made from two recordings checks as within against them."""
    top, bottom = taps("top.wav", 221.3), taps("bottom.wav", 330.4)

    assert shelf("preset", "add", "concert-snare", "As it stands", "--top", top, "--bottom", bottom)[0] == 0
    _, preset = ask("preset", "show", "concert-snare/as-it-stands")
    assert (preset["top"]["by"], preset["top"]["file"]) == ("recording", "top.wav")
    assert float(preset["top"]["pitch"].removesuffix(" Hz")) == pytest.approx(221.3, abs=0.2)
    assert shelf("check", "concert-snare/as-it-stands", "--top", top, "--bottom", bottom)[0] == 0

    # A target typed anew forgets the recording it came from.
    assert shelf("preset", "edit", "concert-snare/as-it-stands", "--top", "A3")[0] == 0
    _, edited = ask("preset", "show", "concert-snare/as-it-stands")
    assert (edited["top"]["by"], edited["top"]["file"]) == ("typed", "")
    assert edited["bottom"] == preset["bottom"]


def test_a_starting_point_makes_a_preset(shelf: Cli, ask: Ask) -> None:
    """Its words and the middle of its ranges come over; what is typed beside it goes first."""
    code, out, _ = shelf(
        "preset", "add", "--start", "start/dry-etude", "concert-snare", "Mine", "--sticks", "heavy"
    )
    assert (code, out) == (0, "concert-snare/mine\n")

    _, preset = ask("preset", "show", "concert-snare/mine")
    assert (preset["name"], preset["sticks"]) == ("Mine", "heavy")
    assert preset["contexts"] == ["dry étude"]
    assert preset["snares"]["words"]
    assert preset["top"]["pitch"]
    assert shelf("preset", "add", "concert-snare", "--start", "dry-etude")[0] == 0


def test_a_target_can_be_taken_out(shelf: Cli, ask: Ask) -> None:
    """The word none takes a value away."""
    assert shelf("preset", "edit", DRY, "--bottom", "none")[0] == 0

    assert ask("preset", "show", DRY)[1]["bottom"] is None
    assert ask("presets")[1]["presets"][0]["bottom"] is None
    assert shelf("check", DRY, "--top", "A3+4")[0] == 0


def test_two_presets_of_one_name_are_legal(shelf: Cli) -> None:
    """The second gets a slug of its own, and the first is untouched."""
    assert (
        shelf("preset", "add", "concert-snare", "Dry étude", "--top", "B3")[1]
        == "concert-snare/dry-etude-2\n"
    )
    assert shelf("check", DRY, "--top", "A3+4", "--bottom", "Eb4")[0] == 0


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["drum", "add", "X"], "needs its diameter"),
        (["drum", "add", "X", "--diameter", "abc"], "--diameter: 'abc' is no number."),
        (["drum", "add", "X", "--diameter", "99"], "diameter (inches): "),
        (["drum", "add", "X", "--diameter", "inf"], "--diameter: 'inf' is no finite number."),
        (["drum", "add", "X", "--diameter", "nan"], "--diameter: 'nan' is no finite number."),
        (["drum", "add", "", "--diameter", "14"], "name"),
        (["drum", "add", "X", "--diameter", "14", "--rods", "9.5"], "no whole number"),
        (["drum", "add", "X", "--diameter", "14", "--rods", "99"], "rods"),
        (["drum", "add", "X", "--diameter", "14", "--thread", "12-0"], "--thread"),
        (["drum", "add", "X", "--diameter", "14", "--tension", "loose"], "separate or single or rope"),
        (["drum", "add", "X", "--diameter", "14", "--loan", "maybe"], "yes or no"),
        (["drum", "edit", "concert-snare"], "Nothing to change was named."),
        (["drum", "edit", "concert-snare", "--limit", "top"], "--limit: 'top' names no value."),
        (["drum", "edit", "concert-snare", "--limit", "side=1"], "top or bottom"),
        (["drum", "edit", "concert-snare", "--limit", "top=1/3"], "1/64"),
        (["drum", "edit", "concert-snare", "--tension", "loose"], "separate or single or rope"),
        (["drum", "restore", "concert-snare"], "concert-snare"),
        (["drum", "restore", "never-was"], "never-was"),
        (["drum", "show", "../../etc"], "../../etc"),
        (["head", "add", "concert-snare", "left"], "top or bottom"),
        (["head", "add", "concert-snare", "top", "--on", "yesterday"], "2026-05-03"),
        (["head", "add", "concert-snare", "top", "--material", "paper"], "film or aramid or calf"),
        (["head", "show", "concert-snare", "top-9"], "top-9"),
        (["head", "edit", "concert-snare", "top-9", "--mil", "7"], "top-9"),
        (["head", "restore", "concert-snare", "top-9"], "top-9"),
        (["preset", "add", "concert-snare"], "needs a name"),
        (["preset", "add", "no-drum", "X", "--top", "A3"], "concert-snare"),
        (["preset", "add", "concert-snare", "--start", "never-was"], "dry-etude"),
        (["preset", "edit", DRY, "--struck", "centre"], "--top R or --bottom R"),
        (["preset", "edit", DRY, "--snare", "knob"], "--snare NAME=VALUE"),
        (["preset", "edit", DRY, "--snare", "knob=tight"], "--snare knob: 'tight' is no number."),
        (["preset", "edit", DRY, "--tolerance", "-3"], "tolerance (cents): "),
        (["preset", "edit", DRY, "--heard", "outside"], "in the hall"),
        (["preset", "edit", DRY, "--a4", "12"], "392 to 470"),
        (["preset", "edit", DRY, "--turn", "top=1000"], "1000"),
        (["preset", "edit", DRY, "--humidity", "300"], "humidity (%): "),
    ],
)
def test_a_bad_value_changes_nothing(shelf: Cli, library: Path, words: list[str], sentence: str) -> None:
    """One clear sentence on stderr, code 2 (1 where it cannot be done), and no file is touched."""
    before = {path: path.read_bytes() for path in library.rglob("*") if path.is_file()}

    code, out, err = shelf(*words)

    assert code in (1, 2)
    assert out == ""
    assert sentence in err
    assert len(err.splitlines()) == 1
    assert before == {path: path.read_bytes() for path in library.rglob("*") if path.is_file()}


def test_turns_of_a_rope_drum_cannot_be_kept(shelf: Cli) -> None:
    """There is no count of turns where there are no rods: the answer is no."""
    code, out, err = shelf("preset", "edit", "old-march/march", "--turn", "top=1/4")

    assert (code, out) == (1, "")
    assert "Keep the pitches alone." in err
