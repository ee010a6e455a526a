"""The starting points that come with the program: where players commonly begin, never a drum's own target."""

from pathlib import Path

from lugbook.library.reading import read_record
from lugbook.records import StartingPoint

_PACKAGE = Path(__file__).parents[1]

_IN_WHEEL = _PACKAGE / "presets"
_IN_CHECKOUT = _PACKAGE.parents[1] / "presets"


def starting_points(folder: Path | None = None) -> dict[str, StartingPoint]:
    """Return the starting points by slug, in order of the slugs.

    Args:
        folder: to read them from; where missing, the installed program's own or that of the checkout.

    Raises:
        LibraryDamaged: one of them cannot be read.
    """
    if folder is None:
        folder = _IN_WHEEL if _IN_WHEEL.is_dir() else _IN_CHECKOUT
    return {
        path.stem: read_record(path, StartingPoint, id=path.stem).record
        for path in sorted(folder.glob("*.toml"), key=lambda path: path.stem)
    }
