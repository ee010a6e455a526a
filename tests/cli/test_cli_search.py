"""The search in the shell: states written down, what is next, its map, its end, the player's passages."""

import json
import shutil
import subprocess
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from lugbook.desk.appending import TRIES

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]
Python = Callable[..., subprocess.CompletedProcess[str]]

DEMO = Path(__file__).parents[2] / "demo" / "library"
DRUM = "concert-snare"
TRY = ("try", DRUM)

PROGRAM = """
import json, os, sys
from lugbook.cli.main import main
sys.exit(main(json.loads(sys.argv[1]), stdout=sys.stdout, stderr=sys.stderr, environment=os.environ))
"""


@pytest.fixture
def demo(cli: Cli, library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return cli


@pytest.fixture
def begun(shelf: Cli) -> Cli:
    """A search for the dry étude on a drum of which nothing else is known; a better and a worse state."""
    first = ("--for", "dry étude", "--top", "A3", "--bottom", "Eb4", "--words", "flat")
    assert shelf(*TRY, *first)[0] == 0
    assert shelf(*TRY, "--turn", "top=1/4", "--top", "Bb3", "--words", "open", "--verdict", "better")[0] == 0
    assert shelf(*TRY, "--turn", "bottom=¼", "--words", "hard", "--verdict", "worse")[0] == 0
    return shelf


@pytest.mark.usefixtures("shelf")
def test_try_answers_with_entry_position_kept_and_settled(ask: Ask) -> None:
    code, first = ask(*TRY, "--top", "A3+4", "--words", "flat", "--for", "march")
    assert code == 0
    assert set(first) >= {"entry", "position", "kept", "settled", "search", "number", "remarks"}
    assert first["position"] == first["kept"] == {"top": 0.0, "bottom": 0.0}
    assert (first["settled"], first["search"], first["number"]) == (False, "march", 1)
    assert "A new search begins: march." in first["remarks"]

    code, second = ask(*TRY, "--turn", "top=-1/4", "--turn", "bottom=1 3/4", "--verdict", "better")
    assert code == 0
    assert second["position"] == second["kept"] == {"top": -0.25, "bottom": 1.75}
    assert second["entry"] != first["entry"]
    assert not any("new search" in one for one in second["remarks"])


@pytest.mark.usefixtures("begun")
def test_next_has_the_agreed_keys_and_untried_sides(ask: Ask) -> None:
    code, found = ask("next", DRUM)

    assert code == 0
    assert set(found) >= {"propose", "why", "untried", "settled", "search", "kept", "moves", "steps"}
    assert set(found) >= {"near", "alike", "contradictions", "remarks"}
    assert found["settled"] is False
    assert found["kept"] == {"top": 0.25, "bottom": 0.0}
    assert {"top": 0.0, "bottom": 0.0} not in found["untried"]
    assert {"top": 0.25, "bottom": 0.25} not in found["untried"]
    proposed = found["propose"]
    assert set(proposed) == {"head", "turn", "position"}
    assert proposed["position"] in found["untried"]
    assert proposed["turn"] == proposed["position"][proposed["head"]] - found["kept"][proposed["head"]]
    stands = {"top": 0.25, "bottom": 0.25}
    assert all(stands[side] + found["moves"][side] == proposed["position"][side] for side in stands)


def test_a_settled_search_answers_with_code_0(demo: Cli, ask: Ask) -> None:
    code, found = ask("next", DRUM)
    assert (code, found["propose"], found["settled"], found["untried"]) == (0, None, True, [])
    assert "Settled" in demo("next", DRUM)[1]

    code, finer = ask("next", DRUM, "--step", "1/8")
    assert code == 0
    assert finer["settled"] is False
    assert abs(finer["propose"]["turn"]) == 0.125
    assert demo("next", DRUM, "--step", "1/4")[0] == 2


def test_the_text_says_what_was_written_and_what_is_next(shelf: Cli) -> None:
    shelf(*TRY, "--top", "A3+4", "--bottom", "Eb4", "--words", "flat", "--for", "march")
    code, out, _ = shelf(*TRY, "--turn", "bottom=+1/4", "--bottom", "E4", "--words", "crisp")

    assert code == 0
    assert "Entry 2 of the search march: bottom +¼; now top 0, bottom ¼." in out
    assert "bottom E4" in out
    assert "Kept: entry 1" in out
    assert "no verdict yet" in out


@pytest.mark.usefixtures("shelf")
def test_what_comes_later_goes_into_the_same_entry(ask: Ask) -> None:
    ask(*TRY, "--words", "flat")
    _, turned = ask(*TRY, "--turn", "top=1/4", "--passage", "drags=0")
    for number, words in enumerate(
        (["--words", "open"], ["--top", "B3"], ["--passage", "flams=−"], ["--verdict", "better"])
    ):
        which = ("last", "2", turned["entry"], "last")[number]
        code, added = ask(*TRY, "--entry", which, *words)
        assert (code, added["entry"], added["number"]) == (0, turned["entry"], 2)
    assert added["kept"] == {"top": 0.25, "bottom": 0.0}
    _, log = ask("log", DRUM)
    row = log["entries"][1]
    assert len(log["entries"]) == 2
    assert (row["words"], row["verdict"], row["top"]["pitch"]) == ("open", "better", "B3")
    assert row["passages"] == {"drags": "0", "flams": "-"}


@pytest.mark.usefixtures("begun")
def test_an_entry_that_is_struck_out_counts_no_more(ask: Ask) -> None:
    _, before = ask(*TRY, "--turn", "top=1/4", "--verdict", "better")
    code, struck = ask(*TRY, "--strike-out", "last")

    assert (code, struck["entry"]) == (0, before["entry"])
    assert before["kept"] == {"top": 0.5, "bottom": 0.25}
    assert struck["kept"] == {"top": 0.25, "bottom": 0.0}
    assert struck["position"] == {"top": 0.25, "bottom": 0.25}


def test_a_rod_is_an_entry_beside_the_position(begun: Cli, ask: Ask) -> None:
    code, found = ask(*TRY, "--rod", "top.3=+1/16", "--words", "clearer")
    assert (code, found["position"]) == (0, {"top": 0.25, "bottom": 0.25})
    assert "top rod 3 +1/16" in begun("log", DRUM)[1]


def test_every_field_is_kept(begun: Cli, ask: Ask) -> None:
    words = {
        "--snares": "just free",
        "--bounce": "lively",
        "--muffling": "one strip",
        "--sticks": "hickory",
        "--spot": "off centre",
        "--player": "Ada",
        "--temperature": "-5.5",
        "--humidity": "48",
        "--note": "=1+1",
        "--where": "drum",
    }
    typed = [part for pair in words.items() for part in pair]
    assert begun(*TRY, "--turn", "top=-1/4", "--verdict", "worse", *typed)[0] == 0
    row = ask("log", DRUM)[1]["entries"][-1]
    assert row["snares"] == "just free"
    assert (row["bounce"], row["muffling"], row["sticks"]) == ("lively", "one strip", "hickory")
    assert (row["playing_spot"], row["player"], row["note"]) == ("off centre", "Ada", "=1+1")
    assert (row["temperature_c"], row["humidity_pct"], row["heard"]) == (-5.5, 48.0, "at the drum")


def test_a_verdict_of_the_hall_is_kept_and_does_not_count(begun: Cli) -> None:
    code, out, _ = begun(*TRY, "--turn", "top=1/4", "--verdict", "better", "--where", "hall")

    assert code == 0
    assert "does not count" in out
    assert "Kept: entry 2" in out


def test_pitches_stay_hidden_until_words_and_verdict_are_in(begun: Cli) -> None:
    assert begun("passages", "--hide-pitches", "yes")[0] == 0
    _, out, _ = begun(*TRY, "--turn", "top=1/4", "--top", "C#4+7")
    assert "hidden" in out
    assert "C#4+7" not in out
    assert "C#4+7" not in begun("log", DRUM)[1]
    assert "C#4+7" not in begun("log", DRUM, "--all")[1]

    _, out, _ = begun(*TRY, "--entry", "last", "--words", "thin", "--verdict", "worse")
    assert "C#4+7" in out
    assert "C#4+7" in begun("log", DRUM, "--all")[1]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--verdict", "best", "--turn", "top=1/4"], 2, "better or same or worse"),
        ([], 2, "nothing to write down"),
        (["--words", ""], 2, "nothing to write down"),
        (["--player", "Ada"], 2, "nothing to write down"),
        (["--turn", "top=0.3"], 2, "no multiple of 1/64"),
        (["--turn", "side=1/4"], 2, "--turn"),
        (["--turn", "top=1/4", "--turn", "top=1/4"], 2, "named twice"),
        (["--rod", "top=1/16"], 2, "names no rod"),
        (["--rod", "top.11=1/16"], 2, "no rod 11"),
        (["--rod", "top.x=1/16"], 2, "no whole number"),
        (["--rod", "top.1=0"], 2, "turns nothing"),
        (["--rod", "top.1=1/16", "--rod", "top.2=1/16"], 2, "one rod"),
        (["--rod", "top.1=1/16", "--turn", "top=1/4"], 2, "two entries"),
        (["--words", "a\x1b[2Jb"], 2, "control character"),
        (["--words", "x" * 10_000], 2, "2000"),
        (["--search", "s\x07", "--words", "x"], 2, "control character"),
        (["--at", "2126-01-01 12:00", "--words", "x"], 2, "future"),
        (["--at", "noon", "--words", "x"], 2, "no time"),
        (["--at", "2026-01-01", "--words", "x"], 2, "no time"),
        (["--passage", "drags", "--words", "x"], 2, "names no value"),
        (["--passage", "drags=good"], 2, "no mark"),
        (["--passage", "drags=+", "--passage", "Drags=0"], 2, "marked twice"),
        (["--where", "outside"], 2, "drum or hall"),
        (["--entry", "nobody", "--words", "x"], 2, "no entry"),
        (["--entry", "99", "--words", "x"], 2, "no entry 99"),
        (["--entry", "last", "--turn", "top=1/4"], 2, "stay as they are"),
        (["--entry", "last"], 2, "nothing to write down"),
        (["--strike-out", "last", "--words", "x"], 2, "goes alone"),
        (["--strike-out", "2"], 1, "rest on the turn"),
        (["--humidity", "120", "--words", "x"], 2, "humidity"),
    ],
)
def test_what_cannot_be_written_is_refused_and_nothing_is_kept(
    begun: Cli, ask: Ask, words: list[str], code: int, said: str
) -> None:
    before = ask("log", DRUM)[1]["entries"]
    found, out, err = begun(*TRY, *words)

    assert (found, out) == (code, "")
    assert said.lower() in err.lower()
    assert "\x1b" not in err
    assert ask("log", DRUM)[1]["entries"] == before


