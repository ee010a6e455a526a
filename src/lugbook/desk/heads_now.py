"""The heads that are on a drum now, and from where the turns of each are counted."""

from dataclasses import dataclass

from lugbook.desk.desk import Desk
from lugbook.desk.visits import position_known
from lugbook.desk.wording import day_text, head_text, turns_text
from lugbook.records import SIDES, HeadSide


@dataclass(frozen=True, slots=True)
class HeadNow:
    """One head as it is on the drum."""

    side: HeadSide
    head: str
    """What it is and since when, in a phrase."""
    stands: str
    """Where it stands by its count, in a phrase."""
    reference: str
    """The state that its turns are counted from; empty where none are."""

    @property
    def counted_from(self) -> str:
        """The same as a phrase, such as ``from: finger tight``."""
        return f"from: {self.reference}" if self.reference else ""


def heads_now(desk: Desk, drum_id: str) -> tuple[HeadNow, ...]:
    """Return the top and the bottom head of a drum."""
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    found = []
    for side in SIDES:
        head, count = drum.head_on(side), drum.count_of(side)
        what = "not written down" if head is None else f"{head_text(head)}, on since {day_text(head.on)}"
        reference = ""
        if not drum.turns_offered:
            stands = "rope: no turns are counted"
        elif count is None:
            stands = "its count begins with the first entry"
        else:
            known = position_known(drum, entries, side)
            stands = "no entry yet" if known is None else f"at {turns_text(known)}"
            stands += f", counted since {day_text(count.since.date())}"
            reference = count.reference
        found.append(HeadNow(side, what, stands, reference))
    return tuple(found)
