"""The library: what is kept in files, and how it is read and written without losing anything.

Reading gives the good records and a list of problems; a bad file never hides a good one and is never
overwritten. Times in files carry their offset; turns are exact multiples of 1/64; a missing key means
its default.
"""

from lugbook.library.evenings import keep_evening, load_evening, went_on
from lugbook.library.layout import CONCERTS, DRUMS, PIECES, SETTINGS, kind_of
from lugbook.library.library import Library
from lugbook.library.log_reader import Log
from lugbook.library.places import (
    CONFIG_VARIABLE,
    LIBRARY_VARIABLE,
    find_root,
    lock_folder,
    user_folder,
)
from lugbook.library.problems import Problem, Unreadable
from lugbook.library.reading import Found, Stored
from lugbook.library.slugs import is_slug, make_slug
from lugbook.library.starting import starting_points
from lugbook.library.state import gaps, open_round, open_round_entry, position_of
from lugbook.library.users import load_user, save_user

__all__ = [
    "CONCERTS",
    "CONFIG_VARIABLE",
    "DRUMS",
    "LIBRARY_VARIABLE",
    "PIECES",
    "SETTINGS",
    "Found",
    "Library",
    "Log",
    "Problem",
    "Stored",
    "Unreadable",
    "find_root",
    "gaps",
    "is_slug",
    "keep_evening",
    "kind_of",
    "load_evening",
    "load_user",
    "lock_folder",
    "make_slug",
    "open_round",
    "open_round_entry",
    "position_of",
    "save_user",
    "starting_points",
    "user_folder",
    "went_on",
]
