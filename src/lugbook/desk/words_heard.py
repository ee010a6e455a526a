"""The words that were said of how a drum speaks, as its logbook has them: the player's own first."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from lugbook.desk.desk import Desk
from lugbook.desk.wording import folded
from lugbook.records import Entry

BETWEEN = ","
"""Stands between the words of one entry."""


@dataclass(slots=True)
class _Word:
    text: str
    own: bool = False
    times: int = 0
    last: int = 0
    searches: set[str] = field(default_factory=set)


def words_heard(desk: Desk, drum_id: str, *, search: str = "") -> tuple[str, ...]:
    """Return the words that were said of a drum, those to offer first first.

    The player's own go before those of others, those of the present search before those of another, then
    what was said most often, then what was said last.

    Args:
        desk: the desk.
        drum_id: the drum.
        search: the present search.
    """
    return ranked(desk.library.log(drum_id).entries, player=desk.user.player, search=search)


def ranked(entries: Iterable[Entry], *, player: str, search: str = "") -> tuple[str, ...]:
    """Return the words of *entries*, those to offer to a *player* in a *search* first."""
    found: dict[str, _Word] = {}
    for place, entry in enumerate(entries):
        for text in filter(None, (part.strip() for part in entry.words.split(BETWEEN))):
            word = found.setdefault(folded(text), _Word(text))
            word.text, word.times, word.last = text, word.times + 1, place
            word.own = word.own or entry.player == player
            word.searches.add(folded(entry.search))
    here = folded(search)
    best = sorted(
        found.values(), key=lambda one: (not one.own, here not in one.searches, -one.times, -one.last)
    )
    return tuple(word.text for word in best)


def offered(words: Iterable[str], typed: str) -> tuple[str, ...]:
    """Return which of these *words* go on with what is typed after the last comma; all where nothing is."""
    *before, begun = typed.split(BETWEEN)
    said, start = {folded(one) for one in before}, folded(begun)
    return tuple(word for word in words if start in folded(word) and folded(word) not in said)


def with_word(typed: str, word: str) -> str:
    """Return what is *typed* with the part after the last comma replaced by *word*."""
    before = typed.rpartition(BETWEEN)[0].rstrip()
    return f"{before}{BETWEEN} {word}" if before else word
