"""One part's MusicXML bars, made fit for a reader that believes what it reads.

Problem: a number in a part may be a slip or a trick (a repeat a thousand million times, a bar of no beats);
small notes are another instrument's; a bar may only say "like the one before"; a metronome mark may be words.
All of that is put right, or refused, before music21 sees it.

Sources: W3C, MusicXML 4.0 (2021); that small notes are cues and what signs of repeated bars mean.
"""

import copy
import math
import re
from collections.abc import Sequence
from typing import NoReturn
from xml.etree.ElementTree import Element, SubElement

from lugbook.errors import BadValue
from lugbook.scores.music import (
    LEAST_TEMPO,
    MOST_BARS,
    MOST_NOTES,
    MOST_TEMPO,
    one_line,
    tell,
)
from lugbook.scores.places import number_of, with_offsets_inside

MOST_IN_BAR = 10_000
"""Elements in one bar, all of them."""

MOST_TIMES = 32
"""How often a passage may be repeated."""

_MOST_QUARTERS = 1000
_MOST_DIVISIONS = 1_000_000
_MOST_BEATS, _MOST_BEAT_TYPE = 64, 128
_MOST_TUPLET, _MOST_DOTS, _MOST_STAVES = 256, 4, 4
_LIMITS = {
    "divisions": (1e-3, _MOST_DIVISIONS, "the parts of a quarter"),
    "duration": (0, _MOST_DIVISIONS * _MOST_QUARTERS, "a length"),
    "beat-type": (1, _MOST_BEAT_TYPE, "the kind of beat"),
    "actual-notes": (1, _MOST_TUPLET, "a tuplet"),
    "normal-notes": (1, _MOST_TUPLET, "a tuplet"),
    "tuplet-number": (1, _MOST_TUPLET, "a tuplet"),
    "staves": (1, _MOST_STAVES, "the number of staves"),
}
"""The least and the most that a number may be, and what it is."""

_MOST_ALIKE = 8
_MOST_WORDS = 100
_UNITS = {"breve": 8.0, "whole": 4.0, "half": 2.0, "quarter": 1.0, "eighth": 0.5, "16th": 0.25, "32nd": 0.125}
_A_NUMBER = re.compile(r"\d{1,4}(?:\.\d{1,3})?")
_ENDING = re.compile(r"\d{1,2}(?: ?, ?\d{1,2}){0,9}")
_AGAIN = "Correct it in the notation program, and export it again."


