"""A MusicXML part, read by music21.

music21 is given a tree and no file: so it has nothing to open, to cache or to fetch.

Sources: music21 10 for lengths, ties, tuplets and metronome marks. That three strokes
through a stem, with its flags, mean a roll is common practice, no source.
"""

import warnings
from collections.abc import Iterator, Sequence
from threading import RLock
from xml.etree.ElementTree import Element

from music21 import dynamics, expressions, harmony, note, stream, tempo
from music21.musicxml.xmlToM21 import MusicXMLImporter, PartParser

from lugbook.errors import BadValue
from lugbook.progress import Progress, part_of
from lugbook.scores.markup import tree_of
from lugbook.scores.music import MOST_PLAYED, Bar, Mark, Music, Sounding
from lugbook.scores.repeats import order_of
from lugbook.scores.single import Single, said_of_tempo

_ONE_AT_A_TIME = RLock()
"""Warnings are kept quiet for the whole process: two readings at once would leave them so."""

_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5}
_ROLL = 3
"""Flags and strokes together."""

_TREE, _READ = 0.3, 0.95


class _Teller:
    """Tells how far it is, and remembers whether that was the end of it."""

    def __init__(self, progress: Progress | None) -> None:
        self.progress = progress
        self.ended = False

    def __call__(self, share: float) -> None:
        if self.progress is not None:
            try:
                self.progress(share)
            except BaseException:
                self.ended = True
                raise


class _PartParser(PartParser):
    """A parser of music21's that tells how far it is."""

    told: Progress
    done = 0

    def xmlMeasureToMeasure(self, mxMeasure: Element) -> stream.Measure:  # noqa: N802, N803  # music21 names it so
        self.told(self.done / max(len(self.mxPart or ()), 1))
        self.done += 1
        return super().xmlMeasureToMeasure(mxMeasure)

    def adjustTimeAttributesFromMeasure(self, m: stream.Measure) -> None:  # noqa: N802  # and so
        beat = self.lastTimeSignature
        length = m.highestTime
        if beat is not None and 0 < length < beat.barDuration.quarterLength:
            # A short bar is as long as what stands in it. To tell a pickup from another, which nobody asks
            # here, music21 would look through all bars before it: minutes, where thousands are short.
            self.lastMeasureOffset += length
        else:
            super().adjustTimeAttributesFromMeasure(m)


class _Importer(MusicXMLImporter):
    """An importer of music21's with that parser."""

    told: Progress

    def xmlPartToPart(self, mxPart: Element, mxScorePart: Element) -> stream.Part | None:  # noqa: N802, N803  # and so
        parser = _PartParser(mxPart, mxScorePart=mxScorePart, parent=self)
        parser.told = self.told
        parser.parse()
        return parser.stream if parser.appendToScoreAfterParse else None


def read_written(data: bytes, *, part: str | None, file: str, progress: Progress | None) -> Music:
    """Return the part in the MusicXML text *data*.

    Args:
        data: the text.
        part: the name or number of the part, or None for the drum's.
        file: the file's name, for what is said.
        progress: is told the share that is done, from 0 to 1; what it raises ends the reading.

    Raises:
        BadValue: it cannot be read.
        NotPossible: it has no percussion part.
    """
    tree = tree_of(data, name=file, progress=part_of(progress, 0.0, _TREE))
    single = Single(tree, part, file=file)
    teller = _Teller(part_of(progress, _TREE, _READ))
    try:
        with _ONE_AT_A_TIME, warnings.catch_warnings():
            # music21 warns of what it mends; what matters of it is remarked on here.
            warnings.simplefilter("ignore")
            return _music_of(single, teller)
    except Exception as error:
        if teller.ended or isinstance(error, BadValue):
            raise
        raise BadValue(
            f"{file} is MusicXML, but its notes do not make sense.",
            hint="Open it in a notation program, correct it, and export it again.",
        ) from error


