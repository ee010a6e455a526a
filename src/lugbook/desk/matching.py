"""How well what a preset or a piece is for fits the music that is asked for, and why.

Words are compared whole, without case and accents. Beside a word itself count the other words of the
vocabulary for it, and the word that took its place when the player renamed it. Those that mean something else
inside longer ones (`AMBIGUOUS`) count only by themselves.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from lugbook.desk.desk import Desk
from lugbook.desk.vocabulary import AMBIGUOUS, WORDS
from lugbook.desk.wording import folded
from lugbook.errors import BadValue

SAME, WITHIN, OTHER_WORD = 1.0, 0.9, 0.8
"""The very words; whole words in longer ones; by another or an older word. From the last one on it fits."""

_PARTLY, _IN_TEXT = 0.6, 0.2
"""At most, where only some of the words are there; and where the preset's own text says it (judgement)."""

_JOIN = "_"
"""Joins a word of the vocabulary that has spaces: a dry room is none for what is short."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How well something fits."""

    score: float
    """From 0 to 1; the mean over what is asked for."""
    fits: bool
    """Whether it is for all of it."""
    why: tuple[str, ...] = ()
    """What fits how, and what does not, in a few words each."""


class Matcher:
    """Compares contexts.

    Args:
        aliases: older word → the one that took its place, as the library's settings have it.
    """

    def __init__(self, aliases: Mapping[str, str] | None = None) -> None:
        self._newer = {folded(old): folded(new) for old, new in (aliases or {}).items()}

    def newest(self, text: str) -> str:
        """Return *text* folded, as the player calls it today."""
        word, seen = folded(text), set[str]()
        while word in self._newer and word not in seen:
            seen.add(word)
            word = self._newer[word]
        return word

    def is_for(self, contexts: Sequence[str], wanted: Sequence[str]) -> bool:
        """Tell whether *contexts* hold each of *wanted*, by whatever word."""
        return self.fit(contexts, wanted).fits

    def fit(self, contexts: Sequence[str], wanted: Sequence[str], *, text: str = "") -> Fit:
        """Return how well *contexts* fit what is *wanted*.

        Args:
            contexts: what something is for.
            wanted: the music that is asked for.
            text: how the thing speaks in its own words; counts for little.

        Raises:
            BadValue: one of *wanted* is empty.
        """
        if any(not folded(one) for one in wanted):
            raise BadValue("An empty context names no music.", hint="Write for example --for tutti.")
        scores = [self._best(contexts, one, text) for one in wanted]
        if not scores:
            return Fit(0.0, fits=True)
        return Fit(
            score=round(sum(score for score, _ in scores) / len(scores), 3),
            fits=all(score >= OTHER_WORD for score, _ in scores),
            why=tuple(why for _, why in scores),
        )

    def _best(self, contexts: Sequence[str], wanted: str, text: str) -> tuple[float, str]:
        found = [self._one(context, wanted) for context in contexts]
        best = max(found, key=lambda one: one[0], default=(0.0, ""))
        if best[0] <= _IN_TEXT and _holds(folded(_words_only(text)), folded(wanted)):
            return _IN_TEXT, f"its own words say {wanted}"
        return best if best[0] else (0.0, f"not for {wanted}")

    def _one(self, context: str, wanted: str) -> tuple[float, str]:
        kept, asked = folded(context), folded(wanted)
        if kept == asked:
            return SAME, f"for {context}"
        if _holds(kept, asked):
            return WITHIN, f"{wanted} in {context}"
        if _holds(self.newest(kept), self.newest(asked)):
            return OTHER_WORD, f"{context}, an older or newer word for {wanted}"
        there, plain = self._plain(kept), self._plain(asked)
        if _holds(there, plain):
            return OTHER_WORD, f"{context}, in other words {wanted}"
        asked_words = plain.split()
        shared = [word for word in dict.fromkeys(asked_words) if _holds(there, word)]
        if not shared:
            return 0.0, ""
        said = " and ".join(shared).replace(_JOIN, " ")
        return _PARTLY * len(shared) / len(asked_words), f"{context} shares {said}"

    def _plain(self, text: str) -> str:
        """Return the folded *text* in the vocabulary's first words, or in what the player calls them."""
        common = _common(self.newest(text))
        spaced = common.replace(_JOIN, " ")
        newest = self.newest(spaced)
        return common if newest == spaced else newest


def matcher(desk: Desk) -> Matcher:
    """Return what compares contexts in the words of this library; the program's own where there is none."""
    return Matcher(desk.shared().context_aliases if desk.library.exists else {})


def _holds(text: str, words: str) -> bool:
    """Tell whether the folded *words* stand whole in the folded *text*."""
    return f" {words} " in f" {text} "


def _words_only(text: str) -> str:
    return re.sub(r"[^\w\s-]+", " ", text)


@cache
def _pattern() -> re.Pattern[str]:
    """Return what finds every other word of the vocabulary inside longer ones, the longest first."""
    words = sorted(_first_words().keys() - AMBIGUOUS, key=len, reverse=True)
    return re.compile(rf"(?<!\S)(?:{'|'.join(map(re.escape, words))})(?!\S)")


@cache
def _first_words() -> Mapping[str, str]:
    """Return each word of the vocabulary, folded → the first of those that say it, folded and joined."""
    return {
        folded(one): folded(word.text).replace(" ", _JOIN)
        for word in WORDS
        for one in (word.text, *word.also)
    }


@cache
def _common(text: str) -> str:
    """Return the folded *text* with each word of the vocabulary replaced by the first that says the same."""
    whole = _first_words().get(text)
    return _pattern().sub(lambda found: _first_words()[found[0]], text) if whole is None else whole


def known_near(wanted: Iterable[str], known: Iterable[str], *, most: int = 5) -> tuple[str, ...]:
    """Return those of the *known* contexts that are spelled most like one of *wanted*."""
    import difflib  # on use: only a word that nobody knows needs it

    spelled = {folded(one): one for one in known}
    near = [
        one for text in wanted for one in difflib.get_close_matches(folded(text), spelled, n=most, cutoff=0.5)
    ]
    return tuple(spelled[one] for one in dict.fromkeys(near))[:most]
