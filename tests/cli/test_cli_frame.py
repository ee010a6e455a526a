"""The outermost frame: help, version, mistyped words, --library, streams, interrupts and faults."""

import gc
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from lugbook import __version__
from lugbook.cli.commands import COMMANDS, NOUNS, verbs_of
from lugbook.cli.main import main, run
from lugbook.cli.output import Output

Cli = Callable[..., tuple[int, str, str]]
Python = Callable[..., subprocess.CompletedProcess[str]]

DRY = "concert-snare/dry-etude"


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_names_every_command(cli: Cli, option: str) -> None:
    """Help is data: on stdout, code 0, every command in it."""
    code, out, err = cli(option)

    assert (code, err) == (0, "")
    assert all(f"  {name.partition(' ')[0]} " in out for name in COMMANDS)
    assert max(map(len, out.splitlines())) <= 110


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_its_deed_and_its_help(cli: Cli, name: str) -> None:
    """The table and the modules agree, and help needs neither library nor arguments."""
    code, out, err = cli(*name.split(), "--help")

    assert (code, err) == (0, "")
    assert out.startswith(f"usage: lugbook {name} ")
    assert "--library DIR" in out


@pytest.mark.parametrize("noun", NOUNS)
def test_help_of_a_noun_names_its_verbs(cli: Cli, noun: str) -> None:
    """Each verb stands in the noun's help; without a verb they are named on stderr."""
    code, out, _ = cli(noun, "-h")
    assert code == 0
    assert all(f"\n  {verb} " in out for verb in verbs_of(noun))

    code, out, err = cli(noun)
    assert (code, out) == (2, "")
    assert all(verb in err for verb in verbs_of(noun))


def test_version(cli: Cli) -> None:
    """The version is data."""
    assert cli("--version") == (0, f"lugbook {__version__}\n", "")


@pytest.mark.parametrize(
    ("words", "nearest"),
    [
        (("chek",), "check"),
        (("preset", "shwo"), "show"),
        (("--libary", "x", "presets"), "--library"),
        (("check", DRY, "--tpo", "A3"), "--top"),
        (("check", DRY, "--bot=A3"), "--bottom"),
        (("zzzzzz",), "lugbook has no command"),
        (("drum", "zzzzzz"), "restore"),
        (("presets", "--qqq"), "lugbook presets --help"),
        (("x" * 10_000,), "…"),
    ],
)
def test_a_mistyped_word(cli: Cli, words: tuple[str, ...], nearest: str) -> None:
    """One sentence with the nearest that there is, and 2; options are never guessed from their beginning."""
    code, out, err = cli(*words)

    assert (code, out) == (2, "")
    assert nearest in err
    assert len(err.splitlines()) == 1
    assert len(err) < 400


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("note",), "R"),
        (("note", "A3", "A4"), "'A4' is one word too many for lugbook note."),
        (("check", DRY, "--top"), "--top"),
        (("presets", "-x"), "'-x' is one word too many"),
        (("note", "--", "--top"), "no pitch"),
        (("--library",), "--library names no folder."),
        (("head", "show", "x"), "HEAD"),
    ],
)
def test_missing_and_surplus_words(cli: Cli, words: tuple[str, ...], sentence: str) -> None:
    """What argparse finds is said in one sentence, without its usage lines: code 2."""
    code, out, err = cli(*words)

    assert (code, out) == (2, "")
    assert sentence in err
    assert len(err.splitlines()) == 1


def test_values_that_begin_with_a_minus(shelf: Cli) -> None:
    """A reading with minus cents, minus turns and a minus number are values, not options."""
    assert shelf("note", "A3-12")[0] == 0
    assert shelf("check", DRY, "--top", "A3-2", "--bottom", "Eb4-2")[0] == 0
    assert (
        shelf("preset", "edit", DRY, "--turn", "top=-1/4", "--temperature", "-3", "--words", "- dry -")[0]
        == 0
    )


@pytest.mark.parametrize(
    "place",
    [
        lambda library: ("--library", library, "preset", "list"),
        lambda library: (f"--library={library}", "presets"),
        lambda library: ("preset", "--library", library, "list"),
        lambda library: ("preset", "list", "--library", library),
        lambda library: ("presets", f"--library={library}"),
    ],
)
def test_the_library_may_be_named_anywhere(
    shelf: Cli, library: Path, tmp_path: Path, place: Callable[[str], tuple[str, ...]]
) -> None:
    """--library is taken before and after the command, and goes before the environment."""
    elsewhere = tmp_path / "elsewhere"
    library.rename(elsewhere)

    assert shelf("presets")[0] == 3
    code, out, _ = shelf(*place(str(elsewhere)))
    assert code == 0
    assert DRY in out


