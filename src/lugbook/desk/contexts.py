"""The words for music that a library uses: listing them, and renaming one throughout the library.

The logbooks are only ever added to, so that a word in them stays as it was written. The library's settings
keep which word took its place (`LibrarySettings.context_aliases`), and `Matcher` reads both alike.
"""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Literal, TypeVar

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import BadRecord, checked, merged
from lugbook.desk.matching import Matcher, known_near
from lugbook.desk.vocabulary import KINDS, WORDS, Kind, Word, word_of
from lugbook.desk.wording import each_once, folded
from lugbook.errors import BadValue, Doubtful, NotFound
from lugbook.library import Problem
from lugbook.plain import shown
from lugbook.records import Concert, Item, LibrarySettings, Piece, Preset

R = TypeVar("R", Preset, Piece, Item)
"""What is for music by itself."""


@dataclass(frozen=True, slots=True)
class ContextRow:
    """One word for music."""

    word: str
    kind: Kind | Literal["own"]
    """Of the five kinds of the vocabulary; ``own`` for what is the player's or the section's."""
    also: tuple[str, ...]
    """Other words for the same: the vocabulary's, and older ones of this library."""
    shared: bool
    """Whether it is on the section's own list in the library's settings."""
    presets: int
    pieces: int
    concerts: int
    """In how many of each it stands."""
    entries: int
    """In how many entries of the logbooks, by whatever older word."""

    @property
    def used(self) -> int:
        """In how many records it stands."""
        return self.presets + self.pieces + self.concerts + self.entries


