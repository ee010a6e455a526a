"""The map of a search: which states were heard, what was said of each, what is left beside the kept one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from lugbook.trials.grid import Pair, position_of
from lugbook.trials.judgments import Verdict
from lugbook.trials.proposals import Proposal
from lugbook.trials.search import Search

Standing = Literal["kept", "beaten", "same", "worse", "heard", "untried", "limit"]
"""What is known of a state: it is kept; was kept and then beaten; spoke the same; was worse; was heard and
not judged yet; is an untried side of the kept one; or is a side past a limit."""

SIGNS: Mapping[Standing, str] = {
    "kept": "●",
    "beaten": "○",
    "same": "=",
    "worse": "−",
    "heard": "·",
    "untried": "?",
    "limit": "×",
}
"""Standing → its sign; the word stands beside it, so that neither is needed to know the other."""

NEXT = "▶"
"""The sign of the state that is proposed."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One state on the map."""

    standing: Standing
    number: int | None = None
    """The number of the entry that tells of it; None where none does."""
    proposed: bool = False
    """Whether it is to be tried next."""
    here: bool = False
    """Whether the drum stands there."""

    @property
    def sign(self) -> str:
        """Its sign."""
        return NEXT if self.proposed else SIGNS[self.standing]

    @property
    def word(self) -> str:
        """Its word."""
        return "next" if self.proposed else self.standing

    def text(self) -> str:
        """Return sign, number and word, such as ``−5 worse``; in brackets where the drum stands."""
        number = "" if self.number is None else str(self.number)
        text = f"{self.sign}{number} {self.word}"
        return f"[{text}]" if self.here else text


@dataclass(frozen=True, slots=True)
class Map:
    """Every state that was heard, and the sides of the kept one."""

    tops: tuple[float, ...]
    """Turns of the top head at each column, in rising order."""
    bottoms: tuple[float, ...]
    """Turns of the bottom head at each row, the highest first."""
    cells: Mapping[Pair, Cell]
    """(top, bottom) in turns → what is known of it; most places hold nothing."""
    centre: Pair
    """The kept state."""
    together: bool = False
    """Whether one rod pulls both heads: the states then lie in one line."""

    def tops_near(self, most: int) -> tuple[float, ...]:
        """Return the columns around the kept state in rising order, at *most* so many."""
        return _run(self.tops, self.centre[0], most)

    def bottoms_near(self, most: int) -> tuple[float, ...]:
        """Return the rows around the kept state in rising order, at *most* so many."""
        return _run(tuple(reversed(self.bottoms)), self.centre[1], most)


def map_of(
    search: Search,
    *,
    proposal: Proposal | None = None,
    here: Pair | None = None,
    numbers: Mapping[Pair, int] | None = None,
) -> Map:
    """Return the map of a search.

    Args:
        search: the search.
        proposal: what is to be tried next.
        here: where the drum stands, in turns.
        numbers: place → the number of the entry that tells of it.
    """
    known = dict(numbers or {})
    standing: dict[Pair, Standing] = dict.fromkeys(search.past_limits, "limit")
    standing |= dict.fromkeys(search.untried, "untried")
    standing |= {place: "heard" for place in known if place not in search.heard}
    said = {position_of(one.heard): one.verdict for one in search.judgments}
    standing |= {place: _standing(said.get(place)) for place in search.heard}
    standing[search.kept] = "kept"
    if here is not None:
        standing.setdefault(here, "heard")
    proposed = None if proposal is None else proposal.position
    cells = {
        place: Cell(one, known.get(place), proposed=place == proposed, here=place == here)
        for place, one in standing.items()
    }
    return Map(
        tops=tuple(sorted({top for top, _ in cells})),
        bottoms=tuple(sorted({bottom for _, bottom in cells}, reverse=True)),
        cells=cells,
        centre=search.kept,
        together=search.together,
    )


def _standing(verdict: Verdict | None) -> Standing:
    """Return how a state stands that is not kept: what was better, and the start, was beaten since."""
    return "beaten" if verdict is None or verdict == "better" else verdict


def _run(values: Sequence[float], centre: float, most: int) -> tuple[float, ...]:
    """Return those of the rising *values* that lie in a run of *most* around *centre*."""
    middle = min(range(len(values)), key=lambda index: abs(values[index] - centre))
    first = min(max(0, middle - most // 2), max(0, len(values) - most))
    return tuple(values[first : first + most])
