"""What a log says about the drum now: where its heads stand, an unfinished round, and gaps in the counts."""

from collections.abc import Iterable
from pathlib import Path

from lugbook.library.problems import Problem
from lugbook.records import SIDES, Drum, Entry, HeadSide, Position, Positions, Round
from lugbook.turns.amounts import show_turns


def position_of(drum: Drum, entries: Iterable[Entry]) -> Positions:
    """Return where each head stands, in turns from the reference of its present count.

    It is what the last entry in that count says; a count in which nothing was written yet stands at its
    reference, 0. A head without a count has no position.

    Args:
        drum: with its counts.
        entries: of its log, in order, corrections applied.
    """
    newest_first = tuple(entries)[::-1]
    return Positions(
        top=_position(drum, newest_first, side="top"), bottom=_position(drum, newest_first, side="bottom")
    )


def open_round(entries: Iterable[Entry]) -> Round | None:
    """Return the round of rods that was begun and neither finished nor taken back, or None.

    A round is finished by a turn of that head and ended by a new count of it; taking it back strikes it out.

    Args:
        entries: of one drum's log, in order, corrections applied.
    """
    entry = open_round_entry(entries)
    return None if entry is None else entry.round


def open_round_entry(entries: Iterable[Entry]) -> Entry | None:
    """Return the entry that holds the unfinished round (see `open_round`), or None."""
    over: set[HeadSide] = set()
    later: list[Entry] = []
    for entry in tuple(entries)[::-1]:
        if entry.kind == "round" and entry.round is not None:
            head = entry.round.head
            # A count entry names the counts of both heads, and only one of them may be new.
            renewed = any(one.count.of(head) not in (None, entry.count.of(head)) for one in later)
            return None if head in over or renewed else entry
        if entry.kind == "turn":
            over.update(side for side in SIDES if entry.turn.of(side) is not None)
        elif entry.kind == "count":
            later.append(entry)
    return None


def gaps(drum: Drum, entries: Iterable[Entry], *, folder: Path = Path("log")) -> tuple[Problem, ...]:
    """Return what does not fit together in the positions of a log; it is shown, never repaired.

    Within one count the position after an entry is the position before it plus the entry's turn.

    Args:
        drum: with its counts.
        entries: of its log, in order, corrections applied.
        folder: of the log, for the problems.
    """
    counts = {count.id for count in drum.counts}
    right_counts = f"one of {', '.join(sorted(counts))}" if counts else "a count in drum.toml"
    problems = []
    before: dict[HeadSide, tuple[float, str]] = {}
    for entry in entries:
        for side in SIDES:
            now, count = entry.position.of(side), entry.count.of(side)
            if now is None:
                continue
            where = f"entry {entry.id}"
            if count is None or count not in counts:
                fault = (
                    "names no count" if count is None else f"names the count {count}, which the drum has not"
                )
                what = f"the position of the {side} head {fault}"
                problems.append(Problem(folder, where, what, right_counts))
                continue
            turn, (was, same) = entry.turn.of(side) or 0.0, before.get(side, (now, ""))
            if same == count and was + turn != now:
                what = (
                    f"the {side} head stood at {show_turns(was)}, was turned by {show_turns(turn)}, "
                    f"and is said to stand at {show_turns(now)}"
                )
                right = f"{show_turns(was + turn)}, or an entry between them"
                problems.append(Problem(folder, where, what, right))
            before[side] = (now, count)
    return tuple(problems)


def _position(drum: Drum, newest_first: tuple[Entry, ...], *, side: HeadSide) -> Position | None:
    count = drum.count_of(side)
    if count is None:
        return None
    sides = SIDES if count.side == "both" else (side,)
    for entry in newest_first:
        for one in sides:
            amount = entry.position.of(one)
            if amount is not None and entry.count.of(one) == count.id:
                return Position(amount=amount, count=count.id)
    return Position(amount=0.0, count=count.id)
