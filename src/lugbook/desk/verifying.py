"""Checking every file of the library."""

from dataclasses import dataclass

from lugbook.desk.desk import Desk
from lugbook.library import Problem


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found."""

    files: int
    """How many files were read."""
    problems: tuple[Problem, ...]


def verify(desk: Desk) -> Verified:
    """Read every file of the library and return all problems."""
    return Verified(files=len(desk.library.files()), problems=desk.library.problems())
