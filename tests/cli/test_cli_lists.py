"""`presets`, `drums`, `heads`, `verify`: rows, JSON, and one bad file among good ones."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

PRESET_KEYS = [
    "id",
    "drum",
    "preset",
    "name",
    "contexts",
    "top_hz",
    "bottom_hz",
    "top",
    "bottom",
    "interval",
    "turns",
    "snares",
    "fit",
    "why",
]


@pytest.mark.usefixtures("shelf")
def test_presets_lists_every_preset(ask: Ask) -> None:
    """Each has its keys; a note name alone has no hertz."""
    code, found = ask("presets")
    snare, march = found["presets"]

    assert code == 0
    assert list(found) == ["presets", "problems", "nearest"]
    assert found["problems"] == []
    assert list(snare) == list(march) == PRESET_KEYS
    assert snare["id"] == "concert-snare/dry-etude"
    assert (snare["drum"], snare["preset"], snare["name"]) == ("concert-snare", "dry-etude", "Dry étude")
    assert (snare["top"], snare["top_hz"], snare["bottom_hz"]) == ("A3+4", 220.509, 311.127)
    assert snare["turns"] == {"top": None, "bottom": None}
    assert (march["top"], march["top_hz"], march["interval"]) == ("E", None, "perfect fourth")


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["--drum", "old-march"], ["old-march/march"]),
        (["--for", "dry etude"], ["concert-snare/dry-etude"]),
        (["--for", "DRY", "--for", "étude"], ["concert-snare/dry-etude"]),
    ],
)
def test_presets_are_chosen_by_drum_and_music(ask: Ask, words: list[str], expected: list[str]) -> None:
    """--drum and every --for narrow the list; case and accents do not matter."""
    code, found = ask("presets", *words)

    assert code == 0
    assert [row["id"] for row in found["presets"]] == expected


def test_presets_shows_turns_with_their_validity(shelf: Cli, ask: Ask) -> None:
    """Turns of a head that was changed since are void, those of the other stay valid."""
    shelf("preset", "edit", "concert-snare/dry-etude", "--turn", "top=1/4", "--turn", "bottom=-1/8")
    shelf("head", "add", "concert-snare", "top")
    _, found = ask("presets", "--drum", "concert-snare")
    _, out, _ = shelf("presets")

    assert found["presets"][0]["turns"] == {
        "top": {"amount": 0.25, "valid": False},
        "bottom": {"amount": -0.125, "valid": True},
    }
    assert "¼ (void) / −⅛" in out


def test_starting_points_need_no_library(ask: Ask) -> None:
    """They come with the program, with ranges in place of hertz."""
    code, found = ask("presets", "--start", "--for", "dry étude")

    assert code == 0
    assert found["presets"]
    for row in found["presets"]:
        assert list(row) == PRESET_KEYS
        assert row["id"].startswith("start/")
        assert row["top_hz"] is row["bottom_hz"] is None


def test_preset_list_is_presets(shelf: Cli) -> None:
    """The noun with its verb does the same."""
    assert shelf("preset", "list") == shelf("presets")
    assert shelf("drum", "list") == shelf("drums")
    assert shelf("head", "list", "concert-snare") == shelf("heads", "concert-snare")


def test_rows_are_aligned(shelf: Cli) -> None:
    """Columns begin at the same place in every row, accents or not."""
    _, out, err = shelf("presets")
    head, *rows = out.splitlines()

    assert err == ""
    assert len(rows) == 2
    assert all(row[head.index("top") - 2 : head.index("top")] == "  " for row in rows)
    assert rows[0][head.index("top") :].startswith("A3+4 ")


def test_an_empty_list_is_fine(shelf: Cli) -> None:
    """No preset is no failure: nothing on stdout, a word on stderr."""
    shelf("preset", "remove", "old-march/march")

    assert shelf("presets", "--drum", "old-march") == (0, "", "No preset.\n")


def test_where_nothing_fits_all_of_it_the_nearest_is_shown_and_said_to_be_that(shelf: Cli, ask: Ask) -> None:
    """It is no answer to what was asked: exit code 1, and the list itself stays empty."""
    words = ("presets", "--for", "field drum", "--for", "dry étude", "--for", "secco études")
    code, out, err = shelf(*words)
    answer, found = ask(*words)

    assert (code, answer) == (1, 1)
    assert "None fits all of it; these come nearest." in err
    assert found["presets"] == []
    assert [row["id"] for row in found["nearest"]] == ["concert-snare/dry-etude", "old-march/march"]
    assert found["nearest"][0]["fit"] > found["nearest"][1]["fit"] > 0
    assert found["nearest"][0]["why"][:2] == ["not for field drum", "for dry étude"]
    assert all(row["id"] in out for row in found["nearest"])


def test_the_best_fit_comes_first_and_says_why(shelf: Cli, ask: Ask) -> None:
    """The very word goes before a longer one that holds it, and that before another word for the same."""
    for name, context in (("A", "very secco"), ("B", "dry and bright"), ("C", "dry")):
        shelf("preset", "add", "old-march", name, "--for", context)
    code, found = ask("presets", "--for", "dry", "--drum", "old-march")

    assert code == 0
    assert [row["id"][-1] for row in found["presets"]] == ["c", "b", "a"]
    assert [row["why"] for row in found["presets"]] == [
        ["for dry"],
        ["dry in dry and bright"],
        ["very secco, in other words dry"],
    ]
    assert found["nearest"] == []


@pytest.mark.parametrize("strange", ["no such music", "et", "tude"])
def test_music_that_nothing_is_for_is_a_no_and_the_kinds_are_told(shelf: Cli, ask: Ask, strange: str) -> None:
    """Whole words count; the kinds there are follow, of presets or of starting points."""
    code, out, err = shelf("presets", "--for", strange)
    answer, found = ask("presets", "--for", strange)
    start, _, kinds = shelf("presets", "--start", "--for", strange)

    assert (code, answer, start) == (1, 1, 1)
    assert out == ""
    assert f"Nothing is for {strange}. There is dry étude, field drum." in err
    assert found == {"presets": [], "problems": [], "nearest": []}
    assert "big orchestral tutti" in kinds


def test_drums(shelf: Cli, ask: Ask) -> None:
    """Each drum has its size, rods, heads and number of presets."""
    shelf("head", "add", "concert-snare", "top", "--mil", "10", "--on", "2026-05-03")
    code, found = ask("drums")
    _, out, _ = shelf("drums")

    assert code == 0
    assert found["problems"] == []
    assert found["drums"][0] == {
        "drum": "concert-snare",
        "name": "Concert snare",
        "size": "14 × 6.5 in",
        "tension": "separate",
        "rods": {"top": 10, "bottom": 10},
        "heads": {"top": "film, 10 mil (on since 3 May 2026)", "bottom": None},
        "presets": 1,
    }
    assert "film, 10 mil (on since 3 May 2026)" in out


def test_heads(shelf: Cli, ask: Ask) -> None:
    """The history of a drum's heads, oldest first; a new head retires the old one."""
    shelf("head", "add", "concert-snare", "top", "--mil", "10", "--on", "2026-05-03")
    shelf("head", "add", "concert-snare", "top", "--mil", "7.5", "--on", "2026-06-04")
    code, found = ask("heads", "concert-snare")
    _, out, _ = shelf("heads", "concert-snare")

    assert code == 0
    assert found["drum"] == "concert-snare"
    assert found["heads"] == [
        {"id": "top-1", "side": "top", "what": "film, 10 mil", "on": "2026-05-03", "off": "2026-06-04"},
        {"id": "top-2", "side": "top", "what": "film, 7.5 mil", "on": "2026-06-04", "off": None},
    ]
    assert len(out.splitlines()) == 3
    assert shelf("heads", "old-march") == (0, "", "No head is recorded.\n")


