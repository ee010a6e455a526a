"""What the floor loads, and that reading writes nothing, starts nothing and asks no other machine."""

import importlib.metadata
import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement

from lugbook.scores import read_part

Hand = Any

WATCHED = """
import json, os, sys
seen = []
WATCHED = "os.mkdir os.rename os.remove os.symlink os.system os.posix_spawn os.exec os.fork os.truncate"
WATCHED = f"{WATCHED} socket.connect socket.getaddrinfo socket.gethostbyname socket.sendto".split()
def watch(event, arguments):
    name = event.partition(".")[0]
    if event == "open" and arguments[0] != os.devnull:
        mode, flags = arguments[1], arguments[2]
        if (flags or 0) & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) or set(mode or "") & set("wax+"):
            seen.append(["open", str(arguments[0])])
    elif name in ("subprocess", "ftplib", "urllib", "tempfile", "shutil") or event in WATCHED:
        seen.append([event, str(arguments)])
sys.dont_write_bytecode = True
sys.addaudithook(watch)
from lugbook.scores import read_part
for path in sys.argv[1:]:
    try:
        read_part(path)
    except Exception as error:
        assert type(error).__name__ == "BadValue", repr(error)
print(json.dumps([seen, "music21" in sys.modules]))
"""


def run(code: str, *words: str, **places: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", code, *words],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **places},
    )


def test_importing_the_floor_loads_nothing_heavy() -> None:
    """In a fresh interpreter."""
    heavy = "{'music21', 'numpy', 'pydantic', 'textual'} & set(sys.modules)"
    ran = run(f"import sys, lugbook.scores; lugbook.scores.read_part; print({heavy})")

    assert ran.stdout == "set()\n"


def test_reading_midi_does_without_music21(hand: Hand) -> None:
    path = hand.folder / "a.mid"
    body = b"\x00\x99\x26\x50\x60\x89\x26\x00\x00\xff\x2f\x00"
    path.write_bytes(b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c" + body)
    ran = run(WATCHED, str(path))

    assert json.loads(ran.stdout) == [[], False]


def test_reading_leaves_nothing_and_asks_nobody(hand: Hand) -> None:
    """Good files, packed ones and hostile ones, watched from the first import on; homes stay empty."""
    home, temporary = hand.folder / "home", hand.folder / "tmp"
    home.mkdir()
    temporary.mkdir()
    text = hand.file(hand.beats(60) + 4 * hand.note(), hand.direction("<words>rit.</words>") + hand.rest())
    unmended = hand.file("<note><rest/><duration>99</duration></note>" + '<sound tempo="0"/>', name="b.xml")
    entity = hand.folder / "c.xml"
    entity.write_text('<!DOCTYPE a SYSTEM "http://127.0.0.1:1/a.dtd"><a/>', encoding="utf-8")
    bomb = hand.packed(b"<" + b" " * 9_000_000, name="d.mxl")
    files = [text, unmended, entity, hand.packed(text.read_bytes()), bomb]
    before = sorted(hand.folder.iterdir())
    ran = run(
        WATCHED,
        *map(str, files),
        HOME=str(home),
        TMPDIR=str(temporary),
        XDG_CACHE_HOME=str(home),
        XDG_CONFIG_HOME=str(home),
    )

    assert json.loads(ran.stdout) == [[], True]
    assert ran.stderr == ""
    assert not [*home.iterdir(), *temporary.iterdir()]
    assert sorted(hand.folder.iterdir()) == before


def test_the_watch_sees_what_is_written(tmp_path: Path) -> None:
    """So that the test before could fail."""
    code = WATCHED.replace("for path in", f"open({str(tmp_path / 'x')!r}, 'w').close()\nfor path in")

    assert json.loads(run(code).stdout)[0] == [["open", str(tmp_path / "x")]]


@pytest.mark.parametrize("bad", ["<settings", "<settings><preference name='debug' value='oops'/></settings>"])
def test_settings_of_music21_that_are_damaged(hand: Hand, bad: str) -> None:
    """Its settings in the player's home may be broken: that is said, and no other error."""
    (hand.folder / ".music21rc").write_text(bad, encoding="utf-8")
    ran = run(WATCHED, str(hand.file(4 * hand.note())), HOME=str(hand.folder))

    assert json.loads(ran.stdout)[0] == []
    assert ran.stderr == ""


def test_a_fault_of_our_own_is_not_laid_on_music21(hand: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    """It comes out as it is."""
    monkeypatch.delitem(sys.modules, "lugbook.scores.written", raising=False)
    monkeypatch.setitem(sys.modules, "lugbook.scores.single", None)
    with pytest.raises(ImportError, match=r"lugbook\.scores\.single"):
        read_part(hand.file(4 * hand.note()))


def test_no_music21_that_nobody_tried() -> None:
    """The importer is built upon, so a release of new numbers may break it, and an old one may lack it."""
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))
    (bounds,) = (
        one.specifier for one in map(Requirement, project["project"]["dependencies"]) if one.name == "music21"
    )

    assert bounds.contains(importlib.metadata.version("music21"))
    assert not bounds.contains("11.0.0")
    assert not bounds.contains("9.9.2")
