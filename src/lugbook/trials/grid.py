"""Places on the grid of turns: (top, bottom) in whole 64ths of a turn, so that equal places are equal."""

from dataclasses import dataclass
from typing import TypeAlias

from lugbook.errors import BadValue
from lugbook.turns.amounts import GRAIN, check_turns

Place: TypeAlias = tuple[int, int]
"""Turns of the top and the bottom head, in 64ths."""

Pair: TypeAlias = tuple[float, float]
"""Turns of the top and the bottom head."""

APART: tuple[Place, ...] = ((1, 0), (-1, 0), (0, 1), (0, -1))
"""Top up, top down, bottom up, bottom down."""

TOGETHER: tuple[Place, ...] = ((1, 1), (-1, -1))
"""Both up and both down, where one rod pulls both heads."""


def place_of(position: Pair) -> Place:
    """Return the place of a *position* in turns.

    Raises:
        BadValue: it is not finite, beyond ±64 turns, or no multiple of 1/64.
    """
    top, bottom = position
    return round(check_turns(float(top)) * GRAIN), round(check_turns(float(bottom)) * GRAIN)


def position_of(place: Place) -> Pair:
    """Return a *place* in turns."""
    return place[0] / GRAIN, place[1] / GRAIN


def checked_step(step: float) -> int:
    """Return a *step* in 64ths.

    Raises:
        BadValue: it is not above 0, beyond a whole turn, or no multiple of 1/64.
    """
    if not 0 < step <= 1:
        raise BadValue(
            f"A search cannot go by steps of {step:g} turns.", hint="Steps are 1/64 to 1 turn, such as 1/4."
        )
    return round(check_turns(step) * GRAIN)


def neighbours(place: Place, step: int, directions: tuple[Place, ...] = APART) -> tuple[Place, ...]:
    """Return the places a *step* away, in the order of the *directions*."""
    return tuple((place[0] + step * top, place[1] + step * bottom) for top, bottom in directions)


def apart(one: Place, other: Place) -> int:
    """Return how far the key turns both heads from *one* place to the *other*, in 64ths."""
    return abs(one[0] - other[0]) + abs(one[1] - other[1])


def moved(one: Place, other: Place) -> Place:
    """Return how far both heads are turned from *one* place to the *other*, in 64ths."""
    return other[0] - one[0], other[1] - one[1]


@dataclass(frozen=True, slots=True)
class Scale:
    """Places counted in steps from an origin, as the belief counts them."""

    origin: Place
    step: int
    """In 64ths."""

    def steps(self, place: Place) -> Place:
        """Return a place in whole steps, the nearest for one off the grid.

        A half goes up, on both sides of the origin, so that places a step apart stay a step apart.
        """
        top, bottom = moved(self.origin, place)
        return (2 * top + self.step) // (2 * self.step), (2 * bottom + self.step) // (2 * self.step)

    def ends(self, turns: tuple[float | None, float | None], *, none: float) -> tuple[float, float]:
        """Return one end of the limits of both heads, given in *turns*, in steps; *none* where it is None."""
        top, bottom = (
            none if end is None else (end * GRAIN - at) / self.step
            for end, at in zip(turns, self.origin, strict=True)
        )
        return top, bottom
