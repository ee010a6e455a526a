"""What can go wrong, in words a player can act on.

Every error of Lugbook is one plain sentence that says what was wrong, the value and the limit, and a hint
that says what would work. Each class knows the exit code of the command line; only the two faces catch the
base class. Numeric floors raise nothing but `BadValue`, which is a `ValueError` too.
"""

from enum import IntEnum


class ExitCode(IntEnum):
    """What a command returns to the shell."""

    FINE = 0
    """It was done, or the answer is yes."""
    NO = 1
    """The answer is no, or cannot be told."""
    USAGE = 2
    """A value or an option that cannot be used."""
    LIBRARY = 3
    """The library is missing, not writable or damaged."""
    SOUND = 4
    """No sound device, a recording that cannot be read, or one that was refused."""
    INTERRUPTED = 130
    """The player stopped it."""


class LugbookError(Exception):
    """The base of all errors that a face shows to the player.

    Args:
        sentence: what was wrong, with the value and the limit.
        hint: what would work; may be empty.
    """

    exit_code = ExitCode.USAGE

    def __init__(self, sentence: str, *, hint: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.sentence} {self.hint}".rstrip()


class BadValue(LugbookError, ValueError):
    """A value outside what can be used: a note that is none, a frequency out of range, a bad option."""


class NotFound(LugbookError):
    """A drum, preset, head or entry of that name is not in the library; the hint names the nearest."""


class NotPossible(LugbookError):
    """A deed that this drum cannot do, such as turns on a rope drum: the answer is no."""

    exit_code = ExitCode.NO


class Doubtful(LugbookError):
    """What can be done but looks like a slip or goes past a limit: it is done when the player insists."""

    exit_code = ExitCode.NO


class LibraryMissing(LugbookError):
    """The library folder is not there, is no folder, or may not be read or written."""

    exit_code = ExitCode.LIBRARY


class LibraryDamaged(LugbookError):
    """A file of the library cannot be read as what it should be."""

    exit_code = ExitCode.LIBRARY


class ChangedUnderneath(LugbookError):
    """A file was changed by someone else since it was read; nothing was overwritten."""

    exit_code = ExitCode.LIBRARY


class SoundUnavailable(LugbookError):
    """A recording cannot be opened, or there is no sound device."""

    exit_code = ExitCode.SOUND


class StrikeUnreadable(LugbookError):
    """A recording was heard, but holds no stroke from which a pitch could be read."""

    exit_code = ExitCode.SOUND


class Stopped(LugbookError):
    """The player stopped something long; nothing was kept of it."""

    exit_code = ExitCode.INTERRUPTED
