"""A silent change at the bench: shown and made rod by rod as any other advice."""

from dataclasses import replace

from lugbook.desk.asking import told
from lugbook.desk.bench import Bench
from lugbook.desk.changes import Change
from lugbook.desk.comparing import compare
from lugbook.desk.desk import Desk
from lugbook.desk.retuning import Expect, Retuning
from lugbook.desk.turning import HeadTurn
from lugbook.records import SIDES, HeadSide

BY_COUNT = "the count of turns alone, unheard"
"""What the turns of a silent change rest on."""


def with_change(
    desk: Desk,
    bench: Bench,
    found: Change,
    *,
    turned: tuple[HeadSide, ...] = (),
    remarks: tuple[str, ...] = (),
) -> Bench:
    """Return the bench about to make the silent change *found*, whatever was read.

    Args:
        desk: the desk.
        bench: the state at the drum, for the preset that is reached.
        found: the change, which is not refused.
        turned: the heads that were turned for it already.
        remarks: what is said before all else.
    """
    return replace(
        bench,
        top=None,
        bottom=None,
        comparison=None,
        retuning=_as_advice(desk, bench, found),
        silent=found,
        turned=turned,
        remarks=tuple(dict.fromkeys((*remarks, *reversed(found.promise), *found.remarks))),
    )


def _as_advice(desk: Desk, bench: Bench, found: Change) -> Retuning:
    """Return the silent change *found* as the bench shows any advice."""
    compared = compare(desk, bench.name, bench.preset, top=None, bottom=None)
    heads = {
        side: HeadTurn(side=side, amount=turn.amount, shown=turn.shown, sd=0.0, basis=BY_COUNT, entries=())
        for side in SIDES
        if (turn := found.turn(side)) is not None
    }
    expect = None
    if found.landings is not None:
        hz = [found.landings.of(side).hz for side in SIDES]
        near = [None if one is None else told(one, a4_hz=bench.preset.a4) for one in hz]
        # Nobody hears where it lands, so what it may be off its target counts, not off what is expected.
        error = found.error_cents or found.landings.sd_cents or 0.0
        expect = Expect(hz[0], hz[1], error, near[0], near[1])
    return Retuning(
        comparison=replace(compared, remarks=()),
        on=bench.drum_id,
        top=heads.get("top"),
        bottom=heads.get("bottom"),
        first=found.first,
        orders=dict(found.orders),
        steps=found.steps,
        expect=expect,
        remarks=found.remarks,
        cautions=found.cautions,
    )
