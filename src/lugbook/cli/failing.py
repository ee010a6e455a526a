"""Whatever goes wrong, as words and an exit code. This is the only place that maps one to the other."""

import sys
import traceback
from collections.abc import Mapping, Sequence
from pathlib import Path

from lugbook.cli.output import Output
from lugbook.errors import ExitCode, LugbookError


def told(
    error: BaseException, out: Output, *, argv: Sequence[str], environment: Mapping[str, str]
) -> ExitCode:
    """Say what *error* is in words, and return the exit code.

    Args:
        error: what was raised.
        out: where the words go.
        argv: what was typed, for the crash note.
        environment: environment variables, which name the user folder that crash notes are kept in.
    """
    if isinstance(error, LugbookError):
        out.words(str(error))
        return error.exit_code
    if isinstance(error, KeyboardInterrupt):
        out.words("Stopped.")
        return ExitCode.INTERRUPTED
    if isinstance(error, OSError):
        where = f": {error.filename}" if error.filename else ""
        out.words(f"The system refused{where}: {error.strerror or error}.")
        return ExitCode.LIBRARY
    out.words(
        f"Lugbook has a fault: {type(error).__name__}.", _kept(error, argv=argv, environment=environment)
    )
    return ExitCode.NO


def _kept(error: BaseException, *, argv: Sequence[str], environment: Mapping[str, str]) -> str:
    """Save a crash note and return a sentence that says where."""
    try:
        # Imported here: the fault may lie in the import itself.
        from lugbook.library import user_folder

        note = _save(user_folder(environment) / "crashes", _note(error, argv))
    except Exception as second:  # noqa: BLE001 -- a fault while telling of a fault must not hide the first
        return f"No crash note could be saved: {second}."
    return (
        f"Nothing was lost; what happened is in {note}. Please send that file to whoever keeps the program."
    )


def _note(error: BaseException, argv: Sequence[str]) -> str:
    from lugbook import __version__

    said = "".join(traceback.format_exception(error))
    versions = f"Lugbook {__version__}, Python {sys.version.split()[0]}, {sys.platform}"
    return f"{versions}\nTyped: {list(argv)!r}\n\n{said}"


def _save(folder: Path, text: str) -> Path:
    """Write *text* into a new file of *folder*; no earlier note is overwritten."""
    from datetime import UTC, datetime

    folder.mkdir(parents=True, exist_ok=True)
    stem, number = f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}", 1
    while True:
        path = folder / (f"{stem}.txt" if number == 1 else f"{stem}-{number}.txt")
        try:
            with path.open("x", encoding="utf-8", errors="backslashreplace") as file:
                file.write(text)
        except FileExistsError:
            number += 1
        else:
            return path
