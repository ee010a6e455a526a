"""The player's own settings: changed by a form, kept in the user's folder, never in the library."""

from dataclasses import replace

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values, merged
from lugbook.library import load_user, save_user


def change_settings(desk: Desk, values: Values) -> Desk:
    """Change the player's settings, and return the desk of that player.

    Args:
        desk: the desk.
        values: fields of `UserSettings`; None takes one out.

    Raises:
        BadRecord: a value cannot be kept.
        LibraryDamaged, LibraryMissing: the settings cannot be kept there.
    """
    save_user(desk.user_folder, merged(load_user(desk.user_folder), values))
    return replace(desk, user=merged(desk.user, values))
