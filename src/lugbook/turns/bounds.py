"""What may be given to a response: days, positions, uncertainties, temperatures; else `BadValue`."""

import math
from collections.abc import Iterable, Sequence

from lugbook.errors import BadValue
from lugbook.turns.advice import HeadPair
from lugbook.turns.amounts import MOST_TURNS
from lugbook.turns.state import Pair

_LEAST_SD_CENTS, _MOST_SD_CENTS = 0.1, 1200.0
"""A reading that claims to be exact is believed to a tenth of a cent, which keeps the sums regular; one that
is less certain than an octave says nothing."""

_COLDEST_C, _HOTTEST_C = -40.0, 60.0

_MOST_DAYS = 1e6
"""No logbook spans more days, forwards or backwards."""


def each_of_two(sd_cents: float | HeadPair) -> HeadPair:
    """Return a number for each head, where one may have been given for both."""
    # A number of any library, such as numpy's, is one for both.
    top, bottom = sd_cents if isinstance(sd_cents, Iterable) else (sd_cents, sd_cents)
    return top, bottom


def checked_sd(sd_cents: float | None) -> float:
    """Return the uncertainty of a reading in cents if it can be one, at least a tenth of a cent."""
    if sd_cents is None or not 0 <= sd_cents <= _MOST_SD_CENTS:
        raise BadValue(
            f"{sd_cents} cents cannot be a reading's uncertainty.",
            hint=f"Give 0 to {_MOST_SD_CENTS:g} cents.",
        )
    return max(float(sd_cents), _LEAST_SD_CENTS)


def checked_day(day: float) -> float:
    """Return *day* if it can be one."""
    if not abs(day) <= _MOST_DAYS:
        raise BadValue(f"{day} is no day.", hint=f"Give days from a fixed start, within ±{_MOST_DAYS:g}.")
    return float(day)


def checked_temperature(temperature_c: float | None) -> float | None:
    """Return the temperature of the air in °C if it can be one; None where it is not known."""
    if temperature_c is not None and not _COLDEST_C <= temperature_c <= _HOTTEST_C:
        raise BadValue(
            f"{temperature_c} °C is no temperature of a room.",
            hint=f"Give {_COLDEST_C:g} to {_HOTTEST_C:g} °C.",
        )
    return temperature_c


def checked_position(position: Sequence[float]) -> Pair:
    """Return the turns of (top, bottom) if rods are that long."""
    top, bottom = (float(turns) for turns in position)
    for turns in (top, bottom):
        if not (math.isfinite(turns) and abs(turns) <= MOST_TURNS):
            raise BadValue(f"{turns} turns is no position.", hint=f"Give turns within ±{MOST_TURNS:g}.")
    return top, bottom
