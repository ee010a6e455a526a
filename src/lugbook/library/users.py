"""``settings.toml`` in the user's own folder: what is one machine's or player's, never in the library."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from lugbook.errors import ChangedUnderneath, LibraryMissing
from lugbook.library.encoding import file_bytes
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import Stored, read_record
from lugbook.library.writing import MISSING, digest_of, random_letters, write_whole
from lugbook.records import UserSettings

FILE = "settings.toml"


def load_user(folder: Path, *, report: Callable[[Problem], None] | None = None) -> UserSettings:
    """Return the user's settings; the first time, make a writer for this machine and keep it.

    Where the file is damaged, or cannot be kept, the settings last only as long as the program runs, and that
    is reported; a damaged file is left as it is.

    Args:
        folder: the user's own folder; is made where missing.
        report: is given each problem.
    """
    path = folder / FILE
    problems: tuple[Problem, ...] = ()
    try:
        return _stored(path).record
    except FileNotFoundError:
        pass
    except Unreadable as error:
        if [problem.where for problem in error.problems] == ["writer"] and _writer_added(path):
            return load_user(folder, report=report)
        problems = error.problems
    settings = UserSettings(writer=random_letters(6))
    if not problems:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            write_whole(path, file_bytes(settings), digest=MISSING)
        except ChangedUnderneath:
            return load_user(folder, report=report)  # a second program came first; its writer holds
        except OSError as error:
            what = f"the settings cannot be kept: {error.strerror}"
            problems = (Problem(path, "", what, "a folder that you may write, named by LUGBOOK_CONFIG"),)
    for problem in problems:
        if report is not None:
            report(problem)
    return settings


def _writer_added(path: Path) -> bool:
    """Give settings begun by hand a writer, and tell whether that was done; the rest stays as it is."""
    data = path.read_bytes()
    if b"writer" in data:
        return False
    try:
        made = f'writer = "{random_letters(6)}"\n'.encode() + data.removeprefix(b"\xef\xbb\xbf")
        write_whole(path, made, digest=digest_of(data))
    except (OSError, ChangedUnderneath):
        return False
    return True


def save_user(folder: Path, settings: UserSettings) -> None:
    """Keep the user's *settings*.

    Raises:
        LibraryDamaged: the file there is damaged; it is left as it is.
        LibraryMissing: the folder cannot be written.
    """
    path = folder / FILE
    try:
        digest = _stored(path).digest
    except FileNotFoundError:
        digest = MISSING
    with kept_in(folder, what="settings"):
        write_whole(path, file_bytes(settings), digest=digest)


@contextmanager
def kept_in(folder: Path, *, what: str) -> Iterator[None]:
    """Make the user's own folder where it is missing, and turn what the system refuses there into a sentence.

    Args:
        folder: the user's own folder.
        what: what is being kept, such as ``settings``.

    Raises:
        LibraryMissing: the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        yield
    except OSError as error:
        raise LibraryMissing(
            f"The {what} cannot be kept in {folder}: {error.strerror}.",
            hint="Name a folder that you may write with LUGBOOK_CONFIG.",
        ) from error


def _stored(path: Path) -> Stored[UserSettings]:
    return read_record(path, UserSettings, id="settings")
