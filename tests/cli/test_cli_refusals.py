"""What comes from outside and is bad: a clear sentence, the right code, nothing lost, and the rest works."""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

Cli = Callable[..., tuple[int, str, str]]

DRY = "concert-snare/dry-etude"
GOOD = ("check", DRY, "--top", "A3+4", "--bottom", "Eb4")
LONG = "x" * 10_000


def _files(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        ("X3", "no pitch"),
        ("H3", "German H is B here: write B3."),
        ("fis3", "English names"),
        ("", "empty"),
        ("19.9", "20 Hz"),
        ("5000.5", "5000 Hz"),
        ("-5", "no pitch|below"),
        ("nan", "no pitch|cannot be nan"),
        ("inf", "no pitch|cannot be inf"),
        ("1e400", "no pitch"),
        ("A3+200", "-100 to \\+100"),
        (LONG, "10000 characters"),
        ("a\x1b[2Jb", "␛"),
    ],
)
def test_a_reading_that_is_none(shelf: Cli, library: Path, reading: str, sentence: str) -> None:
    """`note`, `check` and `retune` refuse it alike: one sentence, code 2."""
    before = _files(library)
    for words in (("note", reading), ("check", DRY, "--top", reading), ("retune", DRY, "--bottom", reading)):
        code, out, err = shelf(*words, "--json")

        assert (code, out) == (2, "")
        assert re.search(sentence, err), err
        assert len(err.splitlines()) == 1
        assert len(err) < 400
        assert "\x1b" not in err
    assert _files(library) == before
    assert shelf(*GOOD)[0] == 0


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.wav", b""),
        ("text.wav", b"This is no sound.\n"),
        ("cut.wav", b"RIFF\x24\x00\x00\x00WAVEfmt "),
        ("missing.wav", None),
        (f"{LONG}.wav", None),
    ],
)
def test_a_recording_that_is_none(
    shelf: Cli, library: Path, tmp_path: Path, name: str, data: bytes | None
) -> None:
    """An unreadable recording is told by name: code 4, no data, no traceback."""
    path = tmp_path / name
    if data is not None:
        path.write_bytes(data)
    before = _files(library)

    for words in (
        ("listen", str(path)),
        ("listen", str(path), "--json"),
        ("note", str(path)),
        ("check", DRY, "--top", str(path)),
        ("preset", "edit", DRY, "--top", str(path)),
    ):
        code, out, err = shelf(*words)
        assert (code, out) == (4, "")
        assert name[:20] in err
        assert "Traceback" not in err
    assert _files(library) == before


def test_a_silent_recording_is_no_reading(shelf: Cli, silence: str) -> None:
    """Where a reading is needed, a refused recording is code 4 with the reason."""
    code, out, err = shelf("check", DRY, "--top", silence)

    assert (code, out) == (4, "")
    assert "silence.wav" in err


@pytest.mark.parametrize(
    ("words", "nearest"),
    [
        (("check", "concert-snare/dry-etud", "--top", "A3"), DRY),
        (("retune", "concert-snare/dry", "--top", "A3"), DRY),
        (("preset", "show", "nowhere/dry-etude"), DRY),
        (("preset", "remove", "concert-snare/dry-etud"), DRY),
        (("presets", "--drum", "concert-snar"), "concert-snare"),
        (("heads", "concert-snar"), "concert-snare"),
        (("drum", "remove", "concert-snar"), "concert-snare"),
        (("retune", DRY, "--top", "A3", "--on", "old-marsh"), "old-march"),
        (("check", LONG, "--top", "A3"), DRY),
        (("check", "a\x1b[2J/b", "--top", "A3"), DRY),
    ],
)
def test_a_name_that_is_not_there(shelf: Cli, library: Path, words: tuple[str, ...], nearest: str) -> None:
    """The nearest that are there are named: code 2."""
    before = _files(library)
    code, out, err = shelf(*words)

    assert (code, out) == (2, "")
    assert nearest in err
    assert "\x1b" not in err
    assert _files(library) == before


@pytest.mark.parametrize(
    "words",
    [
        ("check", DRY, "--top", "A3", "--struck", "edge"),
        ("check", DRY, "--top", "A3", "--by", "guess"),
        ("check", DRY, "--top", "A3", "--a4", "four-forty"),
        ("check", DRY, "--top", "A3", "--a4", "nan"),
        ("check", DRY, "--top", "A3", "--a4", "471"),
        ("check", DRY),
        ("retune", DRY),
        ("presets", "--for", ""),
        ("presets", "--start", "--drum", "concert-snare"),
        ("listen", "x.wav", "--near", "H3"),
    ],
)
def test_a_bad_option_value(shelf: Cli, words: tuple[str, ...]) -> None:
    """One sentence that says what would work: code 2."""
    code, out, err = shelf(*words)

    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert err.endswith(".\n")