class Tidier:
    """Puts the bars of one part right, in place.

    Args:
        file: the file's name, for what is said.

    Attributes:
        remarks: what was left out or changed, to be told.
    """

    def __init__(self, file: str) -> None:
        self.remarks: list[str] = []
        self._file = file
        self._alike = 0
        self._label = ""

    def tidy(self, bars: Sequence[Element], labels: Sequence[str]) -> None:
        """Put *bars* right.

        Raises:
            BadValue: there are too many bars or notes, or a number in them cannot be.
        """
        if len(bars) > MOST_BARS:
            raise BadValue(
                f"{self._file} has {len(bars)} bars; at most {MOST_BARS} are read.",
                hint="Export one movement alone.",
            )
        notes = 0
        divisions = 1.0
        for place, (bar, self._label) in enumerate(zip(bars, labels, strict=True)):
            # music21 makes numbers of these; how the bars are called is known already.
            bar.attrib = {"number": str(place + 1)}
            self._repeated_signs(bars, place)
            everything = list(bar.iter())
            if len(everything) > MOST_IN_BAR:
                self._refuse(f"{len(everything)} signs, more than the {MOST_IN_BAR} that are read,")
            for one in everything:
                self._tidy_one(one)
            divisions = with_offsets_inside(bar, divisions)
            _without_cues(bar)
            _with_tempi_apart(bar)
            _with_dynamics_apart(bar)
            notes += sum(1 for _ in bar.iter("note"))
            if notes > MOST_NOTES:
                raise BadValue(
                    f"{self._file} has more than {MOST_NOTES} notes in one part.",
                    hint="Export one movement alone.",
                )

    def remark(self, sentence: str) -> None:
        """Keep what is to be told, once."""
        tell(self.remarks, sentence)

    def _refuse(self, what: str) -> NoReturn:
        raise BadValue(f"{self._file} has {what} in bar {self._label}.", hint=_AGAIN)

    def _number(self, one: Element, least: float, most: float, what: str) -> float:
        value = number_of(one.text)
        if value is None or not least <= value <= most:
            self._refuse(f'"{one_line(one.text)[:30]}" for {what}')
        return value

    def _tidy_one(self, one: Element) -> None:
        """Look at the numbers of one element."""
        if one.tag in _LIMITS:
            least, most, what = _LIMITS[one.tag]
            value = self._number(one, least, most, what)
            if one.tag == "beat-type" and value != 2 ** round(math.log2(value)):
                self._refuse(f'"{one_line(one.text)[:30]}" for {what}')
            return
        match one.tag:
            case "beats":
                self._check_beats(one)
            case "note" if len(one.findall("dot")) > _MOST_DOTS:
                self._refuse(f"{len(one.findall('dot'))} dots on a note")
            case "offset" if not _is_near(one.text):
                one.text = "0"
            case "tremolo":
                _tidy_tremolo(one)
            case "words" | "other-dynamics" | "voice":
                one.text = (one.text or "")[:_MOST_WORDS]
            case "barline":
                self._tidy_barline(one)
            case "direction" | "measure":
                self._tidy_tempi(one)

    def _check_beats(self, beats: Element) -> None:
        counts = [number_of(count) for count in (beats.text or "").split("+")]
        if not all(count is not None and 1 <= count <= _MOST_BEATS for count in counts):
            self._refuse(f'"{one_line(beats.text)[:30]}" for the beats')

    def _tidy_barline(self, barline: Element) -> None:
        repeat, ending = barline.find("repeat"), barline.find("ending")
        times = repeat.get("times") if repeat is not None else None
        if repeat is not None and times is not None:
            value = number_of(times)
            if value is None or value != int(value) or not 2 <= value <= MOST_TIMES:
                del repeat.attrib["times"]
                # Once is no repeat, but exporters write it for the usual two.
                if value != 1:
                    self.remark(
                        f"Bar {self._label} is repeated {one_line(times)[:20]} times; two are counted."
                    )
        if ending is not None:
            ending.text = None
            if not _ENDING.fullmatch(ending.get("number", "").strip()):
                ending.set("number", "1")
                self.remark(f"The ending in bar {self._label} has no number; it is taken as the first.")

    def _tidy_tempi(self, direction: Element) -> None:
        """Leave out tempi that cannot be, and take the first number out of a mark in words."""
        sounds = [one for one in direction.findall("sound") if "tempo" in one.attrib]
        for sound in sounds:
            value = number_of(sound.get("tempo"))
            if value is None or not LEAST_TEMPO <= value <= MOST_TEMPO:
                self.remark(
                    f"A tempo of {one_line(sound.get('tempo'))[:20]} in bar {self._label} is left out: only "
                    f"{LEAST_TEMPO:.0f} to {MOST_TEMPO:.0f} quarters a minute can be."
                )
                del sound.attrib["tempo"]
        for kind in direction.findall("direction-type"):
            for metronome in kind.findall("metronome"):
                if not _readable(metronome, self):
                    kind.remove(metronome)

    def left_out(self, value: str) -> None:
        """Tell that a metronome mark of *value* is left out."""
        self.remark(f'A metronome mark "{one_line(value)[:20]}" in bar {self._label} is left out.')

    def _repeated_signs(self, bars: Sequence[Element], place: int) -> None:
        """Fill a bar that is to be played like those before it."""
        bar = bars[place]
        for attributes in bar.findall("attributes"):
            for style in attributes.findall("measure-style"):
                sign = style.find("measure-repeat")
                if sign is not None:
                    count = number_of(sign.text) or 1
                    starts = sign.get("type") == "start" and 1 <= count <= _MOST_ALIKE
                    self._alike = int(count) if starts else 0
                if style.find("slash") is not None or style.find("beat-repeat") is not None:
                    self.remark(f"Slashes from bar {self._label} on are taken as they stand.")
                attributes.remove(style)
        if not self._alike or place < self._alike or any(_sounds(note) for note in bar.iter("note")):
            return
        for tag in ("note", "forward", "backup"):
            for one in bar.findall(tag):
                bar.remove(one)
        before = bars[place - self._alike]
        bar.extend(copy.deepcopy(one) for one in before if one.tag in ("note", "forward", "backup"))


