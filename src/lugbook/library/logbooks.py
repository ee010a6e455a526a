"""The logbooks of a library's drums: the part of it that is only ever added to."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from lugbook.errors import ChangedUnderneath
from lugbook.library.folder import Folder, not_found
from lugbook.library.layout import Layout
from lugbook.library.log import append_entry
from lugbook.library.log_reader import Log, LogReader
from lugbook.library.problems import Problem
from lugbook.library.slugs import is_slug
from lugbook.library.writing import random_letters
from lugbook.records import Entry


class Logbooks:
    """The logbooks in one library's folder; `Library` has the records beside them."""

    def __init__(self, root: Path, *, now: Callable[[], datetime], lock_folder: Path, writer: str) -> None:
        self.root = root
        self.writer = writer
        self._layout = Layout(root)
        self._files = Folder(root, now=now, lock_folder=lock_folder)
        self._set_aside: list[Problem] = []
        self._reader = LogReader()

    @property
    def set_aside(self) -> tuple[Problem, ...]:
        """The torn ends of logs that this object has put into the trash while appending."""
        return tuple(self._set_aside)

    def log(self, drum: str) -> Log:
        """Return the logbook of *drum*.

        Raises:
            NotFound: there is no such drum.
        """
        self._files.check_there()
        self._check_drum(drum)
        return self._reader.read(self._layout.log(drum))

    def append(self, drum: str, entry: Entry, *, unchanged: Log | None = None) -> Entry:
        """Append *entry* to the logbook of *drum*, on disk before this returns; return it as it will be read.

        A torn end of the file is put into the trash first and reported in `set_aside`.

        Args:
            drum: the drum's slug.
            entry: to append.
            unchanged: the log that the entry was worked out from; None where it rests on no other entry.

        Raises:
            ChangedUnderneath: the log is not *unchanged*: another program wrote into it.
            BadValue: the entry is another writer's, its id is in the log, or it could not be read back.
            LibraryDamaged: the file cannot be read, or is of a newer format; it is left as it is.
            NotFound: there is no such drum.
        """
        with self._files.changing():
            self._check_drum(drum)
            if unchanged is not None and self.log(drum).raw != unchanged.raw:
                raise ChangedUnderneath(
                    f"Another program wrote into the logbook of {drum} meanwhile.",
                    hint="Nothing was written; read it again.",
                )
            folder, keep_torn = self._layout.log(drum), self._files.keep_torn
            appended = append_entry(folder, entry, writer=self.writer, keep_torn=keep_torn)
        if appended.torn is not None:
            self._set_aside.append(appended.torn)
        return appended.entry

    def new_entry_id(self) -> str:
        """Return an id for an entry that is made now."""
        return f"{self._files.now().astimezone(UTC):%Y%m%dT%H%M%SZ}-{self.writer}-{random_letters(4)}"

    def drum_slugs(self) -> list[str]:
        """Return the slugs of all drums, damaged ones too."""
        return self._files.folder_slugs(self._layout.drums, [])

    def _check_drum(self, slug: str) -> None:
        if not is_slug(slug) or not self._layout.drum_folder(slug).is_dir():
            raise not_found("drum", slug, known=self.drum_slugs())
