"""Contexts, pieces and concerts from the shell: what is typed, what comes out, and what is refused."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lugbook.cli.spans import bars_of, day_of, passage_of, rest_of, seconds_of
from lugbook.desk import Desk, pieces
from lugbook.errors import BadValue

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]
SNARE = "concert-snare/dry-etude"


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("90", 90),
        ("90s", 90),
        ("1.5 min", 90),
        ("1,5min", 90),
        ("2m", 120),
        ("1:30", 90),
        ("0:05", 5),
        ("75:00", 4500),
        ("1:02:03", 3723),
        ("1h", 3600),
        ("0", 0),
        ("none", None),
    ],
)
def test_times_as_one_types_them(text: str, seconds: float | None) -> None:
    assert seconds_of(text, option="--after") == seconds


@pytest.mark.parametrize("text", ["", "soon", "-5", "1:60", "1:2:3:4", "nan", "inf", "1e3", "5 years", "1:"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="no time"):
        seconds_of(text, option="--after")


def test_bars_rests_and_passages_as_one_types_them() -> None:
    assert bars_of("12", option="--rest") == {"bar_from": 12}
    assert rest_of("12-20=1:10", option="--rest") == {"bar_from": 12, "bar_to": 20, "seconds": 70}
    assert rest_of("45", option="--rest") == {"seconds": 45}
    assert passage_of("3-4=a=b", option="--passage") == {"bar_from": 3, "bar_to": 4, "words": "a=b"}
    for wrong in ("a=b", "12-=x", "12", "12=", "12345=x"):
        with pytest.raises(BadValue):
            passage_of(wrong, option="--passage")
    with pytest.raises(BadValue, match="no day"):
        day_of("5.12.2026", option="--date")


def test_a_piece_from_the_first_word_to_the_last(shelf: Cli, ask: Ask) -> None:
    code, out, err = shelf(
        *("piece", "add", "Boléro", "--composer", "Ravel", "--for", "dry étude", "--dynamics", "pp to ff"),
        *("--passage", "20-30=louder", "--passage", "4=alone", "--served", SNARE, "--lasts", "15:00"),
        *("--rest", "100-110=0:40", "--bars", "340", "--played", "2026-03-01", "--hall", "Old hall"),
    )
    assert (code, out) == (0, "bolero\n")
    assert "piece suggest bolero" in err

    code, shown = ask("piece", "show", "bolero")
    assert code == 0
    assert (shown["piece"], shown["title"], shown["remarks"]) == ("bolero", "Boléro", [])
    assert [(one["bar_from"], one["words"]) for one in shown["passages"]] == [(4, "alone"), (20, "louder")]
    assert (shown["part"]["seconds"], shown["part"]["bars"], shown["part"]["rests"][0]["seconds"]) == (
        900,
        340,
        40,
    )
    assert shown["performances"][0]["on"] == "2026-03-01"

    code, listed = ask("piece", "list")
    assert [(one["piece"], one["played"], one["last_played"]) for one in listed["pieces"]] == [
        ("bolero", 1, "2026-03-01")
    ]
    code, found = ask("piece", "suggest", "bolero")
    assert code == 0
    assert found["suggestions"][0]["id"] == SNARE
    assert found["suggestions"][0]["reasons"][0] == "It served in this piece."
    assert ask("find", "louder")[1]["pieces"][0]["piece"] == "bolero"
    assert "bolero" in shelf("find", "ravel", "--for", "secco study")[1]


def test_editing_a_piece_adds_to_its_lists_and_takes_from_them(shelf: Cli, ask: Ask) -> None:
    shelf("piece", "add", "Boléro", "--passage", "4=alone", "--passage", "9=soft", "--served", SNARE)
    shelf(
        "piece",
        "edit",
        "bolero",
        "--passage",
        "4=none",
        "--passage",
        "2=first",
        "--served",
        "old-march/march",
    )
    shelf("piece", "edit", "bolero", "--played", "2026-03-01", "--with", SNARE, "--went", "well")
    shelf("piece", "edit", "bolero", "--played", "2026-04-01", "--title", "Bolero")
    _, shown = ask("piece", "show", "bolero")

    assert shown["title"] == "Bolero"
    assert [one["words"] for one in shown["passages"]] == ["first", "soft"]
    assert shown["presets"] == [SNARE, "old-march/march"]
    assert [(one["on"], one["note"]) for one in shown["performances"]] == [
        ("2026-03-01", "well"),
        ("2026-04-01", ""),
    ]

    shelf("piece", "edit", "bolero", "--passage", "none", "--served", "none", "--played", "none")
    _, shown = ask("piece", "show", "bolero")
    assert (shown["passages"], shown["presets"], shown["performances"]) == ([], [], [])


def test_rests_without_bars_are_all_kept(shelf: Cli, ask: Ask) -> None:
    shelf("piece", "add", "Boléro", "--rest", "30", "--rest", "45")
    shelf("piece", "edit", "bolero", "--rest", "20-60=1:30", "--passage", "4=alone")

    rests = ask("piece", "show", "bolero")[1]["part"]["rests"]
    assert [(one["bar_from"], one["seconds"]) for one in rests] == [(None, 30), (None, 45), (20, 90)]


def test_rows_of_an_older_reading_do_not_overwrite_a_change_in_between(
    shelf: Cli, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf("piece", "add", "Boléro")
    put_together = pieces.with_performance

    def meanwhile(desk: Desk, *rest: Any) -> object:  # noqa: ANN401 -- whatever is handed on
        pieces.edit_piece(desk, "bolero", {"performances": [{"hall": "Old hall"}]})
        return put_together(desk, *rest)

    monkeypatch.setattr(pieces, "with_performance", meanwhile)
    code, _, err = shelf("piece", "edit", "bolero", "--played", "2026-03-01")

    assert code not in (0, 1)
    assert "changed" in err
    assert [one["hall"] for one in ask("piece", "show", "bolero")[1]["performances"]] == ["Old hall"]


def test_a_piece_of_which_nothing_is_known_is_a_no(shelf: Cli) -> None:
    shelf("piece", "add", "Boléro")
    code, out, err = shelf("piece", "suggest", "bolero")

    assert (code, out) == (1, "")
    assert "piece edit bolero --for" in err


@pytest.mark.parametrize("noun", ["piece", "concert"])
def test_what_is_removed_comes_back(noun: str, shelf: Cli, ask: Ask) -> None:
    shelf(noun, "add", "Opening")
    before = ask(noun, "show", "opening")

    assert shelf(noun, "remove", "opening")[:2] == (0, "opening\n")
    assert shelf(noun, "show", "opening")[0] == 2
    assert shelf(noun, "list")[:2] == (0, "")
    assert shelf(noun, "restore", "opening")[:2] == (0, "opening\n")
    assert ask(noun, "show", "opening") == before
    assert shelf(noun, "restore", "opening")[0] == 1


def concert(ask: Ask) -> list[tuple[str, float | None]]:
    _, shown = ask("concert", "show", "opening")
    return [(one["name"], one["after_s"]) for one in shown["programme"]]


def test_a_concert_from_the_first_word_to_the_last(shelf: Cli, ask: Ask) -> None:
    shelf("piece", "add", "Boléro", "--composer", "Ravel", "--for", "field drum", "--lasts", "15:00")
    code, out, err = shelf(
        *("concert", "add", "Opening", "--date", "2099-12-05", "--hall", "Town hall", "--stage", "2"),
        *(
            "--item",
            f"Overture={SNARE}",
            "--after",
            "90",
            "--lasts",
            "8:00",
            "--rest",
            "20-60=45",
            "--rest",
            "30",
        ),
        *("--item", "bolero", "--after", "2min", "--item", "Speech=tacet", "--said", "the mayor"),
    )
    assert (code, out) == (0, "opening\n")
    assert "Kept as opening." in err

    code, shown = ask("concert", "show", "opening")
    overture, bolero, speech = shown["programme"]
    assert code == 0
    assert (shown["concert"], shown["on"], shown["past"], shown["stage_drums"]) == (
        "opening",
        "2099-12-05",
        False,
        2,
    )
    assert (overture["presets"], overture["after_s"], overture["seconds"]) == ([SNARE], 90, 480)
    assert [rest["seconds"] for rest in overture["rests"]] == [45, 30]
    assert (bolero["piece"], bolero["candidates"], bolero["seconds"]) == ("bolero", ["old-march/march"], 900)
    assert (speech["tacet"], speech["note"], speech["after_s"]) == (True, "the mayor", None)
    assert ask("concert", "list")[1]["concerts"][0]["items"] == 3
    text = shelf("concert", "show", "opening")[1]
    assert "1.  Overture" in text
    assert "0:45 (20-60), 0:30" in text


def test_items_are_corrected_by_their_numbers(shelf: Cli, ask: Ask) -> None:
    shelf(
        "concert",
        "add",
        "Opening",
        "--item",
        "A=tacet",
        "--item",
        "B=tacet",
        "--after",
        "60",
        "--item",
        "C=tacet",
    )
    code, _, err = shelf(
        *("concert", "edit", "opening", "--drop", "1", "--move", "3=1", "--change", "2", "--after", "1:30"),
        *("--as", "=field drum", "--item", "D=tacet", "--at", "1", "--after", "0"),
    )
    assert (code, err.splitlines()[0]) == (0, "Changed.")
    assert concert(ask) == [("D", 0), ("C", None), ("B", 90)]
    assert ask("concert", "show", "opening")[1]["programme"][2]["candidates"] == ["old-march/march"]

    shelf("concert", "edit", "opening", "--change", "3", "--after", "none", "--as", "E")
    assert concert(ask)[2] == ("E", None)
    assert ask("concert", "show", "opening")[1]["programme"][2]["contexts"] == ["field drum"]
    shelf("concert", "restore", "opening")
    assert concert(ask)[2] == ("B", 90)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--after", "90"], "--after tells of no item"),
        (["--drop", "1", "--after", "90"], "--after tells of no item"),
        (["--drop", "4"], "no item 4"),
        (["--drop", "x"], "no whole number"),
        (["--move", "1"], "names no place"),
        (["--change", "1", "--at", "2"], "place of a new item"),
        (["--item", "X=nowhere/dry"], "no preset 'nowhere/dry'"),
        (["--item", f"X={SNARE},{SNARE}"], "two presets at once"),
        (["--item", ""], "names nothing"),
        (["--item", "X\x1b[2J"], "control character"),
        (["--drum", "concert-snar"], "concert-snare"),
        (["--date", "tomorrow"], "no day"),
        ([], "Nothing to change"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    shelf: Cli, library: Path, words: list[str], said: str
) -> None:
    shelf("concert", "add", "Opening", "--item", "A")
    before = (library / "concerts" / "opening.toml").read_bytes()
    code, out, err = shelf("concert", "edit", "opening", *words)

    assert (code, out) == (2, "")
    assert said in err
    assert "\x1b" not in err
    assert (library / "concerts" / "opening.toml").read_bytes() == before


def test_a_word_is_renamed_and_listed(shelf: Cli, ask: Ask) -> None:
    code, out, err = shelf("context", "rename", "dry etude", "close étude")
    assert (code, out) == (0, "close étude\n")
    assert "1 preset, 0 pieces, 0 concerts" in err
    assert ask("presets", "--for", "close étude")[1]["presets"][0]["id"] == SNARE
    assert ask("presets", "--for", "dry étude")[1]["presets"][0]["id"] == SNARE

    code, found = ask("context", "list", "--used")
    assert code == 0
    assert {(one["context"], one["kind"], one["presets"]) for one in found["contexts"]} == {
        ("close étude", "own", 1),
        ("field drum", "texture", 1),
    }
    assert "church" in shelf("context", "list", "--kind", "hall")[1]
    assert shelf("context", "rename", "no such", "x")[0] == 2
    assert shelf("context", "list", "--kind", "colour")[0] == 2


def test_a_damaged_piece_hides_no_other(shelf: Cli, ask: Ask, library: Path) -> None:
    shelf("piece", "add", "Good")
    (library / "pieces" / "bad.toml").write_text("title = 5\n")
    code, found = ask("piece", "list")

    assert code == 0
    assert [one["piece"] for one in found["pieces"]] == ["good"]
    assert found["problems"][0]["where"] == "title"
    assert shelf("verify")[0] == 3
    assert shelf("piece", "show", "bad")[0] == 3


def test_a_piece_is_shown_as_one_reads_it(shelf: Cli) -> None:
    code, slug, err = shelf(
        *(
            "piece",
            "add",
            "Boléro",
            "--composer",
            "Ravel",
            "--passage",
            "20-30=louder",
            "--rest",
            "100-110=0:40",
        ),
        *("--lasts", "0:30", "--bars", "340", "--played", "2199-03-01", "--hall", "Old hall"),
    )
    assert code == 0
    assert "Its rests are longer than the whole of it." in err
    assert "It was played on 1 March 2199, which is to come." in err

    code, out, err = shelf("piece", "show", slug.strip())
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert "name Ravel: Boléro" in lines
    assert "lasts 0:30, 340 bars" in lines
    assert lines[lines.index("It asks:") + 1] == "20-30 louder"
    assert lines[lines.index("You rest:") + 1] == "100-110 0:40"
    assert lines[lines.index("Played:") + 1] == "1 March 2199 Old hall"


def test_a_second_one_of_the_same_name_is_said(shelf: Cli) -> None:
    assert "already" not in shelf("piece", "add", "Boléro")[2]
    assert "There is a piece of that name already: bolero." in shelf("piece", "add", "BOLERO")[2]
    assert "already" not in shelf("concert", "add", "Gala")[2]
    assert "There is a concert of that name already: gala." in shelf("concert", "add", "Gala")[2]


PLAN_KEYS = {
    *("concert", "fits", "items", "before_doors", "changes", "work_s", "cost_s", "bound_s", "exact", "short"),
    *("others", "remarks", "problems", "cost_bound_s"),
}


def two_states(shelf: Cli, *, after: str) -> None:
    """A concert of two presets of one drum that differ by a quarter turn of the top head."""
    turned = ("--turn", "top=+1/4", "--top", "B3", "--verdict", "better")
    assert shelf("try", "concert-snare", *turned)[0] == 0
    assert shelf("preset", "from", "concert-snare", "1", "Lower")[0] == 0
    assert shelf("try", "concert-snare", *turned)[0] == 0
    assert shelf("preset", "from", "concert-snare", "2", "Higher")[0] == 0
    items = ("--item", "One=concert-snare/lower", "--after", after, "--item", "Two=concert-snare/higher")
    code, _, err = shelf("concert", "add", "Evening", *items)
    assert code == 0, err


def test_a_concert_is_planned(shelf: Cli, ask: Ask) -> None:
    two_states(shelf, after="45")

    code, found = ask("concert", "plan", "evening")
    assert code == 0
    assert set(found) == PLAN_KEYS
    assert (found["fits"], found["short"], found["work_s"]) == (True, [], 30.0)
    (change,) = found["changes"]
    assert (change["after"], change["before"], change["drum"]) == ("One", "Two", "concert-snare")
    assert (change["from"], change["to"], change["silent"]) == ("lower", "higher", True)
    assert (change["turns"]["top"]["amount"], change["turns"]["top"]["shown"]) == (0.25, "+¼")
    assert (change["seconds"], change["window_s"]) == (30.0, 45.0)
    assert found["bound_s"] == found["work_s"]
    assert found["cost_bound_s"] == found["cost_s"] > found["work_s"]
    (first,) = found["before_doors"]
    assert first == {
        "drum": "concert-snare",
        "to": "lower",
        "before": "One",
        "before_item": 1,
        "silent": False,
    }

    code, out, _ = shelf("concert", "plan", "evening")
    assert code == 0
    assert "the pause after item 1: concert-snare lower → higher" in out
    assert "top head +¼; 0:30 of 0:45" in " ".join(out.split())


def test_a_plan_that_does_not_fit_says_what_would_have_to_give(shelf: Cli, ask: Ask) -> None:
    two_states(shelf, after="20")

    code, found = ask("concert", "plan", "evening")
    assert code == 1
    assert not found["fits"]
    assert found["short"] == [
        "The pause after item 1 lasts 0:20; what is to be changed there takes 0:30: 0:10 more would do."
    ]
    code, out, err = shelf("concert", "plan", "evening", "--changes", "0")
    assert code == 1
    assert "no drum" in out
    assert "would take a change more than is allowed" in err


def test_one_timed_star_is_the_pace_that_plans_reckon_with(shelf: Cli, ask: Ask) -> None:
    assert ask("pace") == (0, {"pace_s": 3.0, "turn_over_s": 15.0})
    assert shelf("pace", "--star", "0:42", "--rods", "10")[1].startswith("4.2 s a rod")
    assert ask("pace", "--turn-over", "12") == (0, {"pace_s": 4.2, "turn_over_s": 12.0})
    two_states(shelf, after="45")
    assert ask("concert", "plan", "evening")[1]["work_s"] == 42.0
    assert shelf("concert", "edit", "evening", "--pace", "2")[0] == 0
    assert ask("concert", "plan", "evening")[1]["work_s"] == 20.0
    assert ask("pace", "2.5") == (0, {"pace_s": 2.5, "turn_over_s": 12.0})


@pytest.mark.parametrize(
    "wrong",
    [
        ("--star", "30"),
        ("--rods", "8"),
        ("3", "--star", "30", "--rods", "8"),
        ("--star", "30", "--rods", "0"),
        ("--star", "none", "--rods", "8"),
        ("0.01",),
        ("nan",),
        ("--turn-over", "-1"),
    ],
)
def test_a_pace_that_is_none_is_refused(shelf: Cli, ask: Ask, wrong: tuple[str, ...]) -> None:
    code, _, err = shelf("pace", *wrong)
    assert code == 2, err
    assert ask("pace") == (0, {"pace_s": 3.0, "turn_over_s": 15.0})


@pytest.mark.parametrize("limit", [("--changes", "-1"), ("--drums", "-1"), ("--changes", "few")])
def test_limits_of_a_plan_are_whole_numbers(shelf: Cli, limit: tuple[str, str]) -> None:
    two_states(shelf, after="20")
    code, _, err = shelf("concert", "plan", "evening", *limit)
    assert code == 2
    assert limit[0].strip("-") in err
