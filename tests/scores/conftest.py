"""Parts written for the tests: MusicXML by hand, bar by bar, and by music21."""

import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import cast

import pytest


def about(value: float) -> float:
    """As pytest's, for tuples and records."""
    return cast("float", pytest.approx(value))


HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
FIRST = (
    "<attributes><divisions>8</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<clef><sign>percussion</sign></clef></attributes>"
)
CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'
)


def score(
    parts: Mapping[str, Sequence[str]] | Sequence[tuple[str, Sequence[str]]],
    *,
    first: str = FIRST,
    head: str = HEAD,
    work: str = "",
) -> str:
    """A score of parts by name; each bar is its contents, or a whole `<measure>`."""
    listed = bodies = ""
    pairs = parts.items() if isinstance(parts, Mapping) else parts
    for place, (name, bars) in enumerate(pairs, 1):
        listed += f'<score-part id="P{place}"><part-name>{name}</part-name></score-part>'
        bodies += f'<part id="P{place}">'
        for number, bar in enumerate(bars, 1):
            whole = bar if bar.startswith("<measure") else f'<measure number="{number}">{bar}</measure>'
            if number == 1:
                whole = whole.replace(">", f">{first}", 1)
            bodies += whole
        bodies += "</part>"
    return (
        f'{head}<score-partwise version="4.0">{work}<part-list>{listed}</part-list>{bodies}</score-partwise>'
    )


def note(kind: str = "quarter", *, signs: str = "", within: str = "", before: str = "") -> str:
    """A stroke of a length; *signs* are its notations, *within* and *before* stand after and before it."""
    length = {"whole": 32, "half": 16, "quarter": 8, "eighth": 4, "16th": 2, "32nd": 1}[kind]
    notations = f"<notations>{signs}</notations>" if signs else ""
    return (
        f"<note>{before}<unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>"
        f"<duration>{length}</duration>{within}<type>{kind}</type>{notations}</note>"
    )


def rest(length: int = 32) -> str:
    """A rest of so many eighths of a quarter."""
    return f"<note><rest/><duration>{length}</duration></note>"


def direction(inside: str, *, sound: str = "") -> str:
    """A direction of something."""
    return f"<direction><direction-type>{inside}</direction-type>{sound}</direction>"


def beats(number: object, unit: str = "quarter") -> str:
    """A metronome mark."""
    return direction(f"<metronome><beat-unit>{unit}</beat-unit><per-minute>{number}</per-minute></metronome>")


class Hand:
    """What writes parts by hand."""

    score = staticmethod(score)
    note = staticmethod(note)
    rest = staticmethod(rest)
    direction = staticmethod(direction)
    beats = staticmethod(beats)
    first = FIRST
    container = CONTAINER

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def file(self, *bars: str, name: str = "part.musicxml", part: str = "Snare Drum", **more: str) -> Path:
        """A file of one part."""
        path = self.folder / name
        path.write_text(score({part: bars}, **more), encoding="utf-8")
        return path

    def packed(
        self,
        text: str | bytes,
        *,
        name: str = "part.mxl",
        path: str = "score.xml",
        container: str = CONTAINER,
    ) -> Path:
        """A compressed file of a text."""
        whole = self.folder / name
        with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("META-INF/container.xml", container.format(path=path))
            archive.writestr(path, text)
        return whole


@pytest.fixture
def hand(tmp_path: Path) -> Hand:
    """What writes parts by hand, into a folder of the test's."""
    return Hand(tmp_path)