@dataclass(frozen=True, slots=True)
class Contexts:
    """The words for music there are, and what could not be read."""

    rows: tuple[ContextRow, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Renamed:
    """What a renaming did."""

    old: str
    new: str
    presets: int
    pieces: int
    concerts: int
    entries: int
    """So many entries of the logbooks keep the old or an older word, and are found by the new one."""
    problems: tuple[Problem, ...]
    """What could not be read, and so was not renamed."""


def contexts(desk: Desk, *, kind: str | None = None, used: bool = False) -> Contexts:
    """Return the words for music: the vocabulary's by kind, then the player's own by the alphabet.

    Args:
        desk: the desk.
        kind: of this kind only: one of the vocabulary's, or ``own``.
        used: only those that something is for.

    Raises:
        BadValue: there is no such kind.
    """
    kinds = (*KINDS, "own")
    if kind is not None and kind not in kinds:
        raise BadValue(f"There is no kind of words {shown(kind)!r}.", hint=f"There are {', '.join(kinds)}.")
    use = _Use(desk)
    shipped: dict[str, list[Word]] = {}
    for word in WORDS:
        shipped.setdefault(use.match.newest(word.text), []).append(word)
    rows = []
    for newest, words in shipped.items():
        # Several where one was renamed to another: the row is of the one that is called so from the start.
        lead = next((one for one in words if folded(one.text) == newest), words[0])
        also = [other for one in words for other in (one.text, *one.also) if other != lead.text]
        rows.append(use.row(lead.text, lead.kind, tuple(also)))
    rows += [
        use.row(text, "own", ()) for newest, text in sorted(use.spelled.items()) if newest not in shipped
    ]
    wanted = (row for row in rows if kind in (None, row.kind) and (row.used or not used))
    return Contexts(tuple(wanted), use.problems)


def rename(desk: Desk, old: str, new: str, *, join: bool = False) -> Renamed:
    """Rename a word for music throughout the library: settings, presets, pieces and concerts.

    Where the new word stands already both become one, which nothing can part again. What stands in the way
    half-way (a file that cannot be written) is finished by asking again: the alias comes first, and every
    file is written by itself.

    Args:
        desk: the desk.
        old: the whole word as it stands, case and accents aside.
        new: what to call it.
        join: whether it may be a word that stands already.

    Raises:
        BadRecord: *new* cannot be kept.
        Doubtful: *new* stands already.
        BadValue: one of them is empty, or both are one.
        LibraryDamaged: the library's settings cannot be read, so that the older word could not be kept.
        NotFound: nothing is for *old*.
    """
    use = _Use(desk)
    new = re.sub(" +", " ", new).strip()
    _refuse(use, old, new)
    if not join and use.is_another(old, new):
        what = f"{shown(new)!r} stands already: both would become one word, which nothing parts again."
        raise Doubtful(what, hint="From the shell it is done with --join.")
    old = use.as_written(old)
    entries = use.entries(old)
    stored = desk.library.settings()
    desk.library.save_settings(stored, merged(stored.record, _settings_values(stored.record, old, new)))
    renamed = _renaming(old, new)
    done: Counter[str] = Counter()
    for preset in use.presets:
        if (changed := _with_words(preset.record, renamed)) != preset.record:
            desk.library.save_preset(preset, changed)
            done["presets"] += 1
    for piece in use.pieces:
        if (after := _with_words(piece.record, renamed)) != piece.record:
            desk.library.save_piece(piece, after)
            done["pieces"] += 1
    for concert in use.concerts:
        if (then := _concert(concert.record, renamed)) != concert.record:
            desk.library.save_concert(concert, then)
            done["concerts"] += 1
    return Renamed(old, new, done["presets"], done["pieces"], done["concerts"], entries, use.problems)


def _refuse(use: "_Use", old: str, new: str) -> None:
    """Raise where *old* cannot be renamed to *new*."""
    if not folded(old) or not folded(new):
        raise BadValue("An empty context names no music.", hint="Write `lugbook context rename OLD NEW`.")
    try:
        checked(LibrarySettings, {"contexts": [new]})
    except BadRecord as error:
        raise BadRecord({"the new word": next(iter(error.by_key.values()))}) from None
    if old == new:
        raise BadValue(f"{shown(old)!r} is its name already.", hint="Give another name.")
    today = use.match.newest(old)
    if today not in (folded(old), folded(new)):
        name = shown(use.spelled.get(today, today))
        raise BadValue(f"{shown(old)!r} is called {name!r} today.", hint=f"Rename {name!r}.")
    known = use.exactly(old) or word_of(folded(old)) or folded(old) in use.renamed
    if not known:
        near = known_near([old], use.spelled.values()) or tuple(use.spelled.values())[:5]
        hint = f"The nearest: {', '.join(map(shown, near))}." if near else "No music is named yet."
        raise NotFound(f"Nothing is for {shown(old)!r}.", hint=hint)


Renaming = Callable[[Sequence[str]], tuple[str, ...]]
"""Takes the contexts of a record and returns them renamed, each once."""


def _renaming(old: str, new: str) -> Renaming:
    def renamed(words: Sequence[str]) -> tuple[str, ...]:
        if not any(folded(word) == folded(old) for word in words):
            return tuple(words)
        both = (folded(old), folded(new))
        return each_once(new if folded(word) in both else word for word in words)

    return renamed


def _settings_values(settings: LibrarySettings, old: str, new: str) -> dict[str, object]:
    """Return what the library's settings have to say anew, None for an alias that goes."""
    values: dict[str, object] = {"contexts": _renaming(old, new)(settings.contexts)}
    if folded(old) == folded(new):
        return values
    # An alias of the new word would lead away from it again; those that lead to the old one lead on by it.
    gone = {key: None for key in settings.context_aliases if folded(key) in (folded(new), folded(old))}
    values["context_aliases"] = {**gone, old: new}
    return values


def _with_words(record: R, renamed: Renaming) -> R:
    words = renamed(record.contexts)
    return record if words == record.contexts else record.model_copy(update={"contexts": words})


def _concert(record: Concert, renamed: Renaming) -> Concert:
    items = tuple(_with_words(item, renamed) for item in record.items)
    return record if items == record.items else record.model_copy(update={"items": items})


class _Use:
    """Where which word stands in a library."""

    def __init__(self, desk: Desk) -> None:
        library, shared = desk.library, desk.shared()
        presets, pieces, concerts = library.presets(), library.pieces(), library.concerts()
        drums = library.drums()
        logs = [library.log(slug) for slug in drums.items]
        self.match = Matcher(shared.context_aliases)
        self.aliases = shared.context_aliases
        self.presets, self.pieces = tuple(presets.items.values()), tuple(pieces.items.values())
        self.concerts = tuple(concerts.items.values())
        self.problems = tuple(
            dict.fromkeys(
                (
                    *desk.shared_problems(),
                    *presets.problems,
                    *pieces.problems,
                    *concerts.problems,
                    *(problem for log in logs for problem in log.problems),
                )
            )
        )
        self._words: dict[str, list[tuple[str, ...]]] = {
            "shared": [shared.contexts],
            "presets": [one.record.contexts for one in self.presets],
            "pieces": [one.record.contexts for one in self.pieces],
            "concerts": [
                tuple(word for item in one.record.items for word in item.contexts) for one in self.concerts
            ],
            "entries": [(entry.context,) for log in logs for entry in log.entries if entry.context],
        }
        self._newest = {
            where: Counter(word for words in records for word in {self.match.newest(one) for one in words})
            for where, records in self._words.items()
        }
        # By what they are called today; the spelling of a record goes before that of an old entry.
        self.spelled: dict[str, str] = {
            folded(new): new for new in self.aliases.values() if self.match.newest(new) == folded(new)
        }
        for records in self._words.values():
            for words in records:
                for one in words:
                    self.spelled.setdefault(self.match.newest(one), one)

    @property
    def renamed(self) -> set[str]:
        """Both words of every renaming, folded: those that stand in logbooks alone are known by it."""
        return {folded(one) for pair in self.aliases.items() for one in pair}

    def is_another(self, old: str, new: str) -> bool:
        """Tell whether *new* is a word of its own that stands in a record or a logbook."""
        newest = self.match.newest(new)
        return newest != self.match.newest(old) and any(count[newest] for count in self._newest.values())

    def as_written(self, word: str) -> str:
        """Return *word* as a record, a renaming or the vocabulary spells it; as it is where none has it."""
        records = (one for records in self._words.values() for words in records for one in words)
        renamed = (one for pair in self.aliases.items() for one in pair)
        shipped = (one for known in WORDS for one in (known.text, *known.also))
        spelled = (one for one in chain(records, renamed, shipped) if folded(one) == folded(word))
        return next(spelled, word)

    def entries(self, word: str) -> int:
        """Return in how many entries of the logbooks *word* stands, or an older word for it."""
        newest = self.match.newest(word)
        return self._newest["entries"][newest] if newest == folded(word) else self.exactly(word)["entries"]

    def exactly(self, word: str) -> Counter[str]:
        """Return in how many records of each sort *word* itself stands, case and accents aside."""
        found: Counter[str] = Counter()
        for where, records in self._words.items():
            number = sum(any(folded(one) == folded(word) for one in words) for words in records)
            if number:
                found[where] = number
        return found

    def row(self, word: str, kind: Kind | Literal["own"], also: tuple[str, ...]) -> ContextRow:
        """Return the row of one word."""
        newest = self.match.newest(word)
        older = [old for old, new in self.aliases.items() if self.match.newest(new) == newest]
        return ContextRow(
            word=self.spelled.get(newest, word) if kind == "own" or newest != folded(word) else word,
            kind=kind,
            also=tuple(one for one in dict.fromkeys((*also, *older)) if folded(one) != newest),
            shared=newest in self._newest["shared"],
            presets=self._newest["presets"][newest],
            pieces=self._newest["pieces"][newest],
            concerts=self._newest["concerts"][newest],
            entries=self._newest["entries"][newest],
        )
