"""A score made into the one part that is wanted.

Problem: a score of thirty parts takes music21 a minute, and the player wants one. But the tempi and the
words that send players back to the beginning may stand over the top part only. So the tempi are carried over
to the part that is read, what sends back is kept beside it, and the rest is left out.

Sources: W3C, MusicXML 4.0 (2021).
"""

import re
from collections.abc import Sequence
from itertools import takewhile
from xml.etree.ElementTree import Element, SubElement

from music21.tempo import defaultTempoValues

from lugbook.errors import BadValue
from lugbook.scores.choosing import Candidate, check_count, chosen, kind_of, named_apart
from lugbook.scores.music import Mark, one_line
from lugbook.scores.places import advance
from lugbook.scores.signs import signs_of
from lugbook.scores.tidying import Tidier, is_cue

_FIRST_AGAIN = re.compile(r"(a )?tempo (i|1|primo|1o|1°|1º)")
_BACK = ("a tempo", "in tempo", "im tempo", "au mouvement", "au mouv", "au mouvt")
_WAVERS = re.compile(
    r"\b(rit\b|riten|ritard|rall|accel|string\.|stringendo|allarg|affrett|slent|c[ée]de[zr]|press[ez]r?\b|"
    r"verlangsam|beschleunig|zurückhalt)"
)
_PERCUSSION_CHANNEL = "10"
_NAMES = ("part-name", "part-abbreviation", "score-instrument/instrument-name")
_MOST_NUMBER = 12
_MOST_FOREIGN = 2000
_MOST_PROGRAMS = 10


def said_of_tempo(words: str | None, at: float) -> Mark | None:
    """Return the change of tempo that *words* at a place in a bar tell, or None."""
    whole = (words or "").strip().casefold()
    text = whole.strip(" .,;:()[]")
    if _FIRST_AGAIN.fullmatch(text):
        return Mark(at, first=True)
    if text in _BACK:
        return Mark(at, back=True)
    if text in defaultTempoValues:
        return Mark(at, float(defaultTempoValues[text]), guessed=True)
    return Mark(at, wavers=True) if _WAVERS.search(whole) else None


class Single:
    """One part of a MusicXML score.

    Attributes:
        root: a score of this part alone, fit for music21.
        labels: the printed number of each bar.
        signs: what the bars say of the order in which they are played.
        parts: the names of all parts.
        part: the name of this one.
        title, composer, movement: from the head of the score.
        remarks: what is to be told.
    """

    def __init__(self, root: Element, part: str | None, *, file: str) -> None:
        if root.tag == "score-timewise":
            raise BadValue(
                f"{file} is ordered by bars and not by parts.", hint="Export it as score-partwise."
            )
        if root.tag != "score-partwise":
            raise BadValue(f"{file} is XML, but no MusicXML score.", hint="Export it as MusicXML.")
        check_count(len(root.findall("part-list/score-part")), file=file)
        bodies = {one.get("id", ""): one for one in root.findall("part")}
        candidates = named_apart(_candidates(root, bodies))
        one = chosen(candidates, part, file=file)
        body = bodies[one.key]
        bars = body.findall("measure")
        work, number, name = (
            one_line(root.findtext(tag)) for tag in ("work/work-title", "movement-number", "movement-title")
        )
        # Where the work has no title of its own, the movement's is the piece's.
        self.title = work or name
        self.movement = " ".join(filter(None, (number, name if name != self.title else "")))
        composers = [
            creator.text
            for creator in root.findall("identification/creator")
            if creator.get("type") == "composer"
        ]
        self.composer = one_line(composers[0]) if composers else ""
        self.labels = _labels(bars)
        self.parts = tuple(candidate.name for candidate in candidates)
        self.part = one.name
        tidier = Tidier(file)
        if one.kind == "other":
            tidier.remark(f'"{one.name}" does not look like a percussion part.')
        if _drums(bars) > 1:
            tidier.remark("The part plays more than one drum; the strokes of all are counted together.")
        others = [other.findall("measure") for key, other in bodies.items() if key != one.key]
        fermata = _first_fermata([bars, *others])
        if fermata is not None:
            label = self.labels[fermata]
            tidier.remark(f"Fermatas, the first in bar {label}, are counted as long as they are written.")
        for other in others:
            _carry_over(other, bars)
        tidier.tidy(bars, self.labels)
        self.signs = signs_of(bars, others, self.labels, tidier.remarks)
        self.remarks = tidier.remarks
        self.root = _score_of(bars, root.findall("identification/encoding/software"))


