"""A part that was read, in aligned rows and sentences."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lugbook.desk.part_words import runs
from lugbook.desk.wording import NOTHING, counted, minutes_text
from lugbook.records.pieces import bars_text

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk.reading_parts import Proposal
    from lugbook.scores import PartRead, Rest

_MOST_SHOWN = 40
"""So many tempi, rests or rolls are shown; --json has them all."""

_WHERE = {"before": "before the first note", "between": "", "after": "after the last note"}


def reading(found: "Proposal", out: "Output") -> None:
    """Show what was read, and say what is to be known before it is kept."""
    read = found.read
    rows = [
        ("file", found.file),
        ("title", read.title or NOTHING),
        ("composer", read.composer or NOTHING),
        *([("movement", read.movement)] if read.movement else []),
        ("part", read.part + (f" (of {len(read.parts)} parts)" if len(read.parts) > 1 else "")),
        ("lasts", _length(read)),
        ("quarters a minute", _tempi(read)),
        ("dynamics", _dynamics(read)),
        ("rolls", _rolls(read)),
        ("strokes a second", _density(read)),
    ]
    if not read.rests:
        rows.append(("rests", NOTHING))
    rows += [("rests" if not place else "", rest) for place, rest in enumerate(_rests(read))]
    out.table(rows)
    out.words(*read.remarks, *found.remarks, *found.changes)
    if found.suggested:
        out.words(f"The part suggests the music: {', '.join(found.suggested)}.")


def _length(read: "PartRead") -> str:
    played = f" ({read.bars_played} with repeats)" if read.bars_played != read.bars else ""
    return f"{minutes_text(read.seconds)}, {counted(read.bars, 'bar')}{played}"


def _tempi(read: "PartRead") -> str:
    said = [
        f"{one.quarters:.4g} from bar {one.bar}{' (assumed)' if one.assumed else ''}" for one in read.tempi
    ]
    return _some(said)


def _dynamics(read: "PartRead") -> str:
    found = read.dynamics
    if found is None:
        return "none written"
    if found.softest == found.loudest:
        return f"{found.softest} (bar {found.softest_bar})"
    return f"{found.softest} (bar {found.softest_bar}) to {found.loudest} (bar {found.loudest_bar})"


def _rolls(read: "PartRead") -> str:
    if not read.rolls.bars:
        return "none"
    bars = [bars_text(first, last) for first, last in runs(read.rolls.bars)]
    share = f"{100 * read.rolls.share:.0f} %" if read.rolls.share >= 0.005 else "less than 1 %"
    which = "bar" if len(read.rolls.bars) == 1 else "bars"
    return f"{share} of the playing, in {which} {_some(bars)}"


def _density(read: "PartRead") -> str:
    found = read.density
    if found is None:
        return "none"
    return f"{found.median:.1f} in most bars, {found.highest:.1f} at most (bar {found.highest_bar})"


def _rests(read: "PartRead") -> Iterator[str]:
    for rest in read.rests[:_MOST_SHOWN]:
        yield _rest(rest)
    if len(read.rests) > _MOST_SHOWN:
        yield f"and {len(read.rests) - _MOST_SHOWN} more"


def _rest(rest: "Rest") -> str:
    bars = (
        f"bar {rest.bar_from}" if rest.bar_from == rest.bar_to else f"bars {rest.bar_from} to {rest.bar_to}"
    )
    where = f", {_WHERE[rest.where]}" if _WHERE[rest.where] else ""
    return f"{minutes_text(rest.seconds)} in {bars}{where}"


def _some(said: list[str]) -> str:
    more = len(said) - _MOST_SHOWN
    return ", ".join(said[:_MOST_SHOWN]) + (f" and {more} more" if more > 0 else "") or NOTHING
