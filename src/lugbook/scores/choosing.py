"""Which part of a score is the drum's.

Sources: the names of the snare drum, and of drums called much like it, in the languages of orchestral parts
are common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lugbook.errors import BadValue, NotPossible
from lugbook.scores.music import MOST_PARTS

_NO_SNARE = re.compile(
    r"tambours? (de basque|de bois|à fente|provençal|de provence|sur cadre)|"
    r"tambur[oi] (basco|baschi|basso|grande|grosso|di legno)|gran tamburo|caja china"
)
"""Tambourines, wood blocks and bass drums that are called much like a snare drum."""

_TENOR = re.compile(
    r"tenor[ -]?drum|\bt\. ?d\b|tenortrommel|rührtr|wirbeltr|rollier?trommel|caisse roulante|"
    r"tambur[oi] rullant[ei]|cassa rullante"
)
_SNARE = re.compile(
    r"snare|\bs\. ?d\b|\bsd\b|\bsn?\. ?dr\b|side[ -]?drum|field[ -]?drum|military drum|parade drum|"
    r"kleine trommel|\bkl\. ?tr(?!omp|p)|militärtrommel|caisse claire|\bc\. ?cl\b|"
    r"\btambours?\b|\btambor(es)?\b|\btambur[oi]\b|\btamb\. ?(mil|picc)|\bcaja|redoblante|малый барабан"
)
_PERCUSSION = re.compile(r"perc|drum|schlag(zeug|werk)|batter|batterie|trommel|caisse|cassa|\btambo|\btambu")

Kind = Literal["snare", "tenor", "percussion", "other"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part of a score.

    Attributes:
        key: how the file knows it.
        name: as it is shown; no two are the same.
        kind: a snare or field drum, a tenor drum, another percussion part, or none.
    """

    key: str
    name: str
    kind: Kind


class ManyParts(BadValue):
    """More than one part may be meant: the player has to say which.

    Attributes:
        parts: the names of those that may be.
    """

    def __init__(self, sentence: str, *, hint: str, parts: tuple[str, ...]) -> None:
        super().__init__(sentence, hint=hint)
        self.parts = parts


class NoPercussion(NotPossible):
    """No part is for percussion; the player may name one all the same.

    Attributes:
        parts: the names of all parts.
    """

    def __init__(self, sentence: str, *, hint: str, parts: tuple[str, ...]) -> None:
        super().__init__(sentence, hint=hint)
        self.parts = parts


def kind_of(names: Sequence[str], *, percussion: bool) -> Kind:
    """Return what a part with these *names* is; *percussion* says that its notation is a drum's."""
    said = " ".join(names).casefold()
    without = _NO_SNARE.sub(" ", said)
    # The words for tenor drums hold some of those for snare drums.
    if _SNARE.search(_TENOR.sub(" ", without)):
        return "snare"
    if _TENOR.search(without):
        return "tenor"
    return "percussion" if percussion or _PERCUSSION.search(said) else "other"


def check_count(count: int, *, file: str) -> None:
    """Refuse a file of more parts than any score has."""
    if count > MOST_PARTS:
        raise BadValue(
            f"{file} holds {count} parts; at most {MOST_PARTS} are looked at.",
            hint="Export the percussion part alone.",
        )


def named_apart(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Return the parts, those without a name given one, and none named like another."""
    seen: dict[str, int] = {}
    apart = []
    for number, one in enumerate(candidates, 1):
        name = one.name or f"Part {number}"
        seen[name.casefold()] = times = seen.get(name.casefold(), 0) + 1
        apart.append(replace(one, name=name if times == 1 else f"{name} ({times})"))
    return apart


def chosen(candidates: Sequence[Candidate], part: str | None, *, file: str) -> Candidate:
    """Return the part to read.

    Args:
        candidates: all parts of the file.
        part: the name or the number of the one the player wants; None takes the only snare drum part, else
            the only tenor drum part, else the only percussion part.
        file: the file's name, for what is said.

    Raises:
        ManyParts: more than one may be meant.
        BadValue: there is no part of that name or number.
        NoPercussion: no part is for percussion.
        NotPossible: there is no part at all.
    """
    if not candidates:
        raise NotPossible(f"{file} holds no part.", hint="Export it again from the notation program.")
    if part is not None:
        return _asked_for(candidates, part, file=file)
    drums: list[Candidate] = []
    for kind in ("snare", "tenor", "percussion"):
        drums = drums or [one for one in candidates if one.kind == kind]
    if not drums:
        raise NoPercussion(
            f"{file} holds no percussion part.",
            hint=f"Its parts are: {_listed(candidates)}. Name one to read it all the same.",
            parts=tuple(one.name for one in candidates),
        )
    if len(drums) > 1:
        raise ManyParts(
            f"{file} holds {len(drums)} parts that may be meant: {_listed(drums)}.",
            hint="Name the one to read.",
            parts=tuple(one.name for one in drums),
        )
    return drums[0]


def _asked_for(candidates: Sequence[Candidate], part: str, *, file: str) -> Candidate:
    wanted = part.strip().casefold()
    for one in candidates:
        if one.name.casefold() == wanted:
            return one
    if wanted.isascii() and wanted.isdigit() and 1 <= int(wanted[:9]) <= len(candidates):
        return candidates[int(wanted) - 1]
    close = [one for one in candidates if wanted and wanted in one.name.casefold()]
    if len(close) == 1:
        return close[0]
    if close:
        raise ManyParts(
            f'"{part}" is in the names of {len(close)} parts: {_listed(close)}.',
            hint="Name one of them in full.",
            parts=tuple(one.name for one in close),
        )
    raise BadValue(f'{file} holds no part "{part}".', hint=f"Its parts are: {_listed(candidates)}.")


def _listed(candidates: Sequence[Candidate]) -> str:
    names = [one.name for one in candidates[:20]]
    more = len(candidates) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")
