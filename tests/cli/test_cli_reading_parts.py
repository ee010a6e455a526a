"""Parts from the shell, as music21 writes them: shown in words, asked about, and kept after a yes."""

import io
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import pytest
from music21 import clef, converter, dynamics, expressions, metadata, meter, note, stream, tempo

from lugbook.cli.main import main
from lugbook.cli.output import Output, ProgressLine

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]


def drum_part(name: str, *, bars: int = 20) -> stream.Part:
    """A part of 4/4: a quarter 96, from bar 11 on 60; bars 3 and 4 rolled, 5 to 12 silent; pp, then ff."""
    part: Any = stream.Part(id=name)  # type: ignore[no-untyped-call]  # music21 types it in part
    part.partName = name
    for number in range(1, bars + 1):
        bar: Any = stream.Measure(number=number)
        if number == 1:
            bar.append(clef.PercussionClef())  # type: ignore[no-untyped-call]  # as said above
            bar.append(meter.TimeSignature("4/4"))
            bar.insert(0, tempo.MetronomeMark(number=96))
            bar.insert(0, dynamics.Dynamic("pp"))  # type: ignore[no-untyped-call]  # as said above
        if number == 11:
            bar.insert(0, tempo.MetronomeMark(number=60))
        if number == 13:
            bar.insert(0, dynamics.Dynamic("ff"))  # type: ignore[no-untyped-call]  # as said above
        if 5 <= number <= 12:
            bar.append(note.Rest(quarterLength=4))
        elif number in (3, 4):
            roll: Any = note.Unpitched(quarterLength=4)
            roll.expressions.append(expressions.Tremolo())  # type: ignore[no-untyped-call]  # as said above
            bar.append(roll)
        else:
            bar.repeatAppend(note.Unpitched(quarterLength=0.5), 8 if number == 14 else 1)
            bar.append(note.Rest(quarterLength=4 - bar.highestTime)) if number != 14 else None
        part.append(bar)
    return cast("stream.Part", part)


def score(*names: str, title: str = "Evening suite") -> stream.Score:
    whole: stream.Score = stream.Score([drum_part(name) for name in names])
    whole.insert(0, metadata.Metadata(title=title, composer="Ada Lind"))
    return whole


