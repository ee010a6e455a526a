"""The library: one folder of plain files that holds drums, their presets and logbooks, pieces and concerts.

Reading never writes and never stops at a bad file. Writing holds the lock, refuses where a file changed since
it was read, and puts what it deletes or replaces into the trash.
"""

from pathlib import Path

from lugbook.errors import NotPossible
from lugbook.library.folder import not_found
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import Found, Stored, read_record
from lugbook.library.repertoire import Repertoire
from lugbook.library.slugs import is_slug, make_slug
from lugbook.library.state import gaps
from lugbook.library.writing import MISSING
from lugbook.records import Drum, LibrarySettings, Preset


class Library(Repertoire):
    """One library.

    Every method raises `LibraryMissing` where the folder holds no library or the system refuses.

    Args:
        root: its folder.
        now: the clock; gives times with their offset.
        lock_folder: where the lock file lies, outside the library.
        writer: the six letters of this machine, for the ids of entries.
    """

    @property
    def exists(self) -> bool:
        """Whether the folder is there and holds a library."""
        return self._files.exists

    def create(self, settings: LibrarySettings) -> Stored[LibrarySettings]:
        """Make the folder and its first files.

        Raises:
            NotPossible: there is a library already.
        """
        if self.exists:
            raise NotPossible(f"{self.root} holds a library already.", hint="Use it, or name another folder.")
        with self._files.refusals():
            self._layout.drums.mkdir(parents=True, exist_ok=True)
        with self._files.changing():
            return self._files.write_new(self._layout.settings, settings, id="library")

    def settings(self) -> Stored[LibrarySettings]:
        """Return what everybody who shares the library shares; the defaults where no file says it.

        Raises:
            LibraryDamaged: the file cannot be read.
        """
        self._files.check_there()
        path = self._layout.settings
        try:
            return read_record(path, LibrarySettings, id="library")
        except FileNotFoundError:
            return Stored("library", path, LibrarySettings(), MISSING)

    def save_settings(
        self, stored: Stored[LibrarySettings], record: LibrarySettings
    ) -> Stored[LibrarySettings]:
        """Put *record* in the place of *stored*; raises what `save_drum` raises."""
        with self._files.changing():
            return self._files.write(stored, record)

    def problems(self) -> tuple[Problem, ...]:
        """Return what is wrong in every file of the library, and gaps in the logbooks."""
        problems: list[Problem] = []
        try:
            self.settings()
        except Unreadable as error:
            problems += error.problems
        drums = self.drums()
        problems += [*drums.problems, *self.presets().problems]
        for slug in self.drum_slugs():
            log = self.log(slug)
            problems += log.problems
            if slug in drums.items:
                problems += gaps(drums.items[slug].record, log.entries, folder=self._layout.log(slug))
        return (*problems, *self.pieces().problems, *self.concerts().problems)

    def files(self) -> tuple[Path, ...]:
        """Return the files that `problems` looks at, in order of their paths."""
        self._files.check_there()
        settings = [self._layout.settings] if self._layout.settings.exists() else []
        repertoire = [*self._layout.pieces.glob("*.toml"), *self._layout.concerts.glob("*.toml")]
        return tuple(sorted([*settings, *repertoire, *self._layout.drums.rglob("*.toml")]))

    def drums(self) -> Found[Drum]:
        """Return all drums."""
        self._files.check_there()
        problems: list[Problem] = []
        slugs = self._files.folder_slugs(self._layout.drums, problems)
        return self._files.read_all([(slug, self._layout.drum(slug)) for slug in slugs], Drum, problems)

    def drum(self, slug: str) -> Stored[Drum]:
        """Return one drum, reading only its own file.

        Raises:
            LibraryDamaged: its file cannot be read.
            NotFound: there is no such drum.
        """
        self._files.check_there()
        if is_slug(slug):
            try:
                return read_record(self._layout.drum(slug), Drum, id=slug)
            except FileNotFoundError:
                pass
        raise not_found("drum", slug, known=self.drum_slugs())

    def add_drum(self, record: Drum) -> Stored[Drum]:
        """Keep a new drum, under a slug made from its name.

        Raises:
            BadValue: *record* could not be read back from a file.
        """
        with self._files.changing():
            # a slug in the trash stays taken, so that what lies there can always come back
            taken = [*self._files.names(self._layout.drums), *self.removed()]
            slug = make_slug(record.name, taken=taken, empty="drum")
            return self._files.write_new(self._layout.drum(slug), record, id=slug)

    def save_drum(self, stored: Stored[Drum], record: Drum) -> Stored[Drum]:
        """Put *record* in the place of *stored*, whose old file goes to the trash; the slug stays.

        Keys that this version does not know survive where *record* was made from the stored one with
        ``model_copy``.

        Raises:
            BadValue: *record* could not be read back from a file.
            ChangedUnderneath: the file changed since it was read; it is left as it is.
            LibraryDamaged: the file there is damaged; it is left as it is.
        """
        with self._files.changing():
            return self._files.write(stored, record)

    def remove_drum(self, slug: str) -> None:
        """Move a drum with its presets and its log into the trash, damaged or not.

        Raises:
            NotFound: there is no such drum.
        """
        with self._files.changing():
            self._check_drum(slug)
            self._files.discard(self._layout.drum_folder(slug))

    def restore_drum(self, slug: str) -> Stored[Drum]:
        """Bring a removed drum back with its presets and its log, or a changed one to what it was before.

        Raises:
            NotFound: no such drum was removed.
            NotPossible: it is there, and no older version of it is kept.
        """
        with self._files.changing():
            folder, file = self._layout.drum_folder(slug), self._layout.drum(slug)
            if not is_slug(slug) or not self._files.bring_back(folder, file=file):
                raise self._nothing_kept("drum", slug, known=self.drum_slugs())
        return self.drum(slug)

    def earlier_drums(self, slug: str) -> tuple[Drum, ...]:
        """Return what a drum's file said before each change, newest first, as far as it can be read.

        Raises:
            NotFound: there is no such drum.
        """
        self._files.check_there()
        self._check_drum(slug)
        return self._files.earlier(self._layout.drum(slug), Drum)

    def presets(self, drum: str | None = None) -> Found[Preset]:
        """Return all presets, or those of one *drum*, by ids ``drum/preset``.

        Raises:
            NotFound: there is no such drum.
        """
        self._files.check_there()
        if drum is not None:
            self._check_drum(drum)
        problems: list[Problem] = []
        paths = [
            (f"{one}/{slug}", self._layout.preset(one, slug))
            for one in (self.drum_slugs() if drum is None else [drum])
            for slug in self._files.file_slugs(self._layout.presets(one), problems)
        ]
        return self._files.read_all(paths, Preset, problems)

    def preset(self, id: str) -> Stored[Preset]:  # noqa: A002 -- named as the field is
        """Return the preset *id*, ``drum/preset``, reading only its own file.

        Raises:
            LibraryDamaged: its file cannot be read.
            NotFound: there is no such preset.
        """
        self._files.check_there()
        drum, slug = _parts(id)
        if is_slug(drum) and is_slug(slug):
            try:
                return read_record(self._layout.preset(drum, slug), Preset, id=id)
            except FileNotFoundError:
                pass
        raise not_found("preset", id, known=self.preset_ids())

    def add_preset(self, drum: str, record: Preset) -> Stored[Preset]:
        """Keep a new preset of *drum*, under a slug made from its name; two of one name are legal.

        Raises:
            BadValue: *record* could not be read back from a file.
            NotFound: there is no such drum.
        """
        with self._files.changing():
            self._check_drum(drum)
            gone = [one.removeprefix(f"{drum}/") for one in self.removed()]
            taken = [*self._files.names(self._layout.presets(drum)), *gone]
            slug = make_slug(record.name, taken=taken, empty="preset")
            return self._files.write_new(self._layout.preset(drum, slug), record, id=f"{drum}/{slug}")

    def save_preset(self, stored: Stored[Preset], record: Preset) -> Stored[Preset]:
        """Put *record* in the place of *stored*; raises what `save_drum` raises."""
        with self._files.changing():
            return self._files.write(stored, record)

    def remove_preset(self, id: str) -> None:  # noqa: A002 -- named as the field is
        """Move a preset into the trash, damaged or not.

        Raises:
            NotFound: there is no such preset.
        """
        with self._files.changing():
            known = self.preset_ids()
            if id not in known:
                raise not_found("preset", id, known=known)
            self._files.discard(self._layout.preset(*_parts(id)))

    def restore_preset(self, id: str) -> Stored[Preset]:  # noqa: A002 -- named as the field is
        """Bring a removed preset back, or a changed one to what it was before.

        Raises:
            NotFound: no such preset was removed, or its drum is not there.
            NotPossible: it is there, and no older version of it is kept.
        """
        with self._files.changing():
            drum, slug = _parts(id)
            self._check_drum(drum)
            file = self._layout.preset(drum, slug)
            if not is_slug(slug) or not self._files.bring_back(file, file=file):
                raise self._nothing_kept("preset", id, known=self.preset_ids())
        return self.preset(id)

    def preset_ids(self) -> list[str]:
        """Return the ids of all presets, damaged ones too."""
        return [
            f"{drum}/{slug}"
            for drum in self.drum_slugs()
            for slug in self._files.file_slugs(self._layout.presets(drum), [])
        ]


def _parts(id: str) -> tuple[str, str]:  # noqa: A002 -- named as the field is
    drum, _, preset = id.partition("/")
    return drum, preset
