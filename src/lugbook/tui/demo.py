"""The demo library: where it lies, and a desk on a copy of it."""

import shutil
from dataclasses import replace
from pathlib import Path

from lugbook.desk import Desk
from lugbook.errors import LibraryMissing
from lugbook.library import Library

_CHECKOUT = Path(__file__).parents[3]
"""The root of the checkout, where the program is run from one."""


def demo_library(checkout: Path = _CHECKOUT) -> Path | None:
    """Return the folder of the demo library; None where it is not at hand, as in an installed program."""
    folder = checkout / "demo" / "library"
    return folder if folder.is_dir() else None


def with_demo(desk: Desk, demo: Path) -> Desk:
    """Return a desk on a copy of the *demo* library, which lies beside the player's own and stays there.

    Raises:
        LibraryMissing: the copy cannot be made.
    """
    root = desk.library.root.with_name(f"{desk.library.root.name}-demo")
    try:
        if not root.exists():
            shutil.copytree(demo, root)
    except OSError as error:
        raise LibraryMissing(
            f"The demo library cannot be copied to {root}: {error.strerror or error}.",
            hint="Name a folder that you may write with LUGBOOK_LIBRARY.",
        ) from error
    library = Library(root, now=desk.clock, lock_folder=desk.user_folder / "locks", writer=desk.user.writer)
    return replace(desk, library=library)