@pytest.fixture(scope="session")
def suites(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of the same part in three forms, and a score of two drums and one of none."""
    folder = tmp_path_factory.mktemp("suites")
    # Packing goes first: on its way music21 writes the text beside it, and takes that away again.
    for kind, name in (("mxl", "suite.mxl"), ("musicxml", "suite.musicxml"), ("midi", "suite.mid")):
        score("Snare Drum").write(kind, fp=folder / name)  # type: ignore[no-untyped-call]  # as said above
    score("Bass Drum", "Triangle").write("musicxml", fp=folder / "two.musicxml")  # type: ignore[no-untyped-call]  # as said above
    text = (folder / "suite.musicxml").read_text(encoding="utf-8")
    none = text.replace("Snare Drum", "Flute").replace("percussion", "G").replace("unpitched", "pitch")
    none = none.replace("display-step", "step").replace("display-octave", "octave")
    (folder / "none.musicxml").write_text(none, encoding="utf-8")
    return folder


@pytest.fixture
def suite(suites: Path) -> str:
    return str(suites / "suite.mxl")


def seconds_by_music21(path: str) -> float:
    """How long a file lasts for music21 itself."""
    return max(float(one["endTimeSeconds"]) for one in converter.parse(path).flatten().secondsMap)


@pytest.mark.parametrize("name", ["suite.musicxml", "suite.mxl", "suite.mid"])
def test_without_a_yes_the_part_is_told_and_nothing_is_kept(shelf: Cli, suites: Path, name: str) -> None:
    """No terminal, so nobody can be asked: 1, and what would have to be typed."""
    code, out, err = shelf("piece", "read", str(suites / name))
    rows = dict(line.split("  ", 1) for line in out.splitlines() if not line.startswith(" "))

    assert code == 1
    assert "Nothing was kept: give --yes" in err
    assert rows["file"].strip() == name
    assert rows["quarters a minute"].strip() == "96 from bar 1, 60 from bar 11"
    assert rows["rests"].strip() == "0:23 in bars 5 to 12"
    if name != "suite.mid":
        assert rows["dynamics"].strip() == "pp (bar 1) to ff (bar 13)"
        assert "in bars 3-4" in rows["rolls"]
    assert "(bar 14)" in rows["strokes a second"]
    assert shelf("piece", "list")[1] == ""


@pytest.mark.parametrize("name", ["suite.musicxml", "suite.mxl", "suite.mid"])
def test_the_whole_reading_as_json_lasts_as_long_as_for_music21(
    ask: Ask, shelf: Cli, suites: Path, name: str
) -> None:
    """Without --yes it is 1 and kept is false; the seconds are music21's own."""
    shelf("drums")
    code, told = ask("piece", "read", str(suites / name), "--least", "0")

    assert code == 1
    assert (told["kept"], told["piece"], told["file"]) == (False, None, name)
    assert told["seconds"] == pytest.approx(seconds_by_music21(str(suites / name)), abs=0.01)
    assert [one["quarters"] for one in told["tempi"]] == [96, 60]
    # Six bars of four quarters at 96 and two at 60.
    long = [one for one in told["rests"] if one["seconds"] > 20]
    assert [(one["seconds"], one["where"]) for one in long] == [(pytest.approx(23, abs=0.05), "between")]
    assert told["record"]["part"]["file"] == name
    assert str(suites) not in json.dumps(told)
    assert ask("piece", "list")[1]["pieces"] == []


def test_with_yes_it_is_kept_as_a_new_piece_and_again_in_one_that_is_there(
    shelf: Cli, ask: Ask, suite: str
) -> None:
    """A second reading of the same part changes nothing, and says so; contexts come by the player alone."""
    code, out, err = shelf("piece", "read", suite, "--yes", "--for", "dry étude")
    assert (code, out.splitlines()[-1]) == (0, "evening-suite")
    assert "Kept as evening-suite." in err

    code, shown = ask("piece", "show", "evening-suite")
    assert (shown["title"], shown["composer"], shown["dynamics"]) == ("Evening suite", "Ada Lind", "pp to ff")
    assert shown["contexts"] == ["dry étude"]
    assert shown["part"]["rests"] == [{"bar_from": 5, "bar_to": 12, "seconds": 23.0, "read": True}]
    assert [one["bar_from"] for one in shown["passages"]] == [3, 14]

    code, out, err = shelf("piece", "read", suite, "--piece", "evening-suite")
    assert code == 0
    assert "kept already" in err
    code, told = ask(
        "piece", "read", suite, "--piece", "evening-suite", "--tempo", "50", "--least", "1", "--yes"
    )
    assert (code, told["kept"], told["piece"]) == (0, True, "evening-suite")
    assert any("in place of" in one for one in told["changes"])
    assert len(ask("piece", "list")[1]["pieces"]) == 1


def test_what_the_part_suggests_is_a_line_to_type(shelf: Cli, ask: Ask, tmp_path: Path) -> None:
    """The line keeps the words that are there, and does what it says."""
    part = drum_part("Snare Drum", bars=4)
    whole: stream.Score = stream.Score([part])
    whole.insert(0, metadata.Metadata(title="Soft rolls", composer="Ada Lind"))
    whole.write("mxl", fp=tmp_path / "soft.mxl")  # type: ignore[no-untyped-call]  # as said above
    code, _, err = shelf("piece", "read", str(tmp_path / "soft.mxl"), "--yes", "--for", "dry étude")

    assert code == 0
    assert "suggests the music: rolls, soft." in err
    line = next(one for one in err.splitlines() if "`lugbook piece edit" in one)
    assert "--for 'dry étude' --for rolls --for soft" in line
    assert ask("piece", "show", "soft-rolls")[1]["contexts"] == ["dry étude"]
    assert (
        shelf("piece", "edit", "soft-rolls", "--for", "dry étude", "--for", "rolls", "--for", "soft")[0] == 0
    )


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("typed", "code"),
    [("y\n", 0), (" YES \n", 0), ("n\n", 1), ("\n", 1), ("", 1), ("yesterday\n", 1), ("no\n", 1)],
)
@pytest.mark.usefixtures("shelf")
def test_on_a_terminal_it_is_asked(environment: dict[str, str], suite: str, typed: str, code: int) -> None:
    """Whatever is no yes is a no; the answer is shown before the question."""
    screen = _Terminal()
    stdin = _Terminal(typed)
    got = main(["piece", "read", suite], stdin=stdin, stdout=screen, stderr=screen, environment=environment)
    text = screen.getvalue()

    assert got == code
    assert text.count("Keep this as a new piece, Ada Lind: Evening suite? [y/N]") == 1
    assert text.index("quarters a minute") < text.index("[y/N]")
    assert ("Kept as evening-suite." in text, "Nothing was kept." in text) == (code == 0, code == 1)
    assert Path(environment["LUGBOOK_LIBRARY"], "pieces", "evening-suite.toml").exists() == (code == 0)


