"""The desk itself: a library, its player, a clock and a source of sound, given explicitly; no globals."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from lugbook.errors import LibraryMissing
from lugbook.library import Library, Problem, Unreadable, find_root, load_user, lock_folder, user_folder
from lugbook.progress import Progress
from lugbook.records import LibrarySettings, UserSettings

if TYPE_CHECKING:
    from lugbook.sound import Recording

EAR_TOLERANCE_CENTS = 25.0
"""Tolerance where neither preset nor library names one and a pitch was found by ear."""

TOLERANCE_CENTS = 10.0
"""Tolerance where neither preset nor library names one."""


class SoundSource(Protocol):
    """Whatever can read a recording."""

    def read(self, path: Path, *, progress: Progress | None = None) -> "Recording":
        """Return the recording at *path*, or raise `SoundUnavailable`."""
        ...


class SoundOnUse:
    """Reads recordings with the sound floor, which is imported on use: it needs numpy, `check` does not."""

    def read(self, path: Path, *, progress: Progress | None = None) -> "Recording":
        """Return the recording at *path*, or raise `SoundUnavailable`."""
        from lugbook.sound import read_recording

        return read_recording(path, progress=progress)


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
    progress: Progress | None = None
    """Is told how far a recording has been listened to; None where nobody wants to know."""

    def telling(self, progress: Progress) -> "Desk":
        """Return this desk for one deed whose *progress* somebody wants to know, or may stop."""
        return replace(self, progress=progress)

    def now(self) -> datetime:
        """Return the time with its offset from UTC, to the second."""
        return self.clock().replace(microsecond=0)

    def a4_hz(self) -> float:
        """Return the concert pitch of the library in Hz, for what is going to be kept.

        Raises:
            LibraryDamaged: the library's settings cannot be read, so that nobody knows it.
        """
        return self.library.settings().record.a4

    def shared(self) -> LibrarySettings:
        """Return what everybody who shares the library shares; the defaults where that cannot be read."""
        try:
            return self.library.settings().record
        except Unreadable:
            return LibrarySettings()

    def shared_problems(self) -> tuple[Problem, ...]:
        """Return what is wrong with the library's settings, which do not count then."""
        try:
            self.library.settings()
        except Unreadable as error:
            return error.problems
        return ()

    def tolerance_cents(self, preset_cents: float | None, *, by_ear: bool) -> float:
        """Return the tolerance in cents: the preset's, else the library's, else 10 (25 by ear)."""
        if preset_cents is not None:
            return preset_cents
        shared = self.shared().tolerance_cents
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
