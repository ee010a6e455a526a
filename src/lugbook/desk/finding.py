"""Finding what was kept or heard: presets, entries and pieces by words, music and pitch, the newest first."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from lugbook.desk.asking import named
from lugbook.desk.desk import Desk
from lugbook.desk.matching import known_near, matcher
from lugbook.desk.shelf import PresetRow, contexts_in_use, preset_row
from lugbook.desk.wording import folded
from lugbook.errors import BadValue
from lugbook.library import Problem, Stored
from lugbook.pitch import Note, Pitch, cents_between, nearest, parse_pitch
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, Entry, Piece, Preset, SnareSetting

NEAR_CENTS = 25.0
"""How far a pitch may lie from a frequency that was named: what an ear takes for the same."""

_LONG_AGO = datetime.min.replace(tzinfo=UTC)
_NEAREST = 5
"""So many contexts are named where nothing was found."""


@dataclass(frozen=True, slots=True)
class FoundEntry:
    """One entry of a logbook that was looked for."""

    drum_id: str
    drum_name: str
    entry: Entry
    contexts: tuple[str, ...]
    """The music it is for."""
    top: str
    """Pitch of the top head by its note; empty where it was not read."""
    bottom: str


@dataclass(frozen=True, slots=True)
class FoundPreset:
    """One preset that was looked for."""

    row: PresetRow
    preset: Preset


@dataclass(frozen=True, slots=True)
class FoundPiece:
    """One piece of music that was looked for."""

    slug: str
    piece: Piece


@dataclass(frozen=True, slots=True)
class Found:
    """What was found, the newest first, and what could not be read."""

    presets: tuple[FoundPreset, ...]
    entries: tuple[FoundEntry, ...]
    contexts: tuple[str, ...]
    """Where nothing was found, the music there is that is nearest to what was asked for."""
    problems: tuple[Problem, ...]
    pieces: tuple[FoundPiece, ...] = ()
    """By title."""

    @property
    def nothing(self) -> bool:
        """Whether nothing was found."""
        return not self.presets and not self.entries and not self.pieces


@dataclass(frozen=True, slots=True)
class _Wanted:
    """One word that was looked for, and the pitch that it reads as."""

    text: str
    pitch: Pitch | None

    @property
    def letter(self) -> bool:
        """Whether it is a note name of one letter, which stands in nearly every text."""
        return self.pitch is not None and len(self.text) == 1


def find(desk: Desk, words: Sequence[str], *, contexts: Sequence[str] = (), drum: str | None = None) -> Found:
    """Return every preset, entry and piece that has all *words* and is for all *contexts*, the newest first.

    A word is found in words, context, search, name, snares and notes, without case and accents, whole or as
    part of a word. One that reads as a note is found where it is the nearest note of a reading, in any octave
    where it names none; one that reads as a frequency, or a note with cents, within 25 cents of a reading.
    What reads as a pitch is found in texts as a whole word only, and a single letter there not at all.

    Args:
        desk: the desk.
        words: to find, several in one text too.
        contexts: the music, as the list of presets takes it.
        drum: of one drum only; a piece is of the drums that served in it.

    Raises:
        BadValue: neither a word nor a context was named.
        NotFound: there is no such drum.
    """
    wanted = [_wanted(word) for text in words for word in text.split()]
    if not wanted and not contexts:
        raise BadValue(
            "Nothing to find was named.", hint="Give words, a pitch or music: lugbook find dry A3 --for tutti"
        )
    drums = desk.library.drums()
    if drum is not None and drum not in drums.items:
        desk.library.drum(drum)  # raises, with the nearest there is
    kept, music = desk.library.presets(drum), desk.library.pieces()
    problems = [*drums.problems, *kept.problems, *music.problems]
    is_for = matcher(desk).is_for
    presets = [
        FoundPreset(preset_row(home, slug, stored.record, stored_drum, desk), stored.record)
        for stored in kept.items.values()
        for home, _, slug in [stored.id.partition("/")]
        for stored_drum in [drums.items[home].record if home in drums.items else None]
        if is_for(stored.record.contexts, contexts)
        and _has_all(_preset_text(stored.record, home, stored_drum), _pitches(stored.record), wanted)
    ]
    entries: list[FoundEntry] = []
    for home, stored_home in drums.items.items():
        if drum not in (None, home):
            continue
        log = desk.library.log(home)
        problems += log.problems
        entries += [
            _found_entry(home, stored_home.record, entry)
            for entry in log.entries
            if is_for(_contexts_of(entry), contexts)
            and _has_all(_entry_text(entry, home, stored_home.record), _pitches(entry), wanted)
        ]
    pieces = [
        FoundPiece(stored.id, stored.record)
        for stored in music.items.values()
        if drum is None or any(one.partition("/")[0] == drum for one in stored.record.served)
        if is_for(stored.record.contexts, contexts) and _has_all(_piece_text(stored.record), (), wanted)
    ]
    near = (
        ()
        if presets or entries or pieces
        else _near_contexts(desk, contexts, words, drums.items, music.items.values())
    )
    return Found(
        presets=tuple(sorted(presets, key=lambda one: one.preset.made or _LONG_AGO, reverse=True)),
        entries=tuple(sorted(entries, key=lambda one: (one.entry.at, one.entry.stands_for), reverse=True)),
        contexts=near,
        problems=tuple(dict.fromkeys(problems)),
        pieces=tuple(sorted(pieces, key=lambda one: folded(one.piece.name))),
    )


def _wanted(word: str) -> _Wanted:
    try:
        pitch = parse_pitch(word)
    except BadValue:
        pitch = None
    return _Wanted(folded(word), pitch)


def _has_all(text: str, pitches: Sequence[tuple[Pitch, float]], wanted: Sequence[_Wanted]) -> bool:
    """Tell whether each of *wanted* stands in a folded *text* or is one of the *pitches* with their A4."""
    return all(_in_text(one, text) or any(_sounds(one, *pitch) for pitch in pitches) for one in wanted)


_SIGNS = re.compile(r"[^\w.#♯♭]+")
"""What stands between the words and numbers of a text."""


def _in_text(wanted: _Wanted, text: str) -> bool:
    if wanted.pitch is None:
        return wanted.text in text
    return not wanted.letter and wanted.text in _SIGNS.split(text)


def _sounds(wanted: _Wanted, pitch: Pitch, a4_hz: float) -> bool:
    """Tell whether a kept *pitch* is the one that is *wanted*."""
    asked = wanted.pitch
    if asked is None:
        return False
    hz, asked_hz = pitch.hz_at(a4_hz), asked.hz_at(a4_hz)
    if asked.note is not None and not asked.cents:
        note = pitch.note if hz is None else nearest(hz, a4_hz=a4_hz, digits=2).note
        return note is not None and _same_note(asked.note, note)
    if hz is not None and asked_hz is not None:
        return abs(cents_between(asked_hz, to_hz=hz)) <= NEAR_CENTS
    return _class_cents_apart(asked, pitch, a4_hz) <= NEAR_CENTS


def _same_note(asked: Note, note: Note) -> bool:
    if asked.octave is None or note.octave is None:
        return asked.pitch_class == note.pitch_class
    return asked.midi == note.midi


def _class_cents_apart(one: Pitch, other: Pitch, a4_hz: float) -> float:
    """Return how far two pitches lie apart in cents whatever their octaves, of which one names none."""
    places = []
    for pitch in (one, other):
        if pitch.note is None:
            near = nearest(pitch.hz_at(a4_hz) or a4_hz, a4_hz=a4_hz)
            places.append(100 * near.note.pitch_class + near.cents)
        else:
            places.append(100 * pitch.note.pitch_class + pitch.cents)
    away = (places[1] - places[0]) % 1200
    return min(away, 1200 - away)


def _pitches(record: Entry | Preset) -> list[tuple[Pitch, float]]:
    """Return the pitches of a record, each with the concert pitch that it is meant at."""
    return [(parse_pitch(one.pitch), record.a4) for one in (record.top, record.bottom) if one is not None]


def _contexts_of(entry: Entry) -> tuple[str, ...]:
    """Return the music that an entry is for; that of a search without music is its name."""
    return tuple(filter(None, (entry.context or entry.search,)))


def _entry_text(entry: Entry, drum_id: str, drum: Drum) -> str:
    return _joined(
        (
            *(entry.words, entry.bounce, entry.context, entry.search, entry.note, entry.preset),
            *(entry.muffling, entry.sticks, entry.playing_spot, entry.player),
            *(_snares(entry.snares), *entry.passages, drum_id, drum.name),
        )
    )


def _preset_text(preset: Preset, drum_id: str, drum: Drum | None) -> str:
    return _joined(
        (
            *(preset.name, preset.words, *preset.contexts, preset.note),
            *(preset.muffling, preset.sticks, preset.playing_spot, preset.player),
            *(_snares(preset.snares), drum_id, drum.name if drum is not None else ""),
        )
    )


def _piece_text(piece: Piece) -> str:
    return _joined(
        (
            *(piece.title, piece.composer, piece.movement, *piece.contexts, piece.dynamics, piece.note),
            *(one.words for one in piece.passages),
            *(text for one in piece.performances for text in (one.hall, one.note)),
            *piece.served,
        )
    )


def _snares(setting: SnareSetting | None) -> str:
    return "" if setting is None else setting.text()


def _joined(texts: Iterable[str]) -> str:
    """Return *texts* folded, in one: no word of them runs into the next."""
    return "; ".join(folded(text) for text in texts if text)


def _found_entry(drum_id: str, drum: Drum, entry: Entry) -> FoundEntry:
    top, bottom = (
        "" if (reading := entry.reading(side)) is None else named(reading.pitch, a4_hz=entry.a4)
        for side in SIDES
    )
    return FoundEntry(drum_id, drum.name, entry, _contexts_of(entry), top, bottom)


def _near_contexts(
    desk: Desk,
    contexts: Sequence[str],
    words: Sequence[str],
    drum_ids: Iterable[str],
    pieces: Iterable[Stored[Piece]],
) -> tuple[str, ...]:
    """Return the music there is that is nearest to what was asked for, all of it where nothing is near.

    Where there is such music, the words are what is missing, and nothing is returned.
    """
    known = {folded(one): one for one in contexts_in_use(desk)}
    heard = [
        one
        for drum_id in drum_ids
        for entry in desk.library.log(drum_id).entries
        for one in _contexts_of(entry)
    ]
    for one in (*heard, *(word for piece in pieces for word in piece.record.contexts)):
        known.setdefault(folded(one), one)
    is_for = matcher(desk).is_for
    if contexts and any(is_for((one,), contexts) for one in known.values()):
        return ()
    near = known_near([*contexts, *words], known.values(), most=_NEAREST)
    chosen = near or tuple(known[one] for one in sorted(known))
    return tuple(map(shown, chosen[:_NEAREST]))
