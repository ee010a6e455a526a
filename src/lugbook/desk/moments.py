"""When something was heard, as a player types it."""

from datetime import datetime, time

from lugbook.desk.desk import Desk
from lugbook.errors import BadValue
from lugbook.plain import shown


def moment_of(desk: Desk, text: str) -> datetime:
    """Return the moment that *text* names, with the desk's offset from UTC where it names none.

    Args:
        desk: whose clock says which day and which offset.
        text: a time of today such as ``14:05``, or day and time such as ``2026-11-25 14:05``.

    Raises:
        BadValue: it is no such text; a day alone names no moment.
    """
    now, plain = desk.now(), text.strip()
    # A day alone is midnight to the reader of ISO times, and no moment here.
    timed = plain if ":" in plain else ""
    try:
        if "-" not in timed and "T" not in timed:
            moment = datetime.combine(now.date(), time.fromisoformat(timed))
        else:
            moment = datetime.fromisoformat(timed)
    except ValueError:
        raise BadValue(
            f"{shown(text[:40])!r} is no time.", hint="Write 14:05 for today, or 2026-11-25 14:05."
        ) from None
    moment = moment.replace(microsecond=0)
    return moment if moment.utcoffset() is not None else moment.replace(tzinfo=now.tzinfo)
