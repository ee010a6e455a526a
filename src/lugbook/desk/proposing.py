"""What to try next in a search: where to turn, why, how to get there, and what was heard nearest to it."""

from collections.abc import Mapping
from dataclasses import dataclass

from lugbook.desk.cautions import cautions
from lugbook.desk.desk import Desk
from lugbook.desk.searches import Row, SearchNow, search_now
from lugbook.desk.steps import head_steps, moves_bottom, snares_afresh, turning_order
from lugbook.desk.wording import day_text, turned_part
from lugbook.records import SIDES, Drum, HeadSide
from lugbook.trials import Proposal
from lugbook.trials.grid import Pair
from lugbook.turns.amounts import show_turns

_FINEST_OFFERED = 1 / 16
"""No finer step than this is offered: a hand does not turn it twice alike (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Next:
    """What to try next, or why there is nothing to try."""

    now: SearchNow
    proposal: Proposal | None
    why: str
    """Why this one, or why nothing, in a sentence."""
    moves: Mapping[HeadSide, float]
    """Turns of each head from where the drum stands to the proposal, or to the kept state without one."""
    steps: tuple[str, ...]
    """How to make them, in sentences."""
    near: Row | None
    """What was heard nearest to it, besides the kept state."""
    alike: tuple[Pair, ...]
    """Neighbours of the kept state that were said to be the same."""
    remarks: tuple[str, ...]

    def sentence(self) -> str:
        """Return what to try, in one sentence; what else there is to do where nothing is proposed."""
        if self.proposal is None:
            return self.why
        return f"Try {turn_words(self.now.drum, self.proposal)}. {self.why}"


def next_trial(desk: Desk, drum_id: str, *, search: str | None = None) -> Next:
    """Return what to try next in a search.

    Args:
        desk: the desk.
        drum_id: the drum.
        search: its name; where None, the present one.

    Raises:
        NotFound: there is no such search.
    """
    return next_of(desk, search_now(desk, drum_id, search))


def next_of(desk: Desk, now: SearchNow) -> Next:
    """Return what to try next in the search as it stands *now*."""
    drum, search = now.drum, now.search
    here = now.place
    why_not = _why_not(now)
    proposal = None if why_not or search is None else search.propose(here=here)
    target = proposal.position if proposal is not None else search.kept if search is not None else here
    moves = moves_between(here, target)
    entries = desk.library.log(now.drum_id).entries
    careful = [one.sentence for one in cautions(drum, moves, entries, here=here)]
    near = None if proposal is None or proposal.nearest is None else now.told.get(proposal.nearest)
    return Next(
        now=now,
        proposal=proposal,
        why=why_not or (proposal.why if proposal is not None else _settled_words(now)),
        moves={} if why_not and not now.ended else moves,
        steps=_steps(now, moves) if moves and (proposal is not None or now.settled) else (),
        near=near,
        alike=search.alike if search is not None else (),
        remarks=(
            *now.remarks,
            *careful,
            *contradicted(now),
            *_doubted(now),
            *_left_on(desk, now),
        ),
    )


def turn_words(drum: Drum, proposal: Proposal) -> str:
    """Return the turn of a proposal against the kept state, such as ``the bottom head ¼ up``."""
    side: HeadSide = "bottom" if proposal.side == "bottom" else "top"
    part = turned_part(drum.tension, side)
    return f"the {part} {show_turns(abs(proposal.turn))} {'up' if proposal.turn > 0 else 'down'}"


def moves_between(here: Pair, there: Pair) -> dict[HeadSide, float]:
    """Return the turns of each head from one place to another."""
    return {side: there[i] - here[i] for i, side in enumerate(SIDES) if there[i] != here[i]}


def _steps(now: SearchNow, moves: Mapping[HeadSide, float]) -> tuple[str, ...]:
    drum = now.drum
    steps: list[str] = []
    sides = SIDES[:1] if drum.tension == "single" else turning_order(drum)
    for side in sides:
        if moves.get(side):
            steps += head_steps(drum, side, moves[side])
    if any(moves_bottom(drum, side) for side in moves):
        setting = now.kept.entry.snares if now.kept is not None else None
        steps.append(snares_afresh(setting.text() if setting is not None else ""))
    return tuple(steps)


def _why_not(now: SearchNow) -> str:
    """Return why nothing is proposed though a side may be untried; empty where something is."""
    if not now.drum.turns_offered:
        return f"{now.drum.name} is tensioned with rope: what was heard is kept, and no turns are offered."
    if now.unfinished:
        return "A round of the rods was stopped part-way: finish it at the bench, or take it back."
    if now.ended:
        return "You ended this search."
    if now.search is None:
        return "No state of this search counts any more: write down how the drum stands, and go on."
    if now.waiting is not None:
        return (
            f"Entry {now.waiting.number}, where the drum stands, has no verdict yet: "
            "say whether it is better, the same or worse than the kept state."
        )
    return ""


def _settled_words(now: SearchNow) -> str:
    search = now.search
    if search is None:
        return ""
    alike = f" {len(search.alike)} of them spoke the same." if search.alike else ""
    past = f" {len(search.past_limits)} lie past a limit." if search.past_limits else ""
    number = f" of entry {now.kept.number}" if now.kept is not None else ""
    half = search.step / 2
    finer = f"Go on by {show_turns(half)} if you like, or keep" if half >= _FINEST_OFFERED else "Keep"
    return f"Settled: no neighbour of the kept state{number} is better.{alike}{past} {finer} it as a preset."


def contradicted(now: SearchNow) -> tuple[str, ...]:
    """Say which verdicts of a search cannot all be true."""
    return tuple(
        f"The verdicts of entries {_numbers(rows)} cannot all be true. Hear two of these states again, one "
        "after the other: of two verdicts on the same two states the later counts."
        for rows in now.contradictions
    )


def _doubted(now: SearchNow) -> tuple[str, ...]:
    """Say at the end of a search which verdicts go ill together with the others."""
    if now.search is None or not now.search.settled or now.contradictions:
        return ()
    return tuple(
        f"The verdict of entry {row.number} ({row.entry.verdict}) goes ill together with the others: "
        "hear it again before you trust the end of this search."
        for row in now.entries_of(now.search.doubted)
    )


def _numbers(rows: tuple[Row, ...]) -> str:
    *first, last = [str(row.number) for row in rows]
    return f"{', '.join(first)} and {last}" if first else last


def _left_on(desk: Desk, now: SearchNow) -> tuple[str, ...]:
    """Say that the pitches should be read again, where the search was left on another day."""
    read = [row.entry for row in now.rows if row.entry.top is not None or row.entry.bottom is not None]
    if not read:
        return ()
    last = read[-1]
    if now.settled or last.at.astimezone(desk.now().tzinfo).date() == desk.now().date():
        return ()
    when = day_text(last.at.date())
    return (f"It was left on {when}: read both heads again first, to see whether the drum is still there.",)
