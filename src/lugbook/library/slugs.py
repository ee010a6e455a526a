"""Slugs: the short names of folders and files, made once from a name and then the identity.

A slug is 1 to 48 characters of a–z, 0–9 and hyphen, begins and ends with a letter or digit, is unique without
regard to case, and is no name that Windows reserves for a device, so that a library can be copied anywhere.
"""

import re
import unicodedata
from collections.abc import Iterable

LONGEST = 48
"""The most characters of a slug."""

_SLUG = re.compile(r"[a-z0-9](?:[a-z0-9-]*[a-z0-9])?")

RESERVED = frozenset(
    ["con", "prn", "aux", "nul"] + [f"{port}{number}" for port in ("com", "lpt") for number in range(10)]
)
"""Names no file may have on Windows, with or without an ending (Microsoft, "Naming Files, Paths, and
Namespaces"; com0 and lpt0 are listed there too)."""

_FOLDED = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)
"""Letters that Unicode does not take apart into a plain letter and an accent."""


def is_slug(text: str) -> bool:
    """Tell whether *text* can be a slug."""
    return len(text) <= LONGEST and _SLUG.fullmatch(text) is not None and text not in RESERVED


def make_slug(name: str, *, taken: Iterable[str], empty: str = "drum") -> str:
    """Return a new slug for *name* that none of *taken* is equal to, whatever their case.

    Accents are folded; everything else that is no letter or digit of ASCII parts words. A name of which
    nothing is left gives *empty*. A slug that is taken or reserved gets a number: ``-2``, ``-3`` and so on.

    Example:
        >>> make_slug("Große Trommel, é", taken=["grosse-trommel-e"])
        'grosse-trommel-e-2'
    """
    spoken_for = {slug.lower() for slug in taken} | RESERVED
    folded = unicodedata.normalize("NFKD", name.lower().translate(_FOLDED)).lower()
    plain = "".join(character for character in folded if not unicodedata.combining(character))
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST].rstrip("-") or empty
    slug, number = stem, 1
    while slug in spoken_for:
        number += 1
        ending = f"-{number}"
        slug = stem[: LONGEST - len(ending)].rstrip("-") + ending
    return slug
