"""What lies where in a library's folder.

library.toml                               what a section shares
drums/<slug>/drum.toml                     one drum
drums/<slug>/presets/<slug>.toml           one of its presets
drums/<slug>/log/<yyyy-mm>-<writer>.toml   its logbook, one writer a file
pieces/<slug>.toml                         one piece of music
concerts/<slug>.toml                       one concert
.trash/                                    what was deleted or replaced
"""

from dataclasses import dataclass
from pathlib import Path, PurePath, PurePosixPath

SETTINGS = "library.toml"
DRUMS = "drums"
PIECES = "pieces"
CONCERTS = "concerts"
_DRUM = "drum.toml"
_PRESETS = "presets"
_LOG = "log"


@dataclass(frozen=True)
class Layout:
    """The paths of one library."""

    root: Path
    """Its folder."""

    @property
    def settings(self) -> Path:
        """The file of what a section shares."""
        return self.root / SETTINGS

    @property
    def drums(self) -> Path:
        """The folder of the drums' folders."""
        return self.root / DRUMS

    def drum_folder(self, drum: str) -> Path:
        """Return the folder of everything of one drum."""
        return self.drums / drum

    def drum(self, drum: str) -> Path:
        """Return the file of one drum."""
        return self.drums / drum / _DRUM

    def presets(self, drum: str) -> Path:
        """Return the folder of one drum's presets."""
        return self.drums / drum / _PRESETS

    def preset(self, drum: str, slug: str) -> Path:
        """Return the file of one preset."""
        return self.drums / drum / _PRESETS / f"{slug}.toml"

    def log(self, drum: str) -> Path:
        """Return the folder of one drum's log."""
        return self.drums / drum / _LOG

    @property
    def pieces(self) -> Path:
        """The folder of the pieces."""
        return self.root / PIECES

    @property
    def concerts(self) -> Path:
        """The folder of the concerts."""
        return self.root / CONCERTS

    def relative(self, path: Path) -> PurePosixPath:
        """Return *path* as seen from the library's folder."""
        return PurePosixPath(path.relative_to(self.root))


def id_of(relative: PurePath) -> str | None:
    """Return the id of what lies at *relative* in the library; None for what has none.

    A drum's is its slug, a preset's ``drum/preset``, a piece's ``piece:slug``, a concert's ``concert:slug``.
    """
    match relative.parts:
        case (first, drum) if first == DRUMS:
            return drum
        case (first, drum, folder, file) if (first, folder) == (DRUMS, _PRESETS):
            return f"{drum}/{file.removesuffix('.toml')}"
        case (first, file) if first in _PLAIN:
            return f"{_PLAIN[first]}:{file.removesuffix('.toml')}"
    return None


def kind_of(id: str) -> str:  # noqa: A002 -- named as the field is
    """Return what *id*, as `id_of` gives it, is of: drum, preset, piece or concert."""
    kind, colon, _ = id.partition(":")
    if colon:
        return kind
    return "preset" if "/" in id else "drum"


_PLAIN = {PIECES: "piece", CONCERTS: "concert"}
"""Folder of plain files → what each of them is."""