def test_a_verdict_with_nothing_to_compare_with(shelf: Cli) -> None:
    code, out, err = shelf(*TRY, "--verdict", "better")

    assert (code, out) == (1, "")
    assert "nothing to compare with yet" in err

    assert shelf(*TRY, "--words", "flat")[0] == 0
    assert "the kept state itself" in shelf(*TRY, "--verdict", "better")[2]


def test_a_turn_past_a_limit_was_made_and_is_cautioned(begun: Cli, ask: Ask) -> None:
    assert begun("drum", "edit", DRUM, "--limit", "top=1/2")[0] == 0
    code, found = ask(*TRY, "--turn", "top=1/2", "--words", "tight")

    assert code == 0
    assert found["position"]["top"] == 0.75
    assert any("past its limit of ½" in one for one in found["remarks"])


@pytest.mark.parametrize(
    "words",
    [("next", DRUM), ("map", DRUM), ("log", DRUM), ("search", "show", DRUM), ("search", "settle", DRUM)],
)
def test_an_unknown_search_is_named_with_those_there_are(begun: Cli, words: tuple[str, ...]) -> None:
    code, out, err = begun(*words, "--search", "marches")

    assert (code, out) == (2, "")
    assert "There is no search 'marches'" in err
    assert "dry étude" in err


