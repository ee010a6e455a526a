"""Whatever goes wrong, as words and an exit code. This is the only place that maps one to the other."""

import traceback
from collections.abc import Mapping, Sequence

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
        from lugbook.library.crashes import keep_crash_note

        said = "".join(traceback.format_exception(error))
        note = keep_crash_note(user_folder(environment), f"Typed: {list(argv)!r}\n\n{said}")
    except Exception as second:  # noqa: BLE001 -- a fault while telling of a fault must not hide the first
        return f"No crash note could be saved: {second}."
    return (
        f"Nothing was lost; what happened is in {note}. Please send that file to whoever keeps the program."
    )
