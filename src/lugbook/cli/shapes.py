"""The JSON of every command that answers: others script against these keys.

Hertz have 3 decimals, cents 2, turns are exact multiples of 1/64; every number is finite or null. Keys are
added, never changed.
"""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from lugbook.records import SIDES

if TYPE_CHECKING:
    from lugbook.desk.comparing import Comparison, HeadResult, Why
    from lugbook.desk.evening import Evening
    from lugbook.desk.listening import Heard
    from lugbook.desk.noting import Noted
    from lugbook.desk.retuning import Retuning
    from lugbook.desk.shelf import DrumShelf, HeadRow, PresetRow, Shelf, TurnsRow
    from lugbook.desk.turning import HeadTurn
    from lugbook.desk.verifying import Verified
    from lugbook.heads import Reading, Rod, Tap
    from lugbook.library import Problem

Shape = dict[str, object]
"""A JSON object."""


def hertz(value: float | None) -> float | None:
    """Return *value* with the 3 decimals of hertz; None where there is none."""
    return _decimals(value, 3)


def cents(value: float | None) -> float | None:
    """Return *value* with the 2 decimals of cents; None where there is none."""
    return _decimals(value, 2)


def _decimals(value: float | None, digits: int) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return round(value, digits) + 0.0  # + 0.0 makes -0.0 into 0.0


def noted(found: "Noted") -> Shape:
    """Return the JSON of `note`."""
    return {
        "hz": hertz(found.hz),
        "note": found.note,
        "cents": cents(found.cents),
        "a4_hz": hertz(found.a4_hz),
    }


def heard(found: "Heard") -> Shape:
    """Return the JSON of `listen`."""
    hearing = found.hearing
    return {
        "file": found.file,
        "rate_hz": found.rate_hz,
        "taps": [_tap(tap) for tap in hearing.taps],
        "reading": _reading(hearing.reading) if hearing.reading else None,
        "rods": None if hearing.rods is None else [_rod(rod) for rod in hearing.rods],
        "round": None if found.evening is None else _round(found.evening),
        "remarks": [*hearing.remarks, *(found.evening.remarks if found.evening else ())],
        "refused": hearing.refused,
    }


def _tap(tap: "Tap") -> Shape:
    return {
        "at_s": _decimals(tap.at_s, 4),
        "hz": hertz(tap.hz),
        "sd_cents": cents(tap.sd_cents),
        "note": tap.note,
        "cents": cents(tap.cents),
        "glide_cents": cents(tap.glide_cents),
        "used": tap.used,
        "why_not": tap.why_not,
        "partials": [
            {
                "hz": hertz(partial.hz),
                "level_db": _decimals(partial.level_db, 2),
                "t60_s": _decimals(partial.t60_s, 4),
                "mode": partial.mode,
            }
            for partial in tap.partials
        ],
    }


def _reading(reading: "Reading") -> Shape:
    return {
        "hz": hertz(reading.hz),
        "sd_cents": cents(reading.sd_cents),
        "note": reading.note,
        "cents": cents(reading.cents),
        "mode": reading.mode,
        "sure": reading.sure,
        "taps_used": reading.taps_used,
        "split_cents": cents(reading.split_cents),
        "other_head": reading.other_head,
        "alternatives": [{"hz": hertz(other.hz), "why": other.why} for other in reading.alternatives],
    }


def _rod(rod: "Rod") -> Shape:
    return {
        "rod": rod.rod,
        "hz": hertz(rod.hz),
        "sd_cents": cents(rod.sd_cents),
        "off_cents": cents(rod.off_cents),
        "turn": rod.turn,
        "pair": rod.pair,
        "beside_bed": rod.beside_bed,
        "word": rod.word,
    }


def _round(found: "Evening") -> Shape:
    heard = found.round
    return {
        "median_hz": hertz(heard.median_hz),
        "spread_cents": cents(heard.spread_cents),
        "least_cents": cents(heard.least_cents),
        "pairs_only": heard.pairs_only,
        "order": list(found.to_turn),
        "again": list(found.again),
        "steps": list(found.steps),
        "basis": found.basis or None,
        "refused": heard.refused,
    }


def compared(found: "Comparison") -> Shape:
    """Return the JSON of `check`."""
    return {
        "drum": found.drum,
        "preset": found.preset,
        "within": found.within,
        "heads": {side: _head(found.head(side)) for side in SIDES},
        "interval": {
            "target_cents": cents(found.interval.target_cents),
            "measured_cents": cents(found.interval.measured_cents),
            "name": found.interval.name,
        },
        "why": None if found.why is None else _why(found.why),
        "remarks": list(found.remarks),
    }