@pytest.mark.usefixtures("shelf")
def test_on_a_terminal_it_is_asked_before_a_piece_is_changed(environment: dict[str, str], suite: str) -> None:
    """The piece is named, and what would change is said before the question; a no leaves it as it is."""
    screen = _Terminal()
    streams = {"stdout": screen, "stderr": screen, "environment": environment}
    assert main(["piece", "add", "Mine", "--dynamics", "p to f"], **streams) == 0  # type: ignore[arg-type]  # all of them are
    path = Path(environment["LUGBOOK_LIBRARY"], "pieces", "mine.toml")
    before = path.read_bytes()
    words = ["piece", "read", suite, "--piece", "mine"]
    assert main(words, stdin=_Terminal("n\n"), **streams) == 1  # type: ignore[arg-type]  # as said above
    text = screen.getvalue()

    assert text.index("Dynamics stay p to f; the part says pp to ff.") < text.index(
        "Put this into the piece mine?"
    )
    assert path.read_bytes() == before
    assert main(words, stdin=_Terminal("y\n"), **streams) == 0  # type: ignore[arg-type]  # as said above
    assert b"suite.mxl" in path.read_bytes()


def test_a_long_list_is_cut_in_words_and_whole_in_json(shelf: Cli, ask: Ask, tmp_path: Path) -> None:
    """Sixty rests of two seconds: forty are shown, and how many more there are."""
    part: Any = stream.Part(id="Snare Drum")  # type: ignore[no-untyped-call]  # as said above
    part.partName = "Snare Drum"
    part.append(meter.TimeSignature("4/4"))
    for _ in range(60):
        part.append(note.Unpitched(quarterLength=4))
        part.append(note.Rest(quarterLength=4))
    part.write("musicxml", fp=tmp_path / "long.musicxml")
    words = ("piece", "read", str(tmp_path / "long.musicxml"), "--least", "2")
    out = shelf(*words)[1]

    assert out.count("0:02 in bar ") == 40
    assert "and 20 more" in out
    assert len(ask(*words)[1]["rests"]) == 60


@pytest.mark.parametrize("missing", ["stdin", "stdout", "stderr"])
@pytest.mark.usefixtures("shelf")
def test_nobody_is_asked_who_could_not_answer_or_see(
    environment: dict[str, str], suite: str, missing: str
) -> None:
    """All three streams have to be terminals."""
    streams: dict[str, io.StringIO] = {
        name: (io.StringIO if name == missing else _Terminal)("y\n" if name == "stdin" else "")
        for name in ("stdin", "stdout", "stderr")
    }
    code = main(["piece", "read", suite], environment=environment, **streams)

    assert code == 1
    assert "[y/N]" not in streams["stderr"].getvalue()
    assert "--yes" in streams["stderr"].getvalue()


def test_an_interrupt_at_the_question_keeps_nothing() -> None:
    """Ctrl+C and bytes that are no text are no yes."""

    class _Interrupted(_Terminal):
        def readline(self, *_: object) -> str:  # type: ignore[override]  # as mypy knows StringIO
            raise KeyboardInterrupt

    class _Bytes(_Terminal):
        def readline(self, *_: object) -> str:  # type: ignore[override]  # as mypy knows StringIO
            return b"\xff".decode("utf-8")

    with pytest.raises(KeyboardInterrupt):
        Output(_Terminal(), _Terminal(), _Interrupted()).asked("Well?")
    screen = _Terminal()
    assert Output(screen, screen, _Bytes()).asked("W\x1bell?") is False
    assert screen.getvalue() == "W␛ell? [y/N] \n"
    assert Output(screen, screen).asked("Well?") is None


@pytest.mark.skipif(sys.platform == "win32", reason="it has no such terminals")
@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(("typed", "code"), [(b"y\n", 0), (b"n\n", 1)])
def test_a_real_terminal(environment: dict[str, str], suite: str, typed: bytes, code: int) -> None:
    """The program itself, in a process of its own, on a terminal of the system."""
    import pty

    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "lugbook", "piece", "read", suite],
        env={**os.environ, **environment},
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
    ) as ran:
        os.close(theirs)
        said = b""
        while b"[y/N]" not in said:
            said += os.read(ours, 1024)
        os.write(ours, typed)
        assert ran.wait(timeout=30) == code
    said += os.read(ours, 4096)
    os.close(ours)

    assert (b"Kept as evening-suite." in said) == (code == 0)
    assert Path(environment["LUGBOOK_LIBRARY"], "pieces", "evening-suite.toml").exists() == (code == 0)