def test_without_a_terminal_the_commands_are_named(cli: Cli) -> None:
    """`lugbook` alone needs a terminal: a sentence on stderr and 2, and nothing is made."""
    code, out, err = cli()

    assert (code, out) == (2, "")
    assert "needs a terminal" in err
    assert "check" in err


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("code", [0, 1])
def test_in_a_terminal_the_program_opens(
    environment: dict[str, str], library: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    """`lugbook` alone opens the program on the library that was named, which need not exist yet."""
    opened = []

    def run(desk: object) -> int:
        opened.append(desk.library.root)  # type: ignore[attr-defined] # whatever the desk is, it has a library
        return code

    monkeypatch.setattr("lugbook.tui.app.run", run)
    terminal = _Terminal()

    returned = main([], stdin=terminal, stdout=terminal, stderr=terminal, environment=environment)

    assert (returned, opened) == (code, [library])


def test_an_interrupt_is_130(shelf: Cli, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl+C is said in a word, without a traceback."""

    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("lugbook.desk.checking.check", interrupt)

    assert shelf("check", DRY, "--top", "A3") == (130, "", "Stopped.\n")


def test_a_fault_leaves_a_note_and_no_traceback(
    shelf: Cli, environment: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever nobody foresaw is kept in a file of the user's folder, each in its own, and told in words."""

    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError("deep inside")

    monkeypatch.setattr("lugbook.desk.shelf.presets", fail)
    for _ in range(2):
        code, out, err = shelf("presets", "--json")
        assert (code, out) == (1, "")
        assert "Traceback" not in err
        assert "ZeroDivisionError" in err
    notes = sorted((Path(environment["LUGBOOK_CONFIG"]) / "crashes").iterdir())

    assert len(notes) == 2
    assert str(notes[-1]) in err or str(notes[0]) in err
    for note in notes:
        text = note.read_text(encoding="utf-8")
        assert "deep inside" in text
        assert "['presets', '--json']" in text
        assert __version__ in text


def test_a_fault_that_cannot_be_kept_is_still_told(
    shelf: Cli, environment: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the note cannot be written, the fault is told all the same."""

    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("lugbook.desk.shelf.presets", fail)
    user = Path(environment["LUGBOOK_CONFIG"])
    user.mkdir()
    (user / "crashes").write_text("in the way", encoding="utf-8")

    code, out, err = shelf("presets")

    assert (code, out) == (1, "")
    assert "ZeroDivisionError" in err
    assert "No crash note could be saved" in err


def test_a_refusal_of_the_system_is_a_library_fault(shelf: Cli, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error of the operating system is no fault of the program: the file and the reason, code 3."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error", "/some/file")

    monkeypatch.setattr("lugbook.desk.shelf.presets", refuse)

    assert shelf("presets") == (3, "", "The system refused: /some/file: Input/output error.\n")


class _Gone(io.StringIO):
    """A stream that fails when it is written to."""

    def __init__(self, error: OSError) -> None:
        super().__init__()
        self._error = error

    def write(self, _: str) -> int:
        raise self._error


@pytest.mark.usefixtures("shelf")
def test_a_reader_that_went_away_is_no_fault(environment: dict[str, str]) -> None:
    """A broken pipe is quiet, and the code is that of the answer."""
    stderr = io.StringIO()
    words = ["check", DRY, "--top", "A3-40", "--bottom", "Eb4"]

    code = main(words, stdout=_Gone(BrokenPipeError()), stderr=stderr, environment=environment)

    assert (code, stderr.getvalue()) == (1, "")


@pytest.mark.usefixtures("shelf")
def test_an_answer_that_cannot_be_written_is_told(environment: dict[str, str]) -> None:
    """A full disk behind stdout is said on stderr, and nobody takes it for a yes."""
    stderr, full = io.StringIO(), _Gone(OSError(28, "No space left on device"))

    code = main(["presets"], stdout=full, stderr=stderr, environment=environment)

    assert (code, stderr.getvalue()) == (1, "The answer could not be written: No space left on device.\n")


def test_nothing_is_written_before_the_end() -> None:
    """Data and words go to their own streams, data first, and a failed command's data is dropped."""
    stdout, stderr = io.StringIO(), io.StringIO()
    out = Output(stdout, stderr)

    out.data("half an answer")
    out.words("a word")
    assert (stdout.getvalue(), stderr.getvalue()) == ("", "")
    out.forget_data()
    out.flush()

    assert (stdout.getvalue(), stderr.getvalue()) == ("", "a word\n")


def test_json_numbers_are_finite_or_null() -> None:
    """What is no number is null, in lists and tables too."""
    stdout = io.StringIO()
    out = Output(stdout, io.StringIO())

    out.json({"a": float("nan"), "b": [float("inf"), 1.5], "c": {"d": float("-inf")}})
    out.flush()

    assert "".join(stdout.getvalue().split()) == '{"a":null,"b":[null,1.5],"c":{"d":null}}'


def test_columns_fit_wide_and_combining_letters() -> None:
    """A wide letter takes two columns, a combining accent none."""
    stdout = io.StringIO()
    out = Output(stdout, io.StringIO())

    out.table([("太鼓", "x"), ("e\u0301", "x"), ("abcd",)])
    out.flush()

    assert stdout.getvalue() == "太鼓  x\ne\u0301     x\nabcd\n"


def test_as_a_module_and_as_a_program(python: Python) -> None:
    """`python -m lugbook` and the entry point are the same, with the code of the answer."""
    as_module = python("-m", "lugbook", "note", "A3")
    as_program = python(
        *("-c", "import sys; sys.argv = ['lugbook', 'note', 'A3']; from lugbook.cli.main import run; run()")
    )

    assert (as_module.returncode, as_module.stdout) == (0, "220.000 Hz  A3  0 cents  A4 = 440 Hz\n")
    assert (as_program.returncode, as_program.stdout) == (0, as_module.stdout)
    assert python("-m", "lugbook", "chek").returncode == 2
    assert python("-m", "lugbook").returncode == 2


def test_streams_are_utf_8_whatever_the_machine_says(python: Python) -> None:
    """On a machine set to plain ASCII the music signs come out whole."""
    ran = python("-m", "lugbook", "note", "A3-12", PYTHONIOENCODING="ascii", LC_ALL="C", PYTHONUTF8="0")

    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "218.480 Hz  A3  −12 cents  A4 = 440 Hz\n", "")


def test_the_entry_point_sets_up_the_streams(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """`run` reads what was typed, writes UTF-8 whatever the stream was, and ends with the code."""
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii")
    monkeypatch.setattr(sys, "argv", ["lugbook", "note", "A3-12"])
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setattr(os, "environ", environment)
    threshold = gc.get_threshold()

    with pytest.raises(SystemExit) as ended:
        run()
    gc.set_threshold(*threshold)

    assert ended.value.code == 0
    assert raw.getvalue().decode("utf-8") == "218.480 Hz  A3  −12 cents  A4 = 440 Hz\n"


def test_what_nobody_takes_is_let_go(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """When the reader is gone, what is left goes nowhere, so that Python does not complain at its end."""
    descriptor = os.open(tmp_path / "stdout", os.O_WRONLY | os.O_CREAT)

    class Gone(_Gone):
        def flush(self) -> None:
            raise BrokenPipeError

        def fileno(self) -> int:
            return descriptor

    monkeypatch.setattr(sys, "argv", ["lugbook", "--version"])
    monkeypatch.setattr(sys, "stdout", Gone(BrokenPipeError()))
    monkeypatch.setattr(os, "environ", environment)
    threshold = gc.get_threshold()

    with pytest.raises(SystemExit) as ended:
        run()
    gc.set_threshold(*threshold)
    os.write(descriptor, b"what is left")
    os.close(descriptor)

    assert ended.value.code == 0
    assert (tmp_path / "stdout").read_bytes() == b""


@pytest.mark.usefixtures("shelf")
@pytest.mark.skipif(sys.platform == "win32", reason="pipes and file descriptors of POSIX systems")
def test_a_closed_pipe_is_quiet(environment: dict[str, str]) -> None:
    """A reader that closes its end before the answer comes leaves no complaint behind."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ran = subprocess.run(
            [sys.executable, "-m", "lugbook", "presets"],
            env={**os.environ, **environment},
            stdout=writing,
            stderr=subprocess.PIPE,
            stdin=subprocess.DEVNULL,
            check=False,
            timeout=60,
        )
    finally:
        os.close(writing)

    assert (ran.returncode, ran.stderr) == (0, b"")


def test_damaged_user_settings_are_told_and_nothing_stops(shelf: Cli, environment: dict[str, str]) -> None:
    """A settings file that cannot be read is named on stderr, left as it is, and the answer still comes."""
    settings = Path(environment["LUGBOOK_CONFIG"]) / "settings.toml"
    settings.parent.mkdir(exist_ok=True)
    settings.write_text('writer = "no', encoding="utf-8")

    code, out, err = shelf("drums", "--json")

    assert code == 0
    assert json.loads(out)["drums"]
    assert "settings.toml, line 1" in err
    assert settings.read_text(encoding="utf-8") == 'writer = "no'
