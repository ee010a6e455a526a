"""A part in a Standard MIDI File.

Problem: music21 moves the notes of a MIDI file to the nearest sixteenth or triplet, which makes a roll of
hundreds of strokes a few chords, and it believes every length in the file. So the bytes are read here, and
the tests hold the seconds against music21's.

Conventions: ticks, of which the file says how many make a quarter. A part is what one track plays on one
channel. Bars are counted from 1, from the time signatures.

Sources: MIDI Manufacturers Association, Standard MIDI Files 1.0 (1988), and General MIDI 1 (1991) for
channel 10 and the keys of the drums; both from memory.
"""

from bisect import bisect_right
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from operator import itemgetter

from lugbook.errors import BadValue
from lugbook.progress import Progress
from lugbook.scores.choosing import Candidate, check_count, chosen, kind_of, named_apart
from lugbook.scores.music import (
    LEAST_TEMPO,
    MOST_BARS,
    MOST_NOTES,
    MOST_REMARKS,
    MOST_TEMPO,
    Bar,
    Mark,
    Music,
    Sounding,
    one_line,
    tell,
)

_DRUMS = 9
"""Channel 10, counted from 0."""

_SNARE_KEYS = frozenset((37, 38, 40))
"""Side stick, acoustic snare and electric snare."""

_TWO_BYTES = (0x80, 0x90, 0xA0, 0xB0, 0xE0)
_MINUTE_US = 60_000_000
_MOST_EVENTS = 300_000
_MOST_POWER = 7
_LATE = 16
_AGAIN = "Export it again, best as MusicXML."


@dataclass(slots=True)
class _Heard:
    """What the tracks of a file say."""

    quarter: int
    one_track: bool
    names: dict[int, str] = field(default_factory=dict)
    tempi: list[tuple[int, int]] = field(default_factory=list)
    meters: list[tuple[int, int, int]] = field(default_factory=list)
    notes: dict[tuple[int, int], list[tuple[int, int, int]]] = field(default_factory=dict)
    last: int = 0
    events: int = 0


def read_midi(data: bytes, *, part: str | None, file: str, progress: Progress | None) -> Music:
    """Return the part in the MIDI file *data*.

    Args:
        data: its bytes.
        part: the name or number of the part, or None for the drum's.
        file: the file's name, for what is said.
        progress: is told the share that is done, from 0 to 1; what it raises ends the reading.

    Raises:
        BadValue: it is damaged, cut off, or too long.
        NotPossible: it has no percussion part.
    """
    try:
        heard = _heard(data, file, progress)
    except IndexError as error:
        raise BadValue(f"{file} is damaged: a track ends in the middle of something.", hint=_AGAIN) from error
    check_count(len(heard.notes), file=file)
    candidates = named_apart([_candidate(heard, key) for key in heard.notes])
    one = chosen(candidates, part, file=file)
    notes = heard.notes[next(key for key in heard.notes if _key(key) == one.key)]
    if len(notes) > MOST_NOTES:
        raise BadValue(
            f"{file} has {len(notes)} notes in one part; at most {MOST_NOTES} are read.",
            hint="Export one movement alone.",
        )
    remarks = ["A MIDI file tells no dynamics and no signs of rolls: fast strokes are taken for rolls."]
    if one.kind == "other":
        remarks.append(f'"{one.name}" does not look like a percussion part.')
    if len({key for _, _, key in notes}) > 1:
        remarks.append("The part plays more than one drum; the strokes of all are counted together.")
    bars = _bars(heard, notes, file, remarks)
    # The first track names the piece, unless it plays among others.
    plays = 0 in {track for track, _ in heard.notes} and not heard.one_track
    title = "" if plays else one_line(heard.names.get(0, ""))
    names = tuple(candidate.name for candidate in candidates)
    return Music(title, "", "", names, one.name, bars, tuple(range(len(bars))), tuple(remarks))


def _key(key: tuple[int, int]) -> str:
    return f"{key[0]}.{key[1]}"


