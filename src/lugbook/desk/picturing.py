"""Pictures, kept as SVG files where the player says; and the picture of one listening."""

from pathlib import Path

from lugbook.desk.listening import Heard
from lugbook.errors import BadValue
from lugbook.library.writing import MISSING, digest_of, write_whole
from lugbook.plain import shown

_SUFFIX = ".svg"


def picture_path(text: str) -> Path:
    """Return the path that *text* names, where a picture may be kept.

    A file of another kind is never replaced, whatever it is called: neither a link that leads to one, nor a
    folder.

    Raises:
        BadValue: it does not end in .svg, there is no such folder, or something that is no file stands there.
    """
    if "\0" in text:
        raise BadValue(f"{shown(text)} cannot be the name of a file.", hint="Name one such as taps.svg.")
    path = Path(text)
    try:
        target = path.resolve()
        in_the_way = target.exists() and not target.is_file()
        has_folder = target.parent.is_dir()
    except (OSError, RuntimeError) as error:
        raise BadValue(f"{shown(text)} cannot be written to.", hint="Name another file.") from error
    if path.suffix.lower() != _SUFFIX or target.suffix.lower() != _SUFFIX:
        raise BadValue(
            f"{shown(text)} does not end in .svg, and the picture is an SVG file.",
            hint=f"Name it {shown(path.stem or 'taps')}.svg.",
        )
    if in_the_way:
        raise BadValue(f"{shown(text)} is no file.", hint="Name another one, such as taps.svg.")
    if not has_folder:
        raise BadValue(f"There is no folder {shown(str(path.parent))}.", hint="Make it first.")
    return path


def keep_picture(heard: Heard, path: Path) -> None:
    """Draw what was heard and keep it at *path*, as `keep_svg` does."""
    # Imported on use: only a picture needs it.
    from lugbook.cards import listening_picture

    drawn = listening_picture(
        heard.hearing,
        levels=heard.levels,
        file=Path(heard.file).name or heard.file,
        a4_hz=heard.a4_hz,
        struck=heard.struck,
        near_hz=heard.near_hz,
    )
    keep_svg(drawn, path)


def keep_svg(drawn: str, path: Path) -> None:
    """Keep a picture at *path*: an older one is replaced whole or stays as it is.

    Raises:
        BadValue: the system refused.
    """
    try:
        old = digest_of(path.read_bytes()) if path.exists() else MISSING
        write_whole(path, drawn.encode(), digest=old)
    except OSError as error:
        raise BadValue(
            f"The picture cannot be written to {shown(str(path))}: {error.strerror or error}.",
            hint="Name a file in a folder of your own.",
        ) from error
