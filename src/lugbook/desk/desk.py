"""The desk itself: a library, its player, a clock and a source of sound, given explicitly; no globals."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from lugbook.errors import LibraryMissing
from lugbook.library import Library, Problem, find_root, load_user, lock_folder, user_folder
from lugbook.records import UserSettings

if TYPE_CHECKING:
    from lugbook.sound import Recording

EAR_TOLERANCE_CENTS = 25.0
"""Tolerance where neither preset nor library names one and a pitch was found by ear."""

TOLERANCE_CENTS = 10.0
"""Tolerance where neither preset nor library names one."""


class SoundSource(Protocol):
    """Whatever can read a recording."""

    def read(self, path: Path) -> "Recording":
        """Return the recording at *path*, or raise `SoundUnavailable`."""
        ...


class SoundOnUse:
    """Reads recordings with the sound floor, which is imported on use: it needs numpy, `check` does not."""

    def read(self, path: Path) -> "Recording":
        """Return the recording at *path*, or raise `SoundUnavailable`."""
        from lugbook.sound import read_recording

        return read_recording(path)


@dataclass(frozen=True, slots=True)
class Desk:
    """What every deed needs."""

    library: Library
    user: UserSettings
    user_folder: Path
    clock: Callable[[], datetime]
    sound: SoundSource
    user_problems: tuple[Problem, ...] = ()
    """What is wrong with the user's settings, which then last as long as the program runs."""

    def now(self) -> datetime:
        """Return the time with its offset from UTC, to the second."""
        return self.clock().replace(microsecond=0)

    def a4_hz(self) -> float:
        """Return the concert pitch of the library in Hz."""
        return self.library.settings().record.a4

    def tolerance_cents(self, preset_cents: float | None, *, by_ear: bool) -> float:
        """Return the tolerance in cents: the preset's, else the library's, else 10 (25 by ear)."""
        if preset_cents is not None:
            return preset_cents
        shared = self.library.settings().record.tolerance_cents
        if shared is not None:
            return shared
        return EAR_TOLERANCE_CENTS if by_ear else TOLERANCE_CENTS


def local_now() -> datetime:
    """Return this moment with the machine's offset from UTC."""
    return datetime.now(UTC).astimezone()


def open_desk(
    *,
    library: str | None,
    environment: Mapping[str, str],
    clock: Callable[[], datetime] = local_now,
    sound: SoundSource | None = None,
    must_exist: bool = True,
) -> Desk:
    """Return a desk with the library that option, environment or user settings name.

    Args:
        library: folder given on the command line, if any.
        environment: environment variables.
        clock: returns the time with its offset.
        sound: reads recordings.
        must_exist: refuse where there is no library yet; a first drum makes one.

    Raises:
        LibraryMissing: there is no library at that place.
    """
    folder = user_folder(environment)
    problems: list[Problem] = []
    user = load_user(folder, report=problems.append)
    root = find_root(library, environment=environment, user=user)
    kept = Library(root, now=clock, writer=user.writer, lock_folder=lock_folder(environment))
    if must_exist and not kept.exists:
        raise LibraryMissing(
            f"There is no library at {root}.",
            hint="Begin one with `lugbook drum add NAME --diameter 14`, or name another with --library.",
        )
    return Desk(
        library=kept,
        user=user,
        user_folder=folder,
        clock=clock,
        sound=sound or SoundOnUse(),
        user_problems=tuple(problems),
    )
