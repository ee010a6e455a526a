"""Cards in the shell: where they go, what is refused, and the same facts in each form."""

import shutil
import sys
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from lugbook.desk import Desk, concert_carding
from lugbook.desk.changing import change as silent_change
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem, Setting
from lugbook.desk.programmes import programme

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

DEMO = Path(__file__).parents[2] / "demo" / "library"
PRESET = "concert-snare/dry-etude"
CARDS = [("preset", PRESET), ("drum", "concert-snare"), ("blank", "concert-snare")]


@pytest.fixture
def demo(cli: Cli, library: Path) -> Cli:
    """Run commands on a copy of the demo's library."""
    shutil.copytree(DEMO, library)
    return cli


@pytest.mark.parametrize(("kind", "name"), CARDS)
def test_a_page_goes_to_stdout(demo: Cli, kind: str, name: str) -> None:
    code, out, err = demo("card", kind, name)

    assert (code, err) == (0, "")
    assert out.startswith("<!doctype html>\n")
    assert out.endswith("</html>\n")
    assert f"size: {'210mm 297mm' if kind == 'blank' else '105mm 148mm'}" in out


@pytest.mark.parametrize(("kind", "name"), CARDS)
def test_plain_text_is_42_columns_wide(demo: Cli, kind: str, name: str) -> None:
    code, out, err = demo("card", kind, name, "--text")

    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 42
    assert "Caution:" in out


def test_the_page_is_of_the_paper_that_was_asked_for(demo: Cli) -> None:
    code, out, _ = demo("card", "preset", PRESET, "--paper", "letter")

    assert code == 0
    assert "@page { size: 215.9mm 279.4mm" in out
    code, _, err = demo("card", "preset", PRESET, "--paper", "a7")
    assert code == 2
    assert "a6" in err