def _is_near(offset: str | None) -> bool:
    value = number_of(offset)
    return value is not None and abs(value) <= _MOST_DIVISIONS * _MOST_QUARTERS


def _sounds(note: Element) -> bool:
    return note.find("rest") is None and not is_cue(note)


def is_cue(note: Element) -> bool:
    """Return whether a note is small: another instrument's."""
    kind = note.find("type")
    return note.find("cue") is not None or (kind is not None and kind.get("size") in ("cue", "grace-cue"))


def _without_cues(bar: Element) -> None:
    """Put a gap for each small note: what another instrument plays is a rest."""
    left: list[Element] = []
    for one in bar:
        length = one.find("duration")
        if one.tag != "note" or not is_cue(one):
            left.append(one)
        elif length is not None and one.find("chord") is None and one.find("grace") is None:
            forward = Element("forward")
            forward.append(length)
            left.append(forward)
    bar[:] = left


def _tidy_tremolo(tremolo: Element) -> None:
    """Give a sign of a roll without number three strokes, which is what it means."""
    marks = number_of(tremolo.text)
    if tremolo.get("type") not in ("start", "stop"):
        unmeasured = tremolo.get("type") == "unmeasured" or marks is None or not 1 <= marks <= 8
        tremolo.attrib = {"type": "single"}
        tremolo.text = "3" if unmeasured or marks is None else str(int(marks))
    elif marks is None or not 1 <= marks <= 8:
        tremolo.text = "3"


def _readable(metronome: Element, tidier: Tidier) -> bool:
    """Return whether music21 can make a tempo of the mark, its number put right if there is one."""
    number = metronome.find("per-minute")
    if number is None:
        # Two notes that are to last alike; a mark with neither says nothing.
        return len(metronome.findall("beat-unit")) == 2 and metronome.find("metronome-relation") is None
    found = _A_NUMBER.search(number.text or "")
    signed = (number.text or "").strip().startswith("-")
    unit = _UNITS.get((metronome.findtext("beat-unit") or "").strip(), 0.0)
    unit *= 2 - 0.5 ** len(metronome.findall("beat-unit-dot")[:_MOST_DOTS])
    if signed or found is None or not LEAST_TEMPO <= unit * float(found[0]) <= MOST_TEMPO:
        tidier.left_out(number.text or "")
        return False
    number.text = found[0]
    return True


def _with_tempi_apart(bar: Element) -> None:
    """Take away the beats a minute for players of sound where the page has a metronome mark."""
    for direction in bar.findall("direction"):
        if direction.find("direction-type/metronome") is not None:
            for sound in direction.findall("sound"):
                sound.attrib.pop("tempo", None)
        for kind in direction.findall("direction-type"):
            if len(kind) == 0:
                direction.remove(kind)
        if direction.find("direction-type") is None:
            SubElement(SubElement(direction, "direction-type"), "words").text = " "


def _with_dynamics_apart(bar: Element) -> None:
    """Give the dynamics that are tied to a note a direction of their own, where music21 looks for them."""
    left: list[Element] = []
    for one in bar:
        for dynamics in one.findall("notations/dynamics") if one.tag == "note" else ():
            direction = Element("direction")
            SubElement(direction, "direction-type").append(dynamics)
            left.append(direction)
        left.append(one)
    bar[:] = left