def _music_of(single: Single, teller: _Teller) -> Music:
    importer = _Importer()  # type: ignore[no-untyped-call]  # music21 types it in part
    importer.told = teller
    importer.xmlRootToScore(single.root, importer.stream)  # type: ignore[no-untyped-call]  # as said above
    staves = [list(one.getElementsByClass(stream.Measure)) for one in importer.stream.parts]
    offsets = [[measure.offset for measure in measures] for measures in staves]
    if not staves or any(len(measures) != len(single.labels) for measures in staves):
        raise ValueError("the bars of the staves do not match")
    end = max(float(one.highestTime) for one in importer.stream.parts)
    starts = [*map(max, zip(*offsets, strict=True)), end]
    bars = []
    flows: list[bool] = [False]
    for place, label in enumerate(single.labels):
        measures = [measures[place] for measures in staves]
        bars.append(
            Bar(
                label,
                float(starts[place + 1] - starts[place]),
                tuple(_soundings(measures, flows)),
                tuple(_marks(measures)),
                tuple(one.value for measure in measures for one in measure[dynamics.Dynamic]),
            )
        )
    remarks = list(single.remarks)
    order = order_of(single.signs, single.labels, remarks)
    if sum(len(bars[place].notes) for place in order) > MOST_PLAYED:
        raise BadValue(
            f"With its repeats the part has more than {MOST_PLAYED} notes.", hint="Export one movement alone."
        )
    if any(mark.wavers for bar in bars for mark in bar.marks):
        remarks.append("Slowing down and hurrying (rit., accel.) are not counted.")
    return Music(
        single.title,
        single.composer,
        single.movement,
        single.parts,
        single.part,
        tuple(bars),
        order,
        tuple(remarks),
    )


def _soundings(measures: Sequence[stream.Measure], flows: list[bool]) -> Iterator[Sounding]:
    """Yield the notes of a bar in their order; *flows* says whether a trill goes on in a tied note."""
    found: dict[float, list[Sounding]] = {}
    for measure in measures:
        for one in measure.recurse().getElementsByClass(note.NotRest):
            if isinstance(one, harmony.Harmony) or one.duration.isGrace:
                continue
            at = float(one.getOffsetInHierarchy(measure))
            found.setdefault(at, []).append(_sounding(one, at, flows))
    for at in sorted(found):
        together = found[at]
        yield Sounding(
            at,
            max(one.length for one in together),
            max(one.strokes for one in together),
            any(one.roll for one in together),
        )


def _sounding(one: note.NotRest, at: float, flows: list[bool]) -> Sounding:
    length = float(one.duration.quarterLength)
    tied = one.tie is not None and one.tie.type in ("stop", "continue")
    marks = max(
        [
            *(sign.numberOfMarks for sign in one.expressions if isinstance(sign, expressions.Tremolo)),
            *(getattr(sign, "numberOfMarks", 3) for sign in one.getSpannerSites(["TremoloSpanner"])),
            0,
        ]
    )
    trill = any(isinstance(sign, expressions.Trill) for sign in one.expressions)
    flags = _FLAGS.get(one.duration.type, 0)
    roll = trill or (marks > 0 and marks + flags >= _ROLL) or (tied and flows[0] and marks == 0)
    flows[0] = trill or (tied and flows[0])
    strokes = 0 if tied and not marks else 1
    if marks and not roll:
        # Strokes through the stem that stand for so many written notes.
        strokes = max(round(length * 2 ** (marks + flags)), 1)
    return Sounding(at, length, strokes, roll)


def _marks(measures: Sequence[stream.Measure]) -> Iterator[Mark]:
    """Yield the changes of tempo in a bar; a word only counts where no number stands at the same place."""
    found: dict[float, Mark] = {}
    wavers: dict[float, Mark] = {}
    for measure in measures:
        for one in measure.recurse().getElementsByClass(tempo.TempoIndication):
            at = float(one.getOffsetInHierarchy(measure))
            if isinstance(one, tempo.MetricModulation):
                found[at] = Mark(at, times=one.newReferent.quarterLength / one.oldReferent.quarterLength)
            elif isinstance(one, tempo.MetronomeMark) and (quarters := one.getQuarterBPM()) is not None:
                found[at] = Mark(at, round(float(quarters), 9))
        for words in measure.recurse().getElementsByClass(expressions.TextExpression):
            at = float(words.getOffsetInHierarchy(measure))
            said = said_of_tempo(words.content, at)
            if said is not None and said.wavers:
                wavers[at] = said
            elif said is not None:
                found.setdefault(at, said)
    for at in sorted({*found, *wavers}):
        # What slows down may have a number of its own: the tempo before it comes first.
        yield from (marks[at] for marks in (wavers, found) if at in marks)
