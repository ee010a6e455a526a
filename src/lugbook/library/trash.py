"""What was deleted or replaced is kept in ``.trash``, each in a folder of its own, and can be brought back.

.trash/<UTC time>-<letters>/trash.toml            why it is here, and which path it had
.trash/<UTC time>-<letters>/<the same relative path>
"""

import os
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Literal

import tomli_w

from lugbook.library.writing import append_to, put_over, random_letters, sync_folder

FOLDER = ".trash"
"""Name of the folder in the library."""

LABEL = "trash.toml"
"""Name of the file that says why something is in the trash."""

Why = Literal["removed", "replaced", "torn"]
"""Deleted by the player; an older version of a file; the end of a log that was cut off in writing."""


_WHYS: Mapping[str, Why] = {"removed": "removed", "replaced": "replaced", "torn": "torn"}


@dataclass(frozen=True)
class Discarded:
    """One thing in the trash."""

    why: Why
    """Why it is there."""

    relative: PurePosixPath
    """The path it had in the library."""

    folder: Path
    """Its own folder in the trash."""

    @property
    def path(self) -> Path:
        """Where it lies now."""
        return self.folder / self.relative


def keep_copy(root: Path, path: Path, data: bytes, *, why: Why, moment: datetime) -> Path:
    """Put *data*, which was in the file *path* of *root*, into the trash; return its path there."""
    kept = _new_place(root, path, why=why, moment=moment)
    append_to(kept, data)
    return kept


def move_there(root: Path, path: Path, *, moment: datetime) -> Path:
    """Move the file or folder *path* of the library *root* into the trash and return its new path."""
    kept = _new_place(root, path, why="removed", moment=moment)
    put_over(path, kept)
    sync_folder(kept.parent)
    sync_folder(path.parent)
    return kept


def discarded(root: Path) -> Iterator[Discarded]:
    """Yield what is in the trash of the library *root*, oldest first; what has no label is passed over."""
    try:
        folders = sorted((root / FOLDER).iterdir())
    except OSError:
        return
    for folder in folders:
        try:
            label = tomllib.loads((folder / LABEL).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            continue
        why, relative = label.get("why"), label.get("path")
        if isinstance(why, str) and why in _WHYS and isinstance(relative, str):
            one = Discarded(_WHYS[why], PurePosixPath(relative), folder)
            if _stays_inside(one.relative) and os.path.lexists(one.path):
                yield one


def move_back(root: Path, one: Discarded) -> Path:
    """Move *one* from the trash of *root* to the path it had, where nothing may be; return that path."""
    path = root / one.relative
    path.parent.mkdir(parents=True, exist_ok=True)
    put_over(one.path, path)
    sync_folder(path.parent)
    _clear(one)
    return path


def drop(one: Discarded) -> None:
    """Take *one*, a file, out of the trash for good."""
    one.path.unlink()
    _clear(one)


def _clear(one: Discarded) -> None:
    """Take away the folders and the label of *one*, which is no longer there itself."""
    (one.folder / LABEL).unlink()
    for parent in one.path.parents[: len(one.relative.parts)]:  # up to its own folder in the trash
        parent.rmdir()


def _new_place(root: Path, path: Path, *, why: Why, moment: datetime) -> Path:
    relative = path.relative_to(root)
    trash = root / FOLDER
    stamp = f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    # two letters count within one second, so that the names sort as things happened
    count = len(list(trash.glob(f"{stamp}-*")))
    folder = (
        trash / f"{stamp}-{chr(ord('a') + count // 26 % 26)}{chr(ord('a') + count % 26)}{random_letters(4)}"
    )
    kept = folder / relative
    kept.parent.mkdir(parents=True)
    append_to(folder / LABEL, tomli_w.dumps({"why": why, "path": relative.as_posix()}).encode())
    for parent in kept.parents[: len(relative.parts) + 2]:  # up to the library's folder
        sync_folder(parent)
    return kept


def _stays_inside(relative: PurePosixPath) -> bool:
    """Tell whether a label, which may come from elsewhere, names a path inside the library."""
    return not relative.is_absolute() and ".." not in relative.parts and bool(relative.parts)
