"""Naming one reading: hertz, nearest note and cents."""

from dataclasses import dataclass

from lugbook.desk.asking import take
from lugbook.desk.desk import Desk
from lugbook.pitch import check_a4
from lugbook.records import Struck


@dataclass(frozen=True, slots=True)
class Noted:
    """One reading, named."""

    hz: float | None
    """Frequency in Hz; None for a note name without octave."""
    note: str
    """The nearest note, in English scientific form."""
    cents: float
    """How far from that note, in cents."""
    a4_hz: float
    """The concert pitch it is named at, in Hz."""
    remarks: tuple[str, ...] = ()


def note(desk: Desk, text: str, *, a4_hz: float, struck: Struck = "rim") -> Noted:
    """Name the reading *text* at the concert pitch *a4_hz*.

    Raises:
        BadValue: it is no pitch, or A4 lies outside 392 to 470 Hz.
        SoundUnavailable, StrikeUnreadable: it is a recording from which nothing can be read.
    """
    taken = take(desk, text, a4_hz=check_a4(a4_hz), struck=struck)
    return Noted(hz=taken.hz, note=taken.note.text(), cents=taken.cents, a4_hz=a4_hz, remarks=taken.remarks)