def test_a_file_is_written_and_never_replaced_unasked(demo: Cli, tmp_path: Path) -> None:
    target = tmp_path / "dry.html"
    code, out, err = demo("card", "preset", PRESET, "--out", str(target))
    assert (code, out) == (0, "")
    assert err == f"Written to {target}.\n"
    assert target.read_text(encoding="utf-8").endswith("</html>\n")

    target.write_text("mine", encoding="utf-8")
    code, out, err = demo("card", "preset", PRESET, "--out", str(target))
    assert (code, out) == (2, "")
    assert "there already" in err
    assert "--replace" in err
    assert target.read_text(encoding="utf-8") == "mine"

    assert demo("card", "preset", PRESET, "--out", str(target), "--replace")[0] == 0
    assert target.read_text(encoding="utf-8").startswith("<!doctype html>")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--out", "card.pdf"), "does not end in .html"),
        (("--out", "card.html", "--text"), "does not end in .txt"),
        (("--out", "nowhere/card.html"), "There is no folder"),
        (("--text", "--qr"), "--qr is for a page"),
        (("--text", "--paper", "a5"), "--paper is for a page"),
        (("--replace",), "--replace names no file"),
    ],
)
def test_what_cannot_be_is_refused(
    demo: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = demo("card", "preset", PRESET, *words)

    assert (code, out) == (2, "")
    assert said in err
    assert not list(tmp_path.glob("card.*"))


def test_a_code_is_drawn_or_its_package_named(demo: Cli, monkeypatch: pytest.MonkeyPatch) -> None:
    assert 'class="qr"' in demo("card", "preset", PRESET, "--qr")[1]

    monkeypatch.setitem(sys.modules, "segno", None)
    code, out, err = demo("card", "preset", PRESET, "--qr")
    assert (code, out) == (2, "")
    assert "lugbook[qr]" in err


@pytest.mark.usefixtures("demo")
def test_json_has_the_facts_of_the_page(demo: Cli, ask: Ask) -> None:
    code, card = ask("card", "preset", PRESET)
    page = demo("card", "preset", PRESET)[1]

    assert code == 0
    assert (card["card"], card["drum"], card["preset"]) == ("preset", "concert-snare", "dry-etude")
    assert [one["hz"] for one in card["pitches"]] == [247.4, 349.6]
    assert [one["amount"] for one in card["turns"]] == [1.5, 2.25]
    assert card["map"]["kept"] == {"top": 1.5, "bottom": 2.25}
    assert (card["a4_hz"], card["made"], card["file"]) == (442.0, "21 October 2026", None)
    for fact in (
        *(one["shown"] for one in card["pitches"]),
        *(card["interval"], card["words"], card["snares"], card["name"], card["drum_name"], card["made"]),
        *(one["reference"] for one in card["turns"]),
    ):
        assert fact in page, fact


@pytest.mark.usefixtures("demo")
def test_json_of_a_drum_and_of_a_chart(ask: Ask, tmp_path: Path) -> None:
    target = tmp_path / "drum.html"
    drum = ask("card", "drum", "concert-snare", "--out", str(target))[1]
    blank = ask("card", "blank", "concert-snare")[1]

    assert drum["file"] == str(target)
    assert target.exists()
    assert [one["name"] for one in drum["presets"]] == ["Dry étude", "Opera pit", "Soft rolls"]
    assert {"heading": "Tension", "text": "separate"} in drum["facts"]
    assert blank["references"][0] == {"heading": "Top head", "text": "finger tight, then half a turn"}
    assert blank["rods"][1]["bed"] == [1, 5, 6, 10]


def test_a_name_that_is_a_script_stays_text(demo: Cli, ask: Ask) -> None:
    name = "<script>alert(1)</script>"
    made = demo("preset", "add", "concert-snare", name, "--top", "A3")[1].strip()
    page = demo("card", "preset", made)[1]

    assert "<script" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert name in demo("card", "preset", made, "--text")[1].splitlines()
    assert ask("card", "preset", made)[1]["name"] == name


def test_what_is_left_out_of_a_page_is_told_beside_it(demo: Cli, ask: Ask, tmp_path: Path) -> None:
    for number in (1, 2, 3):
        assert demo("preset", "add", "concert-snare", f"Other {number}", "--top", "A3")[0] == 0
    told = "Left out on a6, for there is no room: 2 more presets; --text has everything."
    code, page, err = demo("card", "drum", "concert-snare")

    assert (code, err.splitlines()) == (0, [told])
    assert "2 more presets not on this card" in page
    written = demo("card", "drum", "concert-snare", "--out", str(tmp_path / "drum.html"))[2].splitlines()
    assert written == [f"Written to {tmp_path / 'drum.html'}.", told]
    assert "Left out" not in demo("card", "drum", "concert-snare", "--paper", "a5")[2]
    assert "Left out" not in demo("card", "drum", "concert-snare", "--text")[2]
    assert ask("card", "drum", "concert-snare")[0] == 0


def test_a_long_concert_tells_what_is_left_out_of_its_card(demo: Cli) -> None:
    items = [word for number in range(90) for word in ("--item", f"Waltz no. {number}={PRESET}")]
    assert demo("concert", "add", "Long", *items)[0] == 0
    code, _, err = demo("card", "concert", "long", "--paper", "a6")

    assert code == 0
    assert err.startswith("Left out on a6, for there is no room: ")
    assert "titles of items played as the one before" in err
    assert err.endswith("; --text has everything.\n")


@pytest.fixture
def planned(demo: Cli, library: Path, monkeypatch: pytest.MonkeyPatch) -> Cli:
    """Run commands on a library with a concert whose plan is known: one change after its first item."""
    script, preset = "<script>alert(1)</script>", "concert-snare/soft-rolls"
    items = ("--item", f"{script}={PRESET}", "--after", "240", "--item", f"Waltz={preset}")
    code, out, err = demo("concert", "add", "Spring", "--date", "2027-04-03", *items)
    assert (code, out.strip()) == (0, "spring"), err

    def plan(desk: Desk, slug: str) -> ConcertPlan:
        found, drum = programme(desk, slug), "concert-snare"
        how = silent_change(desk, PRESET, preset)
        pause = Between(after=1, rest=None, seconds=240.0)
        return ConcertPlan(
            programme=found,
            items=tuple(PlannedItem(row, row.presets) for row in found.rows),
            before_doors=(Setting(drum, "dry-etude", 1),),
            changes=(PlannedChange(drum, "dry-etude", "soft-rolls", pause, 2, how),),
            fits=True,
            work_s=how.seconds,
            cost_s=how.seconds,
            bound_s=how.seconds,
            exact=True,
            missing=(),
            short=(),
            others=(),
            remarks=(),
        )

    monkeypatch.setattr(concert_carding, "plan_concert", plan)
    assert library.is_dir()
    return demo


def test_the_card_of_a_concert_is_a_page_of_a4(planned: Cli, tmp_path: Path) -> None:
    code, page, err = planned("card", "concert", "spring")
    target = tmp_path / "spring.html"

    assert (code, err) == (0, "")
    assert "size: 210mm 297mm" in page
    assert "3 April 2027" in page
    assert "Concert snare → Soft rolls" in page
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert planned("card", "concert", "spring", "--paper", "a5", "--out", str(target))[0] == 0
    assert "size: 148mm 210mm" in target.read_text(encoding="utf-8")


@pytest.mark.usefixtures("planned")
def test_a_concert_in_plain_text_and_json_has_the_facts_of_the_page(demo: Cli, ask: Ask) -> None:
    lines = demo("card", "concert", "spring", "--text")[1].splitlines()
    code, card = ask("card", "concert", "spring")
    page = unescape(demo("card", "concert", "spring")[1])

    assert max(map(len, lines)) <= 42
    assert "[ ] Concert snare: Dry étude to Soft" in lines
    assert code == 0
    assert (card["card"], card["concert"], card["fits"], card["file"]) == ("concert", "spring", True, None)
    assert [one["played"] for one in card["items"]] == [
        [{"drum": "Concert snare", "preset": "Dry étude"}],
        [{"drum": "Concert snare", "preset": "Soft rolls"}],
    ]
    (window,) = card["windows"]
    (change,) = window["changes"]
    assert (window["after"], window["seconds"], window["work_s"]) == (1, 240.0, change["seconds"])
    assert change["turns"]
    for turn in change["turns"]:
        assert f"{turn['head']} {turn['shown']}" in page
    assert change["trusted"] == (not change["doubts"])


def test_what_is_not_there_is_said_with_the_nearest(demo: Cli) -> None:
    for kind, name in (
        ("preset", "concert-snare/dry-etud"),
        ("drum", "concert-snar"),
        ("blank", "concert-snar"),
    ):
        code, out, err = demo("card", kind, name)
        assert (code, out) == (2, "")
        assert "concert-snare" in err


def test_what_cannot_be_read_is_told_beside_every_card(demo: Cli, ask: Ask, library: Path) -> None:
    path = library / "drums" / "concert-snare" / "presets" / "soft-rolls.toml"
    path.write_text("name = ")
    for kind, name in (*CARDS[:2], ("concert", "winter-concert")):
        code, out, err = demo("card", kind, name, "--text")
        assert (code, str(library) in out) == (0, False)
        assert str(path) in err
        _, shape = ask("card", kind, name)
        assert [one["file"] for one in shape["problems"]] == [str(path)]
