"""The plan of a concert."""

from lugbook.desk.desk import Desk
from lugbook.desk.plans import ConcertPlan


def plan_concert(desk: Desk, slug: str, *, changes_most: int | None = None) -> ConcertPlan:
    """Return the running order of the concert *slug*."""
    raise NotImplementedError