def _candidate(heard: _Heard, key: tuple[int, int]) -> Candidate:
    track, channel = key
    name = one_line(heard.names.get(track, ""))
    alone = sum(1 for other, _ in heard.notes if other == track) == 1
    # The name of a piece for all channels tells nothing of one of them.
    said = [name] if alone or not heard.one_track else []
    if heard.one_track:
        name = f"Channel {channel + 1}"
    elif not alone:
        name = f"{name} channel {channel + 1}".strip()
    drums = channel == _DRUMS
    snare = drums and {note for _, _, note in heard.notes[key]} <= _SNARE_KEYS
    return Candidate(_key(key), name, "snare" if snare else kind_of(said, percussion=drums))


def _heard(data: bytes, file: str, progress: Progress | None) -> _Heard:
    size = int.from_bytes(data[4:8], "big")
    quarter = int.from_bytes(data[12:14], "big")
    if size < 6 or len(data) < 8 + size:
        raise BadValue(f"{file} is cut off in its header.", hint=_AGAIN)
    if int.from_bytes(data[8:10], "big") > 1:
        raise BadValue(f"{file} holds patterns and no piece (MIDI format 2).", hint=_AGAIN)
    if quarter == 0 or quarter & 0x8000:
        raise BadValue(f"{file} does not say how long a quarter is.", hint=_AGAIN)
    heard = _Heard(quarter, one_track=not int.from_bytes(data[8:10], "big"))
    at, track = 8 + size, 0
    while at + 8 <= len(data):
        name, length = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "big")
        at += 8
        if at + length > len(data):
            raise BadValue(f"{file} is cut off: the end of track {track + 1} is missing.", hint=_AGAIN)
        if name == b"MTrk":
            if progress is not None:
                progress(at / len(data))
            _hear_track(data[at : at + length], track, heard, file)
            track += 1
        at += length
    if track == 0:
        raise BadValue(f"{file} holds no track.", hint=_AGAIN)
    return heard


def _hear_track(track: bytes, number: int, heard: _Heard, file: str) -> None:
    at = tick = status = 0
    held: dict[tuple[int, int], deque[int]] = {}
    while at < len(track):
        step, at = _length(track, at)
        tick += step
        heard.events += 1
        if heard.events > _MOST_EVENTS:
            raise BadValue(f"{file} holds more than {_MOST_EVENTS} events.", hint="Export one part alone.")
        if track[at] & 0x80:
            status = track[at]
            at += 1
        if status == 0xFF:
            kind = track[at]
            length, at = _length(track, at + 1)
            if at + length > len(track):
                raise IndexError
            if kind == 0x2F:
                break
            _hear_meta(kind, track[at : at + length], tick, number, heard)
            at += length
            status = 0
        elif status in (0xF0, 0xF7):
            length, at = _length(track, at)
            at += length
            status = 0
        else:
            at = _hear_channel(status, track, at, tick, number, heard, held)
    for (channel, key), starts in held.items():
        if starts:
            # A note that nothing ends is a stroke: held to the end it would hide every rest.
            heard.notes[number, channel] += [(start, start, key) for start in starts]
            heard.last = max(heard.last, tick)


def _hear_channel(
    status: int,
    track: bytes,
    at: int,
    tick: int,
    number: int,
    heard: _Heard,
    held: dict[tuple[int, int], deque[int]],
) -> int:
    """Read what is said to a channel at *at*, and return where it ends."""
    if not 0x80 <= status < 0xF0:
        raise IndexError
    kind, channel = status & 0xF0, status & 0x0F
    two = kind in _TWO_BYTES
    key, force = track[at], track[at + 1] if two else 0
    if (key | force) & 0x80:
        raise IndexError
    if kind == 0x90 and force:
        heard.notes.setdefault((number, channel), [])
        held.setdefault((channel, key), deque()).append(tick)
    elif kind in (0x80, 0x90) and (starts := held.get((channel, key))):
        heard.notes[number, channel].append((starts.popleft(), tick, key))
        heard.last = max(heard.last, tick)
    return at + 1 + two


