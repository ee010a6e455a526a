"""Recordings: reading sound files for the listening.

numpy and soundfile are loaded on use, so that importing this package costs nothing.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lugbook.sound.reading import Recording, read_recording

__all__ = ["Recording", "read_recording"]


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    # Imported here so that `import lugbook.sound` alone loads neither numpy nor soundfile (PEP 562).
    from lugbook.sound import reading

    return getattr(reading, name)