def test_where_no_search_was_begun_that_is_said(shelf: Cli) -> None:
    assert shelf("next", DRUM)[0] == 2
    assert "No search was begun" in shelf("map", DRUM)[2]
    assert shelf("next", "nobody")[0] == 2
    assert "empty" in shelf("log", DRUM)[2]
    code, out, err = shelf("search", "list", DRUM)
    assert (code, out) == (0, "")
    assert "No search" in err


def test_a_rope_drum_has_states_and_no_turns(shelf: Cli, ask: Ask) -> None:
    code, first = ask("try", "old-march", "--top", "E3", "--words", "dark", "--for", "march")
    assert (code, first["kept"], first["position"]) == (0, None, {"top": None, "bottom": None})
    assert shelf("try", "old-march", "--turn", "top=1/4")[0] == 1
    assert "rope" in shelf("next", "old-march")[1]
    assert ask("next", "old-march")[1]["propose"] is None
    assert shelf("map", "old-march")[0] == 1


@pytest.mark.usefixtures("begun")
def test_two_programs_at_once_lose_nothing(ask: Ask, python: Python) -> None:
    """Both turn the same head at once, again and again: every entry is there and the turns add up."""
    each, programs = 3, 2
    words = [*TRY, "--turn", "top=1/64", "--words", "both"]

    def turn(_: int) -> list[int]:
        return [python("-c", PROGRAM, json.dumps(words)).returncode for _ in range(each)]

    with ThreadPoolExecutor(programs) as pool:
        codes = [code for found in pool.map(turn, range(programs)) for code in found]

    assert codes == [0] * each * programs
    assert programs < TRIES
    rows = ask("log", DRUM)[1]["entries"]
    tops = [row["position"]["top"] for row in rows if row["words"] == "both"]
    assert tops == [0.25 + turns / 64 for turns in range(1, each * programs + 1)]
    code, found = ask("verify")
    assert (code, found["problems"]) == (0, [])