def _hear_meta(kind: int, said: bytes, tick: int, number: int, heard: _Heard) -> None:
    if kind == 0x03 and number not in heard.names:
        heard.names[number] = _named(said)
    elif kind == 0x51 and len(said) == 3:
        heard.tempi.append((tick, int.from_bytes(said, "big")))
    elif kind == 0x58 and len(said) >= 2:
        heard.meters.append((tick, said[0], said[1]))


def _named(said: bytes) -> str:
    """Return the text of a name, which may be in any encoding and end with a zero."""
    said = said.partition(b"\0")[0]
    try:
        return said.decode("utf-8")
    except UnicodeDecodeError:
        return said.decode("latin-1")


def _length(track: bytes, at: int) -> tuple[int, int]:
    """Return the number of one to four bytes at *at*, and where it ends."""
    value = 0
    for _ in range(4):
        byte = track[at]
        at += 1
        value = value << 7 | byte & 0x7F
        if not byte & 0x80:
            return value, at
    raise IndexError


def _bars(heard: _Heard, notes: list[tuple[int, int, int]], file: str, remarks: list[str]) -> tuple[Bar, ...]:
    starts = list(_bar_starts(heard, file, remarks))
    inside: list[list[Sounding]] = [[] for _ in starts]
    marks: list[list[Mark]] = [[] for _ in starts]
    strokes: dict[int, int] = {}
    for start, end, _ in notes:
        strokes[start] = max(end, strokes.get(start, start))
    for start in sorted(strokes):
        place = bisect_right(starts, start) - 1
        at, length = (start - starts[place]) / heard.quarter, (strokes[start] - start) / heard.quarter
        inside[place].append(Sounding(at, length))
    for tick, us in sorted(heard.tempi, key=itemgetter(0)):
        place = min(bisect_right(starts, tick), len(starts) - 1) - 1
        quarters = _MINUTE_US / us if us else 0.0
        if LEAST_TEMPO <= quarters <= MOST_TEMPO:
            if tick <= starts[-1]:
                marks[place].append(Mark((tick - starts[place]) / heard.quarter, quarters))
            continue
        said = f"{quarters:.4g} quarters a minute" if us else "0"
        sentence = (
            f"A tempo of {said} in bar {place + 1} is left out: only {LEAST_TEMPO:.0f} to {MOST_TEMPO:.0f}"
            " quarters a minute can be."
        )
        tell(remarks, sentence)
    return tuple(
        Bar(str(place + 1), (end - start) / heard.quarter, tuple(inside[place]), tuple(marks[place]))
        for place, (start, end) in enumerate(pairwise(starts))
    )


def _bar_starts(heard: _Heard, file: str, remarks: list[str]) -> Iterator[int]:
    """Yield where each bar begins, and where the last one ends."""
    meters = {0: 4 * heard.quarter}
    for tick, beats, power in sorted(heard.meters, key=itemgetter(0)):
        length = beats * 4 * heard.quarter >> min(power, _MOST_POWER)
        if length and power <= _MOST_POWER:
            meters[tick] = length
        elif len(remarks) < MOST_REMARKS:
            remarks.append(f"A time signature of {beats}/2^{power} is left out.")
    # A note that ends a little late makes no bar of its own.
    starts = (start for notes in heard.notes.values() for start, _, _ in notes)
    last = max(heard.last - heard.quarter // _LATE, max(starts, default=0) + 1)
    ticks = [*sorted(meters), last + 1]
    count = 0
    at = 0
    for tick, following in pairwise(ticks):
        at = tick
        # A new time signature begins a new bar; at the end the last bar is full.
        while at < min(following, last + 1) and (at < last or at == 0):
            count += 1
            if count > MOST_BARS:
                raise BadValue(f"{file} has more than {MOST_BARS} bars.", hint="Export one movement alone.")
            yield at
            at += meters[tick]
        if following <= last:
            at = following
    yield at