@pytest.mark.parametrize(
    "words",
    [
        ("presets",),
        ("drums",),
        ("verify",),
        ("check", DRY, "--top", "A3"),
        ("drum", "edit", "x", "--name", "y"),
    ],
)
def test_a_library_that_is_not_there(cli: Cli, library: Path, words: tuple[str, ...]) -> None:
    """Its folder is named, and how to begin one; nothing is made: code 3."""
    code, out, err = cli(*words)

    assert (code, out) == (3, "")
    assert str(library) in err
    assert "lugbook drum add" in err
    assert not library.exists()


def test_a_library_that_is_a_file(cli: Cli, tmp_path: Path) -> None:
    """A file in the place of the folder is left as it is: code 3."""
    path = tmp_path / "a-file"
    path.write_text("mine", encoding="utf-8")

    for words in (("presets",), ("drum", "add", "X", "--diameter", "14")):
        code, out, err = cli(*words, "--library", str(path))
        assert (code, out) == (3, "")
        assert str(path) in err
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("path", [LONG, "with\0nul"])
def test_a_library_whose_name_no_system_takes(cli: Cli, path: str) -> None:
    """A path that is too long or has a NUL is told, not a crash."""
    code, out, err = cli("presets", "--library", path)

    assert code in (2, 3)
    assert out == ""
    assert "fault" not in err
    assert "\0" not in err


def test_a_library_that_cannot_be_written(shelf: Cli, library: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading works, writing is refused with the reason, and the old file stays: code 3."""
    before = _files(library)
    # The tests may run as root, whom no mode bits keep out: the system's answer is given in its place.
    real = os.open

    def refuse(path: str | os.PathLike[str], flags: int, mode: int = 0o777, **rest: int) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR) and str(path).startswith(str(library)):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, flags, mode, **rest)

    monkeypatch.setattr(os, "open", refuse)
    for words in (
        ("preset", "edit", DRY, "--words", "new"),
        ("drum", "add", "Y", "--diameter", "14"),
    ):
        code, out, err = shelf(*words)
        assert (code, out) == (3, "")
        assert "ermission denied" in err
        assert "fault" not in err
    assert {path: data for path, data in _files(library).items() if ".trash" not in path.parts} == before
    assert shelf(*GOOD)[0] == 0


def test_broken_files_among_good_ones(shelf: Cli, library: Path) -> None:
    """A damaged drum or library file is told, never overwritten, and the other drum still works."""
    drum = library / "drums" / "concert-snare" / "drum.toml"
    drum.write_text("diameter_in = = 14\n", encoding="utf-8")

    code, out, err = shelf("drums")
    assert code == 0
    assert "old-march" in out
    assert "drum.toml" in err
    assert shelf("drum", "edit", "concert-snare", "--name", "New")[0] == 3
    assert drum.read_text(encoding="utf-8") == "diameter_in = = 14\n"
    assert shelf("check", "old-march/march", "--top", "E3", "--bottom", "A3")[0] == 0
    assert shelf("verify")[0] == 3


def test_a_damaged_preset_is_a_library_fault(shelf: Cli, library: Path) -> None:
    """Asked for by name it is code 3, and the file with its line is named."""
    preset = library / "drums" / "concert-snare" / "presets" / "dry-etude.toml"
    preset.write_text("name = 3\n", encoding="utf-8")

    code, out, err = shelf(*GOOD)

    assert (code, out) == (3, "")
    assert "dry-etude.toml" in err
    assert "name" in err


@pytest.mark.parametrize(
    "option", ["--words", "--muffling", "--sticks", "--name", "--for", "--snares", "--note", "--player"]
)
@pytest.mark.parametrize("text", ["a\x1b[2Jb", "a\u202eb", "a\x00b", "a\x9bb", "a\ud800b"])
def test_control_characters_are_not_kept(shelf: Cli, library: Path, option: str, text: str) -> None:
    """A text with an escape sequence or a turned direction is refused and shown safely: code 2."""
    before = _files(library)

    code, out, err = shelf("preset", "edit", DRY, option, text)

    assert (code, out) == (2, "")
    assert not set(err) & {"\x1b", "\u202e", "\x00", "\x9b", "\ud800"}
    assert _files(library) == before


@pytest.mark.parametrize(
    "option", ["--words", "--name", "--for", "--snares", "--top", "--tolerance", "--turn"]
)
def test_a_text_of_ten_thousand_letters(shelf: Cli, library: Path, option: str) -> None:
    """It is refused in a short sentence, and nothing is changed."""
    before = _files(library)

    code, out, err = shelf("preset", "edit", DRY, option, LONG)

    assert (code, out) == (2, "")
    assert len(err) < 500
    assert _files(library) == before


def test_a_long_note_is_kept(shelf: Cli) -> None:
    """Ten thousand letters are no too long note."""
    assert shelf("preset", "edit", DRY, "--note", LONG)[0] == 0
    assert LONG in shelf("preset", "show", DRY)[1]
