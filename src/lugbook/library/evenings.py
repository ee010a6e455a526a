"""``evenings.toml`` in the user's own folder: how far the concerts of this machine have come."""

from pathlib import Path

from lugbook.errors import ChangedUnderneath
from lugbook.library.encoding import file_bytes
from lugbook.library.reading import read_record
from lugbook.library.users import kept_in
from lugbook.library.writing import MISSING, locked, write_whole
from lugbook.records import Evening, Evenings

FILE = "evenings.toml"

_LOCK = "evenings.lock"

_TRIES = 5
"""So often it is read again where a program without the lock (an editor, a sync tool) came in between."""

MOST = 20
"""So many evenings are kept, each of another concert; the oldest goes."""


def load_evening(folder: Path, *, library: str, concert: str) -> Evening | None:
    """Return the evening that is kept of a concert; None where none is.

    Args:
        folder: the user's own folder.
        library: the folder of the concert's library, as `Evening.library` has it.
        concert: its slug.

    Raises:
        LibraryDamaged: the file cannot be read.
    """
    return _of(_read(folder)[0], library, concert)


def keep_evening(folder: Path, evening: Evening, *, before: Evening | None) -> None:
    """Keep an evening in the place of the one *before*.

    Args:
        folder: the user's own folder; is made where missing.
        evening: what to keep.
        before: what was read of this concert; None where nothing was kept of it.

    Raises:
        ChangedUnderneath: another evening of this concert is kept meanwhile; it is left as it is.
        LibraryDamaged: the file there is damaged; it is left as it is.
        LibraryMissing: the folder cannot be written.
    """
    # Held from reading to writing: evenings of other concerts lie in the same file.
    with kept_in(folder, what="evening"), locked(folder / _LOCK):
        _put(folder, evening, before=before)


def went_on() -> ChangedUnderneath:
    """Return the error that another program keeps another state of this evening by now."""
    return ChangedUnderneath(
        "This evening went on in another window meanwhile.", hint="It is shown as it is now."
    )


def _put(folder: Path, evening: Evening, *, before: Evening | None) -> None:
    tries = 0
    while True:
        tries += 1
        kept, digest = _read(folder)
        if _of(kept, evening.library, evening.concert) != before:
            raise went_on()
        others = [one for one in kept.evenings if _name(one) != _name(evening)]
        record = kept.model_copy(update={"evenings": (*others, evening)[-MOST:]})
        try:
            write_whole(folder / FILE, file_bytes(record), digest=digest)
        except ChangedUnderneath:
            # Most likely for another concert: only what is kept of this one is the player's matter.
            if tries == _TRIES:
                raise
        else:
            return


def _read(folder: Path) -> tuple[Evenings, str]:
    """Return what is kept, and the digest of its file."""
    try:
        stored = read_record(folder / FILE, Evenings, id="evenings")
    except FileNotFoundError:
        return Evenings(), MISSING
    return stored.record, stored.digest


def _of(kept: Evenings, library: str, concert: str) -> Evening | None:
    return next((one for one in kept.evenings if _name(one) == (library, concert)), None)


def _name(evening: Evening) -> tuple[str, str]:
    return evening.library, evening.concert
