"""The picture in the README is one of the demo's recordings as it is listened to now."""

import io
import json
from pathlib import Path
from xml.etree import ElementTree

from lugbook.cli.main import main

WORDS = ("--near", "B3-5", "--json")


def texts(picture: Path) -> list[str]:
    """Return the texts of a picture, in the order in which they were drawn."""
    root = ElementTree.fromstring(picture.read_text(encoding="utf-8"))  # noqa: S314 -- a file of this repository
    return [element.text or "" for element in root.iter() if element.tag.endswith("}text")]


def test_the_picture_shows_what_is_heard_now(demo: Path, tmp_path: Path) -> None:
    """Everything above the level is the same: name, pitch, uncertainty, taps, target, what else was heard."""
    stdout = io.StringIO()
    drawn = tmp_path / "listening.svg"
    recording = demo / "recordings" / "concert-snare-top.wav"
    words = ["--library", str(demo / "library"), "listen", str(recording), *WORDS, "--picture", str(drawn)]
    environment = {"LUGBOOK_CONFIG": str(tmp_path / "user")}
    code = main(words, stdout=stdout, stderr=io.StringIO(), environment=environment)

    kept, now = texts(demo / "listening.svg"), texts(drawn)
    assert code == 0
    assert json.loads(stdout.getvalue())["picture"] == str(drawn)
    assert kept[: kept.index("Level over time")] == now[: now.index("Level over time")]