def _why(why: "Why") -> Shape:
    return {"cause": why.cause, "says": why.says, "evidence": list(why.evidence), "then": why.then}


def _head(head: "HeadResult | None") -> Shape | None:
    if head is None:
        return None
    return {
        "target_hz": hertz(head.target_hz),
        "target": head.target,
        "measured_hz": hertz(head.measured_hz),
        "note": head.note.text(),
        "cents": cents(head.cents),
        "off_cents": cents(head.off_cents),
        "tolerance_cents": cents(head.tolerance_cents),
        "within": head.within,
    }


def retuned(found: "Retuning") -> Shape:
    """Return the JSON of `retune`: that of `check` and the advice; ``on`` is the drum that is turned."""
    orders = {side: list(found.orders.get(side, ())) for side in SIDES}
    expect = found.expect
    return {
        **compared(found.comparison),
        "on": found.on,
        "turns": {side: _head_turn(found.head(side)) for side in SIDES},
        "order": orders[found.first] if found.first else [],
        "orders": orders,
        "steps": list(found.steps),
        "expect": {
            "top_hz": hertz(expect.top_hz) if expect else None,
            "bottom_hz": hertz(expect.bottom_hz) if expect else None,
            "sd_cents": cents(expect.sd_cents) if expect else None,
        },
        "cautions": [
            {"head": caution.side, "past_limit": caution.past_limit, "sentence": caution.sentence}
            for caution in found.cautions
        ],
        "remarks": list(found.remarks),
    }


def _head_turn(turn: "HeadTurn | None") -> Shape | None:
    if turn is None:
        return None
    return {
        "amount": turn.amount,
        "shown": turn.shown,
        "sd": _decimals(turn.sd, 4),
        "basis": turn.basis,
        "entries": list(turn.entries),
    }


def presets(found: "Shelf") -> Shape:
    """Return the JSON of `presets`."""
    return {
        "presets": [_fitting(row) for row in found.rows],
        "problems": problems(found.problems),
        "nearest": [_fitting(row) for row in found.nearest],
    }


def _fitting(row: "PresetRow") -> Shape:
    """Return one preset with how well it fits the music that was asked for."""
    return {
        **preset(row),
        "fit": _decimals(row.fit.score, 3) if row.fit is not None else None,
        "why": list(row.fit.why) if row.fit is not None else [],
    }


def preset(row: "PresetRow") -> Shape:
    """Return one preset as lists have it."""
    return {
        "id": row.id,
        "drum": row.drum,
        "preset": row.preset,
        "name": row.name,
        "contexts": list(row.contexts),
        "top_hz": hertz(row.top_hz),
        "bottom_hz": hertz(row.bottom_hz),
        "top": row.top or None,
        "bottom": row.bottom or None,
        "interval": row.interval,
        "turns": {"top": _turns(row.turns_top), "bottom": _turns(row.turns_bottom)},
        "snares": row.snares,
    }


def _turns(row: "TurnsRow | None") -> Shape | None:
    return None if row is None else {"amount": row.amount, "valid": row.valid}


def drums(found: "DrumShelf") -> Shape:
    """Return the JSON of `drums`."""
    return {
        "drums": [
            {
                "drum": row.slug,
                "name": row.name,
                "size": row.size,
                "tension": row.tension,
                "rods": {"top": row.rods_top, "bottom": row.rods_bottom},
                "heads": {"top": row.top_head or None, "bottom": row.bottom_head or None},
                "presets": row.presets,
            }
            for row in found.rows
        ],
        "problems": problems(found.problems),
    }


def heads(drum: str, rows: "Iterable[HeadRow]") -> Shape:
    """Return the JSON of `heads`."""
    return {
        "drum": drum,
        "heads": [
            {
                "id": row.id,
                "side": row.side,
                "what": row.what,
                "on": row.on.isoformat(),
                "off": row.off.isoformat() if row.off else None,
            }
            for row in rows
        ],
    }


def verified(found: "Verified") -> Shape:
    """Return the JSON of `verify`."""
    return {"files": found.files, "problems": problems(found.problems)}


def problems(found: "Iterable[Problem]") -> list[Mapping[str, str]]:
    """Return the JSON of what could not be read; ``file`` is the whole path."""
    return [
        {"file": str(problem.path), "where": problem.where, "what": problem.what, "right": problem.right}
        for problem in found
    ]
