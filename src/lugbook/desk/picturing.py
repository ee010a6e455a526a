"""Pictures and cards, kept in files where the player says; and the picture of one listening."""

from pathlib import Path

from lugbook.desk.listening import Heard
from lugbook.errors import BadValue
from lugbook.library.writing import MISSING, digest_of, write_whole
from lugbook.plain import shown


def picture_path(text: str) -> Path:
    """Return the path that *text* names, where a picture may be kept; as `file_path` does."""
    return file_path(text, suffix=".svg", what="the picture is an SVG file", such_as="taps")


def card_path(text: str, *, suffix: str, replace: bool = False) -> Path:
    """Return the path that *text* names, where a card may be kept; as `file_path` does.

    A card is what a player looks at first and pencils on in other programs, so that no file is replaced
    unasked.

    Args:
        text: what was typed.
        suffix: ``.html``, or ``.txt`` for a card in plain text.
        replace: whether a file that is there may be replaced.

    Raises:
        BadValue: as `file_path`, or a file is there already.
    """
    kind = "an HTML file" if suffix == ".html" else "plain text"
    path = file_path(text, suffix=suffix, what=f"the card is {kind}", such_as="card")
    if path.exists() and not replace:
        raise BadValue(
            f"{shown(text)} is there already, so nothing was written.",
            hint="Name another file, or add --replace.",
        )
    return path


def file_path(text: str, *, suffix: str, what: str, such_as: str) -> Path:
    """Return the path that *text* names, where something may be kept.

    A file of another kind is never replaced, whatever it is called: neither a link that leads to one, nor a
    folder.

    Args:
        text: what was typed.
        suffix: how its name ends.
        what: why, as the end of a sentence.
        such_as: a name without its end, for a hint.

    Raises:
        BadValue: it ends otherwise, there is no such folder, or something that is no file stands there.
    """
    if "\0" in text:
        raise BadValue(
            f"{shown(text)} cannot be the name of a file.", hint=f"Name one such as {such_as}{suffix}."
        )
    path = Path(text)
    try:
        target = path.resolve()
        in_the_way = target.exists() and not target.is_file()
        has_folder = target.parent.is_dir()
    except (OSError, RuntimeError) as error:
        raise BadValue(f"{shown(text)} cannot be written to.", hint="Name another file.") from error
    if path.suffix.lower() != suffix or target.suffix.lower() != suffix:
        raise BadValue(
            f"{shown(text)} does not end in {suffix}, and {what}.",
            hint=f"Name it {shown(path.stem or such_as)}{suffix}.",
        )
    if in_the_way:
        raise BadValue(f"{shown(text)} is no file.", hint=f"Name another one, such as {such_as}{suffix}.")
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
    _keep(drawn, path, what="picture")


def keep_card(text: str, path: Path) -> None:
    """Keep a card at *path*, as `keep_svg` keeps a picture."""
    _keep(text, path, what="card")


def _keep(text: str, path: Path, *, what: str) -> None:
    try:
        old = digest_of(path.read_bytes()) if path.exists() else MISSING
        write_whole(path, text.encode(), digest=old)
    except OSError as error:
        raise BadValue(
            f"The {what} cannot be written to {shown(str(path))}: {error.strerror or error}.",
            hint="Name a file in a folder of your own.",
        ) from error
