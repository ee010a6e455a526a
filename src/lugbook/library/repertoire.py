"""The pieces and the concerts of a library, one plain file each; and what of a library was removed."""

from pathlib import Path

from lugbook.errors import LugbookError, NotPossible
from lugbook.library.folder import not_found
from lugbook.library.layout import id_of, kind_of
from lugbook.library.logbooks import Logbooks
from lugbook.library.problems import Problem
from lugbook.library.reading import Found, R, Stored, read_record
from lugbook.library.slugs import is_slug, make_slug
from lugbook.records import Concert, Piece


class Repertoire(Logbooks):
    """The pieces and concerts in one library's folder; `Library` has the drums and presets beside them."""

    def pieces(self) -> Found[Piece]:
        """Return all pieces, by their slugs."""
        return self._plain(self._layout.pieces, Piece)

    def piece_slugs(self) -> list[str]:
        """Return the slugs of all pieces, damaged ones too."""
        return self._files.file_slugs(self._layout.pieces, [])

    def piece(self, slug: str) -> Stored[Piece]:
        """Return one piece, reading only its own file.

        Raises:
            LibraryDamaged: its file cannot be read.
            NotFound: there is no such piece.
        """
        return self._one("piece", slug, folder=self._layout.pieces, kind=Piece)

    def add_piece(self, record: Piece) -> Stored[Piece]:
        """Keep a new piece, under a slug made from its title and movement.

        Raises:
            BadValue: *record* could not be read back from a file.
        """
        return self._add("piece", record, name=record.name, folder=self._layout.pieces)

    def save_piece(self, stored: Stored[Piece], record: Piece) -> Stored[Piece]:
        """Put *record* in the place of *stored*; raises what `save_drum` raises."""
        with self._files.changing():
            return self._files.write(stored, record)

    def remove_piece(self, slug: str) -> None:
        """Move a piece into the trash, damaged or not.

        Raises:
            NotFound: there is no such piece.
        """
        self._remove("piece", slug, folder=self._layout.pieces)

    def restore_piece(self, slug: str) -> Stored[Piece]:
        """Bring a removed piece back, or a changed one to what it was before.

        Raises:
            NotFound: no such piece was removed.
            NotPossible: it is there, and no older version of it is kept.
        """
        self._restore("piece", slug, folder=self._layout.pieces)
        return self.piece(slug)

    def concerts(self) -> Found[Concert]:
        """Return all concerts, by their slugs."""
        return self._plain(self._layout.concerts, Concert)

    def concert(self, slug: str) -> Stored[Concert]:
        """Return one concert, reading only its own file.

        Raises:
            LibraryDamaged: its file cannot be read.
            NotFound: there is no such concert.
        """
        return self._one("concert", slug, folder=self._layout.concerts, kind=Concert)

    def add_concert(self, record: Concert) -> Stored[Concert]:
        """Keep a new concert, under a slug made from its name.

        Raises:
            BadValue: *record* could not be read back from a file.
        """
        return self._add("concert", record, name=record.name, folder=self._layout.concerts)

    def save_concert(self, stored: Stored[Concert], record: Concert) -> Stored[Concert]:
        """Put *record* in the place of *stored*; raises what `save_drum` raises."""
        with self._files.changing():
            return self._files.write(stored, record)

    def remove_concert(self, slug: str) -> None:
        """Move a concert into the trash, damaged or not.

        Raises:
            NotFound: there is no such concert.
        """
        self._remove("concert", slug, folder=self._layout.concerts)

    def restore_concert(self, slug: str) -> Stored[Concert]:
        """Bring a removed concert back, or a changed one to what it was before.

        Raises:
            NotFound: no such concert was removed.
            NotPossible: it is there, and no older version of it is kept.
        """
        self._restore("concert", slug, folder=self._layout.concerts)
        return self.concert(slug)

    def removed(self) -> tuple[str, ...]:
        """Return the ids of what lies in the trash and can be brought back, newest last.

        A drum's is its slug, a preset's ``drum/preset``, a piece's ``piece:slug``, a concert's
        ``concert:slug``.
        """
        ids = dict.fromkeys(id_of(one.relative) for one in self._files.removed())
        return tuple(one for one in ids if one is not None)

    def _nothing_kept(self, what: str, wanted: str, *, known: list[str]) -> LugbookError:
        if wanted in known:
            return NotPossible(f"The {what} {wanted} is there, and no older version of it is kept.")
        return not_found(f"removed {what}", wanted, known=self._removed(what))

    def _removed(self, what: str) -> list[str]:
        """Return the ids of what was removed of one kind, each without its kind."""
        return [one.removeprefix(f"{what}:") for one in self.removed() if kind_of(one) == what]

    # What pieces and concerts share: a folder of plain files

    def _plain(self, folder: Path, kind: type[R]) -> Found[R]:
        self._files.check_there()
        problems: list[Problem] = []
        slugs = self._files.file_slugs(folder, problems)
        return self._files.read_all([(slug, _file(folder, slug)) for slug in slugs], kind, problems)

    def _one(self, what: str, slug: str, *, folder: Path, kind: type[R]) -> Stored[R]:
        self._files.check_there()
        if is_slug(slug):
            try:
                return read_record(_file(folder, slug), kind, id=slug)
            except FileNotFoundError:
                pass
        raise not_found(what, slug, known=self._files.file_slugs(folder, []))

    def _add(self, what: str, record: R, *, name: str, folder: Path) -> Stored[R]:
        with self._files.changing():
            # a slug in the trash stays taken, so that what lies there can always come back
            slug = make_slug(name, taken=[*self._files.names(folder), *self._removed(what)], empty=what)
            return self._files.write_new(_file(folder, slug), record, id=slug)

    def _remove(self, what: str, slug: str, *, folder: Path) -> None:
        with self._files.changing():
            known = self._files.file_slugs(folder, [])
            if slug not in known:
                raise not_found(what, slug, known=known)
            self._files.discard(_file(folder, slug))

    def _restore(self, what: str, slug: str, *, folder: Path) -> None:
        with self._files.changing():
            file = _file(folder, slug)
            if not is_slug(slug) or not self._files.bring_back(file, file=file):
                raise self._nothing_kept(what, slug, known=self._files.file_slugs(folder, []))


def _file(folder: Path, slug: str) -> Path:
    return folder / f"{slug}.toml"
