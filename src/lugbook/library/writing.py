"""Writing files so that a reader finds the old bytes or the new ones and never a mixture.

New bytes go into a temporary file beside the target, are forced to disk, and take the target's place in one
step; then the folder is forced to disk. A file that changed since it was read is left alone. A lock keeps a
second Lugbook out meanwhile; editors and sync tools know no lock, which is why the bytes are compared too.
"""

import errno
import hashlib
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from lugbook.errors import ChangedUnderneath, LibraryMissing

LOCK_SECONDS = 10.0
"""How long to wait for another program that is writing, in seconds."""

_REPLACE_TRIES = 10
_REPLACE_PAUSE_S = 0.05
"""On Windows a virus scanner or an indexer holds a fresh file open for some hundredths of a second."""

_ON_WINDOWS = os.name == "nt"

MISSING = ""
"""The digest of a file that is not there."""


def digest_of(data: bytes) -> str:
    """Return the fingerprint of a file's bytes."""
    return hashlib.sha256(data).hexdigest()


def random_letters(number: int) -> str:
    """Return *number* random letters a to z from the system's source."""
    return "".join(chr(ord("a") + byte % 26) for byte in os.urandom(number))


def write_whole(
    path: Path, data: bytes, *, digest: str, keep_old: Callable[[Path, bytes], None] | None = None
) -> str:
    """Make *data* the content of the file at *path*, and return its digest.

    Nothing is written where the file holds these bytes already. A symbolic link stays, and the file it leads
    to is written. The mode bits of an old file are kept.

    Args:
        path: the file; its folder must exist.
        data: the whole new content.
        digest: of the bytes that were read from it; `MISSING` where it must not exist yet.
        keep_old: is given the path and the old bytes before they are replaced.

    Raises:
        ChangedUnderneath: the file is not what *digest* says; it is left as it is.
        OSError: the system refused; the old file is left as it is.
    """
    try:
        old: bytes | None = path.read_bytes()
    except FileNotFoundError:
        old = None
    if (MISSING if old is None else digest_of(old)) != digest:
        raise _changed(path, gone=old is None, new=digest == MISSING)
    if old == data:
        return digest
    target = path.resolve()
    if old is not None and keep_old is not None:
        keep_old(path, old)
    temporary = target.with_name(f".{target.name}.{random_letters(6)}.tmp")
    try:
        _write_through(temporary, data, mode=None if old is None else target.stat().st_mode & 0o7777)
        if old is None:
            put_new(temporary, target)
        else:
            put_over(temporary, target)
    finally:
        temporary.unlink(missing_ok=True)
    sync_folder(target.parent)
    return digest_of(data)


def append_to(path: Path, data: bytes) -> None:
    """Append *data* to the file at *path* in one write and force it to disk; the file is made where missing.

    Raises:
        OSError: the system refused, or took only a part; what it took is cut off again.
    """
    descriptor = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
    try:
        size = os.fstat(descriptor).st_size
        try:
            _check_all_taken(os.write(descriptor, data), data, path=path)
            to_disk(descriptor)
        except OSError:
            with suppress(OSError):
                os.ftruncate(descriptor, size)
            raise
    finally:
        os.close(descriptor)
    if size == 0:
        sync_folder(path.parent)


def cut_to(path: Path, size: int) -> None:
    """Cut the file at *path* to its first *size* bytes and force that to disk.

    Raises:
        OSError: the system refused.
    """
    with path.open("r+b") as file:
        file.truncate(size)
        to_disk(file.fileno())


def put_over(temporary: Path, target: Path, *, windows: bool = _ON_WINDOWS) -> None:
    """Let *temporary* take the place of *target* in one step; on Windows try again while it is held open.

    Raises:
        OSError: the system refused, on Windows ten times.
    """
    for _ in range(_REPLACE_TRIES - 1 if windows else 0):
        with suppress(PermissionError):
            temporary.replace(target)
            return
        time.sleep(_REPLACE_PAUSE_S)
    temporary.replace(target)


def put_new(temporary: Path, target: Path) -> None:
    """Let *temporary* become *target*, which must not exist; *temporary* may be left over as a second name.

    A hard link is refused by the system where the target exists, so that no program can come in between. File
    systems without hard links (exFAT, some network drives) get a plain replacement.

    Raises:
        ChangedUnderneath: somebody made *target* meanwhile.
        OSError: the system refused.
    """
    try:
        target.hardlink_to(temporary)
    except FileExistsError:
        raise _changed(target, gone=False, new=True) from None
    except OSError:
        put_over(temporary, target)


def sync_folder(folder: Path, *, windows: bool = _ON_WINDOWS) -> None:
    """Force the names in *folder* to disk; Windows has no such call and needs none."""
    if windows:
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def to_disk(descriptor: int) -> None:
    """Force a file's bytes to disk.

    On macOS fsync stops at the drive's own cache; F_FULLFSYNC goes through it (Apple, fsync(2) manual page).
    """
    try:
        import fcntl  # not there on Windows
    except ImportError:
        full = None
    else:
        full = getattr(fcntl, "F_FULLFSYNC", None)
    if full is not None:
        with suppress(OSError):  # refused on network drives, where fsync is all there is
            fcntl.fcntl(descriptor, full)
            return
    os.fsync(descriptor)


@contextmanager
def locked(lock_file: Path, *, seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Hold the lock *lock_file*, which lies outside the library and stays after use.

    Raises:
        ChangedUnderneath: another program has held it for *seconds*.
        LibraryMissing: the lock cannot be made.
    """
    import filelock  # on use: reading needs no lock, and the import costs start-up time

    try:
        lock_file.parent.mkdir(parents=True, exist_ok=True)
        lock = filelock.FileLock(lock_file, timeout=seconds)
        lock.acquire()
    except filelock.Timeout:
        raise ChangedUnderneath(
            f"Another program has been writing to the library for {seconds:g} s, so nothing was written.",
            hint="Close it or try again.",
        ) from None
    except OSError as error:
        raise LibraryMissing(
            f"The lock file {lock_file} cannot be made: {error.strerror}.",
            hint="Make its folder writable, or name another with LUGBOOK_CONFIG.",
        ) from error
    try:
        yield
    finally:
        lock.release()


def _changed(path: Path, *, gone: bool, new: bool) -> ChangedUnderneath:
    if new:
        return ChangedUnderneath(
            f"{path} has been made by someone else meanwhile.", hint="Read it, then try again."
        )
    what = "has been removed" if gone else "has been changed"
    return ChangedUnderneath(
        f"{path} {what} by someone else since it was read, so nothing was written.",
        hint="Read it again, then make the change again.",
    )


def _check_all_taken(taken: int, data: bytes, *, path: Path) -> None:
    if taken != len(data):
        raise OSError(errno.ENOSPC, f"only {taken} of {len(data)} bytes could be written", str(path))


def _write_through(path: Path, data: bytes, *, mode: int | None) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)
        file.flush()
        to_disk(file.fileno())
    if mode is not None:
        path.chmod(mode)
