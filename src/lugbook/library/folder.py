"""The library's folder as a place for records: listing names, reading many files, and changing them safely.

`Library` says what lies where; this module knows how a file is listed, read, written, discarded and brought
back, and turns every refusal of the system into a sentence.
"""

import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from lugbook.errors import BadValue, ChangedUnderneath, LibraryMissing, NotFound
from lugbook.library import trash
from lugbook.library.encoding import file_bytes
from lugbook.library.layout import Layout
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import Found, R, Stored, read_record, record_of
from lugbook.library.slugs import is_slug, make_slug
from lugbook.library.writing import MISSING, digest_of, locked, sync_folder, write_whole

_START = 'Type "lugbook" to start one, or name another folder with --library DIR.'

_IGNORED = re.compile(r"\..*|thumbs\.db|desktop\.ini", re.IGNORECASE)
"""What systems and editors leave in folders."""


class Folder:
    """The folder of one library.

    Args:
        root: the folder.
        now: the clock; gives times with their offset.
        lock_folder: where the lock file lies, outside the library.
    """

    def __init__(self, root: Path, *, now: Callable[[], datetime], lock_folder: Path) -> None:
        self.root = root
        self.layout = Layout(root)
        self.now = now
        name = hashlib.sha256(os.fsencode(os.path.realpath(root))).hexdigest()[:16]
        self._lock_file = lock_folder / f"library-{name}.lock"

    @property
    def exists(self) -> bool:
        """Whether a library is there."""
        try:
            return self.layout.settings.is_file() or self.layout.drums.is_dir()
        except OSError:
            return False

    def check_there(self) -> None:
        """Raise unless a library is there.

        Raises:
            LibraryMissing: saying what is there instead.
        """
        if self.exists:
            return
        try:
            next(self.root.iterdir(), None)
        except FileNotFoundError:
            raise LibraryMissing(f"There is no library at {self.root}.", hint=_START) from None
        except NotADirectoryError:
            raise LibraryMissing(f"{self.root} is a file and no library.", hint=_START) from None
        except OSError as error:
            raise LibraryMissing(
                f"The library {self.root} cannot be read: {error.strerror}.", hint="Make it readable for you."
            ) from error
        raise LibraryMissing(f"The folder {self.root} holds no library.", hint=_START)

    @contextmanager
    def changing(self) -> Iterator[None]:
        """Hold the library for a change; what the system refuses becomes `LibraryMissing`."""
        self.check_there()
        with locked(self._lock_file), self.refusals():
            yield

    @contextmanager
    def refusals(self) -> Iterator[None]:
        """Turn what the system refuses into a sentence.

        Raises:
            LibraryMissing: a file or folder cannot be written.
        """
        try:
            yield
        except OSError as error:
            where = error.filename or self.root
            raise LibraryMissing(
                f"{where} cannot be written: {error.strerror}.",
                hint="Make the library writable for you, or free some room.",
            ) from error

    # Reading

    def file_slugs(self, folder: Path, problems: list[Problem]) -> list[str]:
        """Return the slugs of the ``.toml`` files in *folder*; other names are added to *problems*."""
        slugs = []
        for path in self._listed(folder, problems):
            if path.suffix.lower() != ".toml":
                continue
            if path.suffix == ".toml" and is_slug(path.stem):
                slugs.append(path.stem)
            else:
                right = f"{make_slug(path.stem, taken=[], empty='preset')}.toml"
                problems.append(
                    Problem(path, "", "the file's name is no short name of a–z, 0–9 and hyphens", right)
                )
        return sorted(slugs)

    def folder_slugs(self, folder: Path, problems: list[Problem]) -> list[str]:
        """Return the slugs of the folders in *folder*; what cannot be one is added to *problems*."""
        slugs = []
        for path in self._listed(folder, problems):
            if not path.is_dir():
                if path.suffix.lower() == ".toml" or path.is_symlink():
                    problems.append(Problem(path, "", "this is no folder", "a folder for each drum"))
            elif is_slug(path.name):
                slugs.append(path.name)
            else:
                right = make_slug(path.name, taken=[])
                problems.append(
                    Problem(path, "", "the folder's name is no short name of a–z, 0–9 and hyphens", right)
                )
        return slugs

    def names(self, folder: Path) -> list[str]:
        """Return the names in *folder* that a new slug must not be equal to."""
        return [path.name.partition(".")[0] for path in self._listed(folder, [])]

    def read_all(self, paths: Iterable[tuple[str, Path]], kind: type[R], problems: list[Problem]) -> Found[R]:
        """Return the records of *kind* at these (id, file) *paths*, and *problems* with theirs."""
        items = {}
        for name, path in paths:
            try:
                items[name] = read_record(path, kind, id=name)
            except Unreadable as error:
                problems.extend(error.problems)
            except FileNotFoundError:
                if any(path.parent.iterdir()):
                    missing = Problem(
                        path.parent, "", f"the folder holds no {path.name}", f"a file {path.name}"
                    )
                    problems.append(missing)
        return Found(dict(sorted(items.items())), tuple(problems))

    def earlier(self, path: Path, kind: type[R]) -> tuple[R, ...]:
        """Return the records that the file *path* held before it was changed, newest first.

        Versions that cannot be read are passed over: they are in the trash, and nobody depends on them.
        """
        relative = self.layout.relative(path)
        records = []
        for one in trash.discarded(self.root):
            if (one.why, one.relative) == ("replaced", relative):
                with suppress(Unreadable):
                    records.append(read_record(one.path, kind, id=path.stem).record)
        return tuple(reversed(records))

    def _listed(self, folder: Path, problems: list[Problem]) -> list[Path]:
        try:
            return sorted(path for path in folder.iterdir() if not _IGNORED.fullmatch(path.name))
        except FileNotFoundError:
            return []
        except OSError as error:
            problems.append(
                Problem(folder, "", f"the folder cannot be read: {error.strerror}", "a folder you may read")
            )
            return []

    # Changing; the caller holds the library

    def write(self, stored: Stored[R], record: R) -> Stored[R]:
        """Put *record* in the place of *stored*, whose old file goes to the trash.

        Raises:
            BadValue: *record* could not be read back from a file.
            ChangedUnderneath: the file changed since it was read; it is left as it is.
            LibraryDamaged: the file there is damaged; it is left as it is.
        """
        data, kept = _encoded(record, stored.path)
        try:
            digest = write_whole(stored.path, data, digest=stored.digest, keep_old=self._keep_old)
        except ChangedUnderneath:
            if os.path.lexists(stored.path):
                read_record(stored.path, type(record), id=stored.id)  # raises where the file is damaged
            raise
        return Stored(stored.id, stored.path, kept, digest)

    def write_new(self, path: Path, record: R, *, id: str) -> Stored[R]:  # noqa: A002 -- named as the field is
        """Make a file of *record* at *path*, where nothing may be, with the folders it needs."""
        _encoded(record, path)  # before any folder is made
        made = [parent for parent in path.parents if not parent.exists()]
        path.parent.mkdir(parents=True, exist_ok=True)
        for folder in made:
            sync_folder(folder.parent)
        return self.write(Stored(id, path, record, MISSING), record)

    def discard(self, path: Path) -> None:
        """Move the file or folder *path* into the trash."""
        trash.move_there(self.root, path, moment=self.now())

    def keep_torn(self, path: Path, data: bytes) -> Path:
        """Put the torn end *data* of the log *path* into the trash; return where it lies now."""
        return trash.keep_copy(self.root, path, data, why="torn", moment=self.now())

    def bring_back(self, removed: Path, *, file: Path) -> bool:
        """Bring back from the trash, and tell whether there was anything.

        Where *removed* is gone, what was last removed there comes back. Where it is there, *file* gets the
        version it had before it was last changed, and its present one goes to the trash.
        """
        there = os.path.lexists(removed)
        why, place = ("replaced", file) if there else ("removed", removed)
        relative = self.layout.relative(place)
        kept = [one for one in trash.discarded(self.root) if (one.why, one.relative) == (why, relative)]
        if not kept:
            return False
        if there:
            older = kept[-1].path.read_bytes()
            digest = digest_of(file.read_bytes()) if file.exists() else MISSING
            write_whole(file, older, digest=digest, keep_old=self._keep_old)
            trash.drop(kept[-1])
        else:
            trash.move_back(self.root, kept[-1])
        return True

    def removed(self) -> list[trash.Discarded]:
        """Return what was removed and lies in the trash, oldest first."""
        return [one for one in trash.discarded(self.root) if one.why == "removed"]

    def _keep_old(self, path: Path, data: bytes) -> None:
        trash.keep_copy(self.root, path, data, why="replaced", moment=self.now())


def _encoded(record: R, path: Path) -> tuple[bytes, R]:
    """Return the bytes of *record* and what a reader will find in them.

    Raises:
        BadValue: it will find no such record; the sentence names the key.
    """
    data = file_bytes(record)
    try:
        return data, record_of(data, type(record), path=path)
    except Unreadable as error:
        first = error.problems[0]
        raise BadValue(f"{first.where}: {first.what}.", hint=first.advice()) from None


def not_found(what: str, wanted: str, *, known: Iterable[str]) -> NotFound:
    """Return the error that there is no such *what*, with the nearest of the *known* ids."""
    import difflib  # on use: only a wrong name needs it

    names = sorted(known)
    near = difflib.get_close_matches(wanted.lower(), names, n=3, cutoff=0.4) or names[:5]
    what_is = "There is" if len(names) == len(near) else "The nearest:"
    hint = f"{what_is} {', '.join(near)}." if near else f"There is no {what} yet."
    return NotFound(f"There is no {what} {wanted!r}.", hint=hint)
