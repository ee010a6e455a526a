"""Reading a part into the record of a piece: what it tells, what would be kept of it, and what stays.

Problem: bars, rests and dynamics stand in the part already, and typing them is where slips are made. But what
the player wrote is his: `part_merging` puts a part into a piece that is there. Nothing is kept before he says
so.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import checked, merged
from lugbook.desk.part_merging import READ, put_into
from lugbook.desk.part_words import bar_of, runs, suggested
from lugbook.desk.pieces import Kept, piece_remarks
from lugbook.desk.wording import each_once, folded
from lugbook.library import Stored
from lugbook.plain import shown
from lugbook.records import Piece
from lugbook.records.base import LONGEST_LINE, LONGEST_NAME

if TYPE_CHECKING:
    from lugbook.scores import PartRead

LEAST_REST_S = 20.0
"""Shorter rests are no time for a change of a drum (judgement)."""

MOST_PASSAGES, MOST_RESTS = 40, 100
"""So many of a reading are kept, the longest."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a part tells, and the piece that would come of it; nothing is kept yet.

    Attributes:
        read: all that was read.
        file: the name of the file, without its folder.
        stored: the piece it would be added to; None for a new one.
        piece: the piece as it would be kept.
        changes: what would change in a piece that is there, and what stays though the part says otherwise.
        suggested: words for music that the part itself speaks for; none of them is in the piece.
        remarks: what else is to be known before it is kept.
    """

    read: "PartRead"
    file: str
    stored: Stored[Piece] | None
    piece: Piece
    changes: tuple[str, ...]
    suggested: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def slug(self) -> str | None:
        """The piece it would be added to; None for a new one."""
        return None if self.stored is None else self.stored.id

    @property
    def anything(self) -> bool:
        """Whether keeping it would change anything."""
        return self.stored is None or self.stored.record != self.piece


def propose(
    desk: Desk,
    path: str,
    *,
    to: str | None = None,
    part: str | None = None,
    tempo: float | None = None,
    least_rest_s: float = LEAST_REST_S,
    title: str | None = None,
    contexts: Iterable[str] = (),
) -> Proposal:
    """Return what the part in a file tells, as a piece; nothing is kept.

    Args:
        desk: the desk; its progress is told, and what that raises ends the reading.
        path: a MusicXML, compressed MusicXML or MIDI file.
        to: the slug of the piece to add it to; None for a new one.
        part: the name or number of the part; None where there is one for the snare drum, or for percussion.
        tempo: quarters a minute where the part gives none in numbers.
        least_rest_s: shorter rests are left out.
        title: what the piece is called; None takes the file's title, or leaves the piece its own.
        contexts: words for its music, which are added.

    Raises:
        ManyParts: more than one part may be meant.
        BadValue: the file cannot be read, or a value is out of range.
        NotPossible: no part of it is for percussion.
        NotFound: there is no piece *to* add it to.
        LibraryDamaged: that piece cannot be read.
        BadRecord: a title or word for music cannot be kept.
    """
    stored = None if to is None else desk.library.piece(to)
    # Imported on use: every other deed does without.
    from lugbook.scores import read_part

    read = read_part(path, part=part, tempo=tempo, least_rest_s=least_rest_s, progress=desk.progress)
    file = _cut(shown(Path(path).name), LONGEST_LINE)
    remarks: list[str] = []
    changes: list[str] = []
    told = _told(read, file, remarks)
    typed = [*contexts]
    if stored is None:
        if title is None and not read.title:
            remarks.append(f"The file names no title: the piece is called {told['title']} after it.")
        if title is not None:
            told["title"] = title
        piece = checked(Piece, told | {"contexts": each_once(typed)})
        remarks += _alike(desk, piece)
    else:
        piece = merged(
            stored.record, put_into(stored.record, told, title=title, contexts=typed, changes=changes)
        )
    words = suggested(read, titles=(piece.title, piece.movement), have=piece.contexts)
    return Proposal(read, file, stored, piece, tuple(changes), words, tuple(remarks))


def keep(desk: Desk, proposal: Proposal) -> Kept:
    """Keep a proposal, as a new piece or in the one it is to be added to.

    Raises:
        ChangedUnderneath: that piece was changed since the part was read.
    """
    if proposal.stored is None:
        stored = desk.library.add_piece(proposal.piece)
    else:
        stored = desk.library.save_piece(proposal.stored, proposal.piece)
    return Kept(stored.id, piece_remarks(desk, stored.record))


def _told(read: "PartRead", file: str, remarks: list[str]) -> dict[str, Any]:
    """Return the fields of a piece that the part tells."""
    seconds = round(read.seconds, 1)
    told: dict[str, Any] = {
        "title": _cut(read.title or Path(file).stem or file, LONGEST_NAME),
        "composer": read.composer,
        "movement": read.movement,
        "passages": _passages(read, remarks),
        "part": {
            "name": read.part,
            "file": file,
            "seconds": seconds,
            "bars": read.bars or None,
            "read_seconds": seconds,
            "read_bars": read.bars or None,
            "rests": _rests(read, remarks),
        },
    }
    if read.dynamics is not None:
        softest, loudest = read.dynamics.softest, read.dynamics.loudest
        told["dynamics"] = softest if softest == loudest else f"{softest} to {loudest}"
    return {key: value for key, value in told.items() if value}


def _passages(read: "PartRead", remarks: list[str]) -> list[dict[str, Any]]:
    """Return the rolls and the densest bar, in order; those at the same bars in one."""
    rolls = runs(read.rolls.bars)
    if len(rolls) >= MOST_PASSAGES:
        remarks.append(f"It rolls in {len(rolls)} places: the longest {MOST_PASSAGES - 1} become passages.")
        rolls = sorted(rolls, key=lambda run: run[0] - run[1])[: MOST_PASSAGES - 1]
    found = {run: ["roll" if run[0] == run[1] else "rolls"] for run in rolls}
    dense = read.density
    if dense is not None and dense.highest > dense.median and (bar := bar_of(dense.highest_bar)) is not None:
        found.setdefault((bar, bar), []).append(f"densest bar, {dense.highest:.1f} strokes a second")
    return [
        {**_bars(first, last), "words": f"{'; '.join(words)} {READ}"}
        for (first, last), words in sorted(found.items())
    ]


def _rests(read: "PartRead", remarks: list[str]) -> list[dict[str, Any]]:
    """Return the rests, in order; one that comes again by a repeat once, as short as it may be."""
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for rest in read.rests:
        seconds = round(rest.seconds, 1)
        known = found.get((rest.bar_from, rest.bar_to))
        if known is not None:
            known["seconds"] = min(known["seconds"], seconds)
            continue
        bars: dict[str, int] = {}
        if (first := bar_of(rest.bar_from)) is not None:
            bars = _bars(first, bar_of(rest.bar_to))
        found[rest.bar_from, rest.bar_to] = {**bars, "seconds": seconds, "read": True}
    rests = list(found.values())
    if len(rests) > MOST_RESTS:
        remarks.append(
            f"Of {len(rests)} rests the longest {MOST_RESTS} are kept; --least leaves short ones out."
        )
        least = sorted((one["seconds"] for one in rests), reverse=True)[MOST_RESTS - 1]
        rests = [one for one in rests if one["seconds"] >= least][:MOST_RESTS]
    return rests


def _bars(first: int, last: int | None) -> dict[str, int]:
    # A rest that begins before a repeat may end in an earlier bar: then it is known by its first.
    return {"bar_from": first} if last is None or last <= first else {"bar_from": first, "bar_to": last}


def _alike(desk: Desk, piece: Piece) -> Iterator[str]:
    """Say which piece of that name is there already."""
    for slug, stored in desk.library.pieces().items.items():
        there = stored.record
        composers = {folded(one.composer) for one in (there, piece) if one.composer}
        if folded(there.name) == folded(piece.name) and len(composers) < 2:
            name = shown(there.called)
            yield f"{name} is in the library already; --piece {slug} adds the part to it."


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
