"""What lies where in a library's folder.

library.toml                               what a section shares
drums/<slug>/drum.toml                     one drum
drums/<slug>/presets/<slug>.toml           one of its presets
drums/<slug>/log/<yyyy-mm>-<writer>.toml   its logbook, one writer a file
.trash/                                    what was deleted or replaced
"""

from dataclasses import dataclass
from pathlib import Path, PurePath, PurePosixPath

SETTINGS = "library.toml"
DRUMS = "drums"
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

    def relative(self, path: Path) -> PurePosixPath:
        """Return *path* as seen from the library's folder."""
        return PurePosixPath(path.relative_to(self.root))


def id_of(relative: PurePath) -> str | None:
    """Return the id of the drum or preset whose path in the library is *relative*; None for others."""
    match relative.parts:
        case (first, drum) if first == DRUMS:
            return drum
        case (first, drum, folder, file) if (first, folder) == (DRUMS, _PRESETS):
            return f"{drum}/{file.removesuffix('.toml')}"
    return None
