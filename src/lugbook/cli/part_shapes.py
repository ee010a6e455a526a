"""The JSON of a part that was read; like `shapes`, keys are added, never changed."""

from typing import TYPE_CHECKING

from lugbook.cli.shapes import Shape

if TYPE_CHECKING:
    from lugbook.desk.reading_parts import Proposal


def reading(found: "Proposal", *, piece: str | None, kept: bool) -> Shape:
    """Return the JSON of `piece read`.

    Args:
        found: what was read, and the piece that comes of it.
        piece: the slug of the piece it is kept in or would be added to; None for a new one that is not kept.
        kept: whether it was kept.
    """
    read = found.read
    return {
        "file": found.file,
        "title": read.title,
        "composer": read.composer,
        "movement": read.movement,
        "parts": list(read.parts),
        "part": read.part,
        "bars": read.bars,
        "bars_played": read.bars_played,
        "seconds": round(read.seconds, 3),
        "tempi": [
            {"bar": one.bar, "quarters": round(one.quarters, 3), "assumed": one.assumed} for one in read.tempi
        ],
        "dynamics": None
        if read.dynamics is None
        else {
            "softest": read.dynamics.softest,
            "softest_bar": read.dynamics.softest_bar,
            "loudest": read.dynamics.loudest,
            "loudest_bar": read.dynamics.loudest_bar,
        },
        "rolls": {"bars": list(read.rolls.bars), "share": round(read.rolls.share, 4)},
        "density": None
        if read.density is None
        else {
            "median": round(read.density.median, 3),
            "highest": round(read.density.highest, 3),
            "highest_bar": read.density.highest_bar,
        },
        "rests": [
            {
                "bar_from": rest.bar_from,
                "bar_to": rest.bar_to,
                "seconds": round(rest.seconds, 3),
                "where": rest.where,
                "at_s": round(rest.at_s, 3),
            }
            for rest in read.rests
        ],
        "piece": piece,
        "kept": kept,
        "record": found.piece.model_dump(mode="json"),
        "changes": list(found.changes),
        "suggested": list(found.suggested),
        "remarks": [*read.remarks, *found.remarks],
    }
