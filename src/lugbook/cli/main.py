"""The outermost frame: finds the command, reads its options, opens the desk, runs it, gives the code."""

import gc
import os
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, TextIO

from lugbook.cli.commands import (
    COMMANDS,
    NOUNS,
    first_words,
    help_text,
    noun_help_text,
    verbs_of,
)
from lugbook.errors import BadValue, ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.cli.parser import Deed

_HELP = ("-h", "--help")


def run() -> None:
    """Run one command of the shell; the entry point of the program."""
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        # The matrices are small: a pool of threads makes each product slower, more so on a busy machine.
        os.environ.setdefault(threads, "1")
    # Loading modules makes much that stays; searching it for garbage costs a twentieth of the start-up time.
    gc.set_threshold(50_000)
    for stream in (sys.stdout, sys.stderr):
        # A stream that a test or another program put there may not be one that can be set up.
        if reconfigure := getattr(stream, "reconfigure", None):
            reconfigure(encoding="utf-8", errors="backslashreplace")
    code = main(sys.argv[1:], stdin=sys.stdin, stdout=sys.stdout, stderr=sys.stderr, environment=os.environ)
    for stream in (sys.stdout, sys.stderr):
        _close(stream)
    sys.exit(code)


def main(
    argv: Sequence[str],
    *,
    stdout: TextIO,
    stderr: TextIO,
    environment: Mapping[str, str],
    stdin: TextIO | None = None,
) -> int:
    """Run one command and return its exit code.

    Args:
        argv: what was typed after ``lugbook``.
        stdout: where data goes.
        stderr: where words go.
        environment: environment variables.
        stdin: tells whether there is a terminal to open the program in, or to ask in; none where missing.
    """
    from lugbook.cli.output import Output

    out = Output(stdout, stderr, stdin)
    try:
        code = _run(argv, out, environment=environment, terminal=_is_terminal(stdin, stdout))
    except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001 -- the outermost frame: whatever was not foreseen is told, never shown as a traceback
        from lugbook.cli.failing import told

        out.forget_data()
        code = told(error, out, argv=argv, environment=environment)
    return _written(out, code)


def _run(argv: Sequence[str], out: "Output", *, environment: Mapping[str, str], terminal: bool) -> ExitCode:
    library, words = _before_the_command(argv)
    if not words:
        return _open_program(library, environment=environment, terminal=terminal)
    first = words[0]
    if first in _HELP:
        out.data(*help_text().splitlines())
        return ExitCode.FINE
    if first == "--version":
        from lugbook import __version__

        out.data(f"lugbook {__version__}")
        return ExitCode.FINE
    if first in NOUNS:
        between, rest = _before_the_command(words[1:])
        if rest and rest[0] in _HELP:
            out.data(*noun_help_text(first).splitlines())
            return ExitCode.FINE
        return _command(_with_verb(first, rest), rest[1:], between or library, out, environment)
    if first not in COMMANDS:
        from lugbook.cli.parser import unknown

        kind = "option" if first.startswith("-") else "command"
        known = ["--library", "--version", "--help"] if kind == "option" else first_words()
        raise unknown(kind, first, known, of="lugbook")
    return _command(first, words[1:], library, out, environment)


def _before_the_command(words: Sequence[str]) -> tuple[str | None, Sequence[str]]:
    """Return the library's folder where --library comes first, and the words after it."""
    library = None
    while words and words[0].partition("=")[0] == "--library":
        _, sign, value = words[0].partition("=")
        if not sign and len(words) < 2:
            raise BadValue("--library names no folder.", hint="Write --library DIR.")
        library, words = (value, words[1:]) if sign else (words[1], words[2:])
    return library, words


def _with_verb(noun: str, rest: Sequence[str]) -> str:
    verbs = verbs_of(noun)
    if not rest:
        raise BadValue(f"lugbook {noun} needs a verb.", hint=f"It takes {', '.join(verbs)}.")
    if rest[0] not in verbs:
        from lugbook.cli.parser import unknown

        raise unknown("verb", rest[0], verbs, of=f"lugbook {noun}")
    return f"{noun} {rest[0]}"


def _command(
    name: str, words: Sequence[str], library: str | None, out: "Output", environment: Mapping[str, str]
) -> ExitCode:
    # One family of commands is loaded, not all of them.
    from lugbook.cli.parser import Parser

    module, after, about = COMMANDS[name]
    deed: Deed = import_module(f"lugbook.cli.{module}").DEEDS[name]
    parser = Parser(name, after=after, about=about, library=library)
    deed.options(parser)
    if any(word in _HELP for word in words):
        out.data(*parser.format_help().splitlines())
        return ExitCode.FINE
    arguments = parser.read(words)
    # Imported on use: help and a mistyped option need no library.
    from lugbook.cli.output import ProgressLine
    from lugbook.desk import open_desk

    desk = open_desk(
        library=arguments.library, environment=environment, must_exist=deed.needs_library(arguments)
    ).telling(ProgressLine(out))
    out.words(*(problem.sentence() for problem in desk.user_problems))
    return deed.run(arguments, desk, out)


def _open_program(library: str | None, *, environment: Mapping[str, str], terminal: bool) -> ExitCode:
    if not terminal:
        hint = f"Name a command: {', '.join(first_words())}; `lugbook --help` tells about them."
        raise BadValue("The terminal program needs a terminal, and here is none.", hint=hint)
    from lugbook.desk import open_desk

    # Imported on use: it loads the whole of the other face.
    from lugbook.tui.app import run as open_terminal_program

    desk = open_desk(library=library, environment=environment, must_exist=False)
    return ExitCode(open_terminal_program(desk))


def _is_terminal(*streams: TextIO | None) -> bool:
    return all(stream is not None and stream.isatty() for stream in streams)


def _written(out: "Output", code: ExitCode) -> ExitCode:
    """Write what was said, and return the exit code; a reader that went away early is no fault."""
    try:
        out.flush()
    except BrokenPipeError:
        return code
    except OSError as error:
        out.forget_data()
        out.words(f"The answer could not be written: {error.strerror or error}.")
        with suppress(OSError):
            out.flush()
        return ExitCode.NO
    return code


def _close(stream: TextIO) -> None:
    """Write what is left in *stream*; where nobody takes it let it go, or Python complains at its end."""
    try:
        stream.flush()
    except OSError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
