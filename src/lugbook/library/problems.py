"""A problem: one thing in one file that is not as it should be, in words a player can act on.

Reading a library gives what is good and a list of these; nothing is printed and nothing is dropped.
"""

from dataclasses import dataclass
from pathlib import Path

from lugbook.errors import LibraryDamaged
from lugbook.plain import shown


@dataclass(frozen=True)
class Problem:
    """One fault in one file."""

    path: Path
    """The file or folder."""

    where: str
    """A line (``line 3``) or a dotted key (``heads.2.side``, counted from 1); empty for the whole file."""

    what: str
    """What is wrong, with the value and the limit; no full stop."""

    right: str
    """What would be right, or a whole sentence (with a capital letter) that says what to do; no full stop."""

    def sentence(self, *, root: Path | None = None) -> str:
        """Return the problem in one line, safe to print; the path is seen from *root* if it lies below."""
        path = self.path
        if root is not None and path.is_relative_to(root):
            path = path.relative_to(root)
        place = f"{path.as_posix()}, {self.where}" if self.where else path.as_posix()
        return shown(f"{place}: {self.what}. {self.advice()}").rstrip()

    def advice(self) -> str:
        """Return `right` as a sentence of its own, or nothing where it is empty."""
        if not self.right:
            return ""
        return f"{self.right}." if self.right[0].isupper() else f"Right would be: {self.right}."


class Unreadable(LibraryDamaged):
    """A file that cannot be read as what it should be, with everything that is wrong in it."""

    def __init__(self, *problems: Problem) -> None:
        first = problems[0]
        super().__init__(
            shown(f"{first.path}{', ' if first.where else ''}{first.where}: {first.what}."),
            hint=shown(first.advice()),
        )
        self.problems = problems


LONGEST_VALUE = 60
"""The most characters of a file's text that a problem quotes."""


def quoted(value: object) -> str:
    """Return *value* as a problem quotes it: texts in quotes, long ones cut."""
    text = value if isinstance(value, str) else str(value)
    if len(text) > LONGEST_VALUE:
        text = text[: LONGEST_VALUE - 1] + "…"
    return f'"{text}"' if isinstance(value, str) else text
