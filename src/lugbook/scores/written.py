"""A MusicXML part, read by music21.

music21 is given a tree and no file: so it has nothing to open, to cache or to fetch.

Sources: music21 10 for lengths, ties, tuplets, metronome marks and the order of repeats. That three strokes
through a stem, with its flags, mean a roll is common practice, no source.
"""

import warnings
from collections.abc import Iterator, Sequence
from contextlib import suppress
from xml.etree.ElementTree import Element

from music21 import bar as m21_bar
from music21 import dynamics, expressions, harmony, note, repeat, spanner, stream, tempo
from music21.musicxml.xmlToM21 import MusicXMLImporter, PartParser

from lugbook.errors import BadValue
from lugbook.progress import Progress, part_of
from lugbook.scores.markup import tree_of
from lugbook.scores.music import Bar, Mark, Music, Sounding
from lugbook.scores.single import FIRST_AGAIN, Single

_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5}
_ROLL = 3
"""Flags and strokes together."""

_MOST_PLAYED = 20_000
"""Bars with all repeats."""

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

    def xmlMeasureToMeasure(self, mxMeasure: Element) -> stream.Measure:  # noqa: N802, N803  # music21's names
        self.told(self.done / max(len(self.mxPart or ()), 1))
        self.done += 1
        return super().xmlMeasureToMeasure(mxMeasure)


class _Importer(MusicXMLImporter):
    """An importer of music21's with that parser."""

    told: Progress

    def xmlPartToPart(self, mxPart: Element, mxScorePart: Element) -> stream.Part | None:  # noqa: N802, N803  # music21's
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
        with warnings.catch_warnings():
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
    importer.xmlRootToScore(single.root, importer.stream)  # type: ignore[no-untyped-call]  # as above
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
    order = _order(importer.stream, staves[0], remarks)
    if any(
        one.content and one.content.casefold().startswith(("rit", "rall", "accel", "string", "poco rit"))
        for one in importer.stream.recurse().getElementsByClass(expressions.TextExpression)
    ):
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
    for measure in measures:
        for one in measure.recurse().getElementsByClass(tempo.TempoIndication):
            at = float(one.getOffsetInHierarchy(measure))
            if isinstance(one, tempo.MetricModulation):
                found[at] = Mark(at, times=one.newReferent.quarterLength / one.oldReferent.quarterLength)
            elif isinstance(one, tempo.MetronomeMark) and (quarters := one.getQuarterBPM()) is not None:
                found[at] = Mark(at, round(float(quarters), 9))
        for words in measure.recurse().getElementsByClass(expressions.TextExpression):
            at = float(words.getOffsetInHierarchy(measure))
            text = (words.content or "").strip().casefold()
            if at in found:
                continue
            if text in FIRST_AGAIN:
                found[at] = Mark(at, first=True)
            elif text.strip(". ") in tempo.defaultTempoValues:
                value = float(tempo.defaultTempoValues[text.strip(". ")])
                found[at] = Mark(at, value, guessed=True)
    yield from (found[at] for at in sorted(found))


def _order(score: stream.Score, measures: Sequence[stream.Measure], remarks: list[str]) -> tuple[int, ...]:
    """Return the places of the bars as they are played, from music21's reading of repeats and jumps.

    It is given empty bars that hold nothing but their repeat signs: it copies each bar many times.
    """
    plain = tuple(range(len(measures)))
    signs: stream.Part = stream.Part()  # type: ignore[no-untyped-call]  # music21 types it in part
    empty = {id(measure): _empty(measure, place) for place, measure in enumerate(measures)}
    for one in empty.values():
        signs.append(one)  # type: ignore[no-untyped-call]  # as above
    for bracket in score.spannerBundle.getByClass(spanner.RepeatBracket):
        inside = [empty[id(one)] for one in bracket.getSpannedElements() if id(one) in empty]
        if inside:
            signs.insert(0, spanner.RepeatBracket(inside, number=bracket.number))
    times = 1 + sum(map(_times_again, empty.values()))
    if times == 1:
        return plain
    played: list[stream.Measure] = []
    if times * len(measures) <= _MOST_PLAYED:
        # Whatever music21 makes of bad signs, the part can still be read once through.
        with suppress(Exception):
            played = list(repeat.Expander(signs).process().getElementsByClass(stream.Measure))
    if not played:
        remarks.append("The repeats could not be followed: the part is counted once through.")
        return plain
    if any(
        isinstance(line, m21_bar.Repeat) for one in played for line in (one.leftBarline, one.rightBarline)
    ):
        remarks.append("Not every repeat could be followed.")
    return tuple(int(one.groups[0]) for one in played)


def _empty(measure: stream.Measure, place: int) -> stream.Measure:
    """Return a bar with the repeat signs of *measure*, which knows its *place*."""
    empty = stream.Measure(number=place + 1)
    empty.groups.append(str(place))
    for side in ("leftBarline", "rightBarline"):
        line = getattr(measure, side)
        if isinstance(line, m21_bar.Repeat):
            setattr(empty, side, m21_bar.Repeat(direction=line.direction, times=line.times))
    for one in measure.recurse().getElementsByClass(repeat.RepeatExpression):
        empty.insert(0, type(one)())
    return empty


def _times_again(empty: stream.Measure) -> int:
    """Return how many times more at most something is played for the signs in a bar."""
    ends = [
        (line.times or 2) - 1
        for line in (empty.leftBarline, empty.rightBarline)
        if isinstance(line, m21_bar.Repeat) and line.direction == "end"
    ]
    return sum(ends) + len(empty.getElementsByClass(repeat.RepeatExpressionCommand))
