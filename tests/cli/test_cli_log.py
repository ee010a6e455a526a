"""The logbook as a chart: in the terminal, as JSON, for a spreadsheet, and on paper."""

import csv
import io
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.cards.blank_chart import HEIGHT, WIDTH, BlankHead, blank_chart
from lugbook.desk.spreadsheet import HEADS, plain_text, safe_text

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DEMO = Path(__file__).parents[2] / "demo" / "library"
DRUM = "concert-snare"


@pytest.fixture
def demo(cli: Cli, library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return cli


def read_csv(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_the_chart_is_the_present_search_with_its_proposal(demo: Cli) -> None:
    code, out, err = demo("log", DRUM)
    lines = out.splitlines()

    assert (code, err) == (0, "")
    assert lines[0].split() == [
        *("no.", "turn", "top", "bottom", "top", "head", "bottom", "head", "snares", "words", "verdict")
    ]
    assert lines[2].startswith("2    top +¼")
    assert "better" in lines[2]
    assert any("kept" in line and line.startswith("16") for line in lines)
    assert "Settled" in out
    assert max(map(len, lines[:22])) <= 130


def test_long_words_go_on_beneath_and_nothing_is_lost(demo: Cli) -> None:
    words = " ".join(f"word{number}" for number in range(60))
    assert demo("try", DRUM, "--words", words)[0] == 0
    out = demo("log", DRUM)[1]

    assert all(word in out for word in words.split())
    assert max(map(len, out.splitlines())) <= 130


@pytest.mark.usefixtures("demo")
def test_all_is_the_whole_logbook(ask: Ask) -> None:
    one, whole = ask("log", DRUM)[1], ask("log", DRUM, "--all")[1]

    assert one["search"] == "dry étude"
    assert whole["search"] is None
    assert whole["next"] is None
    assert len(whole["entries"]) > len(one["entries"]) == 16
    assert {row["entry"] for row in one["entries"]} < {row["entry"] for row in whole["entries"]}
    assert one["next"]["settled"] is True
    assert [row["kept"] for row in one["entries"]].count(True) == 1


def test_without_a_search_the_whole_logbook_is_shown(demo: Cli, ask: Ask) -> None:
    assert ask("search", "list", "field-drum")[1]["searches"] == []
    assert demo("log", "field-drum") == demo("log", "field-drum", "--all")


def test_csv_is_read_back_as_it_was(demo: Cli, ask: Ask) -> None:
    """Every field, by a reader of the standard library; numbers as numbers, texts as they were."""
    words = '=SUM(A1:A9), "quoted", +5; -7'
    code, _ = ask("try", DRUM, "--turn", "top=-1/4", "--top", "221.3", "--words", words, "--note", "@home")
    assert code == 0
    code, text, _ = demo("log", DRUM, "--csv")
    rows, entries = read_csv(text), ask("log", DRUM)[1]["entries"]

    assert code == 0
    assert text.count("\r\n") == len(entries) + 1
    assert tuple(rows[0]) == HEADS
    for row, entry in zip(rows, entries, strict=True):
        assert (row["entry"], row["number"], row["at"]) == (entry["entry"], str(entry["number"]), entry["at"])
        assert plain_text(row["words"]) == entry["words"]
        assert (row["verdict"] or None) == entry["verdict"]
        for side in ("top", "bottom"):
            assert float(row[f"position_{side}"]) == entry["position"][side]
            assert float(row[f"turn_{side}"] or 0) == (entry["turn"][side] or 0)
            if entry[side] is not None:
                assert float(row[f"{side}_hz"]) == entry[side]["hz"]
                assert len(row[f"{side}_hz"].partition(".")[2]) == 3
                assert len(row[f"{side}_sd_cents"].partition(".")[2]) == 2
    last = rows[-1]
    assert (last["words"], last["note"], last["turn_top"]) == (f"'{words}", "'@home", "-0.25")
    assert [row["kept"] for row in rows].count("yes") == 1
    assert [row["rod"] for row in rows].count("4") == 1


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=12))
def test_no_text_begins_a_formula_and_none_is_lost(text: str) -> None:
    cell = safe_text(text)

    assert plain_text(cell) == text
    assert cell[:1] not in ("=", "+", "-", "@", "\t", "\r")
    assert cell.strip()[:1] not in ("=", "+", "-", "@")


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "＝", "＋", " =", "'"])
def test_what_a_spreadsheet_reckons_is_marked_as_text(sign: str) -> None:
    assert safe_text(f"{sign}1") == f"'{sign}1"
    assert safe_text(f"dry {sign}1") == f"dry {sign}1"


def test_the_paper_chart_fits_its_page_and_holds_no_data(demo: Cli) -> None:
    assert demo("passages", "drags", "flams", "pp roll")[0] == 0
    for drum in (DRUM, "field-drum", "rope-drum"):
        code, out, _ = demo("log", drum, "--blank")
        lines = out.splitlines()
        assert code == 0
        assert max(map(len, lines)) <= WIDTH
        assert HEIGHT - 4 <= len(lines) <= HEIGHT
        assert "a drags, b flams, c pp roll" in out
        assert "Caution" in out
        assert ("rod strip" in out) == (drum != "rope-drum")
        assert "crisp" not in out
    out = demo("log", DRUM, "--blank")[1]
    assert "Concert snare" in out
    assert "1 6 3 8 5 10 7 2 9 4" in out
    assert "Top head counted from: finger tight" in out
    assert "verdict" in out
    assert "turn" not in demo("log", "rope-drum", "--blank")[1].partition("no.|")[2].partition("\n")[0]
    assert demo("drum", "add", "Single", "--diameter", "14", "--tension", "single")[0] == 0
    assert "Both heads, rods in order" in demo("log", "single", "--blank")[1]


def test_the_paper_chart_stays_on_its_page_whatever_it_is_called() -> None:
    heads = [BlankHead("Top head", tuple(range(1, 25)), "x" * 500), BlankHead("Bottom head", (), "y z " * 99)]
    lines = blank_chart("n " * 300 + "\x1b[2J", heads, passages=["p" * 120] * 6)

    assert max(map(len, lines)) <= WIDTH
    assert len(lines) <= HEIGHT
    assert sum(line.startswith("---+") for line in lines) >= 8
    assert all(line.isprintable() for line in lines)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--csv", "--json"], "two answers"),
        (["--csv", "--blank"], "two answers"),
        (["--all", "--search", "dry étude"], "one of the two"),
    ],
)
def test_two_answers_at_once_are_refused(demo: Cli, words: list[str], said: str) -> None:
    code, out, err = demo("log", DRUM, *words)

    assert (code, out) == (2, "")
    assert said in err
