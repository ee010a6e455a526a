"""Which presets to begin a piece with: what served in it or in similar pieces, and what is for its music."""

from collections import defaultdict
from dataclasses import dataclass, field

from lugbook.desk.desk import Desk
from lugbook.desk.matching import OTHER_WORD, Matcher, matcher
from lugbook.desk.pieces import preset_remarks
from lugbook.desk.shelf import PresetRow, presets
from lugbook.desk.wording import day_text, folded
from lugbook.library import Problem
from lugbook.plain import shown
from lugbook.records import Piece

SERVED = 4.0
"""A preset that served in the piece itself; more than all that similar pieces and contexts can say."""

_SIMILAR, _MOST_SIMILAR = 1.0, 2.0
"""A preset that served in a piece that is wholly alike; and what several of them can say at most."""

_BY_COMPOSER = 0.4
"""How alike two pieces are that only share their composer, from 0 to 1. (All of these are judgement.)"""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One preset to begin with."""

    row: PresetRow
    score: float
    """The higher the better; only the order counts."""
    reasons: tuple[str, ...]
    """Why, in sentences, the strongest first."""


@dataclass(frozen=True, slots=True)
class Suggestions:
    """Presets to begin with, the best first."""

    piece: str
    """The slug of the piece."""
    rows: tuple[Suggestion, ...]
    remarks: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(slots=True)
class _Merit:
    """What speaks for one preset so far."""

    own: float = 0.0
    similar: float = 0.0
    context: float = 0.0
    reasons: list[tuple[float, str]] = field(default_factory=list)

    @property
    def score(self) -> float:
        """All of it together."""
        return self.own + min(self.similar, _MOST_SIMILAR) + self.context

    def because(self, weight: float, reason: str) -> None:
        """Add a reason."""
        self.reasons.append((weight, reason))


def suggest(desk: Desk, slug: str, *, most: int = 5) -> Suggestions:
    """Return the presets to begin the piece *slug* with.

    Args:
        desk: the desk.
        slug: of the piece.
        most: so many at the most.

    Raises:
        NotFound: there is no such piece.
    """
    piece = desk.library.piece(slug).record
    match, shelf, music = matcher(desk), presets(desk), desk.library.pieces()
    merits: defaultdict[str, _Merit] = defaultdict(_Merit)
    for name in piece.served:
        merits[name].own = SERVED
        merits[name].because(SERVED, _served_in(piece, name))
    for other, stored in music.items.items():
        alike, how = likeness(piece, stored.record, match)
        if other == slug or not alike:
            continue
        for name in stored.record.served:
            merits[name].similar += _SIMILAR * alike
            merits[name].because(alike, f"It served in {shown(stored.record.called)}, {how}.")
    for row in shelf.rows if piece.contexts else ():
        fits = [(one, match.fit(row.contexts, (one,))) for one in piece.contexts]
        held = [(one, fit.score) for one, fit in fits if fit.score >= OTHER_WORD]
        if held:
            merits[row.id].context = sum(score for _, score in held) / len(piece.contexts)
            merits[row.id].because(0.0, f"It is for {' and '.join(shown(one) for one, _ in held)}.")
    there = {row.id: row for row in shelf.rows}
    ranked = sorted(
        (
            Suggestion(there[name], round(one.score, 3), _in_order(one))
            for name, one in merits.items()
            if name in there
        ),
        key=lambda one: (-one.score, one.row.id),
    )[:most]
    gone = [name for name in piece.served if name not in there]
    return Suggestions(
        slug,
        tuple(ranked),
        preset_remarks(desk, [*gone, *(one.row.id for one in ranked)]),
        tuple(dict.fromkeys((*shelf.problems, *music.problems))),
    )


def likeness(piece: Piece, other: Piece, match: Matcher) -> tuple[float, str]:
    """Return how alike two pieces are, from 0 to 1, and in what, in words; 0 where they share nothing."""
    shared = [one for one in piece.contexts if match.is_for(other.contexts, (one,))]
    both = len(piece.contexts) + len(other.contexts) - len(shared)
    by_music = min(1.0, len(shared) / both) if shared else 0.0
    same_hand = bool(piece.composer) and folded(piece.composer) == folded(other.composer)
    how = [f"for {' and '.join(map(shown, shared))} too"] if shared else []
    how += ["by the same composer"] if same_hand else []
    alike = by_music + _BY_COMPOSER * (1 - by_music) if same_hand else by_music
    return alike, f"which is {' and '.join(how)}" if how else ""


def _served_in(piece: Piece, name: str) -> str:
    """Return that a preset served in the *piece*, with when and where it was last played with it."""
    played = [one for one in piece.performances if one.preset == name]
    if not played:
        return "It served in this piece."
    last = max(played, key=lambda one: (one.on is not None, one.on or 0))
    when = f" on {day_text(last.on)}" if last.on is not None else ""
    where = f" in {shown(last.hall)}" if last.hall else ""
    times = f", {len(played)} times" if len(played) > 1 else ""
    return f"This piece was played with it{when}{where}{times}."


def _in_order(merit: _Merit) -> tuple[str, ...]:
    return tuple(reason for _, reason in sorted(merit.reasons, key=lambda one: -one[0]))