def test_which_part_is_asked_with_the_option(shelf: Cli, ask: Ask, suites: Path) -> None:
    """Several that may be meant are 2 with their names; none for percussion is 1 with the option."""
    two, none = str(suites / "two.musicxml"), str(suites / "none.musicxml")
    code, out, err = shelf("piece", "read", two, "--yes")
    assert (code, out) == (2, "")
    assert "Bass Drum, Triangle" in err
    assert '--part "Bass Drum"' in err

    assert ask("piece", "read", two, "--part", "Triangle", "--yes")[1]["part"] == "Triangle"
    assert ask("piece", "read", two, "--part", "1")[1]["part"] == "Bass Drum"
    code, out, err = shelf("piece", "read", two, "--part", "Flute")
    assert (code, out) == (2, "")
    code, out, err = shelf("piece", "read", none, "--yes")
    assert (code, out) == (1, "")
    assert "no percussion part" in err
    assert "--part NAME" in err
    assert "does not look like a percussion part" in shelf("piece", "read", none, "--part", "Flute")[2]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--tempo", "0"), "no tempo"),
        (("--tempo", "nan"), "no tempo"),
        (("--tempo", "fast"), "no number"),
        (("--least", "-1"), "no time"),
        (("--piece", "nobody"), "nobody"),
        (("--title", ""), "title"),
        (("--for", ""), "contexts"),
    ],
)
def test_values_that_cannot_be(shelf: Cli, suite: str, words: tuple[str, ...], said: str) -> None:
    code, out, err = shelf("piece", "read", suite, "--yes", *words)

    assert (code, out) == (2, "")
    assert said in err
    assert shelf("piece", "list")[1] == ""


def test_files_that_are_refused(shelf: Cli, tmp_path: Path) -> None:
    """No file, no music, too large, a bomb, an entity: 2, one sentence, nothing kept, and no crash note."""
    text = tmp_path / "text.musicxml"
    text.write_text("la la la", encoding="utf-8")
    large = tmp_path / "large.musicxml"
    with large.open("wb") as file:
        file.write(b"<score-partwise>")
        file.truncate(100_000_000)
    bomb = tmp_path / "bomb.mxl"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>',
        )
        archive.writestr("a.xml", b"<" + b" " * 40_000_000)
    entity = tmp_path / "entity.musicxml"
    entity.write_text('<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>', encoding="utf-8")
    missing = tmp_path / "missing.mxl"
    looks = tmp_path / "looks.musicxml"
    looks.write_text("<print/>", encoding="utf-8")
    for path, said in (
        (text, "no file of music"),
        (large, "100 MB"),
        (bomb, "times its size"),
        (entity, "definitions"),
        (missing, "no file"),
        (looks, "no MusicXML"),
        (tmp_path, "folder"),
    ):
        code, out, err = shelf("piece", "read", str(path), "--yes")
        assert (code, out) == (2, ""), path
        assert said in err
        assert "fault" not in err
    assert shelf("piece", "list")[1] == ""


def test_an_empty_part_is_said(shelf: Cli, ask: Ask, tmp_path: Path) -> None:
    """All rests: no note, no dynamics, no strokes, and a rest from end to end."""
    part: Any = stream.Part(id="Snare Drum")  # type: ignore[no-untyped-call]  # as said above
    part.partName = "Snare Drum"
    part.append(clef.PercussionClef())  # type: ignore[no-untyped-call]  # as said above
    part.append(meter.TimeSignature("4/4"))
    part.repeatAppend(note.Rest(quarterLength=4), 15)
    part.write("musicxml", fp=tmp_path / "empty.musicxml")
    code, out, err = shelf("piece", "read", str(tmp_path / "empty.musicxml"))

    assert code == 1
    assert "The part holds no note." in err
    assert "none written" in out
    assert "120 from bar 1 (assumed)" in out
    assert "0:30 in bars 1 to 15, before the first note" in out
    told = ask("piece", "read", str(tmp_path / "empty.musicxml"))[1]
    assert (told["density"], told["dynamics"], told["rolls"]) == (None, None, {"bars": [], "share": 0.0})


def test_reading_a_long_part_shows_how_far_it_is() -> None:
    """In its own word, on stderr."""
    now = iter([0.0, 5.0])
    screen = _Terminal()
    ProgressLine(Output(io.StringIO(), screen), doing="Reading", clock=lambda: next(now))(0.5)

    assert screen.getvalue().strip() == "Reading: 50 % (Ctrl+C stops)"


@pytest.mark.usefixtures("shelf")
def test_an_interrupt_while_it_reads_ends_it(
    environment: dict[str, str], suite: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The desk tells how far it is, and what that raises ends the reading: 130."""

    def stop(_line: ProgressLine, _share: float) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(ProgressLine, "__call__", stop)
    stdout, stderr = io.StringIO(), io.StringIO()
    code = main(["piece", "read", suite, "--yes"], stdout=stdout, stderr=stderr, environment=environment)

    assert (code, stdout.getvalue(), stderr.getvalue()) == (130, "", "Stopped.\n")