def test_an_empty_library_has_no_drums(cli: Cli) -> None:
    """After the only drum was removed the list is empty, not an error."""
    cli("drum", "add", "Snare", "--diameter", "14")
    cli("drum", "remove", "snare")

    assert cli("drums") == (0, "", "No drum.\n")


def test_verify_of_a_good_library(shelf: Cli, ask: Ask) -> None:
    """All files are counted, and nothing is wrong."""
    code, found = ask("verify")

    assert (code, found["problems"]) == (0, [])
    # library.toml, and a drum.toml and a preset for each of two drums.
    assert found["files"] == 5
    assert shelf("verify") == (0, "5 files read, no problems.\n", "")


def test_one_bad_file_hides_no_good_one(shelf: Cli, ask: Ask, library: Path) -> None:
    """Lists tell of it on stderr and in their JSON and return 0; only `verify` returns 3."""
    bad = library / "drums" / "concert-snare" / "presets" / "bad.toml"
    bad.write_text('format = 1\nname = "Bad\n', encoding="utf-8")

    code, found = ask("presets")
    assert code == 0
    assert [row["id"] for row in found["presets"]] == ["concert-snare/dry-etude", "old-march/march"]
    (problem,) = found["problems"]
    assert set(problem) == {"file", "where", "what", "right"}
    assert (problem["file"], problem["where"]) == (str(bad), "line 2")

    code, out, err = shelf("presets", "--json")
    assert json.loads(out) == found
    assert str(bad) in err

    code, verified = ask("verify")
    assert (code, verified["problems"]) == (3, [problem])
    code, out, err = shelf("verify")
    assert (code, err) == (3, "")
    assert out.splitlines()[-1] == "6 files read, 1 problem."

    assert shelf("check", "concert-snare/dry-etude", "--top", "A3+4", "--bottom", "Eb4")[0] == 0
    assert bad.read_text(encoding="utf-8") == 'format = 1\nname = "Bad\n'


