"""How something long tells how far it is, and may be stopped."""

from collections.abc import Callable

Progress = Callable[[float], None]
"""Is told the share of something long that is done, from 0 to 1; what it raises ends that."""


def part_of(progress: Progress | None, start: float, stop: float) -> Progress | None:
    """Return what tells *progress* of a part of the whole, from the share *start* to *stop*.

    Example:
        >>> told = part_of(print, 0.5, 1.0)
        >>> told(0.5) if told else None
        0.75
    """
    if progress is None:
        return None
    return lambda share: progress(start + (stop - start) * share)
