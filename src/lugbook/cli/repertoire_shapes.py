"""The JSON of contexts, pieces and concerts; like `shapes`, keys are added, never changed."""

from typing import TYPE_CHECKING

from lugbook.cli.shapes import Shape, preset, problems

if TYPE_CHECKING:
    from lugbook.desk.concerts import Concerts
    from lugbook.desk.contexts import Contexts, Renamed
    from lugbook.desk.pieces import Pieces
    from lugbook.desk.programmes import ItemRow, Programme
    from lugbook.desk.suggesting import Suggestions


def contexts(found: "Contexts") -> Shape:
    """Return the JSON of `context list`."""
    return {
        "contexts": [
            {
                "context": row.word,
                "kind": row.kind,
                "also": list(row.also),
                "shared": row.shared,
                "presets": row.presets,
                "pieces": row.pieces,
                "concerts": row.concerts,
                "entries": row.entries,
            }
            for row in found.rows
        ],
        "problems": problems(found.problems),
    }


def renamed(done: "Renamed") -> Shape:
    """Return the JSON of `context rename`."""
    return {
        "old": done.old,
        "new": done.new,
        "presets": done.presets,
        "pieces": done.pieces,
        "concerts": done.concerts,
        "entries": done.entries,
        "problems": problems(done.problems),
    }


def pieces(found: "Pieces") -> Shape:
    """Return the JSON of `piece list`."""
    return {
        "pieces": [
            {
                "piece": row.slug,
                "composer": row.piece.composer,
                "title": row.piece.title,
                "movement": row.piece.movement,
                "contexts": list(row.piece.contexts),
                "dynamics": row.piece.dynamics,
                "presets": list(row.piece.served),
                "seconds": row.piece.part.seconds if row.piece.part is not None else None,
                "played": row.played,
                "last_played": row.last_played.isoformat() if row.last_played is not None else None,
            }
            for row in found.rows
        ],
        "problems": problems(found.problems),
    }


def suggestions(found: "Suggestions") -> Shape:
    """Return the JSON of `piece suggest`."""
    return {
        "piece": found.piece,
        "suggestions": [
            {**preset(one.row), "score": one.score, "reasons": list(one.reasons)} for one in found.rows
        ],
        "remarks": list(found.remarks),
        "problems": problems(found.problems),
    }


def concerts(found: "Concerts") -> Shape:
    """Return the JSON of `concert list`."""
    return {
        "concerts": [
            {
                "concert": row.slug,
                "name": row.concert.name,
                "on": row.concert.on.isoformat() if row.concert.on is not None else None,
                "past": row.past,
                "hall": row.concert.hall,
                "items": len(row.concert.items),
            }
            for row in found.rows
        ],
        "problems": problems(found.problems),
    }


def programme(found: "Programme") -> Shape:
    """Return the JSON of `concert show`: the keys of its file, and what its items mean."""
    return {
        **found.concert.model_dump(mode="json"),
        "concert": found.id,
        "past": found.past,
        "travelling": list(found.drums),
        "programme": [_item(row) for row in found.rows],
        "remarks": list(found.remarks),
        "problems": problems(found.problems),
    }


def _item(row: "ItemRow") -> Shape:
    return {
        "number": row.number,
        "name": row.name,
        "piece": row.item.piece or None,
        "there": row.there,
        "contexts": list(row.contexts),
        "presets": list(row.presets),
        "candidates": list(row.candidates),
        "nearest": list(row.nearest),
        "tacet": row.item.tacet,
        "seconds": row.seconds,
        "after_s": row.after_s,
        "rests": [rest.model_dump(mode="json") for rest in row.rests],
        "note": row.item.note,
    }
