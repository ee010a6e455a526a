"""Writing an entry that rests on the entries before it, while other programs may write too."""

from collections.abc import Callable

from lugbook.desk.desk import Desk
from lugbook.errors import ChangedUnderneath
from lugbook.library import Log
from lugbook.records import Entry

TRIES = 5
"""So often an entry is worked out anew because another program wrote one meanwhile."""


def append(desk: Desk, drum_id: str, entry_from: Callable[[Log], Entry]) -> Entry:
    """Append the entry that is worked out from a drum's log, and return it as it will be read.

    Args:
        desk: the desk.
        drum_id: the drum.
        entry_from: works it out; again, where another program wrote in between.

    Raises:
        ChangedUnderneath: other programs write all the time.
    """
    for _ in range(TRIES):
        log = desk.library.log(drum_id)
        entry = entry_from(log)
        try:
            return desk.library.append(drum_id, entry, unchanged=log)
        except ChangedUnderneath:
            continue
    raise ChangedUnderneath(
        f"Other programs write into the logbook of {drum_id} all the time.", hint="Try again."
    )
