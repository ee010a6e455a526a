"""The rods of a head by their numbers: how many there may be, which lies opposite, and how they are named.

Conventions: rods are numbered clockwise looking at that head, from 1, which is the first past the strainer.
Nothing here needs numpy, so that a round can be asked for without it.
"""

from collections.abc import Iterable, Sequence

from lugbook.errors import BadValue

LEAST_RODS, MOST_RODS = 5, 24
"""Fewer rods than 5 leave nothing to compare; no drum has more than 24."""

EVEN_CENTS = 5.0
"""Rods within this of the median are even; ear and hand end about there (judgement)."""


def check_count(rods: int, *, what: str) -> None:
    """Refuse a head of so many rods.

    Args:
        rods: how many.
        what: what cannot be judged then, such as ``round``.

    Raises:
        BadValue: there are fewer than 5 or more than 24.
    """
    if not LEAST_RODS <= rods <= MOST_RODS:
        raise BadValue(
            f"A {what} of {rods} rods cannot be judged.", hint=f"Give {LEAST_RODS} to {MOST_RODS} rods."
        )


def check_numbers(numbers: Iterable[int], *, rods: int) -> None:
    """Refuse numbers of rods that are not there.

    Raises:
        BadValue: one of *numbers* is not from 1 to *rods*; the lowest such is named.
    """
    strange = sorted(rod for rod in numbers if not 1 <= rod <= rods)
    if strange:
        raise BadValue(f"There is no rod {strange[0]} among {rods}.", hint=f"Rods have numbers 1 to {rods}.")


def opposite(rod: int, *, rods: int) -> int | None:
    """Return the rod opposite; None with an odd count, where none is.

    Example:
        >>> opposite(3, rods=8), opposite(7, rods=8), opposite(2, rods=5)
        (7, 3, None)
    """
    return None if rods % 2 else (rod - 1 + rods // 2) % rods + 1


def rods_text(rods: Sequence[int]) -> str:
    """Return rods as the beginning of a sentence: ``Rod 3``, ``Rods 3 and 8``, ``Rods 1, 2 and 3``."""
    numbers = [str(rod) for rod in rods]
    if len(numbers) == 1:
        return f"Rod {numbers[0]}"
    return f"Rods {', '.join(numbers[:-1])} and {numbers[-1]}"