def _candidates(root: Element, bodies: dict[str, Element]) -> list[Candidate]:
    found = []
    for one in root.findall("part-list/score-part"):
        key = one.get("id", "")
        if key not in bodies:
            continue
        names = [one_line(name.text) for tag in _NAMES for name in one.findall(tag)]
        percussion = (
            any(name.text == "percussion" for name in bodies[key].iter("sign"))
            or next(bodies[key].iter("unpitched"), None) is not None
            or one.find("midi-instrument/midi-unpitched") is not None
            or any(
                (channel.text or "").strip() == _PERCUSSION_CHANNEL
                for channel in one.findall("midi-instrument/midi-channel")
            )
            or any(
                (sound.text or "").startswith(("drum.", "metal.", "wood."))
                for sound in one.iter("instrument-sound")
            )
        )
        # A kit names each of its drums: only where all are snare drums does that name it.
        instruments = [one_line(name.text) for name in one.findall(_NAMES[2])]
        said = names if len(instruments) <= 1 else [n for n in names if n not in instruments]
        found.append(
            Candidate(key, one_line(one.findtext("part-name")), kind_of(said, percussion=percussion))
        )
    return found


def _drums(bars: Sequence[Element]) -> int:
    """Return how many drums are played: by the names of instruments, or by the lines where there are none."""
    found: set[tuple[str, ...]] = set()
    for bar in bars:
        for note in bar.findall("note"):
            instrument, line = note.find("instrument"), note.find("unpitched")
            if line is None or is_cue(note):
                continue
            if instrument is not None:
                found.add((instrument.get("id", ""),))
            elif line.find("display-step") is not None:
                found.add((line.findtext("display-step", ""), line.findtext("display-octave", "")))
    return len(found)


def _labels(bars: Sequence[Element]) -> tuple[str, ...]:
    """Return the number of each bar as printed; one without has that of the bar before."""
    labels: list[str] = []
    for place, bar in enumerate(bars):
        number = one_line(bar.get("number"))[:_MOST_NUMBER]
        unnumbered = not number or (bar.get("implicit") == "yes" and not number.isdigit())
        if unnumbered:
            labels.append(labels[-1] if labels else str(place))
        else:
            labels.append(number)
    return tuple(labels)


def _first_fermata(parts: Sequence[Sequence[Element]]) -> int | None:
    """Return the place of the first bar with a fermata in any part, or None: all wait for it."""
    places = (
        next((place for place, bar in enumerate(part) if next(bar.iter("fermata"), None) is not None), None)
        for part in parts
    )
    return min((place for place in places if place is not None and place < len(parts[0])), default=None)


def _carry_over(others: Sequence[Element], bars: Sequence[Element]) -> None:
    """Put the tempi of another part into *bars*, where they do not stand there already."""
    theirs = ours = 1.0
    carried = 0
    for other, bar in zip(others, bars, strict=False):
        here = list(advance(bar, ours))
        ours = here[-1][2] if here else ours
        have = {(round(at, 3), key) for one, at, _ in here for key in _says(one)}
        for one, at, divisions in advance(other, theirs):
            theirs = divisions
            keys = {(round(at, 3), key) for key in _says(one)}
            if not keys or keys <= have or carried > _MOST_FOREIGN:
                continue
            have |= keys
            carried += 1
            _put_in(bar, one, at, ours)


def _says(one: Element) -> set[str]:
    """Return what an element says of the tempo, to know it again."""
    if one.tag == "sound":
        return {"tempo"} if "tempo" in one.attrib else set()
    if one.tag != "direction":
        return set()
    said = set()
    if one.find("direction-type/metronome") is not None or any(
        "tempo" in sound.attrib for sound in one.findall("sound")
    ):
        said.add("tempo")
    for words in one.iterfind("direction-type/words"):
        if said_of_tempo(words.text, 0.0) is not None:
            said.add((words.text or "").strip().casefold())
    return said


def _put_in(bar: Element, one: Element, at: float, divisions: float) -> None:
    """Put a copy of a direction at the start of *bar*, with the offset that brings it to its place."""
    direction = Element("direction")
    for kind in one.findall("direction-type"):
        direction.append(kind)
    if direction.find("direction-type") is None:
        SubElement(SubElement(direction, "direction-type"), "words").text = " "
    SubElement(direction, "offset").text = repr(at * divisions)
    for sound in [one] if one.tag == "sound" else one.findall("sound"):
        if "tempo" in sound.attrib:
            SubElement(direction, "sound", {"tempo": sound.attrib["tempo"]})
    head = takewhile(lambda there: there.tag in ("attributes", "barline", "direction"), bar)
    bar.insert(len(list(head)), direction)


def _score_of(bars: Sequence[Element], programs: Sequence[Element]) -> Element:
    root = Element("score-partwise", {"version": "4.0"})
    # music21 knows which programs write gaps that are none.
    encoding = SubElement(SubElement(root, "identification"), "encoding")
    for program in programs[:_MOST_PROGRAMS]:
        SubElement(encoding, "software").text = one_line(program.text)
    entry = SubElement(SubElement(root, "part-list"), "score-part", {"id": "P1"})
    SubElement(entry, "part-name").text = "Part"
    SubElement(root, "part", {"id": "P1"}).extend(bars)
    return root