def test_json_is_exact_and_safe_for_a_terminal(shelf: Cli, library: Path) -> None:
    """A name with an escape sequence in a file somebody mailed is escaped, not acted on, and not changed."""
    path = library / "drums" / "concert-snare" / "presets" / "dry-etude.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("Dry étude", "Dry\\u001b[2J\\u202eétude\\u007f"), "utf-8"
    )

    _, out, _ = shelf("presets", "--json")
    _, rows, _ = shelf("presets")

    for text in (out, rows):
        assert not {"\x1b", "\u202e", "\x7f"} & set(text)
    assert "Dry␛[2J<U+202E>étude␡" in rows
    name = json.loads(out)["presets"][0]["name"]
    assert name == "Dry\x1b[2J\u202eétude\x7f"


def test_turns_of_a_drum_that_cannot_be_read_are_not_called_void(shelf: Cli, ask: Ask, library: Path) -> None:
    """Whether their count still runs cannot be told then."""
    shelf("preset", "edit", "concert-snare/dry-etude", "--turn", "top=1/4")
    (library / "drums" / "concert-snare" / "drum.toml").write_text("name = ", encoding="utf-8")
    _, out, _ = shelf("presets")
    _, found = ask("presets")

    assert "¼ (cannot tell)" in out
    assert found["presets"][0]["turns"]["top"] == {"amount": 0.25, "valid": None}


def test_verify_finds_unknown_keys_and_counts(ask: Ask, shelf: Cli, library: Path) -> None:
    """A slip of the pen in a key is told with the key it is nearest to; nothing is changed by that."""
    shelf("preset", "edit", "concert-snare/dry-etude", "--turn", "top=1/4")
    preset = library / "drums" / "concert-snare" / "presets" / "dry-etude.toml"
    text = preset.read_text(encoding="utf-8").replace("top-1", "top-9")
    preset.write_text(text.replace("format = 1", "format = 1\ntolerence_cents = 5"), encoding="utf-8")
    drum = library / "drums" / "concert-snare" / "drum.toml"
    drum.write_text(drum.read_text(encoding="utf-8") + "\n[top]\nroads = 8\n", encoding="utf-8")
    code, found = ask("verify")

    assert code == 3
    assert {(one["where"], one["right"]) for one in found["problems"]} == {
        ("tolerence_cents", "tolerance_cents"),
        ("top.roads", "rods"),
        ("turns.top.count", "one of top-1, bottom-1"),
    }


def test_settings_that_cannot_be_read_stop_nothing_and_are_told(shelf: Cli, library: Path) -> None:
    """The usual tolerance counts, checks and lists go on, and each says why."""
    (library / "library.toml").write_text("a4 = ", encoding="utf-8")

    code, out, _ = shelf("check", "concert-snare/dry-etude", "--top", "A3+4", "--bottom", "Eb4+0")
    assert code == 0
    assert "The library's own tolerance does not count: library.toml" in out
    for words in (("presets",), ("drums",), ("note", "221")):
        code, out, err = shelf(*words)
        assert (code, bool(out)) == (0, True)
        assert "library.toml" in err
    assert shelf("preset", "add", "concert-snare", "New", "--top", "A3")[0] == 3
    assert shelf("preset", "add", "concert-snare", "New", "--top", "A3", "--a4", "442")[0] == 0