def test_the_searches_are_listed_and_shown(demo: Cli, ask: Ask) -> None:
    assert demo(*TRY, "--for", "big orchestral tutti", "--words", "wet")[0] == 0
    code, found = ask("search", "list", DRUM)
    assert code == 0
    assert [one["search"] for one in found["searches"]] == ["big orchestral tutti", "dry étude"]
    assert [one["settled"] for one in found["searches"]] == [False, True]
    assert found["searches"][1]["kept"] == {"top": 1.5, "bottom": 2.25, "number": 16}
    _, out, _ = demo("search", "list", DRUM)
    assert [line.split("  ")[0] for line in out.splitlines()[1:]] == ["big orchestral tutti", "dry étude"]

    code, shown = ask("search", "show", DRUM, "--search", "Dry Etude")
    assert (code, shown["search"], shown["entries"]) == (0, "dry étude", 16)
    assert "Kept: entry 16" in demo("search", "show", DRUM, "--search", "dry étude")[1]


def test_contradictions_are_shown(begun: Cli, ask: Ask) -> None:
    """Better than the start, worse than that in another place, and the start better than the other place."""
    assert begun(*TRY, "--turn", "top=-1/4", "--verdict", "better")[0] == 0
    assert begun(*TRY, "--turn", "bottom=-1/4", "--words", "the start again", "--verdict", "better")[0] == 0
    found = ask("next", DRUM)[1]

    assert len(found["contradictions"]) == 1
    assert set(found["contradictions"][0]) == {2, 4, 5}
    for words in (("next", DRUM), ("log", DRUM), ("search", "show", DRUM)):
        assert "cannot all be true" in begun(*words)[1]


def test_a_search_is_gone_on_with_where_the_drum_stayed_and_not_where_it_drifted(
    begun: Cli, ask: Ask
) -> None:
    begun(*TRY, "--entry", "last", "--top", "Bb3", "--bottom", "E4")
    assert begun("search", "resume", DRUM)[0] == 2
    code, same = ask("search", "resume", DRUM, "--top", "Bb3+3", "--bottom", "E4")
    assert (code, same["drifted"], same["void"], same["before"]) == (0, False, [], 3)
    code, creeping = ask("search", "resume", DRUM, "--top", "Bb3+9", "--bottom", "E4")
    assert (creeping["drifted"], creeping["before"]) == (False, 3)
    code, off = ask("search", "resume", DRUM, "--top", "Bb3-70", "--bottom", "E4")
    assert (code, off["drifted"], off["void"]) == (0, True, [1, 2, 3, 4, 5])
    assert "70 cents lower" in off["sentence"]
    assert off["kept"] == off["position"]
    out = begun("search", "resume", DRUM, "--top", "A3-20", "--bottom", "E4")[1]
    assert "No longer counts: 6." in out


def test_a_search_ends_and_keeps_what_it_found(begun: Cli, ask: Ask) -> None:
    code, found = ask("search", "settle", DRUM, "--preset", "Dry one")
    assert (code, found["preset"], found["settled"]) == (0, "concert-snare/dry-one", True)
    code, kept = ask("preset", "show", "concert-snare/dry-one")
    assert (code, kept["words"], kept["top"]["pitch"]) == (0, "open", "Bb3")
    assert kept["turns"]["top"]["amount"] == 0.25
    assert ask("next", DRUM)[1]["settled"] is True

    assert begun("search", "settle", DRUM, "--preset", "Dry two")[0] == 1
    assert begun("preset", "show", "concert-snare/dry-two")[0] == 2
    assert begun(*TRY, "--search", "dry étude", "--turn", "top=1/4", "--verdict", "worse")[0] == 0
    assert begun("search", "settle", DRUM)[0] == 0


