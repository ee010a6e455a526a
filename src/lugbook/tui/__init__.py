"""The terminal program: it shows and asks, and decides nothing; all sums and rules come from the desk.

`run` opens it. Textual takes a fifth of a second to import, so the name is resolved on first use (PEP 562).
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lugbook.tui.app import run

__all__ = ["run"]


def __getattr__(name: str) -> object:
    if name == "run":
        from lugbook.tui.app import run

        return run
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
