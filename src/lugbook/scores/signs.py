"""What the bars of a score say of the order in which they are played.

Repeats and endings are those of the part that is read. Words and signs that send the player back may stand
over any part, on the page or for players of sound only, so those of all parts are put together.

Sources: W3C, MusicXML 4.0 (2021), for barline, repeat, ending and sound. The words are common practice, no
source.
"""

import math
import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal
from xml.etree.ElementTree import Element

from lugbook.scores.music import one_line, tell

_MOST_WORDS = 100
_NO_LETTERS = " \t.,;:()[]\u201c\u201d\"'"
_CAPO = re.compile(r"d\. ?c\b|dc\b|da capo")
_SEGNO = re.compile(r"d\. ?s\b|ds\b|dal? segno")
_NEARLY = re.compile(r"\bd\. ?[cs]\b|\bda capo\b|\bdal segno\b")
_TO_CODA = re.compile(r"(to|al|alla|zur|à la|a la) ?(the )?(coda|𝄌|⊕)")

Until = Literal["end", "fine", "coda"]


@dataclass(frozen=True, slots=True)
class Jump:
    """What sends the player back.

    Attributes:
        to_sign: to the sign; else to the beginning.
        until: where the playing ends then, or goes over to the coda.
    """

    to_sign: bool
    until: Until


@dataclass(frozen=True, slots=True)
class Ending:
    """A bracket over the bars of an ending.

    Attributes:
        first: the place of its first bar.
        last: of its last one.
        times: which time round it is played.
    """

    first: int
    last: int
    times: frozenset[int]


@dataclass(slots=True)
class Signs:
    """The signs, by the places of their bars.

    Attributes:
        opens: before which a repeat begins.
        closes: after which one ends, and how often it is played.
        after_jump: whether repeats are played again after a jump.
        endings: in their order.
        jumps: after which the player goes back.
        signs, codas, to_codas, fines: the bars with these.
    """

    opens: set[int] = field(default_factory=set)
    closes: dict[int, int] = field(default_factory=dict)
    after_jump: bool = False
    endings: list[Ending] = field(default_factory=list)
    jumps: dict[int, Jump] = field(default_factory=dict)
    signs: set[int] = field(default_factory=set)
    codas: set[int] = field(default_factory=set)
    to_codas: set[int] = field(default_factory=set)
    fines: set[int] = field(default_factory=set)


def signs_of(
    bars: Sequence[Element], others: Iterable[Sequence[Element]], labels: Sequence[str], remarks: list[str]
) -> Signs:
    """Return the signs over *bars*.

    Args:
        bars: of the part that is read, with numbers that can be.
        others: the bars of the other parts.
        labels: the printed numbers.
        remarks: is told which words or signs are not understood.
    """
    found = Signs()
    starts: dict[int, frozenset[int]] = {}
    stops: set[int] = set()
    for place, bar in enumerate(bars):
        for line in bar.findall("barline"):
            side = line.get("location", "right")
            repeat = line.find("repeat")
            if repeat is not None and side == "middle":
                tell(remarks, f"The repeat sign in the middle of bar {labels[place]} is not followed.")
            elif repeat is not None:
                _add_repeat(found, repeat, place, at_left=side == "left")
            ending = line.find("ending")
            if ending is None:
                continue
            if ending.get("type") == "start":
                starts[place] = frozenset(map(int, re.findall(r"\d+", ending.get("number", ""))))
            else:
                stops.add(place - (side == "left"))
    found.endings = list(_endings(starts, stops, found.closes))
    for place, together in enumerate(_side_by_side(bars, others)):
        said = set().union(*(_said_in(bar, labels[place], remarks) for bar in together))
        _add_words(found, said, place)
    _settle_codas(found)
    return found


def _side_by_side(bars: Sequence[Element], others: Iterable[Sequence[Element]]) -> Iterator[list[Element]]:
    """Yield each bar with those of the other parts at its place."""
    parts = [bars, *others]
    for place in range(len(bars)):
        yield [part[place] for part in parts if place < len(part)]