def test_a_state_becomes_a_preset(begun: Cli, ask: Ask) -> None:
    rows = ask("log", DRUM)[1]["entries"]
    for which, words, name in (
        ("kept", "open", "dry-etude-2"),
        ("1", "flat", "as-it-was"),
        (rows[2]["entry"], "hard", "hard"),
        ("last", "hard", "last"),
    ):
        named = [] if which == "kept" else [name]
        code, out, _ = begun("preset", "from", DRUM, which, *named)
        assert (code, out.strip()) == (0, f"{DRUM}/{name}")
        assert ask("preset", "show", out.strip())[1]["words"] == words
    assert begun("preset", "from", DRUM, "1", "Two", "--for", "march", "--for", "tutti")[0] == 0
    assert ask("preset", "show", f"{DRUM}/two")[1]["contexts"] == ["march", "tutti"]
    assert begun("preset", "from", DRUM, "9")[0] == 2
    assert begun("preset", "from", DRUM, "kept", "--search", "none")[0] == 2


def test_the_map_in_text_json_and_as_a_picture(begun: Cli, ask: Ask, tmp_path: Path) -> None:
    code, out, _ = begun("map", DRUM)
    assert code == 0
    assert "●2 kept" in out
    assert "[−3 worse]" in out
    assert out.count("▶") == 2  # on the map and in what its signs mean

    path = tmp_path / "map.svg"
    code, found = ask("map", DRUM, "--svg", str(path))
    assert (code, found["picture"]) == (0, str(path))
    states = {(one["position"]["top"], one["position"]["bottom"]): one for one in found["states"]}
    assert states[0.25, 0.0]["standing"] == "kept"
    assert states[0.25, 0.25]["here"] is True
    assert sum(one["next"] for one in found["states"]) == 1
    kept = path.read_text(encoding="utf-8")

    code, drawn, _ = begun("map", DRUM, "--svg")
    assert (code, drawn) == (0, kept)
    root = ElementTree.fromstring(drawn)  # noqa: S314 -- it was written by the code under test just now
    assert root.tag.endswith("svg")
    assert begun("map", DRUM, "--svg", str(tmp_path / "map.png"))[0] == 2
    assert begun("map", DRUM, "--svg", str(tmp_path / "no" / "map.svg"))[0] == 2
    assert begun("map", DRUM, "--json", "--svg")[0] == 2


def test_passages_are_the_players_own(begun: Cli, ask: Ask, tmp_path: Path) -> None:
    assert ask("passages")[1] == {"passages": [], "hide_pitches": False, "remarks": []}
    code, found = ask("passages", "drags", "flams", "pp roll")
    assert (code, found["passages"], found["remarks"]) == (0, ["drags", "flams", "pp roll"], [])
    assert begun("passages")[1].splitlines() == ["drags", "flams", "pp roll"]
    assert 'passages = ["drags"' in (tmp_path / "user" / "settings.toml").read_text().replace("\n    ", "")

    _, tried = ask(*TRY, "--entry", "last", "--passage", "DRAGS=+", "--passage", "rimshot=-")
    assert any("Not among your test passages: rimshot" in one for one in tried["remarks"])
    assert ask("log", DRUM)[1]["entries"][-1]["passages"] == {"drags": "+", "rimshot": "-"}

    assert "3 to 6" in begun("passages", "drags", "flams")[2]
    assert begun("passages", *"abcdefg")[0] == 2
    assert begun("passages", "Drags", "drags")[0] == 2
    assert begun("passages", "dr\x1bags")[0] == 2
    assert begun("passages", "--none", "drags")[0] == 2
    assert begun("passages", "--hide-pitches", "perhaps")[0] == 2
    assert ask("passages", "--none")[1]["passages"] == []


def test_single_tension_turns_both_heads(shelf: Cli, ask: Ask) -> None:
    assert shelf("drum", "add", "Field", "--diameter", "14", "--tension", "single")[0] == 0
    ask("try", "field", "--words", "flat")
    code, found = ask("try", "field", "--turn", "top=1/4", "--verdict", "better")
    assert (code, found["kept"]) == (0, {"top": 0.25, "bottom": 0.25})
    proposed = ask("next", "field")[1]["propose"]
    assert (proposed["head"], proposed["position"]) == ("both", {"top": 0.5, "bottom": 0.5})
    assert shelf("try", "field", "--turn", "top=1/4", "--turn", "bottom=1/8")[0] == 2
