"""What a part says plainly, in the words for music that come with the program; offered, never decided.

Sources: that a part is soft, loud or medium by its written dynamics, and rolls where a quarter of its playing
is rolled: judgement. The words for a march and a study in other languages: common practice, no source.
"""

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.desk.vocabulary import WORDS, word_of
from lugbook.desk.wording import folded
from lugbook.records.pieces import MOST_BAR

if TYPE_CHECKING:
    from lugbook.scores import Dynamics, PartRead

MUCH_ROLLED = 0.25
"""Of the time under notes: from here on a part is one of rolls (judgement)."""

_DIGITS = re.compile(r"\d{1,4}(?!\d)", re.ASCII)
_IN_TITLES = {
    "march": frozenset({"march", "marche", "marcia", "marsch", "marcha"}),
    "étude": frozenset({"etude", "etuden", "study", "studie", "estudio", "studio"}),
}
"""Word for music → the words of a title that say so, folded."""


def bar_of(label: str) -> int | None:
    """Return the number of a bar from how it is printed, or None: ``12`` and ``12a`` are bar 12."""
    found = _DIGITS.match(label)
    return int(found[0]) if found is not None and int(found[0]) <= MOST_BAR else None


def runs(labels: Sequence[str]) -> list[tuple[int, int]]:
    """Return the first and the last bar of each run of bars that follow each other, in order."""
    found: list[tuple[int, int]] = []
    for bar in sorted({bar for bar in map(bar_of, labels) if bar is not None}):
        if found and bar == found[-1][1] + 1:
            found[-1] = (found[-1][0], bar)
        else:
            found.append((bar, bar))
    return found


def suggested(read: "PartRead", *, titles: Sequence[str], have: Sequence[str]) -> tuple[str, ...]:
    """Return the words for music that a part speaks for.

    Args:
        read: what was read of it.
        titles: what the piece and its movement are called.
        have: the words it has; neither these nor others for the same are suggested again.
    """
    words: list[str] = []
    if read.rolls.share >= MUCH_ROLLED:
        words.append("rolls")
    if read.dynamics is not None and (loudness := _loudness(read.dynamics)) is not None:
        words.append(loudness)
    names = f" {folded(read.part)} "
    field = next(one for one in WORDS if one.text == "field drum")
    if any(f" {folded(name)} " in names for name in (field.text, *field.also)):
        words.append(field.text)
    said = set(re.findall(r"\w+", folded(" ".join(titles))))
    words += [word for word, titled in _IN_TITLES.items() if said & titled]
    known = {one.text for one in map(word_of, map(folded, have)) if one is not None}
    return tuple(word for word in words if word not in known)


def _loudness(dynamics: "Dynamics") -> str | None:
    """Return how loud all of it is, where that is one thing."""
    softest, loudest = dynamics.softest, dynamics.loudest
    if set(loudest) <= {"p"} or loudest == "n":
        return "soft"
    if set(softest) == {"f"}:
        return "loud"
    return "medium" if {softest, loudest} <= {"mp", "mf"} else None
