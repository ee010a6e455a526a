"""The JSON of what a search answers: states, proposals, charts and maps. Others script against these keys."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.cli.shapes import Shape, cents, hertz
from lugbook.records import SIDES

if TYPE_CHECKING:
    from lugbook.desk.chart import ChartRow
    from lugbook.desk.finding import Found, FoundEntry
    from lugbook.desk.proposing import Next
    from lugbook.desk.searches import Row, SearchNow
    from lugbook.desk.settling import Resumed
    from lugbook.desk.trying import Tried
    from lugbook.records import Entry, PerHead, Reading
    from lugbook.trials.grid import Pair
    from lugbook.trials.mapping import Map


def place(pair: "Pair") -> Shape:
    """Return one state: turns of each head from its reference."""
    return {"top": pair[0], "bottom": pair[1]}


def per_head(turns: "PerHead") -> Shape:
    """Return turns of each head; null where they are not known."""
    return {side: turns.of(side) for side in SIDES}


def kept_place(now: "SearchNow | None") -> Shape | None:
    """Return the kept state; null where none counts."""
    return None if now is None or now.search is None else place(now.search.kept)


def tried(found: "Tried", remarks: Sequence[str]) -> Shape:
    """Return the JSON of `try`."""
    entry, now = found.entry, found.now
    number = next((row.number for row in now.rows if row.entry.stands_for == entry.stands_for), None)
    return {
        "entry": entry.stands_for,
        "position": per_head(entry.position),
        "kept": kept_place(now),
        "settled": now.settled,
        "search": now.name,
        "number": number,
        "remarks": list(remarks),
    }


def struck(entry: "Entry", now: "SearchNow | None", here: "PerHead") -> Shape:
    """Return the JSON of `try --strike-out`: ``position`` is where the drum stands without the entry."""
    return {
        "entry": entry.stands_for,
        "position": per_head(here),
        "kept": kept_place(now),
        "settled": now is not None and now.settled,
        "search": entry.search or None,
        "number": None,
        "remarks": [] if now is None else list(now.remarks),
    }


def proposed(found: "Next") -> Shape:
    """Return the JSON of `next`."""
    now, proposal = found.now, found.proposal
    return {
        "propose": None
        if proposal is None
        else {"head": proposal.side, "turn": proposal.turn, "position": place(proposal.position)},
        "why": found.why,
        "untried": [] if now.search is None else [place(one) for one in now.search.untried],
        "settled": now.settled,
        "search": now.name,
        "kept": kept_place(now),
        "moves": {side: found.moves.get(side, 0.0) for side in SIDES},
        "steps": list(found.steps),
        "near": None if found.near is None else row_shape(found.near),
        "alike": [place(one) for one in found.alike],
        "contradictions": [[row.number for row in rows] for rows in now.contradictions],
        "remarks": list(found.remarks),
    }


def row_shape(row: "Row") -> Shape:
    """Return one entry of a search in short."""
    entry = row.entry
    return {
        "number": row.number,
        "entry": entry.stands_for,
        "position": per_head(entry.position),
        "words": entry.words,
        "verdict": entry.verdict,
    }


def resumed(found: "Resumed", remarks: Sequence[str]) -> Shape:
    """Return the JSON of `search resume`: that of `try` and what came of the reading."""
    return {
        **tried(found.tried, remarks),
        "drifted": found.drifted,
        "before": None if found.before is None else found.before.number,
        "sentence": found.sentence,
        "void": [row.number for row in found.void],
    }


def listed(now: "SearchNow") -> Shape:
    """Return one search as `search list` and `search show` have it."""
    return {
        "search": now.name,
        "context": now.context,
        "heard": now.heard,
        "entries": len(now.rows),
        "kept": None if now.kept is None else {**kept_of(now), "number": now.kept.number},
        "step": None if now.search is None else now.search.step,
        "settled": now.settled,
        "ended": now.ended,
    }


def kept_of(now: "SearchNow") -> Shape:
    """Return the kept state; empty where none counts."""
    return kept_place(now) or {}


def charted(row: "ChartRow") -> Shape:
    """Return one entry as `log` has it, with all that was said of it."""
    entry = row.entry
    return {
        "number": row.number,
        "entry": row.id,
        "at": entry.at.isoformat(),
        "kind": entry.kind,
        "search": entry.search or None,
        "context": entry.context or None,
        "turn": per_head(entry.turn),
        "turned": row.turn,
        "position": per_head(entry.position),
        "count": {side: entry.count.of(side) for side in SIDES},
        "a4_hz": hertz(entry.a4),
        "top": _reading(entry.top, entry.a4),
        "bottom": _reading(entry.bottom, entry.a4),
        "snares": row.snares,
        "words": entry.words,
        "bounce": entry.bounce,
        "passages": dict(entry.passages),
        "verdict": entry.verdict,
        "against": entry.against,
        "kept": row.kept,
        "void": row.void or None,
        "heard": entry.heard,
        "muffling": entry.muffling,
        "sticks": entry.sticks,
        "playing_spot": entry.playing_spot,
        "player": entry.player,
        "temperature_c": entry.temperature_c,
        "humidity_pct": entry.humidity_pct,
        "note": entry.note,
    }


def _reading(reading: "Reading | None", a4_hz: float) -> Shape | None:
    if reading is None:
        return None
    return {
        "pitch": reading.pitch,
        "hz": hertz(reading.hz(a4_hz=a4_hz)),
        "sd_cents": cents(reading.uncertainty_cents),
        "by": reading.by,
        "struck": reading.struck,
    }


def mapped(map_: "Map") -> Shape:
    """Return the map of `map`: every state that was heard and every side of the kept one."""
    return {
        "kept": place(map_.centre),
        "together": map_.together,
        "states": [
            {
                "position": place(where),
                "standing": cell.standing,
                "number": cell.number,
                "next": cell.proposed,
                "here": cell.here,
            }
            for where, cell in sorted(map_.cells.items())
        ],
    }


def found(what: "Found") -> Shape:
    """Return the JSON of `find`."""
    from lugbook.cli.shapes import preset, problems

    return {
        "presets": [preset(one.row) for one in what.presets],
        "entries": [_found_entry(one) for one in what.entries],
        "contexts": list(what.contexts),
        "problems": problems(what.problems),
        "pieces": [
            {
                "piece": one.slug,
                "composer": one.piece.composer,
                "title": one.piece.title,
                "movement": one.piece.movement,
                "contexts": list(one.piece.contexts),
                "presets": list(one.piece.served),
            }
            for one in what.pieces
        ],
    }


def _found_entry(one: "FoundEntry") -> Shape:
    entry = one.entry
    return {
        "drum": one.drum_id,
        "entry": entry.stands_for,
        "at": entry.at.isoformat(),
        "search": entry.search or None,
        "contexts": list(one.contexts),
        "position": per_head(entry.position),
        "top": one.top or None,
        "bottom": one.bottom or None,
        "top_hz": None if entry.top is None else hertz(entry.top.hz(a4_hz=entry.a4)),
        "bottom_hz": None if entry.bottom is None else hertz(entry.bottom.hz(a4_hz=entry.a4)),
        "snares": "" if entry.snares is None else entry.snares.text(),
        "words": entry.words,
        "verdict": entry.verdict,
        "note": entry.note,
    }
