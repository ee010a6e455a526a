"""Crash notes: what nobody foresaw is kept in a file of the user's own folder, and none is overwritten."""

import sys
from datetime import UTC, datetime
from pathlib import Path

from lugbook import __version__


def keep_crash_note(user_folder: Path, text: str) -> Path:
    """Keep *text*, headed by the versions, in ``crashes`` of the user's folder; return the new file.

    Raises:
        OSError: the system refused.
    """
    folder = user_folder / "crashes"
    folder.mkdir(parents=True, exist_ok=True)
    stem, number = f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}", 1
    versions = f"Lugbook {__version__}, Python {sys.version.split()[0]}, {sys.platform}"
    while True:
        path = folder / (f"{stem}.txt" if number == 1 else f"{stem}-{number}.txt")
        try:
            with path.open("x", encoding="utf-8", errors="backslashreplace") as file:
                file.write(f"{versions}\n{text}")
        except FileExistsError:
            number += 1
        else:
            return path
