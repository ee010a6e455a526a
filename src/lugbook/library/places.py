"""Where things lie: the library's folder, the user's own folder, and the folder of the locks.

The environment is handed in, never read from the process, so that a caller and a test decide it.
"""

from collections.abc import Mapping
from pathlib import Path

from lugbook.errors import BadValue
from lugbook.records import UserSettings

LIBRARY_VARIABLE = "LUGBOOK_LIBRARY"
"""Environment variable that names the library's folder."""

CONFIG_VARIABLE = "LUGBOOK_CONFIG"
"""Environment variable that names the user's own folder."""


def find_root(option: str | None, *, environment: Mapping[str, str], user: UserSettings | None) -> Path:
    """Return the library's folder, which need not exist.

    The first that names one wins: the command line's option, `LIBRARY_VARIABLE`, the user's settings, and at
    last the folder that this system keeps user data in. An empty text names nothing.

    Raises:
        BadValue: the path holds a NUL character, or names a home folder that does not exist.
    """
    from_user = user.library if user is not None else ""
    for text in (option, environment.get(LIBRARY_VARIABLE), from_user):
        if text:
            return _folder(text)
    import platformdirs  # on use: most runs name a library, and the import costs start-up time

    return platformdirs.user_data_path("lugbook", appauthor=False)


def user_folder(environment: Mapping[str, str]) -> Path:
    """Return the folder of what is one machine's or player's, which need not exist.

    Raises:
        BadValue: as `find_root`.
    """
    named = environment.get(CONFIG_VARIABLE)
    if named:
        return _folder(named)
    import platformdirs  # on use: the import costs start-up time

    return platformdirs.user_config_path("lugbook", appauthor=False)


def lock_folder(environment: Mapping[str, str]) -> Path:
    """Return the folder of the lock files, which lies outside every library, so that locks are never synced.

    Raises:
        BadValue: as `find_root`.
    """
    named = environment.get(CONFIG_VARIABLE)
    if named:
        return _folder(named) / "locks"
    import platformdirs  # on use: the import costs start-up time

    return platformdirs.user_state_path("lugbook", appauthor=False) / "locks"


def _folder(text: str) -> Path:
    if "\0" in text:
        raise BadValue("A folder's name holds a NUL character.", hint="Name a folder without one.")
    try:
        return Path(text).expanduser().absolute()
    except RuntimeError:
        raise BadValue(
            f"No home folder is known for {text!r}.", hint="Write the folder's whole path."
        ) from None