def _add_repeat(found: Signs, repeat: Element, place: int, *, at_left: bool) -> None:
    if repeat.get("direction") == "forward":
        found.opens.add(place if at_left else place + 1)
        return
    if repeat.get("direction") == "backward" and (place or not at_left):
        found.closes[place - at_left] = int(float(repeat.get("times", "2")))
        found.after_jump |= repeat.get("after-jump") == "yes"


def _endings(starts: dict[int, frozenset[int]], stops: set[int], closes: dict[int, int]) -> Iterator[Ending]:
    """Yield the endings, those that nothing stops ended where their repeat ends, or after one bar."""
    stopped = sorted(stops)
    for first, following in pairwise([*starts, math.inf]):
        place = bisect_left(stopped, first)
        if place < len(stopped) and stopped[place] < following:
            last = stopped[place]
        else:
            # The next one begins after the repeat that ends this one.
            last = int(following) - 1 if following - 1 in closes else int(first)
        yield Ending(int(first), last, starts[int(first)])


def _said_in(bar: Element, label: str, remarks: list[str]) -> set[str]:
    """Return what the words and signs of a bar say: of jumps, of where they lead and where they end."""
    said: set[str] = set()
    for direction in bar.findall("direction"):
        kinds = {one.tag for one in direction.iterfind("direction-type/*")}
        said |= kinds & {"segno", "coda"}
        words = [(one.text or "")[:_MOST_WORDS] for one in direction.iterfind("direction-type/words")]
        whole = re.sub(r"\s+", " ", " ".join(words)).casefold().strip(_NO_LETTERS)
        meant = _meant_by(whole)
        if not meant and _NEARLY.search(whole):
            tell(remarks, f'"{one_line(" ".join(words))}" in bar {label} is not followed.')
        said |= meant
    if not said & {"capo", "sign"}:
        # What players of sound are told may be less than the words say.
        sounds = list(bar.iter("sound"))
        said |= {"capo"} if any(one.get("dacapo") == "yes" for one in sounds) else set()
        said |= {"sign"} if any(one.get("dalsegno") for one in sounds) else set()
    for sound in bar.iter("sound"):
        said |= {
            meaning
            for key, meaning in (
                ("segno", "segno"),
                ("coda", "coda"),
                ("tocoda", "to coda"),
                ("fine", "fine"),
            )
            if sound.get(key, "no") != "no"
        }
    return said


def _meant_by(words: str) -> set[str]:
    if _CAPO.match(words) or _SEGNO.match(words):
        until = {one for one in ("fine", "coda") if one in words}
        return {"capo" if _CAPO.match(words) else "sign", *(f"al {one}" for one in until)}
    if words.startswith("al fine"):
        return {"al fine"}
    if _TO_CODA.match(words):
        return {"al coda" if words.startswith("al ") else "to coda"}
    if re.match(r"fine\b", words):
        return {"fine"}
    if re.match(r"coda\b|𝄌", words):
        return {"coda"}
    return {"segno"} if re.match(r"segno\b|𝄋", words) else set()


def _add_words(found: Signs, said: set[str], place: int) -> None:
    jumps = said & {"capo", "sign"}
    if jumps:
        until: Until = "coda" if "al coda" in said else "fine" if "al fine" in said else "end"
        found.jumps[place] = Jump("sign" in jumps, until)
    elif "al coda" in said:
        found.to_codas.add(place)
    for meaning, places in (
        ("segno", found.signs),
        ("coda", found.codas),
        ("to coda", found.to_codas),
        ("fine", found.fines),
    ):
        if meaning in said:
            places.add(place)


def _settle_codas(found: Signs) -> None:
    """Tell the coda from the place where one goes over to it, which may have the same sign."""
    # Beside the words "to coda" the sign only says where to.
    found.codas -= found.to_codas
    if not found.to_codas and len(found.codas) == 2:
        found.to_codas = {min(found.codas)}
        found.codas -= found.to_codas
